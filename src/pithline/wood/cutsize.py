"""The size to cut: finished size, shrinkage, allowance and a margin for the saw's spread, and the way back."""

import math
from dataclasses import dataclass, replace

from pithline.errors import OutOfRangeError, WoodError
from pithline.lengths import told
from pithline.wood.shrinkage import Shrinkage, section_shrinkage
from pithline.wood.species import Species

__all__ = ["CutSize", "DrySize", "SideTerms", "Wanted", "chance_within", "cut_size", "dry_size", "margin_for"]

_HALVINGS = 60
_CHANCES = (0.5, 0.9999)


@dataclass(frozen=True)
class Wanted:
    """What a finished timber must be.

    Attributes: `thickness_mm` and `width_mm` at `moisture`, in the building;
    `allowance_mm` left on each sawn face for hewing or planing; `sawn_faces`
    2, 3 or 4, of which the first two are the thickness apart; `spread_mm`,
    standard deviation of the distance between two sawn faces; `chance` of
    full size that is wanted for each side; `step_mm`, to whole numbers of which
    the cut size is rounded up, 0 for none.
    """

    thickness_mm: float
    width_mm: float
    moisture: float
    allowance_mm: float = 0.0
    sawn_faces: int = 4
    spread_mm: float = 0.0
    chance: float = 0.95
    step_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what is no wish for a timber."""
        if not all(12.0 <= side <= 2_000.0 for side in (self.thickness_mm, self.width_mm)):
            raise WoodError(
                f"finished size: {told(self.thickness_mm)} x {told(self.width_mm)} is no timber; "
                f"each side lies between {told(12.0)} and 2 m."
            )
        if not 0.0 <= self.moisture <= 0.30:
            raise WoodError(
                f"moisture: {100 * self.moisture:.0f} %; a finished timber is dry, between 0 and 30 %. "
                f"Wood in use outdoors under a roof is at 10 to 16 %."
            )
        if not 0.0 <= self.allowance_mm <= 75.0:
            raise WoodError(f"allowance: {told(self.allowance_mm)} a face; it lies between 0 and 75 mm.")
        if self.sawn_faces not in (2, 3, 4):
            raise WoodError(f"sawn faces: {self.sawn_faces}; a timber has 2, 3 or 4.")
        if not 0.0 <= self.spread_mm <= 50.0:
            raise WoodError(f"spread of the saw: {told(self.spread_mm)}; it lies between 0 and 50 mm.")
        if not 0.0 <= self.step_mm <= 25.4:
            raise WoodError(f"step: {told(self.step_mm)}; sizes are rounded up to steps of 0 to 1 in.")
        if not _CHANCES[0] <= self.chance <= _CHANCES[1]:
            raise WoodError(
                f"chance of full size: {100 * self.chance:g} %; ask for "
                f"{100 * _CHANCES[0]:g} to {100 * _CHANCES[1]:g} %."
            )


@dataclass(frozen=True)
class SideTerms:
    """One side of the section, term by term; they add up to `cut_mm`.

    Attributes: `finished_mm`; `shrinkage_mm`, added so that the side has its
    green size is half way between those for least and most shrinkage; `margin_mm` for the
    saw's spread and for what the shrinkage may be more; `allowance_mm` of
    all its sawn faces; `doubt_mm`, how far the green size may be off either
    way because the shrinkage is only known between two limits; `rounding_mm`
    up to the next step of the tape.
    """

    finished_mm: float
    shrinkage_mm: float
    margin_mm: float
    allowance_mm: float
    doubt_mm: float
    rounding_mm: float = 0.0

    @property
    def green_mm(self) -> float:
        """Size the green side must have once it is hewn or planed, before any margin [mm]."""
        return self.finished_mm + self.shrinkage_mm

    @property
    def hewn_mm(self) -> float:
        """Size of the green side once its allowance is hewn or planed away, margin left on [mm]."""
        return self.cut_mm - self.allowance_mm

    @property
    def cut_mm(self) -> float:
        """Size to lay out [mm]."""
        return self.green_mm + self.margin_mm + self.allowance_mm + self.rounding_mm


@dataclass(frozen=True)
class CutSize:
    """Attributes: `wanted`; the terms of both sides; `shrinkage` they rest on; `notes` to stand beside it."""

    species: str
    wanted: Wanted
    thickness: SideTerms
    width: SideTerms
    shrinkage: Shrinkage
    notes: tuple[str, ...]


def _normal(value: float) -> float:
    """Share of a normal distribution below a value."""
    return 0.5 * math.erfc(-value / math.sqrt(2.0))


def chance_within(margin_mm: float, half_range_mm: float, *, spread_mm: float) -> float:
    """Chance that an error stays under a margin.

    The error is the sum of two: one that lies anywhere within plus or minus
    `half_range_mm`, and a normal one of standard deviation `spread_mm`.
    P(m) = s [g((m + a) / s) - g((m - a) / s)] / (2 a), g(u) = u F(u) + f(u),
    F and f the normal distribution and its density, a = `half_range_mm`, s = `spread_mm`.

    Parameters
    ----------
    margin_mm : float
        What the error must stay under [mm].
    half_range_mm : float
        Half the width of the even error [mm].
    spread_mm : float
        Standard deviation of the normal error [mm].

    Returns
    -------
    float
        Probability, 0 to 1.

    Raises
    ------
    OutOfRangeError
        An error below 0.

    Source
    ------
    definition: convolution of an even and a normal distribution
    """
    a, s = half_range_mm, spread_mm
    if min(a, s) < 0.0:
        raise OutOfRangeError(f"errors of {a:g} and {s:g} mm: they cannot be below 0.")
    if s <= 1e-6 * a or s < 1e-9:
        return min(1.0, max(0.0, 0.5 + 0.5 * margin_mm / a)) if a > 0.0 else float(margin_mm >= 0.0)
    if a <= 1e-4 * s:
        return _normal(margin_mm / s)

    def antiderivative(u: float) -> float:
        return u * _normal(u) + math.exp(-0.5 * u * u) / math.sqrt(2.0 * math.pi)

    share = s * (antiderivative((margin_mm + a) / s) - antiderivative((margin_mm - a) / s)) / (2.0 * a)
    return min(1.0, max(0.0, share))


def margin_for(half_range_mm: float, spread_mm: float, *, chance: float) -> float:
    """Margin that an error stays under with a chance; the error is that of `chance_within`.

    Parameters
    ----------
    half_range_mm : float
        Half the width of the even error [mm].
    spread_mm : float
        Standard deviation of the normal error [mm].
    chance : float
        0.5 to 0.9999.

    Returns
    -------
    float
        Margin, 0 at a chance of one half [mm].

    Raises
    ------
    OutOfRangeError
        A chance or an error outside its limits.

    Source
    ------
    `chance_within`, solved for the margin by halving
    """
    if not _CHANCES[0] <= chance <= _CHANCES[1] or min(half_range_mm, spread_mm) < 0.0:
        raise OutOfRangeError(f"chance {chance:g}, errors {half_range_mm:g} and {spread_mm:g} mm: no margin for these.")
    low, high = 0.0, half_range_mm + 6.0 * spread_mm
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        enough = chance_within(middle, half_range_mm, spread_mm=spread_mm) >= chance
        low, high = (low, middle) if enough else (middle, high)
    return high if chance > _CHANCES[0] else 0.0


def _side(finished_mm: float, shrinkage: Shrinkage, wanted: Wanted, *, sawn: int) -> SideTerms:
    """Terms of a side with none, one or two sawn faces."""
    # The green sizes that shrink to the finished one at least and at most shrinkage, and half way between them.
    least, most = (finished_mm / (1.0 - share) for share in (shrinkage.low, shrinkage.high))
    green, half = 0.5 * (least + most), 0.5 * (most - least)
    # A side that is not sawn at both faces is hewn to its line; the saw does not set it.
    spread = wanted.spread_mm if sawn == 2 else 0.0
    margin = margin_for(half, spread, chance=wanted.chance)
    allowance = sawn * wanted.allowance_mm
    terms = SideTerms(finished_mm, green - finished_mm, margin, allowance, half)
    if wanted.step_mm <= 0.0:
        return terms
    # A size within a thousandth of a step lies on it.
    steps = math.ceil(terms.cut_mm / wanted.step_mm - 1e-3)
    return replace(terms, rounding_mm=steps * wanted.step_mm - terms.cut_mm)


def cut_size(wanted: Wanted, species: Species) -> CutSize:
    """The size to cut a timber green, so that it has its finished size in the building.

    Parameters
    ----------
    wanted : Wanted
        Finished size, service moisture, allowance, spread and chance.
    species : Species
        Needs radial and tangential shrinkage.

    Returns
    -------
    CutSize
        Both sides, term by term.

    Raises
    ------
    UnknownValueError
        The species' shrinkage is not known.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-9 turned round: green = finished / (1 - S), half way between S radial and S
    tangential; the margin is `margin_for`
    """
    shrinkage = section_shrinkage(species, wanted.moisture)
    thickness = _side(wanted.thickness_mm, shrinkage, wanted, sawn=2)
    width = _side(wanted.width_mm, shrinkage, wanted, sawn=wanted.sawn_faces - 2)
    notes = [
        f"Shrinkage to {100 * wanted.moisture:.0f} % is between {100 * shrinkage.low:.1f} and "
        f"{100 * shrinkage.high:.1f} % of the green size, {shrinkage.basis}; no side can be told closer."
    ]
    if wanted.sawn_faces < 4:
        notes.append("Sides that are not sawn at both faces are hewn to their line, and get no margin for the saw.")
    return CutSize(species.name, wanted, thickness, width, shrinkage, (*notes, *shrinkage.notes))


@dataclass(frozen=True)
class DrySize:
    """Attributes: least and most of both sides at `moisture` [mm]; `notes`."""

    moisture: float
    thickness_mm: tuple[float, float]
    width_mm: tuple[float, float]
    notes: tuple[str, ...]


def dry_size(thickness_mm: float, width_mm: float, *, species: Species, moisture: float) -> DrySize:
    """What a green timber will measure when it is dry.

    Parameters
    ----------
    thickness_mm, width_mm : float
        Green size [mm].
    species : Species
        Needs radial and tangential shrinkage.
    moisture : float
        Moisture it comes to [fraction].

    Returns
    -------
    DrySize
        A range for each side.

    Raises
    ------
    UnknownValueError
        The species' shrinkage is not known.
    OutOfRangeError
        Moisture below 0.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-9
    """
    shrinkage = section_shrinkage(species, moisture)

    def side(size_mm: float) -> tuple[float, float]:
        return size_mm * (1.0 - shrinkage.high), size_mm * (1.0 - shrinkage.low)

    return DrySize(moisture, side(thickness_mm), side(width_mm), shrinkage.notes)
