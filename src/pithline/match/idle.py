"""What a plan leaves: timbers without a log, logs without a timber, and why."""

from collections import Counter
from dataclasses import dataclass, field

from pithline.match.nearest import nearest_log, nearest_timber, needs_of
from pithline.match.plan import Idle, Nearest, Needs, Plan, Unfilled
from pithline.match.pool import Pool
from pithline.patterns.names import counted

__all__ = ["Reasons", "idle_logs", "unfilled_timbers", "used_words"]


@dataclass
class Reasons:
    """What is the same for all plans of a search, worked out once.

    Attributes: `needs`, the log that would do, by timber; `nearest`, the timber
    that comes nearest, by log; `is_told`, False where the search was ended by hand and nobody waits for reasons.
    """

    needs: dict[str, Needs] = field(default_factory=dict)
    nearest: dict[str, tuple[str, Nearest] | None] = field(default_factory=dict)
    is_told: bool = True


def used_words(plan: Plan) -> dict[str, str]:
    """What a plan saws of each log.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    dict
        By tag, as in "2 plates".

    Source
    ------
    definition
    """
    return {
        one.log.tag: ", ".join(counted(number, name) for name, number in one.counts.items()) for one in plan.assignments
    }


def unfilled_timbers(pool: Pool, plan: Plan, *, reasons: Reasons) -> tuple[Unfilled, ...]:
    """Timbers of the list that a plan leaves out, each with the log that comes nearest and the log that would do.

    Parameters
    ----------
    pool : Pool
        Yard, list, kit and wishes.
    plan : Plan
        The plan.
    reasons : Reasons
        What is known already; added to.

    Returns
    -------
    tuple of Unfilled
        In the order of the list.

    Source
    ------
    definition
    """
    filled, used = plan.filled, used_words(plan)
    free = [log for log in pool.yard if not pool.wishes.held(log.tag)]
    found = []
    for item, wanted in zip(pool.prices.timbers, pool.wanted, strict=True):
        short = int(wanted) - filled.get(item.name, 0)
        if short <= 0:
            continue
        if not reasons.is_told:
            found.append(Unfilled(item.name, short, item.is_must, None, None))
            continue
        if item.name not in reasons.needs:
            reasons.needs[item.name] = needs_of(item, pool.yard, kit=pool.kit)
        nearest = nearest_log(item, free, kit=pool.kit, used=used)
        found.append(Unfilled(item.name, short, item.is_must, nearest, reasons.needs[item.name]))
    return tuple(found)


def idle_logs(pool: Pool, plan: Plan, *, reasons: Reasons) -> tuple[Idle, ...]:
    """Logs that a plan does not saw, and why.

    Parameters
    ----------
    pool : Pool
        Yard, list, kit and wishes, and the ways known.
    plan : Plan
        The plan.
    reasons : Reasons
        What is known already; added to.

    Returns
    -------
    tuple of Idle
        In the order of the yard.

    Source
    ------
    definition
    """
    used = {one.log.tag for one in plan.assignments}
    missing = {
        item.name
        for item, wanted in zip(pool.prices.timbers, pool.wanted, strict=True)
        if wanted > plan.filled.get(item.name, 0)
    }
    found = []
    for number, log in enumerate(pool.yard):
        if log.tag in used:
            continue
        held = pool.wishes.held(log.tag)
        could: Counter[str] = Counter()
        for column in pool.columns:
            if column.log == number:
                could |= Counter({name: count for name, count in zip(pool.names, column.gives, strict=True) if count})
        if held:
            found.append(Idle(log.tag, held, could=dict(could)))
        elif could:
            found.append(Idle(log.tag, "not worth it" if missing & set(could) else "not needed", could=dict(could)))
        elif not reasons.is_told:
            found.append(Idle(log.tag, "not looked at"))
        else:
            if log.tag not in reasons.nearest:
                reasons.nearest[log.tag] = nearest_timber(log, pool.prices, kit=pool.kit)
            timber, near = reasons.nearest[log.tag] or ("", None)
            found.append(Idle(log.tag, "no timber", timber, near))
    return tuple(found)
