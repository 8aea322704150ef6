"""Which log makes which timber: ways are found by prices, plans by an integer program."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from pithline.arrays import Floats
from pithline.errors import KitError, MatchError, SolverError
from pithline.logs.solid import LogSolid
from pithline.match.chances import SURE
from pithline.match.check import plan_faults
from pithline.match.column import Column, money_of
from pithline.match.front import AIMS, distinct
from pithline.match.idle import Reasons, idle_logs, unfilled_timbers
from pithline.match.nearest import nearest_log
from pithline.match.order import days_of, in_order
from pithline.match.plan import Assignment, Cost, Match, Nearest, Plan, Progress
from pithline.match.pool import Pool, Stage
from pithline.match.pricing import Request, find_ways, priced, weighed
from pithline.match.program import Chosen, Duals, solve_program, solve_relaxation
from pithline.match.wishes import Weights, Wishes, wish_faults
from pithline.patterns.names import counted
from pithline.patterns.pattern import Pattern
from pithline.patterns.wanted import PriceList
from pithline.setup.kit import Kit, kit_faults

__all__ = ["Effort", "Run", "Watch", "match_logs"]

Run = Callable[[Callable[[Request], tuple[Pattern, ...]], Sequence[Request]], Iterable[tuple[Pattern, ...]]]
"""Maps a function over requests, in their order; a pool of processes may do it."""

Watch = Callable[[Progress], bool]
"""Is told how far the search is; False ends it with the best plan so far."""

_SMOOTH = 0.5
"""Share of the last prices that the next ones keep, so that they do not swing."""

_GAIN = 0.003
"""Share of the costs by which a round must better the relaxed plan for another to follow."""

_TO_SPARE = 0.9
"""Share of the gap that is asked for: the relaxed plan, which the gap is reckoned from, may cost more than the plan."""

_NO_MONEY = 0.01
"""Less than this is none."""

_NEAR = 0.15
"""A log is asked again where its best way lies within this share of its mean cost of being taken."""


@dataclass(frozen=True)
class Effort:
    """How far the search goes, the same on every machine.

    Attributes: `gap`, share of what a plan is worth by which a better one may be
    missed; `nodes` of one program; `rounds` of prices; `most_asked` logs in one,
    `most_leaned` for the plan of another aim; `hours_a_day` that a crew saws.
    """

    gap: float = 0.01
    nodes: int = 20_000
    rounds: int = 4
    most_asked: int = 36
    most_leaned: int = 12
    hours_a_day: float = 6.0


class _CancelledError(Exception):
    """The watcher ended the search."""


@dataclass(eq=False)
class _Search:
    """One search: the pool, and how it is run."""

    pool: Pool
    effort: Effort
    run: Run
    watch: Watch
    any_bound: float = math.inf
    prices: Floats | None = None
    is_ended: bool = False

    def tell(self, progress: Progress) -> None:
        """Tell how far the search is.

        Raises `_CancelledError` where it shall end.
        """
        if not self.watch(progress):
            raise _CancelledError

    def ask(self, requests: Sequence[Request], step: str) -> int:
        """Find ways by requests and take them up; how many were new."""
        pool, new = self.pool, 0
        self.tell(Progress(step, len(pool.columns), 0, len(requests), self.any_bound))
        for done, patterns in enumerate(self.run(find_ways, requests), 1):
            new += pool.add(patterns, requests[done - 1].number)
            self.tell(Progress(step, len(pool.columns), done, len(requests), self.any_bound))
        return new

    def request(self, number: int, each: Floats, counts: Floats, *, weights: Weights, **how: bool) -> Request:
        """What is asked of one log at prices, kept to what the user decided for it."""
        pool = self.pool
        log = pool.yard[number]
        only = pool.wishes.reserved.get(log.tag)
        if only is not None:
            each = np.where([name == only for name in pool.names], each, 0.0)
        turn = pool.wishes.turns_deg.get(log.tag)
        prices = priced(pool.prices, each, counts=list(counts), log=log, boards=weights.boards)
        return Request(number, log, prices, weighed(pool.kit, weights), turn, **how)


def match_logs(
    yard: Sequence[LogSolid],
    prices: PriceList,
    *,
    kit: Kit,
    wishes: Wishes | None = None,
    effort: Effort | None = None,
    drive: tuple[Run, Watch] = (map, lambda _: True),
) -> Match:
    """Which log makes which timber, so that the list is filled from few logs with little sawing.

    Parameters
    ----------
    yard : sequence of LogSolid
        The logs.
    prices : PriceList
        What is wanted, and what it is worth.
    kit : Kit
        What is at the logs, and what an hour costs.
    wishes : Wishes
        What the user decides; nothing where not given.
    effort : Effort
        How far the search goes.
    drive : (Run, Watch)
        What maps the work over logs, and what watches it.

    Returns
    -------
    Match
        Plans with bounds, what is unfilled and why; an empty plan where nothing fits.

    Raises
    ------
    KitError
        The kit is not sound.
    MatchError
        Wishes name what is not there, or contradict each other; or nothing is wanted.
    SolverError
        A solver ended without an answer, or the check refuses one.

    Source
    ------
    definition: column generation. Every plan is checked by `plan_faults`, which knows no search
    """
    wishes, effort = wishes or Wishes(), effort or Effort()
    faults = kit_faults(kit)
    if faults:
        raise KitError("\n".join(faults))
    faults = list(wish_faults(wishes, yard, prices=prices))
    if not any(item.count for item in prices.timbers):
        faults.append("list: no timber with a count of 1 or more; boards alone need no plan.")
    if faults:
        raise MatchError("\n".join(faults))
    days_of((), effort.hours_a_day)
    search = _Search(Pool(tuple(yard), prices, kit, wishes), effort, *drive)
    is_cancelled = False
    try:
        _fill(search)
    except _CancelledError:
        is_cancelled = True
    return _answer(search, is_cancelled=is_cancelled)


def _free(pool: Pool) -> list[int]:
    """Logs that may be sawn, or could be if the user had not held them back."""
    return [number for number, log in enumerate(pool.yard) if log.tag not in pool.wishes.sawn]


def _fill(search: _Search) -> None:
    """Find the ways a plan needs."""
    pool, weights = search.pool, search.pool.wishes.weights
    if not pool.wanted.any():
        return
    _seed(search)
    free, kit = _free(pool), weighed(pool.kit, weights)
    each = pool.worths.copy()
    how = {"is_safe": True, "is_full": True, "is_brief": True}
    requests = [search.request(number, each, pool.wanted, weights=weights, **how) for number in free]
    # What a decision costs is seen against the same log without it.
    requests += [
        Request(n, log, priced(pool.prices, each, counts=list(pool.wanted), log=log, boards=weights.boards), kit, **how)
        for n, log in enumerate(pool.yard)
        if n in free and (pool.wishes.reserved.get(log.tag) is not None or log.tag in pool.wishes.turns_deg)
    ]
    search.ask(requests, "ways to saw each log")
    last = -math.inf
    for turn in range(search.effort.rounds):
        stage = pool.stage(weights, pool.wishes)
        duals = solve_relaxation(stage.program)
        if duals is None or not len(stage.columns):
            # A locked log has no way yet, or nothing fits: ask all at full worth once more, errors not left for.
            new = (
                search.ask(
                    [search.request(n, each, pool.wanted, weights=weights, is_full=True) for n in free], "closer fits"
                )
                if turn == 0
                else 0
            )
            if not new:
                return
            continue
        scale = float(np.abs(stage.program.worth * duals.share).sum())
        if duals.value - last < _GAIN * scale:
            break
        last = duals.value
        each = _next_prices(pool, stage, duals, each)
        is_whole = turn == 0 and len(free) <= search.effort.most_asked
        asked = free if is_whole else _worth_asking(pool, stage, duals, each)[: search.effort.most_asked]
        step = f"ways at the plan's prices, round {turn + 1}"
        new = search.ask(
            [search.request(n, each, pool.wanted, weights=weights, is_safe=True, is_brief=True) for n in asked], step
        )
        if is_whole:
            search.prices = each
            search.any_bound = _bound_at(pool, each, asked, weights)
        if not new:
            break
    _lean(search)
    _polish(search)


def _seed(search: _Search) -> None:
    """Ways that keep the user's locks, and those of the earlier plan."""
    pool, weights = search.pool, search.pool.wishes.weights
    dear = pool.worths + 10.0 * (pool.log_cost + pool.kit.work.cost_an_hour + 1.0)
    requests = []
    tags = {log.tag: number for number, log in enumerate(pool.yard)}
    for tag in dict.fromkeys(lock.tag for lock in pool.wishes.locks):
        asked = pool.wishes.locked(tag)
        counts = np.array([asked.get(name, 0) for name in pool.names], dtype=float)
        each = np.where(counts > 0.0, dear, 0.0)
        for is_safe in (True, False):
            requests.append(search.request(tags[tag], each, counts, weights=weights, is_full=True, is_safe=is_safe))
            least = np.maximum(counts, pool.wanted)
            requests.append(
                search.request(
                    tags[tag], np.where(counts > 0.0, dear, pool.worths), least, weights=weights, is_safe=is_safe
                )
            )
    for tag, had in pool.wishes.former.items():
        if tag not in tags or tag in pool.wishes.sawn:
            continue
        counts = np.array([had.get(name, 0) for name in pool.names], dtype=float)
        each = np.where(counts > 0.0, dear, 0.0)
        requests += [search.request(tags[tag], each, counts, weights=weights, is_safe=safe) for safe in (True, False)]
    if requests:
        search.ask(requests, "ways that keep what is decided")


