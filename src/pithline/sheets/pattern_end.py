"""One end of a log that is sawn into several pieces, seen from the butt.

The pith is the origin: the plumb and the level line run through it, and each cut line is
told by its distance from it, in superimposed running dimensions (ISO 129). A cut line is
the lower edge of its kerf as the wood lies for the pass.
"""

import math
from collections.abc import Mapping
from typing import Literal

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.logs.solid import direction_of
from pithline.patterns.pattern import Pattern
from pithline.sheets.end_plan import (
    COLUMN_MM,
    EDGE_MM,
    PAST_MM,
    TWELVE_MM,
    End,
    EndFace,
    chord_of,
    crown_arrow,
)
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.pattern_end_plan import PatternPlan, plan_pattern
from pithline.sheets.pattern_faces import PatternFace, pattern_face
from pithline.sheets.pattern_labels import Label, Rectangle, label_pieces, thin_level
from pithline.sheets.pattern_readings import draw_column, draw_row, places_within
from pithline.sheets.pattern_writing import title_mm
from pithline.sheets.readings import Reading, wide_mm
from pithline.sheets.svg import Drawing

__all__ = ["ROOM_MM", "pattern_end_view", "position_end_view"]

ROOM_MM = (95.0, 96.0)
"""Width and greatest height of the drawing on paper."""

_ENDS: tuple[End, End] = ("butt", "tip")

_HATCH_MM = 0.7

_KNEE_MM = 1.0
_UPRIGHT = 0.35
"""Sine of the angle from plumb within which the word at the crown's arrow stands over or under it."""

_MARKS_APART_MM = 0.8


def pattern_end_view(
    pattern: Pattern,
    part: int,
    end: End,
    *,
    tape: Tape,
    position: int | None = None,
    room_mm: tuple[float, float] = ROOM_MM,
) -> Drawing:
    """Return one end of a part as seen from the butt, turned for the first pass, 12 up.

    Butt and tip are drawn at one scale and equally large on paper.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    part : int
        Number of the part, from 0.
    end : {'butt', 'tip'}
        Which end of it.
    tape : Tape
        How lengths are shown.
    position : int or None
        Number of the position, from 0, whose lines alone are red and told; None tells all.
    room_mm : (float, float)
        Width, and greatest height, of the drawing on paper [mm].

    Returns
    -------
    Drawing
        The end with pieces, kerfs, cut lines and readings, as wide as the room.

    Raises
    ------
    SheetError
        There is no such part or position, or the room is too small.
    """
    faces = {name: pattern_face(pattern, part, end=name, position=position) for name in _ENDS}
    name = end.capitalize() if len(pattern.parts) == 1 else f"Part {part + 1}, {end}"
    return _drawn(pattern.log.tag, faces, end=end, name=name, tape=tape, room_mm=room_mm)


def position_end_view(
    pattern: Pattern, position: int, end: End, *, tape: Tape, room_mm: tuple[float, float] = ROOM_MM
) -> Drawing:
    """Return one end as it lies in a position, seen from the butt, without what is off by then.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    position : int
        Number of the position, from 0.
    end : {'butt', 'tip'}
        Which end of what lies there.
    tape : Tape
        How lengths are shown.
    room_mm : (float, float)
        Width, and greatest height, of the drawing on paper [mm].

    Returns
    -------
    Drawing
        As of `pattern_end_view`, the lines of the position told.

    Raises
    ------
    SheetError
        There is no such position, or the room is too small.
    """
    if not 0 <= position < len(pattern.positions):
        raise SheetError(f"{pattern.log.tag}: there is no position {position} in this pattern.")
    part = pattern.positions[position].part
    faces = {name: pattern_face(pattern, part, end=name, position=position, as_it_lies=True) for name in _ENDS}
    return _drawn(pattern.log.tag, faces, end=end, name=end.capitalize(), tape=tape, room_mm=room_mm)


