"""When a drying timber is dry, in the words of its picture and its sheet."""

from pithline.answers.drying_pages import weeks_or_months
from pithline.answers.words import section_text
from pithline.lengths import Tape
from pithline.wood.climate import MONTHS
from pithline.wood.drying import DryingForecast, Reach

__all__ = ["drying_answer", "reached_text"]


def reached_text(reach: Reach, *, horizon_months: int) -> str:
    """When the average of a timber is down to a target, in words, as in "after 15 to 28 months".

    Parameters
    ----------
    reach : Reach
        Slow, middle and fast, of which any may be missing.
    horizon_months : int
        How far the forecast looks [months].

    Returns
    -------
    str
        Words that follow "average at 20 %".

    Source
    ------
    definition
    """
    known = [months for months in reach.months if months is not None]
    if not known:
        if reach.ever == "no":
            return "never in this climate"
        when = "only in dry months, and not" if reach.ever == "dry months only" else "not"
        return f"{when} within {_horizon(horizon_months)}"
    if max(known) == 0.0:
        return "from the first day"
    first = weeks_or_months(min(known))
    whole = len(known) == len(reach.months)
    last = weeks_or_months(max(known)) if whole else f"more than {_horizon(horizon_months)}"
    in_dry = ", in dry months only" if reach.ever == "dry months only" else ""
    if first == last:
        return f"after {first}{in_dry}"
    number, _, unit = first.partition(" ")
    return f"after {number if last.endswith(f' {unit}') else first} to {last}{in_dry}"


def _horizon(months: int) -> str:
    """How far the forecast looks, in whole years where they are whole."""
    years, rest = divmod(months, 12)
    return f"{years} years" if years > 1 and rest == 0 else f"{months} month{'s' if months > 1 else ''}"


def drying_answer(forecast: DryingForecast, *, tape: Tape) -> str:
    """The answer to when a timber is dry, in one sentence.

    Parameters
    ----------
    forecast : DryingForecast
        The forecast.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        Species, size, month of stacking, and when each target is reached.

    Source
    ------
    definition
    """
    job = forecast.job
    told = "; ".join(f"{_about(reach)} {reached_text(reach, horizon_months=job.months)}" for reach in forecast.reached)
    told = told or f"it settles at about {100 * forecast.settles_at:.0f} %"
    size = section_text(job.thickness_mm, job.width_mm, tape=tape)
    return f"{forecast.species}, {size}, stacked in {MONTHS[job.start_month - 1]}: {told}."


def _about(reach: Reach) -> str:
    """A target, with "about" where it is reached."""
    share = f"{100 * reach.target:.3g} %"
    return share if all(months is None for months in reach.months) else f"about {share}"
