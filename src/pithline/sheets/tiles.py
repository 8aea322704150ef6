"""A drawing at true scale spread over sheets of paper, to be joined again.

Sheets are named as on a map: rows A, B, C from the top, columns 1, 2, 3 from the
left. Neighbors show the same band of the drawing; the joint runs along its middle.
"""

import itertools
import math
import string
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.svg import Box, Drawing

__all__ = ["MARK_MM", "Tile", "Tiling", "draw_joints", "draw_key", "overlap_mm", "sheet_room_mm", "spans", "tiled"]

MARK_MM = 2.0
"""Reach of a register mark from its center."""

# The page less the margins of every sheet, less what stands over and under the drawing:
# two lines of words and the check bars.
_ROOM_MM = {"letter": (191.9, 208.0), "a4": (186.0, 225.0)}
_ROWS = string.ascii_uppercase
_SLACK_MM = 1e-9
# How far a joint should keep from a line that is marked through, and how little is
# worth one more row or column of sheets.
_WANTED_CLEAR_MM = 10.0
_LEAST_CLEAR_MM = 3.0
_STEPS = 20


@dataclass(frozen=True, slots=True)
class Tile:
    """One sheet. Attributes: `name`; `row` from the top and `column` from the left, from 0; `window`, what it shows."""

    name: str
    row: int
    column: int
    window: Box


@dataclass(frozen=True, slots=True)
class Tiling:
    """A drawing spread over sheets.

    Attributes: `box` of the drawing; `overlap_mm` of neighbors; `tiles` row by row
    from the top; `joints_x_mm` from the left and `joints_y_mm` from the top, where
    sheets meet.
    """

    box: Box
    overlap_mm: float
    tiles: tuple[Tile, ...]
    joints_x_mm: tuple[float, ...]
    joints_y_mm: tuple[float, ...]

    def cell(self, tile: Tile) -> Box:
        """The part of the drawing that a sheet keeps once it is joined.

        Parameters
        ----------
        tile : Tile
            A sheet.

        Returns
        -------
        Box
            Its window up to the joints [mm].
        """
        xs = (self.box.left, *self.joints_x_mm, self.box.right)
        ys = (self.box.top, *self.joints_y_mm, self.box.bottom)
        return Box(xs[tile.column], ys[tile.row + 1], xs[tile.column + 1], ys[tile.row])

    def neighbor(self, tile: Tile, *, rows: int = 0, columns: int = 0) -> Tile | None:
        """The sheet so many rows below and columns to the right of another.

        Parameters
        ----------
        tile : Tile
            A sheet.
        rows, columns : int
            Down and right are plus.

        Returns
        -------
        Tile or None
            None where there is no sheet.
        """
        spot = (tile.row + rows, tile.column + columns)
        return next((other for other in self.tiles if (other.row, other.column) == spot), None)

    def kept(self, wanted: Callable[[Box], bool]) -> "Tiling":
        """The same without the sheets on which nothing is drawn.

        Parameters
        ----------
        wanted : callable
            Whether anything is drawn in a part of the drawing.

        Returns
        -------
        Tiling
            Joints and the names of the sheets left stay as they were.
        """
        return replace(self, tiles=tuple(tile for tile in self.tiles if wanted(self.cell(tile))))


def sheet_room_mm(paper: str) -> tuple[float, float]:
    """Room for a drawing on a sheet that also carries two lines of words and the check bars.

    Parameters
    ----------
    paper : str
        letter or a4.

    Returns
    -------
    (float, float)
        Width and height [mm].

    Raises
    ------
    SheetError
        There is no such paper.
    """
    if paper not in _ROOM_MM:
        raise SheetError(f"no paper {paper!r}: choose letter or a4.")
    return _ROOM_MM[paper]


def overlap_mm(tape: Tape) -> float:
    """How far neighboring sheets overlap: 1/2 in or 12 mm.

    Parameters
    ----------
    tape : Tape
        How lengths are shown; the overlap is one it shows exactly.

    Returns
    -------
    float
        Overlap [mm].
    """
    return 12.0 if tape.style == "mm" else 12.7


def spans(start_mm: float, end_mm: float, *, room_mm: float, overlap_mm: float) -> tuple[tuple[float, float], ...]:
    """The fewest equal stretches that cover a length, each overlapping the next.

    Parameters
    ----------
    start_mm, end_mm : float
        What is covered, the end larger than the start [mm].
    room_mm : float
        No stretch is longer [mm].
    overlap_mm : float
        What two neighbors share, less than the room [mm].

    Returns
    -------
    tuple of (float, float)
        From and to, in order; the first starts at the start, the last ends at the end [mm].

    Raises
    ------
    SheetError
        There is nothing to cover, or the room is no larger than the overlap.
    """
    length_mm = end_mm - start_mm
    if not (0.0 < length_mm < math.inf and 0.0 <= overlap_mm < room_mm):
        raise SheetError(f"{length_mm:g} mm cannot be spread over sheets of {room_mm:g} mm, {overlap_mm:g} mm shared.")
    count = max(1, math.ceil((length_mm - overlap_mm) / (room_mm - overlap_mm) - _SLACK_MM))
    step_mm = (length_mm - overlap_mm) / count
    starts = [start_mm + step_mm * number for number in range(count)]
    ends = [*(start + step_mm + overlap_mm for start in starts[:-1]), end_mm]
    return tuple(zip(starts, ends, strict=True))


