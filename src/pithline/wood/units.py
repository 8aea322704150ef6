"""Units of mass and density that a reader may use beside the core's."""

from typing import Final

__all__ = ["KG_M3_PER_LB_FT3", "KG_PER_LB", "M3_PER_FT3"]

KG_PER_LB: Final = 0.45359237
"""Kilograms in an international pound, by definition."""

M3_PER_FT3: Final = 0.3048**3
"""Cubic meters in a cubic foot, by definition."""

KG_M3_PER_LB_FT3: Final = KG_PER_LB / M3_PER_FT3
"""One pound a cubic foot in kilograms a cubic meter."""
