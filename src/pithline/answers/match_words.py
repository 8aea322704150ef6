"""Words about the plan of a yard that pages, sheets and workbook share."""

import math

from pithline.answers.words import clock_text
from pithline.lengths import Tape
from pithline.match import Idle, Match, Nearest, Needs, Plan
from pithline.patterns.names import counted

__all__ = ["chance_text", "idle_text", "nearest_text", "needs_text", "none_text", "status_text"]

_END_MM = 1.0
_LEAST_TOLD_MM = 1.0
_BARE_MM = 0.05


def chance_text(share: float) -> str:
    """A chance in words.

    Parameters
    ----------
    share : float
        0 to 1.

    Returns
    -------
    str
        In percent, rounded down; never all or nothing: "over 99 %", "under 1 %".

    Source
    ------
    definition
    """
    percent = math.floor(100.0 * share + 1e-9)
    if percent >= 99:
        return "over 99 %"
    return f"{percent} %" if percent >= 1 else "under 1 %"


def _spot_text(nearest: Nearest, tape: Tape) -> str:
    """Where the wood is missing."""
    at = clock_text(nearest.clock)
    if nearest.station_mm <= _END_MM:
        return f"at {at} of the butt"
    return f"at {at}, {tape.show_long(nearest.station_mm)} from the butt"


def _lack_text(nearest: Nearest, tape: Tape) -> str:
    """What a log lacks."""
    if nearest.lacks == "length":
        return f"too short by {tape.show_long(nearest.short_mm, 'up')}"
    if nearest.lacks == "heart":
        return "there is no place in it that keeps the heart where it must be"
    if nearest.lacks == "species":
        return "no log of the yard is of a species that will do" + (
            f"; {nearest.why.rstrip('.')}" if nearest.why else ""
        )
    if nearest.lacks == "kit":
        return f"there is wood enough, but {nearest.why[:1].lower()}{nearest.why[1:].rstrip('.')}"
    missing = max(nearest.missing_mm, _BARE_MM)
    words = f"{tape.show(missing, 'up')} of wood missing {_spot_text(nearest, tape)}; "
    words += f"a tip of {tape.show(nearest.larger_tip_mm, 'up')} would do, it has {tape.show(nearest.tip_mm, 'down')}"
    if nearest.crown_takes_mm >= _LEAST_TOLD_MM:
        words += f"; its crown takes {tape.show(nearest.crown_takes_mm)}"
    return words


def nearest_text(nearest: Nearest, *, tape: Tape) -> str:
    """The log that comes nearest to a timber, and what it lacks.

    Parameters
    ----------
    nearest : Nearest
        The nearest miss.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        Words without a full stop; missing wood is rounded up.

    Source
    ------
    definition
    """
    if nearest.lacks == "species":
        return _lack_text(nearest, tape)
    sawn = f"it is sawn for {nearest.used_for}" if nearest.used_for else ""
    if nearest.lacks == "nothing":
        why = sawn or "that log costs more than it brings, or is kept for other timbers"
        return f"{nearest.tag} would hold it, but {why}"
    return f"{nearest.tag} comes nearest: {_lack_text(nearest, tape)}" + (f"; {sawn}" if sawn else "")


def needs_text(needs: Needs, *, tape: Tape) -> str:
    """The smallest log that would do, as it is looked for in the woods.

    Parameters
    ----------
    needs : Needs
        Its measures.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        Words without a full stop; all sizes rounded up.

    Source
    ------
    definition
    """
    kind = " or ".join(needs.species)
    if not math.isfinite(needs.tip_diameter_mm):
        return f"no log with this yard's taper and crown holds it, {tape.show_long(needs.length_mm, 'up')} long"
    words = f"{kind + ', ' if kind else ''}{tape.show_long(needs.length_mm, 'up')} long, "
    words += f"{tape.show(needs.tip_diameter_mm, 'up')} inside bark at the tip"
    words += f" and {tape.show(needs.butt_diameter_mm, 'up')} at the butt"
    if needs.crown_mm >= _LEAST_TOLD_MM:
        words += f", with no more than {tape.show(needs.crown_mm, 'down')} of crown"
    return words


def idle_text(idle: Idle, *, tape: Tape) -> str:
    """A log that is not sawn, and why.

    Parameters
    ----------
    idle : Idle
        The log.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        "A10: not needed; it could give 2 braces".

    Source
    ------
    definition
    """
    could = ", ".join(counted(number, name) for name, number in (idle.could or {}).items())
    if idle.why == "no timber":
        if idle.nearest is None:
            return f"{idle.tag}: no timber of the list may be of its species"
        if idle.nearest.lacks == "nothing":
            return f"{idle.tag}: holds a {idle.timber}, but that costs more than it brings"
        return f"{idle.tag}: no timber; nearest is the {idle.timber}, {_lack_text(idle.nearest, tape)}"
    if not could:
        return f"{idle.tag}: {idle.why}"
    if idle.why == "not worth it":
        return f"{idle.tag}: not worth its sawing; at most {could}"
    return f"{idle.tag}: {idle.why}" + ("" if idle.why == "sawn already" else f"; it could give at most {could}")


def status_text(plan: Plan) -> str:
    """How sure it is that there is no better plan.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    str
        One sentence.

    Source
    ------
    definition
    """
    if not math.isfinite(plan.gap):
        return "Stopped early: how much better a plan there is, is not known."
    percent = math.ceil(1000.0 * plan.gap - 1e-6) / 10.0
    better = f"a better plan would gain at most {percent:.1f} % of what its logs and sawing cost"
    gain = "there is no better plan" if percent <= 0.0 else better
    if plan.status == "stopped":
        return f"Stopped early: from the ways found so far {gain}."
    return f"Proven: from the ways of sawing that were found {gain}."


def none_text(match: Match, *, tape: Tape) -> str:
    """Why there is no plan.

    Parameters
    ----------
    match : Match
        An answer without plans.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        Sentences: which lock cannot be kept, and what the log lacks.

    Source
    ------
    definition
    """
    misses = [f"{near.tag}, {name}: {_lack_text(near, tape)}." for name, near in match.misses]
    return " ".join([match.why, *misses])
