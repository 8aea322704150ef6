"""The plan of an end of a pattern: how its distances are written, where they stand, and the scale that fits."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Literal

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.logs.solid import direction_of
from pithline.sheets.end_plan import COLUMN_MM, EDGE_MM, FOOT_MM, LABEL_MM, PAST_MM, TWELVE_MM, End
from pithline.sheets.pattern_faces import PatternFace
from pithline.sheets.pattern_labels import MARKS_MM, label_pieces, thin_level
from pithline.sheets.pattern_writing import COLUMN_WRITINGS, ROW_WRITINGS, Writing, readings_of, title_lines, title_mm
from pithline.sheets.readings import scale_for
from pithline.sheets.svg import Box, Drawing

__all__ = ["PatternPlan", "column_limits", "plan_pattern"]

_CROWN_MM = 9.2

_CROWN_TEXT_MM = 9.5

_LEAST_SCALE = 1.0 / 4000.0

_LEAST_TALL_MM = 40.0

_MARKS_WORTH = 0.75

_WORTH = 0.75
"""Share of the scale that larger readings are worth."""


@dataclass(frozen=True)
class PatternPlan:
    """Where things go on paper.

    Attributes: margins; the sides that carry readings, left and below minus; how the
    readings of level and of plumb lines are written; `title`, lines under the name;
    `marks`, paper beside the wood for the marks of thin pieces.
    """

    left: float
    below: float
    right: float
    above: float
    column: Literal[-1, 1]
    row: Literal[-1, 0, 1]
    level: Writing
    plumb: Writing
    title: tuple[str, ...]
    marks: float = 0.0


def _sizes(face: PatternFace, axis: int, writing: Writing, tape: Tape) -> tuple[float, float]:
    """Return how far readings reach away from the end, and how much they take up along it."""
    _, readings = readings_of(face, axis, writing=writing, tape=tape)
    if not readings:
        return 0.0, 0.0
    wide = [reading.width_mm for reading in readings]
    tall = [reading.height_mm for reading in readings]
    away, along = (wide, tall) if axis == 1 or writing.turned else (tall, wide)
    return max(away), sum(along) + writing.gap_mm(axis) * (len(along) - 1)


def _margins(face: PatternFace, plan: PatternPlan, tape: Tape) -> PatternPlan:
    """Return the plan with margins that hold readings, crown and title."""
    sine, cosine = (0.0, 0.0)
    crown = face.crown_clock is not None
    if face.crown_clock is not None:
        sine, cosine = (float(part) for part in direction_of(face.crown_clock))
    away_level, _ = _sizes(face, 1, plan.level, tape)
    away_plumb, _ = _sizes(face, 0, plan.plumb, tape)
    beside = COLUMN_MM + LABEL_MM + away_level + EDGE_MM if away_level else PAST_MM + 1.0
    if plan.row == 0 or not away_level:
        # A cant may have a corner where a round has none: it keeps clear of the title.
        edge = face.box.left if plan.column < 0 else -face.box.right
        beside = max(beside, title_mm(plan.title)[0] + (TWELVE_MM if edge >= -1.0 else 1.0))
    under = COLUMN_MM + LABEL_MM + away_plumb + EDGE_MM if plan.row else PAST_MM + 1.0
    text = _CROWN_TEXT_MM if abs(sine) > 0.35 else 0.5 * _CROWN_TEXT_MM
    crown_beside = _CROWN_MM * abs(sine) + 1.0 + text if crown else 0.0
    crown_upright = _CROWN_MM * abs(cosine) + 4.5 if crown else 0.0
    other = max(PAST_MM + 1.0, crown_beside) + plan.marks
    top = max(PAST_MM + 1.5, crown_upright if cosine > 0.0 else 0.0, under if plan.row > 0 else 0.0)
    bottom = max(PAST_MM + 1.0, crown_upright if cosine < 0.0 else 0.0, under if plan.row < 0 else 0.0)
    left, right = (beside, other) if plan.column < 0 else (other, beside)
    return replace(plan, left=left, below=bottom + FOOT_MM, right=right, above=top + 0.5)


def _sides(face: PatternFace) -> tuple[Literal[-1, 1], Literal[-1, 0, 1]]:
    """Return the sides of the readings, away from the crown."""
    sine, cosine = (0.0, 0.0)
    if face.crown_clock is not None:
        sine, cosine = (float(part) for part in direction_of(face.crown_clock))
    column: Literal[-1, 1] = 1 if sine < -1e-9 else -1
    if not any(cut.axis == 0 for cut in face.told):
        return column, 0
    return column, 1 if cosine < -0.35 else -1


def column_limits(face: PatternFace, plan: PatternPlan, *, scale: float, tall_mm: float) -> tuple[float, float]:
    """Return the highest and the lowest place on paper, y down, that readings of level lines may take up.

    Parameters
    ----------
    face : PatternFace
        The end.
    plan : PatternPlan
        Its plan; the margins are those of the drawing.
    scale : float
        Paper length per real length.
    tall_mm : float
        Height of the drawing [mm].

    Returns
    -------
    (float, float)
        Between title and readings of plumb lines [mm].
    """
    title = title_mm(plan.title)[1]
    wood = (plan.above, plan.above + (face.box.top - face.box.bottom) * scale)
    if plan.row > 0:
        return wood[0] - 0.5 * COLUMN_MM, tall_mm - title - 0.5
    return title + 0.5, (wood[1] + 0.5 * COLUMN_MM) if plan.row < 0 else tall_mm - FOOT_MM


def _clear_of_title(face: PatternFace, plan: PatternPlan, *, scale: float, tape: Tape) -> PatternPlan:
    """Return the plan with so much margin that the column stays clear of the title's corner, and has room."""
    levels = [cut.at_mm for cut in face.told if cut.axis == 1] + [0.0]
    room = title_mm(plan.title)[1] + 1.0
    if plan.row <= 0:
        plan = replace(plan, above=max(plan.above, room - (face.box.top - max(levels)) * scale))
    else:
        plan = replace(plan, below=max(plan.below, room - (min(levels) - face.box.bottom) * scale))
    high, low = column_limits(face, plan, scale=scale, tall_mm=_tall(face.box, plan, scale))
    lacking = max(0.0, _sizes(face, 1, plan.level, tape)[1] - (low - high))
    if plan.row <= 0:
        return replace(plan, above=plan.above + lacking)
    return replace(plan, below=plan.below + lacking)


