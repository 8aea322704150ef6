"""A table of text: its delimiter, its rows as a spreadsheet numbers them, and its column heads."""

import csv
import difflib
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

from pithline.job.faults import FaultList
from pithline.lengths.spelling import quoted
from pithline.lengths.units import UNIT_WORDS, Unit

__all__ = ["MOST_COLUMNS", "Column", "Form", "Kind", "Row", "Sheet", "columns_of", "plain_name", "read_sheet"]

Kind = Literal["text", "length", "signed length", "clock", "angle", "number", "share"]
"""What the cells of a column hold."""

MOST_COLUMNS: Final = 200
"""Heads past these are not looked at."""

_MOST_ROWS: Final = 200_000
_LONGEST_NAME: Final = 40
_DELIMITERS: Final = (",", ";", "\t")
_HEAD: Final = re.compile(r"(?P<name>[^\[\]()]*)(?:[\[(](?P<unit>[^\[\]()]*)[\])]\s*)?")
_DEGREES: Final = ("deg", "degree", "degrees", "\u00b0")
# A number, or what a spreadsheet shows for a formula that fails, as in #REF! or #N/A.
_NUMBERED_COMMENT: Final = re.compile(r"\s*#(?:\d|[A-Z]+[!?/])")

# What is written in place of a column's name, and the name that is meant.
_OTHER_WORDS: Final = {
    "top": "tip",
    "small_end": "tip",
    "large_end": "butt",
    "sweep": "crown",
    "bow": "crown",
    "id": "tag",
    "log": "tag",
    "number": "tag",
    "wood": "species",
    "z": "station",
    "diameter": "axis_1",
}


@dataclass(frozen=True)
class Form:
    """One kind of table.

    Attributes: `kinds`, what each column holds, under its name; `required`
    columns; `example`, a head line that would do; `other_words`, what may be
    written in place of a column's name, and the name that is meant.
    """

    kinds: Mapping[str, Kind]
    required: tuple[str, ...]
    example: str
    other_words: Mapping[str, str] = field(default_factory=lambda: _OTHER_WORDS)


@dataclass(frozen=True)
class Column:
    """One column of a table: its name, what it holds, the unit in its head, its place from 0."""

    name: str
    kind: Kind
    unit: Unit | None
    place: int


@dataclass(frozen=True)
class Row:
    """One row: its number as a spreadsheet shows it, and its cells."""

    number: int
    cells: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """A table as text: the file's name, the head row and the rows below it."""

    file: str
    head: Row
    rows: tuple[Row, ...]


class _Lines:
    """Lines for the csv reader, in which comment lines between two records are emptied."""

    def __init__(self, text: str) -> None:
        self._lines = io.StringIO(text, newline="")
        self.between = True
        self.first = ""

    def __iter__(self) -> Iterator[str]:
        return self

    def __next__(self) -> str:
        line = next(self._lines)
        if self.between:
            self.between = False
            self.first = line
            if line.lstrip().startswith("#"):
                return "\n"
        return line


def _delimiter(text: str) -> str:
    """The mark that occurs most in the head line outside quotation marks; a comma where none does."""
    lines = (line.strip() for line in io.StringIO(text, newline=""))
    head = next((line for line in lines if line and not line.startswith("#")), "")
    bare = "".join(head.split('"')[::2])
    return max(_DELIMITERS, key=bare.count)


def _why(error: csv.Error) -> tuple[str, bool]:
    """Sentence for an error of the csv reader, and whether what follows can still be read."""
    said = str(error)
    if "expected after" in said:
        return (
            "a quotation mark stands inside a cell that is set in quotation marks. Write it twice, "
            'as in "21\' 6""", or leave the outer marks away.',
            True,
        )
    if "end of data" in said or "field larger" in said:
        return "a quotation mark is opened and not closed. Close it, or take it away.", False
    return f"it cannot be read as a row of a table ({said}). Save the file again as CSV.", False


def read_sheet(text: str, file: str, *, faults: FaultList, most_rows: int) -> Sheet | None:
    """A table's head and rows, as text.

    Parameters
    ----------
    text : str
        Comma, semicolon or tab between cells, quotation marks as in RFC 4180. Blank lines and
        those that start with # are passed over.
    file : str
        Name for messages.
    faults : FaultList
        Takes what is wrong.
    most_rows : int
        Most rows below the head.

    Returns
    -------
    Sheet or None
        None where there is no head. A row whose cells do not match the head is left out.

    Source
    ------
    RFC 4180 for the quotation marks; the other rules are this program's own
    """
    delimiter = _delimiter(text)
    head: Row | None = None
    rows: list[Row] = []
    for record in _records(text, delimiter, file=file, faults=faults):
        if head is None:
            head = _head(record)
        elif len(rows) >= most_rows:
            faults.add(
                f"{file} row {record.number}: more than {most_rows:,} rows are not read. "
                "Check that it is the right file, or split it."
            )
            break
        else:
            cells = _fitted(record, head, delimiter=delimiter, file=file, faults=faults)
            if cells is not None:
                rows.append(Row(record.number, cells))
    if head is None:
        faults.add(f"{file} has no column heads and no rows: check that it was saved.")
        return None
    return Sheet(file, head, tuple(rows))


