"""The list of timbers and boards that are wanted, with what they are worth, read from a table."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Final

from pithline.errors import WoodError
from pithline.job.cells import Cells
from pithline.job.faults import FaultList
from pithline.job.table import Form, Kind, Row, columns_of, read_sheet
from pithline.job.textfile import read_text, shown
from pithline.job.timber_rows import BOARD_VALUE, MOISTURE, ONLY_TIMBERS, TIMBER_VALUE, board_of, timber_of, words
from pithline.lengths import MM_PER_INCH
from pithline.lengths.spelling import quoted
from pithline.patterns.wanted import PriceList, WantedBoard, WantedTimber
from pithline.wood.cutsize import Wanted
from pithline.wood.species import Species, find_species

__all__ = ["MOST_LINES", "TIMBERS", "read_timbers", "timbers_from_text"]

MOST_LINES: Final = 500
"""Most lines of one list."""

_MOST_VALUE: Final = 1e6
_MOST_UNKNOWN: Final = 5
_CHANCE: Final = 0.95
_STEP_MM: Final = MM_PER_INCH / 16.0
_LENGTHS: Final = ("thickness", "width", "length", "allowance", "heart_margin", "wane")


def _kinds() -> dict[str, Kind]:
    """What each column of the list holds."""
    kinds: dict[str, Kind] = {"name": "text", "kind": "text", "notes": "text", "value": "number"}
    kinds.update(dict.fromkeys(ONLY_TIMBERS, "text"))
    kinds.update(dict.fromkeys(_LENGTHS, "length"))
    kinds.update(dict.fromkeys(("count", "faces"), "number"))
    kinds["moisture"] = "share"
    return kinds


TIMBERS: Final = Form(
    kinds=_kinds(),
    required=("name", "thickness", "width", "length"),
    example="name, count, thickness [in], width [in], length [ft], value",
    other_words=MappingProxyType(
        {
            "tag": "name",
            "id": "name",
            "timber": "name",
            "item": "name",
            "member": "name",
            "type": "kind",
            "number": "count",
            "quantity": "count",
            "qty": "count",
            "pieces": "count",
            "how_many": "count",
            "price": "value",
            "worth": "value",
            "height": "width",
            "depth": "width",
            "wood": "species",
            "pith": "heart",
            "planing": "allowance",
            "sides": "faces",
            "sawn_faces": "faces",
            "use": "role",
            "must": "need",
            "mc": "moisture",
        }
    ),
)
"""The columns of a list of timbers."""


@dataclass
class _Lines:
    """What has been read of one list.

    Attributes: `finished`, what every finished size has in common;
    `rows_of` each name; the lines themselves; how many of each kind came without a value.
    """

    finished: Wanted
    rows_of: dict[str, int] = field(default_factory=dict)
    timbers: list[WantedTimber] = field(default_factory=list)
    boards: list[WantedBoard] = field(default_factory=list)
    without_value: dict[str, int] = field(default_factory=lambda: {"timber": 0, "board": 0})


def read_timbers(
    path: str | Path, *, spread_mm: float, step_mm: float = _STEP_MM, own: Sequence[Species] = ()
) -> PriceList:
    """What a file of timbers asks of the logs.

    Parameters
    ----------
    path : str or Path
        A CSV file.
    spread_mm : float
        Standard deviation of the distance between two sawn faces of the kit,
        for finished sizes [mm].
    step_mm : float
        To whole numbers of which the cut size of a finished one is rounded up, 1/16 in where not given [mm].
    own : sequence of Species
        What the kit tells of species.

    Returns
    -------
    PriceList
        Timbers and boards in the file's order; its notes say what was taken for granted.

    Raises
    ------
    FileError
        The file cannot be read, or has faults; it tells all of them.
    WoodError
        `spread_mm` or `step_mm` is no such thing.

    Source
    ------
    definition
    """
    text = read_text(path)
    return timbers_from_text(text, file=shown(Path(path).name), spread_mm=spread_mm, step_mm=step_mm, own=own)


def timbers_from_text(
    text: str, *, file: str, spread_mm: float, step_mm: float = _STEP_MM, own: Sequence[Species] = ()
) -> PriceList:
    """What a table of timbers asks of the logs.

    Parameters
    ----------
    text : str
        The table.
    file : str
        Name for messages.
    spread_mm : float
        Standard deviation of the distance between two sawn faces of the kit,
        for finished sizes [mm].
    step_mm : float
        To whole numbers of which the cut size of a finished one is rounded up, 1/16 in where not given [mm].
    own : sequence of Species
        What the kit tells of species.

    Returns
    -------
    PriceList
        As from `read_timbers`.

    Raises
    ------
    FileError
        The table has faults; it tells all of them.
    WoodError
        `spread_mm` or `step_mm` is no such thing.

    Source
    ------
    definition
    """
    # The sizes stand in until a line has its own.
    finished = Wanted(100.0, 100.0, MOISTURE, spread_mm=spread_mm, chance=_CHANCE, step_mm=step_mm)
    faults = FaultList(file)
    sheet = read_sheet(text, file, faults=faults, most_rows=MOST_LINES)
    lines = _Lines(finished)
    if sheet is not None:
        columns = columns_of(sheet, TIMBERS, faults=faults)
        if not sheet.rows and not faults.count:
            faults.add(f"{file} has column heads and no rows: write a row for each timber or board.")
        cells = Cells(file, columns, faults)
        # Without all of its columns a table still has its cells read, for the faults in them.
        for row in sheet.rows if columns else ():
            _read_line(cells, row, lines)
    faults.raise_if_any()
    notes = (*_value_notes(lines, file), *_species_notes(lines, file, own))
    return PriceList(tuple(lines.timbers), tuple(lines.boards), notes)


def _read_line(cells: Cells, row: Row, lines: _Lines) -> None:
    """Take up one row, or its faults."""
    before = cells.faults.count
    name = words(cells, row, column="name")
    if "name" in cells.columns and not cells.raw(row, "name"):
        cells.fault(row, "name", "the cell is empty. Give each timber and board a name of its own.")
    known = lines.rows_of.setdefault(name.casefold(), row.number)
    if name and known != row.number:
        cells.fault(row, "name", f"the same name stands in row {known}. Give each line a name of its own.")
    kind = cells.choice(row, "kind", ("timber", "board"), blank="timber")
    value = cells.number(row, "value", most=_MOST_VALUE)
    if not cells.raw(row, "value"):
        lines.without_value[kind] += 1
    item: WantedTimber | WantedBoard | None
    if kind == "board":
        item = board_of(cells, row, name=name, value_bf=value)
    else:
        item = timber_of(cells, row, name=name, value_bf=value, finished=lines.finished)
    if cells.faults.count > before:
        return
    if isinstance(item, WantedTimber):
        lines.timbers.append(item)
    elif item is not None:
        lines.boards.append(item)


def _value_notes(lines: _Lines, file: str) -> tuple[str, ...]:
    """What was taken for the worth of lines that tell none."""
    timbers, boards = lines.without_value["timber"], lines.without_value["board"]
    taken = []
    if timbers:
        taken.append(f"a board foot of {timbers} timber{'s' if timbers > 1 else ''} is taken for {TIMBER_VALUE:g}")
    if boards:
        taken.append(f"a board foot of {boards} board{'s' if boards > 1 else ''} for {BOARD_VALUE:g}")
        if not timbers:
            taken = [taken[0].replace(" for ", " is taken for ")]
    count = timbers + boards
    have = "line has" if count == 1 else "lines have"
    return (f"{file}: {count} {have} no value: {', '.join(taken)}.",) if count else ()


def _species_notes(lines: _Lines, file: str, own: Sequence[Species]) -> tuple[str, ...]:
    """Species asked for that no table knows: a slip of the pen would keep a timber out of every log."""
    unknown = []
    for name in dict.fromkeys(name for item in lines.timbers for name in item.species):
        try:
            find_species(name, own)
        except WoodError:
            unknown.append(quoted(name))
        if len(unknown) == _MOST_UNKNOWN:
            break
    if not unknown:
        return ()
    named = ", ".join(unknown)
    return (f"{file}: the tables know no species {named}; only logs tallied in the same words will do for it.",)
