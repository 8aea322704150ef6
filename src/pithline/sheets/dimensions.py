"""Dimensions on paper after ISO 129: extension lines, dimension line, text above it."""

import math
from typing import Literal

from pithline.errors import SheetError
from pithline.sheets.look import text_width_mm
from pithline.sheets.paper import Paper, Point, TextStyle, arrow_length_mm

__all__ = ["TEXT_CLEAR_MM", "direction_deg", "draw_dimension"]

_TICK_MM = 1.1
_EXTENSION_GAP_MM = 1.0
_EXTENSION_PAST_MM = 1.5
TEXT_CLEAR_MM = 1.0
_TEXT_ABOVE_MM = 0.9


def direction_deg(start: Point, end: Point) -> float:
    """Return the direction from one point on paper to another.

    Parameters
    ----------
    start, end : (float, float)
        Two points, y down [mm].

    Returns
    -------
    float
        Angle from x right toward y down; 0 where the points coincide [deg].
    """
    return math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))


def draw_dimension(
    paper: Paper,
    measured: tuple[Point, Point],
    *,
    text: str,
    offset_mm: float,
    along: Literal["line", "x", "y"],
    ends: Literal["arrow", "tick"],
) -> None:
    """Draw a dimension between two points on paper.

    Parameters
    ----------
    paper : Paper
        The sheet drawn on.
    measured : ((float, float), (float, float))
        The points measured from and to, y down [mm].
    text : str
        The measure with its unit, as typed.
    offset_mm : float
        From the points to the dimension line; signs as in `Drawing.dimension` [mm].
    along : {'line', 'x', 'y'}
        Whether the straight distance is measured, or only across, or only up.
    ends : {'arrow', 'tick'}
        Arrowheads, or oblique ticks.

    Raises
    ------
    SheetError
        The two points coincide in the direction measured.
    """
    p, q = measured
    a, b = _dimension_line(p, q, offset_mm, along)
    if math.dist(a, b) < 1e-6:
        raise SheetError(f"{paper.title}: the dimension {text!r} has no length to be drawn on.")
    with paper.group("dimension"):
        _draw_extension(paper, p, a)
        _draw_extension(paper, q, b)
        across_mm, down_mm = b[0] - a[0], b[1] - a[1]
        if across_mm < -1e-6 or (abs(across_mm) <= 1e-6 and down_mm > 0.0):
            a, b = b, a
        _draw_dimension_line(paper, a, b, text=text, ends=ends)


def _dimension_line(p: Point, q: Point, offset_mm: float, along: str) -> tuple[Point, Point]:
    """Return the ends of a dimension line on paper, at an offset from two points."""
    if along == "x":
        y_mm = (min(p[1], q[1]) if offset_mm >= 0.0 else max(p[1], q[1])) - offset_mm
        return (p[0], y_mm), (q[0], y_mm)
    if along == "y":
        x_mm = (max(p[0], q[0]) if offset_mm >= 0.0 else min(p[0], q[0])) + offset_mm
        return (x_mm, p[1]), (x_mm, q[1])
    length_mm = math.dist(p, q)
    if length_mm == 0.0:
        return p, q
    # On paper y points down, so the left of (ux, uy) is (uy, -ux).
    shift = (
        (q[1] - p[1]) / length_mm * offset_mm,
        -(q[0] - p[0]) / length_mm * offset_mm,
    )
    return (p[0] + shift[0], p[1] + shift[1]), (q[0] + shift[0], q[1] + shift[1])


def _draw_extension(paper: Paper, near: Point, far: Point) -> None:
    """Draw the line from a measured point to just past the dimension line."""
    reach_mm = math.dist(near, far)
    if reach_mm <= _EXTENSION_GAP_MM:
        return
    ux, uy = (far[0] - near[0]) / reach_mm, (far[1] - near[1]) / reach_mm
    start = (near[0] + ux * _EXTENSION_GAP_MM, near[1] + uy * _EXTENSION_GAP_MM)
    end = (far[0] + ux * _EXTENSION_PAST_MM, far[1] + uy * _EXTENSION_PAST_MM)
    paper.path([start, end], style="dimension")


def _draw_dimension_line(paper: Paper, a: Point, b: Point, *, text: str, ends: str) -> None:
    """Draw line, ends and text from `a` to `b`, which is the direction of reading."""
    length_mm = math.dist(a, b)
    ux, uy = (b[0] - a[0]) / length_mm, (b[1] - a[1]) / length_mm
    angle_deg = direction_deg(a, b)
    text_mm = text_width_mm(text, "note") + 2.0 * TEXT_CLEAR_MM
    head_mm = arrow_length_mm("dimension")
    heads_fit = ends == "tick" or length_mm >= 2.0 * head_mm + 1.0
    tail_mm = 0.0 if heads_fit else 2.0 * head_mm
    if heads_fit and length_mm >= text_mm:
        reach_mm, middle_mm = length_mm, length_mm / 2.0
    else:
        reach_mm = length_mm + tail_mm + text_mm
        middle_mm = length_mm + tail_mm + text_mm / 2.0

    def along_line(run_mm: float, above_mm: float = 0.0) -> Point:
        return (a[0] + ux * run_mm + uy * above_mm, a[1] + uy * run_mm - ux * above_mm)

    paper.path([along_line(-tail_mm), along_line(reach_mm)], style="dimension")
    if ends == "tick":
        for run_mm in (0.0, length_mm):
            foot = along_line(run_mm - _TICK_MM * math.sqrt(0.5), -_TICK_MM * math.sqrt(0.5))
            head = along_line(run_mm + _TICK_MM * math.sqrt(0.5), _TICK_MM * math.sqrt(0.5))
            paper.path([foot, head], style="outline")
    else:
        outward_deg = 0.0 if heads_fit else 180.0
        paper.arrowhead(a, angle_deg + 180.0 + outward_deg)
        paper.arrowhead(b, angle_deg + outward_deg)
    style = TextStyle(anchor="middle", angle_deg=-angle_deg)
    paper.text(along_line(middle_mm, _TEXT_ABOVE_MM), text, style=style)
