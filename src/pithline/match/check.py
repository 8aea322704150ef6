"""Checks a plan with plain counting, knowing nothing of how it was found."""

import math
from collections import Counter
from collections.abc import Iterator

import numpy as np

from pithline.match.plan import Assignment, Match, Plan
from pithline.patterns.check import pattern_faults
from pithline.patterns.pattern import Piece
from pithline.patterns.wanted import list_for

__all__ = ["plan_faults"]

_SIZE_MM = 1e-3
_MONEY = 1e-6
_TURN_DEG = 1e-6


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
        pairs = [*zip(*sizes, strict=True), (piece.length_mm, min(long, one.log.length_mm))]
        if any(abs(own - listed) > _SIZE_MM for own, listed in pairs):
            yield f"{one.log.tag}: {piece.name} is not cut to the size of the list"


def _log_faults(one: Assignment, match: Match) -> Iterator[str]:
    """What is wrong with one log of a plan."""
    tag, wishes = one.log.tag, match.wishes
    own = next((log for log in match.yard if log.tag == tag), None)
    if own is None:
        yield f"{tag} is not in the yard"
        return
    same = [(own.z_mm, one.log.z_mm), (own.center_mm, one.log.center_mm), (own.shape_mm, one.log.shape_mm)]
    if any(a.shape != b.shape or not np.array_equal(a, b) for a, b in same):
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
    for fault in pattern_faults(one.pattern, list_for(one.log, match.prices, own=match.kit.species)):
        yield f"{tag}: {fault}"
    yield from _size_faults(one, match)
    had = Counter(piece.name for piece in one.pattern.timbers if piece.name in numbered)
    if had != Counter(one.counts) + Counter(one.spare):
        yield f"{tag}: its counts are not those of its pieces"
    if not 0.0 <= one.chance <= 1.0:
        yield f"{tag}: chance {one.chance:g}"


def _list_faults(plan: Plan, match: Match) -> Iterator[str]:
    """Timbers that are counted wrong, or dropped without a word."""
    unfilled = {one.name: one for one in plan.unfilled}
    if len(unfilled) != len(plan.unfilled):
        yield "a timber is told twice as missing"
    if set(unfilled) - {item.name for item in match.prices.timbers}:
        yield "a timber is told as missing that nobody wants"
    filled = plan.filled
    for item in match.prices.timbers:
        if item.count is None:
            continue
        done = sum(counts.get(item.name, 0) for counts in match.wishes.sawn.values())
        wanted, had = max(item.count - done, 0), filled.get(item.name, 0)
        missing = unfilled[item.name].count if item.name in unfilled else 0
        if had + missing != wanted:
            yield f"{item.name}: {had} filled and {missing} missing of {wanted} wanted"
        if item.name in unfilled and unfilled[item.name].is_must != item.is_must:
            yield f"{item.name}: must or nice is told wrong"


def _wish_faults(plan: Plan, match: Match) -> Iterator[str]:
    """Locks that are not kept, logs used twice, logs told nowhere."""
    tags = Counter(one.log.tag for one in plan.assignments)
    yield from (f"{tag} is sawn {count} times" for tag, count in tags.items() if count > 1)
    if {one.tag for one in plan.idle} | set(tags) != {log.tag for log in match.yard}:
        yield "not every log is told of"
    for lock in match.wishes.locks:
        had = sum(
            piece.name == lock.timber
            for one in plan.assignments
            if one.log.tag == lock.tag
            for piece in one.pattern.timbers
        )
        if had < match.wishes.locked(lock.tag)[lock.timber]:
            yield f"the lock {lock.timber}={lock.tag} is not kept"


def _value(piece: Piece, match: Match) -> float:
    """Worth of a piece by the list."""
    rates = {item.name: item.value_bf for item in match.prices.timbers}
    rates |= {board.name: board.value_bf for board in match.prices.boards}
    return rates[piece.name] * piece.bf


def _money_faults(plan: Plan, match: Match) -> Iterator[str]:
    """Sums that do not come out."""
    work = match.kit.work
    numbered = {item.name for item in match.prices.timbers if item.count is not None}
    total = 0.0
    for one in plan.assignments:
        left = Counter(one.counts)
        for piece in one.pattern.pieces:
            if piece.kind == "timber" and piece.name in numbered:
                if left[piece.name] <= 0:
                    continue
                left[piece.name] -= 1
            total += _value(piece, match)
        total -= work.cost_an_hour * (one.pattern.minutes + work.log_min) / 60.0
    is_even = all(item.timber.length_mm is not None for item in match.prices.timbers)
    if is_even and not math.isclose(total, plan.money, rel_tol=_MONEY, abs_tol=_MONEY):
        yield f"money: {plan.money:.4f} is told, {total:.4f} comes out"
    if plan.bound < plan.worth - _MONEY * max(abs(plan.worth), 1.0):
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
    if len(plan.days) != len(plan.assignments) or list(plan.days) != sorted(plan.days):
        faults.append("days: not one for each log, in order")
    return tuple(faults)
