"""A log or a cant from the side as it lies in one position: every pass, the rail over it, ends of short pieces."""

from collections.abc import Sequence

import numpy as np

from pithline.arrays import Floats
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.patterns.pattern import Pattern
from pithline.setup.stack import Pass, Stack
from pithline.setup.stand import RailStand
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.pattern_bands import LyingBody, draw_bands, lying_body
from pithline.sheets.readings import figure_mm, kept_apart, scale_for, wide_mm
from pithline.sheets.side_plan import (
    CLEAR_MM,
    EDGE_MM,
    LINE_PAST_MM,
    ROW_MM,
    Side,
    beside_tip_mm,
    plan_side,
)
from pithline.sheets.side_view import (
    BASE_PAST_MM,
    draw_bearers,
    draw_datum,
    draw_overhangs,
    draw_rail,
    draw_stations,
    notched,
)
from pithline.sheets.svg import Box, Drawing

__all__ = ["ROOM_MM", "pattern_side_view"]

ROOM_MM = (186.0, 76.0)
"""Width and greatest height of the drawing on paper."""

_PENCIL = TextStyle(color="pencil")

_LINK_MM = 2.5

_FOOT_MM = 5.0

_DIMENSION_MM = 6.5

_NAMES_APART_MM = (1.2, 0.45)

_LEAST_SCALE = 1.0 / 4000.0


def pattern_side_view(
    pattern: Pattern, position: int, *, tape: Tape, room_mm: tuple[float, float] = ROOM_MM
) -> Drawing:
    """Return the log or cant from the side, butt left, as it lies in a position.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    position : int
        Number of the position, from 0.
    tape : Tape
        How lengths are shown.
    room_mm : (float, float)
        Width, and greatest height, of the drawing on paper [mm].

    Returns
    -------
    Drawing
        As wide as the room; heights may be drawn larger than lengths, which it says.

    Raises
    ------
    SheetError
        There is no such position, or the room is too small.
    """
    if not 0 <= position < len(pattern.positions):
        raise SheetError(f"{pattern.log.tag}: there is no position {position} in this pattern.")
    lying = lying_body(pattern, pattern.positions[position])
    start_mm = pattern.parts[lying.position.part].start_mm
    stand = lying.position.stand
    if stand is None:
        return _without_rail(pattern, lying, start_mm=start_mm, tape=tape, room_mm=room_mm)
    side = _side(pattern, lying, stand, tape)
    plan = plan_side(side, room_mm)
    told = [f"{height} at {station}" for height, station in zip(side.heights, side.stations, strict=True)]
    drawing = Drawing(
        side.box,
        plan.scale,
        title=f"{pattern.log.tag}: position {lying.position.number} from the side, butt left",
        description=f"Datum {side.datum}; bearers {', '.join(told)}.",
        margins_mm=(plan.left, plan.below, plan.right, plan.above),
        stretch_y=plan.stretch,
    )
    reach = 0.5 * side.post_mm + BASE_PAST_MM / drawing.scale
    _draw_body(drawing, lying, notched(side, reach))
    posts = [
        (
            *drawing.on_paper_mm((bearer.station_mm - reach, side.bearer_top_mm)),
            *drawing.on_paper_mm((bearer.station_mm + reach, side.flat_mm(bearer))),
        )
        for bearer in side.stack.bearers
    ]
    draw_bands(drawing, lying, start_mm=start_mm, tape=tape, occupied=posts)
    draw_bearers(drawing, side, plan)
    draw_rail(drawing, side, plan, tape)
    draw_overhangs(drawing, side, plan)
    draw_stations(drawing, side, plan)
    draw_datum(drawing, side, plan)
    under = drawing.on_paper_mm((0.0, side.flat_mm(side.stack.bearers[-1])))[1] + CLEAR_MM
    past = drawing.on_paper_mm((side.length_mm, 0.0))[0] + beside_tip_mm(side, drawing.scale)
    lowest = drawing.on_paper_mm((0.0, side.box.bottom))[1] + ROW_MM
    _name_lines(drawing, lying, past_mm=past, limits=(under, lowest))
    _write_foot(drawing, "Stations from the butt; string in blue over the bearers.")
    return drawing


def _side(pattern: Pattern, lying: LyingBody, stand: RailStand, tape: Tape) -> Side:
    """Return the position in the terms of a side view with a rail."""
    position = lying.position
    passes = tuple(
        Pass(cut.number, "", cut.rides_on, cut.setting_mm, cut.line_mm, cut.widest_mm, cut.area_m2, cut.minutes)
        for cut in sorted(position.cuts, key=lambda cut: cut.number)
    )
    # The first face and the lowest wood lie alike above and below the middle of the drawing.
    stack = Stack(
        turn_deg=position.turn_deg,
        half_mm=lying.at_mm(stand.line_mm),
        within_mm=None,
        datum_mm=stand.datum_mm,
        run=stand.run,
        bearers=stand.bearers,
        passes=passes,
        rail_top_mm=stand.rail_top_mm,
    )
    return Side(
        stack=stack,
        z_mm=lying.z_mm,
        upper_mm=lying.upper_mm,
        lower_mm=lying.lower_mm,
        pith_mm=lying.pith_mm,
        start_mm=0.0,
        end_mm=lying.length_mm,
        rail_mm=pattern.kit.rail.thickness_mm,
        post_mm=pattern.kit.bearers.post_width_mm,
        heights=tuple(tape.show(bearer.height_mm) for bearer in stand.bearers),
        stations=tuple(tape.show_long(bearer.station_mm) for bearer in stand.bearers),
        datum=tape.show(stand.datum_mm),
        overhangs=(tape.show(-stand.rail[0].start_mm), tape.show(stand.rail[-1].end_mm - lying.length_mm)),
    )


