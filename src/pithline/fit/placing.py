"""Where a straight timber lies best in a crooked log."""

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from pithline.arrays import Floats, Indices
from pithline.errors import SolverError
from pithline.fit.check import Spot, clearance, pith_margin, placed_corners
from pithline.fit.program import solve
from pithline.fit.rows import wood_rows
from pithline.fit.search import Found, HeartRule, RollSearch, Sample
from pithline.fit.timber import Timber, section_corners, timber_growth
from pithline.logs.solid import FACES, LogSolid

__all__ = ["Placement", "RollRule", "Status", "crown_rolls", "place"]

RollRule = Literal["best", "crown-side", "crown-up"] | float
"""The best roll; crown level at 3 or 9; crown up at 12; or a turn in degrees."""

Status = Literal["proven", "stopped", "none"]
"""Best with proof; found, but the search was stopped; no placement under the heart rule."""

PROOF_MM = 0.1
"""No roll does better than the answer by more than this."""

SHORT_MM = 0.5
"""A log shorter than its timber by less than this is long enough."""

AGREE_MM = 1e-3
"""How far solver and check may differ before the answer is refused."""

_TOLERANCE_MM = 0.003
_TIE_MM = 0.002
_LIMIT = 3_000
_HEART_LIMIT = 500
_START_STEP_MM = 250.0
_DIRECTIONS = 24


@dataclass(frozen=True, eq=False)
class Placement:
    """A timber laid in a log.

    Attributes: `start_mm`, `end_mm` of the timber along the log, from the butt;
    `roll_deg` turn of the log before marking, clockwise seen from the butt, the
    shorter way round; centers of the timber's two ends as tallied; `clearance_mm`
    least distance to bark, negative by what is missing; `bound_mm`, which no roll
    (no placement, for a fixed roll) comes above; `spot` that binds;
    `short_mm` by which the log is too short; `pith_inside_mm` and
    `pith_outside_mm` as `pith_margin` gives them; `best_clearance_mm` at the best
    roll, where another was asked for; `programs`, how many rolls were solved.
    """

    log: LogSolid
    timber: Timber
    status: Status
    start_mm: float
    end_mm: float
    roll_deg: float
    center_butt_mm: Floats
    center_tip_mm: Floats
    clearance_mm: float
    bound_mm: float
    spot: Spot
    short_mm: float
    pith_inside_mm: float
    pith_outside_mm: float
    best_clearance_mm: float
    programs: int

    @property
    def fits(self) -> bool:
        """Whether the whole timber lies inside the wood, by its rules."""
        return self.status != "none" and self.spare_mm >= -1e-6

    @property
    def spare_mm(self) -> float:
        """Clearance to bark, or less where the log is too short [mm]."""
        return min(self.clearance_mm, -self.short_mm) if self.short_mm > 0.0 else self.clearance_mm

    @property
    def corners_butt_mm(self) -> Floats:
        """Corners at the timber's butt end, as tallied (4, 2) [mm]."""
        return placed_corners(self.center_butt_mm, self._corners, roll_deg=self.roll_deg)

    @property
    def corners_tip_mm(self) -> Floats:
        """Corners at the timber's tip end, as tallied (4, 2) [mm]."""
        return placed_corners(self.center_tip_mm, self._corners, roll_deg=self.roll_deg)

    @property
    def _corners(self) -> Floats:
        return section_corners(self.timber.cut_width_mm, self.timber.cut_thickness_mm)

    @property
    def needed_tip_diameter_mm(self) -> float:
        """Tip diameter that would do, with the same taper and crown [mm]."""
        here = float(np.trace(self.log.shape_mm[-1]))
        if self.clearance_mm >= 0.0 or self.status == "none":
            return here
        # A section grown by g all round has its inscribed faces at least g cos(180/72) further out,
        # a little less where it is oval. The tenth is what the answer for the larger log may lie under its bound.
        oval = max(float(np.linalg.cond(shape)) for shape in self.log.shape_mm)
        return here + 2.0 * (PROOF_MM - self.clearance_mm) * oval / math.cos(math.pi / FACES)


