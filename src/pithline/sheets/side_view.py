"""A log from the side, butt left: cut lines, bearers, string and the rail's positions.

Heights are told from the timber's center line, so that the cut lines lie level, and
may be drawn larger than lengths. Stations along the log are superimposed running
dimensions (ISO 129) from the butt.
"""

import numpy as np

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.setup import Bearer, SetUp
from pithline.sheets.dimensions import draw_dimension
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.readings import Reading, draw_origin, figure_mm, kept_apart, wide_mm
from pithline.sheets.side_plan import (
    BESIDE_POST_MM,
    CLEAR_MM,
    EDGE_MM,
    LINE_PAST_MM,
    RAIL_TEXT_MM,
    ROW_MM,
    ROWS_APART_MM,
    STATION_MM,
    Side,
    SidePlan,
    before_butt_mm,
    beside_tip_mm,
    datum_reading,
    plan_side,
    rail_texts,
    side_of,
)
from pithline.sheets.svg import Drawing

__all__ = [
    "BASE_PAST_MM",
    "ROOM_MM",
    "draw_bearers",
    "draw_datum",
    "draw_overhangs",
    "draw_rail",
    "draw_stations",
    "notched",
    "side_view",
]

ROOM_MM = (186.0, 68.0)
"""Width and greatest height of the drawing on paper."""

_ARROWS_MM = 6.0
_PENCIL = TextStyle(color="pencil")
BASE_PAST_MM = 2.4
"""How far the base of a bearer reaches past its post, on paper."""


def side_view(setup: SetUp, stack_index: int, *, tape: Tape, room_mm: tuple[float, float] = ROOM_MM) -> Drawing:
    """Return the log from the side, butt left, set up for a stack of passes.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    stack_index : int
        Number of the stack, from 0.
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
        There is no such stack, or the room is too small.
    """
    if not 0 <= stack_index < len(setup.stacks):
        raise SheetError(f"{setup.placement.log.tag}: there is no stack {stack_index} in this set-up.")
    side = side_of(setup, stack_index, tape)
    plan = plan_side(side, room_mm)
    told = [f"{height} at {station}" for height, station in zip(side.heights, side.stations, strict=True)]
    drawing = Drawing(
        side.box,
        plan.scale,
        title=f"{setup.placement.log.tag}: side view, butt left",
        description=f"Datum {side.datum}; bearers {', '.join(told)}.",
        margins_mm=(plan.left, plan.below, plan.right, plan.above),
        stretch_y=plan.stretch,
    )
    _draw_log(drawing, side)
    draw_bearers(drawing, side, plan)
    draw_rail(drawing, side, plan, tape)
    draw_overhangs(drawing, side, plan)
    draw_stations(drawing, side, plan)
    draw_datum(drawing, side, plan)
    _name_lines(drawing, side)
    _write_foot(drawing, side, tape)
    return drawing


def notched(side: Side, reach_mm: float) -> list[Point]:
    """Return the upper edge of the log with the flats cut for the bearers.

    Parameters
    ----------
    side : Side
        The log as it lies.
    reach_mm : float
        Half the length of a flat along the log [mm].

    Returns
    -------
    list of (float, float)
        Distances from the butt, and heights [mm].
    """
    points = [(float(z), float(y)) for z, y in zip(side.z_mm, side.upper_mm, strict=True)]
    for bearer in side.stack.bearers:
        begin = max(0.0, bearer.station_mm - reach_mm)
        stop = min(side.length_mm, bearer.station_mm + reach_mm)
        flat = side.flat_mm(bearer)
        edge = [float(y) for y in np.interp((begin, stop), side.z_mm, side.upper_mm)]
        notch = [(begin, edge[0]), (begin, min(flat, edge[0])), (stop, min(flat, edge[1])), (stop, edge[1])]
        before = [point for point in points if point[0] < begin]
        points = [*before, *notch, *(point for point in points if point[0] > stop)]
    return points