def _next_prices(pool: Pool, stage: Stage, duals: Duals, last: Floats) -> Floats:
    """Prices to ask for ways at: what one more timber would add, not beyond a log of its own, and not swinging."""
    costs = np.array([-pool.columns[k].pattern.cost for k in stage.columns])
    most = stage.values + 2.0 * (pool.log_cost - float(costs.mean()))
    return np.asarray(_SMOOTH * last + (1.0 - _SMOOTH) * np.minimum(duals.of_kind, most))


def _worth_asking(pool: Pool, stage: Stage, duals: Duals, each: Floats) -> list[int]:
    """Logs whose ways the plan uses, or nearly, those that promise most first."""
    program = stage.program
    reduced = program.worth + program.gives @ each - duals.of_log[program.log_of]
    reduced = np.where(duals.share > 1e-9, np.maximum(reduced, 0.0), reduced)
    best = np.full(len(pool.yard), -math.inf)
    np.maximum.at(best, program.log_of, reduced)
    near = -_NEAR * float(np.abs(program.worth).mean())
    return sorted((n for n in range(len(pool.yard)) if best[n] >= near), key=lambda n: (-best[n], n))


def _bound_at(pool: Pool, each: Floats, asked: Sequence[int], weights: Weights) -> float:
    """What no plan from any way that the search finds at these prices comes above, bonuses counted.

    Lagrange: the timbers' worth above their price, and of each log the best way at the prices.
    """
    stage = pool.stage(weights, pool.wishes)
    program = stage.program
    best = np.zeros(len(pool.yard))
    gain = program.worth + program.gives @ each
    kept = np.flatnonzero(program.is_kept)
    best[kept] = -math.inf
    np.maximum.at(best, program.log_of, gain)
    over = np.maximum(program.value - each, 0.0) * program.wanted
    return float(over.sum() + best.sum()) if len(asked) else math.inf