def crown_rolls(log: LogSolid, rule: Literal["crown-side", "crown-up"]) -> tuple[float, ...]:
    """Turns that bring the crown where it is wanted.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    rule : str
        `crown-side` brings it to 3 or 9 o'clock, `crown-up` to 12.

    Returns
    -------
    tuple of float
        Turns, clockwise seen from the butt, the shortest first; one turn of 0
        for a log without crown [deg].

    Source
    ------
    common practice
    """
    if log.crown_clock is None:
        return (0.0,)
    wanted = (12.0,) if rule == "crown-up" else (3.0, 9.0)
    turns = [_shorter((hours - log.crown_clock) * 30.0) for hours in wanted]
    return tuple(sorted(turns, key=lambda turn: (abs(turn), -turn)))


def _shorter(turn_deg: float, period_deg: float = 360.0) -> float:
    """The same turn the shorter way round, in (-period/2, period/2]."""
    turn = turn_deg % period_deg
    return turn - period_deg if turn > 0.5 * period_deg else turn


def _heart_rules(log: LogSolid, timber: Timber) -> list[HeartRule | None]:
    """The heart rule of a timber as one or more sets of rows, any of which will do."""
    half = (0.5 * timber.cut_width_mm, 0.5 * timber.cut_thickness_mm)
    margin = timber.heart_margin_mm
    if timber.heart == "boxed":
        room = (half[0] - margin, half[1] - margin)
        sides = ((0, 1.0), (0, -1.0), (1, 1.0), (1, -1.0))
        return [HeartRule(sides, tuple(room[a] for a, _ in sides), tuple(room[1 - a] for a, _ in sides))]
    if timber.heart == "free":
        # A timber with clearance s holds a disk of radius `core` that stays s inside the section, so its
        # center is at most (radius - core - s) from the section's center, and the pith that much further.
        core = min(half) if timber.wane_mm == 0.0 else min(half) / math.sqrt(2.0)
        radius = max(float(np.linalg.norm(shape, 2)) for shape in log.shape_mm)
        off_center = float(np.linalg.norm(log.pith_mm - log.center_mm, axis=1).max())
        reach = radius + off_center - core
        return [
            HeartRule(((axis, sign),), (-(half[axis] + margin),), (reach,), follows_clearance=True)
            for axis in (0, 1)
            for sign in (1.0, -1.0)
        ]
    return [None]


@dataclass(frozen=True, eq=False)
class _Candidate:
    """The best sample of one start and one heart rule."""

    search: RollSearch
    start_mm: float
    sample: Sample | None
    bound: float
    proven: bool
    programs: int

    @property
    def value(self) -> float:
        """Clearance of the sample, -inf where nothing was found [mm]."""
        return -math.inf if self.sample is None else self.sample.value


def _starts(room_mm: float) -> list[float]:
    """Places along the log where a shorter timber is tried."""
    if room_mm < 1.0:
        return [0.0]
    count = max(1, math.ceil(room_mm / _START_STEP_MM))
    return [float(start) for start in np.linspace(0.0, room_mm, count + 1)]


def _closest_roll(found: Found, period: float) -> Sample | None:
    """The log as it lies where that is as good as proof can tell, else the best roll with the least turn."""
    if found.best is None:
        return None
    still = found.samples[0]
    enough = min(found.best.value, found.bound - PROOF_MM + 2.0 * _TIE_MM)
    # Not where the last tenth decides whether the timber fits.
    misses = still.value < _TIE_MM <= found.best.value
    if still.roll == 0.0 and still.value >= enough and not misses:
        return still
    good = [sample for sample in found.samples if sample.value >= found.best.value - _TIE_MM]
    return min(good, key=lambda sample: (round(min(sample.roll % period, -sample.roll % period), 9), -sample.value))


