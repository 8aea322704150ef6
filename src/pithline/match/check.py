"""Checks a plan with plain counting, knowing nothing of how it was found."""

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np

from pithline.logs.solid import LogSolid
from pithline.match.plan import Assignment, Match, Plan
from pithline.patterns.check import pattern_faults
from pithline.patterns.wanted import list_for

__all__ = ["plan_faults"]

_SIZE_MM = 1e-3
_SHORT_MM = 0.5
"""A timber may be this much shorter than asked, where the log ends."""

_MONEY = 1e-6
_TURN_DEG = 1e-6


def _rates(match: Match) -> dict[str, float]:
    """What a board foot of each timber and board of the list is worth."""
    rates = {item.name: item.value_bf for item in match.prices.timbers}
    return rates | {board.name: board.value_bf for board in match.prices.boards}


def _size_faults(one: Assignment, match: Match) -> Iterator[str]:
    """Timbers that are not cut to the size the list asks of the log's species."""
    asked = {item.name: item.timber for item in list_for(one.log, match.prices, own=match.kit.species).timbers}
    for piece in one.pattern.timbers:
        timber = asked.get(piece.name)
        if timber is None:
            yield f"{one.log.tag}: {piece.name} may not come from {one.log.species}"
            continue
        sizes = sorted((piece.thickness_mm, piece.width_mm)), sorted((timber.cut_thickness_mm, timber.cut_width_mm))
        long = timber.length_mm if timber.length_mm is not None else piece.length_mm
        is_long = -_SHORT_MM - _SIZE_MM <= piece.length_mm - long <= _SIZE_MM
        if not is_long or any(abs(own - listed) > _SIZE_MM for own, listed in zip(*sizes, strict=True)):
            yield f"{one.log.tag}: {piece.name} is not cut to the size of the list"


def _is_same(own: LogSolid, log: LogSolid) -> bool:
    """Whether a log is that of the yard: its species, and the same sections and pith at the same places."""
    pairs = [
        (own.z_mm, log.z_mm),
        (own.center_mm, log.center_mm),
        (own.shape_mm, log.shape_mm),
        (own.pith_mm, log.pith_mm),
    ]
    return own is log or (own.species == log.species and all(np.array_equal(a, b) for a, b in pairs))


def _log_faults(one: Assignment, match: Match) -> Iterator[str]:
    """What is wrong with one log of a plan."""
    tag, wishes = one.log.tag, match.wishes
    own = next((log for log in match.yard if log.tag == tag), None)
    if own is None:
        yield f"{tag} is not in the yard"
        return
    if not _is_same(own, one.log):
        yield f"{tag} is not the log of the yard"
    if wishes.held(tag):
        yield f"{tag} is {wishes.held(tag)} and sawn"
    only = wishes.reserved.get(tag)
    numbered = {item.name for item in match.prices.timbers if item.count is not None}
    if only is not None and any(piece.name in numbered - {only} for piece in one.pattern.timbers):
        yield f"{tag} is reserved for {only} and gives other timbers"
    turn = wishes.turns_deg.get(tag)
    for part in one.pattern.parts if turn is not None else ():
        if abs((part.roll_deg - (turn or 0.0) + 90.0) % 180.0 - 90.0) > _TURN_DEG:
            yield f"{tag} is turned by {part.roll_deg:g} degrees, not {turn:g}"
    strange = {piece.name for piece in one.pattern.pieces} - set(_rates(match))
    if strange:
        yield from (f"{tag}: {name} is not of the list" for name in sorted(strange))
    else:
        listed = list_for(one.log, match.prices, own=match.kit.species)
        yield from (f"{tag}: {fault}" for fault in pattern_faults(one.pattern, listed))
        yield from _size_faults(one, match)
    had = Counter(piece.name for piece in one.pattern.timbers if piece.name in numbered)
    # A count under zero would drop out of a sum of counters without a word.
    told = [*one.counts.values(), *one.spare.values()]
    if min(told, default=0) < 0 or had != Counter(one.counts) + Counter(one.spare):
        yield f"{tag}: its counts are not those of its pieces"
    if not 0.0 <= one.chance <= 1.0:
        yield f"{tag}: chance {one.chance:g}"


