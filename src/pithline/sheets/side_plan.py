"""The plan of a side view: the log as it lies, the scales that fit, and where the readings go."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pithline.arrays import Floats
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.logs.solid import LogSolid
from pithline.setup import Bearer, RailPosition, SetUp, Stack
from pithline.setup.frame import framed
from pithline.sheets.readings import Reading, figure_mm, kept_apart, scale_for, wide_mm
from pithline.sheets.svg import Box

__all__ = [
    "BESIDE_POST_MM",
    "CLEAR_MM",
    "EDGE_MM",
    "LINE_PAST_MM",
    "RAIL_TEXT_MM",
    "ROWS_APART_MM",
    "ROW_MM",
    "STATION_MM",
    "Side",
    "SidePlan",
    "before_butt_mm",
    "beside_tip_mm",
    "datum_reading",
    "edges_of",
    "plan_side",
    "rail_letter",
    "rail_texts",
    "side_of",
]

# Lengths on paper.
EDGE_MM = 1.0
_FOOT_MM = 5.0  # the line of words at the foot
_OVERHANG_MM = 7.5  # the dimensions over the rail
ROW_MM = 4.5  # from the log to the dimension line of the stations
STATION_MM = 2.0  # from there to the readings
ROWS_APART_MM = 1.5
LINE_PAST_MM = 3.0  # how far a cut line runs past the log
BESIDE_POST_MM = 1.3
CLEAR_MM = 0.9
_THIN_RAIL_MM = 2.7  # a thinner rail has its words above it
RAIL_TEXT_MM = 3.6
_RAIL_GAP_MM = 1.2

_LEAST_SCALE = 1.0 / 4000.0
_WORTH = 0.7
"""Share of the scale that readings at the posts are worth."""

_SIZES = ("lead", "text", "note")
"""Type sizes of readings, the one wanted first."""


@dataclass(frozen=True)
class Side:
    """A log as it lies for a stack, heights from the timber's center line; lengths told as the tape shows them."""

    stack: Stack
    z_mm: Floats
    upper_mm: Floats
    lower_mm: Floats
    pith_mm: Floats
    start_mm: float
    end_mm: float
    rail_mm: float
    post_mm: float
    heights: tuple[str, ...]
    stations: tuple[str, ...]
    datum: str
    overhangs: tuple[str, str]

    @property
    def length_mm(self) -> float:
        return float(self.z_mm[-1])

    @property
    def bearer_top_mm(self) -> float:
        return self.stack.half_mm + self.stack.datum_mm

    @property
    def box(self) -> Box:
        positions = self.stack.rail
        return Box(
            min(-1.0, *(position.start_mm for position in positions)),
            min(float(self.lower_mm.min()), -self.stack.half_mm),
            max(self.length_mm + 1.0, *(position.end_mm for position in positions)),
            self.bearer_top_mm + self.rail_mm,
        )

    def flat_mm(self, bearer: Bearer) -> float:
        """Height of the flat a bearer stands on."""
        return self.bearer_top_mm - bearer.height_mm

    def highest_mm(self, from_mm: float, to_mm: float) -> float:
        """Highest wood over a stretch of log."""
        places = np.linspace(from_mm, to_mm, 9)
        return float(np.interp(places, self.z_mm, self.upper_mm).max())


def edges_of(log: LogSolid, within_mm: tuple[float, float] | None) -> tuple[Floats, Floats]:
    """Return the lower and upper edge of a log as seen from the side, between faces already sawn.

    The highest point of an ellipse lies at x = Gxy / sqrt(Gyy) from its center, with
    G = S S; where that was sawn off, the height at the sawn face is the highest.

    Parameters
    ----------
    log : LogSolid
        The log as it lies.
    within_mm : (float, float) or None
        Where the faces left and right are, None in the round [mm].

    Returns
    -------
    (n,) float, (n,) float
        Heights at the log's stations [mm].
    """
    gram = log.shape_mm @ log.shape_mm
    lean = gram[:, 0, 1] / np.sqrt(gram[:, 1, 1])
    edges = []
    for sign in (-1.0, 1.0):
        x = log.center_mm[:, 0] + sign * lean
        if within_mm is not None:
            x = np.clip(x, *within_mm)
        away = x - log.center_mm[:, 0]
        left = np.maximum(0.0, 1.0 - away**2 / gram[:, 0, 0])
        half = np.sqrt(left * (gram[:, 1, 1] - gram[:, 0, 1] ** 2 / gram[:, 0, 0]))
        edges.append(log.center_mm[:, 1] + gram[:, 0, 1] / gram[:, 0, 0] * away + sign * half)
    return edges[0], edges[1]


