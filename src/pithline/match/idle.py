"""What a plan leaves: timbers without a log, logs without a timber, and why."""

from collections import Counter

from pithline.match.nearest import nearest_log, nearest_timber, needs_of
from pithline.match.plan import Idle, Needs, Plan, Unfilled
from pithline.match.pool import Pool
from pithline.patterns.names import counted

__all__ = ["idle_logs", "unfilled_timbers", "used_words"]


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


def unfilled_timbers(pool: Pool, plan: Plan, *, needs: dict[str, Needs]) -> tuple[Unfilled, ...]:
    """Timbers of the list that a plan leaves out, each with the log that comes nearest and the log that would do.

    Parameters
    ----------
    pool : Pool
        Yard, list, kit and wishes.
    plan : Plan
        The plan.
    needs : dict
        The log that would do, by timber, as far as known; added to, since all plans share it.

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
        if short > 0:
            nearest = nearest_log(item, free, kit=pool.kit, used=used)
            if item.name not in needs:
                needs[item.name] = needs_of(item, pool.yard, kit=pool.kit)
            found.append(Unfilled(item.name, short, item.is_must, nearest, needs[item.name]))
    return tuple(found)


def idle_logs(pool: Pool, plan: Plan) -> tuple[Idle, ...]:
    """Logs that a plan does not saw, and why.

    Parameters
    ----------
    pool : Pool
        Yard, list, kit and wishes, and the ways known.
    plan : Plan
        The plan.

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
        else:
            nearest = nearest_timber(log, pool.prices, kit=pool.kit)
            timber, near = nearest if nearest is not None else ("", None)
            found.append(Idle(log.tag, "no timber", timber, near))
    return tuple(found)
