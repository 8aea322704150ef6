"""Answers about drying as plain dictionaries: the documented JSON form."""

from typing import Any

from pithline.arrays import Floats
from pithline.wood.air_drying import AirDrying
from pithline.wood.drying import BANDS, DryingForecast

__all__ = ["dry_form", "no_curve_form", "rule_form"]

Form = dict[str, Any]


def _bands(values: Floats) -> dict[str, list[float]]:
    """Slow, middle and fast, month by month."""
    return {name: [round(float(value), 5) for value in values[:, band]] for band, name in enumerate(BANDS)}


def _months(values: tuple[float | None, ...]) -> dict[str, float | None]:
    """Slow, middle and fast, null where the forecast ends first."""
    return {name: None if value is None else round(value, 2) for name, value in zip(BANDS, values, strict=True)}


def rule_form(rule: AirDrying) -> Form:
    """What the published days of 1 in stock give.

    Parameters
    ----------
    rule : AirDrying
        Least and most days to 20 %.

    Returns
    -------
    dict
        `days`, the `published` row it rests on, `notes`.

    Source
    ------
    `air_drying`
    """
    return {
        "days": [round(days, 1) for days in rule.days],
        "published": {
            "days": [rule.published.low, rule.published.high],
            "status": rule.published.status,
            "source": rule.published.source,
        },
        "notes": list(rule.notes),
    }


def no_curve_form(rule: AirDrying, *, notes: tuple[str, ...]) -> Form:
    """The answer to `dry` where no coefficient is known.

    Parameters
    ----------
    rule : AirDrying
        What the published days of 1 in stock give.
    notes : tuple of str
        Why there is no curve, and what belongs beside the climate.

    Returns
    -------
    dict
        Keys as in docs/json.md; `curve` is false.

    Source
    ------
    `air_drying`
    """
    return {
        "species": rule.species,
        "climate": rule.climate,
        "curve": False,
        "by_published_days": rule_form(rule),
        "notes": list(notes),
    }


def dry_form(forecast: DryingForecast) -> Form:
    """The answer to `dry`.

    Parameters
    ----------
    forecast : DryingForecast
        The forecast.

    Returns
    -------
    dict
        Keys as in docs/json.md.

    Source
    ------
    `drying_forecast`
    """
    ends = None
    if forecast.ends is not None:
        ends = {"depth_mm": _bands(forecast.ends.depth_mm), "average": _bands(forecast.ends.average)}
    return {
        "species": forecast.species,
        "climate": forecast.climate,
        "curve": True,
        "size_mm": [forecast.job.thickness_mm, forecast.job.width_mm, forecast.job.length_mm],
        "start_month": forecast.job.start_month,
        "green": round(forecast.green, 5),
        "settles_at": round(forecast.settles_at, 5),
        "months": [float(month) for month in forecast.months],
        "average": _bands(forecast.average),
        "surface": _bands(forecast.surface),
        "core": _bands(forecast.center),
        "reached": [
            {"target": reach.target, "months": _months(reach.months), "ever": reach.ever} for reach in forecast.reached
        ],
        "ends": ends,
        "by_published_days": rule_form(forecast.rule),
        "notes": list(forecast.notes),
    }