def _drawn(
    tag: str,
    faces: Mapping[End, PatternFace],
    *,
    end: End,
    name: str,
    tape: Tape,
    room_mm: tuple[float, float],
) -> Drawing:
    """Return one of two ends, drawn."""
    scale, tall_mm, plans = plan_pattern(faces, tape=tape, room_mm=room_mm)
    face, plan = faces[end], plans[end]
    box = face.box
    spare = (
        0.5 * (room_mm[0] - plan.left - plan.right - (box.right - box.left) * scale),
        0.5 * (tall_mm - plan.below - plan.above - (box.top - box.bottom) * scale),
    )
    margins = (plan.left + spare[0], plan.below + spare[1], plan.right + spare[0], plan.above + spare[1])
    told = [f"pass {cut.number} {cut.number_text(tape)} {cut.towards}" for cut in face.told]
    drawing = Drawing(
        box,
        scale,
        title=f"{tag}: {name[0].lower()}{name[1:]} seen from the butt",
        description=f"Cut lines from the pith: {', '.join(told)}." if told else "",
        margins_mm=margins,
    )
    labels = label_pieces(drawing, face, tape)
    _draw_wood(drawing, face)
    _draw_center_lines(drawing, face, plan, [label.box for label in labels.values()])
    _draw_pieces(drawing, face, labels)
    _draw_cut_lines(drawing, face)
    if plan.marks:
        _write_marks(drawing, face, labels, side=-plan.column)
    draw_column(drawing, face, plan, tape)
    draw_row(drawing, face, plan, tape)
    _draw_crown(drawing, face, plan)
    _write_title(drawing, name, plan)
    return drawing


def _write_title(drawing: Drawing, name: str, plan: PatternPlan) -> None:
    """Write which end it is into the corner that nothing else reaches: on the side of the column, off the row."""
    anchor: Literal["start", "end"] = "start" if plan.column < 0 else "end"
    corner = EDGE_MM if plan.column < 0 else drawing.paper.width_mm - EDGE_MM
    words = [f"seen from the butt, {drawing.scale_text}", *plan.title[1:]]
    top = 0.0 if plan.row <= 0 else drawing.paper.height_mm - title_mm(plan.title)[1]
    drawing.paper.text((corner, top + 4.5), name, style=TextStyle("lead", anchor, bold=True))
    for number, row in enumerate(words):
        drawing.paper.text((corner, top + 8.5 + 3.7 * number), row, style=TextStyle(anchor=anchor))


def _draw_wood(drawing: Drawing, face: PatternFace) -> None:
    """Draw the wood and the kerfs; those told in this drawing are hatched in crayon, others in pencil."""
    drawing.polygon(face.wood, style="bark", fill="wood")
    for cut in face.cuts:
        style = "kerf" if cut.now else "dimension"
        with drawing.group(f"kerf pass-{cut.number}"):
            drawing.hatch(cut.kerf, spacing_mm=_HATCH_MM if cut.now else 2.0 * _HATCH_MM, style=style)
            drawing.polygon(cut.kerf, style=style)


def _draw_pieces(drawing: Drawing, face: PatternFace, labels: dict[str, Label]) -> None:
    """Draw the pieces, timbers thick, what does not reach this end dashed, and their names."""
    # Thick sides lie over thin ones that they share a place with.
    for piece in sorted(face.pieces, key=lambda piece: (piece.reaches, piece.piece.kind)):
        style = "hidden" if not piece.reaches else "sawn" if piece.piece.kind == "timber" else "outline"
        with drawing.group(f"piece {piece.mark}"):
            drawing.polygon(piece.corners, style=style)
    for mark, label in labels.items():
        with drawing.group(f"name {mark}"):
            label.write(drawing.paper)