def _polish(search: _Search) -> None:
    """Ask the logs of a first plan for just what they give and what is missing; then any log for what still is."""
    pool, weights = search.pool, search.pool.wishes.weights
    stage, columns, had = _standing(search)
    missing = np.maximum(pool.wanted - had, 0.0)
    # What the others give more than is wanted, a log need not give.
    spare = np.maximum(had - pool.wanted, 0.0)
    each = stage.values + np.where(missing > 0.0, pool.log_cost, 0.0)
    requests = []
    for column in columns:
        counts = np.maximum(np.array(column.gives, dtype=float) - spare, 0.0) + missing
        if counts.any():
            requests.append(search.request(column.log, each, counts, weights=weights, is_safe=True))
    search.ask(requests, "just what is wanted of each log")
    stage, columns, had = _standing(search)
    missing = np.where(pool.is_must, np.maximum(pool.wanted - had, 0.0), 0.0)
    if missing.any():
        # Timbers the building needs are worth a risk: ask for closer fits, no wood left for errors,
        # and for fits whose boards do not count, should those be dearer than the timber.
        each = stage.values + np.where(missing > 0.0, 4.0 * pool.log_cost, 0.0)
        lengths = [pool.prices.timbers[kind].timber.length_mm or 0.0 for kind in np.flatnonzero(missing)]
        asked = [n for n in _free(pool) if pool.yard[n].length_mm >= min(lengths) - 1.0][: search.effort.most_asked]
        bare = replace(weights, boards=0.0)
        requests = [search.request(n, each, pool.wanted, weights=weights) for n in asked]
        requests += [search.request(n, each, pool.wanted, weights=bare, is_safe=True, is_brief=True) for n in asked]
        search.ask(requests, "closer fits for what is missing")


