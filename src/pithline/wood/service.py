"""Moisture that a timber comes to where it serves, and the climates it is worked out from."""

import difflib
from dataclasses import dataclass
from functools import cache

import numpy as np

from pithline.errors import OutOfRangeError, WoodError
from pithline.lengths.spelling import quoted
from pithline.tables import read_table
from pithline.wood.air import TEMPERATURE_RANGE_C, equilibrium_moisture, humidity_for
from pithline.wood.climate import Climate
from pithline.wood.humidity import humidity_after_warming

__all__ = ["Service", "city_climate", "city_names", "climate_of_air", "service_moisture"]


@cache
def _cities() -> dict[str, Climate]:
    """Every city of the table."""
    months: dict[str, list[tuple[int, float, float]]] = {}
    recalled: dict[str, set[str]] = {}
    for row in read_table("pithline.wood", "city_months").rows:
        held = (int(row["month"]), 0.01 * float(row["emc"]), float(row["mean_temperature_c"]))
        months.setdefault(row["city"], []).append(held)
        words = recalled.setdefault(row["city"], set())
        if row["emc_status"] == "memory":
            words.add("moistures")
        if row["temperature_status"] == "memory":
            words.add("temperatures")
    climates = {}
    for city, year in months.items():
        in_order = sorted(year)
        said = " and ".join(sorted(recalled[city]))
        notes = (f"{city}: monthly {said} from memory.",) if said else ()
        climates[city] = Climate(city, tuple(m[1] for m in in_order), tuple(m[2] for m in in_order), notes)
    return climates


def city_names() -> tuple[str, ...]:
    """Return the cities whose months are known.

    Returns
    -------
    tuple of str
        In the order of the table.

    Source
    ------
    city_months.csv
    """
    return tuple(_cities())


def city_climate(name: str) -> Climate:
    """The months of a city.

    Parameters
    ----------
    name : str
        City and state, or the city where only one has that name.

    Returns
    -------
    Climate
        With a note on what was recalled.

    Raises
    ------
    WoodError
        No such city is in the table; the message names those nearest in spelling.

    Source
    ------
    city_months.csv, after Simpson, FPL-RN-0268 (1998), and climate normals
    """
    wanted = " ".join(name.lower().replace(",", " ").split())
    plain = {" ".join(city.lower().replace(",", " ").split()): city for city in _cities()}
    if wanted in plain:
        return _cities()[plain[wanted]]
    alike = [city for known, city in plain.items() if wanted and known.startswith(wanted)]
    if len(alike) == 1:
        return _cities()[alike[0]]
    near = alike or [plain[known] for known in difflib.get_close_matches(wanted, plain, n=3, cutoff=0.3)]
    told = "; ".join(near[:3] or list(_cities())[:3])
    raise WoodError(
        f"city: {quoted(name)} is not one of the {len(plain)} whose months are known. The nearest are: {told}. "
        f"Give your own twelve months in a file instead."
    )


def climate_of_air(name: str, temperature_c: tuple[float, ...], *, humidity: tuple[float, ...]) -> Climate:
    """A climate from twelve months of temperature and humidity.

    Parameters
    ----------
    name : str
        Name of the place.
    temperature_c : (12,) float
        Mean temperature of each month, January first [deg C].
    humidity : (12,) float
        Mean relative humidity of each month [fraction].

    Returns
    -------
    Climate
        Equilibrium moisture of each month's mean air.

    Raises
    ------
    WoodError
        There are not twelve of each, or a month is no month outdoors.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-5, at the means, as FPL-RN-0268 does
    """
    if len(temperature_c) != 12 or len(humidity) != 12:
        raise WoodError(
            f"{name}: {len(temperature_c)} temperatures and {len(humidity)} humidities; a year has 12 months."
        )
    try:
        emc = equilibrium_moisture(temperature_c, humidity)
    except OutOfRangeError as error:
        raise WoodError(f"{name}: {error}") from error
    cold = [t for t in temperature_c if t < TEMPERATURE_RANGE_C[0]]
    note = f"{name}: {len(cold)} months are colder than the table of equilibrium moisture, an extrapolation."
    return Climate(name, tuple(float(m) for m in emc), tuple(temperature_c), (note,) if cold else ())


@dataclass(frozen=True)
class Service:
    """Moisture through the year where a timber serves.

    Attributes: `months`, equilibrium moisture of each; `mean`, `low`, `high`
    [fraction]; `notes`.
    """

    months: tuple[float, ...]
    mean: float
    low: float
    high: float
    notes: tuple[str, ...]


def service_moisture(climate: Climate, *, indoors_c: float | None = None) -> Service:
    """Moisture that wood comes to outdoors under a roof, or in a heated room.

    Parameters
    ----------
    climate : Climate
        The air outdoors.
    indoors_c : float or None
        Temperature that a room is heated to, with no moisture added to its
        air; None for outdoors under cover, and for unheated buildings [deg C].

    Returns
    -------
    Service
        Month by month, and the range.

    Raises
    ------
    OutOfRangeError
        A temperature beyond the equation's.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-5; in a heated room the vapor pressure of the outdoor air is kept
    """
    emc = np.array(climate.emc)
    notes = climate.notes
    if indoors_c is not None:
        outdoors = np.array(climate.temperature_c)
        humidity = humidity_after_warming(humidity_for(outdoors, emc), outdoors, to_c=indoors_c)
        emc = equilibrium_moisture(np.maximum(outdoors, indoors_c), np.minimum(humidity, 1.0))
        notes = (
            *notes,
            "People, cooking and plants keep a heated room damper than this; a stove-heated one comes near it.",
        )
    notes = (*notes, "Thick timbers lag behind by months and swing less than the air does.")
    return Service(tuple(float(m) for m in emc), float(emc.mean()), float(emc.min()), float(emc.max()), notes)
