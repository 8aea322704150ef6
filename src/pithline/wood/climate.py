"""The climate that wood dries in: twelve months of equilibrium moisture, with their mean temperatures."""

from dataclasses import dataclass

from pithline.errors import WoodError

__all__ = ["MONTHS", "Climate"]

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
"""Short names of the months, the first at index 0."""

_EMC = (0.02, 0.30)
_TEMPERATURE_C = (-40.0, 50.0)


@dataclass(frozen=True)
class Climate:
    """Air outdoors, month by month, January first.

    Attributes: `name` of the place; `emc`, equilibrium moisture of each month
    [fraction of dry mass]; `temperature_c`, its mean temperature; `notes`,
    sentences that belong beside whatever is worked out from it.
    """

    name: str
    emc: tuple[float, ...]
    temperature_c: tuple[float, ...]
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Refuse what is no year of months."""
        for what, values in (("equilibrium moisture", self.emc), ("temperature", self.temperature_c)):
            if len(values) != len(MONTHS):
                raise WoodError(f"{self.name}: {len(values)} values of {what}; a year has 12 months, January first.")
        for month, emc, temperature in zip(MONTHS, self.emc, self.temperature_c, strict=True):
            if not _EMC[0] <= emc <= _EMC[1]:
                raise WoodError(
                    f"{self.name}, {month}: equilibrium moisture {100.0 * emc:.1f} %; outdoors it lies between "
                    f"{100.0 * _EMC[0]:.0f} and {100.0 * _EMC[1]:.0f} %."
                )
            if not _TEMPERATURE_C[0] <= temperature <= _TEMPERATURE_C[1]:
                raise WoodError(
                    f"{self.name}, {month}: mean temperature {temperature:g} C; it lies between "
                    f"{_TEMPERATURE_C[0]:g} and {_TEMPERATURE_C[1]:g} C."
                )
