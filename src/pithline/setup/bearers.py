"""Bearers on a log: their flats, the datum their tops stand at, and their heights."""

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from pithline.errors import KitError
from pithline.lengths import told
from pithline.logs.solid import LogSolid, Section, chords, section_at
from pithline.setup.kit import Kit
from pithline.setup.rail import Run, string_sag_mm

__all__ = ["Bearer", "Flat", "cut_flat", "datum_for", "stand_bearers"]


@dataclass(frozen=True)
class Bearer:
    """One stand for the rail.

    Attributes: `station_mm` from the butt; `height_mm` from its flat to its
    top; `flat_depth_mm`, how deep the flat is cut at its middle, `flat_width_mm`
    across; `post_top_mm`, width left at the top of a tapered post;
    `string_sag_mm` a string over the end bearers hangs low here.
    """

    station_mm: float
    height_mm: float
    flat_depth_mm: float
    flat_width_mm: float
    post_top_mm: float
    string_sag_mm: float


LEAST_FLAT = 0.5
"""Share of a base's width that must stand on its flat, common practice."""


@dataclass(frozen=True)
class Flat:
    """A flat cut for a bearer's base: its height, depth and width."""

    station_mm: float
    height_mm: float
    depth_mm: float
    width_mm: float


def cut_flat(
    kit: Kit, log: LogSolid, *, station_mm: float, widest_mm: float, line_mm: float, over_timber: bool
) -> Flat:
    """The flat for a base on the top of a log: as wide as the base, but never down into the timber.

    Parameters
    ----------
    kit : Kit
        The bearers.
    log : LogSolid
        The log about the timber's center line.
    station_mm : float
        Distance from the butt [mm].
    widest_mm : float
        Width of the base, or of the cant where that is less [mm].
    line_mm : float
        Height of the face to be sawn [mm].
    over_timber : bool
        Whether timber lies below, and not the rest of a longer log.

    Returns
    -------
    Flat
        On a round of radius r under the middle of the base r - sqrt(r^2 - (w/2)^2) deep.

    Raises
    ------
    KitError
        No flat half as wide lies above the line.

    Source
    ------
    definition
    """
    section: Section = section_at(log, min(max(station_mm, 0.0), log.length_mm))

    def height(width_mm: float) -> float:
        sides = [section.heights_at(x) for x in (-0.5 * width_mm, 0.5 * width_mm)]
        return min(-math.inf if side is None else side[1] for side in sides)

    least = LEAST_FLAT * widest_mm
    cure = "or turn the log" if over_timber else "turn the log, or cut the log to length first"
    # Where no timber lies below, the flat may go as deep as half a base needs.
    floor = line_mm if over_timber else min(line_mm, height(least))
    if height(least) < floor or floor == -math.inf:
        raise KitError(
            f"bearers.base_width: {told(station_mm)} from the butt a base {told(kit.bearers.base_width_mm)} wide "
            f"finds no flat half as wide above the line. Use a narrower base, {cure}."
        )
    width = widest_mm
    if height(width) < floor:
        # As wide as the level chord at the floor, on its shorter side of the middle.
        middle, half = chords(section.center_mm[None], section.shape_mm[None], at_mm=floor, axis=1)
        width = max(least, min(widest_mm, 2.0 * float(half[0] - abs(middle[0]))))
    return Flat(station_mm, height(width), max(0.0, height(0.0) - height(width)), width)


@dataclass(frozen=True)
class _Bound:
    """One thing that keeps the datum from going lower or higher."""

    datum_mm: float
    why: Callable[[], str]
    cure: str


def _lows(kit: Kit, flats: list[Flat], half_mm: float, highest_mm: float, *, deep: bool) -> list[_Bound]:
    """What keeps the datum from going lower; deep flats let a bearer down to the line."""
    post = max(flats, key=lambda flat: flat.height_mm)
    least = kit.bearers.height_min_mm
    return [
        _Bound(
            least + (kit.saw.kerf_mm if deep else post.height_mm - half_mm),
            lambda: f"the bearer {told(post.station_mm)} from the butt goes no lower than {told(least)}",
            "use lower bearers there",
        ),
        _Bound(
            kit.mill.setting_min_mm - kit.rail.thickness_mm + kit.saw.kerf_mm,
            lambda: f"the mill sets no shallower than {told(kit.mill.setting_min_mm)}",
            "use a thicker rail",
        ),
        _Bound(
            highest_mm - half_mm,
            lambda: "the rail must pass over the log",
            "turn the log so that it bulges less on top",
        ),
    ]