def _draw_log(drawing: Drawing, side: Side) -> None:
    """Draw the wood with its flats, the timber, the cut lines and the pith."""
    reach = 0.5 * side.post_mm + BASE_PAST_MM / drawing.scale
    lower = [(float(z), float(y)) for z, y in zip(side.z_mm, side.lower_mm, strict=True)]
    with drawing.group("log"):
        drawing.polygon([*notched(side, reach), *reversed(lower)], style="bark", fill="wood")
    half, past = side.stack.half_mm, LINE_PAST_MM / drawing.scale
    lines = {cut.line_mm: cut.number for cut in side.stack.passes}
    with drawing.group("timber"):
        for z in (side.start_mm, side.end_mm):
            drawing.line((z, -half), (z, half), style="sawn")
    for y in (half, -half):
        number = lines.get(y)
        with drawing.group("edge" if number is None else f"cut pass-{number}"):
            drawing.line((-past, y), (side.length_mm + past, y), style="chalk" if number is None else "cut")
    with drawing.group("pith"):
        drawing.polyline([(float(z), float(y)) for z, y in zip(side.z_mm, side.pith_mm, strict=True)], style="center")


def draw_bearers(drawing: Drawing, side: Side, plan: SidePlan) -> None:
    """Draw the bearers on their flats, their heights, and the string over them.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    side : Side
        The log as it lies.
    plan : SidePlan
        Its plan.
    """
    base = BASE_PAST_MM / drawing.scale
    top = side.bearer_top_mm
    for number, bearer in enumerate(side.stack.bearers, start=1):
        flat, at = side.flat_mm(bearer), bearer.station_mm
        foot, head = 0.5 * side.post_mm, 0.5 * bearer.post_top_mm
        with drawing.group(f"bearer-{number}"):
            drawing.polygon([(at - foot, flat), (at + foot, flat), (at + head, top), (at - head, top)], fill="paper")
            begin, stop = max(0.0, at - foot - base), min(side.length_mm, at + foot + base)
            drawing.line((begin, flat), (stop, flat), style="sawn")
        if plan.at_posts is not None:
            with drawing.group(f"height-{number}"):
                _draw_height(drawing, side, bearer, Reading(side.heights[number - 1], "", plan.at_posts))
    first, last = side.stack.bearers[0], side.stack.bearers[-1]
    with drawing.group("string"):
        drawing.line((first.station_mm, top), (last.station_mm, top), style="chalk")


def _draw_height(drawing: Drawing, side: Side, bearer: Bearer, reading: Reading) -> None:
    """Draw a bearer's height from flat to top, the reading to the right of it."""
    x, top = drawing.on_paper_mm((bearer.station_mm + 0.5 * side.post_mm, side.bearer_top_mm))
    flat = drawing.on_paper_mm((0.0, side.flat_mm(bearer)))[1]
    x += BESIDE_POST_MM
    drawing.paper.path([(x, flat), (x, top)], style="dimension")
    for y in (flat, top):
        drawing.paper.path([(x - 0.8, y), (x + 0.8, y)], style="dimension")
    if flat - top > _ARROWS_MM:
        drawing.paper.arrowhead((x, flat), 90.0)
        drawing.paper.arrowhead((x, top), -90.0)
    begin = bearer.station_mm + 0.5 * side.post_mm
    stop = begin + (2.0 * BESIDE_POST_MM + reading.width_mm) / drawing.scale
    foot = flat
    if begin < side.length_mm:
        wood = side.highest_mm(begin, min(stop, side.length_mm))
        foot = min(flat, drawing.on_paper_mm((0.0, wood))[1])
    reading.write(drawing.paper, (x + BESIDE_POST_MM, 0.5 * (top + foot)), anchor="start")


