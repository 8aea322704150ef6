"""How fast water moves in wood: the coefficient of diffusion, with temperature and moisture."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from pithline.arrays import Floats
from pithline.tables import read_table
from pithline.wood.species import Species

__all__ = ["ACTIVATION_K", "DAY_S", "REFERENCE_C", "SPREAD", "Coefficient", "Potential", "coefficient_for", "pace"]

ACTIVATION_K = 5280.0
"""Activation printed with the oak formula, 43.9 kJ/mol; the heat of vaporization of water at 20 C is 44."""

DAY_S = 86_400.0
"""Seconds in a day."""

REFERENCE_C = 20.0
"""Temperature at which coefficients are held, and at which scaled time runs as the clock does."""

SPREAD = 2.0
"""Our own choice for a single formula: the coefficient may be this many times less or more.

A bare 1 in board of oak at 83 % whose free water stays where it is until a dry front reaches it takes 2.2 times as
long to 20 % as by the formula held at its value of fiber saturation (our own run, 20 C, 13 % in the air), and published
laws differ by more than that.
"""

_KELVIN = 273.15


@dataclass(frozen=True)
class Potential:
    """What drives the water: P(m), the integral of f(m) = exp(`slope` m) over the moisture.

    Flow is the coefficient of dry wood times the gradient of P. Above
    `saturation` f keeps the value it has there.
    """

    slope: float
    saturation: float

    @property
    def steepest(self) -> float:
        """Largest f, that of fiber saturation and above."""
        return math.exp(self.slope * self.saturation)

    def of(self, moisture: npt.ArrayLike) -> Floats:
        """Potential at a moisture.

        Parameters
        ----------
        moisture : (n,) float or float
            Moisture of dry mass [fraction].

        Returns
        -------
        (n,) float
            0 for dry wood [fraction].

        Source
        ------
        definition: Kirchhoff's transform
        """
        m = np.asarray(moisture, dtype=np.float64)
        if self.slope == 0.0:
            return m
        bound = np.minimum(m, self.saturation)
        return np.asarray(np.expm1(self.slope * bound) / self.slope + self.steepest * (m - bound))

    def moisture(self, potential: float) -> float:
        """Moisture at a potential below that of fiber saturation.

        Parameters
        ----------
        potential : float
            As `of` gives it [fraction].

        Returns
        -------
        float
            Moisture of dry mass [fraction].

        Source
        ------
        definition: `of` turned round
        """
        return potential if self.slope == 0.0 else math.log1p(self.slope * potential) / self.slope


@dataclass(frozen=True)
class Coefficient:
    """A coefficient of diffusion across the grain, as a band.

    Attributes: `mm2_day`, slow, middle and fast, of dry wood at 20 C;
    `activation_k` of its change with temperature; `slope` of its change with
    moisture; `status` and `source` of the row; `basis`, how the band was made.
    """

    mm2_day: tuple[float, float, float]
    activation_k: float
    slope: float
    status: str
    source: str
    basis: str

    def at(self, temperature_c: float, moisture: float) -> tuple[float, float, float]:
        """The band at a temperature and a moisture below fiber saturation.

        Parameters
        ----------
        temperature_c : float
            Temperature [deg C].
        moisture : float
            Moisture of dry mass [fraction].

        Returns
        -------
        tuple of float
            Slow, middle, fast [mm2/day].

        Source
        ------
        diffusion_coefficients.csv, whose rows name their own
        """
        factor = float(pace(temperature_c, self.activation_k)) * math.exp(self.slope * moisture)
        slow, middle, fast = (value * factor for value in self.mm2_day)
        return slow, middle, fast


def pace(temperature_c: npt.ArrayLike, activation_k: float) -> Floats:
    """How fast drying runs at a temperature, against 20 C.

    exp(-E (1/T - 1/T20)), E = `activation_k`, T in kelvin.

    Parameters
    ----------
    temperature_c : (n,) float or float
        Temperature [deg C].
    activation_k : float
        Activation energy over the gas constant [K].

    Returns
    -------
    (n,) float
        1 at 20 C.

    Source
    ------
    Arrhenius' law, the form of the rows of diffusion_coefficients.csv
    """
    kelvin = np.asarray(temperature_c, dtype=np.float64) + _KELVIN
    return np.asarray(np.exp(-activation_k * (1.0 / kelvin - 1.0 / (REFERENCE_C + _KELVIN))))


def coefficient_for(species: Species) -> Coefficient | None:
    """The coefficient of a species, or of its kind.

    Parameters
    ----------
    species : Species
        Found by its name, else by its kind.

    Returns
    -------
    Coefficient or None
        None where no source was found: no curve can be drawn then.

    Source
    ------
    diffusion_coefficients.csv, whose rows name their own
    """
    rows = read_table("pithline.wood", "diffusion_coefficients").rows
    own = [row for row in rows if row["wood"] == species.name]
    kind = [row for row in rows if row["wood"] == "any" and row["kind"] == species.kind]
    if not own and not kind:
        return None
    row = (own or kind)[0]
    activation, slope = float(row["activation"]), float(row["slope"])
    if row["prefactor"]:
        middle = 100.0 * DAY_S * float(row["prefactor"]) * math.exp(-activation / (REFERENCE_C + _KELVIN))
        band = (middle / SPREAD, middle, middle * SPREAD)
        basis = f"one formula, which may be {SPREAD:g} times too fast or too slow: that spread is our own choice"
    else:
        low, high = (1e6 * DAY_S * float(row[end]) for end in ("low", "high"))
        band = (low, math.sqrt(low * high), high)
        basis = "the range of the source, and its geometric middle"
    return Coefficient(band, activation, slope, row["status"], row["source"], basis)