def _lean(search: _Search) -> None:
    """Ask for ways that suit the plans of other aims."""
    pool = search.pool
    for aim in AIMS:
        weights = aim.weights(pool.wishes.weights)
        stage = pool.stage(weights, pool.wishes)
        duals = solve_relaxation(stage.program) if len(stage.columns) else None
        if duals is None:
            return
        each = _next_prices(pool, stage, duals, duals.of_kind)
        asked = _worth_asking(pool, stage, duals, each)[: search.effort.most_leaned]
        how = {"is_safe": True, "is_brief": True}
        requests = [search.request(n, each, pool.wanted, weights=weights, **how) for n in asked]
        search.ask(requests, f"ways for the plan of {aim.name}")


def _standing(search: _Search) -> tuple[Stage, list[Column], Floats]:
    """The best plan of the ways known: its ways, and how many of each timber they give (k,)."""
    pool = search.pool
    stage = pool.stage(pool.wishes.weights, pool.wishes)
    chosen = _solve(search, stage, "first plan")
    columns = [pool.columns[stage.columns[way]] for way in chosen.ways]
    gives = np.array([column.gives for column in columns], dtype=float)
    return stage, columns, gives.reshape(-1, len(pool.wanted)).sum(axis=0)


def _solve(search: _Search, stage: Stage, step: str, start: tuple[int, ...] = ()) -> Chosen:
    """The plan of most worth from the ways known."""
    program, effort = stage.program, search.effort
    if not len(program.log_of):
        return Chosen("none" if program.is_kept.any() else "proven", (), 0.0, 0.0, 0)
    duals = solve_relaxation(program)
    if duals is None:
        return Chosen("none", (), -math.inf, -math.inf, 0)
    scale = float(np.abs(program.worth * duals.share).sum())

    def is_going(value: float, bound: float) -> bool:
        gap = (bound - value) / scale if scale > 0.0 and math.isfinite(value) and math.isfinite(bound) else math.inf
        search.is_ended |= not search.watch(Progress(step, len(search.pool.columns), bound=bound, gap=gap))
        return not search.is_ended

    return solve_program(
        program, gap=_TO_SPARE * effort.gap * scale, nodes=effort.nodes, start=start, is_going=is_going
    )