def tiled(
    box: Box,
    *,
    room_mm: tuple[float, float],
    overlap_mm: float,
    lines_x_mm: Sequence[float] = (),
    lines_y_mm: Sequence[float] = (),
) -> Tiling:
    """Spread a drawing at true scale over sheets, its joints kept off the lines that matter.

    Parameters
    ----------
    box : Box
        The drawing [mm].
    room_mm : (float, float)
        Width and height of the room for it on a sheet [mm].
    overlap_mm : float
        What two neighbors share [mm].
    lines_x_mm, lines_y_mm : sequence of float
        Plumb and level lines that no joint should run along; blank paper is left
        around the drawing, and in need a sheet more is taken, to get the joints out
        of their way [mm].

    Returns
    -------
    Tiling
        Windows of one size that cover its box, which holds the drawing's.

    Raises
    ------
    SheetError
        The room is no larger than the overlap, or there are more rows than letters.
    """
    across = _clear_spans((box.left, box.right), room_mm[0], overlap_mm=overlap_mm, lines_mm=lines_x_mm)
    up = _clear_spans((box.bottom, box.top), room_mm[1], overlap_mm=overlap_mm, lines_mm=lines_y_mm)
    down = up[::-1]
    if len(down) > len(_ROWS):
        raise SheetError(f"{box.top - box.bottom:g} mm would take {len(down)} rows of sheets.")
    tiles = tuple(
        Tile(f"{_ROWS[row]}{column + 1}", row, column, Box(left, bottom, right, top))
        for row, (bottom, top) in enumerate(down)
        for column, (left, right) in enumerate(across)
    )
    whole = Box(across[0][0], up[0][0], across[-1][1], up[-1][1])
    return Tiling(whole, overlap_mm, tiles, _joints(across), _joints(up)[::-1])


def _joints(stretches: Sequence[tuple[float, float]]) -> tuple[float, ...]:
    """The middles of what neighbors share."""
    return tuple(0.5 * (here[1] + after[0]) for here, after in itertools.pairwise(stretches))


def _clear_spans(
    ends_mm: tuple[float, float], room_mm: float, *, overlap_mm: float, lines_mm: Sequence[float]
) -> tuple[tuple[float, float], ...]:
    """Stretches that cover a length, and what blank paper beside it gets the joints off the lines."""
    start, end = ends_mm
    best = spans(start, end, room_mm=room_mm, overlap_mm=overlap_mm)
    if len(best) == 1 or not lines_mm:
        return best
    best_clear = _clear(best, lines_mm)
    for count in (len(best), len(best) + 1):
        if best_clear >= _LEAST_CLEAR_MM and count > len(best):
            break
        spare = count * room_mm - (count - 1) * overlap_mm - (end - start)
        shares = [spare * step / _STEPS for step in range(_STEPS + 1)]
        tries = sorted(((a, b) for a in shares for b in shares if a + b <= spare), key=sum)
        for before, after in tries:
            found = spans(start - before, end + after, room_mm=room_mm, overlap_mm=overlap_mm)
            clear = _clear(found, lines_mm)
            if clear > best_clear:
                best, best_clear = found, clear
    return best


def _clear(stretches: Sequence[tuple[float, float]], lines_mm: Sequence[float]) -> float:
    """How far the joints keep from the lines; no more than enough counts."""
    away = [abs(joint - line) for joint in _joints(stretches) for line in lines_mm]
    return min([_WANTED_CLEAR_MM, *away])


def _register_mark(drawing: Drawing, at: Point) -> None:
    """Draw a cross in a ring."""
    x, y = at
    drawing.line((x - MARK_MM, y), (x + MARK_MM, y), style="dimension")
    drawing.line((x, y - MARK_MM), (x, y + MARK_MM), style="dimension")
    drawing.ellipse(at, (0.6 * MARK_MM, 0.6 * MARK_MM), style="dimension")


def draw_joints(
    drawing: Drawing,
    tiling: Tiling,
    *,
    marks_x_mm: Sequence[float] | None = None,
) -> None:
    """Draw the joints and the register marks on them, as every sheet shows them.

    Parameters
    ----------
    drawing : Drawing
        Drawn at true scale, its box that of the tiling.
    tiling : Tiling
        The sheets.
    marks_x_mm : sequence of float or None
        Where marks stand along the level joints; None sets them at the quarters of
        each sheet. Along the plumb joints they always do so [mm].
    """
    box = tiling.box
    xs = (box.left, *tiling.joints_x_mm, box.right)
    ys = (box.top, *tiling.joints_y_mm, box.bottom)
    marks_x = _quarters(xs) if marks_x_mm is None else marks_x_mm
    with drawing.group("joint"):
        for y in tiling.joints_y_mm:
            drawing.line((box.left, y), (box.right, y), style="dimension")
        for x in tiling.joints_x_mm:
            drawing.line((x, box.bottom), (x, box.top), style="dimension")
        for at in itertools.product(marks_x, tiling.joints_y_mm):
            _register_mark(drawing, at)
        for at in itertools.product(tiling.joints_x_mm, _quarters(ys)):
            _register_mark(drawing, at)


def _quarters(edges: Iterable[float]) -> list[float]:
    """One and three quarters of the way from each edge to the next."""
    return [a + share * (b - a) for a, b in itertools.pairwise(edges) for share in (0.25, 0.75)]


def draw_key(drawing: Drawing, tiling: Tiling, *, names_at: Callable[[Tile], Point]) -> None:
    """Draw how the sheets lie, each with its name.

    Parameters
    ----------
    drawing : Drawing
        A small drawing of the same thing.
    tiling : Tiling
        The sheets.
    names_at : callable
        Where the middle of a sheet's name stands [mm].
    """
    name = TextStyle("note", "middle", "chalk", bold=True, level="middle")
    for tile in tiling.tiles:
        cell = tiling.cell(tile)
        left, bottom, right, top = cell.left, cell.bottom, cell.right, cell.top
        drawing.polygon([(left, bottom), (right, bottom), (right, top), (left, top)], style="chalk")
        drawing.text(names_at(tile), tile.name, style=name)