def _write_marks(drawing: Drawing, face: PatternFace, labels: dict[str, Label], *, side: int) -> None:
    """Write marks of pieces too thin for words beside the wood, on the side away from the readings."""
    pieces = thin_level(drawing, face, labels)
    if not pieces:
        return
    middles = [0.5 * (piece.box.top + piece.box.bottom) for piece in pieces]
    readings = [Reading(piece.mark, "", "note") for piece in pieces]
    levels = [drawing.on_paper_mm((0.0, y))[1] for y in middles]
    top, bottom = (drawing.on_paper_mm((0.0, y))[1] for y in (face.box.top, face.box.bottom))
    sizes = [reading.height_mm for reading in readings]
    places = places_within(levels, sizes, gap_mm=_MARKS_APART_MM, limits=(top - COLUMN_MM, bottom + COLUMN_MM))
    edge = drawing.on_paper_mm((face.box.right if side > 0 else face.box.left, 0.0))[0] + side * _KNEE_MM
    for piece, level, reading, place in zip(pieces, levels, readings, places, strict=True):
        start = drawing.on_paper_mm((piece.box.right if side > 0 else piece.box.left, 0.0))[0]
        with drawing.group(f"name {piece.mark}"):
            drawing.paper.path([(start, level), (edge, level), (edge + side * 1.6, place)], style="dimension")
            reading.write(drawing.paper, (edge + side * 2.2, place), anchor="start" if side > 0 else "end")


def _draw_cut_lines(drawing: Drawing, face: PatternFace) -> None:
    """Draw the cut lines: those told in this drawing in crayon, over the others in chalk."""
    for now in (False, True):
        for cut in face.cuts:
            if cut.now == now and cut.line:
                with drawing.group(f"line pass-{cut.number}"):
                    drawing.line(cut.line[0], cut.line[1], style="cut" if now else "chalk")


def _broken(drawing: Drawing, start: Point, end: Point, gaps: list[Rectangle]) -> None:
    """Draw a plumb or level center line, broken where it would run through words."""
    a, b = drawing.on_paper_mm(start), drawing.on_paper_mm(end)
    axis = 0 if abs(a[1] - b[1]) < 1e-9 else 1
    other = 1 - axis
    low, high = min(a[axis], b[axis]), max(a[axis], b[axis])
    clear = 0.6
    stops = sorted((gap[axis] - clear, gap[axis + 2] + clear) for gap in gaps if gap[other] < a[other] < gap[other + 2])
    for begin, stop in [*stops, (high, high)]:
        if begin - low > 0.2:
            ends = [(place, a[1]) if axis == 0 else (a[0], place) for place in (low, begin)]
            drawing.paper.path(ends, style="level")
        low = max(low, stop)


def _draw_center_lines(drawing: Drawing, face: PatternFace, plan: PatternPlan, words: list[Rectangle]) -> None:
    """Draw the plumb and the level line through the pith, the pith, and the clock's 12."""
    box, past, column = face.box, PAST_MM / drawing.scale, COLUMN_MM / drawing.scale
    has_column = any(cut.axis == 1 for cut in face.told)
    # Marks of thin pieces take the place where the level line would run out of the wood.
    free = past if not plan.marks else 0.5 * _KNEE_MM / drawing.scale
    near = column if has_column else past
    left, right = box.left - (near if plan.column < 0 else free), box.right + (near if plan.column > 0 else free)
    bottom = box.bottom - (column if plan.row < 0 else past)
    top = box.top + (column if plan.row > 0 else past)
    with drawing.group("center-lines"):
        _broken(drawing, (left, 0.0), (right, 0.0), words)
        _broken(drawing, (0.0, bottom), (0.0, top), words)
    half = 1.5 / drawing.scale
    with drawing.group("quarter-marks"):
        for y in chord_of(face.wood, 0, 0.0) or ():
            drawing.line((0.0, y - half), (0.0, y + half), style="chalk")
        for x in chord_of(face.wood, 1, 0.0) or ():
            drawing.line((x - half, 0.0), (x + half, 0.0), style="chalk")
    with drawing.group("pith"):
        radius = 0.8 / drawing.scale
        drawing.ellipse((0.0, 0.0), (radius, radius), style=None, fill="ink")
    side = _twelve_side(drawing, face, plan)
    if side != 0:
        style = TextStyle(anchor="start" if side > 0 else "end", color="chalk", bold=True)
        drawing.text((0.0, box.top), "12", style=style, shift_mm=(1.2 * side, 0.9))


