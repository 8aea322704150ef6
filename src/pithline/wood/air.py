"""Moisture that wood comes to in air: the equilibrium moisture content."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pithline.arrays import Floats
from pithline.errors import OutOfRangeError
from pithline.tables import read_table

__all__ = [
    "HUMIDITY_RANGE",
    "TEMPERATURE_RANGE_C",
    "Equilibrium",
    "equilibrium_moisture",
    "humidity_for",
    "moisture_in_air",
]

TEMPERATURE_RANGE_C = (-2.0 / 1.8, 238.0 / 1.8)
"""Temperatures of the printed table, 30 to 270 F; outside it the equation is an extrapolation."""

HUMIDITY_RANGE = (0.05, 0.95)
"""Humidities of the printed table."""

_COLDEST_C = -40.0
# A whole degree Fahrenheit is seldom a whole number in binary.
_HAIR_C = 1e-6


def _polynomials(temperature_c: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """W, K, K1 and K2 of the equation."""
    rows = {row["parameter"]: row for row in read_table("pithline.wood", "equilibrium_coefficients").rows}

    def value(name: str) -> Floats:
        row = rows[name]
        constant, linear, quadratic = (float(row[key]) for key in ("constant", "linear", "quadratic"))
        return np.asarray(constant + linear * temperature_c + quadratic * temperature_c**2)

    return value("W"), value("K"), value("K1"), value("K2")


def equilibrium_moisture(temperature_c: npt.ArrayLike, humidity: npt.ArrayLike) -> Floats:
    """Moisture content that wood comes to in steady air.

    M = (18 / W) [K h / (1 - K h) + (K1 K h + 2 K1 K2 K^2 h^2) / (1 + K1 K h + K1 K2 K^2 h^2)],
    h = `humidity`, W, K, K1 and K2 quadratic in `temperature_c`.

    Parameters
    ----------
    temperature_c : (n,) float or float
        Temperature of the air [deg C].
    humidity : (n,) float or float
        Relative humidity [fraction].

    Returns
    -------
    (n,) float
        Moisture of oven-dry mass [fraction].

    Raises
    ------
    OutOfRangeError
        Humidity outside 0 to 1, or temperature outside -40 to 132.2 C.

    Range
    -----
    Printed table: -1.1 to 132.2 C, 5 to 95 %. Outside it, down to -40 C, the
    equation is an extrapolation, which `Equilibrium` tells. The data behind it
    are mainly of one spruce; species differ by more than the last digit, most
    of all in damp air, and wood that dries from green stops a little above.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-5, p. 4-3

    Examples
    --------
    70 F and 65 % are printed as 12.0 % in Table 4-2.
    """
    t = np.asarray(temperature_c, dtype=np.float64)
    h = np.asarray(humidity, dtype=np.float64)
    if not np.all((h >= 0.0) & (h <= 1.0)):
        raise OutOfRangeError("humidity: it lies between 0 and 100 %.")
    if not np.all((t >= _COLDEST_C) & (t <= TEMPERATURE_RANGE_C[1] + _HAIR_C)):
        raise OutOfRangeError(
            f"temperature: the equation of equilibrium moisture holds up to {TEMPERATURE_RANGE_C[1]:.1f} C and is not "
            f"stretched below {_COLDEST_C:g} C."
        )
    w, k, k1, k2 = _polynomials(t)
    kh = k * h
    hydrates = k1 * kh + 2.0 * k1 * k2 * kh**2
    return np.asarray(18.0 / w * (kh / (1.0 - kh) + hydrates / (1.0 + k1 * kh + k1 * k2 * kh**2)))


@dataclass(frozen=True)
class Equilibrium:
    """Attributes: `moisture` [fraction]; `notes`, sentences that belong beside it."""

    temperature_c: float
    humidity: float
    moisture: float
    notes: tuple[str, ...]


def moisture_in_air(temperature_c: float, humidity: float) -> Equilibrium:
    """Equilibrium moisture of one state of the air, and how far it can be trusted.

    Parameters
    ----------
    temperature_c : float
        Temperature [deg C].
    humidity : float
        Relative humidity [fraction].

    Returns
    -------
    Equilibrium
        With a note where the state lies outside the printed table.

    Raises
    ------
    OutOfRangeError
        As for `equilibrium_moisture`.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-5 and Table 4-2
    """
    moisture = float(equilibrium_moisture(temperature_c, humidity))
    notes = []
    if not HUMIDITY_RANGE[0] <= humidity <= HUMIDITY_RANGE[1]:
        notes.append("The printed table runs from 5 to 95 % humidity; outside it this is an extrapolation.")
    if temperature_c < TEMPERATURE_RANGE_C[0] - _HAIR_C:
        notes.append("The printed table starts at 30 F (-1 C); below it this is an extrapolation.")
    if humidity > 0.85:
        notes.append("In air this damp species and pieces differ by several percent.")
    return Equilibrium(temperature_c, humidity, moisture, tuple(notes))


def humidity_for(temperature_c: npt.ArrayLike, moisture: npt.ArrayLike) -> Floats:
    """Relative humidity at which wood comes to a moisture.

    Parameters
    ----------
    temperature_c : (n,) float or float
        Temperature [deg C].
    moisture : (n,) float or float
        Equilibrium moisture of oven-dry mass [fraction].

    Returns
    -------
    (n,) float
        Relative humidity, found by halving to 1e-9 [fraction].

    Raises
    ------
    OutOfRangeError
        No humidity from 0 to 1 gives that moisture.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-5, solved for the humidity; it rises with it throughout
    """
    t, m = np.broadcast_arrays(np.asarray(temperature_c, dtype=np.float64), np.asarray(moisture, dtype=np.float64))
    if np.any(m < 0.0) or np.any(m > equilibrium_moisture(t, np.ones_like(t))):
        raise OutOfRangeError("moisture: no air keeps wood at that moisture.")
    low, high = np.zeros_like(t), np.ones_like(t)
    for _ in range(31):
        middle = 0.5 * (low + high)
        dry = equilibrium_moisture(t, middle) < m
        low, high = np.where(dry, middle, low), np.where(dry, high, middle)
    return np.asarray(0.5 * (low + high))
