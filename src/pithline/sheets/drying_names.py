"""Places for the names of lines in a picture: beside their line, over no other line and no other name.

What lines and names cover is held cell by cell on a grid; a name goes to the free place whose leader to its own line
is shortest and crosses least.
"""

import itertools
import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from pithline.arrays import Floats
from pithline.sheets.look import size_mm
from pithline.sheets.paper import Point
from pithline.sheets.readings import wide_mm

__all__ = ["Label", "Placed", "Room", "dense", "rows_of", "size_of", "spread", "told_mm"]

_NOTE = "note"
_FIGURE = 0.65
_ROW_EM = 1.2
_SPARE = 1.1
"""How much wider a name may come out where another face stands in for that of the drawings."""

_CELL_MM = 0.4
_CLEAR_MM = 0.8
_LEADER_FROM_MM = 1.6
"""A name nearer to its line than this needs no leader."""

_CROSSING_MM = 14.0
"""How much longer a leader may be that crosses one line less."""

_NEXT_WAY_MM = 4.0
"""How much longer a leader may be for a better way to write a name."""

_BELOW_MM = 3.0
"""How much longer a leader may be that stands above its line and not below."""

_TEXT_GAP_MM = 0.5
_OWN_MM = 2.0
"""Last part of a leader, in which a mark on its own line is none that it crosses."""

_Indexes = np.ndarray[tuple[int, ...], np.dtype[np.int64]]


class Label(NamedTuple):
    """A name to be placed.

    Attributes: `ways` to write it, in rows, the best first; `near`, points it may
    stand beside; `most_mm` it may cost in length of leader, each line crossed
    counting 14 mm; `beneath`, what is told beneath a picture that has no place for
    it, empty where it can do without; `bold`.
    """

    ways: tuple[str, ...]
    near: Sequence[Point]
    most_mm: float = 45.0
    beneath: str = ""
    bold: bool = False


class Placed(NamedTuple):
    """A name that has its place. Attributes: `words`, `corner`, the upper left one; `leader`; `bold`."""

    words: str
    corner: Point
    leader: tuple[Point, Point] | None
    bold: bool


def dense(points: Sequence[Point], step_mm: float = 0.5 * _CELL_MM) -> Floats:
    """Points along a line, close together.

    Parameters
    ----------
    points : sequence of (float, float)
        Corners of the line [mm].
    step_mm : float
        Widest distance between two of them [mm].

    Returns
    -------
    (n, 2) float
        Every corner among them [mm].
    """
    runs = [np.asarray(points[:1], dtype=np.float64)]
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        steps = max(1, math.ceil(math.hypot(x1 - x0, y1 - y0) / step_mm))
        share = np.arange(1, steps + 1) / steps
        runs.append(np.column_stack([x0 + share * (x1 - x0), y0 + share * (y1 - y0)]))
    return np.concatenate(runs)


