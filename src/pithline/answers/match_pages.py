"""The plan of a yard as plain lines of text, for a terminal."""

import math
from collections import Counter

from pithline.answers.columns import columns
from pithline.answers.match_words import chance_text, idle_text, nearest_text, needs_text, none_text, status_text
from pithline.answers.notes import note_lines
from pithline.answers.pattern_words import counted, hours_text, pattern_notes
from pithline.lengths import Tape
from pithline.match import Assignment, Cost, Match, Plan

__all__ = ["cost_words", "gives_text", "match_lines", "plan_notes", "sums_text"]

_NO_MONEY = 0.5
"""Less than this is told as nothing."""

_CAUTIONS = (
    "A chainsaw mill can maim, and a log that rolls can kill: block it, keep everyone out of the line of the chain and",
    "off the slope below, guard legs, eyes and ears. Local rules and trained practice come before this plan.",
)


def gives_text(one: Assignment) -> str:
    """What a log gives by the plan.

    Parameters
    ----------
    one : Assignment
        The log and its pattern.

    Returns
    -------
    str
        Timbers that count, spare ones, boards: "2 plates, 1 joist to spare, 3 boards".

    Source
    ------
    definition
    """
    words = [counted(number, name) for name, number in one.counts.items()]
    words += [f"{counted(number, name)} to spare" for name, number in one.spare.items()]
    counting = {*one.counts, *one.spare}
    others = Counter(piece.name for piece in (*one.pattern.timbers, *one.pattern.boards) if piece.name not in counting)
    return ", ".join([*words, *(counted(number, name) for name, number in others.items())])


def _short_text(must: int, nice: int) -> str:
    """What is missing."""
    if must and nice:
        return f"Missing: {must} that must be found, {nice} that can be done without."
    if must:
        return f"Missing: {must} that must be found."
    return (
        f"All that must be found are among them; missing are {nice} that can be done without."
        if nice
        else "None is missing."
    )


def sums_text(match: Match, plan: Plan) -> tuple[str, ...]:
    """What a plan comes to.

    Parameters
    ----------
    match : Match
        The answer it belongs to.
    plan : Plan
        The plan.

    Returns
    -------
    tuple of str
        Sentences: the list, the logs, the time, how sure.

    Source
    ------
    definition
    """
    filled, short = sum(plan.filled.values()), sum(one.count for one in plan.unfilled)
    must = sum(one.count for one in plan.unfilled if one.is_must)
    free = sum(not match.wishes.held(log.tag) for log in match.yard)
    missing = _short_text(must, short - must)
    days = max(plan.days, default=0)
    logs = f"{len(plan.assignments)} of {counted(free, 'log')}"
    return (
        f"{filled} of {counted(filled + short, 'timber')} from {logs}. {missing}",
        f"{hours_text(plan.minutes)} of sawing, begun on {counted(days, 'day')}; {100.0 * plan.recovery:.0f} % of the "
        f"wood comes out, {plan.boards_bf:.0f} board feet of it side lumber. In the money of the list "
        f"{plan.money:,.0f}: all that comes out, less sawing and bringing the logs.",
        f"Chance that all timbers of this plan that must be found come out with no more wane than allowed: "
        f"{chance_text(plan.chance)}.",
        status_text(plan),
    )


def _work_rows(plan: Plan, tape: Tape) -> list[str]:
    """The logs in the order of work."""
    rows = [["day", "log", "species", "long", "tip", "saw it for", "time", "chance", ""]]
    for one, day in zip(plan.assignments, plan.days, strict=True):
        log = one.log
        marks = ["locked" if one.is_locked else "", "as before" if one.is_as_before else ""]
        marks += [f"tight: {', '.join(one.tight)}"] if one.tight else []
        rows.append(
            [
                str(day),
                log.tag,
                log.species,
                tape.show_long(log.length_mm, "down"),
                tape.show(log.diameter_mm(-1)),
                gives_text(one),
                hours_text(one.pattern.minutes),
                chance_text(one.chance),
                "; ".join(mark for mark in marks if mark),
            ]
        )
    return columns(rows)