@dataclass(frozen=True, eq=False)
class _Question:
    """One timber in one log, at the rolls allowed (None: at any), ready to be tried at any start."""

    log: LogSolid
    timber: Timber
    length_mm: float
    rolls: tuple[float, ...] | None

    def _searches(self, start_mm: float) -> list[RollSearch]:
        """A search for each heart rule that will do."""
        end = min(start_mm + self.length_mm, self.log.length_mm)
        rows = wood_rows(self.log, start_mm=start_mm, end_mm=end)
        growth = timber_growth(self.timber)
        return [RollSearch(rows, growth, heart) for heart in _heart_rules(self.log, self.timber)]

    def best(self, start_mm: float) -> _Candidate:
        """The best placement from one start, over all rolls allowed and all heart rules."""
        period = math.radians(timber_growth(self.timber).period_deg)
        limit = _LIMIT if self.timber.heart == "any" else _HEART_LIMIT
        best: _Candidate | None = None
        bound, count, proven = -math.inf, 0, True
        for search in self._searches(start_mm):
            if self.rolls is None:
                floor = -math.inf if best is None else best.value
                found = search.best(period, tolerance=_TOLERANCE_MM, floor=floor, limit=limit)
                sample = _closest_roll(found, period)
                bound, count, proven = max(bound, found.bound), count + len(found.samples), proven and found.proven
            else:
                tried = [search.at(math.radians(roll)) for roll in self.rolls]
                most = max(one.value for one in tried)
                # Half a turn changes nothing but the rounding: among equals the first turn is the shortest.
                sample = next(one for one in tried if one.value >= most - AGREE_MM)
                bound, count = max(bound, most), count + len(tried)
            value = -math.inf if sample is None else sample.value
            if best is None or value > best.value:
                best = _Candidate(search, start_mm, sample if value > -math.inf else None, bound, True, 0)
        if best is None:
            raise SolverError("no heart rule was tried")
        return replace(best, bound=bound, proven=proven, programs=count)

    def value_at(self, start_mm: float, roll: float) -> float:
        """Clearance from one start at one roll, the best heart rule taken."""
        return max(search.at(roll).value for search in self._searches(start_mm))


def _best_start(question: _Question, starts: list[float]) -> _Candidate:
    """The best start by climbing: search one start fully, compare all at its roll, go to the best, again.

    The first place is the butt, where most logs are thickest.
    """
    best = question.best(starts[0])
    searched = {starts[0]}
    for start in starts[1:]:
        if best.sample is not None:
            break
        # Nothing under the heart rule from there; a place further on may do.
        best = question.best(start)
        searched.add(start)
    while best.sample is not None and len(searched) < len(starts):
        roll = best.sample.roll
        others = [start for start in starts if start not in searched]
        value, start = max((question.value_at(start, roll), start) for start in others)
        if value <= best.value + _TOLERANCE_MM:
            break
        searched.add(start)
        there = question.best(start)
        best = replace(there if there.value > best.value else best, programs=best.programs + there.programs)
    return replace(best, programs=best.programs + len(starts) - 1)


def _nearest_the_pith(search: RollSearch, sample: Sample, goal_mm: float) -> Floats:
    """Centers of both ends, moved toward the pith as far as the clearance allows.

    Maximizes -(q0 + q1) with the wood's rows at the clearance `goal_mm`, the
    heart's rows, and u.(c - p) <= q for 24 directions u at each end.
    """
    rows = search.rows
    matrix, right = rows.program(search.growth, sample.roll)
    right = right - goal_mm * matrix[:, 4]
    parts, sides = [matrix[:, :4]], [right]
    target = rows.pith_mm
    if search.heart is not None:
        more, more_right = search.heart.rows(rows, sample.roll)
        parts.append(more[:, :4])
        sides.append(more_right)
        if len(search.heart.sides) == 1:
            target = rows.center_mm
    count = sum(len(part) for part in parts)
    angles = np.arange(_DIRECTIONS) * (2.0 * np.pi / _DIRECTIONS)
    around = np.column_stack([np.cos(angles), np.sin(angles)])
    near = np.zeros((2 * _DIRECTIONS, 6))
    near[:_DIRECTIONS, 0:2] = around
    near[:_DIRECTIONS, 4] = -1.0
    near[_DIRECTIONS:, 2:4] = around
    near[_DIRECTIONS:, 5] = -1.0
    held = np.concatenate(parts)
    full = np.concatenate([np.concatenate([held, np.zeros((count, 2))], axis=1), near])
    sides += [around @ target[0], around @ target[-1]]
    third = _DIRECTIONS // 3
    basis: Indices = count + np.array([k * third + end * _DIRECTIONS for end in (0, 1) for k in range(3)])
    answer = solve(full, np.concatenate(sides), c=np.array([0.0, 0.0, 0.0, 0.0, -1.0, -1.0]), basis=basis)
    if answer.status != "best":
        raise SolverError("the placement nearest the pith was lost to rounding")
    return answer.x[:4]


