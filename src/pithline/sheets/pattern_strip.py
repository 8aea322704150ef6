"""The whole log as a strip, butt left: where it is cut in parts, and what comes out of each."""

from collections.abc import Sequence
from itertools import groupby

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.patterns.pattern import Pattern
from pithline.sheets.paper import Point, TextStyle
from pithline.sheets.pattern_pieces import NEAR_MM, piece_marks
from pithline.sheets.readings import Reading, draw_origin, figure_mm, kept_apart, scale_for, wide_mm
from pithline.sheets.side_plan import EDGE_MM, LINE_PAST_MM, edges_of
from pithline.sheets.svg import Box, Drawing

__all__ = ["ROOM_MM", "names_of", "pattern_plan_view"]

ROOM_MM = (186.0, 46.0)
"""Width and greatest height of the drawing on paper."""

_DIMENSION_MM = 6.0
_ROW_MM = 4.0
_READING_MM = 1.6
_LINE_MM = 3.7
_FOOT_MM = 5.0
_LEAST_TALL_MM = 6.0
_MOST_STRETCH = 4.0


def names_of(pattern: Pattern, part: int) -> tuple[str, ...]:
    """Return what comes out of a part, pieces of one name and size of place taken together.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    part : int
        Number of the part, from 0.

    Returns
    -------
    tuple of str
        As in "T1 plate", "B2 to B4 siding".
    """
    marked = zip(piece_marks(pattern), pattern.pieces, strict=True)
    own = [(mark, piece) for mark, piece in marked if piece.part == part]
    own.sort(key=lambda pair: pair[1].kind != "timber")
    names = []
    for (_, name), group in groupby(own, key=lambda pair: (pair[1].kind, pair[1].name)):
        marks = [mark for mark, _ in group]
        numbers = [int(mark[1:]) for mark in marks]
        runs = len(marks) > 2 and numbers == list(range(numbers[0], numbers[-1] + 1))
        names.append(f"{marks[0]} to {marks[-1]} {name}" if runs else f"{', '.join(marks)} {name}")
    return tuple(names)


def _wrapped(names: Sequence[str], wide: float) -> list[str]:
    """Return names in lines no wider than a width, each name whole."""
    lines = [names[0]] if names else ["nothing"]
    for name in names[1:]:
        longer = f"{lines[-1]}; {name}"
        if wide_mm(longer, "note") <= wide:
            lines[-1] = longer
        else:
            lines[-1] += ";"
            lines.append(name)
    return lines


def _lists(pattern: Pattern, wide: Sequence[float]) -> list[list[str]]:
    return [_wrapped(names_of(pattern, number), room - 3.0) for number, room in enumerate(wide)]


def _shares(pattern: Pattern, wide: float) -> list[float]:
    """Return the widths of the lists under the parts: as long as the parts, but none too narrow to read."""
    lengths = [part.end_mm - part.start_mm for part in pattern.parts]
    even = 1.0 / len(lengths)
    return [wide * 0.5 * (length / sum(lengths) + even) for length in lengths]


def pattern_plan_view(pattern: Pattern, *, tape: Tape, room_mm: tuple[float, float] = ROOM_MM) -> Drawing:
    """Return the whole log from the side as it was tallied, butt left, with its parts and what comes out of them.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
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
        The room is too small.
    """
    log = pattern.log
    lower, upper = edges_of(log, None)
    stops = _stops(pattern)
    readings = [Reading(tape.show_long(stop), "", "note") for stop in stops]
    side = max(EDGE_MM + LINE_PAST_MM, 0.5 * readings[-1].width_mm + EDGE_MM)
    left = EDGE_MM + LINE_PAST_MM + 1.0 + wide_mm("butt", "note")
    box = Box(0.0, float(lower.min()), log.length_mm, float(upper.max()))
    scale = scale_for(log.length_mm, room_mm[0] - left - side)
    lists = _lists(pattern, _shares(pattern, room_mm[0] - 2.0 * EDGE_MM))
    below = _ROW_MM + _READING_MM + figure_mm("note") + _LINE_MM * max(map(len, lists)) + 2.0 + _FOOT_MM
    above = _DIMENSION_MM + 3.5
    left_tall = room_mm[1] - above - below
    if left_tall < _LEAST_TALL_MM:
        raise SheetError(f"a log cannot be drawn on {room_mm[0]:g} x {room_mm[1]:g} mm of paper: give it more room.")
    upright = max(scale, min(scale_for(box.top - box.bottom, left_tall), _MOST_STRETCH * scale))
    while (box.top - box.bottom) * upright > left_tall:
        scale = upright = scale_for(1.0, upright * 0.999)
    spare = 0.5 * (room_mm[0] - left - side - log.length_mm * scale)
    drawing = Drawing(
        box,
        scale,
        title=f"{log.tag}: the log from the side, butt left",
        description=_told(pattern, tape),
        margins_mm=(left + spare, below, side + spare, above),
        stretch_y=upright / scale,
    )
    points = [(float(z), float(y)) for z, y in zip(log.z_mm, upper, strict=True)]
    points += [(float(z), float(y)) for z, y in zip(log.z_mm[::-1], lower[::-1], strict=True)]
    drawing.polygon(points, style="bark", fill="wood")
    _draw_parts(drawing, pattern, tape)
    _draw_stations(drawing, stops, readings)
    _write_lists(drawing, pattern, lists)
    x, y = drawing.on_paper_mm((0.0, 0.5 * float(lower[0] + upper[0])))
    style = TextStyle(anchor="end", color="pencil", level="middle")
    drawing.paper.text((x - LINE_PAST_MM, y), "butt", style=style)
    words = f"Scale {drawing.scale_text}. The log as it was tallied, seen from 9 o'clock. Stations from the butt."
    drawing.paper.text((EDGE_MM, drawing.paper.height_mm - 1.2), words, style=TextStyle(color="pencil"))
    return drawing