def _answer(search: _Search, *, is_cancelled: bool) -> Match:
    """Plans for each aim, checked."""
    pool, wishes = search.pool, search.pool.wishes
    if is_cancelled:
        # The best plan so far is still wanted: what is known is solved to the end of its nodes.
        search.watch = lambda _: True
        search.effort = replace(search.effort, nodes=min(search.effort.nodes, 500))
    plans: list[Plan] = []
    stage = pool.stage(wishes.weights, wishes)
    first = _solve(search, stage, "as weighed")
    if search.prices is not None:
        search.any_bound = _bound_at(pool, search.prices, range(len(pool.yard)), wishes.weights)
    match = Match(
        status="none" if first.status == "none" else "stopped" if is_cancelled else first.status,
        plans=(),
        prices=pool.prices,
        yard=pool.yard,
        kit=pool.kit,
        wishes=wishes,
        ways=len(pool.columns),
        any_bound=search.any_bound - stage.extra(first.ways),
        lock_costs={},
        is_cancelled=is_cancelled,
        notes=pool.prices.notes,
    )
    if first.status == "none":
        why, misses = _why_none(search)
        return replace(match, why=why, misses=misses)
    plans.append(_plan(search, "as weighed", (stage, first), match=match))
    if not is_cancelled:
        for aim in AIMS:
            weights = aim.weights(wishes.weights)
            other = pool.stage(weights, wishes)
            chosen = _solve(search, other, aim.name, start=first.ways)
            plans.append(_plan(search, aim.name, (other, chosen), match=match))
    shown = distinct(plans)
    costs = {} if is_cancelled or search.is_ended else _lock_costs(search, (stage, first))
    if search.is_ended:
        # Ended while plans were being made: whatever is here is told as the best so far.
        match = replace(match, status="stopped", is_cancelled=True)
        shown = tuple(replace(plan, status="stopped") for plan in shown)
    match = replace(match, lock_costs=costs)
    reasons = Reasons(is_told=not match.is_cancelled)
    done = tuple(_completed(search, plan, reasons) for plan in shown)
    for plan in done:
        faults = plan_faults(plan, match)
        if faults:
            raise SolverError(f"the check refuses a plan: {faults[0]}")
    return replace(match, plans=done)


def _plan(search: _Search, aim: str, found: tuple[Stage, Chosen], *, match: Match) -> Plan:
    """The plan that ways chosen make."""
    pool, (stage, chosen) = search.pool, found
    columns = [pool.columns[stage.columns[way]] for way in chosen.ways]
    extra = stage.extra(chosen.ways)
    worth, bound = chosen.value - extra, chosen.bound - extra
    scale = -math.fsum(stage.program.worth[list(chosen.ways)])
    assignments = in_order(_assignments(pool, columns), own=pool.kit.species)
    chance = math.prod(_must_chance(pool, column) for column in columns)
    return Plan(
        aim=aim,
        status="stopped" if match.is_cancelled else chosen.status,
        assignments=assignments,
        unfilled=(),
        idle=(),
        worth=worth,
        bound=bound,
        gap=max(bound - worth, 0.0) / scale if scale > 0.0 else 0.0,
        scale=scale,
        money=money_of(columns, pool.worths, wanted=pool.wanted, kit=pool.kit),
        chance=chance,
        days=days_of(assignments, search.effort.hours_a_day),
    )


def _assignments(pool: Pool, columns: Sequence[Column]) -> list[Assignment]:
    """What each log gives, timbers beyond what is wanted told apart."""
    left = pool.wanted.copy()
    found = []
    for column in sorted(columns, key=lambda one: one.log):
        counts: dict[str, int] = {}
        spare: dict[str, int] = {}
        for kind, given in enumerate(column.gives):
            used = int(min(given, left[kind]))
            left[kind] -= used
            if used:
                counts[pool.names[kind]] = used
            if given > used:
                spare[pool.names[kind]] = given - used
        pairs = zip(column.pattern.timbers, column.chances, strict=True)
        tight = tuple(dict.fromkeys(piece.name for piece, chance in pairs if chance.share < SURE))
        tag = pool.yard[column.log].tag
        found.append(
            Assignment(
                pattern=column.pattern,
                counts=counts,
                spare=spare,
                chance=column.chance,
                tight=tight,
                is_locked=bool(pool.wishes.locked(tag)),
                is_as_before=pool.is_as_before(column, pool.wishes.former),
            )
        )
    return found


