"""The plan of a yard as a sheet to pin up: which log gives which timbers, in the order of work."""

import math

from pithline.answers.match_pages import cost_words, gives_text, plan_notes, sums_text
from pithline.answers.match_words import chance_text, idle_text, nearest_text, needs_text
from pithline.answers.pattern_words import counted, hours_text
from pithline.answers.words import roughly_mm
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.match import Assignment, Match, Needs, Plan
from pithline.match.chances import SURE
from pithline.sheets.card import PAGE_MM, PaperName
from pithline.sheets.cautions import cautions
from pithline.sheets.plan_log import part_picture, picture_scale
from pithline.sheets.typeset import compile_pdf

__all__ = ["plan_sheet_pdf"]

_FOOTER = (
    "From the measures, the list and the kit given; blind to rot, metal and tension in the wood. "
    "Measure each log again before it is sawn."
)

_ROWS_HEAD = ("sawn", "no.", "day", "butt end", "log, and what it is sawn for", "time")
_OTHERS_HEAD = ("plan", "logs", "timbers", "sawing", "side lumber", "chance", "against the first")
_NOT_LOOKED = "Not looked into."


def _cautions() -> list[str]:
    """What can maim: the words of the cards, between our first and last one."""
    told = [row.text for row in cautions() if row.id in ("dress", "chain-line")]
    return [
        "A chainsaw mill can maim, and a log that rolls can kill: block it.",
        *told,
        "Local rules and trained practice come before this plan.",
    ]


def _legend(scale: float) -> str:
    """How to read and use the rows."""
    return (
        "Species that stain or check soon come first, then long timbers and tight ones; logs sawn alike follow each "
        f"other. Ends lie as for the first pass, seen from the butt, scale 1:{1.0 / scale:.0f}: timbers dark, boards "
        "white, dashed what begins further on. Chance: that all timbers of the log come out with no more wane than "
        "allowed. When a log is sawn, tick it, write down what came out, and plan the rest again."
    )


def _notices(one: Assignment) -> list[str]:
    """What sets a log apart, beside its risk."""
    return [*(["Locked."] if one.is_locked else []), *(["As in the plan before."] if one.is_as_before else [])]


def _parts(one: Assignment, key: str, *, tape: Tape) -> list[dict[str, str]]:
    """The pictures of a log, each with about where its part begins; no words where the log is sawn in one."""
    parts = one.pattern.parts
    starts = ["from the butt", *(f"from {tape.show_long(roughly_mm(part.start_mm, tape))}" for part in parts[1:])]
    return [{"key": f"{key}-{n}", "start": starts[n] if len(parts) > 1 else ""} for n in range(len(parts))]


def _rows(plan: Plan, tape: Tape) -> list[dict[str, object]]:
    """The logs in the order of work."""
    rows: list[dict[str, object]] = []
    last = 0
    for number, (one, day) in enumerate(zip(plan.assignments, plan.days, strict=True), 1):
        log = one.log
        is_tight = one.chance < SURE
        rows.append(
            {
                "number": str(number),
                "day": str(day),
                "begins": day != last,
                "tag": log.tag,
                "species": f"{log.species}, ",
                "size": f"{tape.show_long(log.length_mm, 'down')} x {tape.show(log.diameter_mm(-1))} tip",
                "gives": gives_text(one),
                "warning": f"Tight: {', '.join(one.tight)}." if one.tight else "",
                "notices": " ".join(_notices(one)),
                "time": hours_text(one.pattern.minutes),
                "is_tight": is_tight,
                "chance": f"{'tight:' if is_tight else 'chance'} {chance_text(one.chance)}",
                "parts": _parts(one, f"log{number}", tape=tape),
            }
        )
        last = day
    return rows


def _look_for(needs: Needs | None, tape: Tape) -> str:
    """The log to look for, as a sentence."""
    if needs is None:
        return _NOT_LOOKED
    words = needs_text(needs, tape=tape)
    is_known = math.isfinite(needs.tip_diameter_mm)
    return f"In the woods: {words}." if is_known else f"{words[:1].upper()}{words[1:]}."


def _missing(plan: Plan, tape: Tape) -> list[dict[str, str]]:
    """Timbers without a log."""
    found = []
    for one in plan.unfilled:
        nearest = _NOT_LOOKED
        if one.nearest is not None:
            words = nearest_text(one.nearest, tape=tape)
            # A tag stays as it is painted on the log.
            nearest = f"{words[:1].upper()}{words[1:]}." if one.nearest.lacks == "species" else f"{words}."
        found.append(
            {
                "timber": counted(one.count, one.name),
                "need": "" if one.is_must else "can be done without",
                "nearest": nearest,
                "needs": _look_for(one.needs, tape),
            }
        )
    return found


def _others(match: Match, number: int) -> list[list[str]]:
    """The plans that are not shown."""
    return [
        [
            f"{k}: {plan.aim}",
            str(len(plan.assignments)),
            str(sum(plan.filled.values())),
            hours_text(plan.minutes),
            f"{plan.boards_bf:.0f} bf",
            chance_text(plan.chance),
            plan.trades or ("the first" if k == 1 else "about the same"),
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
    logs = counted(len(plan.assignments), "log")
    return f"Every timber the building needs has a log: {logs}, {hours_text(plan.minutes)} of sawing."


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
    scale = picture_scale(plan.assignments)
    drawings = {
        f"log{k}-{part}": part_picture(one.pattern, part, scale=scale).to_svg()
        for k, one in enumerate(plan.assignments, 1)
        for part in range(len(one.pattern.parts))
    }
    trades = [f"Against plan 1: {plan.trades}."] if plan.trades else []
    data: dict[str, object] = {
        "paper": paper,
        "tag": f"Plan {number}",
        "title": f"{plan.aim}, from a yard of {counted(len(match.yard), 'log')}"
        + (", stopped early" if plan.status == "stopped" else ""),
        "footer": _FOOTER,
        "headline": _headline(plan),
        "sums": [*trades, *sums_text(match, plan)],
        "cautions": _cautions(),
        "legend": _legend(scale),
        "rows_head": list(_ROWS_HEAD),
        "rows": _rows(plan, tape),
        "missing": _missing(plan, tape),
        "idle": [idle_text(idle, tape=tape) for idle in plan.idle],
        "others_head": list(_OTHERS_HEAD),
        "others": _others(match, number),
        "costs": cost_words(match),
        "notes": plan_notes(match, plan),
    }
    return compile_pdf("plan_sheet.typ", data, drawings=drawings)
