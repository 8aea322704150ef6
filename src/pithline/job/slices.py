"""Scanned logs, read from a table of slices."""

import itertools
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Final

from pithline.job.cells import Cells
from pithline.job.table import Form, Row, Sheet
from pithline.lengths import told
from pithline.lengths.spelling import quoted
from pithline.logs import LogSolid, SliceLog, SliceRow, slice_faults, solid_from_slices
from pithline.logs.measures import TAPER_DOUBT_MM

__all__ = ["MOST_SLICES", "SLICES", "slice_logs"]

MOST_SLICES: Final = 20_000
"""Most slices of one file, all logs together."""

_LENGTHS: Final = ("station", "x", "y", "axis_1", "axis_2")

SLICES: Final = Form(
    kinds={
        "tag": "text",
        "species": "text",
        "station": "signed length",
        "x": "signed length",
        "y": "signed length",
        "axis_1": "length",
        "axis_2": "length",
        "angle": "angle",
        "bark": "length",
        "notes": "text",
    },
    required=_LENGTHS,
    example="tag, station [mm], x [mm], y [mm], axis_1 [mm], axis_2 [mm], angle [deg]",
)
"""The columns of a table of slices."""

_SAME_PLACE_MM: Final = 1.0
_ANGLE_NOTE: Final = "The first axis of each slice is taken as level, since no angle is given."


@dataclass
class _Group:
    """One log.

    Attributes: `first` row; `rows` whose lengths could be read, and their
    `slices`; `whole`, whether all could; `constants`, for each column that
    has one text for the whole log, that text and the row it is from.
    """

    tag: str
    first: Row
    rows: list[Row] = field(default_factory=list)
    slices: list[SliceRow] = field(default_factory=list)
    whole: bool = True
    constants: dict[str, tuple[str, Row]] = field(default_factory=dict)


def slice_logs(sheet: Sheet, cells: Cells, *, tip_larger_ok: bool, complete: bool) -> list[LogSolid]:
    """Logs of a table of slices, in the order in which they first appear.

    Parameters
    ----------
    sheet : Sheet
        The table.
    cells : Cells
        Its reader, which takes the faults.
    tip_larger_ok : bool
        Take a last slice larger than the first as measured.
    complete : bool
        Whether all required columns are there; else cells are read for their faults only.

    Returns
    -------
    list of LogSolid
        Those without a fault.

    Source
    ------
    definition
    """
    groups: dict[str, _Group] = {}
    before = cells.faults.count
    for row in sheet.rows:
        group = _group_of(row, cells, groups, stem=Path(sheet.file).stem)
        _keep_constants(cells, group, row)
        piece = _slice(cells, row)
        if any((row.number, name) in cells.at_fault for name in _LENGTHS):
            group.whole = False
        else:
            group.rows.append(row)
            group.slices.append(piece)
    if "" in groups:
        # A slice without a tag may belong to any of the logs.
        for group in groups.values():
            group.whole = False
    logs = []
    for group in groups.values():
        species, _ = group.constants.get("species", ("unknown", group.first))
        _, row_of_bark = group.constants.get("bark", ("", group.first))
        log = SliceLog(group.tag, species, tuple(group.slices), cells.length(row_of_bark, "bark"))
        if complete and group.rows:
            _tell(cells, group, log, tip_larger_ok=tip_larger_ok)
        if complete and cells.faults.count == before:
            logs.append(_with_angle_note(solid_from_slices(log), log, angled="angle" in cells.columns))
    return logs


def _group_of(row: Row, cells: Cells, groups: dict[str, _Group], *, stem: str) -> _Group:
    """The log that a row belongs to."""
    tag = stem
    if "tag" in cells.columns:
        tag = cells.needed_text(row, "tag", "Write the tag of the log that the slice is from.")
    group = groups.setdefault(tag.casefold(), _Group(tag, row))
    if tag != group.tag:
        text = f"row {group.first.number} has it as {group.tag}. Write one log's tag one way."
        cells.fault(row, "tag", text)
    return group


def _slice(cells: Cells, row: Row) -> SliceRow:
    """One slice; where a cell is at fault the value is one that is never used."""
    station, x, y, axis_1, axis_2 = (cells.needed_length(row, name) or 0.0 for name in _LENGTHS)
    angle = cells.angle(row, "angle")
    if "angle" in cells.columns and not cells.raw(row, "angle"):
        cells.fault(row, "angle", "the cell is empty. Write the angle in degrees, 0 for level.")
    return SliceRow(station, x, y, axis_1, axis_2, angle or 0.0)


def _keep_constants(cells: Cells, group: _Group, row: Row) -> None:
    """Take up the first filled cell of what is one for the whole log, and any that differs from it."""
    for name in ("species", "bark"):
        cell = cells.text(row, name)
        kept, first = group.constants.setdefault(name, (cell, row)) if cell else (cell, row)
        if cell != kept:
            text = f"row {first.number} of the same log has {quoted(kept)}. Keep one of them."
            cells.fault(row, name, text)


def _tell(cells: Cells, group: _Group, log: SliceLog, *, tip_larger_ok: bool) -> None:
    """Take up what keeps the slices of one log from being a log, with the rows it stands in."""
    order = sorted(range(len(group.rows)), key=lambda k: group.slices[k].station_mm)
    for a, b in itertools.pairwise(order):
        if group.slices[b].station_mm - group.slices[a].station_mm < _SAME_PLACE_MM:
            said = f"row {group.rows[a].number} is at the same place. Keep one of them."
            cells.fault(group.rows[b], "station", said)
    next_of = dict.fromkeys(("axis_1", "axis_2"), 0)
    for fault in slice_faults(log):
        if cells.faults.is_full:
            cells.faults.add("")
        elif fault.field in next_of:
            k = _row_of(fault.text, fault.field, group, start=next_of[fault.field])
            next_of[fault.field] = k + 1
            cells.fault(group.rows[k], fault.field, fault.text)
        elif fault.field == "bark":
            _, row = group.constants["bark"]
            cells.fault(row, "bark", fault.text)
        # Without some of its slices a log's length and neighbors are not known.
        elif group.whole and "same place" not in fault.text:
            cells.fault(group.first, fault.field, f"log {group.tag}: {fault.text}")
    ends = [group.slices[order[end]] for end in (0, -1)]
    butt, tip = (0.5 * (end.axis_1_mm + end.axis_2_mm) for end in ends)
    if group.whole and tip > butt + TAPER_DOUBT_MM and not tip_larger_ok:
        said = (
            f"log {group.tag}: tip: {told(tip)} is larger than butt: {told(butt)}. Count stations "
            "from the butt, measure again, or accept it with --tip-larger-ok."
        )
        cells.fault(group.rows[order[-1]], "axis_1", said)


def _row_of(said: str, name: str, group: _Group, *, start: int) -> int:
    """Index of the slice that a fault of an axis speaks of; such faults come in the slices' order."""
    for k in range(start, len(group.slices)):
        if said.startswith(f"{name}: {told(getattr(group.slices[k], f'{name}_mm'))} "):
            return k
    return 0


def _with_angle_note(solid: LogSolid, log: SliceLog, *, angled: bool) -> LogSolid:
    """The log with a note where the direction of its axes is not written."""
    if angled or all(row.axis_1_mm == row.axis_2_mm for row in log.slices):
        return solid
    return replace(solid, notes=(*solid.notes, _ANGLE_NOTE))