def _must_chance(pool: Pool, column: Column) -> float:
    """That the must timbers of a log come out: that of the least sure."""
    must = {item.name for item in pool.prices.timbers if item.is_must and item.count is not None}
    pairs = zip(column.pattern.timbers, column.chances, strict=True)
    return min((chance.share for piece, chance in pairs if piece.name in must), default=1.0)


def _completed(search: _Search, plan: Plan, reasons: Reasons) -> Plan:
    """A plan with what is left unfilled, the logs left over, and why."""
    pool = search.pool
    return replace(
        plan, unfilled=unfilled_timbers(pool, plan, reasons=reasons), idle=idle_logs(pool, plan, reasons=reasons)
    )


def _lock_costs(search: _Search, found: tuple[Stage, Chosen]) -> dict[str, Cost]:
    """By how much the plan would be worth more without each thing the user decided."""
    pool, (stage, chosen) = search.pool, found
    wishes = pool.wishes
    others = {
        f"lock {lock.timber}={lock.tag}": replace(wishes, locks=tuple(one for one in wishes.locks if one is not lock))
        for lock in wishes.locks
    }
    others |= {
        f"forbid {tag}": replace(wishes, forbidden=tuple(t for t in wishes.forbidden if t != tag))
        for tag in wishes.forbidden
    }
    for tag, only in wishes.reserved.items():
        name = f"reserve {tag}" + ("" if only is None else f"={only}")
        others[name] = replace(wishes, reserved={t: o for t, o in wishes.reserved.items() if t != tag})
    for tag, turn in wishes.turns_deg.items():
        others[f"turn {tag}={turn:g}"] = replace(
            wishes, turns_deg={t: o for t, o in wishes.turns_deg.items() if t != tag}
        )
    costs = {}
    extra, musts = stage.extra(chosen.ways), _musts(pool, stage, chosen)
    for name, free in others.items():
        other = pool.stage(wishes.weights, free)
        place = {int(column): way for way, column in enumerate(other.columns)}
        start = tuple(place[int(stage.columns[way])] for way in chosen.ways)
        best = _solve(search, other, f"without {name}", start=start)
        counted = max(best.value - chosen.value, 0.0)
        # Two plans equal as weighed are no loss, however they share it out.
        worth = best.value - other.extra(best.ways) - chosen.value + extra if counted > _NO_MONEY else 0.0
        more = _musts(pool, other, best) - musts if counted > _NO_MONEY else 0
        costs[name] = Cost(worth, more, counted)
    return costs


def _musts(pool: Pool, stage: Stage, chosen: Chosen) -> int:
    """How many timbers that must be had a plan gives."""
    had = np.minimum(stage.program.gives[list(chosen.ways)].sum(axis=0), pool.wanted)
    return int(had[pool.is_must].sum())


def _why_none(search: _Search) -> tuple[str, tuple[tuple[str, Nearest], ...]]:
    """Why no plan keeps the locks: logs that have no way to give what they are locked to, and what they lack."""
    pool = search.pool
    items = {item.name: item for item in pool.prices.timbers}
    faults: list[str] = []
    misses: list[tuple[str, Nearest]] = []
    for tag in dict.fromkeys(lock.tag for lock in pool.wishes.locks):
        if any(pool.yard[one.log].tag == tag and pool.is_allowed(one, pool.wishes) for one in pool.columns):
            continue
        log = next(one for one in pool.yard if one.tag == tag)
        asked = pool.wishes.locked(tag)
        faults.append(f"{tag} does not give {', '.join(counted(count, name) for name, count in asked.items())}")
        for name in asked:
            nearest = nearest_log(items[name], [log], kit=pool.kit, used={})
            misses += [] if nearest is None or nearest.lacks == "nothing" else [(name, nearest)]
    if not faults:
        return "No plan keeps all locks.", ()
    return f"No plan keeps the locks: {'; '.join(faults)}. Drop the lock, or lock another log.", tuple(misses)