def _missing_lines(plan: Plan, tape: Tape) -> list[str]:
    """Timbers without a log, the nearest miss, and what to look for."""
    lines = []
    for one in plan.unfilled:
        need = "" if one.is_must else ", which can be done without"
        lines.append(f"  {counted(one.count, one.name)}{need}")
        if one.nearest is not None:
            lines.append(f"    {nearest_text(one.nearest, tape=tape)}.")
        if one.needs is not None:
            lines.append(f"    In the woods: {needs_text(one.needs, tape=tape)}.")
    return ["", "Still missing:", *lines] if lines else []


def _others(match: Match, number: int) -> list[str]:
    """The other plans, a line each."""
    if len(match.plans) < 2:
        return []
    rows = [["plan", "logs", "filled", "sawing", "side lumber", "chance", "gap", "against the first"]]
    rows += [
        [
            f"{k}: {plan.aim}{' (shown)' if k == number else ''}",
            str(len(plan.assignments)),
            str(sum(plan.filled.values())),
            hours_text(plan.minutes),
            f"{plan.boards_bf:.0f} bf",
            chance_text(plan.chance),
            f"{100.0 * plan.gap:.1f} %" if math.isfinite(plan.gap) else "unknown",
            plan.trades,
        ]
        for k, plan in enumerate(match.plans, 1)
    ]
    return ["", "Plans to choose from (--plan shows another):", *columns(rows, indent="  ")]


def _cost_text(cost: Cost) -> str:
    """What a decision costs."""
    money = f"about {abs(cost.worth):,.0f}"
    if cost.musts > 0:
        more = "" if abs(cost.worth) < _NO_MONEY else f", and {money} {'more' if cost.worth > 0.0 else 'less'}"
        return f"{counted(cost.musts, 'timber')} that must be found{more}"
    return "nothing" if cost.worth < _NO_MONEY else money


def cost_words(match: Match) -> list[str]:
    """What each thing the user decided costs, in the money of the list.

    Parameters
    ----------
    match : Match
        The answer.

    Returns
    -------
    list of str
        "lock tie=A03: about 40"; empty where nothing was decided.

    Source
    ------
    definition
    """
    return [f"{name}: {_cost_text(cost)}" for name, cost in match.lock_costs.items()]


def plan_notes(match: Match, plan: Plan) -> list[str]:
    """What belongs beside a plan.

    Parameters
    ----------
    match : Match
        The answer.
    plan : Plan
        One of its plans.

    Returns
    -------
    list of str
        Notes of list and kit, each once; what nobody measured is named.

    Source
    ------
    definition
    """
    notes = list(match.notes)
    for one in plan.assignments:
        notes += [note for note in pattern_notes(one.pattern) if note not in one.log.notes]
    return list(dict.fromkeys(notes))


def match_lines(match: Match, number: int = 1, *, tape: Tape) -> list[str]:
    """The answer to `match`: one plan in full, the others in a line each.

    Parameters
    ----------
    match : Match
        Plans of a yard.
    number : int
        Which plan, from 1.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    definition
    """
    if not match.plans:
        return [none_text(match, tape=tape)]
    plan = match.plans[number - 1]
    lines = [*sums_text(match, plan)]
    if match.is_cancelled:
        lines.insert(0, "Stopped by hand: this is the best plan so far, not the best there is.")
    if plan.assignments:
        lines += ["", "Order of work:", *_work_rows(plan, tape)]
    lines += _missing_lines(plan, tape)
    if plan.idle:
        lines += ["", "Logs left standing by:", *(f"  {idle_text(idle, tape=tape)}" for idle in plan.idle)]
    lines += [*_others(match, number)]
    if match.lock_costs:
        lines += ["", "What your decisions cost, in the money of the list:"]
        lines += [f"  {words}" for words in cost_words(match)]
    return [*lines, *note_lines(plan_notes(match, plan)), "", *_CAUTIONS]
