"""A log of a plan as small pictures: the butt end of each of its parts with all that is sawn from it."""

import math
from collections.abc import Sequence

import numpy as np

from pithline.arrays import Floats
from pithline.logs.solid import rotation, section_at
from pithline.match import Assignment
from pithline.patterns.pattern import Pattern, Piece
from pithline.sheets.pattern_pieces import NEAR_MM
from pithline.sheets.svg import Box, Drawing

__all__ = ["WIDE_MM", "part_picture", "picture_scale"]

WIDE_MM = 22.0
"""Width and height on paper that no picture is larger than."""

_PAST_MM = 0.5
"""Paper around what is drawn, for half the width of its lines."""

_ALIKE_MM = 3.0
"""Pieces whose corners are this near each other cannot be told apart in a picture."""


def _outline(pattern: Pattern, part: int) -> Floats:
    """Corners (n, 2) of a part's butt end about its center line, turned for the first pass [mm]."""
    own = pattern.parts[part]
    corners = section_at(pattern.log, own.start_mm).outline() - own.center_butt_mm
    return np.asarray(corners @ rotation(own.roll_deg).T)


def _box(pattern: Pattern, part: int) -> Box:
    """What the picture of a part shows: wood and pieces [mm]."""
    mine = [piece.frame_butt_mm for piece in pattern.pieces if piece.part == part]
    corners = np.concatenate([_outline(pattern, part), *mine])
    left, bottom = (float(value) for value in corners.min(axis=0))
    right, top = (float(value) for value in corners.max(axis=0))
    return Box(left, bottom, right, top)


def picture_scale(assignments: Sequence[Assignment]) -> float:
    """The scale, one to a whole number, at which every part of every log fits its picture.

    Parameters
    ----------
    assignments : sequence of Assignment
        The logs that are drawn beside each other.

    Returns
    -------
    float
        Paper length per real length.
    """
    boxes = [_box(one.pattern, part) for one in assignments for part in range(len(one.pattern.parts))]
    widest = max((max(box.right - box.left, box.top - box.bottom) for box in boxes), default=0.0)
    return 1.0 / max(1, math.ceil(widest / (WIDE_MM - 2.0 * _PAST_MM)))


def part_picture(pattern: Pattern, part: int, *, scale: float) -> Drawing:
    """The butt end of a part, turned for the first pass, with its pieces.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    part : int
        Number of the part, from 0.
    scale : float
        Paper length per real length.

    Returns
    -------
    Drawing
        Timbers filled, boards light; what begins further on is dashed.
    """
    own = pattern.parts[part]
    name = "butt end" if part == 0 else f"part {part + 1}, its butt end"
    drawing = Drawing(
        _box(pattern, part),
        scale,
        title=f"{pattern.log.tag}: {name} with its pieces, seen from the butt",
        margins_mm=(_PAST_MM, _PAST_MM, _PAST_MM, _PAST_MM),
    )
    drawing.polygon(_points(_outline(pattern, part)), style="bark", fill="wood")
    mine = [piece for piece in pattern.pieces if piece.part == part]
    here = [piece for piece in mine if piece.start_mm <= own.start_mm + NEAR_MM]
    for piece in sorted(here, key=lambda piece: piece.kind):
        _draw(drawing, piece)
    for piece in mine:
        # What follows a piece in the same place is hidden behind it.
        if not any(np.allclose(piece.frame_butt_mm, other.frame_butt_mm, rtol=0.0, atol=_ALIKE_MM) for other in here):
            drawing.polygon(_points(piece.frame_butt_mm), style="hidden")
    return drawing


def _draw(drawing: Drawing, piece: Piece) -> None:
    """Draw a piece that reaches the end."""
    if piece.kind == "timber":
        # No edge: two timbers with a kerf between them stay two.
        drawing.polygon(_points(piece.frame_butt_mm), style=None, fill="pencil")
    else:
        drawing.polygon(_points(piece.frame_butt_mm), style="dimension", fill="paper")


def _points(corners: Floats) -> list[tuple[float, float]]:
    """Corners as numbers."""
    return [(float(x), float(y)) for x, y in corners]