def _told(pattern: Pattern, tape: Tape) -> str:
    """Return in words what the drawing shows."""
    told = []
    for number, part in enumerate(pattern.parts):
        where = f"{tape.show_long(part.start_mm)} to {tape.show_long(part.end_mm)}"
        told.append(f"Part {number + 1}, {where}: {', '.join(names_of(pattern, number))}.")
    return " ".join(told)


def _stops(pattern: Pattern) -> list[float]:
    """Return the stations told: where parts start and end, and the tip."""
    length = pattern.log.length_mm
    places = {part.end_mm for part in pattern.parts} | {part.start_mm for part in pattern.parts} | {length}
    stops: list[float] = []
    for place in sorted(places):
        # A part starts a kerf past the end of the one before: one station tells both.
        if place > NEAR_MM and (not stops or place - stops[-1] > pattern.kit.saw.kerf_mm + NEAR_MM):
            stops.append(place)
    return stops


def _draw_parts(drawing: Drawing, pattern: Pattern, tape: Tape) -> None:
    """Draw center lines, cuts across and lengths of the parts."""
    box, past = drawing.box, LINE_PAST_MM * 0.6
    for number, part in enumerate(pattern.parts):
        ends: list[Point] = [
            (part.start_mm, float(part.center_butt_mm[1])),
            (part.end_mm, float(part.center_tip_mm[1])),
        ]
        with drawing.group(f"part-{number + 1}"):
            _draw_center(drawing, ends, f"part {number + 1}" if len(pattern.parts) > 1 else "")
            for place in (part.start_mm, part.end_mm):
                if NEAR_MM < place < pattern.log.length_mm - NEAR_MM:
                    x, top = drawing.on_paper_mm((place, box.top))
                    bottom = drawing.on_paper_mm((place, box.bottom))[1]
                    drawing.paper.path([(x, top - past), (x, bottom + past)], style="cut")
            drawing.dimension(
                (part.start_mm, box.top),
                (part.end_mm, box.top),
                text=tape.show_long(part.end_mm - part.start_mm),
                offset_mm=_DIMENSION_MM,
                along="x",
                ends="tick",
            )


def _draw_center(drawing: Drawing, ends: list[Point], words: str) -> None:
    """Draw a part's center line, its name in the middle of it."""
    a, b = (drawing.on_paper_mm(end) for end in ends)
    if not words:
        drawing.paper.path([a, b], style="center")
        return
    middle = (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]))
    gap = 0.5 * wide_mm(words, "text", bold=True) + 1.5
    for start in (a, b):
        share = gap / abs(start[0] - middle[0])
        if share < 1.0:
            stop = tuple(m + share * (s - m) for m, s in zip(middle, start, strict=True))
            drawing.paper.path([start, (stop[0], stop[1])], style="center")
    drawing.paper.text(middle, words, style=TextStyle("text", "middle", bold=True, level="middle"))


def _draw_stations(drawing: Drawing, stops: Sequence[float], readings: Sequence[Reading]) -> None:
    """Draw running dimensions from the butt to the cuts and the tip."""
    paper, box = drawing.paper, drawing.box
    under = drawing.on_paper_mm((0.0, box.bottom))[1]
    row = under + _ROW_MM
    origin = (drawing.on_paper_mm((0.0, 0.0))[0], row)
    xs = [drawing.on_paper_mm((stop, 0.0))[0] for stop in stops]
    places = kept_apart(xs, [reading.width_mm for reading in readings], gap_mm=2.0)
    over = max(0.0, places[-1] + 0.5 * readings[-1].width_mm + EDGE_MM - paper.width_mm)
    with drawing.group("stations"):
        paper.path([(origin[0] + 0.9, row), (xs[-1], row)], style="dimension")
        draw_origin(paper, origin)
        for x, place, reading in zip(xs, places, readings, strict=True):
            paper.path([(x, under + 1.0), (x, row + 1.0)], style="dimension")
            paper.arrowhead((x, row), 0.0)
            reading.write(paper, (place - over, row + _READING_MM + 0.5 * figure_mm("note")))


def _write_lists(drawing: Drawing, pattern: Pattern, lists: Sequence[Sequence[str]]) -> None:
    """Write under each part what comes out of it."""
    paper = drawing.paper
    top = drawing.on_paper_mm((0.0, drawing.box.bottom))[1] + _ROW_MM + _READING_MM + figure_mm("note") + _LINE_MM
    middles = [0.5 * (_x(drawing, part.start_mm) + _x(drawing, part.end_mm)) for part in pattern.parts]
    wide = [max(wide_mm(row, "note") for row in rows) for rows in lists]
    places = kept_apart(middles, wide, gap_mm=3.0)
    low = min(place - 0.5 * width for place, width in zip(places, wide, strict=True)) - EDGE_MM
    high = max(place + 0.5 * width for place, width in zip(places, wide, strict=True)) + EDGE_MM - paper.width_mm
    shift = -low if low < 0.0 else -max(0.0, high)
    for number, (rows, place) in enumerate(zip(lists, places, strict=True)):
        with drawing.group(f"list-{number + 1}"):
            for line, row in enumerate(rows):
                at = (place + shift, top + _LINE_MM * line)
                paper.text(at, row, style=TextStyle(anchor="middle"))


def _x(drawing: Drawing, station_mm: float) -> float:
    return drawing.on_paper_mm((station_mm, 0.0))[0]
