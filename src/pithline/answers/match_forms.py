"""The plan of a yard as plain dictionaries: the documented JSON form."""

import math
from typing import Any

from pithline.answers.pattern_forms import pattern_form
from pithline.match import Assignment, Idle, Match, Nearest, Needs, Plan, Unfilled

__all__ = ["fault_form", "match_form"]

Form = dict[str, Any]

_NOT_HERE = ("way", "best_at", "gives_up", "notes")


def _number(value: float, digits: int = 4) -> float | None:
    """A number, None where there is none."""
    return round(float(value), digits) if math.isfinite(value) else None


def _nearest_form(nearest: Nearest | None) -> Form | None:
    """The log that comes nearest."""
    if nearest is None:
        return None
    return {
        "tag": nearest.tag,
        "lacks": nearest.lacks,
        "short_mm": _number(nearest.short_mm),
        "missing_mm": _number(nearest.missing_mm),
        "station_mm": _number(nearest.station_mm),
        "clock": _number(nearest.clock),
        "tip_mm": _number(nearest.tip_mm),
        "larger_tip_mm": _number(nearest.larger_tip_mm),
        "crown_takes_mm": _number(nearest.crown_takes_mm),
        "used_for": nearest.used_for,
        "why": nearest.why,
    }


def _needs_form(needs: Needs) -> Form:
    """The smallest log that would do."""
    return {
        "length_mm": _number(needs.length_mm),
        "tip_diameter_mm": _number(needs.tip_diameter_mm),
        "butt_diameter_mm": _number(needs.butt_diameter_mm),
        "taper_mm_m": _number(needs.taper_mm_m),
        "crown_mm": _number(needs.crown_mm),
        "species": list(needs.species),
    }


def _unfilled_form(one: Unfilled) -> Form:
    """Timbers that no log gives."""
    return {
        "name": one.name,
        "count": one.count,
        "must": one.is_must,
        "nearest": _nearest_form(one.nearest),
        "needs": None if one.needs is None else _needs_form(one.needs),
    }


def _idle_form(idle: Idle) -> Form:
    """A log that is not sawn."""
    return {
        "tag": idle.tag,
        "why": idle.why,
        "could": dict(idle.could or {}),
        "timber": idle.timber,
        "nearest": _nearest_form(idle.nearest),
    }


def _assignment_form(one: Assignment, day: int) -> Form:
    """One log and what it is sawn for."""
    pattern = {name: value for name, value in pattern_form(one.pattern, 1).items() if name not in _NOT_HERE}
    return {
        "tag": one.log.tag,
        "day": day,
        "counts": dict(one.counts),
        "spare": dict(one.spare),
        "chance": round(one.chance, 4),
        "tight": list(one.tight),
        "locked": one.is_locked,
        "as_before": one.is_as_before,
        **pattern,
    }


def _plan_form(plan: Plan) -> Form:
    """One plan."""
    return {
        "aim": plan.aim,
        "trades": plan.trades,
        "status": plan.status,
        "worth": round(plan.worth, 4),
        "bound": _number(plan.bound),
        "gap": _number(plan.gap, 6),
        "gap_base": round(plan.scale, 4),
        "money": round(plan.money, 4),
        "logs_used": [one.log.tag for one in plan.assignments],
        "log_m3": round(plan.log_mm3 / 1e9, 6),
        "sawing_minutes": round(plan.minutes, 2),
        "days": max(plan.days, default=0),
        "recovery": round(plan.recovery, 5),
        "side_board_feet": round(plan.boards_bf, 3),
        "chance": round(plan.chance, 4),
        "filled": plan.filled,
        "assignments": [_assignment_form(one, day) for one, day in zip(plan.assignments, plan.days, strict=True)],
        "unfilled": [_unfilled_form(one) for one in plan.unfilled],
        "idle": [_idle_form(idle) for idle in plan.idle],
    }


def match_form(match: Match) -> Form:
    """The answer to `match`.

    Parameters
    ----------
    match : Match
        Plans of a yard.

    Returns
    -------
    dict
        Keys as in docs/json.md.

    Source
    ------
    definition
    """
    return {
        "status": match.status,
        "why": match.why,
        "misses": [{"name": name, "nearest": _nearest_form(nearest)} for name, nearest in match.misses],
        "cancelled": match.is_cancelled,
        "gap": _number(match.plans[0].gap, 6) if match.plans else None,
        "ways": match.ways,
        "any_bound": _number(match.any_bound),
        "costs": {
            name: {"worth": round(cost.worth, 4), "musts": cost.musts} for name, cost in match.lock_costs.items()
        },
        "notes": list(match.notes),
        "plans": [_plan_form(plan) for plan in match.plans],
    }


def fault_form(status: str, why: str) -> Form:
    """The answer to `match` where there is none.

    Parameters
    ----------
    status : str
        "badly posed" or "failed".
    why : str
        What is wrong.

    Returns
    -------
    dict
        The same keys, no plans.

    Source
    ------
    definition
    """
    empty: Form = {
        "misses": [],
        "cancelled": False,
        "gap": None,
        "ways": 0,
        "any_bound": None,
        "costs": {},
        "notes": [],
        "plans": [],
    }
    return {"status": status, "why": why, **empty}