def draw_rail(drawing: Drawing, side: Side, plan: SidePlan, tape: Tape) -> None:
    """Draw every position of the rail, later ones above the first where they would touch.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    side : Side
        The log as it lies.
    plan : SidePlan
        Its plan.
    tape : Tape
        How lengths are shown.
    """
    tip = drawing.on_paper_mm((side.length_mm, 0.0))[0]
    for number, (position, row) in enumerate(zip(side.stack.rail, plan.rows, strict=True)):
        left, under = drawing.on_paper_mm((position.start_mm, side.bearer_top_mm))
        right, over = drawing.on_paper_mm((position.end_mm, side.bearer_top_mm + side.rail_mm))
        under, over = under - row * plan.step, over - row * plan.step
        corners = [(left, under), (right, under), (right, over), (left, over)]
        texts = rail_texts(side, number, tape)
        begin, stop, level = left, right, 0.5 * (over + under)
        if plan.text_above:
            # There the extension lines of the overhangs stand over the ends of the log.
            begin, stop = max(begin, drawing.on_paper_mm((0.0, 0.0))[0]), min(stop, tip)
            level = over - 0.7 - 0.5 * figure_mm("note")
        text = next((t for t in texts if wide_mm(t, "note", bold=True) <= stop - begin - 2.0), texts[-1])
        style = TextStyle(anchor="middle", bold=number == 0, level="middle")
        with drawing.group(f"rail-{texts[-1]}"):
            drawing.paper.path(corners, style="outline" if number == 0 else "dimension", fill="paper", closed=True)
            drawing.paper.text((0.5 * (begin + stop), level), text, style=style)


def draw_overhangs(drawing: Drawing, side: Side, plan: SidePlan) -> None:
    """Draw how far the rail reaches past both ends of the log.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    side : Side
        The log as it lies.
    plan : SidePlan
        Its plan.
    """
    positions = side.stack.rail
    base = drawing.on_paper_mm((0.0, side.bearer_top_mm + side.rail_mm))[1]
    ends = (("butt", 0, positions[0].start_mm, 0.0), ("tip", -1, positions[-1].end_mm, side.length_mm))
    for (name, number, end_mm, log_end_mm), text in zip(ends, side.overhangs, strict=True):
        # The dimension stands over whatever row of the rail reaches furthest up where it is written.
        out, near = drawing.on_paper_mm((end_mm, 0.0))[0], drawing.on_paper_mm((log_end_mm, 0.0))[0]
        reach = max(out, near) + (wide_mm(text, "note") + 2.0 if wide_mm(text, "note") + 2.0 > abs(out - near) else 0.0)
        tops = {
            row: base - row * plan.step
            for position, row in zip(positions, plan.rows, strict=True)
            if drawing.on_paper_mm((position.start_mm, 0.0))[0] <= reach + 1.0
            and drawing.on_paper_mm((position.end_mm, 0.0))[0] >= min(out, near)
        }
        there = [
            row
            for position, row in zip(positions, plan.rows, strict=True)
            if position.start_mm <= log_end_mm <= position.end_mm
        ]
        p, q = (out, base - plan.rows[number] * plan.step), (near, base - max(there) * plan.step)
        lift = min(p[1], q[1]) - min(tops.values())
        with drawing.group(f"overhang-{name}"):
            draw_dimension(
                drawing.paper,
                (p, q),
                text=text,
                offset_mm=lift + 3.2 + (RAIL_TEXT_MM if plan.text_above else 0.0),
                along="x",
                ends="tick",
            )


def draw_stations(drawing: Drawing, side: Side, plan: SidePlan) -> None:
    """Draw the stations of the bearers along the foot, from the butt.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    side : Side
        The log as it lies.
    plan : SidePlan
        Its plan.
    """
    paper = drawing.paper
    row = drawing.on_paper_mm((0.0, side.box.bottom))[1] + ROW_MM
    origin = (drawing.on_paper_mm((0.0, 0.0))[0], row)
    last = drawing.on_paper_mm((side.stack.bearers[-1].station_mm, 0.0))[0]
    with drawing.group("stations"):
        paper.path([(origin[0] + 0.9, row), (last, row)], style="dimension")
        draw_origin(paper, origin)
        for number, (bearer, reading) in enumerate(zip(side.stack.bearers, plan.at_stations, strict=True)):
            wood = float(np.interp(bearer.station_mm, side.z_mm, side.lower_mm))
            x, under = drawing.on_paper_mm((bearer.station_mm, min(wood, -side.stack.half_mm)))
            paper.path([(x, under + 1.0), (x, row + 1.2)], style="dimension")
            if x - origin[0] > 4.0:
                paper.arrowhead((x, row), 0.0)
            lower = number % plan.deep
            down = STATION_MM + (0.5 + lower) * reading.height_mm + ROWS_APART_MM * lower
            reading.write(paper, (x, row + down))