def _records(text: str, delimiter: str, *, file: str, faults: FaultList) -> Iterator[Row]:
    """Rows that hold anything, with their numbers."""
    lines = _Lines(text)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    cells_of_head = 0
    for number in range(1, _MOST_ROWS + 2):
        lines.between = True
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            why, goes_on = _why(error)
            faults.add(f"{file} row {number}: {why}")
            if goes_on:
                continue
            return
        if number > _MOST_ROWS:
            break
        if not cells and _NUMBERED_COMMENT.match(lines.first):
            # Nothing but a comment before the head can be meant.
            if cells_of_head and lines.first.count(delimiter) == cells_of_head - 1:
                faults.add(
                    f"{file} row {number}: read {quoted(lines.first.strip())}; a row that starts "
                    "with # is passed over. Put a space behind the # if that is meant, else write "
                    "the tag without it."
                )
            continue
        filled = [cell for cell in cells if cell.strip()]
        # A spreadsheet saves a comment as the only filled cell of its row.
        if filled and not (len(filled) == 1 and cells[0].lstrip().startswith("#")):
            cells_of_head = cells_of_head or len(cells)
            yield Row(number, tuple(cells))
    faults.add(f"{file} has more than {_MOST_ROWS:,} rows: check that it is the right file.")


def _head(record: Row) -> Row:
    """The head without the empty cells at its end."""
    cells = list(record.cells)
    while not cells[-1].strip():
        cells.pop()
    return Row(record.number, tuple(cells))


def _fitted(record: Row, head: Row, *, delimiter: str, file: str, faults: FaultList) -> tuple[str, ...] | None:
    """The cells of a row where there are as many as heads; empty ones past the last head go."""
    wanted = len(head.cells)
    cells = record.cells
    if len(cells) > wanted and not any(cell.strip() for cell in cells[wanted:]):
        cells = cells[:wanted]
    if len(cells) == wanted:
        return cells
    where = f"{file} row {record.number}: {len(cells)} cells under {wanted} column heads."
    if len(cells) < wanted:
        faults.add(f"{where} Fill the row up with empty cells, or write what is missing.")
    elif delimiter == ",":
        faults.add(
            f"{where} Take the extra cells away; a cell that has a comma of its own, "
            "as in 43,5, stands in quotation marks."
        )
    else:
        faults.add(f"{where} Take the extra cells away.")
    return None


def plain_name(head: str) -> str:
    """Name in a column's head, in lower case, with underscores and without its unit.

    Parameters
    ----------
    head : str
        As written, such as Butt-2 [in].

    Returns
    -------
    str
        Such as butt_2.

    Source
    ------
    this program's own rule
    """
    match = _HEAD.fullmatch(head)
    name = match["name"] if match else head
    return re.sub(r"[\s_-]+", "_", name.strip().lower()).strip("_")


def columns_of(sheet: Sheet, form: Form, *, faults: FaultList) -> dict[str, Column]:
    """The columns of a table under their names.

    Parameters
    ----------
    sheet : Sheet
        The table.
    form : Form
        What it should be.
    faults : FaultList
        Takes unknown, doubled and missing columns, and units that are none.

    Returns
    -------
    dict of str to Column
        The columns that are known, the first of those with one name.

    Source
    ------
    this program's own rules
    """
    where = f"{sheet.file} row {sheet.head.number}"
    heads = sheet.head.cells
    if len(heads) > MOST_COLUMNS:
        faults.add(f"{where}: {len(heads)} columns, and no table here has over {MOST_COLUMNS}.")
        heads = heads[:MOST_COLUMNS]
    if not any(plain_name(head) in form.kinds for head in heads):
        faults.add(
            f"{where}: read {quoted(', '.join(heads))}; no column head is known. "
            f"The first row names the columns, as in: {form.example}"
        )
        return {}
    columns: dict[str, Column] = {}
    for place, head in enumerate(heads):
        name = plain_name(head)
        at = f"{where}, column {place + 1}: read {quoted(head)};"
        if not name:
            faults.add(f"{where}, column {place + 1}: it has no head. Name it, or take it away.")
        elif name not in form.kinds:
            faults.add(f"{at} no such column is known. {_nearest(name, form)}")
        elif name in columns:
            faults.add(f"{at} the column {name} is there twice. Keep one of them.")
        else:
            unit = _unit_of(head, form.kinds[name], where=at, faults=faults)
            columns[name] = Column(name, form.kinds[name], unit, place)
    for name in form.required:
        if name not in columns:
            example = f"{name} [in] or {name} [mm]" if "length" in form.kinds[name] else name
            faults.add(f"{where}: the column {name} is missing. Add it with the head {example}.")
    return columns


def _nearest(name: str, form: Form) -> str:
    """Sentence on the known column that may be meant."""
    near = difflib.get_close_matches(name[:_LONGEST_NAME], form.kinds, n=1)
    other = form.other_words.get(name)
    best = other if other in form.kinds else near[0] if near else None
    return f"Is {best} meant?" if best else "Take it away; what is not to be read goes in notes."


def _unit_of(head: str, kind: Kind, *, where: str, faults: FaultList) -> Unit | None:
    """The unit in a head, None where there is none or none that will do."""
    match = _HEAD.fullmatch(head)
    written = match["unit"] if match else None
    if written is None:
        return None
    word = written.strip().lower().rstrip(".")
    if "length" in kind:
        unit = UNIT_WORDS.get(word)
        if unit is None:
            faults.add(f"{where} {quoted(written)} is no unit of length. Write ft, in, mm, cm or m.")
        return unit
    if not (kind == "angle" and word in _DEGREES):
        is_a = {
            "text": "is text",
            "clock": "is a clock position",
            "angle": "is in degrees",
            "number": "is a plain number",
            "share": "has its unit in every cell, as in 12 %,",
        }[kind]
        faults.add(f"{where} this column {is_a} and takes no such unit. Take the unit away.")
    return None
