"""Distinct good plans: each better than the first at something, and what it trades."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from pithline.match.plan import Plan
from pithline.match.wishes import Weights

__all__ = ["AIMS", "PlanAim", "distinct"]

_ALIKE = 0.02
"""Plans alike within this share are one."""

_MOST = 5


@dataclass(frozen=True)
class PlanAim:
    """What a plan is best at: `name`, and by how much the user's weights are multiplied."""

    name: str
    logs: float = 1.0
    volume: float = 0.0
    hours: float = 1.0
    boards: float = 1.0

    def weights(self, asked: Weights) -> Weights:
        """The user's weights, leaned toward the aim.

        Parameters
        ----------
        asked : Weights
            The user's.

        Returns
        -------
        Weights
            No weight beyond what is taken.

        Source
        ------
        definition
        """
        return Weights(
            logs=min(asked.logs * self.logs, 100.0),
            volume=min(asked.volume + self.volume, 100.0),
            hours=min(asked.hours * self.hours, 100.0),
            boards=min(asked.boards * self.boards, 100.0),
            nice=asked.nice,
        )


AIMS = (
    PlanAim("fewest logs", logs=6.0),
    PlanAim("least log volume", logs=0.2, volume=6.0),
    PlanAim("least sawing", hours=4.0, boards=0.25),
    PlanAim("most side lumber", boards=2.0),
)
"""What the plans beside the first are best at."""


_BEST_AT: dict[str, Callable[[Plan], float]] = {
    "fewest logs": lambda plan: len(plan.assignments),
    "least log volume": lambda plan: plan.log_mm3,
    "least sawing": lambda plan: plan.minutes,
    "most side lumber": lambda plan: -plan.boards_bf,
}
"""What must be less than in the first plan."""


def _figures(plan: Plan) -> tuple[float, ...]:
    """What plans are compared by."""
    missing = sum(one.count for one in plan.unfilled)
    filled = sum(plan.filled.values())
    return (len(plan.assignments), plan.log_mm3, plan.minutes, plan.boards_bf, filled - missing)


def _is_alike(one: Plan, other: Plan) -> bool:
    """Whether two plans come to about the same."""
    pairs = zip(_figures(one), _figures(other), strict=True)
    return one.filled == other.filled and all(abs(a - b) <= _ALIKE * max(abs(a), abs(b)) for a, b in pairs)


def _trades(plan: Plan, first: Plan) -> str:
    """What a plan gives and takes against the first."""
    words = []
    logs = len(plan.assignments) - len(first.assignments)
    if logs:
        words.append(f"{abs(logs)} {'log' if abs(logs) == 1 else 'logs'} {'more' if logs > 0 else 'fewer'}")
    wood = 100.0 * (plan.log_mm3 / first.log_mm3 - 1.0) if first.log_mm3 else 0.0
    if abs(wood) >= 1.0:
        words.append(f"{abs(wood):.0f} % {'more' if wood > 0.0 else 'less'} log volume")
    hours = (plan.minutes - first.minutes) / 60.0
    if abs(hours) >= 0.25:
        words.append(f"{abs(hours):.1f} h {'more' if hours > 0.0 else 'less'} sawing")
    boards = plan.boards_bf - first.boards_bf
    if abs(boards) >= 1.0:
        words.append(f"{abs(boards):.0f} board feet {'more' if boards > 0.0 else 'less'} side lumber")
    timbers = sum(plan.filled.values()) - sum(first.filled.values())
    if timbers:
        words.append(
            f"{abs(timbers)} {'timber' if abs(timbers) == 1 else 'timbers'} {'more' if timbers > 0 else 'fewer'}"
        )
    return ", ".join(words)


def distinct(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """Plans that differ, the first one first.

    Parameters
    ----------
    plans : sequence of Plan
        The one as weighed, then those of other aims.

    Returns
    -------
    tuple of Plan
        Up to five, told what each trades against the first.

    Source
    ------
    definition: plans alike within 2 % in logs, volume, time and side lumber are one
    """
    kept: list[Plan] = []
    for plan in plans:
        # A plan that is not better at what it is named for is not shown.
        if kept and plan.aim in _BEST_AT and not _BEST_AT[plan.aim](plan) < _BEST_AT[plan.aim](kept[0]):
            continue
        if not any(_is_alike(plan, other) for other in kept):
            kept.append(plan)
    return tuple(plan if plan is kept[0] else replace(plan, trades=_trades(plan, kept[0])) for plan in kept[:_MOST])
