"""A log of a plan as a small picture: its butt end with all that is sawn from it, to one scale on the sheet."""

import numpy as np

from pithline.logs.solid import rotation, section_at
from pithline.match import Assignment, Match
from pithline.patterns.pattern import Pattern
from pithline.sheets.svg import Box, Drawing

__all__ = ["WIDE_MM", "log_picture", "picture_scale"]

WIDE_MM = 19.0
"""Width of the largest log's picture on paper."""

_PAST_MM = 1.0


def _shown_part(pattern: Pattern) -> int:
    """The part that is drawn: the one with most timber."""
    volumes = [0.0] * len(pattern.parts)
    for piece in pattern.timbers:
        volumes[piece.part] += piece.volume_mm3
    return int(np.argmax(volumes))


def picture_scale(match: Match) -> float:
    """The scale at which the yard's thickest butt fills a picture.

    Parameters
    ----------
    match : Match
        The plans of a yard.

    Returns
    -------
    float
        Paper length per real length.
    """
    widest = max((2.0 * float(np.linalg.eigvalsh(log.shape_mm).max()) for log in match.yard), default=300.0)
    return (WIDE_MM - 2.0 * _PAST_MM) / widest


def log_picture(one: Assignment, scale: float) -> Drawing:
    """The butt end of the part of a log with most timber, turned for the first pass, with its pieces.

    Parameters
    ----------
    one : Assignment
        The log and its pattern.
    scale : float
        Paper length per real length.

    Returns
    -------
    Drawing
        Timbers with thick lines, boards with thin ones; what begins further on where it begins.
    """
    pattern, log = one.pattern, one.log
    part = _shown_part(pattern)
    own = pattern.parts[part]
    turn = rotation(own.roll_deg)
    butt = np.asarray((section_at(log, own.start_mm).outline() - own.center_butt_mm) @ turn.T)
    middle = butt.mean(axis=0)
    half = 0.5 * (WIDE_MM - 2.0 * _PAST_MM) / scale
    tall = float(np.abs(butt - middle)[:, 1].max())
    drawing = Drawing(
        Box(-half, -tall, half, tall),
        scale,
        title=f"{log.tag}: butt end with its pieces, seen from the butt",
        margins_mm=(_PAST_MM, _PAST_MM, _PAST_MM, _PAST_MM),
    )
    drawing.polygon([(float(x), float(y)) for x, y in butt - middle], style="bark", fill="wood")
    mine = [piece for piece in pattern.pieces if piece.part == part]
    for piece in sorted(mine, key=lambda piece: piece.kind == "timber"):
        corners = piece.frame_butt_mm - middle
        is_timber = piece.kind == "timber"
        points = [(float(x), float(y)) for x, y in corners]
        drawing.polygon(points, style="sawn" if is_timber else "dimension", fill="paper" if is_timber else None)
    return drawing
