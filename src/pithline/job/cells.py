"""Cells of a table read as text, lengths, clock positions, angles, numbers and choices."""

import re
from collections.abc import Mapping, Sequence
from typing import Final

from pithline.errors import LengthError
from pithline.job.faults import FaultList, said_of
from pithline.job.table import Column, Row
from pithline.lengths import parse
from pithline.lengths.digits import decimal
from pithline.lengths.spelling import plain, quoted

__all__ = ["Cells"]

_LONGEST: Final = 80
_CLOCK: Final = re.compile(
    r"(?P<hours>[0-9]{1,2})"
    r"(?:[.,](?P<tenths>[0-9]{1,6})"
    r"|:(?P<minutes>[0-5][0-9])(?::00)?"
    r"|[ -](?P<part>1/2|1/4|3/4))?"
    r"(?: ?o'? ?clock)?"
)
_PARTS: Final = {None: 0.0, "1/4": 0.25, "1/2": 0.5, "3/4": 0.75}
_ANGLE: Final = re.compile(r"(?P<number>[+-]?[0-9]{1,3}(?:[.,][0-9]{1,9})?) ?(?:deg(?:rees?)?[.]?|\u00b0)?")
_NUMBER: Final = re.compile(r"[0-9]{1,9}(?:[.,][0-9]{0,9})?|[.][0-9]{1,9}")
_WHOLE: Final = re.compile(r"[0-9]{1,6}")


class Cells:
    """Reads the cells of one table; what cannot be read becomes a fault and None.

    Attributes: `file`, the name for messages; `columns` by name; `faults`;
    `at_fault`, row number and column of each cell that has one.
    """

    def __init__(self, file: str, columns: Mapping[str, Column], faults: FaultList) -> None:
        self.file = file
        self.columns = columns
        self.faults = faults
        self.at_fault: set[tuple[int, str]] = set()

    def raw(self, row: Row, name: str) -> str:
        """Cell as written, without spaces around it; empty where there is no such column."""
        column = self.columns.get(name)
        return "" if column is None else row.cells[column.place].strip()

    def fault(self, row: Row, name: str, text: str, *, kind: str | None = None) -> None:
        """Take up a fault of one cell: file, row, column, what was read, and a sentence."""
        self.at_fault.add((row.number, name))
        if self.faults.is_full and kind is None:
            self.faults.add("")
            return
        cell, column = self.raw(row, name), self.columns.get(name)
        unit = f" [{column.unit}]" if column and column.unit and _is_bare(cell) else ""
        read = f"read {quoted(cell)}{unit}; " if cell else ""
        self.faults.add(f"{self.file} row {row.number}, column {name}: {read}{text}", kind=kind)

    def text(self, row: Row, name: str, *, longest: int = _LONGEST) -> str:
        """Text on one line, empty where the cell is."""
        cell = " ".join(self.raw(row, name).split())
        if len(cell) > longest:
            self.fault(row, name, f"it has {len(cell)} characters. Write {longest} or fewer.")
        elif not cell.isprintable():
            self.fault(row, name, "it has characters that cannot be printed. Write it again.")
        return cell

    def needed_text(self, row: Row, name: str, remedy: str) -> str:
        """Text that must be there; the remedy ends the sentence where it is not."""
        if name in self.columns and not self.raw(row, name):
            self.fault(row, name, f"the cell is empty. {remedy}")
        return self.text(row, name)

    def length(self, row: Row, name: str) -> float | None:
        """Length in millimeters, in the cell's own unit or else the head's."""
        cell = self.raw(row, name)
        if not cell:
            return None
        if "\n" in cell or "\r" in cell:
            text = "the cell runs over several lines. Is a quotation mark missing, or one too many?"
            self.fault(row, name, text)
            return None
        column = self.columns[name]
        signed = column.kind == "signed length"
        try:
            return parse(cell, bare=column.unit, signed=signed)
        except LengthError as error:
            if column.unit is None and _is_bare(cell):
                text = (
                    "it has no unit. Write the unit in the cell, or in the head for the whole "
                    f"column, as in {name} [in] or {name} [mm]."
                )
                self.fault(row, name, text, kind=f"no unit in {name}")
            else:
                self.fault(row, name, said_of(cell, error))
        return None

    def needed_length(
        self, row: Row, name: str, remedy: str = "Measure it and write it with its unit."
    ) -> float | None:
        """Length that must be there; the remedy ends the sentence where it is not."""
        if name in self.columns and not self.raw(row, name):
            self.fault(row, name, f"the cell is empty. {remedy}")
        return self.length(row, name)

    def choice(self, row: Row, name: str, words: Sequence[str], *, blank: str) -> str:
        """One of some words; `blank` where the cell is empty or at fault."""
        cell = self.raw(row, name)
        if not cell:
            return blank
        word = _plain(cell)
        if word in words:
            return word
        self.fault(row, name, f"write {', '.join(words[:-1])} or {words[-1]}; an empty cell is {blank}.")
        return blank

    def number(self, row: Row, name: str, *, most: float) -> float | None:
        """Plain number, zero or more."""
        cell = self.raw(row, name)
        if not cell:
            return None
        if _NUMBER.fullmatch(_plain(cell)) is None:
            self.fault(row, name, f"{name} is a plain number. Write 0 to {most:,.0f} without a sign, as in 1.25.")
            return None
        try:
            number = float(decimal(_plain(cell), text=cell))
        except LengthError as error:
            self.fault(row, name, said_of(cell, error))
            return None
        if number > most:
            self.fault(row, name, f"it is over {most:,.0f}. Check the decimal mark.")
            return None
        return number

    def whole(self, row: Row, name: str, *, most: int) -> int | None:
        """Whole number, zero or more."""
        cell = self.raw(row, name)
        if not cell:
            return None
        word = _plain(cell)
        if _WHOLE.fullmatch(word) and int(word) <= most:
            return int(word)
        self.fault(row, name, f"{name} is a whole number. Write 0 to {most:,} in digits, or leave the cell empty.")
        return None

    def clock(self, row: Row, name: str) -> float | None:
        """Clock position in hours, at least 1 and less than 13."""
        cell = self.raw(row, name)
        if not cell:
            return None
        match = _CLOCK.fullmatch(_plain(cell))
        hours = -1.0
        if match:
            hours = int(match["hours"]) + float(f"0.{match['tenths'] or 0}")
            hours += int(match["minutes"] or 0) / 60.0 + _PARTS[match["part"]]
        if 1.0 <= hours < 13.0:
            return hours
        self.fault(
            row,
            name,
            f"{name} is a clock position seen from the butt, 12 up and 3 right. Write 1 to 12, as in 2, 2.5 or 2:30.",
        )
        return None

    def angle(self, row: Row, name: str) -> float | None:
        """Angle in degrees."""
        cell = self.raw(row, name)
        if not cell:
            return None
        match = _ANGLE.fullmatch(_plain(cell))
        degrees = float(match["number"].replace(",", ".")) if match else 1000.0
        if abs(degrees) <= 360.0:
            return degrees
        self.fault(
            row,
            name,
            f"{name} is in degrees, counterclockwise from level on the right. Write -360 to 360.",
        )
        return None


def _plain(cell: str) -> str:
    """The cell in plain marks; unreadable where it is too long to be a number."""
    try:
        return plain(cell, limit=_LONGEST)
    except LengthError:
        return ""


def _is_bare(cell: str) -> bool:
    """Whether a unit is all that a cell lacks."""
    try:
        parse(cell, signed=True)
    except LengthError:
        pass
    else:
        return False
    try:
        parse(cell, bare="in", signed=True)
    except LengthError:
        return False
    return True
