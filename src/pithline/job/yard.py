"""A yard of logs read from a table: a tally with the tape, or slices of scanned logs."""

import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Final

from pithline.job.cells import Cells
from pithline.job.faults import FaultList
from pithline.job.slices import MOST_SLICES, SLICES, slice_logs
from pithline.job.table import MOST_COLUMNS, Column, Form, Kind, Row, Sheet, columns_of, plain_name, read_sheet
from pithline.job.textfile import read_text, shown
from pithline.logs import LogSolid, Middle, RotHole, TallyLog, solid_from_tally, tally_faults

__all__ = ["MOST_LOGS", "TALLY", "read_yard", "yard_from_text"]

MOST_LOGS: Final = 5_000
"""Most logs of one tally."""

_MOST_MIDDLES: Final = 20
_SIZES: Final = ("length", "butt", "tip", "butt_2", "tip_2")
_ROT: Final = ("rot_high", "rot_wide", "rot_long")
_LENGTHS: Final = (*_SIZES, "crown", "crown_at", "bark", "butt_pith", "tip_pith", "sapwood", *_ROT)
_CLOCKS: Final = ("oval_clock", "crown_clock", "butt_pith_clock", "tip_pith_clock")
_MIDDLE: Final = re.compile(r"mid_(?P<number>[0-9]+)(?P<rest>_at|_2)?")
_OVAL_NOTE: Final = "The first diameter of each pair is taken as level, 3 o'clock, since no oval_clock is given."


def _tally_kinds() -> dict[str, Kind]:
    """What each column of a tally holds."""
    kinds: dict[str, Kind] = {"tag": "text", "species": "text", "notes": "text"}
    kinds.update(dict.fromkeys(_LENGTHS, "length"))
    kinds.update(dict.fromkeys(_CLOCKS, "clock"))
    for number in range(1, _MOST_MIDDLES + 1):
        kinds.update(dict.fromkeys((f"mid_{number}_at", f"mid_{number}", f"mid_{number}_2"), "length"))
    return kinds


TALLY: Final = Form(
    kinds=_tally_kinds(),
    required=("tag", "species", "length", "butt", "tip"),
    example="tag, species, length [ft], butt [in], tip [in]",
)
"""The columns of a tally."""


def read_yard(path: str | Path, *, tip_larger_ok: bool = False) -> tuple[LogSolid, ...]:
    """Logs of a yard file, a tally or slices as its column heads say.

    Parameters
    ----------
    path : str or Path
        A CSV file.
    tip_larger_ok : bool, default False
        Take a tip larger than the butt as measured.

    Returns
    -------
    tuple of LogSolid
        One or more, in the file's order.

    Raises
    ------
    FileError
        The file cannot be read, or has faults; it tells all of them.

    Source
    ------
    definition
    """
    text = read_text(path)
    return yard_from_text(text, file=shown(Path(path).name), tip_larger_ok=tip_larger_ok)


def yard_from_text(text: str, *, file: str, tip_larger_ok: bool = False) -> tuple[LogSolid, ...]:
    """Logs of a yard's table.

    Parameters
    ----------
    text : str
        The table.
    file : str
        Name for messages; its stem is the tag of a scanned log that has none.
    tip_larger_ok : bool, default False
        Take a tip larger than the butt as measured.

    Returns
    -------
    tuple of LogSolid
        One or more, in the table's order.

    Raises
    ------
    FileError
        The table has faults; it tells all of them.

    Source
    ------
    definition
    """
    faults = FaultList(file)
    form = _form_of(text, file)
    most_rows = MOST_SLICES if form is SLICES else MOST_LOGS
    sheet = read_sheet(text, file, faults=faults, most_rows=most_rows)
    logs: list[LogSolid] = []
    if sheet is not None:
        columns = columns_of(sheet, form, faults=faults)
        if form is TALLY:
            _check_middles(sheet, columns, faults)
        if not sheet.rows and not faults.count:
            faults.add(f"{file} has column heads and no rows: write a row for each log.")
        cells = Cells(file, columns, faults)
        complete = all(name in columns for name in form.required)
        # Without all of its columns a table still has its cells read, for the faults in them.
        if form is SLICES:
            logs = slice_logs(sheet, cells, tip_larger_ok=tip_larger_ok, complete=complete)
        elif columns:
            logs = list(_tally_logs(sheet, cells, tip_larger_ok=tip_larger_ok, complete=complete))
    faults.raise_if_any()
    return tuple(logs)


