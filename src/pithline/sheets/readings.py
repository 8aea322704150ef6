"""Readings in a drawing: numbers to be read at arm's length, and how they keep apart.

A reading is a length in large figures with a word or two in small ones beneath. Unlike
the text of a dimension it stands upright wherever it is, and has a known size on
paper, so that a drawing can lay several of them side by side.
"""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import fmean
from typing import Literal

from pithline.sheets.look import size_mm, text_width_mm
from pithline.sheets.paper import Paper, Point, TextStyle
from pithline.sheets.svg import fitting_scale

__all__ = ["ORIGIN_MM", "Reading", "draw_origin", "figure_mm", "kept_apart", "scale_for", "wide_mm"]

ORIGIN_MM = 0.9
"""Radius of the circle that running dimensions start from, on paper."""

_FIGURE = 0.65
"""Share of the type size that figures are tall."""

_BOLD = 1.07
"""How much wider the bold face runs, at most."""

_INCH_SCALES = tuple(1.0 / times for times in (12, 16, 24, 32, 48, 64, 96))
"""One inch on paper for 1 ft, 3/4 in for 1 ft and so on, customary where feet are."""

_BETWEEN_MM = 1.2
_NOTE = "note"


@lru_cache(maxsize=4096)
def wide_mm(words: str, size: str, *, bold: bool = False) -> float:
    """Return the width of a text on paper, rather too much than too little.

    Parameters
    ----------
    words : str
        Text as typed.
    size : str
        Name of a type size.
    bold : bool
        Whether the bold face is used.

    Returns
    -------
    float
        Width on paper [mm].
    """
    return text_width_mm(words, size) * (_BOLD if bold else 1.0)


def figure_mm(size: str) -> float:
    """Return how tall the figures of a type size are.

    Parameters
    ----------
    size : str
        Name of a type size.

    Returns
    -------
    float
        Height on paper [mm].
    """
    return _FIGURE * size_mm(size)


@dataclass(frozen=True, slots=True)
class Reading:
    """A length in large figures, a word or two beneath.

    Parameters
    ----------
    number : str
        The length with its unit, as typed.
    words : str
        What it is; may be empty.
    size : str
        Name of the type size of the number.
    color : str
        Name of the color of the words.
    """

    number: str
    words: str = ""
    size: str = "lead"
    color: str = "ink"

    @property
    def width_mm(self) -> float:
        """Width on paper [mm]."""
        return max(wide_mm(self.number, self.size, bold=True), wide_mm(self.words, _NOTE))

    @property
    def height_mm(self) -> float:
        """Height on paper, from the top of the number to the foot of the words [mm]."""
        return figure_mm(self.size) + (_BETWEEN_MM + figure_mm(_NOTE) if self.words else 0.0)

    def write(self, paper: Paper, at: Point, *, anchor: Literal["start", "middle", "end"] = "middle") -> None:
        """Write number and words.

        Parameters
        ----------
        paper : Paper
            The sheet.
        at : (float, float)
            Middle of their height, on paper, y down [mm].
        anchor : {'start', 'middle', 'end'}
            Which part of the width stands there.
        """
        top_mm = at[1] - self.height_mm / 2.0
        paper.text((at[0], top_mm), self.number, style=TextStyle(self.size, anchor, "ink", True, 0.0, "top"))
        if self.words:
            below_mm = top_mm + figure_mm(self.size) + _BETWEEN_MM
            paper.text((at[0], below_mm), self.words, style=TextStyle(_NOTE, anchor, self.color, False, 0.0, "top"))


def kept_apart(wanted_mm: Sequence[float], sizes_mm: Sequence[float], *, gap_mm: float) -> list[float]:
    """Return places near those wanted at which things of given sizes do not touch.

    Neighbors that would touch are moved as little as does it, all of them alike.

    Parameters
    ----------
    wanted_mm : sequence of float
        Where the middles should be, in rising order [mm].
    sizes_mm : sequence of float
        How large the things are [mm].
    gap_mm : float
        Least room between two of them [mm].

    Returns
    -------
    list of float
        Middles in the same order [mm].
    """
    runs = [0.0]
    for before, size in itertools.pairwise(sizes_mm):
        runs.append(runs[-1] + 0.5 * (before + size) + gap_mm)
    # With the least distances taken off, the places must only not fall: neighbors that
    # would are pooled at their mean, which is the nearest rising sequence in least squares.
    blocks: list[list[float]] = []
    for place, run in zip(wanted_mm, runs, strict=True):
        blocks.append([place - run])
        while len(blocks) > 1 and fmean(blocks[-2]) > fmean(blocks[-1]):
            blocks[-2:] = [blocks[-2] + blocks[-1]]
    starts = [fmean(block) for block in blocks for _ in block]
    return [start + run for start, run in zip(starts, runs, strict=True)]


def draw_origin(paper: Paper, at: Point) -> None:
    """Draw the circle that superimposed running dimensions start from.

    Parameters
    ----------
    paper : Paper
        The sheet.
    at : (float, float)
        Its center on paper [mm].
    """
    turns = [math.tau * number / 16.0 for number in range(16)]
    ring = [(at[0] + ORIGIN_MM * math.cos(turn), at[1] + ORIGIN_MM * math.sin(turn)) for turn in turns]
    paper.path(ring, style="dimension", closed=True)


def scale_for(length_mm: float, paper_mm: float) -> float:
    """Return the largest scale, customary in feet or in meters, at which a length fits.

    Parameters
    ----------
    length_mm : float
        Length of the thing drawn, above zero [mm].
    paper_mm : float
        Room for it on paper, above zero [mm].

    Returns
    -------
    float
        Paper length per real length.

    Raises
    ------
    SheetError
        A length is not above zero, or no scale is small enough.
    """
    fitting = [scale for scale in _INCH_SCALES if length_mm * scale <= paper_mm]
    return max(fitting_scale(length_mm, paper_mm), *fitting, 0.0)
