"""The plan of an end view: the end as it lies, its lines, the scale that fits, and where the readings go."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from pithline.answers.words import line_text
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.logs.solid import direction_of, section_at
from pithline.setup import SetUp
from pithline.setup.frame import framed
from pithline.sheets.paper import Point
from pithline.sheets.readings import Reading, scale_for
from pithline.sheets.svg import Box

__all__ = [
    "COLUMN_MM",
    "EDGE_MM",
    "FOOT_MM",
    "LABEL_MM",
    "PAST_MM",
    "TITLE_MM",
    "TWELVE_MM",
    "End",
    "EndFace",
    "EndLine",
    "EndPlan",
    "Towards",
    "chord_of",
    "clipped",
    "crown_arrow",
    "face_of",
    "margins_of",
    "plan_end",
    "size_ends",
]

End = Literal["butt", "tip"]
Towards = Literal["up", "down", "left", "right"]

# Lengths on paper.
TITLE_MM = (32.5, 13.9)  # width and height of the corner with the title
_LEAST_TALL_MM = 40.0
FOOT_MM = 0.8
COLUMN_MM = 4.5  # from the end to a dimension line
LABEL_MM = 4.0  # from there to the readings
PAST_MM = 3.5  # how far the center lines run past the end
EDGE_MM = 1.0
_CROWN_MM = (4.2, 9.2)  # from the end to tail and head of the arrow
_CROWN_TEXT_MM = 9.5
TWELVE_MM = 5.2  # what the 12 beside the plumb line takes up

_LEAST_SCALE = 1.0 / 4000.0
_NEAR_AXIS = 0.5
"""Sine of the angle from plumb or level within which a crown counts as beside a center line."""


@dataclass(frozen=True)
class EndLine:
    """One line of the timber: where it lies from the pith, and what becomes of it.

    `at_mm` is its place along x or y, plus right or up.
    """

    towards: Towards
    at_mm: float
    number: int | None
    now: bool

    @property
    def distance_mm(self) -> float:
        return self.at_mm if self.towards in ("up", "right") else -self.at_mm

    def reading(self, tape: Tape) -> Reading:
        """What is written at the line."""
        number, _, way = line_text(self.distance_mm, self.towards, tape=tape).rpartition(" ")
        fate = "not sawn" if self.number is None else f"pass {self.number}"
        return Reading(number, f"{way}, {fate}", color="crayon" if self.now else "ink")


@dataclass(frozen=True)
class EndFace:
    """One end as it lies for a stack, the pith at the origin."""

    outline: list[Point]
    center: Point
    half: Point
    lines: tuple[EndLine, ...]
    crown_clock: float | None

    @property
    def corners(self) -> list[Point]:
        (x, y), (b, h) = self.center, self.half
        return [(x - b, y - h), (x + b, y - h), (x + b, y + h), (x - b, y + h)]

    @property
    def box(self) -> Box:
        xs, ys = zip(*self.outline, *self.corners, (0.0, 0.0), strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


def clipped(outline: Sequence[Point], axis: int, limit: float, *, below: bool) -> list[Point]:
    """Return the part of an outline on one side of a plumb (axis 0) or level (axis 1) line.

    Parameters
    ----------
    outline : sequence of (float, float)
        Corners of a convex outline [mm].
    axis : int
        0 for a plumb line, 1 for a level one.
    limit : float
        Where the line stands [mm].
    below : bool
        Whether the part left of it or below it is kept, else the other.

    Returns
    -------
    list of (float, float)
        Its corners; empty where nothing is left [mm].
    """
    sign = 1.0 if below else -1.0
    kept: list[Point] = []
    for a, b in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        from_a, from_b = sign * (limit - a[axis]), sign * (limit - b[axis])
        if from_a >= 0.0:
            kept.append(a)
        if (from_a > 0.0 > from_b) or (from_a < 0.0 < from_b):
            share = from_a / (from_a - from_b)
            kept.append((a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
    return kept


def chord_of(outline: Sequence[Point], axis: int, at: float) -> tuple[float, float] | None:
    """Return where a plumb (axis 0) or level (axis 1) line enters and leaves an outline.

    Parameters
    ----------
    outline : sequence of (float, float)
        Corners of a convex outline [mm].
    axis : int
        0 for a plumb line, 1 for a level one.
    at : float
        Where the line stands [mm].

    Returns
    -------
    (float, float) or None
        The lower and the higher place along the line; None where it misses [mm].
    """
    found = []
    for a, b in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        if (a[axis] <= at) != (b[axis] <= at):
            share = (at - a[axis]) / (b[axis] - a[axis])
            found.append(a[1 - axis] + share * (b[1 - axis] - a[1 - axis]))
    return (min(found), max(found)) if found else None


def _exit(outline: Sequence[Point], start: Point, way: Point) -> float:
    """Return how far a ray runs to where it last leaves an outline, 0 where it misses it."""
    found = [0.0]
    for a, b in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        edge = (b[0] - a[0], b[1] - a[1])
        across = way[0] * edge[1] - way[1] * edge[0]
        if across != 0.0:
            off = (a[0] - start[0], a[1] - start[1])
            share = (off[0] * way[1] - off[1] * way[0]) / across
            if 0.0 <= share <= 1.0:
                found.append((off[0] * edge[1] - off[1] * edge[0]) / across)
    return max(found)


def _lines(setup: SetUp, index: int, center: Point, half: Point) -> tuple[EndLine, ...]:
    """Return the lines told in a stack: all four at first, then those of the stack."""
    numbers = {cut.face: cut.number for cut in setup.passes}
    sides = ("left side", "right side")
    if index == 0:
        faces = {"up": "top", "down": "bottom", "left": sides[0], "right": sides[1]}
    else:
        upper, lower = sides if setup.stacks[index].turn_deg > 0.0 else sides[::-1]
        faces = {"up": upper, "down": lower}
    now = {cut.face for cut in setup.stacks[index].passes}
    places = {
        "up": center[1] + half[1],
        "down": center[1] - half[1],
        "left": center[0] - half[0],
        "right": center[0] + half[0],
    }
    ways: tuple[Towards, ...] = ("up", "down", "left", "right")
    return tuple(EndLine(way, places[way], numbers.get(faces[way]), faces[way] in now) for way in ways if way in faces)


def face_of(setup: SetUp, end: End, index: int) -> EndFace:
    """Return one end as turned for a stack.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    end : {'butt', 'tip'}
        Which end.
    index : int
        Number of the stack, from 0.

    Returns
    -------
    EndFace
        What is left of the end after earlier stacks, and the lines told in this one.
    """
    stack = setup.stacks[index]
    log = framed(setup.placement, stack.turn_deg)
    section = section_at(log, 0.0 if end == "butt" else log.length_mm)
    outline = [(float(x), float(y)) for x, y in section.outline() - section.pith_mm]
    center = (-float(section.pith_mm[0]), -float(section.pith_mm[1]))
    timber = setup.placement.timber
    half = (0.5 * (timber.cut_width_mm if index == 0 else timber.cut_thickness_mm), stack.half_mm)
    if stack.within_mm is not None:
        cant = clipped(outline, 0, center[0] - stack.within_mm, below=False)
        cant = clipped(cant, 0, center[0] + stack.within_mm, below=True)
        outline = cant if len(cant) >= 3 else outline
    crown = setup.crown_clock
    return EndFace(
        outline,
        center,
        half,
        _lines(setup, index, center, half),
        None if crown is None else (crown + stack.turn_deg / 30.0) % 12.0,
    )


@dataclass(frozen=True)
class EndPlan:
    """Where things go on paper: margins, and the sides that carry readings."""

    left: float
    below: float
    right: float
    above: float
    column: Literal[-1, 1]
    row: Literal[-1, 1]


def plan_end(face: EndFace, tape: Tape) -> EndPlan:
    """Return margins that hold the readings on the sides away from the crown.

    Parameters
    ----------
    face : EndFace
        The end.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    EndPlan
        Margins, and the sides of column and row.
    """
    sine, cosine = (0.0, 0.0)
    if face.crown_clock is not None:
        sine, cosine = (float(part) for part in direction_of(face.crown_clock))
    readings = {line.towards: line.reading(tape) for line in face.lines}
    column: Literal[-1, 1] = 1 if sine < -1e-9 else -1
    # The row of readings goes above where the crown points down among them.
    row: Literal[-1, 1] = 1 if cosine < -0.35 else -1
    tall = max(reading.height_mm for reading in readings.values())
    beside = COLUMN_MM + LABEL_MM + max(readings[way].width_mm for way in ("up", "down")) + EDGE_MM
    if len(face.lines) == 2:
        # A cant may have a corner where a round has none: it keeps clear of the title.
        edge = face.box.left if column < 0 else -face.box.right
        beside = max(beside, TITLE_MM[0] + (TWELVE_MM if edge >= -1.0 else 0.0))
    under = COLUMN_MM + LABEL_MM + tall + EDGE_MM if len(face.lines) == 4 else PAST_MM + 1.0
    text = _CROWN_TEXT_MM if abs(sine) > 0.35 else 0.5 * _CROWN_TEXT_MM
    crown_beside = _CROWN_MM[1] * abs(sine) + 1.0 + text if face.crown_clock is not None else 0.0
    crown_upright = _CROWN_MM[1] * abs(cosine) + 4.5 if face.crown_clock is not None else 0.0
    other = max(PAST_MM + 1.0, crown_beside)
    top = max(PAST_MM + 1.5, crown_upright if cosine > 0.0 else 0.0, under if row > 0 else 0.0)
    bottom = max(PAST_MM + 1.0, crown_upright if cosine < 0.0 else 0.0, under if row < 0 else 0.0)
    left, right = (beside, other) if column < 0 else (other, beside)
    return EndPlan(left, bottom + FOOT_MM, right, top + 0.5, column, row)


def _scale(box: Box, plan: EndPlan, room_mm: tuple[float, float]) -> float:
    """Return the scale at which an end fits its room."""
    across = room_mm[0] - plan.left - plan.right
    upright = room_mm[1] - plan.below - plan.above
    if across <= 0.0 or upright <= 0.0:
        raise SheetError(f"an end cannot be drawn on {room_mm[0]:g} x {room_mm[1]:g} mm of paper: give it more room.")
    return min(scale_for(box.right - box.left, across), scale_for(box.top - box.bottom, upright))


def _clear_of_title(face: EndFace, plan: EndPlan, scale: float) -> EndPlan:
    """Return the plan with so much margin that the column's lines stay clear of the title's corner."""
    ways = ("up", "down")
    levels = [line.at_mm for line in face.lines if line.towards in ways] + [0.0]
    if plan.row < 0:
        return replace(plan, above=max(plan.above, TITLE_MM[1] + 1.0 - (face.box.top - max(levels)) * scale))
    return replace(plan, below=max(plan.below, TITLE_MM[1] + 1.0 - (min(levels) - face.box.bottom) * scale))


def size_ends(
    faces: Mapping[End, EndFace], plans: Mapping[End, EndPlan], room_mm: tuple[float, float]
) -> tuple[float, float, dict[End, EndPlan]]:
    """Return the scale of both ends, the height of a drawing that holds either, and their plans at that scale.

    Parameters
    ----------
    faces : mapping of str to EndFace
        Butt and tip.
    plans : mapping of str to EndPlan
        Their plans.
    room_mm : (float, float)
        Width and greatest height on paper [mm].

    Returns
    -------
    (float, float, dict of str to EndPlan)
        Scale, height [mm], plans.

    Raises
    ------
    SheetError
        The room is too small.
    """
    scale = min(_scale(face.box, plans[end], room_mm) for end, face in faces.items())
    while scale > _LEAST_SCALE:
        clear = {end: _clear_of_title(face, plans[end], scale) for end, face in faces.items()}
        tall = max(
            clear[end].above + (face.box.top - face.box.bottom) * scale + clear[end].below
            for end, face in faces.items()
        )
        if tall <= room_mm[1]:
            return scale, max(tall, _LEAST_TALL_MM), clear
        scale = scale_for(1.0, scale * 0.999)
    raise SheetError(f"an end cannot be drawn on {room_mm[0]:g} x {room_mm[1]:g} mm of paper: give it more room.")


def margins_of(
    box: Box, plan: EndPlan, scale: float, paper_mm: tuple[float, float]
) -> tuple[float, float, float, float]:
    """Return margins that set an end in the middle of what the readings leave of the paper.

    Parameters
    ----------
    box : Box
        What the end takes up [mm].
    plan : EndPlan
        Its plan.
    scale : float
        Paper length per real length.
    paper_mm : (float, float)
        Width and height of the paper [mm].

    Returns
    -------
    (float, float, float, float)
        Left, below, right, above [mm].
    """
    spare_x = 0.5 * (paper_mm[0] - plan.left - plan.right - (box.right - box.left) * scale)
    spare_y = 0.5 * (paper_mm[1] - plan.below - plan.above - (box.top - box.bottom) * scale)
    return plan.left + spare_x, plan.below + spare_y, plan.right + spare_x, plan.above + spare_y


def crown_arrow(face: EndFace, scale: float) -> tuple[Point, Point]:
    """Return tail and head of the arrow that points where the log bulges.

    Parameters
    ----------
    face : EndFace
        The end, of a log with a crown.
    scale : float
        Paper length per real length.

    Returns
    -------
    ((float, float), (float, float))
        Two points [mm].
    """
    sine, cosine = (float(part) for part in direction_of(face.crown_clock or 0.0))
    middle = (0.5 * (face.box.left + face.box.right), 0.5 * (face.box.bottom + face.box.top))
    reach = max(_exit(face.outline, middle, (sine, cosine)), _exit(face.corners, middle, (sine, cosine)))
    if min(abs(sine), abs(cosine)) <= _NEAR_AXIS:
        # Beside the ends of the center lines, which run past all there is.
        box = face.box
        frame = [(box.left, box.bottom), (box.right, box.bottom), (box.right, box.top), (box.left, box.top)]
        reach = _exit(frame, middle, (sine, cosine))
    start, end = (reach + away / scale for away in _CROWN_MM)
    return (middle[0] + start * sine, middle[1] + start * cosine), (middle[0] + end * sine, middle[1] + end * cosine)
