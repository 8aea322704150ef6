"""The faults of one file, gathered so that all are told at once."""

from dataclasses import dataclass
from typing import Final

from pithline.errors import FileError, LengthError
from pithline.lengths.spelling import quoted

__all__ = ["MOST_TOLD", "FaultList", "said_of"]

MOST_TOLD: Final = 40
"""More faults than this are counted, not told."""


@dataclass
class _Told:
    """One fault, and how many more there are of the same kind."""

    text: str
    more: int = 0


class FaultList:
    """Faults of one file, in the order in which they are found.

    Attributes: `count` of all that were added, told or not.
    """

    def __init__(self, file: str) -> None:
        self._file = file
        self._told: list[_Told] = []
        self._kinds: dict[str, _Told] = {}
        self.count = 0

    @property
    def is_full(self) -> bool:
        """Whether further faults are only counted."""
        return len(self._told) >= MOST_TOLD

    def add(self, text: str, *, kind: str | None = None) -> None:
        """Take up one fault; of those of one `kind` the first is told and the others counted."""
        self.count += 1
        if kind is not None and kind in self._kinds:
            self._kinds[kind].more += 1
            return
        told = _Told(text)
        if kind is not None:
            self._kinds[kind] = told
        if len(self._told) < MOST_TOLD:
            self._told.append(told)

    def raise_if_any(self) -> None:
        """Raise a FileError with all of them, where there is one."""
        if not self.count:
            return
        lines = [told.text + _alike(told.more) for told in self._told]
        left = self.count - sum(1 + told.more for told in self._told)
        if left:
            lines.append(f"{self._file} has {left} more fault{'s' if left > 1 else ''} like these.")
        raise FileError(lines)


def _alike(more: int) -> str:
    """Sentence on further faults of the same kind, empty where there is none."""
    if not more:
        return ""
    cells = "cell of this column is" if more == 1 else "cells of this column are"
    return f" {more} more {cells} the same."


def said_of(cell: str, error: LengthError) -> str:
    """What is wrong with a length, to follow a quotation of it.

    Parameters
    ----------
    cell : str
        What was read.
    error : LengthError
        Why it is no length; most of its sentences start with the quotation.

    Returns
    -------
    str
        The sentence, with `it` in place of the quotation.

    Source
    ------
    definition
    """
    sentence, start = str(error), quoted(cell)
    return f"it {sentence.removeprefix(start).lstrip()}" if sentence.startswith(start) else sentence