def _twelve_side(drawing: Drawing, face: PatternFace, plan: PatternPlan) -> int:
    """Return the side of the plumb line on which its 12 is clear of crown and readings, 0 for none."""
    if plan.row > 0:
        sides = [cut.at_mm * drawing.scale for cut in face.told if cut.axis == 0]
        free = {sign: min((sign * x for x in sides if sign * x > -1.0), default=math.inf) for sign in (-1, 1)}
        side = -1 if free[-1] >= free[1] else 1
        return side if free[side] > TWELVE_MM else 0
    x, y = drawing.on_paper_mm((0.0, face.box.top))
    crown = _crown_box(drawing, face, plan)
    for side in (-1, 1):
        left, right = sorted((x, x + side * TWELVE_MM))
        if crown is None or not (left < crown[2] and crown[0] < right and y - 4.0 < crown[3] and crown[1] < y):
            return side
    return 0


def _crown_box(drawing: Drawing, face: PatternFace, plan: PatternPlan) -> Rectangle | None:
    """Return what the arrow of the crown and its word take up on paper, None for a straight log."""
    if face.crown_clock is None:
        return None
    sine, cosine = (float(part) for part in direction_of(face.crown_clock))
    tail, head = (drawing.on_paper_mm(spot) for spot in crown_arrow(_as_end(face, plan, drawing.scale), drawing.scale))
    wide, tall = wide_mm("crown", "note", bold=True) + 1.0, 4.0
    start = head[0] - 0.5 * wide if abs(sine) <= _UPRIGHT else head[0] - (wide if sine < 0.0 else 0.0)
    low = 0.5 * tall if abs(sine) > _UPRIGHT else (0.0 if cosine > 0.0 else tall)
    xs, ys = (tail[0], head[0], start, start + wide), (tail[1], head[1], head[1] + low, head[1] + low - tall)
    return min(xs) - 0.5, min(ys), max(xs) + 0.5, max(ys)


def _as_end(face: PatternFace, plan: PatternPlan, scale: float) -> EndFace:
    """Return what the arrow of the crown keeps clear of: the wood, and marks beside it."""
    box = face.box
    center = (0.5 * (box.left + box.right), 0.5 * (box.bottom + box.top))
    if plan.marks == 0.0:
        return EndFace(list(face.wood), center, (0.0, 0.0), (), face.crown_clock)
    half = (0.5 * (box.right - box.left) + plan.marks / scale, 0.5 * (box.top - box.bottom))
    return EndFace(list(face.wood), center, half, (), face.crown_clock)


def _draw_crown(drawing: Drawing, face: PatternFace, plan: PatternPlan) -> None:
    """Draw an arrow outward where the log bulges."""
    if face.crown_clock is None:
        return
    sine, cosine = (float(part) for part in direction_of(face.crown_clock))
    tail, head = crown_arrow(_as_end(face, plan, drawing.scale), drawing.scale)
    with drawing.group("crown"):
        drawing.arrow(tail, head, style="outline")
        level: Literal["baseline", "middle", "top"] = "middle"
        anchor: Literal["start", "middle", "end"] = "start" if sine > 0.0 else "end"
        if abs(sine) <= _UPRIGHT:
            anchor, level = "middle", "baseline" if cosine > 0.0 else "top"
        style = TextStyle(anchor=anchor, level=level, bold=True)
        drawing.text(head, "crown", style=style, shift_mm=(1.0 * sine, 1.0 * cosine))
