"""One end of a log, seen from the butt, with every line that is drawn on it.

The pith is the origin: the plumb and the level line run through it, and each line of
the timber is told by its distance from it. Distances are superimposed running
dimensions (ISO 129): one dimension line that starts from a small circle, an arrowhead
at each line, the reading at the arrowhead. So a line on the other side of the pith
needs no drawing of another kind.
"""

import math
from collections.abc import Sequence
from typing import Literal

from pithline.answers.words import line_text
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.logs.solid import direction_of
from pithline.setup import SetUp
from pithline.sheets.end_plan import (
    COLUMN_MM,
    EDGE_MM,
    FOOT_MM,
    LABEL_MM,
    PAST_MM,
    TITLE_MM,
    TWELVE_MM,
    End,
    EndFace,
    EndPlan,
    Towards,
    chord_of,
    clipped,
    crown_arrow,
    face_of,
    margins_of,
    plan_end,
    size_ends,
)
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.readings import ORIGIN_MM, draw_origin, kept_apart
from pithline.sheets.svg import Drawing

__all__ = ["ROOM_MM", "End", "end_view"]

ROOM_MM = (93.0, 78.0)
"""Width and greatest height of the drawing on paper."""

_LINK_MM = 3.2
_APART_MM = 1.6


def end_view(setup: SetUp, end: End, *, tape: Tape, stack: int = 0, room_mm: tuple[float, float] = ROOM_MM) -> Drawing:
    """Return one end as seen from the butt, the log turned for a stack of passes.

    Butt and tip of a stack are drawn at one scale and equally large on paper.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    end : {'butt', 'tip'}
        Which end.
    tape : Tape
        How lengths are shown.
    stack : int
        Number of the stack, from 0.
    room_mm : (float, float)
        Width, and greatest height, of the drawing on paper [mm].

    Returns
    -------
    Drawing
        The end with lines, kerfs and readings, as wide as the room.

    Raises
    ------
    SheetError
        There is no such stack, or the room is too small.
    """
    if not 0 <= stack < len(setup.stacks):
        raise SheetError(f"{setup.placement.log.tag}: there is no stack {stack} in this set-up.")
    faces: dict[End, EndFace] = {"butt": face_of(setup, "butt", stack), "tip": face_of(setup, "tip", stack)}
    plans: dict[End, EndPlan] = {name: plan_end(face, tape) for name, face in faces.items()}
    scale, tall_mm, plans = size_ends(faces, plans, room_mm)
    face, plan = faces[end], plans[end]
    told = [line_text(line.distance_mm, line.towards, tape=tape) for line in face.lines]
    drawing = Drawing(
        face.box,
        scale,
        title=f"{setup.placement.log.tag}: {end} seen from the butt",
        description=f"Lines from the pith: {', '.join(told)}.",
        margins_mm=margins_of(face.box, plan, scale, (room_mm[0], tall_mm)),
    )
    _draw_wood(drawing, face, setup.kit.saw.kerf_mm)
    _draw_center_lines(drawing, face, plan)
    _draw_column(drawing, face, plan, tape)
    if len(face.lines) == 4:
        _draw_row(drawing, face, plan, tape)
    _draw_crown(drawing, face)
    _write_title(drawing, end, plan)
    return drawing


def _write_title(drawing: Drawing, end: End, plan: EndPlan) -> None:
    """Write which end it is into the corner that nothing else reaches: on the side of the column, off the row."""
    anchor: Literal["start", "end"] = "start" if plan.column < 0 else "end"
    corner = EDGE_MM if plan.column < 0 else drawing.paper.width_mm - EDGE_MM
    words = [f"seen from the butt, {drawing.scale_text}", *(["facing it, left is right"] if end == "tip" else [])]
    top = 0.0 if plan.row < 0 else drawing.paper.height_mm - TITLE_MM[1]
    drawing.paper.text((corner, top + 4.5), end.capitalize(), style=TextStyle("lead", anchor, bold=True))
    for number, row in enumerate(words):
        drawing.paper.text((corner, top + 8.5 + 3.7 * number), row, style=TextStyle(anchor=anchor))


