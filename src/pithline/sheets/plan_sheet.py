"""The plan of a yard as a sheet to pin up: which log gives which timbers, in the order of work."""

from pithline.answers.match_pages import cost_words, gives_text, plan_notes, sums_text
from pithline.answers.match_words import chance_text, idle_text, nearest_text, needs_text
from pithline.answers.pattern_words import counted, hours_text
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.match import Assignment, Match, Plan
from pithline.sheets.card import PAGE_MM, PaperName
from pithline.sheets.plan_log import log_picture, picture_scale
from pithline.sheets.typeset import compile_pdf

__all__ = ["plan_sheet_pdf"]

_FOOTER = (
    "From the measures, the list and the kit given; blind to rot, metal and tension in the wood. "
    "Measure each log again before it is sawn."
)

_CAUTIONS = (
    "A chainsaw mill can maim, and a log that rolls can kill.",
    "Block every log, keep everyone out of the line of the chain and off the slope below, guard legs, eyes and ears.",
    "Local rules and trained practice come before this plan.",
)

_LEGEND = (
    "Pictures: the butt end turned for the first pass, all to one scale; thick lines are timbers, thin ones boards. "
    "Tick a log when it is sawn, write what came out, and plan the rest again. "
    "Chance: that all timbers of the log come out with no more wane than allowed."
)

_OTHERS_HEAD = ("plan", "logs", "timbers", "sawing", "side lumber", "against the first")


def _mark(one: Assignment) -> str:
    """What sets a log apart."""
    marks = [f"Tight: {', '.join(one.tight)}."] if one.tight else []
    marks += ["Locked."] if one.is_locked else []
    marks += ["As in the plan before."] if one.is_as_before else []
    return " ".join(marks)


def _rows(plan: Plan, tape: Tape) -> list[dict[str, object]]:
    """The logs in the order of work."""
    rows: list[dict[str, object]] = []
    last = 0
    for number, (one, day) in enumerate(zip(plan.assignments, plan.days, strict=True)):
        log = one.log
        rows.append(
            {
                "key": f"log{number}",
                "begins": day != last,
                "day": str(day),
                "tag": log.tag,
                "log": f"{log.species}, {tape.show_long(log.length_mm, 'down')}, tip {tape.show(log.diameter_mm(-1))}",
                "gives": gives_text(one),
                "mark": _mark(one),
                "time": hours_text(one.pattern.minutes),
                "chance": f"chance {chance_text(one.chance)}",
            }
        )
        last = day
    return rows


def _missing(plan: Plan, tape: Tape) -> list[dict[str, str]]:
    """Timbers without a log."""
    return [
        {
            "timber": counted(one.count, one.name) + ("" if one.is_must else " (can be done without)"),
            "nearest": "not looked into" if one.nearest is None else nearest_text(one.nearest, tape=tape),
            "needs": "not looked into" if one.needs is None else needs_text(one.needs, tape=tape),
        }
        for one in plan.unfilled
    ]


def _others(match: Match, number: int) -> list[list[str]]:
    """The plans that are not shown."""
    return [
        [
            f"{k}: {plan.aim}",
            str(len(plan.assignments)),
            str(sum(plan.filled.values())),
            hours_text(plan.minutes),
            f"{plan.boards_bf:.0f} bf",
            plan.trades or "the first",
        ]
        for k, plan in enumerate(match.plans, 1)
        if k != number
    ]


def _headline(plan: Plan) -> str:
    """The answer in one line."""
    must = [one for one in plan.unfilled if one.is_must]
    if must:
        named = ", ".join(counted(one.count, one.name) for one in must)
        return f"Still without a log: {named}."
    nice = sum(one.count for one in plan.unfilled)
    logs = counted(len(plan.assignments), "log")
    words = f"Every timber the building needs has a log: {logs}, {hours_text(plan.minutes)} of sawing."
    return words + (
        f" {counted(nice, 'timber')} that can be done without {'has' if nice == 1 else 'have'} none." if nice else ""
    )


def plan_sheet_pdf(match: Match, number: int = 1, *, tape: Tape, paper: PaperName = "letter") -> bytes:
    """Return the sheet of a plan.

    Parameters
    ----------
    match : Match
        The plans of a yard.
    number : int
        Which plan, from 1.
    tape : Tape
        How lengths are shown.
    paper : {'letter', 'a4'}
        Size of the paper.

    Returns
    -------
    bytes
        The PDF; the same for the same input.

    Raises
    ------
    SheetError
        There is no such plan, or the paper is unknown.
    """
    if not 1 <= number <= len(match.plans):
        raise SheetError(f"there is no plan {number} to print a sheet of.")
    if paper not in PAGE_MM:
        raise SheetError(f"paper {paper!r}: choose letter or a4.")
    plan = match.plans[number - 1]
    scale = picture_scale(match)
    drawings = {f"log{k}": log_picture(one, scale).to_svg() for k, one in enumerate(plan.assignments)}
    data: dict[str, object] = {
        "paper": paper,
        "tag": "Plan",
        "title": f"{len(match.yard)} logs, {plan.aim}" + (", stopped early" if plan.status == "stopped" else ""),
        "footer": _FOOTER,
        "headline": _headline(plan),
        "sums": list(sums_text(match, plan)),
        "cautions": list(_CAUTIONS),
        "rows": _rows(plan, tape),
        "legend": _LEGEND,
        "missing": _missing(plan, tape),
        "idle": [idle_text(idle, tape=tape) for idle in plan.idle],
        "others_head": list(_OTHERS_HEAD),
        "others": _others(match, number),
        "costs": cost_words(match),
        "notes": plan_notes(match, plan),
    }
    return compile_pdf("plan_sheet.typ", data, drawings=drawings)