def _highs(kit: Kit, flats: list[Flat], half_mm: float) -> list[_Bound]:
    """What keeps the datum from going higher."""
    post = min(flats, key=lambda flat: flat.height_mm)
    rail = kit.rail.thickness_mm
    return [
        _Bound(
            kit.bearers.height_max_mm + post.height_mm - half_mm,
            lambda: (
                f"the bearer {told(post.station_mm)} from the butt reaches no higher than "
                f"{told(kit.bearers.height_max_mm)}"
            ),
            "use taller bearers there",
        ),
        _Bound(
            kit.mill.setting_max_mm - rail + kit.saw.kerf_mm,
            lambda: f"the mill sets no deeper than {told(kit.mill.setting_max_mm)} over a rail {told(rail)} thick",
            "use a thinner rail or a mill that sets deeper",
        ),
    ]


def datum_for(
    kit: Kit, flats: list[Flat], *, half_mm: float, highest_mm: float, asked_mm: float | None = None
) -> float:
    """Least round datum within the kit's reach, or the asked one where it serves.

    A bearer at datum d stands d + half - flat high; the first setting is
    d + rail - kerf; and the rail passes over the log's highest wood. Where
    flats as deep as a base needs leave no datum, they are cut deeper, and the
    greatest round datum is taken.

    Parameters
    ----------
    kit : Kit
        Bearers, mill and rail.
    flats : list of Flat
        Where the bearers stand.
    half_mm : float
        Height of the upper line above the timber's center line [mm].
    highest_mm : float
        Highest wood under the rail above that center line [mm].
    asked_mm : float or None
        Datum that was asked for [mm].

    Returns
    -------
    float
        Bearer tops above the upper line [mm].

    Raises
    ------
    KitError
        No datum serves, or not the asked one; the message says why and what would.

    Source
    ------
    definition
    """
    shallow, deep = (
        max(_lows(kit, flats, half_mm, highest_mm, deep=deep), key=lambda bound: bound.datum_mm)
        for deep in (False, True)
    )
    # Flats that lie under the line already, beside a board that ends before them, need not be cut deeper.
    deep = min(shallow, deep, key=lambda bound: bound.datum_mm)
    high = min(_highs(kit, flats, half_mm), key=lambda bound: bound.datum_mm)
    step = kit.datum_step_mm
    datum = math.ceil(shallow.datum_mm / step - 1e-9) * step
    if datum > high.datum_mm + 1e-6:
        lower = math.floor(high.datum_mm / step + 1e-9) * step
        datum = lower if lower >= deep.datum_mm - 1e-6 else datum
    if asked_mm is not None:
        datum = asked_mm
    if datum < deep.datum_mm - 1e-6:
        raise KitError(
            f"datum: {told(datum)} is too low, since {deep.why()}; it must be {told(deep.datum_mm)} or more "
            f"above the upper line."
        )
    if datum > high.datum_mm + 1e-6:
        asked = "" if asked_mm is None else " and that datum was asked for"
        raise KitError(
            f"datum: the rail must lie {told(datum)} above the upper line, since {shallow.why()}{asked}; "
            f"but no more than {told(high.datum_mm)}, since {high.why()}. To do it, {high.cure}, or {shallow.cure}."
        )
    return datum


def _deepened(kit: Kit, flat: Flat, top_mm: float) -> Flat:
    """The same flat, cut as much deeper as the shortest bearer needs."""
    lower = min(flat.height_mm, top_mm - kit.bearers.height_min_mm)
    return replace(flat, height_mm=lower, depth_mm=flat.depth_mm + flat.height_mm - lower)


def stand_bearers(kit: Kit, run: Run, *, flats: list[Flat], top_mm: float) -> tuple[Bearer, ...]:
    """Bearers whose tops stand at one height above the timber's center line.

    Parameters
    ----------
    kit : Kit
        Bearers and string.
    run : Run
        Their stations.
    flats : list of Flat
        Where they stand.
    top_mm : float
        Height of their tops above the timber's center line [mm].

    Returns
    -------
    tuple of Bearer
        From butt to tip.

    Raises
    ------
    KitError
        A tapered post leaves too little to carry the rail.

    Source
    ------
    definition
    """
    first, last = run.stations_mm[0], run.stations_mm[-1]
    lean = math.tan(math.radians(kit.bearers.post_taper_deg))
    bearers = []
    for flat in (_deepened(kit, flat, top_mm) for flat in flats):
        height = top_mm - flat.height_mm
        post_top = kit.bearers.post_width_mm - 2.0 * height * lean
        if post_top < kit.bearers.seat_mm:
            raise KitError(
                f"bearers.post_width: {told(flat.station_mm)} from the butt a post {told(height)} high tapers to "
                f"{told(post_top)}, less than the seat of {told(kit.bearers.seat_mm)}. Use a wider post or less taper."
            )
        sag = string_sag_mm(
            last - first,
            flat.station_mm - first,
            mass_g_m=kit.string.mass_g_m,
            tension_n=kit.string.tension_n,
        )
        bearers.append(Bearer(flat.station_mm, height, flat.depth_mm, flat.width_mm, post_top, sag))
    return tuple(bearers)