def _draw_wood(drawing: Drawing, face: EndFace, kerf_mm: float) -> None:
    """Draw the wood, the kerfs on the waste side of their lines, and the timber."""
    drawing.polygon(face.outline, style="bark", fill="wood")
    if len(face.lines) == 2:
        for x in (face.corners[0][0], face.corners[1][0]):
            chord = chord_of(face.outline, 0, x) or _near_chord(face.outline, x)
            if chord is not None:
                drawing.line((x, chord[0]), (x, chord[1]), style="sawn")
    for line in face.lines:
        axis = 1 if line.towards in ("up", "down") else 0
        if line.now:
            outward = kerf_mm if line.towards in ("up", "right") else -kerf_mm
            band = clipped(face.outline, axis, max(line.at_mm, line.at_mm + outward), below=True)
            band = clipped(band, axis, min(line.at_mm, line.at_mm + outward), below=False)
            if len(band) >= 3:
                with drawing.group(f"kerf pass-{line.number}"):
                    drawing.hatch(band, spacing_mm=0.7)
                    drawing.polygon(band, style="kerf")
    # Chalk lines lie under the timber's thick sides, crayon lines on top of them.
    for now in (False, True):
        for line in face.lines:
            axis = 1 if line.towards in ("up", "down") else 0
            chord = chord_of(face.outline, axis, line.at_mm)
            if chord is not None and line.now == now:
                with drawing.group(f"line-{line.towards}"):
                    ends = [(line.at_mm, end) if axis == 0 else (end, line.at_mm) for end in chord]
                    drawing.line(ends[0], ends[1], style="cut" if now else "chalk")
        if not now:
            _draw_timber(drawing, face)


def _near_chord(outline: Sequence[Point], x: float) -> tuple[float, float] | None:
    """Return the extent of an outline's edge on a plumb line that only touches it."""
    ys = [point[1] for point in outline if abs(point[0] - x) < 1e-6]
    return (min(ys), max(ys)) if len(ys) >= 2 else None


def _draw_timber(drawing: Drawing, face: EndFace) -> None:
    """Draw the four sides of the timber, thick where they are sawn."""
    sawn = {line.towards: line.number is not None for line in face.lines}
    corners = face.corners
    ways: tuple[Towards, ...] = ("down", "right", "up", "left")
    with drawing.group("timber"):
        for number, way in enumerate(ways):
            style = "sawn" if sawn.get(way, True) else "chalk"
            drawing.line(corners[number], corners[(number + 1) % 4], style=style)


def _draw_center_lines(drawing: Drawing, face: EndFace, plan: EndPlan) -> None:
    """Draw the plumb and the level line through the pith, the pith, and the clock's 12."""
    box, past = face.box, PAST_MM / drawing.scale
    column = COLUMN_MM / drawing.scale
    left = box.left - (column if plan.column < 0 else past)
    right = box.right + (column if plan.column > 0 else past)
    rows = len(face.lines) == 4
    bottom = box.bottom - (column if rows and plan.row < 0 else past)
    top = box.top + (column if rows and plan.row > 0 else past)
    with drawing.group("center-lines"):
        drawing.line((left, 0.0), (right, 0.0), style="level")
        drawing.line((0.0, bottom), (0.0, top), style="level")
    # Where a line misses the wood, as beside a cant that is free of heart, there is nothing to mark.
    upright = chord_of(face.outline, 0, 0.0) or ()
    level = chord_of(face.outline, 1, 0.0) or ()
    half = 1.5 / drawing.scale
    with drawing.group("quarter-marks"):
        for y in upright:
            drawing.line((0.0, y - half), (0.0, y + half), style="chalk")
        for x in level:
            drawing.line((x - half, 0.0), (x + half, 0.0), style="chalk")
    with drawing.group("pith"):
        radius = 0.8 / drawing.scale
        drawing.ellipse((0.0, 0.0), (radius, radius), style=None, fill="ink")
    side = _twelve_side(face, plan, drawing.scale)
    if side != 0:
        style = TextStyle(anchor="start" if side > 0 else "end", color="chalk", bold=True)
        drawing.text((0.0, box.top), "12", style=style, shift_mm=(1.2 * side, 0.9))


def _twelve_side(face: EndFace, plan: EndPlan, scale: float) -> int:
    """Return the side of the plumb line on which its 12 is clear of crown and readings, 0 for none."""
    if len(face.lines) == 4 and plan.row > 0:
        sides = [line.at_mm * scale for line in face.lines if line.towards in ("left", "right")]
        free = {sign: min((sign * x for x in sides if sign * x > -1.0), default=math.inf) for sign in (-1, 1)}
        side = -1 if free[-1] >= free[1] else 1
        return side if free[side] > TWELVE_MM else 0
    if face.crown_clock is None:
        return -1
    tail, _ = crown_arrow(face, scale)
    return 1 if tail[0] < 0.0 else -1