def side_of(setup: SetUp, index: int, tape: Tape) -> Side:
    """Return the log as it lies for a stack.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    index : int
        Number of the stack, from 0.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    Side
        Edges, pith and timber about the timber's center line.
    """
    stack = setup.stacks[index]
    log = framed(setup.placement, stack.turn_deg)
    within = stack.within_mm
    lower, upper = edges_of(log, None if within is None else (-within, within))
    return Side(
        stack=stack,
        z_mm=log.z_mm,
        upper_mm=upper,
        lower_mm=lower,
        pith_mm=log.pith_mm[:, 1],
        start_mm=setup.placement.start_mm,
        end_mm=setup.placement.end_mm,
        rail_mm=setup.kit.rail.thickness_mm,
        post_mm=setup.kit.bearers.post_width_mm,
        heights=tuple(tape.show(bearer.height_mm) for bearer in stack.bearers),
        stations=tuple(tape.show_long(bearer.station_mm) for bearer in stack.bearers),
        datum=tape.show(stack.datum_mm),
        overhangs=(tape.show(-stack.rail[0].start_mm), tape.show(stack.rail[-1].end_mm - log.length_mm)),
    )


def _rows(positions: Sequence[RailPosition], gap_mm: float) -> list[int]:
    """Return a row for each rail position, so that none touches another in its row."""
    ends: list[float] = []
    rows = []
    for position in positions:
        row = next((k for k, end in enumerate(ends) if end + gap_mm <= position.start_mm), len(ends))
        if row == len(ends):
            ends.append(0.0)
        ends[row] = position.end_mm
        rows.append(row)
    return rows


def rail_letter(number: int) -> str:
    """Return what a position of the rail is called.

    Parameters
    ----------
    number : int
        Number of the position from the butt, from 0.

    Returns
    -------
    str
        A letter; from the 27th on, the number from 1.
    """
    return chr(ord("A") + number) if number < 26 else str(number + 1)


def rail_texts(side: Side, number: int, tape: Tape) -> tuple[str, ...]:
    """Return what is written on a rail position, the fullest first.

    Parameters
    ----------
    side : Side
        The log as it lies.
    number : int
        Number of the position from the butt, from 0.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    tuple of str
        Texts of falling length; the last is the letter alone.
    """
    positions = side.stack.rail
    position = positions[number]
    letter = rail_letter(number)
    first, last = number == 0, number == len(positions) - 1
    begin = "the butt" if first else tape.show_long(position.saw_from_mm)
    stop = "the tip" if last else tape.show_long(position.saw_to_mm)
    sawn = f"saw from {begin} to {stop}"
    texts = (f"{letter}: {sawn}", f"{letter}: saw to {stop}", letter)
    if first or last:
        return texts
    return (f"{letter}, rail from {tape.show_long(position.start_mm)}: {sawn}", *texts)


@dataclass(frozen=True)
class SidePlan:
    """Scales, margins, and where the readings go.

    `at_posts` is the size of the heights at the posts, None where they do not fit
    there and stand under the log; `deep` is how many rows the stations stand in.
    """

    scale: float
    stretch: float
    left: float
    below: float
    right: float
    above: float
    rows: tuple[int, ...]
    step: float
    text_above: bool
    at_posts: str | None
    at_stations: tuple[Reading, ...]
    deep: int