def place(
    log: LogSolid,
    timber: Timber,
    *,
    roll: RollRule = "best",
    wanted_clearance_mm: float | None = None,
    against_best: bool = True,
) -> Placement:
    """The best place for a timber in a log, with proof that no roll does better.

    The clearance to bark is made as great as it can be. Among placements as
    good (or, with `wanted_clearance_mm`, good enough) the one nearest the pith
    is taken, and among rolls as good the least turn. A timber shorter than the
    log is tried at places 250 mm apart at most; the bound holds for the one chosen.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    timber : Timber
        The timber asked for.
    roll : RollRule
        `best`, `crown-side`, `crown-up`, or a turn clockwise seen from the
        butt [deg].
    wanted_clearance_mm : float or None
        Clearance that is enough; more of it is given up to lie nearer the
        pith [mm].
    against_best : bool
        Also search the best roll where another is asked for, to tell what the
        choice costs.

    Returns
    -------
    Placement
        Checked again by `clearance`; `status` tells proof from a stopped search
        and from a heart rule that nothing meets.

    Source
    ------
    definition; the check is independent geometry
    """
    short = 0.0 if timber.length_mm is None else max(0.0, timber.length_mm - log.length_mm)
    length = log.length_mm if timber.length_mm is None else min(timber.length_mm, log.length_mm)
    rolls = _asked_rolls(log, roll)
    starts = _starts(log.length_mm - length)
    chosen = _best_start(_Question(log, timber, length, rolls), starts)
    free = chosen
    if against_best and rolls is not None:
        free = _best_start(_Question(log, timber, length, None), starts)
    if chosen.sample is None:
        return replace(place(log, replace(timber, heart="any"), roll=roll), timber=timber, status="none")
    period = None if rolls is not None else timber_growth(timber).period_deg
    placed = _laid(log, timber, chosen, wanted_mm=wanted_clearance_mm, length_mm=length, period_deg=period)
    return replace(
        placed,
        status="proven" if chosen.proven else "stopped",
        bound_mm=chosen.bound,
        best_clearance_mm=max(free.value, chosen.value) - _TIE_MM,
        short_mm=short if short > SHORT_MM else 0.0,
        programs=chosen.programs if free is chosen else chosen.programs + free.programs,
    )


def _asked_rolls(log: LogSolid, roll: RollRule) -> tuple[float, ...] | None:
    """The turns a rule allows, None where every turn may be tried [deg]."""
    if roll == "best":
        return None
    if roll in {"crown-side", "crown-up"}:
        return crown_rolls(log, roll)
    return (_shorter(float(roll)),)


def _laid(
    log: LogSolid,
    timber: Timber,
    chosen: _Candidate,
    *,
    wanted_mm: float | None,
    length_mm: float,
    period_deg: float | None,
) -> Placement:
    """The chosen candidate moved toward the pith, checked and described."""
    sample = chosen.sample
    if sample is None:
        raise SolverError("a candidate without a placement was chosen")
    goal = sample.value - _TIE_MM
    if wanted_mm is not None:
        goal = min(goal, wanted_mm)
    centers = _nearest_the_pith(chosen.search, sample, goal)
    ends = (chosen.start_mm, min(chosen.start_mm + length_mm, log.length_mm))
    pair = (centers[:2], centers[2:])
    roll_deg = _shorter(math.degrees(sample.roll), period_deg or 360.0)
    size = (timber.cut_width_mm, timber.cut_thickness_mm)
    spot = clearance(
        log,
        ends,
        centers_mm=pair,
        roll_deg=roll_deg,
        corners_mm=section_corners(*size),
        wane_mm=timber.wane_mm,
    )
    if spot.clearance_mm < goal - AGREE_MM:
        raise SolverError(f"the check finds {spot.clearance_mm:.4f} mm where the solver found {goal:.4f} mm")
    half = (0.5 * size[0], 0.5 * size[1])
    inside, outside = pith_margin(log, ends, centers_mm=pair, roll_deg=roll_deg, half_mm=half)
    return Placement(
        log=log,
        timber=timber,
        status="proven",
        start_mm=ends[0],
        end_mm=ends[1],
        roll_deg=roll_deg,
        center_butt_mm=pair[0],
        center_tip_mm=pair[1],
        clearance_mm=spot.clearance_mm,
        bound_mm=chosen.bound,
        spot=spot,
        short_mm=0.0,
        pith_inside_mm=inside,
        pith_outside_mm=outside,
        best_clearance_mm=spot.clearance_mm,
        programs=chosen.programs,
    )
