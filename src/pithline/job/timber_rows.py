"""One row of a list of timbers: a timber with its rules, or a board."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any, Final

from pithline.errors import TimberError, WoodError
from pithline.fit import Heart, Timber
from pithline.job.cells import Cells
from pithline.job.table import Row
from pithline.lengths import MM_PER_INCH
from pithline.lengths.spelling import quoted
from pithline.patterns.wanted import WantedBoard, WantedTimber
from pithline.wood.cutsize import Wanted
from pithline.wood.reading import parse_moisture

__all__ = ["BOARD_VALUE", "MOISTURE", "ONLY_TIMBERS", "TIMBER_VALUE", "board_of", "timber_of", "words"]

TIMBER_VALUE: Final = 1.0
"""Worth of a timber's board foot where none is written."""

BOARD_VALUE: Final = 0.5
"""Worth of a board's board foot where none is written."""

MOISTURE: Final = 0.12
"""Moisture in the building where none is written [fraction]."""

ONLY_TIMBERS: Final = (
    "count",
    "size",
    "moisture",
    "allowance",
    "faces",
    "heart",
    "heart_margin",
    "wane",
    "species",
    "role",
    "need",
)
"""Columns that a board leaves empty."""

_MOST_COUNT: Final = 9_999
_LONGEST_SPECIES: Final = 300
_HEART_MARGIN_MM: Final = 0.5 * MM_PER_INCH
_FORMULA: Final = re.compile(r"[=+@]|#[A-Z]+[!?/]")
_HEARTS: Final[Mapping[str, Heart]] = MappingProxyType({"any": "any", "boxed": "boxed", "free": "free"})
_WITH_UNIT: Final = "Write it with its unit."
# A size that any board may have, while another of its sizes is judged.
_SOME_BOARD: Final = MappingProxyType({"thickness_mm": 25.0, "least_width_mm": 100.0, "least_length_mm": 1_000.0})


def words(cells: Cells, row: Row, *, column: str, longest: int = 80) -> str:
    """Text of a cell that is none of a spreadsheet's formulas.

    Parameters
    ----------
    cells : Cells
        Reader of the table, which takes the faults.
    row : Row
        The row.
    column : str
        Its name.
    longest : int
        Most characters.

    Returns
    -------
    str
        On one line, empty where the cell is.

    Source
    ------
    definition
    """
    text = cells.text(row, column, longest=longest)
    if _FORMULA.match(text):
        cells.fault(row, column, "this is a spreadsheet's formula or its error. Write the words that are meant.")
    return text


def board_of(cells: Cells, row: Row, *, name: str, value_bf: float | None) -> WantedBoard | None:
    """The board of a row.

    Parameters
    ----------
    cells : Cells
        Reader of the table, which takes the faults.
    row : Row
        The row.
    name : str
        Its name.
    value_bf : float or None
        Worth of a board foot, None where none is written.

    Returns
    -------
    WantedBoard or None
        None where the row has a fault.

    Source
    ------
    definition
    """
    for column in ONLY_TIMBERS:
        if cells.raw(row, column):
            cells.fault(row, column, "this column is for timbers, and the row is a board. Leave the cell empty.")
    sizes = {
        "thickness_mm": cells.needed_length(row, "thickness", _WITH_UNIT),
        "least_width_mm": cells.needed_length(row, "width", "Write the least width, with its unit."),
        "least_length_mm": cells.needed_length(row, "length", "Write the least length, with its unit."),
    }
    for (field, size), column in zip(sizes.items(), ("thickness", "width", "length"), strict=True):
        # A cell that is empty or cannot be read has its fault already.
        said = None if size is None else _board_fault({field: size})
        if said is not None:
            # The board's sentence on its least sizes names both, and one of them only stood in.
            limits = f"as least width and least length {said.partition('; ')[2]}"
            cells.fault(row, column, said if column == "thickness" else limits)
    known = {field: size for field, size in sizes.items() if size is not None}
    if len(known) < len(sizes) or _board_fault(known) is not None:
        return None
    return WantedBoard(name, **known, value_bf=BOARD_VALUE if value_bf is None else value_bf)


def _board_fault(sizes: Mapping[str, float]) -> str | None:
    """What keeps sizes from being a board's, None where nothing does."""
    try:
        WantedBoard("", **{**_SOME_BOARD, **sizes}, value_bf=0.0)
    except TimberError as error:
        return str(error).removeprefix(": ")
    return None


def timber_of(cells: Cells, row: Row, *, name: str, value_bf: float | None, finished: Wanted) -> WantedTimber | None:
    """The timber of a row.

    Parameters
    ----------
    cells : Cells
        Reader of the table, which takes the faults.
    row : Row
        The row.
    name : str
        Its name.
    value_bf : float or None
        Worth of a board foot, None where none is written.
    finished : Wanted
        What all finished sizes of the list have in common.

    Returns
    -------
    WantedTimber or None
        None where the row has a fault.

    Source
    ------
    definition
    """
    before = cells.faults.count
    rules = _rules(cells, row)
    wanted = _finished(cells, row, rules, finished)
    count = cells.whole(row, "count", most=_MOST_COUNT)
    species = tuple(_species(cells, row))
    role = words(cells, row, column="role")
    need = cells.choice(row, "need", ("must", "nice"), blank="must")
    if cells.faults.count > before or "thickness_mm" not in rules or "width_mm" not in rules:
        return None
    return WantedTimber(
        name,
        Timber(**rules),
        count=count,
        value_bf=TIMBER_VALUE if value_bf is None else value_bf,
        species=species,
        wanted=wanted,
        is_must=need == "must",
        role=role,
    )


