"""The distances from the pith on an end of a pattern, drawn: superimposed running dimensions (ISO 129)."""

import itertools
import math
from dataclasses import replace
from typing import Literal

from pithline.lengths import Tape
from pithline.sheets.end_plan import (
    COLUMN_MM,
    EDGE_MM,
    LABEL_MM,
    chord_of,
)
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.pattern_end_plan import PatternPlan, column_limits
from pithline.sheets.pattern_faces import FaceCut, PatternFace
from pithline.sheets.pattern_writing import readings_of
from pithline.sheets.readings import ORIGIN_MM, draw_origin, kept_apart
from pithline.sheets.svg import Drawing

__all__ = ["draw_column", "draw_row", "places_within"]

_LINK_MM = 3.2


def draw_column(drawing: Drawing, face: PatternFace, plan: PatternPlan, tape: Tape) -> None:
    """Draw the distances up and down, and their readings beside the end.

    Parameters
    ----------
    drawing : Drawing
        The drawing of the end.
    face : PatternFace
        The end.
    plan : PatternPlan
        Its plan.
    tape : Tape
        How lengths are shown.
    """
    cuts, readings = readings_of(face, 1, writing=plan.level, tape=tape)
    if not cuts:
        return
    side = plan.column
    x = drawing.on_paper_mm((face.box.left if side < 0 else face.box.right, 0.0))[0] + side * COLUMN_MM
    origin = (x, drawing.on_paper_mm((0.0, 0.0))[1])
    levels = [drawing.on_paper_mm((0.0, cut.at_mm))[1] for cut in cuts]
    above = drawing.on_paper_mm((0.0, face.box.top))[1]
    limits = column_limits(face, replace(plan, above=above), scale=drawing.scale, tall_mm=drawing.paper.height_mm)
    places = places_within(
        levels, [reading.height_mm for reading in readings], gap_mm=plan.level.gap_mm(1), limits=limits
    )
    for cut, level, reading, place in zip(cuts, levels, readings, places, strict=True):
        wood = drawing.on_paper_mm((_edge_of(face, cut, side), 0.0))[0]
        with drawing.group(f"distance pass-{cut.number}"):
            _draw_running(drawing, origin, (x, level), from_wood=(wood + side * 1.0, level), side=(side, 0.0))
            drawing.paper.path([(x + side * 1.2, level), (x + side * _LINK_MM, place)], style="dimension")
            reading.write(drawing.paper, (x + side * LABEL_MM, place), anchor="end" if side < 0 else "start")


def draw_row(drawing: Drawing, face: PatternFace, plan: PatternPlan, tape: Tape) -> None:
    """Draw the distances left and right, and their readings below the end or above it.

    Parameters
    ----------
    drawing : Drawing
        The drawing of the end.
    face : PatternFace
        The end.
    plan : PatternPlan
        Its plan.
    tape : Tape
        How lengths are shown.
    """
    cuts, readings = readings_of(face, 0, writing=plan.plumb, tape=tape)
    if not cuts:
        return
    # On paper y points down, so a row below the end lies at a larger y.
    side = -plan.row
    y = drawing.on_paper_mm((0.0, face.box.bottom if plan.row < 0 else face.box.top))[1] + side * COLUMN_MM
    origin = (drawing.on_paper_mm((0.0, 0.0))[0], y)
    wanted = [drawing.on_paper_mm((cut.at_mm, 0.0))[0] for cut in cuts]
    turned = plan.plumb.turned
    sizes = [reading.height_mm if turned else reading.width_mm for reading in readings]
    limits = (EDGE_MM, drawing.paper.width_mm - EDGE_MM)
    places = places_within(wanted, sizes, gap_mm=plan.plumb.gap_mm(0), limits=limits)
    for cut, x, reading, place in zip(cuts, wanted, readings, places, strict=True):
        wood = drawing.on_paper_mm((0.0, _edge_of(face, cut, plan.row)))[1]
        with drawing.group(f"distance pass-{cut.number}"):
            _draw_running(drawing, origin, (x, y), from_wood=(x, wood + side * 1.0), side=(0.0, side))
            drawing.paper.path([(x, y + side * 1.2), (place, y + side * _LINK_MM)], style="dimension")
            if turned:
                anchor: Literal["start", "end"] = "end" if side > 0 else "start"
                style = TextStyle(reading.size, anchor, "ink", True, 90.0, "middle")
                drawing.paper.text((place, y + side * LABEL_MM), reading.number, style=style)
            else:
                reading.write(drawing.paper, (place, y + side * (LABEL_MM + 0.5 * reading.height_mm)))


def _edge_of(face: PatternFace, cut: FaceCut, side: int) -> float:
    """Return where a cut line, run on, leaves the wood on one side."""
    chord = chord_of(face.wood, cut.axis, cut.at_mm)
    if chord is None:
        spots = [spot[1 - cut.axis] for spot in cut.kerf]
        chord = (min(spots), max(spots))
    return chord[0] if side < 0 else chord[1]


def places_within(
    wanted: list[float], sizes: list[float], *, gap_mm: float, limits: tuple[float, float]
) -> list[float]:
    """Return places near those wanted at which readings keep apart and within limits that hold them all.

    What would leave the limits is held at them, and the rest keeps apart from it: a wish beyond
    a limit is no wish, so each is moved to where all that follow still fit.

    Parameters
    ----------
    wanted : sequence of float
        Where the middles should be, in rising order [mm].
    sizes : sequence of float
        How large the readings are [mm].
    gap_mm : float
        Least room between two of them [mm].
    limits : (float, float)
        First and last place that any of them may take up [mm].

    Returns
    -------
    list of float
        Middles in the same order [mm].
    """
    low, high = limits
    runs = [0.0]
    for before, after in itertools.pairwise(sizes):
        runs.append(runs[-1] + 0.5 * (before + after) + gap_mm)
    least = [low + 0.5 * sizes[0] + run for run in runs]
    most = [high - 0.5 * sizes[-1] - (runs[-1] - run) for run in runs]
    places = kept_apart(wanted, sizes, gap_mm=gap_mm)
    return [min(max(place, a), max(a, b)) for place, a, b in zip(places, least, most, strict=True)]


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
