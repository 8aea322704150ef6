"""What comes nearest where nothing fits: the log to a timber, the timber to a log, and the log that would do."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pithline.arrays import frozen
from pithline.fit import Placement, Timber, place
from pithline.fit.placing import PROOF_MM, SHORT_MM
from pithline.logs import LogSolid, TallyLog, solid_from_tally
from pithline.logs.measures import DIAMETER_LIMITS_MM, LENGTH_LIMITS_MM
from pithline.match.plan import Nearest, Needs
from pithline.patterns import PriceList, WantedTimber, best_patterns, list_for
from pithline.setup.kit import Kit

__all__ = ["nearest_log", "nearest_timber", "needs_of"]

_LENGTH_FOR_WOOD = 24.0
"""Length that counts as much as 1 mm of wood all round [mm]: a foot as an inch of diameter, the steps logs are tallied
by, common practice."""

_ALIKE_MM = 1.0
"""Logs that lack the same wood within this are alike; one the plan leaves free is told before one it saws."""

_LOGS = (4, 2)
_LOGS_FREE_OF_HEART = (2, 1)
_TIMBERS = (3, 0)
"""How many of the nearest by a cheap measure are placed, in logs that the plan leaves free and in those it saws;
fewer where the heart must be out, which takes twenty times as long."""

_SURE_WORTH_BF = 1000.0
"""Worth of a board foot beside which no sawing costs anything."""

_USUAL_TAPER_MM_M = 9.0
"""Taper where no log tells one: between 0.4 and 0.6 in in 4 ft (8.3 to 12.5 mm/m), the averages in "The cubic foot as a
national log-scaling standard", U.S. Forest Service."""

_WHOLE_LOG_MM = 2438.4
"""Length of the log for a timber as long as its log: 8 ft, the shortest common sawlog, common practice."""

_LARGEST_TIP_MM = 1_500.0


@dataclass(frozen=True, eq=False)
class _Case:
    """One timber of the list in one log.

    Attributes: `timber` as it is cut in that log's species; `serves`, whether the species will do, and
    `note` why not; `used_for`, None where the plan leaves the log free.
    """

    log: LogSolid
    item: WantedTimber
    timber: Timber
    serves: bool
    note: str
    used_for: str | None = None

    @property
    def short_mm(self) -> float:
        """By how much the log is too short."""
        short = (self.timber.length_mm or 0.0) - self.log.length_mm
        return short if short > SHORT_MM else 0.0

    def room_mm(self) -> float:
        """About the clearance: of its small end at the log's butt or tip, less half the crown on that length."""
        log, whole = self.log, self.log.length_mm
        length = min(self.timber.length_mm or whole, whole)
        wide = np.trace(log.shape_mm, axis1=1, axis2=2)
        ends = np.interp([0.0, length, whole - length, whole], log.z_mm, wide)
        small = max(min(ends[0], ends[1]), min(ends[2], ends[3]))
        return 0.5 * (float(small) - _across_mm(self.timber) - log.crown_mm * (length / whole) ** 2)


@dataclass(frozen=True, eq=False)
class _Tried:
    """A case, and where the timber lies best; a log too short is not tried."""

    case: _Case
    placed: Placement | None

    @property
    def fits(self) -> bool:
        """Whether the log holds the timber."""
        return self.placed is not None and self.placed.fits

    @property
    def clearance_mm(self) -> float:
        """Clearance to bark, about that of a log too short."""
        return self.case.room_mm() if self.placed is None else self.placed.clearance_mm

    def missing_mm(self) -> float:
        """All that is missing, as wood all round."""
        wood = max(-self.clearance_mm, 0.0) + self.case.short_mm / _LENGTH_FOR_WOOD
        if self.placed is None or self.placed.status != "none":
            return wood
        inside = self.placed.timber.heart == "boxed"
        pith = self.placed.pith_inside_mm if inside else self.placed.pith_outside_mm
        return wood + max(self.placed.timber.heart_margin_mm - pith, 0.0)


def _across_mm(timber: Timber) -> float:
    """Diameter of the least cylinder that holds a timber, its pith in the middle of the cylinder."""
    sides = (timber.cut_thickness_mm, timber.cut_width_mm)
    free = timber.heart == "free"

    def across(first: float, second: float) -> float:
        far, side = first + timber.heart_margin_mm if free else 0.5 * first, 0.5 * second
        return 2.0 * max(math.hypot(far - timber.wane_mm, side), math.hypot(far, side - timber.wane_mm))

    return min(across(*sides), across(*sides[::-1]))


def _case(log: LogSolid, item: WantedTimber, kit: Kit) -> _Case:
    """A timber in a log, cut for its species; where that does not serve, as if it did."""
    one = replace(item, count=1)
    found = list_for(log, PriceList((one,)), own=kit.species)
    if found.timbers:
        return _Case(log, item, found.timbers[0].timber, serves=True, note="")
    other = list_for(log, PriceList((replace(one, species=()),)), own=kit.species).timbers
    return _Case(log, item, other[0].timber if other else item.timber, serves=False, note=" ".join(found.notes))


