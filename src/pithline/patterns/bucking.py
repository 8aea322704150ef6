"""Where a log may be cut into parts that are sawn by themselves."""

from collections.abc import Iterator, Sequence

from pithline.patterns.blocks import LONG_ENOUGH_MM
from pithline.patterns.task import Task

__all__ = ["Plan", "plans_of", "shifted"]

Plan = tuple[tuple[float, float], ...]
"""Start and end of each part, from butt to tip [mm]."""

_MOST_PARTS = 3

SLIVER_MM = 25.4
"""What is left of a log beyond its parts and is no longer than this is not cut off first."""


def _lengths(task: Task) -> list[float]:
    """Lengths that timbers of the list ask for and the log has, the longest first [mm]."""
    log_mm = task.log.length_mm
    asked = {item.timber.length_mm for item in task.prices.timbers}
    return sorted(
        {min(long, log_mm) for long in asked if long is not None and long <= log_mm + LONG_ENOUGH_MM}, reverse=True
    )


def _sequences(lengths: Sequence[float], room_mm: float, kerf_mm: float, most: int) -> Iterator[tuple[float, ...]]:
    """Lengths that follow each other: after each the longest that still fit, and those half as many times."""
    for first in lengths:
        if first > room_mm + LONG_ENOUGH_MM:
            continue
        yield (first,)
        if most == 1:
            continue
        rest = room_mm - first - kerf_mm
        fitting = [long for long in lengths if long <= rest + LONG_ENOUGH_MM]
        for second in fitting[:2]:
            for more in _sequences([second], rest, kerf_mm, 1):
                yield (first, *more)
                if most > 2:
                    left = rest - second - kerf_mm
                    third = next((long for long in lengths if long <= left + LONG_ENOUGH_MM), None)
                    if third is not None:
                        yield (first, second, third)


def plans_of(task: Task) -> tuple[Plan, ...]:
    """Ways to cut a log into parts.

    Parameters
    ----------
    task : Task
        Log, list and kit.

    Returns
    -------
    tuple of Plan
        The whole log where boards or timbers of its own length are wanted;
        up to three parts of the list's lengths, from the butt on.

    Source
    ------
    common practice
    """
    log_mm, kerf = task.log.length_mm, task.kit.saw.kerf_mm
    found: dict[tuple[tuple[int, int], ...], Plan] = {}

    def add(plan: Plan) -> None:
        found.setdefault(tuple((round(start / 25.0), round(end / 25.0)) for start, end in plan), plan)

    whole = any(item.timber.length_mm is None for item in task.prices.timbers)
    if whole or any(board.least_length_mm <= log_mm for board in task.boards):
        add(((0.0, log_mm),))
    for sequence in _sequences(_lengths(task), log_mm, kerf, _MOST_PARTS):
        add(_laid(sequence, 0.0, task))
    return tuple(found.values())


def _laid(sequence: Sequence[float], from_mm: float, task: Task) -> Plan:
    """Parts of these lengths one behind the other, a kerf between."""
    log_mm, at, plan = task.log.length_mm, from_mm, []
    for long in sequence:
        end = at + long
        plan.append((at, log_mm if log_mm - end < SLIVER_MM else end))
        at += long + task.kit.saw.kerf_mm
    return tuple(plan)


def shifted(plan: Plan, task: Task) -> tuple[Plan, ...]:
    """The same parts elsewhere along the log.

    Parameters
    ----------
    plan : Plan
        Parts from the butt.
    task : Task
        The log and the kit.

    Returns
    -------
    tuple of Plan
        A single part at the tip and midway; several in the opposite order,
        and moved to the tip.

    Source
    ------
    definition
    """
    lengths = [end - start for start, end in plan]
    spare = task.log.length_mm - sum(lengths) - task.kit.saw.kerf_mm * (len(plan) - 1)
    found = []
    if spare > SLIVER_MM:
        found.append(_laid(lengths, spare, task))
        if len(plan) == 1:
            found.append(_laid(lengths, 0.5 * spare, task))
    if len(plan) > 1:
        found.append(_laid(lengths[::-1], 0.0, task))
    return tuple(other for other in found if other != plan)