def _tall(box: Box, plan: PatternPlan, scale: float) -> float:
    return plan.above + (box.top - box.bottom) * scale + plan.below


def _at_scale(
    faces: Mapping[End, PatternFace],
    plans: Mapping[End, PatternPlan],
    scale: float,
    *,
    room_mm: tuple[float, float],
    tape: Tape,
) -> tuple[float, dict[End, PatternPlan]] | None:
    """Return height and plans of both ends at a scale, None where they or their readings do not fit."""
    clear = {end: _clear_of_title(face, plans[end], scale=scale, tape=tape) for end, face in faces.items()}
    tall = max(_LEAST_TALL_MM, *(_tall(face.box, clear[end], scale) for end, face in faces.items()))
    for end, face in faces.items():
        plan = clear[end]
        wide = plan.left + (face.box.right - face.box.left) * scale + plan.right
        _, across = _sizes(face, 0, plan.plumb, tape)
        if wide > room_mm[0] or tall > room_mm[1] or across > room_mm[0] - 2.0 * EDGE_MM:
            return None
    return tall, clear


def _writings() -> Iterator[tuple[Writing, Writing]]:
    """Return ways of writing level and plumb lines, the largest first."""
    for level in COLUMN_WRITINGS:
        for plumb in ROW_WRITINGS:
            yield level, plumb