def _rules(cells: Cells, row: Row) -> dict[str, Any]:
    """Sizes and rules of a timber that could be read and can be, under the names that `Timber` has for them."""
    is_log = cells.raw(row, "length").casefold() == "log"
    read = {
        "thickness": cells.needed_length(row, "thickness", _WITH_UNIT),
        "width": cells.needed_length(row, "width", _WITH_UNIT),
        "length": None
        if is_log
        else cells.needed_length(row, "length", "Write it with its unit, or log for the whole log."),
        "allowance": cells.length(row, "allowance"),
        "wane": cells.length(row, "wane"),
        "heart_margin": cells.length(row, "heart_margin"),
    }
    rules: dict[str, Any] = {f"{column}_mm": size for column, size in read.items() if size is not None}
    rules.setdefault("heart_margin_mm", _HEART_MARGIN_MM)
    rules["sawn_faces"] = int(cells.choice(row, "faces", ("2", "3", "4"), blank="4"))
    rules["heart"] = _HEARTS[cells.choice(row, "heart", tuple(_HEARTS), blank="any")]
    for column, said in _timber_faults(rules):
        cells.fault(row, column, said)
    return rules


def _timber_faults(rules: Mapping[str, Any]) -> Iterator[tuple[str, str]]:
    """Column and sentence of each rule that a timber cannot have; each is judged by itself."""
    if "thickness_mm" not in rules or "width_mm" not in rules:
        return
    sizes = {"thickness_mm": rules["thickness_mm"], "width_mm": rules["width_mm"]}
    said = _timber_fault(sizes)
    if said is not None:
        thickness = sizes["thickness_mm"]
        thin = _timber_fault({"thickness_mm": thickness, "width_mm": thickness}) is not None
        yield ("thickness" if thin else "width"), said
        return
    for column in ("length", "allowance", "wane"):
        if f"{column}_mm" in rules:
            said = _timber_fault({**sizes, f"{column}_mm": rules[f"{column}_mm"]})
            if said is not None:
                yield column, said
    heart = {key: rules[key] for key in ("heart", "heart_margin_mm", "sawn_faces")}
    if "allowance_mm" in rules and _timber_fault({**sizes, "allowance_mm": rules["allowance_mm"]}) is None:
        heart["allowance_mm"] = rules["allowance_mm"]
    said = _timber_fault({**sizes, **heart})
    if said is not None:
        yield "heart_margin", said


def _timber_fault(rules: Mapping[str, Any]) -> str | None:
    """What keeps rules from being a timber's, None where nothing does."""
    try:
        Timber(**rules)
    except TimberError as error:
        return str(error).partition(": ")[2]
    return None


def _finished(cells: Cells, row: Row, rules: Mapping[str, Any], finished: Wanted) -> Wanted | None:
    """The finished size in the building, None where the size is that of the green timber."""
    moisture = _moisture(cells, row)
    if cells.choice(row, "size", ("cut", "finished"), blank="cut") == "cut":
        if cells.raw(row, "moisture") and (row.number, "size") not in cells.at_fault:
            said = "it counts for a finished size only. Write finished under size, or leave the cell empty."
            cells.fault(row, "moisture", said)
        return None
    if moisture is None:
        return None
    try:
        replace(finished, moisture=moisture)
    except WoodError as error:
        cells.fault(row, "moisture", str(error).partition(": ")[2])
        return None
    sizes = {key: rules[key] for key in ("thickness_mm", "width_mm", "allowance_mm") if key in rules}
    try:
        return replace(finished, **sizes, sawn_faces=rules["sawn_faces"], moisture=moisture)
    except WoodError:
        # The limits of a timber are the same, and its faults are told.
        return None


def _moisture(cells: Cells, row: Row) -> float | None:
    """Moisture in the building, None where the cell cannot be read."""
    cell = cells.raw(row, "moisture")
    if not cell:
        return MOISTURE
    try:
        return parse_moisture(cell)
    except WoodError as error:
        said = str(error).removeprefix(f"moisture: read {quoted(cell)}")
        cells.fault(row, "moisture", said.lstrip(",; ").removeprefix("and "))
        return None


def _species(cells: Cells, row: Row) -> Iterator[str]:
    """Names of the species that will do."""
    text = words(cells, row, column="species", longest=_LONGEST_SPECIES)
    names = [name.strip() for name in re.split("[;|]", text)]
    if text and not any(names):
        cells.fault(row, "species", "there is no name in it. Write one or more with | between, or leave it empty.")
    for name in names:
        if name:
            yield name
