"""Bearers along a log and the rail moved over them."""

import itertools
from dataclasses import dataclass

from pithline.errors import KitError, OutOfRangeError
from pithline.lengths import told
from pithline.setup.kit import Kit, Rail

__all__ = ["GRAVITY", "RailPosition", "Run", "rail_run", "rail_sag_mm", "rail_tips", "string_sag_mm"]

GRAVITY = 9.80665
"""Standard acceleration of free fall [m/s2], definition."""


@dataclass(frozen=True)
class RailPosition:
    """Where the rail lies for one part of the first pass.

    Attributes: `start_mm`, `end_mm` from the log's butt; `bearers`, numbers of
    the first and last bearer that carry it; `saw_from_mm`, `saw_to_mm`, the
    stretch of log sawn from it.
    """

    start_mm: float
    end_mm: float
    bearers: tuple[int, int]
    saw_from_mm: float
    saw_to_mm: float


@dataclass(frozen=True)
class Run:
    """Bearer stations and rail positions for one log.

    Attributes: `stations_mm` of the bearers; `span_mm` between them;
    `positions`; `sag_mm` of the rail under its own weight and the saw midway
    between two bearers.
    """

    stations_mm: tuple[float, ...]
    span_mm: float
    positions: tuple[RailPosition, ...]
    sag_mm: float


def rail_sag_mm(rail: Rail, span_mm: float, *, saw_kg: float) -> float:
    """Sag of a rail between two bearers, saw midway.

    s = 5 w L^4 / (384 E I) + P L^3 / (48 E I)

    Parameters
    ----------
    rail : Rail
        Its members, modulus and weight.
    span_mm : float
        Distance between the bearers, L [mm].
    saw_kg : float
        Saw and mill [kg].

    Returns
    -------
    float
        Sag at midspan [mm].

    Range
    -----
    A straight rail simply supported; one that runs on over further bearers sags less.

    Source
    ------
    Simple beam, uniform load and load at the center: AWC Design Aid No. 6,
    figures 1 and 7 (the values as listed in a structural mechanics chart, seen).
    """
    stiffness = rail.modulus_mpa * rail.inertia_mm4
    own_n_mm = rail.mass_kg_m * GRAVITY / 1000.0
    saw_n = saw_kg * GRAVITY
    return 5.0 * own_n_mm * span_mm**4 / (384.0 * stiffness) + saw_n * span_mm**3 / (48.0 * stiffness)


def rail_tips(kit: Kit, run: Run) -> bool:
    """Whether a loose rail would tip over its end bearer with the mill past the log's end.

    It does where mill mass x (overhang - footprint / 2) exceeds rail mass x (length / 2 - overhang).

    Parameters
    ----------
    kit : Kit
        Mill and rail.
    run : Run
        Stations and positions.

    Returns
    -------
    bool
        True where only screws or clamps hold it.

    Source
    ------
    definition: moments about the end bearer
    """
    first, last = run.positions[0], run.positions[-1]
    rail_kg = kit.rail.mass_kg_m * kit.rail.length_mm / 1000.0
    for over in (run.stations_mm[0] - first.start_mm, last.end_mm - run.stations_mm[-1]):
        tipping = kit.mill.mass_kg * (over - 0.5 * kit.mill.footprint_mm)
        if tipping > rail_kg * (0.5 * kit.rail.length_mm - over):
            return True
    return False


def string_sag_mm(length_mm: float, at_mm: float, *, mass_g_m: float, tension_n: float) -> float:
    """How far a stretched string hangs below the line between its ends.

    s = w a (L - a) / (2 T), greatest w L^2 / (8 T) at the middle.

    Parameters
    ----------
    length_mm : float
        Distance between the ends, L [mm].
    at_mm : float
        Place along it, a [mm].
    mass_g_m : float
        Mass of the string [g/m].
    tension_n : float
        Pull, T [N].

    Returns
    -------
    float
        Sag, 0 at the ends [mm].

    Raises
    ------
    OutOfRangeError
        A place beyond the ends, or no pull.

    Range
    -----
    Sag small against the length (parabola for the catenary).

    Source
    ------
    Parabolic cable under uniform load, statics textbooks (from memory).
    """
    if not 0.0 <= at_mm <= length_mm or tension_n <= 0.0:
        raise OutOfRangeError(f"string: {told(at_mm)} along {told(length_mm)} at a pull of {tension_n:g} N")
    weight_n_mm = mass_g_m * GRAVITY / 1e6
    return weight_n_mm * at_mm * (length_mm - at_mm) / (2.0 * tension_n)