def _list_faults(plan: Plan, match: Match) -> Iterator[str]:
    """Timbers that are counted wrong, or dropped without a word."""
    unfilled = {one.name: one for one in plan.unfilled}
    if len(unfilled) != len(plan.unfilled):
        yield "a timber is told twice as missing"
    numbered = {item.name for item in match.prices.timbers if item.count is not None}
    if set(unfilled) - numbered or any(one.count < 1 for one in plan.unfilled):
        yield "a timber is told as missing that nobody wants"
    filled = plan.filled
    spare = {name for one in plan.assignments for name, count in one.spare.items() if count > 0}
    for item in match.prices.timbers:
        if item.count is None:
            continue
        done = sum(counts.get(item.name, 0) for counts in match.wishes.sawn.values())
        wanted, had = max(item.count - done, 0), filled.get(item.name, 0)
        missing = unfilled[item.name].count if item.name in unfilled else 0
        if had + missing != wanted:
            yield f"{item.name}: {had} filled and {missing} missing of {wanted} wanted"
        if missing > 0 and item.name in spare:
            yield f"{item.name}: told as spare and as missing"
        if item.name in unfilled and unfilled[item.name].is_must != item.is_must:
            yield f"{item.name}: must or nice is told wrong"


def _wish_faults(plan: Plan, match: Match) -> Iterator[str]:
    """Locks that are not kept, logs used twice, logs told nowhere."""
    tags = Counter(one.log.tag for one in plan.assignments)
    yield from (f"{tag} is sawn {count} times" for tag, count in tags.items() if count > 1)
    idle = Counter(one.tag for one in plan.idle)
    if set(idle) | set(tags) != {log.tag for log in match.yard}:
        yield "not every log is told of"
    yield from (f"{tag} is sawn and told as left over" for tag in tags if tag in idle)
    yield from (f"{tag} is told as left over {count} times" for tag, count in idle.items() if count > 1)
    for lock in match.wishes.locks:
        had = sum(
            piece.name == lock.timber
            for one in plan.assignments
            if one.log.tag == lock.tag
            for piece in one.pattern.timbers
        )
        if had < match.wishes.locked(lock.tag)[lock.timber]:
            yield f"the lock {lock.timber}={lock.tag} is not kept"


def _money_faults(plan: Plan, match: Match) -> Iterator[str]:
    """Sums that do not come out."""
    work, rates = match.kit.work, _rates(match)
    numbered = {item.name for item in match.prices.timbers if item.count is not None}
    total = 0.0
    for one in plan.assignments:
        left = Counter(one.counts)
        for piece in one.pattern.pieces:
            if piece.kind == "timber" and piece.name in numbered:
                if left[piece.name] <= 0:
                    continue
                left[piece.name] -= 1
            total += rates.get(piece.name, 0.0) * piece.bf
        total -= work.cost_an_hour * (one.pattern.minutes + work.log_min) / 60.0
    # A numbered timber as long as its log counts in a plan at the yard's middle length: no sum of pieces comes to it.
    is_even = all(item.timber.length_mm is not None for item in match.prices.timbers if item.count is not None)
    if is_even and not math.isclose(total, plan.money, rel_tol=_MONEY, abs_tol=_MONEY):
        yield f"money: {plan.money:.4f} is told, {total:.4f} comes out"
    # Said this way round so that no number at all is a fault too.
    if not plan.bound >= plan.worth - _MONEY * max(abs(plan.worth), 1.0):
        yield f"bound: {plan.bound:.4f} lies under the plan's worth, {plan.worth:.4f}"
    gap = max(plan.bound - plan.worth, 0.0) / plan.scale if plan.scale > 0.0 else 0.0
    if not math.isclose(gap, plan.gap, rel_tol=_MONEY, abs_tol=1e-9):
        yield f"gap: {plan.gap:.6f} is told, {gap:.6f} comes out"


def plan_faults(plan: Plan, match: Match) -> tuple[str, ...]:
    """What is wrong with a plan, found without any solver.

    Parameters
    ----------
    plan : Plan
        The plan.
    match : Match
        The answer it belongs to: yard, list, kit and wishes.

    Returns
    -------
    tuple of str
        One sentence each; empty where each log is used once and as decided, every
        pattern lies in its wood, every timber is counted, and the sums come out.

    Source
    ------
    definition
    """
    faults = [fault for one in plan.assignments for fault in _log_faults(one, match)]
    faults += [*_wish_faults(plan, match), *_list_faults(plan, match), *_money_faults(plan, match)]
    if not 0.0 <= plan.chance <= 1.0:
        faults.append(f"chance: {plan.chance:g}")
    is_counted = len(plan.days) == len(plan.assignments) and min(plan.days, default=1) >= 1
    if not is_counted or list(plan.days) != sorted(plan.days):
        faults.append("days: not one for each log, in order")
    return tuple(faults)