def _first(tried: Sequence[_Tried]) -> _Tried:
    """The one that comes nearest: of those that fit a free log, then the roomiest; else what lacks least."""

    def is_used(one: _Tried) -> bool:
        return one.case.used_for is not None

    fitting = [one for one in tried if one.fits]
    if fitting:
        return min(fitting, key=lambda one: (is_used(one), -one.clearance_mm))
    lacks = [(one.missing_mm(), one) for one in tried]
    least = min(missing for missing, _ in lacks)
    near = [(is_used(one), missing, one) for missing, one in lacks if missing <= least + _ALIKE_MM]
    return min(near, key=lambda row: row[:2])[2]


def _nearest(cases: Sequence[_Case], kit: Kit, *, placed: tuple[int, int]) -> tuple[_Case, Nearest] | None:
    """The case that comes nearest and what it lacks, as many `placed` of free and of used logs."""
    serving = [case for case in cases if case.serves]
    asked = serving or cases
    if not asked:
        return None
    short = [case for case in asked if case.short_mm > 0.0]
    roomy = sorted((case for case in asked if case.short_mm == 0.0), key=lambda case: -case.room_mm())
    left = [case for case in roomy if case.used_for is None][: placed[0]]
    taken = [case for case in roomy if case.used_for is not None][: sum(placed) - len(left)]
    tried = [_Tried(case, place(case.log, case.timber)) for case in left + taken]
    best = _first([*tried, *(_Tried(case, None) for case in short)])
    if serving:
        return best.case, _told(best, kit)
    return best.case, replace(_told(best, None), lacks="species", why=best.case.note)


def _told(best: _Tried, kit: Kit | None) -> Nearest:
    """What a case lacks; whether a kit can saw it is looked at where all else fits."""
    case, placed = best.case, best.placed
    tip = case.log.diameter_mm(-1)
    found = Nearest(case.log.tag, "nothing", tip_mm=tip, used_for=case.used_for or "")
    if placed is None:
        return replace(found, lacks="length", short_mm=case.short_mm)
    if placed.fits:
        why = "" if kit is None else _refusal(case, kit)
        return replace(found, lacks="kit" if why else "nothing", larger_tip_mm=tip, why=why)
    if placed.clearance_mm < 0.0:
        found = replace(
            found,
            missing_mm=-placed.clearance_mm,
            station_mm=placed.spot.station_mm,
            clock=placed.spot.clock,
        )
    if placed.status == "none":
        # The pith is where it is: no larger tip would help.
        return replace(found, lacks="heart")
    return replace(
        found, lacks="wood", larger_tip_mm=placed.needed_tip_diameter_mm, crown_takes_mm=_crown_takes_mm(placed)
    )


def _crown_takes_mm(placed: Placement) -> float:
    """How much more clearance there would be in the same log, straight."""
    log = placed.log
    if log.crown_clock is None:
        return 0.0
    straight = replace(
        log,
        center_mm=frozen(np.zeros_like(log.center_mm)),
        pith_mm=frozen(log.pith_mm - log.center_mm),
        crown_mm=0.0,
        crown_clock=None,
    )
    more = place(straight, placed.timber).clearance_mm - placed.clearance_mm
    # Less than proof leaves open is nothing.
    return more if more > PROOF_MM else 0.0


def _refusal(case: _Case, kit: Kit) -> str:
    """Why a kit cannot saw a timber that lies in a log, its tag left out; empty where it can."""
    wanted = replace(case.item, count=1, value_bf=_SURE_WORTH_BF)
    ways = best_patterns(case.log, PriceList((wanted,)), kit=kit)
    why = ways.why.removeprefix(f"{case.log.tag}: ")
    if ways.patterns or why.startswith("the kit "):
        return why
    # The placement is free in every turn and tilt, the cuts are not; they may miss what barely fits.
    return "the timber barely lies in it, and no way to saw it so was found."


def nearest_log(
    item: WantedTimber,
    yard: Sequence[LogSolid],
    *,
    kit: Kit,
    used: Mapping[str, str],
    only: Collection[str] | None = None,
) -> Nearest | None:
    """The log that comes nearest to giving a timber, and what it lacks.

    Of the logs that hold it a free one, then the one with most room; of others the
    one that lacks least wood all round. 24 mm of length count as 1 mm of wood,
    a foot as an inch of diameter. The best few by a cheap measure are placed.

    Parameters
    ----------
    item : WantedTimber
        The timber; at least one is taken to be wanted.
    yard : sequence of LogSolid
        The logs.
    kit : Kit
        What is at the log, and what it tells of species.
    used : mapping of str to str
        Logs the plan saws, by tag, and into what.
    only : collection of str or None
        Tags of the logs looked at, None for all.

    Returns
    -------
    Nearest or None
        None where there is no log. Where none is of the species, the log that would come nearest otherwise; `why`
        then tells of a cut size that cannot be worked out.

    Source
    ------
    definition; `place` for clearances, `best_patterns` for what the kit can; length weighed against wood is common
    practice
    """
    logs = [log for log in yard if only is None or log.tag in only]
    # Cut sizes hang on the species alone.
    kinds = {species: _case(log, item, kit) for species, log in {log.species: log for log in logs}.items()}
    cases = [replace(kinds[log.species], log=log, used_for=used.get(log.tag)) for log in logs]
    found = _nearest(cases, kit, placed=_LOGS_FREE_OF_HEART if item.timber.heart == "free" else _LOGS)
    return None if found is None else found[1]