def _draw_column(drawing: Drawing, face: EndFace, plan: EndPlan, tape: Tape) -> None:
    """Draw the distances up and down, and their readings beside the end."""
    lines = sorted((line for line in face.lines if line.towards in ("up", "down")), key=lambda line: -line.at_mm)
    side = plan.column
    edge = face.box.left if side < 0 else face.box.right
    x = drawing.on_paper_mm((edge, 0.0))[0] + side * COLUMN_MM
    origin = (x, drawing.on_paper_mm((0.0, 0.0))[1])
    levels = [drawing.on_paper_mm((0.0, line.at_mm))[1] for line in lines]
    readings = [line.reading(tape) for line in lines]
    places = kept_apart(levels, [reading.height_mm for reading in readings], gap_mm=_APART_MM)
    low, high = (TITLE_MM[1], FOOT_MM) if plan.row < 0 else (EDGE_MM, TITLE_MM[1])
    places = _inside(places, readings[0].height_mm, (low, drawing.paper.height_mm - high))
    for line, level, reading, place in zip(lines, levels, readings, places, strict=True):
        chord = chord_of(face.outline, 1, line.at_mm)
        ends = chord if chord is not None else (face.corners[0][0], face.corners[1][0])
        wood = drawing.on_paper_mm((ends[0] if side < 0 else ends[1], 0.0))[0]
        with drawing.group(f"distance-{line.towards}"):
            _draw_running(drawing, origin, (x, level), from_wood=(wood + side * 1.0, level), side=(side, 0.0))
            drawing.paper.path([(x + side * 1.2, level), (x + side * _LINK_MM, place)], style="dimension")
            reading.write(drawing.paper, (x + side * LABEL_MM, place), anchor="end" if side < 0 else "start")


def _draw_row(drawing: Drawing, face: EndFace, plan: EndPlan, tape: Tape) -> None:
    """Draw the distances left and right, and their readings below the end or above it."""
    lines = sorted((line for line in face.lines if line.towards in ("left", "right")), key=lambda line: line.at_mm)
    edge = face.box.bottom if plan.row < 0 else face.box.top
    # On paper y points down, so a row below the end lies at a larger y.
    side = -plan.row
    y = drawing.on_paper_mm((0.0, edge))[1] + side * COLUMN_MM
    origin = (drawing.on_paper_mm((0.0, 0.0))[0], y)
    places_x = [drawing.on_paper_mm((line.at_mm, 0.0))[0] for line in lines]
    readings = [line.reading(tape) for line in lines]
    places = kept_apart(places_x, [reading.width_mm for reading in readings], gap_mm=2.0 * _APART_MM)
    for line, x, reading, place in zip(lines, places_x, readings, places, strict=True):
        chord = chord_of(face.outline, 0, line.at_mm)
        ends = chord if chord is not None else (face.corners[0][1], face.corners[2][1])
        wood = drawing.on_paper_mm((0.0, ends[0] if plan.row < 0 else ends[1]))[1]
        with drawing.group(f"distance-{line.towards}"):
            _draw_running(drawing, origin, (x, y), from_wood=(x, wood + side * 1.0), side=(0.0, side))
            drawing.paper.path([(x, y + side * 1.2), (place, y + side * _LINK_MM)], style="dimension")
            reading.write(drawing.paper, (place, y + side * (LABEL_MM + 0.5 * reading.height_mm)))


def _inside(places: Sequence[float], size: float, limits: tuple[float, float]) -> list[float]:
    """Return the places, all moved alike where the outermost would leave its limits."""
    low, high = limits[0] + 0.5 * size - places[0], limits[1] - 0.5 * size - places[-1]
    shift = max(low, min(0.0, high)) if low > 0.0 else min(0.0, high)
    return [place + shift for place in places]


def _draw_running(drawing: Drawing, origin: Point, to: Point, *, from_wood: Point, side: Point) -> None:
    """Draw a running dimension on paper: circle at its origin, arrowhead at the line, extension line."""
    paper = drawing.paper
    paper.path([from_wood, (to[0] + 1.2 * side[0], to[1] + 1.2 * side[1])], style="dimension")
    length = math.dist(origin, to)
    draw_origin(paper, origin)
    if length <= ORIGIN_MM:
        return
    ux, uy = (to[0] - origin[0]) / length, (to[1] - origin[1]) / length
    paper.path([(origin[0] + ux * ORIGIN_MM, origin[1] + uy * ORIGIN_MM), to], style="dimension")
    if length > 3.0 + ORIGIN_MM:
        paper.arrowhead(to, math.degrees(math.atan2(uy, ux)))


def _draw_crown(drawing: Drawing, face: EndFace) -> None:
    """Draw an arrow outward where the log bulges."""
    if face.crown_clock is None:
        return
    sine, cosine = (float(part) for part in direction_of(face.crown_clock))
    tail, head = crown_arrow(face, drawing.scale)
    with drawing.group("crown"):
        drawing.arrow(tail, head, style="outline")
        level: Literal["baseline", "middle", "top"] = "middle"
        anchor: Literal["start", "middle", "end"] = "start" if sine > 0.0 else "end"
        if abs(sine) <= 0.35:
            anchor, level = "middle", "baseline" if cosine > 0.0 else "top"
        style = TextStyle(anchor=anchor, level=level, bold=True)
        drawing.text(head, "crown", style=style, shift_mm=(1.0 * sine, 1.0 * cosine))
