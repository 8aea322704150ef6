"""The turn of a log before a stack of passes, in a small picture seen from the butt."""

import math

from pithline.answers.words import angle_text
from pithline.errors import SheetError
from pithline.setup import SetUp
from pithline.sheets.paper import Point
from pithline.sheets.svg import Box, Drawing

__all__ = ["TURN_MM", "turn_picture", "turn_view"]

TURN_MM = (26.0, 23.0)
"""Width and height of the drawing on paper."""

_RADIUS_MM = 6.6
_MARK_MM = 9.4
_ARC_MM = 10.4
_FLAT_SHARE = 0.55
_LEAST_DEG = 22.0
"""A smaller turn leaves no room for an arrow between its two marks."""


def _at(radius_mm: float, turn_deg: float) -> Point:
    turn = math.radians(turn_deg)
    return radius_mm * math.sin(turn), radius_mm * math.cos(turn)


def _cant(radius_mm: float) -> list[Point]:
    """Return a round with a flat left and right, as a cant lies once it was rolled."""
    most = _FLAT_SHARE * radius_mm
    points = [_at(radius_mm, 7.5 * number) for number in range(48)]
    return [(max(-most, min(most, x)), y) for x, y in points]


def turn_view(setup: SetUp, *, stack: int = 0) -> Drawing:
    """Return how the log is turned before a stack, seen from the butt.

    A dashed mark stands where the crown is before the turn (without a crown, where
    12 o'clock is), an arrow where it comes to.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    stack : int
        Number of the stack, from 0.

    Returns
    -------
    Drawing
        A picture, not to scale.

    Raises
    ------
    SheetError
        There is no such stack.
    """
    if not 0 <= stack < len(setup.stacks):
        raise SheetError(f"{setup.placement.log.tag}: there is no stack {stack} in this set-up.")
    placement = setup.placement
    clock = placement.log.crown_clock
    start = 0.0 if clock is None else 30.0 * clock
    if stack == 0:
        turn = (placement.roll_deg + 180.0) % 360.0 - 180.0
    else:
        start += placement.roll_deg
        turn = setup.stacks[stack].turn_deg - setup.stacks[stack - 1].turn_deg
    return turn_picture(placement.log.tag, start, turn_deg=turn, is_cant=stack > 0)


def turn_picture(tag: str, start_deg: float, *, turn_deg: float, is_cant: bool) -> Drawing:
    """Return a turn, seen from the butt.

    Parameters
    ----------
    tag : str
        Name of the log.
    start_deg : float
        Where the dashed mark stands, clockwise from straight up [deg].
    turn_deg : float
        The turn, clockwise plus [deg].
    is_cant : bool
        Whether a cant is turned, and not a round log.

    Returns
    -------
    Drawing
        A picture, not to scale.
    """
    half_wide, half_tall = TURN_MM[0] / 2.0, TURN_MM[1] / 2.0
    drawing = Drawing(
        Box(-half_wide, -half_tall, half_wide, half_tall),
        1.0,
        title=f"{tag}: the turn, seen from the butt",
        description=f"Turned {angle_text(turn_deg)}.",
    )
    edge = _RADIUS_MM
    if is_cant:
        drawing.polygon(_cant(edge), style="sawn", fill="wood")
        edge *= _FLAT_SHARE
    else:
        drawing.ellipse((0.0, 0.0), (edge, edge), style="bark", fill="wood")
    drawing.line(_at(edge, start_deg), _at(_MARK_MM, start_deg), style="hidden")
    drawing.arrow(_at(2.0, start_deg + turn_deg), _at(_MARK_MM, start_deg + turn_deg), style="outline")
    if abs(turn_deg) >= _LEAST_DEG:
        gap = math.copysign(6.0, turn_deg)
        drawing.turn_arrow((0.0, 0.0), _ARC_MM, start_deg=start_deg + gap, sweep_deg=turn_deg - 1.5 * gap)
    return drawing
