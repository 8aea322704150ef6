"""Water vapor in air: saturation pressure, and humidity from what instruments read."""

import numpy as np
import numpy.typing as npt

from pithline.arrays import Floats
from pithline.errors import OutOfRangeError
from pithline.tables import read_table

__all__ = [
    "STANDARD_PRESSURE_PA",
    "humidity_after_warming",
    "humidity_from_dew_point",
    "humidity_from_wet_bulb",
    "saturation_pressure_pa",
]

STANDARD_PRESSURE_PA = 101_325.0
"""Pressure of the standard atmosphere at sea level."""

_KELVIN = 273.15


def _terms(over: str) -> dict[str, float]:
    """Coefficients over ice or over water."""
    rows = read_table("pithline.wood", "vapor_coefficients").rows
    return {row["term"]: float(row["coefficient"]) for row in rows if row["over"] == over}


def saturation_pressure_pa(temperature_c: npt.ArrayLike) -> Floats:
    """Pressure of water vapor over ice below freezing, over water above.

    Parameters
    ----------
    temperature_c : (n,) float or float
        Temperature [deg C].

    Returns
    -------
    (n,) float
        Pressure [Pa].

    Raises
    ------
    OutOfRangeError
        Temperature outside -100 to 200 C.

    Range
    -----
    -100 to 200 C.

    Source
    ------
    ASHRAE Handbook, Fundamentals (2017), chapter 1, equations 5 and 6, from memory and held against a second library
    """
    celsius = np.asarray(temperature_c, dtype=np.float64)
    if not np.all((celsius >= -100.0) & (celsius <= 200.0)):
        raise OutOfRangeError("temperature: the pressure of vapor is known from -100 to 200 C.")
    t = celsius + _KELVIN

    def pressure(over: str) -> Floats:
        c = _terms(over)
        powers = c["linear"] * t + c["quadratic"] * t**2 + c["cubic"] * t**3 + c["quartic"] * t**4
        return np.asarray(np.exp(c["inverse"] / t + c["constant"] + powers + c["logarithm"] * np.log(t)))

    return np.where(celsius <= 0.0, pressure("ice"), pressure("water"))


def _told(temperature_c: float) -> str:
    """A temperature in both unit worlds, for a message."""
    return f"{temperature_c:.1f} C ({1.8 * temperature_c + 32.0:.0f} F)"


def humidity_from_dew_point(temperature_c: float, dew_point_c: float) -> float:
    """Relative humidity of air whose dew point is known.

    Parameters
    ----------
    temperature_c : float
        Temperature of the air [deg C].
    dew_point_c : float
        Dew point, or frost point below freezing [deg C].

    Returns
    -------
    float
        Relative humidity [fraction].

    Raises
    ------
    OutOfRangeError
        The dew point is above the temperature.

    Source
    ------
    definition: the vapor pressure is that of saturation at the dew point
    """
    if dew_point_c > temperature_c:
        raise OutOfRangeError(
            f"dew point: {_told(dew_point_c)} is above the air's {_told(temperature_c)}; it cannot be."
        )
    return float(saturation_pressure_pa(dew_point_c) / saturation_pressure_pa(temperature_c))


def humidity_from_wet_bulb(
    temperature_c: float, wet_bulb_c: float, *, pressure_pa: float = STANDARD_PRESSURE_PA
) -> float:
    """Relative humidity from a dry and a wet thermometer in moving air.

    Parameters
    ----------
    temperature_c : float
        Dry-bulb temperature [deg C].
    wet_bulb_c : float
        Thermodynamic wet-bulb temperature [deg C].
    pressure_pa : float
        Pressure of the air [Pa].

    Returns
    -------
    float
        Relative humidity [fraction].

    Raises
    ------
    OutOfRangeError
        The wet bulb is warmer than the dry one, or so cold that no vapor is left.

    Source
    ------
    ASHRAE Handbook, Fundamentals (2017), chapter 1, equations 33 and 35, from memory and held against a second library
    """
    if wet_bulb_c > temperature_c:
        raise OutOfRangeError(f"wet bulb: {_told(wet_bulb_c)} is above the dry {_told(temperature_c)}; swap them.")
    wet_pressure = float(saturation_pressure_pa(wet_bulb_c))
    wet_ratio = 0.621945 * wet_pressure / (pressure_pa - wet_pressure)
    if wet_bulb_c >= 0.0:
        above = (2501.0 - 2.326 * wet_bulb_c) * wet_ratio - 1.006 * (temperature_c - wet_bulb_c)
        ratio = above / (2501.0 + 1.86 * temperature_c - 4.186 * wet_bulb_c)
    else:
        above = (2830.0 - 0.24 * wet_bulb_c) * wet_ratio - 1.006 * (temperature_c - wet_bulb_c)
        ratio = above / (2830.0 + 1.86 * temperature_c - 2.1 * wet_bulb_c)
    if ratio < 0.0:
        raise OutOfRangeError(
            f"wet bulb: {_told(wet_bulb_c)} is colder than bone-dry air of {_told(temperature_c)} makes it."
        )
    vapor = pressure_pa * ratio / (0.621945 + ratio)
    return float(vapor / saturation_pressure_pa(temperature_c))


def humidity_after_warming(humidity: npt.ArrayLike, from_c: npt.ArrayLike, *, to_c: float) -> Floats:
    """Relative humidity of outdoor air once it is warmed indoors and no moisture is added.

    Parameters
    ----------
    humidity : (n,) float or float
        Relative humidity outdoors [fraction].
    from_c : (n,) float or float
        Temperature outdoors [deg C].
    to_c : float
        Temperature indoors; where outdoors is warmer the air stays as it is [deg C].

    Returns
    -------
    (n,) float
        Relative humidity indoors [fraction].

    Raises
    ------
    OutOfRangeError
        Temperature outside -100 to 200 C.

    Source
    ------
    definition: the vapor pressure stays what it was
    """
    outdoors = np.asarray(from_c, dtype=np.float64)
    indoors = np.maximum(outdoors, to_c)
    share = saturation_pressure_pa(outdoors) / saturation_pressure_pa(indoors)
    return np.asarray(np.asarray(humidity, dtype=np.float64) * share)