class Room:
    """What of a plot is taken, cell by cell, and where a name still finds room.

    Parameters
    ----------
    left_mm, top_mm, right_mm, bottom_mm : float
        Edges of the plot on paper, y down [mm].
    """

    def __init__(self, left_mm: float, top_mm: float, right_mm: float, bottom_mm: float) -> None:
        self._corner_mm = (left_mm, top_mm)
        shape = (math.floor((bottom_mm - top_mm) / _CELL_MM) + 1, math.floor((right_mm - left_mm) / _CELL_MM) + 1)
        self._lines = np.zeros(shape, dtype=bool)
        self._words = np.zeros(shape, dtype=bool)

    def _cells(self, points: Floats) -> tuple[_Indexes, _Indexes]:
        """Rows and columns of the cells that points lie in."""
        columns, rows = np.floor((points - self._corner_mm) / _CELL_MM).astype(np.int64).T
        return rows.clip(0, self._lines.shape[0] - 1), columns.clip(0, self._lines.shape[1] - 1)

    def take(self, points: Sequence[Point]) -> None:
        """Take what a line covers.

        Parameters
        ----------
        points : sequence of (float, float)
            Its corners [mm].
        """
        self._lines[self._cells(dense(points))] = True

    def place(self, label: Label) -> Placed | None:
        """Place a name, and take its room.

        Parameters
        ----------
        label : Label
            The name.

        Returns
        -------
        Placed or None
            None where there is no room, or none near enough.
        """
        near = np.asarray(label.near, dtype=np.float64)
        found = [
            (cost + _NEXT_WAY_MM * rank, placed)
            for rank, words in enumerate(label.ways)
            for cost, placed in self._best(words, near, bold=label.bold)
        ]
        cost, placed = min(found, key=lambda each: each[0], default=(math.inf, None))
        if placed is None or cost > label.most_mm:
            return None
        (left, top), (wide, tall) = placed.corner, size_of(placed.words, bold=placed.bold)
        rows, columns = self._cells(np.array([(left, top), (left + wide, top + tall)]))
        self._words[rows[0] : rows[1] + 1, columns[0] : columns[1] + 1] = True
        if placed.leader is not None:
            self._words[self._cells(dense(placed.leader))] = True
        return placed

    def _free(self, wide: float, tall: float) -> Floats:
        """Upper left corners at which a box covers nothing, with some clear space around."""
        taken = np.zeros((self._lines.shape[0] + 1, self._lines.shape[1] + 1))
        taken[1:, 1:] = np.cumsum(np.cumsum(self._lines | self._words, axis=0), axis=1)
        rows, columns = (math.ceil((side + 2.0 * _CLEAR_MM) / _CELL_MM) + 1 for side in (tall, wide))
        if rows > self._lines.shape[0] or columns > self._lines.shape[1]:
            return np.empty((0, 2))
        sums = taken[rows:, columns:] - taken[:-rows, columns:] - taken[rows:, :-columns] + taken[:-rows, :-columns]
        at = np.argwhere(sums[::2, ::2] == 0)[:, ::-1] * 2.0
        return np.asarray(self._corner_mm + at * _CELL_MM + _CLEAR_MM)

    def _best(self, words: str, near: Floats, *, bold: bool) -> list[tuple[float, Placed]]:
        """The best place of one way to write a name and what it costs, in millimeters of leader; none or one."""
        wide, tall = size_of(words, bold=bold)
        corners = self._free(wide, tall)
        if not len(corners):
            return []
        x, y = corners[:, 0, None], corners[:, 1, None]
        away = np.hypot(near[:, 0] - near[:, 0].clip(x, x + wide), near[:, 1] - near[:, 1].clip(y, y + tall))
        spot = np.argmin(away, axis=1)
        length = away[np.arange(len(corners)), spot]
        # Of places as near, one at the middle of the line is easier to find, and one above it.
        least = length + 0.03 * np.abs(corners[:, 0] + 0.5 * wide - float(np.median(near[:, 0])))
        least += np.where(corners[:, 1] > near[spot, 1], _BELOW_MM, 0.0)
        best: list[tuple[float, Placed]] = []
        for number in np.argsort(least, kind="stable"):
            if best and float(least[number]) >= best[0][0]:
                break
            left, top = (float(side) for side in corners[number])
            tip = (float(near[spot[number], 0]), float(near[spot[number], 1]))
            start = (
                min(max(tip[0], left - _TEXT_GAP_MM), left + wide + _TEXT_GAP_MM),
                min(max(tip[1], top - _TEXT_GAP_MM), top + tall + _TEXT_GAP_MM),
            )
            cost = float(least[number]) + self._crossed(start, tip)
            if math.isfinite(cost) and (not best or cost < best[0][0]):
                leader = (start, tip) if length[number] > _LEADER_FROM_MM else None
                best = [(cost, Placed(words, (left, top), leader, bold))]
        return best

    def _crossed(self, start: Point, tip: Point) -> float:
        """What a leader costs by the lines it crosses or runs along before it comes to its own; inf over words."""
        length = math.dist(start, tip)
        if length <= _CLEAR_MM:
            return 0.0
        share = np.arange(0.0, 1.0, 0.5 * _CELL_MM / length)
        path = np.column_stack([start[n] + share * (tip[n] - start[n]) for n in (0, 1)])
        cells = self._cells(path)
        if bool(self._words[cells].any()):
            return math.inf
        on_line = self._lines[cells] & (share * length < length - _OWN_MM)
        crossings = int(np.count_nonzero(np.diff(np.concatenate([[False], on_line]).astype(np.int8)) > 0))
        return crossings * _CROSSING_MM + int(np.count_nonzero(on_line)) * _CELL_MM


def told_mm(words: str, *, bold: bool = False) -> float:
    """Width to keep free for a row of words, in whatever face it comes out.

    Parameters
    ----------
    words : str
        As typed.
    bold : bool
        Whether the bold face is used.

    Returns
    -------
    float
        Width on paper [mm].
    """
    return _SPARE * wide_mm(words, _NOTE, bold=bold)


def size_of(words: str, *, bold: bool) -> tuple[float, float]:
    """Width and height to keep free for rows of words.

    Parameters
    ----------
    words : str
        As typed, a line break between two rows.
    bold : bool
        Whether the bold face is used.

    Returns
    -------
    (float, float)
        On paper [mm].
    """
    rows = words.split("\n")
    wide = max(told_mm(row, bold=bold) for row in rows)
    return wide, (_FIGURE + _ROW_EM * (len(rows) - 1) + 0.2) * size_mm(_NOTE)


def spread(wanted: Sequence[float], step: float, low: float, high: float) -> list[float]:
    """Places as near as can be to those wanted, a step apart or more, between two limits.

    Parameters
    ----------
    wanted : sequence of float
        In rising order [mm].
    step, low, high : float
        Least distance, and the limits of the first and the last [mm].

    Returns
    -------
    list of float
        In the same order; those that had to move moved least in the square [mm].
    """
    blocks: list[tuple[float, int]] = []
    for number, at in enumerate(wanted):
        mean, count = at - number * step, 1
        # Neighbors that would come too close share the way.
        while blocks and blocks[-1][0] > mean:
            before, many = blocks.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        blocks.append((mean, count))
    shifted = [mean for mean, count in blocks for _ in range(count)]
    most = high - (len(wanted) - 1) * step
    return [min(max(at, low), most) + number * step for number, at in enumerate(shifted)]


def rows_of(words: str, width_mm: float, *, bold: bool = False) -> list[str]:
    """Words broken into rows that fit a width.

    Parameters
    ----------
    words : str
        As typed.
    width_mm : float
        Room for a row [mm].
    bold : bool
        Whether the bold face is used.

    Returns
    -------
    list of str
        One row or more; a word that is wider than the room stands alone.
    """
    rows = [""]
    for word in words.split(" "):
        longer = f"{rows[-1]} {word}".strip()
        if rows[-1] and told_mm(longer, bold=bold) > width_mm:
            rows.append(word)
        else:
            rows[-1] = longer
    return rows