def _size_at_posts(side: Side, scale: float, upright: float) -> str | None:
    """Return the largest type in which every height fits beside its post, over the log."""
    bearers = side.stack.bearers
    for size in _SIZES:
        fits = True
        for number, (bearer, text) in enumerate(zip(bearers, side.heights, strict=True)):
            wide = 2.0 * BESIDE_POST_MM + wide_mm(text, size, bold=True) + CLEAR_MM
            begin = bearer.station_mm + 0.5 * side.post_mm
            room = (bearer.height_mm) * upright
            if begin < side.length_mm:
                over = side.bearer_top_mm - side.highest_mm(begin, min(begin + wide / scale, side.length_mm))
                room = min(room, over * upright)
            if number + 1 < len(bearers):
                fits = fits and begin + wide / scale <= bearers[number + 1].station_mm - 0.5 * side.post_mm
            fits = fits and figure_mm(size) + 2.0 * CLEAR_MM <= room
        if fits:
            return size
    return None


def _at_stations(side: Side, scale: float, *, heights_too: bool) -> tuple[tuple[Reading, ...], int]:
    """Return what stands under the log, and in how many rows it must to keep apart."""
    places = [bearer.station_mm * scale for bearer in side.stack.bearers]
    readings: tuple[Reading, ...] = ()
    for size in _SIZES if heights_too else _SIZES[1:]:
        if heights_too:
            pairs = zip(side.heights, side.stations, strict=True)
            readings = tuple(Reading(height, f"at {station}", size) for height, station in pairs)
        else:
            readings = tuple(Reading(station, "", size) for station in side.stations)
        if _apart(places, readings, 1):
            return readings, 1
    return readings, next(rows for rows in range(2, len(places) + 1) if _apart(places, readings, rows))


def _apart(places: Sequence[float], readings: Sequence[Reading], rows: int) -> bool:
    """Return whether readings taken by turns into a number of rows keep apart in each of them."""
    for row in range(rows):
        widths = [reading.width_mm for reading in readings[row::rows]]
        if kept_apart(places[row::rows], widths, gap_mm=2.0) != list(places[row::rows]):
            return False
    return True


def _margins(side: Side, scale: float, size: str | None) -> tuple[float, float]:
    """Return paper left and right of the box that the readings at the ends need."""
    box, bearers = side.box, side.stack.bearers
    datum = datum_reading(side, size)
    left = before_butt_mm(side, scale) + 1.6 + datum.width_mm + EDGE_MM + box.left * scale
    past_mm = bearers[-1].station_mm + 0.5 * side.post_mm - side.length_mm
    over = (box.right - side.length_mm) * scale
    number = f"pass {side.stack.passes[-1].number}"
    needs = [beside_tip_mm(side, scale) + wide_mm(number, "note", bold=True)]
    if size is not None:
        wide = wide_mm(side.heights[-1], size, bold=True)
        needs.append(past_mm * scale + 2.0 * BESIDE_POST_MM + wide)
    past = wide_mm(side.overhangs[1], "note") + 2.0
    needs.append(over + past if past > over else 0.0)
    return max(EDGE_MM, left), max(EDGE_MM, max(needs) - over + EDGE_MM)


def before_butt_mm(side: Side, scale: float) -> float:
    """Return how far before the butt, on paper, the datum is clear of cut lines and the first post.

    Parameters
    ----------
    side : Side
        The log as it lies.
    scale : float
        Paper length per real length.

    Returns
    -------
    float
        Paper length [mm].
    """
    post_mm = 0.5 * side.post_mm - side.stack.bearers[0].station_mm
    return max(LINE_PAST_MM, post_mm * scale) + 1.8


def beside_tip_mm(side: Side, scale: float) -> float:
    """Return how far past the tip, on paper, words are clear of cut lines and the last post.

    Parameters
    ----------
    side : Side
        The log as it lies.
    scale : float
        Paper length per real length.

    Returns
    -------
    float
        Paper length [mm].
    """
    post_mm = side.stack.bearers[-1].station_mm + 0.5 * side.post_mm - side.length_mm
    return max(LINE_PAST_MM + 1.0, post_mm * scale + 2.0 * BESIDE_POST_MM)