def _points(z_mm: Floats, y_mm: Floats) -> list[Point]:
    return [(float(z), float(y)) for z, y in zip(z_mm, y_mm, strict=True)]


def _draw_body(drawing: Drawing, lying: LyingBody, upper: Sequence[Point]) -> None:
    """Draw the wood, the pith where it runs inside, and the cut lines."""
    with drawing.group("log"):
        lower = _points(lying.z_mm, lying.lower_mm)
        drawing.polygon([*upper, *reversed(lower)], style="bark", fill="wood")
    if bool(np.all((lying.pith_mm > lying.lower_mm) & (lying.pith_mm < lying.upper_mm))):
        with drawing.group("pith"):
            drawing.polyline(_points(lying.z_mm, lying.pith_mm), style="center")
    past = LINE_PAST_MM / drawing.scale
    for cut in lying.position.cuts:
        y = lying.at_mm(cut.line_mm)
        with drawing.group(f"cut pass-{cut.number}"):
            drawing.line((-past, y), (lying.length_mm + past, y), style="cut")


def _name_lines(drawing: Drawing, lying: LyingBody, *, past_mm: float, limits: tuple[float, float]) -> None:
    """Write the numbers of the passes beside their lines, each joined to its own where it had to be moved."""
    cuts = sorted(lying.position.cuts, key=lambda cut: -cut.line_mm)
    levels = [drawing.on_paper_mm((0.0, lying.at_mm(cut.line_mm)))[1] for cut in cuts]
    tall = figure_mm("note")
    places = levels
    for gap in _NAMES_APART_MM:
        places = kept_apart(levels, [tall] * len(cuts), gap_mm=gap)
        places = [place + max(0.0, limits[0] + 0.5 * tall - places[0]) for place in places]
        if places[-1] + 0.5 * tall <= limits[1]:
            break
    else:
        raise SheetError(f"{drawing.title}: {len(cuts)} passes need more height to be told apart. Give it more room.")
    end = drawing.on_paper_mm((lying.length_mm, 0.0))[0] + LINE_PAST_MM
    for cut, level, place in zip(cuts, levels, places, strict=True):
        with drawing.group(f"number pass-{cut.number}"):
            if abs(place - level) > 0.4:
                drawing.paper.path([(end + 0.3, level), (past_mm - 0.5, place)], style="dimension")
            style = TextStyle(color="crayon", bold=True, level="middle")
            drawing.paper.text((past_mm, place), f"pass {cut.number}", style=style)


def _write_foot(drawing: Drawing, more: str) -> None:
    words = f"Scale {drawing.scale_text}. Seen from 9 o'clock. {more}".strip()
    drawing.paper.text((EDGE_MM, drawing.paper.height_mm - 1.2), words, style=_PENCIL)


def _without_rail(
    pattern: Pattern, lying: LyingBody, *, start_mm: float, tape: Tape, room_mm: tuple[float, float]
) -> Drawing:
    """Return what lies on the horses where the first pass rides on a sawn face."""
    box = Box(0.0, float(lying.lower_mm.min()), lying.length_mm, float(lying.upper_mm.max()))
    number = max(cut.number for cut in lying.position.cuts)
    right = LINE_PAST_MM + _LINK_MM + wide_mm(f"pass {number}", "note", bold=True) + EDGE_MM
    left = LINE_PAST_MM + 1.0 + wide_mm("butt", "note") + EDGE_MM
    names = (figure_mm("note") + _NAMES_APART_MM[1]) * len(lying.position.cuts)
    above, below = 2.0, 2.0 * _DIMENSION_MM + _FOOT_MM - 4.0
    scale = scale_for(box.right - box.left, room_mm[0] - left - right)
    upright = scale_for(box.top - box.bottom, room_mm[1] - above - below)
    if upright < scale * 0.999:
        scale = upright
    tall = (box.top - box.bottom) * upright
    if names > room_mm[1] - above - _FOOT_MM or upright < _LEAST_SCALE:
        raise SheetError(f"a log cannot be drawn on {room_mm[0]:g} x {room_mm[1]:g} mm of paper: give it more room.")
    below = max(below, names - tall + _FOOT_MM)
    spare = 0.5 * (room_mm[0] - left - right - (box.right - box.left) * scale)
    drawing = Drawing(
        box,
        scale,
        title=f"{pattern.log.tag}: position {lying.position.number} from the side, butt left",
        description="Without a rail: the first pass rides on a sawn face.",
        margins_mm=(left + spare, below, right + spare, above),
        stretch_y=upright / scale,
    )
    _draw_body(drawing, lying, _points(lying.z_mm, lying.upper_mm))
    draw_bands(drawing, lying, start_mm=start_mm, tape=tape)
    foot = box.bottom
    drawing.dimension(
        (0.0, foot), (lying.length_mm, foot), text=tape.show_long(lying.length_mm), offset_mm=-_DIMENSION_MM, along="x"
    )
    x, y = drawing.on_paper_mm((0.0, 0.5 * (box.bottom + box.top)))
    style = TextStyle(anchor="end", color="pencil", level="middle")
    drawing.paper.text((x - LINE_PAST_MM - 1.0, y), "butt", style=style)
    past = drawing.on_paper_mm((lying.length_mm, 0.0))[0] + LINE_PAST_MM + _LINK_MM
    _name_lines(drawing, lying, past_mm=past, limits=(above, drawing.paper.height_mm - _FOOT_MM))
    _write_foot(drawing, "")
    return drawing
