"""Shrinkage: from green to a moisture, between two moistures, along and across the rings."""

from dataclasses import dataclass
from typing import Literal

from pithline.errors import OutOfRangeError
from pithline.tables import read_table
from pithline.wood.species import Species

__all__ = [
    "COEFFICIENT_RANGE",
    "Shrinkage",
    "change_by_coefficient",
    "coefficient_of_change",
    "lumber_shrinkage",
    "moved",
    "section_shrinkage",
    "shrinkage_at",
]

COEFFICIENT_RANGE = (0.06, 0.14)
"""Moistures between which the coefficients of Table 13-5 hold."""

_LUMBER_RANGE = (0.08, 0.19)


def shrinkage_at(total: float, moisture: float, *, saturation: float = 0.30) -> float:
    """Shrinkage from green to a moisture.

    S_x = S_0 (1 - x / s), nothing above s; S_0 = `total`, s = `saturation`.

    Parameters
    ----------
    total : float
        Shrinkage from green to oven-dry, of the green size [fraction].
    moisture : float
        Moisture reached [fraction of oven-dry mass].
    saturation : float
        Moisture at which shrinkage starts [fraction].

    Returns
    -------
    float
        Shrinkage of the green size, 0 above saturation [fraction].

    Raises
    ------
    OutOfRangeError
        Moisture below 0, or a total that is no shrinkage.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-9

    Examples
    --------
    12.4 % in all is 12.4 % at 0 and nothing at 30 %.
    """
    if moisture < 0.0 or not 0.0 <= total < 0.5 or saturation <= 0.0:
        raise OutOfRangeError(f"shrinkage of {100 * total:g} % at moisture {100 * moisture:g} %: no wood does that.")
    return total * max(0.0, 1.0 - moisture / saturation)


def moved(size_mm: float, total: float, *, before: float, after: float, saturation: float = 0.30) -> float:
    """Size at one moisture of a piece that was measured at another.

    D2 = D1 (1 - S(after)) / (1 - S(before)): shrinkage is of the green size, so both moistures enter.

    Parameters
    ----------
    size_mm : float
        Size as measured [mm].
    total : float
        Shrinkage from green to oven-dry, of the green size [fraction].
    before, after : float
        Moisture when measured, and the one asked about [fraction].
    saturation : float
        Moisture at which shrinkage starts [fraction].

    Returns
    -------
    float
        Size at `after` [mm].

    Raises
    ------
    OutOfRangeError
        As for `shrinkage_at`.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-9 at both ends; the same as FPL-GTR-190, Eq. 13-3 (from memory), which reads
    D1 (M2 - M1) / (30 (100) / S - 30 + M1) for the change
    """
    left = 1.0 - shrinkage_at(total, after, saturation=saturation)
    return size_mm * left / (1.0 - shrinkage_at(total, before, saturation=saturation))


def coefficient_of_change(total: float, *, saturation: float = 0.30) -> float:
    """Coefficient of change that belongs to a shrinkage.

    C = (S / s) / (1 - S (1 - 0.10 / s)): the slope of Eq. 4-9, of the size at 10 % moisture.

    Parameters
    ----------
    total : float
        Shrinkage from green to oven-dry [fraction].
    saturation : float
        Moisture at which shrinkage starts [fraction].

    Returns
    -------
    float
        Change of size for a whole unit of moisture; Table 13-5 prints a hundredth of it, for one percent.

    Raises
    ------
    OutOfRangeError
        As for `shrinkage_at`.

    Source
    ------
    Identity behind Wood Handbook, FPL-GTR-190 (2010), Table 13-5
    """
    return total / saturation / (1.0 - shrinkage_at(total, 0.10, saturation=saturation))


def change_by_coefficient(size_mm: float, coefficient: float, *, before: float, after: float) -> float:
    """Change of size between two moistures of seasoned wood.

    dD = D C (M2 - M1).

    Parameters
    ----------
    size_mm : float
        Size at `before` [mm].
    coefficient : float
        Change for a whole unit of moisture.
    before, after : float
        Moistures [fraction].

    Returns
    -------
    float
        Change, less than 0 where the wood dries [mm].

    Raises
    ------
    OutOfRangeError
        A moisture outside 6 to 14 %, where the coefficients do not hold.

    Range
    -----
    6 to 14 % moisture.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-190 (2010), Table 13-5 and the equation above it; DIN 68100 for European species

    Examples
    --------
    Beech, 600 mm, 0.00431 for each percent, 5 percent: printed as 12.9 mm.
    """
    low, high = COEFFICIENT_RANGE
    if not (low <= before <= high and low <= after <= high):
        raise OutOfRangeError(
            f"moisture: {100 * before:g} to {100 * after:g} %; the coefficients hold from "
            f"{100 * low:g} to {100 * high:g} %."
        )
    return size_mm * coefficient * (after - before)


def lumber_shrinkage(direction: Literal["width", "thickness"], moisture: float) -> float:
    """Shrinkage of softwood dimension lumber from green to a moisture.

    Parameters
    ----------
    direction : {"width", "thickness"}
        Which size.
    moisture : float
        Moisture [fraction].

    Returns
    -------
    float
        Shrinkage of the green size [fraction].

    Raises
    ------
    OutOfRangeError
        Moisture outside 8 to 19 %.

    Range
    -----
    8 to 19 %; most softwoods, not redwood or cedar.

    Source
    ------
    D. W. Green, FPL-RP-489 (1989), with PS 20-70

    Examples
    --------
    At 15 %: 2.80 % of the width and 2.35 % of the thickness.
    """
    if not _LUMBER_RANGE[0] <= moisture <= _LUMBER_RANGE[1]:
        raise OutOfRangeError(f"moisture: {100 * moisture:g} %; the formula holds from 8 to 19 %.")
    rows = {row["direction"]: row for row in read_table("pithline.wood", "lumber_shrinkage").rows}
    row = rows[direction]
    return 0.01 * (float(row["constant"]) - float(row["linear"]) * 100.0 * moisture)


@dataclass(frozen=True)
class Shrinkage:
    """How much a side of a timber shrinks from green, as far as can be told.

    Attributes: `low`, `high` of the green size [fraction]; `basis` in words;
    `notes`, sentences that belong beside it.
    """

    low: float
    high: float
    basis: str
    notes: tuple[str, ...] = ()

    @property
    def middle(self) -> float:
        """Half way between the two."""
        return 0.5 * (self.low + self.high)


def section_shrinkage(species: Species, moisture: float) -> Shrinkage:
    """Shrinkage of a timber's side from green to a moisture.

    In a timber with the heart in it the rings run round the pith: a side
    shrinks radially along the line through the pith and tangentially at the
    face, and one holds the other. In a timber beside the heart the sides stand
    at any angle to the rings. So the answer is a range, from radial to tangential.

    Parameters
    ----------
    species : Species
        Needs radial and tangential shrinkage.
    moisture : float
        Moisture reached [fraction].

    Returns
    -------
    Shrinkage
        Of the green size.

    Raises
    ------
    UnknownValueError
        The species has no radial or tangential shrinkage.
    OutOfRangeError
        Moisture below 0.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-9 and Table 4-3; the range between the two directions is geometry
    """
    saturation = species.fiber_saturation
    low, high = sorted(
        shrinkage_at(species.need(prop), moisture, saturation=saturation)
        for prop in ("shrinkage_radial", "shrinkage_tangential")
    )
    recalled = species.recalled(("shrinkage_radial", "shrinkage_tangential"))
    notes = (f"{species.name}: {' and '.join(recalled)} from memory.",) if recalled else ()
    return Shrinkage(low, high, "from radial to tangential", notes)