def datum_reading(side: Side, size: str | None) -> Reading:
    """Return the datum as it is written.

    Parameters
    ----------
    side : Side
        The log as it lies.
    size : str or None
        Type size of the heights at the posts, None where they are not there.

    Returns
    -------
    Reading
        In that size, else in the largest.
    """
    return Reading(side.datum, "datum", size or _SIZES[0])


def _trial(side: Side, scale: float, upright: float) -> SidePlan:
    """Return what a drawing at these scales would be."""
    text_above = side.rail_mm * upright < _THIN_RAIL_MM
    gap = RAIL_TEXT_MM if text_above else _RAIL_GAP_MM
    rows = tuple(_rows(side.stack.rail, 2.0 * EDGE_MM / scale))
    step = side.rail_mm * upright + gap
    size = _size_at_posts(side, scale, upright)
    readings, deep = _at_stations(side, scale, heights_too=size is None)
    left, right = _margins(side, scale, size)
    # The first and the last station may stand near the ends of a rail that hardly overhangs.
    first, last = side.stack.bearers[0].station_mm, side.stack.bearers[-1].station_mm
    left = max(left, 0.5 * readings[0].width_mm + (side.box.left - first) * scale + EDGE_MM)
    right = max(right, 0.5 * readings[-1].width_mm + (last - side.box.right) * scale + EDGE_MM)
    tall_mm = max(reading.height_mm for reading in readings)
    return SidePlan(
        scale=scale,
        stretch=upright / scale,
        left=left,
        below=ROW_MM + STATION_MM + deep * (tall_mm + ROWS_APART_MM) - ROWS_APART_MM + _FOOT_MM,
        right=right,
        above=_OVERHANG_MM + max(rows) * step + (RAIL_TEXT_MM if text_above else 0.0),
        rows=rows,
        step=step,
        text_above=text_above,
        at_posts=size,
        at_stations=readings,
        deep=deep,
    )


def plan_side(side: Side, room_mm: tuple[float, float]) -> SidePlan:
    """Return the largest customary scales at which the drawing fits its room.

    The scale of lengths comes first, but a somewhat smaller one is taken where only that
    leaves room for the readings at the posts. Heights are drawn as large as they then may
    be, and never smaller than lengths.

    Parameters
    ----------
    side : Side
        The log as it lies.
    room_mm : (float, float)
        Width and height on paper [mm].

    Returns
    -------
    SidePlan
        Scales, margins and readings.

    Raises
    ------
    SheetError
        The room is too small at any scale.
    """
    across = side.box.right - side.box.left
    scale = scale_for(across, room_mm[0])
    best: SidePlan | None = None
    while scale > _LEAST_SCALE:
        plan = _at_scale(side, scale, room_mm)
        if plan is not None and plan.at_posts is not None:
            return plan
        best = best or plan
        scale = scale_for(1.0, scale * 0.999)
        if best is not None and scale < _WORTH * best.scale:
            return best
    raise SheetError(f"a log cannot be drawn on {room_mm[0]:g} x {room_mm[1]:g} mm of paper: give it more room.")


def _at_scale(side: Side, scale: float, room_mm: tuple[float, float]) -> SidePlan | None:
    """Return the plan with the largest heights at a scale of lengths, None where none fits the room."""
    across, tall = side.box.right - side.box.left, side.box.top - side.box.bottom
    upright = scale_for(tall, room_mm[1])
    while upright >= scale * 0.999:
        plan = _trial(side, scale, upright)
        wide_mm = across * scale + plan.left + plan.right
        if wide_mm <= room_mm[0] and tall * upright + plan.above + plan.below <= room_mm[1]:
            spare = 0.5 * (room_mm[0] - wide_mm)
            return replace(plan, left=plan.left + spare, right=plan.right + spare)
        upright = scale_for(1.0, upright * 0.999)
    return None
