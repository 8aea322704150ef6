"""The units a tape is marked in, and what each is in millimeters.

The inch is 25.4 mm exactly and the foot twelve inches, from the yard of 0.9144 m on which six
countries agreed in 1959. The survey foot, longer by two parts in a million, is not used.
"""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Final, Literal

__all__ = ["METRIC", "MM_PER", "MM_PER_FOOT", "MM_PER_INCH", "UNIT_WORDS", "Unit"]

Unit = Literal["ft", "in", "mm", "cm", "m"]

MM_PER: Final[Mapping[Unit, Fraction]] = MappingProxyType(
    {
        "ft": Fraction(3048, 10),
        "in": Fraction(254, 10),
        "mm": Fraction(1),
        "cm": Fraction(10),
        "m": Fraction(1000),
    }
)
"""Millimeters in one of each unit, exactly."""

MM_PER_INCH: Final = float(MM_PER["in"])
MM_PER_FOOT: Final = float(MM_PER["ft"])

METRIC: Final[frozenset[Unit]] = frozenset({"mm", "cm", "m"})

_PREFIXES: Final[dict[str, Unit]] = {"": "m", "centi": "cm", "milli": "mm"}
# Both spellings of the metric words, the American and the British one.
_METRIC_WORDS: Final[dict[str, Unit]] = {
    f"{prefix}met{ending}": unit for prefix, unit in _PREFIXES.items() for ending in ("er", "ers", "re", "res")
}

UNIT_WORDS: Final[Mapping[str, Unit]] = MappingProxyType(
    {
        "'": "ft",
        "ft": "ft",
        "foot": "ft",
        "feet": "ft",
        '"': "in",
        "in": "in",
        "ins": "in",
        "inch": "in",
        "inches": "in",
        "mm": "mm",
        "cm": "cm",
        "m": "m",
        **_METRIC_WORDS,
    }
)
"""Every mark and word that is read as a unit, in lower case."""