def _form_of(text: str, file: str) -> Form:
    """The form that more of the column heads belong to; a tally where neither has more."""
    unheard = FaultList(file)
    sheet = read_sheet(text, file, faults=unheard, most_rows=0)
    names = {plain_name(head) for head in sheet.head.cells[:MOST_COLUMNS]} if sheet else set()
    tally = names & (TALLY.kinds.keys() - SLICES.kinds.keys())
    slices = names & (SLICES.kinds.keys() - TALLY.kinds.keys())
    return SLICES if len(slices) > len(tally) else TALLY


def _check_middles(sheet: Sheet, columns: dict[str, Column], faults: FaultList) -> None:
    """A middle diameter needs a column for its place, and the other way round."""
    where = f"{sheet.file} row {sheet.head.number}"
    for number in range(1, _MOST_MIDDLES + 1):
        at, first, second = f"mid_{number}_at", f"mid_{number}", f"mid_{number}_2"
        held = [name for name in (at, first, second) if name in columns]
        if held and (at not in held or first not in held):
            lacking = at if at not in held else first
            faults.add(
                f"{where}: the column {lacking} is missing beside {held[0]}. Add it: "
                f"{at} is the distance from the butt, {first} the diameter there."
            )


def _tally_logs(sheet: Sheet, cells: Cells, *, tip_larger_ok: bool, complete: bool) -> Iterator[LogSolid]:
    """Logs of the rows that have no fault."""
    rows_of: dict[str, int] = {}
    for row in sheet.rows:
        before = cells.faults.count
        middles = dict(_middles(cells, row))
        log = _tally_row(cells, row, tuple(middles.values()))
        known = rows_of.setdefault(log.tag.casefold(), row.number)
        if log.tag and known != row.number:
            text = f"the same tag stands in row {known}. Give each log a tag of its own."
            cells.fault(row, "tag", text)
        # The other measures are judged against the sizes, so these must have been read.
        if not complete or any((row.number, name) in cells.at_fault for name in _SIZES):
            continue
        for fault in tally_faults(log, tip_larger_ok=tip_larger_ok):
            name = _as_column(fault.field, tuple(middles))
            if (row.number, name) not in cells.at_fault:
                cells.fault(row, name, fault.text.replace(f"{fault.field}:", f"{name}:", 1))
        if cells.faults.count == before:
            solid = solid_from_tally(log, tip_larger_ok=tip_larger_ok)
            yield _with_oval_note(solid, log, cells.raw(row, "oval_clock"))


def _tally_row(cells: Cells, row: Row, middles: tuple[Middle, ...]) -> TallyLog:
    """One row as a tally; where a cell is at fault the value is one that is never used."""

    def or_else(value: float | None, other: float) -> float:
        return other if value is None else value

    def length(name: str) -> float | None:
        return cells.length(row, name)

    _check_pairs(cells, row)
    return TallyLog(
        tag=cells.needed_text(row, "tag", "Give the log a tag, as it is written on its butt."),
        species=cells.needed_text(row, "species", "Write the species, or unknown."),
        length_mm=or_else(cells.needed_length(row, "length"), math.nan),
        butt_mm=or_else(cells.needed_length(row, "butt"), math.nan),
        tip_mm=or_else(cells.needed_length(row, "tip"), math.nan),
        butt_2_mm=length("butt_2"),
        tip_2_mm=length("tip_2"),
        oval_clock=or_else(cells.clock(row, "oval_clock"), 3.0),
        middles=middles,
        crown_mm=or_else(length("crown"), 0.0),
        crown_at_mm=length("crown_at"),
        crown_clock=or_else(cells.clock(row, "crown_clock"), 12.0),
        bark_mm=length("bark"),
        butt_pith_mm=or_else(length("butt_pith"), 0.0),
        butt_pith_clock=or_else(cells.clock(row, "butt_pith_clock"), 12.0),
        tip_pith_mm=or_else(length("tip_pith"), 0.0),
        tip_pith_clock=or_else(cells.clock(row, "tip_pith_clock"), 12.0),
        sapwood_mm=length("sapwood"),
        rot=_rot(cells, row),
    )


