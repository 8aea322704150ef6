"""Moisture, temperature and humidity as a person writes them, with their unit and never by guess."""

import math
import re

from pithline.errors import WoodError
from pithline.lengths.spelling import quoted
from pithline.wood.units import KG_M3_PER_LB_FT3

__all__ = ["parse_density", "parse_humidity", "parse_moisture", "parse_temperature"]

_NUMBER = re.compile(r"^\s*(?P<sign>[-+\u2212]?)(?P<number>\d+(?:[.,]\d+)?|[.,]\d+)\s*(?P<unit>[^\d\s].*?)?\s*$")
_SHARES = {"%": 0.01, "percent": 0.01, "per cent": 0.01, "pct": 0.01, "fraction": 1.0, "of dry mass": 1.0}
_DENSITIES = {"kg/m3": 1.0, "kg/m\u00b3": 1.0, "lb/ft3": KG_M3_PER_LB_FT3, "lb/ft\u00b3": KG_M3_PER_LB_FT3}
# How far zero lies from the freezing point of water, and how many degrees make one of Celsius.
_TEMPERATURES = {
    "f": (32.0, 1.8),
    "fahrenheit": (32.0, 1.8),
    "c": (0.0, 1.0),
    "celsius": (0.0, 1.0),
    "k": (273.15, 1.0),
    "kelvin": (273.15, 1.0),
}


def _split(text: str) -> tuple[float, str] | None:
    """A number and its unit in small letters, or None."""
    match = _NUMBER.match(text) if len(text) <= 60 else None
    if match is None:
        return None
    number = float(match["number"].replace(",", "."))
    return (-number if match["sign"] in {"-", "\u2212"} else number), (match["unit"] or "").lower().strip()


def _share(text: str, what: str, example: str) -> float:
    """A share of something, from percent or a fraction that says so."""
    found = _split(text)
    if found is None:
        raise WoodError(f'{what}: read {quoted(text)}; write a number and its unit, as "{example}".')
    number, unit = found
    if not unit:
        fraction = f"{0.01 * float(example[:-1]):g} fraction"
        raise WoodError(f'{what}: read {quoted(text)}, and it has no unit; write "{example}", or "{fraction}".')
    if unit not in _SHARES:
        raise WoodError(f'{what}: read {quoted(text)}; {quoted(unit)} is no unit of it. Write "{example}".')
    return number * _SHARES[unit]


def parse_moisture(text: str) -> float:
    """Moisture of wood from text.

    Parameters
    ----------
    text : str
        A number with `%`, `percent` or `fraction`, of oven-dry mass.

    Returns
    -------
    float
        Moisture, 0 to 4 [fraction of oven-dry mass].

    Raises
    ------
    WoodError
        There is no number or no unit, or no wood is that wet.

    Source
    ------
    definition; wood of the lightest species holds under 400 %
    """
    moisture = _share(text, "moisture", "15 %")
    if not 0.0 <= moisture <= 4.0:
        raise WoodError(f"moisture: read {quoted(text.strip())}; wood holds from 0 to 400 % of its dry mass.")
    return moisture


def parse_humidity(text: str) -> float:
    """Relative humidity from text.

    Parameters
    ----------
    text : str
        A number with `%`, `percent` or `fraction`.

    Returns
    -------
    float
        Relative humidity, 0 to 1 [fraction].

    Raises
    ------
    WoodError
        There is no number or no unit, or it is not between 0 and 100 %.

    Source
    ------
    definition
    """
    humidity = _share(text, "humidity", "65 %")
    if not 0.0 <= humidity <= 1.0:
        raise WoodError(f"humidity: read {quoted(text.strip())}; it lies between 0 and 100 %.")
    return humidity


def parse_temperature(text: str) -> float:
    """Temperature from text.

    Parameters
    ----------
    text : str
        A number with F, C or K, a degree sign before it if you like.

    Returns
    -------
    float
        Temperature [deg C].

    Raises
    ------
    WoodError
        There is no number or no unit, or it is below absolute zero.

    Source
    ------
    definition
    """
    found = _split(text)
    if found is None:
        raise WoodError(f'temperature: read {quoted(text)}; write a number and its unit, as "70 F" or "21 C".')
    number, unit = found
    unit = re.sub(r"^(°|deg(rees?)?\.?)\s*", "", unit)
    if not unit:
        raise WoodError(f'temperature: read {quoted(text)}, and it has no unit; write "70 F" or "21 C".')
    if unit not in _TEMPERATURES:
        raise WoodError(f"temperature: read {quoted(text)}; {quoted(unit)} is no unit of it. Write F, C or K.")
    zero, degree = _TEMPERATURES[unit]
    temperature_c = (number - zero) / degree
    if not -273.15 <= temperature_c < math.inf:
        raise WoodError(f"temperature: read {quoted(text)}; nothing is that cold.")
    return temperature_c


def parse_density(text: str) -> float:
    """Density from text.

    Parameters
    ----------
    text : str
        A number with `kg/m3` or `lb/ft3`.

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    WoodError
        There is no number or no unit.

    Source
    ------
    definition
    """
    found = _split(text)
    if found is None or found[1] not in _DENSITIES:
        raise WoodError(f'density: read {quoted(text)}; write it with its unit, as "45 lb/ft3" or "720 kg/m3".')
    if found[0] <= 0.0:
        raise WoodError(f"density: read {quoted(text)}; it is more than 0.")
    return found[0] * _DENSITIES[found[1]]
