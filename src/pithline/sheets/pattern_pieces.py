"""The pieces of a pattern: their marks, where their part lies, and which passes leave their faces."""

from collections.abc import Sequence

import numpy as np

from pithline.arrays import Floats
from pithline.logs.solid import LogSolid, rotation
from pithline.patterns.frame import frame_on
from pithline.patterns.pattern import Part, Pattern, Piece
from pithline.sheets.paper import Point

__all__ = ["NEAR_MM", "part_solid", "passes_of", "piece_marks", "turned_points"]

NEAR_MM = 1.0
"""A piece that ends this near an end of its part reaches it."""

_ON_LINE_MM = 0.5
"""A face this near a kerf was left by it."""


def piece_marks(pattern: Pattern) -> tuple[str, ...]:
    """Return a short mark for each piece, T1 for the first timber and B1 for the first board.

    Parameters
    ----------
    pattern : Pattern
        What comes out of a log.

    Returns
    -------
    tuple of str
        In the order of its pieces.
    """
    counts = {"timber": 0, "board": 0}
    marks = []
    for piece in pattern.pieces:
        counts[piece.kind] += 1
        marks.append(f"{'T' if piece.kind == 'timber' else 'B'}{counts[piece.kind]}")
    return tuple(marks)


def part_solid(pattern: Pattern, part: Part) -> LogSolid:
    """Return a part turned for its first pass, about its center line.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    part : Part
        One of its parts.

    Returns
    -------
    LogSolid
        Stations from the part's butt.
    """
    frame = frame_on(
        pattern.log,
        (part.start_mm, part.end_mm),
        roll_deg=part.roll_deg,
        centers_mm=(part.center_butt_mm, part.center_tip_mm),
    )
    return frame.solid


def turned_points(points: Sequence[Point] | Floats, turn_deg: float) -> list[Point]:
    """Return points turned clockwise, as seen from the butt.

    Parameters
    ----------
    points : sequence of (float, float)
        Points about the center line [mm].
    turn_deg : float
        The turn [deg].

    Returns
    -------
    list of (float, float)
        The same points after the turn [mm].
    """
    return [(float(x), float(y)) for x, y in np.asarray(points) @ rotation(turn_deg).T]


def _holds(least: float, most: float, limits: tuple[float | None, float | None]) -> bool:
    """Return whether a stretch lies between limits, as near as a saw cuts."""
    low, high = limits
    return (low is None or least >= low - _ON_LINE_MM) and (high is None or most <= high + _ON_LINE_MM)


def passes_of(pattern: Pattern, piece: Piece) -> tuple[int, ...]:
    """Return the numbers of the passes that leave a face of a piece.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    piece : Piece
        One of its pieces.

    Returns
    -------
    tuple of int
        In the order of sawing; the last one frees it.
    """
    numbers = []
    kerf = pattern.kit.saw.kerf_mm
    for position in pattern.positions:
        if position.part != piece.part:
            continue
        xs, ys = zip(*turned_points(piece.frame_butt_mm, position.turn_deg), strict=True)
        sides = position.within_mm or (None, None)
        spans = ((min(xs), max(xs), sides), (min(ys), max(ys), position.over_mm))
        if not all(_holds(least, most, limits) for least, most, limits in spans):
            continue
        faces = (min(ys) - kerf, max(ys))
        numbers += [
            cut.number for cut in position.cuts if min(abs(cut.line_mm - face) for face in faces) <= _ON_LINE_MM
        ]
    return tuple(sorted(numbers))