def _rot(cells: Cells, row: Row) -> RotHole | None:
    """Rot as tallied: height and width together, and how far it runs."""
    written = [name for name in _ROT if cells.raw(row, name)]
    if not written:
        return None
    for name in _ROT[:2]:
        if name not in written:
            said = f"{name} is missing. Give rot_high and rot_wide, the rectangle round the rot in the end."
            cells.fault(row, written[0], said, kind=f"no {name}")
    height, width, length = (cells.length(row, name) for name in _ROT)
    return None if height is None or width is None else RotHole(height, width, length)


def _check_pairs(cells: Cells, row: Row) -> None:
    """What is measured toward a side needs that side, and a place needs what is measured there."""
    for size in ("crown", "butt_pith", "tip_pith"):
        clock, written = f"{size}_clock", cells.raw(row, size)
        if written and not cells.raw(row, clock) and _is_some(written):
            said = f"the side is missing. Write {clock}, seen from the butt, as in 2 or 2:30."
            cells.fault(row, size, said, kind=f"no {clock}")
        if not written and cells.raw(row, clock):
            cells.fault(row, clock, f"there is no {size} in this row. Write it, or 0 in.")
    if cells.raw(row, "crown_at") and not cells.raw(row, "crown"):
        cells.fault(row, "crown_at", "there is no crown in this row. Write it, or 0 in.")


def _is_some(written: str) -> bool:
    """Whether a measure is anything but a plain zero."""
    return bool(re.search("[1-9]", written))


def _middles(cells: Cells, row: Row) -> Iterator[tuple[int, Middle]]:
    """Middle diameters of a row, with their numbers."""
    for number in range(1, _MOST_MIDDLES + 1):
        at, first, second = f"mid_{number}_at", f"mid_{number}", f"mid_{number}_2"
        if not any(cells.raw(row, name) for name in (at, first, second)):
            continue
        for name in (at, first):
            if name in cells.columns and not cells.raw(row, name):
                cells.fault(row, name, "the cell is empty. Fill it, or leave all of its set empty.")
        at_mm, first_mm = cells.length(row, at), cells.length(row, first)
        second_mm = cells.length(row, second)
        if at_mm is not None and first_mm is not None:
            yield number, Middle(at_mm, first_mm, second_mm)


def _as_column(field: str, numbers: tuple[int, ...]) -> str:
    """The column behind a field; middles are counted without gaps there, and by name here."""
    match = _MIDDLE.fullmatch(field)
    if match is None:
        return field
    return f"mid_{numbers[int(match['number']) - 1]}{match['rest'] or ''}"


def _with_oval_note(solid: LogSolid, log: TallyLog, oval_clock: str) -> LogSolid:
    """The log with a note where the direction of its two diameters is not written."""
    pairs = [(log.butt_mm, log.butt_2_mm), (log.tip_mm, log.tip_2_mm)]
    pairs += [(middle.first_mm, middle.second_mm) for middle in log.middles]
    oval = any(second is not None and second != first for first, second in pairs)
    return replace(solid, notes=(*solid.notes, _OVAL_NOTE)) if oval and not oval_clock else solid
