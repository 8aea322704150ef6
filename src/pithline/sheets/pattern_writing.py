"""How distances from the pith are written on an end of a pattern, and the words of its title."""

from collections.abc import Sequence
from dataclasses import dataclass

from pithline.lengths import Tape
from pithline.sheets.end_plan import EDGE_MM, End
from pithline.sheets.pattern_faces import FaceCut, PatternFace
from pithline.sheets.readings import Reading, wide_mm

__all__ = ["COLUMN_WRITINGS", "ROW_WRITINGS", "Writing", "readings_of", "title_lines", "title_mm"]

_APART_MM = (1.1, 1.8)
"""Least paper between two readings of one line, and of two."""

_TITLE_LINE_MM = 3.7
_TITLE_HEAD_MM = 8.5


@dataclass(frozen=True)
class Writing:
    """How distances are written: type `size`, pass beneath the number or before it, upright or turned."""

    size: str
    stacked: bool
    turned: bool = False

    def gap_mm(self, axis: int) -> float:
        """Return the least paper between two readings of level (1) or plumb (0) lines."""
        gap = _APART_MM[1] if self.stacked else _APART_MM[0]
        return 1.5 * gap if axis == 0 and not self.turned else gap


COLUMN_WRITINGS = (
    Writing("lead", stacked=True),
    Writing("text", stacked=True),
    Writing("text", stacked=False),
    Writing("note", stacked=False),
)

ROW_WRITINGS = (
    Writing("lead", stacked=True),
    Writing("text", stacked=True),
    Writing("text", stacked=False, turned=True),
    Writing("note", stacked=False, turned=True),
)


def readings_of(face: PatternFace, axis: int, *, writing: Writing, tape: Tape) -> tuple[list[FaceCut], list[Reading]]:
    """Return the told lines of one direction as they follow each other on paper, with their readings.

    Parameters
    ----------
    face : PatternFace
        The end.
    axis : int
        1 for level lines, from the top down; 0 for plumb ones, from the left.
    writing : Writing
        How they are written.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    (list of FaceCut, list of Reading)
        Equally long.
    """
    cuts = sorted((cut for cut in face.told if cut.axis == axis), key=lambda cut: (1 - 2 * axis) * cut.at_mm)
    readings = []
    for cut in cuts:
        number = cut.number_text(tape)
        if writing.stacked:
            readings.append(Reading(number, f"{cut.towards}, pass {cut.number}", writing.size, "crayon"))
        else:
            readings.append(Reading(f"{cut.number}: {number} {cut.towards}", "", writing.size))
    return cuts, readings


def title_mm(title: Sequence[str]) -> tuple[float, float]:
    """Return width and height of the corner with the title.

    Parameters
    ----------
    title : sequence of str
        The lines under the name.

    Returns
    -------
    (float, float)
        Paper lengths [mm].
    """
    wide = max(wide_mm(words, "note") for words in title)
    return wide + EDGE_MM, _TITLE_HEAD_MM + _TITLE_LINE_MM * (len(title) - 1) + 1.7


def title_lines(end: End, face: PatternFace, *, scale: str, inline: bool) -> tuple[str, ...]:
    """Return the lines under the name of the end.

    Parameters
    ----------
    end : {'butt', 'tip'}
        Which end.
    face : PatternFace
        The end.
    scale : str
        Its scale in words.
    inline : bool
        Whether readings have the number of the pass before them.

    Returns
    -------
    tuple of str
        Short lines.
    """
    words = [f"seen from the butt, {scale}"]
    words += ["facing it, left is right"] if end == "tip" else []
    words += ["pass: line from the pith"] if inline else []
    if face.missed:
        several = len(face.missed) > 1
        numbers = ", ".join(str(number) for number in face.missed)
        words.append(f"{'passes' if several else 'pass'} {numbers} {'miss' if several else 'misses'} it")
    return tuple(words)