def nearest_timber(log: LogSolid, prices: PriceList, *, kit: Kit) -> tuple[str, Nearest] | None:
    """The timber of a list that comes nearest to coming out of a log, and what the log lacks for it.

    Parameters
    ----------
    log : LogSolid
        The log.
    prices : PriceList
        The list; timbers of count 0 are passed over.
    kit : Kit
        What is at the log, and what it tells of species.

    Returns
    -------
    (str, Nearest) or None
        Name of the timber, and what is lacking; None where none is wanted.

    Source
    ------
    as `nearest_log`
    """
    cases = [_case(log, item, kit) for item in prices.timbers if item.count != 0]
    found = _nearest(cases, kit, placed=_TIMBERS)
    return None if found is None else (found[0].item.name, found[1])


def needs_of(item: WantedTimber, yard: Sequence[LogSolid], *, kit: Kit) -> Needs:
    """The smallest log that would give a timber.

    A round log as long as the timber, 8 ft for one as long as its log, 300 mm at least;
    the pith in its middle, with the yard's median taper, none where that is negative, and
    its median crown, which grows with the square of the length as an arc's does.

    Parameters
    ----------
    item : WantedTimber
        The timber. A finished size is cut for the one of its species that takes the largest cut,
        of the yard's where it names none.
    yard : sequence of LogSolid
        The logs; without any the taper is 9 mm/m and there is no crown.
    kit : Kit
        What it tells of species.

    Returns
    -------
    Needs
        Diameters up to the next millimeter of the tip; NaN where no tip up to 1500 mm does, no straight timber
        keeps such a log's pith as asked, or no species tells the cut size.

    Source
    ------
    definition; taper without a yard: U.S. Forest Service, "The cubic foot as a national log-scaling standard",
    0.4 to 0.6 in in 4 ft
    """
    tapers = [(log.diameter_mm(0) - log.diameter_mm(-1)) / log.length_mm for log in yard]
    bends = [log.crown_mm / log.length_mm**2 for log in yard]
    taper = max(float(np.median(tapers)), 0.0) if tapers else _USUAL_TAPER_MM_M / 1000.0
    length = max(item.timber.length_mm or _WHOLE_LOG_MM, LENGTH_LIMITS_MM[0])
    crown = float(np.median(bends)) * length**2 if bends else 0.0
    timber = _largest_cut(item, yard, kit)
    stem = _Stem(length, taper * length, crown)
    tip = math.nan if timber is None else _least_tip_mm(timber, stem)
    return Needs(length, tip, tip + stem.drop_mm, 1000.0 * taper, crown, item.species)


@dataclass(frozen=True)
class _Stem:
    """The shape of a log whose tip is sought: what its butt is thicker, and its crown."""

    length_mm: float
    drop_mm: float
    crown_mm: float

    def log(self, tip_mm: float) -> LogSolid:
        """The log of a tip."""
        row = TallyLog("needed", "", self.length_mm, tip_mm + self.drop_mm, tip_mm, crown_mm=self.crown_mm)
        return solid_from_tally(row)


def _largest_cut(item: WantedTimber, yard: Sequence[LogSolid], kit: Kit) -> Timber | None:
    """The timber as cut for the species that takes most, None where no cut size is known."""
    if item.wanted is None:
        return item.timber
    stand_in = _Stem(_WHOLE_LOG_MM, 0.0, 0.0).log(300.0)
    names = item.species or tuple(dict.fromkeys(log.species for log in yard))
    cases = [_case(replace(stand_in, species=name), item, kit) for name in names]
    return max((case.timber for case in cases if case.serves), key=_across_mm, default=None)


def _least_tip_mm(timber: Timber, stem: _Stem) -> float:
    """The least tip in whole millimeters with which a log holds a timber, NaN for none.

    Clearance grows with half the diameter, a hair less, so each placement tells nearly where to look next.
    """
    # No straight line runs through a log whose crown is over its middle diameter, and a tally refuses it.
    low = math.ceil(max(DIAMETER_LIMITS_MM[0], stem.crown_mm - 0.5 * stem.drop_mm))
    most = math.floor(min(_LARGEST_TIP_MM, DIAMETER_LIMITS_MM[1] - stem.drop_mm))
    high = most + 1
    tip = math.ceil(_across_mm(timber) + stem.crown_mm)
    while low < high:
        # Between the largest tip known to be too small and the smallest known to do.
        tip = min(max(tip, low), high - 1)
        placed = place(stem.log(float(tip)), timber)
        if placed.status == "none":
            return math.nan
        low, high = (low, tip) if placed.fits else (tip + 1, high)
        tip = math.ceil(tip - 2.0 * placed.clearance_mm)
    return float(high) if high <= most else math.nan