def plan_pattern(
    faces: Mapping[End, PatternFace], *, tape: Tape, room_mm: tuple[float, float]
) -> tuple[float, float, dict[End, PatternPlan]]:
    """Return the scale of both ends, the height of a drawing that holds either, and their plans.

    Of all ways of writing the distances the largest is taken that costs no more than a quarter of the scale.

    Parameters
    ----------
    faces : mapping of str to PatternFace
        Butt and tip.
    tape : Tape
        How lengths are shown.
    room_mm : (float, float)
        Width and greatest height on paper [mm].

    Returns
    -------
    (float, float, dict of str to PatternPlan)
        Scale, height [mm], plans.

    Raises
    ------
    SheetError
        The room is too small.
    """
    scale, tall, plans = _chosen(faces["butt"], faces["tip"], tape, room_mm)
    return scale, tall, dict(plans)


@lru_cache(maxsize=64)
def _chosen(
    butt: PatternFace, tip: PatternFace, tape: Tape, room_mm: tuple[float, float]
) -> tuple[float, float, dict[End, PatternPlan]]:
    """Return what `plan_pattern` returns; butt and tip are drawn one after the other, and share it."""
    faces: dict[End, PatternFace] = {"butt": butt, "tip": tip}
    plain = _planned(faces, tape=tape, room_mm=room_mm, marked=False)
    marked = _planned(faces, tape=tape, room_mm=room_mm, marked=True)
    # Marks beside the wood are given up where they would cost too much of the scale.
    found = plain if marked is None or (plain is not None and marked[0] < _MARKS_WORTH * plain[0]) else marked
    if found is None:
        raise SheetError(f"an end cannot be drawn on {room_mm[0]:g} x {room_mm[1]:g} mm of paper: give it more room.")
    return found


def _planned(
    faces: Mapping[End, PatternFace], *, tape: Tape, room_mm: tuple[float, float], marked: bool
) -> tuple[float, float, dict[End, PatternPlan]] | None:
    """Return scale, height and plans with or without marks of thin pieces, None where no scale fits."""
    widest = max(max(face.box.right - face.box.left, face.box.top - face.box.bottom) for face in faces.values())
    scale = scale_for(widest, min(room_mm))
    found: tuple[float, float, dict[End, PatternPlan]] | None = None
    while scale > _LEAST_SCALE and (found is None or scale >= _WORTH * found[0]):
        marks = max(_marks_mm(face, scale, tape) for face in faces.values()) if marked else 0.0
        for level, plumb in _writings():
            bare = {end: _bare(end, face, level=level, plumb=plumb) for end, face in faces.items()}
            plans = {end: _margins(face, replace(bare[end], marks=marks), tape) for end, face in faces.items()}
            fits = _at_scale(faces, plans, scale, room_mm=room_mm, tape=tape)
            if fits is not None:
                if found is None or _rank(level, plumb) < _rank(*_written(found[2])):
                    found = (scale, *fits)
                break
        scale = scale_for(1.0, scale * 0.999)
    return found


def _marks_mm(face: PatternFace, scale: float, tape: Tape) -> float:
    """Return the paper that marks of thin pieces take up beside the wood at a scale."""
    # Where the words go depends on the scale alone, not on margins.
    bare = Drawing(face.box, scale, title="plan")
    return MARKS_MM if thin_level(bare, face, label_pieces(bare, face, tape)) else 0.0


def _written(plans: Mapping[End, PatternPlan]) -> tuple[Writing, Writing]:
    plan = next(iter(plans.values()))
    return plan.level, plan.plumb


def _rank(level: Writing, plumb: Writing) -> int:
    return COLUMN_WRITINGS.index(level) + ROW_WRITINGS.index(plumb)


def _bare(end: End, face: PatternFace, *, level: Writing, plumb: Writing) -> PatternPlan:
    """Return a plan without margins; the scale in its title is as long as a scale may be."""
    column, row = _sides(face)
    inline = any(not (level if cut.axis == 1 else plumb).stacked for cut in face.told)
    title = title_lines(end, face, scale="1:1.5", inline=inline)
    return PatternPlan(0.0, 0.0, 0.0, 0.0, column, row, level, plumb, title)