def _spans_carried(kit: Kit, span_mm: float) -> int:
    """How many spans one rail covers, with room to stand and to be moved under the mill."""
    rail, seat, foot = kit.rail.length_mm, kit.bearers.seat_mm, kit.mill.footprint_mm
    inset = kit.bearers.end_inset_mm
    spans = 0
    while True:
        spare = rail - (spans + 1) * span_mm
        # Past the log's end the rail carries the mill; past its last bearer it has a seat; and two
        # positions overlap by the mill's footprint, so that the rail is moved on while the mill stands.
        past_first = spare - foot - inset
        if past_first < seat - 1e-9 or past_first + min(0.5 * spare, past_first) < foot - 1e-9:
            return spans
        spans += 1


def _positions(kit: Kit, stations: tuple[float, ...], carried: int, log_mm: float) -> tuple[RailPosition, ...]:
    """Rail positions from butt to tip, each carried at both its ends."""
    rail, foot = kit.rail.length_mm, kit.mill.footprint_mm
    spans = len(stations) - 1
    if rail >= log_mm + 2.0 * foot:
        over = 0.5 * (rail - log_mm)
        return (RailPosition(-over, log_mm + over, (0, spans), 0.0, log_mm),)
    starts: list[tuple[float, tuple[int, int]]] = [(-foot, (0, carried))]
    if carried == spans:
        # One position spans the bearers but not the log's end: the rail is slid on over the same bearers.
        starts.append((log_mm + foot - rail, (0, spans)))
    first = carried
    while first < spans:
        last = min(first + carried, spans)
        if last == spans:
            first = spans - carried
            starts.append((log_mm + foot - rail, (first, spans)))
        else:
            over = 0.5 * (rail - (stations[last] - stations[first]))
            starts.append((stations[first] - over, (first, last)))
        first = last
    edges = [0.0, *(0.5 * (a[0] + rail + b[0]) for a, b in itertools.pairwise(starts)), log_mm]
    return tuple(
        RailPosition(start, start + rail, pair, edges[k], edges[k + 1]) for k, (start, pair) in enumerate(starts)
    )


def rail_run(kit: Kit, log_mm: float) -> Run:
    """Fewest bearers that carry the rail over a log, and the rail's positions.

    Bearers stand at both ends and evenly between. Their span is short enough
    that the rail sags no more than its limit, that both ends of every rail
    position are carried, and that the rail overhangs the log by the mill's
    footprint at both ends and itself by as much when it is moved.

    Parameters
    ----------
    kit : Kit
        Rail, bearers and mill.
    log_mm : float
        Length of the log [mm].

    Returns
    -------
    Run
        Stations, positions and sag.

    Raises
    ------
    KitError
        More bearers are needed than there are; the message says what would do.

    Source
    ------
    common practice
    """
    inset = kit.bearers.end_inset_mm
    between = log_mm - 2.0 * inset
    count = int(kit.bearers.count)
    if between <= 0.0:
        raise KitError(f"bearers.end_inset: {told(inset)} at both ends leaves nothing of a log {told(log_mm)} long.")
    whole = kit.rail.length_mm >= log_mm + 2.0 * kit.mill.footprint_mm
    for spans in range(1, 200):
        span = between / spans
        sag = rail_sag_mm(kit.rail, span, saw_kg=kit.mill.mass_kg)
        carried = spans if whole else min(spans, _spans_carried(kit, span))
        if carried < 1 or sag > kit.rail.sag_limit_mm:
            continue
        if spans + 1 > count:
            raise KitError(
                f"bearers.count: the rail needs {spans + 1} bearers on this log and the kit has {count}. "
                f"Make more, or use a stiffer or longer rail."
            )
        stations = tuple(inset + span * k for k in range(spans + 1))
        return Run(stations, span, _positions(kit, stations, carried, log_mm), sag)
    raise KitError(
        f"rail: a rail {told(kit.rail.length_mm)} long cannot be moved along this log under a mill "
        f"{told(kit.mill.footprint_mm)} long within a sag of {told(kit.rail.sag_limit_mm)}. "
        f"Use a longer or stiffer rail."
    )
