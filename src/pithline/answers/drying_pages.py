"""Answers about drying as plain lines of text."""

from pithline.answers.columns import columns
from pithline.answers.words import in_a_sentence, roughly_mm, section_text
from pithline.lengths import Tape
from pithline.wood.air_drying import AirDrying
from pithline.wood.climate import MONTHS
from pithline.wood.density import weight_lost
from pithline.wood.drying import DryingForecast, DryingJob, Reach
from pithline.wood.stacking import practice, stacking
from pithline.wood.units import KG_PER_LB

__all__ = ["dry_lines", "reach_text", "rule_lines", "stack_lines", "weeks_or_months", "weight_lines"]

_DAYS_A_MONTH = 30.44


def weeks_or_months(months: float) -> str:
    """A time as a builder says it: days, weeks or months, years beyond three.

    Parameters
    ----------
    months : float
        Time [months].

    Returns
    -------
    str
        Words with the unit, to about the nearest tenth.

    Source
    ------
    definition
    """
    days = months * _DAYS_A_MONTH
    if days < 21.0:
        return f"{days:.0f} days"
    if months < 3.0:
        return f"{days / 7.0:.0f} weeks"
    return f"{months:.0f} months" if months <= 36.0 else f"{months / 12.0:.1f} years"


def reach_text(reach: Reach, *, horizon_months: int) -> str:
    """When the average falls to a target, in words.

    Parameters
    ----------
    reach : Reach
        Slow, middle and fast.
    horizon_months : int
        How far the forecast looks [months].

    Returns
    -------
    str
        One sentence without its full stop.

    Source
    ------
    definition
    """
    slow, middle, fast = reach.months
    target = f"{100 * reach.target:.4g} %"
    if reach.ever == "no":
        return f"{target}: never in this climate"
    if fast is None:
        beyond = weeks_or_months(float(horizon_months))
        why = ", and only in dry months if it is thin" if reach.ever == "dry months only" else ""
        return f"{target}: not within {beyond}{why}"
    first = weeks_or_months(fast)
    last = f"more than {weeks_or_months(float(horizon_months))}" if slow is None else weeks_or_months(slow)
    likely = "" if middle is None else f", about {weeks_or_months(middle)} in the middle"
    return f"{target} after {first} to {last}{likely}" if first != last else f"{target} after {first}"


def dry_lines(forecast: DryingForecast, *, tape: Tape) -> list[str]:
    """The answer to `dry`: when the timber is dry, month by month, and how to stack it.

    Parameters
    ----------
    forecast : DryingForecast
        The forecast.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    `drying_forecast`
    """
    job = forecast.job
    size = section_text(job.thickness_mm, job.width_mm, tape=tape)
    told = "; ".join(reach_text(reach, horizon_months=job.months) for reach in forecast.reached)
    where = f"stacked in {MONTHS[job.start_month - 1]}, {forecast.climate}"
    lines = [
        f"{size} of {in_a_sentence(forecast.species)}, {where}: {told}.",
        f"From {100 * forecast.green:.0f} % green it comes to {100 * forecast.settles_at:.0f} % in the end, "
        f"and swings with the seasons.",
        "",
    ]
    rows = [["after", "month", "average, slow to fast", "middle", "outer 1/2 in", "core"]]
    for month in _shown_months(job):
        low, middle, high = forecast.average[month, 2], forecast.average[month, 1], forecast.average[month, 0]
        rows.append(
            [
                f"{month} mo",
                MONTHS[(job.start_month - 1 + month) % 12],
                f"{100 * high:.0f} to {100 * low:.0f} %",
                f"{100 * middle:.0f} %",
                f"{100 * forecast.surface[month, 1]:.0f} %",
                f"{100 * forecast.center[month, 1]:.0f} %",
            ]
        )
    lines += columns(rows, indent="  ")
    if forecast.ends is not None:
        month = min(3, job.months)
        depth = forecast.ends.depth_mm[month, 1]
        lines += [
            "",
            f"Bare ends: after {month} months about {tape.show(float(depth))} of each end is drier than the rest, "
            f"and checks. Coat both ends within hours of the cut.",
        ]
    lines += ["", *weight_lines(forecast), *rule_lines(forecast.rule, tape=tape), "", *stack_lines(job, tape=tape), ""]
    return [*lines, *(f"Note: {note}" for note in forecast.notes)]


def _shown_months(job: DryingJob) -> list[int]:
    """Months that a page tells: close together at first, then each half year, then each year."""
    wanted = [0, 1, 2, 3, 6, 9, 12, 18, 24, 30, 36, *range(48, 241, 12)]
    return [month for month in wanted if month < job.months] + [job.months]


def weight_lines(forecast: DryingForecast) -> list[str]:
    """What the timber weighs when it is stacked, and how much of that it loses.

    Parameters
    ----------
    forecast : DryingForecast
        The forecast.

    Returns
    -------
    list of str
        One line.

    Source
    ------
    `weight_lost`
    """
    loses = weight_lost(forecast.green, max(forecast.settles_at, 0.0))
    if loses <= 0.0:
        return []
    return [f"From green to {100 * forecast.settles_at:.0f} % it loses {100 * loses:.0f} % of its weight as water."]


def rule_lines(rule: AirDrying, *, tape: Tape) -> list[str]:
    """What the published days of 1 in stock give for this size, beside the forecast or in its place.

    Parameters
    ----------
    rule : AirDrying
        Least and most days to 20 %.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    `air_drying`
    """
    recalled = ", from memory" if rule.published.status == "memory" else ""
    low, high = (days / _DAYS_A_MONTH for days in rule.days)
    inch = "1 in" if tape.style == "in" else "25 mm"
    return [
        f"By the published {rule.published.low:.0f} to {rule.published.high:.0f} days of {inch} stock{recalled}, "
        f"stretched by thickness: {weeks_or_months(low)} to {weeks_or_months(high)} to 20 %. That "
        f"stretches what the air of a pile holds back as well as the wood, so it is long for timbers.",
    ]


def stack_lines(job: DryingJob, *, tape: Tape) -> list[str]:
    """How to stack the timber: stickers, what they lie on, weights on top.

    Parameters
    ----------
    job : DryingJob
        Its size.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    `stacking` and stacking.csv
    """
    stack = stacking(job.length_mm, min(job.thickness_mm, job.width_mm))
    depth, clear, pile = stack.stick_thickness, stack.foundation, practice("pile width").high
    scale, unit = (1.0, "kg") if tape.style == "mm" else (1.0 / KG_PER_LB, "lb")
    load = stack.weight.mass_kg * scale
    recalled = " (from memory)" if "memory" in (stack.spacing.status, depth.status, clear.status) else ""
    roof = "a roof over it" if job.under_cover else "and a roof over it if you can: rain wets it again"
    apart = tape.show(roughly_mm(stack.stickers.spacing_mm, tape))
    return [
        f"Stack: {stack.stickers.count} stickers {tape.show(depth.low)} to {tape.show(depth.high)} thick, "
        f"{apart} apart, one at each end, in line over bearers {tape.show(roughly_mm(clear.low, tape))} to "
        f"{tape.show(roughly_mm(clear.high, tape))} off the ground{recalled}; air under it, {roof}.",
        f"On a pile {tape.show(roughly_mm(pile, tape))} wide: {100 * round(load / 100):,} {unit} on top keeps "
        f"the upper layers flat. Strap it: a tall pile topples.",
    ]