def draw_datum(drawing: Drawing, side: Side, plan: SidePlan) -> None:
    """Draw the datum, and name the butt.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    side : Side
        The log as it lies.
    plan : SidePlan
        Its plan.
    """
    half, top = side.stack.half_mm, side.bearer_top_mm
    x, upper = drawing.on_paper_mm((0.0, half))
    x -= before_butt_mm(side, drawing.scale)
    level = drawing.on_paper_mm((0.0, top))[1]
    reading = datum_reading(side, plan.at_posts)
    with drawing.group("datum"):
        butt = drawing.on_paper_mm((0.0, half))[0]
        drawing.paper.path([(butt - LINE_PAST_MM - 0.8, upper), (x - 1.2, upper)], style="dimension")
        drawing.paper.path([(x, upper), (x, level)], style="dimension")
        drawing.paper.path([(x - 0.8, level), (x + 0.8, level)], style="dimension")
        if upper - level > _ARROWS_MM:
            drawing.paper.arrowhead((x, upper), 90.0)
            drawing.paper.arrowhead((x, level), -90.0)
        place = max(0.5 * (upper + level), level + CLEAR_MM + 0.5 * reading.height_mm)
        reading.write(drawing.paper, (x - 1.6, place), anchor="end")
    left_end = drawing.on_paper_mm((0.0, 0.0))
    foot = max(place + 0.5 * reading.height_mm + 2.0, upper + 1.5) + 0.5 * figure_mm("note")
    lowest = drawing.on_paper_mm((0.0, side.box.bottom))[1] + 0.5 * ROW_MM
    if foot <= lowest:
        names = TextStyle(anchor="end", color="pencil", level="middle")
        drawing.paper.text((left_end[0] - LINE_PAST_MM - 1.0, min(max(left_end[1], foot), lowest)), "butt", style=names)


def _name_lines(drawing: Drawing, side: Side) -> None:
    """Write the numbers of the passes beside their lines, and name the tip."""
    half = side.stack.half_mm
    numbers = {cut.line_mm: cut.number for cut in side.stack.passes}
    texts = [(y, f"pass {numbers[y]}") for y in (half, -half) if y in numbers]
    texts.insert(1, (0.0, "tip"))
    levels = [drawing.on_paper_mm((0.0, y))[1] for y, _ in texts]
    places = kept_apart(levels, [figure_mm("note")] * len(texts), gap_mm=1.2)
    # The last height stands over the names of the lines.
    under = drawing.on_paper_mm((0.0, side.flat_mm(side.stack.bearers[-1])))[1] + CLEAR_MM + 0.5 * figure_mm("note")
    places = [place + max(0.0, under - places[0]) for place in places]
    x = drawing.on_paper_mm((side.length_mm, 0.0))[0] + beside_tip_mm(side, drawing.scale)
    for (_, text), place in zip(texts, places, strict=True):
        cut = text != "tip"
        style = TextStyle(color="crayon" if cut else "pencil", bold=cut, level="middle")
        drawing.paper.text((x, place), text, style=style)


def _write_foot(drawing: Drawing, side: Side, tape: Tape) -> None:
    """Write the scale, and what the drawing leaves unsaid."""
    words = f"Scale {drawing.scale_text}. Seen from 9 o'clock. Stations from the butt; string in blue over the bearers."
    if side.end_mm - side.start_mm < side.length_mm - 1.0:
        words += f" Timber from {tape.show_long(side.start_mm)} to {tape.show_long(side.end_mm)}."
    drawing.paper.text((EDGE_MM, drawing.paper.height_mm - 1.2), words, style=_PENCIL)
