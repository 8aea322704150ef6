"""What wood weighs: densities at any moisture, green weights as a range, weight a foot."""

import math
from dataclasses import dataclass

from pithline.errors import OutOfRangeError, UnknownValueError, WoodError
from pithline.wood.species import Species

__all__ = [
    "LOT_SPREAD",
    "GreenDensity",
    "density_kg_m3",
    "green_density",
    "maximum_moisture",
    "seasoned_density_kg_m3",
    "specific_gravity_at",
    "timber_density",
    "weight_lost",
    "weight_per_length",
]

LOT_SPREAD = 0.20
"""How far the average of a lot of green wood may lie off the table: USDA FPL, Technical Note 218 (rev. 1931), seen."""

_CELL_WALL = 1.54


def maximum_moisture(specific_gravity: float) -> float:
    """The most water wood can hold, every hollow filled.

    M = (1.54 - G) / (1.54 G), G = `specific_gravity`.

    Parameters
    ----------
    specific_gravity : float
        Oven-dry mass over green volume.

    Returns
    -------
    float
        Moisture of oven-dry mass [fraction].

    Raises
    ------
    OutOfRangeError
        Specific gravity not between 0 and 1.54, that of the cell wall.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-3
    """
    if not 0.0 < specific_gravity <= _CELL_WALL:
        raise OutOfRangeError(f"specific gravity: {specific_gravity:g}; wood lies between 0 and {_CELL_WALL}.")
    return (_CELL_WALL - specific_gravity) / (_CELL_WALL * specific_gravity)


def specific_gravity_at(basic: float, moisture: float, *, saturation: float = 0.30) -> float:
    """Specific gravity on the volume at a moisture, from that on green volume.

    G_x = G_b / (1 - 0.265 G_b (1 - x / s)), x = `moisture`, s = `saturation`.

    Parameters
    ----------
    basic : float
        Oven-dry mass over green volume.
    moisture : float
        Moisture of oven-dry mass [fraction].
    saturation : float
        Moisture above which the volume does not change [fraction].

    Returns
    -------
    float
        Oven-dry mass over volume at that moisture.

    Raises
    ------
    OutOfRangeError
        Specific gravity or moisture that no wood has.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-13

    Examples
    --------
    White ash, 0.55 green, comes to 0.603 at 12 %; Table 5-3b prints 0.60.
    """
    if not 0.0 < basic <= _CELL_WALL or moisture < 0.0:
        raise OutOfRangeError(f"specific gravity {basic:g} at moisture {moisture:g}: no wood is like that.")
    return basic / (1.0 - 0.265 * basic * max(0.0, 1.0 - moisture / saturation))


def density_kg_m3(specific_gravity: float, moisture: float) -> float:
    """Density of wood with the water in it.

    rho = 1000 G (1 + M), G on the volume at that moisture.

    Parameters
    ----------
    specific_gravity : float
        Oven-dry mass over volume at `moisture`.
    moisture : float
        Moisture of oven-dry mass [fraction].

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    OutOfRangeError
        More moisture than wood this heavy can hold, or less than none.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Tables 4-6a and 4-6b, which are this product

    Examples
    --------
    Table 4-6a prints 672 kg/m3 for 0.60 at 12 %, and 800 for 0.40 at 100 %.
    """
    most = maximum_moisture(specific_gravity)
    if not 0.0 <= moisture <= most * 1.001:
        raise OutOfRangeError(
            f"moisture: {100 * moisture:.0f} % is not between 0 and {100 * most:.0f} %, "
            f"the most that wood of specific gravity {specific_gravity:g} can hold."
        )
    return 1000.0 * specific_gravity * (1.0 + moisture)


def seasoned_density_kg_m3(specific_gravity_dry: float, moisture: float) -> float:
    """Density of seasoned lumber from the specific gravity on oven-dry volume.

    rho = 1000 G (1 + M) / (1 + 0.9 G M).

    Parameters
    ----------
    specific_gravity_dry : float
        Oven-dry mass over oven-dry volume; not the green-volume value.
    moisture : float
        Moisture, at most fiber saturation [fraction].

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    OutOfRangeError
        Moisture above 30 %.

    Range
    -----
    Meant for lumber below fiber saturation.

    Source
    ------
    AWC, National Design Specification Supplement, as printed in an engineering reference
    """
    if not 0.0 <= moisture <= 0.30:
        raise OutOfRangeError(f"moisture: {100 * moisture:.0f} %; the formula is for seasoned lumber, 0 to 30 %.")
    return 1000.0 * specific_gravity_dry * (1.0 + moisture) / (1.0 + 0.9 * specific_gravity_dry * moisture)


@dataclass(frozen=True)
class GreenDensity:
    """Density of green wood as a range.

    Attributes: `low_kg_m3`, `high_kg_m3`; `typical_kg_m3` between; `basis` in
    words; `notes`, sentences that belong beside it.
    """

    low_kg_m3: float
    typical_kg_m3: float
    high_kg_m3: float
    basis: str
    notes: tuple[str, ...] = ()


def _held(species: Species, prop: str, most: float) -> tuple[float | None, tuple[str, ...]]:
    """A green moisture, not over what the wood can hold."""
    value = species.get(prop)
    if value is None or value <= most:
        return value, ()
    if species.values[prop].status == "given":
        raise WoodError(
            f"{species.name}: {prop} of {100 * value:.0f} % is over {100 * most:.0f} %, the most that wood of its "
            f"specific gravity can hold. Check both."
        )
    note = f"The tables' {prop.replace('_', ' ')} of {100 * value:.0f} % is over what the wood can hold"
    return most, (f"{note}; {100 * most:.0f} % is taken.",)


def green_density(species: Species, *, heart_share: float | None = None) -> GreenDensity:
    """Green density of a species, from its lightest likely log to its heaviest.

    Heartwood and sapwood give the two ends where both moistures are known, or
    one mixture where `heart_share` is; else the average of the whole wood. The
    range is never narrower than 20 % each way, how far a lot may lie off the
    table, nor wider than wood full of water.

    Parameters
    ----------
    species : Species
        Needs a green specific gravity and any of the green moistures.
    heart_share : float or None
        Share of the volume that is heartwood; None where it is not known.

    Returns
    -------
    GreenDensity
        The range, and what it rests on.

    Raises
    ------
    UnknownValueError
        The species has no specific gravity or no green moisture.
    WoodError
        A moisture the user gave is over what the wood can hold.

    Source
    ------
    Product of Wood Handbook, Tables 4-6a and 4-6b, at green moistures of Table 4-1 or of forest inventories; spread:
    USDA FPL, Technical Note 218 (rev. 1931)
    """
    gravity = species.need("specific_gravity_green")
    most = maximum_moisture(gravity)
    heart, heart_notes = _held(species, "green_moisture_heartwood", most)
    sap, sap_notes = _held(species, "green_moisture_sapwood", most)
    whole, whole_notes = _held(species, "green_moisture_whole", most)
    moistures: list[float]
    if heart is not None and sap is not None:
        mixed = 0.5 if heart_share is None else heart_share
        middle = mixed * heart + (1.0 - mixed) * sap
        if heart_share is None:
            moistures = [heart, sap, *([whole] if whole is not None else [])]
            middle = whole if whole is not None else middle
            basis = "between all heartwood and all sapwood"
        else:
            moistures, basis = [middle], "heartwood and sapwood by their share"
    elif whole is not None or heart is not None:
        middle = whole if whole is not None else float(heart or 0.0)
        moistures = [middle]
        basis = "average of the whole wood" if whole is not None else "heartwood alone, no other moisture is known"
    else:
        raise UnknownValueError(
            f"{species.name}: no green moisture is known, so its green weight is not. Give green_moisture_whole in "
            f'the kit file, under [species."{species.name.lower()}"].'
        )
    typical = 1000.0 * gravity * (1.0 + middle)
    low = min(1000.0 * gravity * (1.0 + min(moistures)), (1.0 - LOT_SPREAD) * typical)
    high = max(1000.0 * gravity * (1.0 + max(moistures)), (1.0 + LOT_SPREAD) * typical)
    full = 1000.0 * gravity * (1.0 + most)
    props = ("specific_gravity_green", "green_moisture_heartwood", "green_moisture_sapwood", "green_moisture_whole")
    recalled = species.recalled(props)
    notes = (*heart_notes, *sap_notes, *whole_notes)
    if heart is not None and sap is not None and whole is not None and not min(heart, sap) <= whole <= max(heart, sap):
        notes = (
            *notes,
            f"{species.name}: two sources disagree, the whole wood lies outside its heartwood and sapwood.",
        )
    if recalled:
        notes = (*notes, f"{species.name}: {', '.join(recalled)} from memory.")
    return GreenDensity(max(low, 1000.0 * gravity), typical, min(high, full), basis, notes)


def timber_density(species: Species, moisture: float) -> float:
    """Density of a species at a moisture, on its size at that moisture.

    Parameters
    ----------
    species : Species
        Needs a green specific gravity.
    moisture : float
        Moisture of oven-dry mass [fraction].

    Returns
    -------
    float
        Density [kg/m3].

    Raises
    ------
    UnknownValueError
        The species has no green specific gravity.
    OutOfRangeError
        More moisture than the wood can hold.

    Source
    ------
    USDA FPL, Wood Handbook, FPL-GTR-282 (2021), Eq. 4-13 and Table 4-6a
    """
    basic = species.need("specific_gravity_green")
    return density_kg_m3(specific_gravity_at(basic, moisture, saturation=species.fiber_saturation), moisture)


def weight_lost(from_moisture: float, to_moisture: float) -> float:
    """Share of its weight that wood loses in drying.

    1 - (1 + M2) / (1 + M1).

    Parameters
    ----------
    from_moisture, to_moisture : float
        Before and after [fraction of oven-dry mass].

    Returns
    -------
    float
        Share of the first weight; negative where it gains.

    Raises
    ------
    OutOfRangeError
        A moisture below 0.

    Source
    ------
    definition: the oven-dry mass stays
    """
    if min(from_moisture, to_moisture) < 0.0:
        raise OutOfRangeError("moisture: it cannot be below 0.")
    return 1.0 - (1.0 + to_moisture) / (1.0 + from_moisture)


def weight_per_length(density: float, diameter_mm: float) -> float:
    """Mass of a round log for each meter of its length.

    m = rho pi d^2 / 4.

    Parameters
    ----------
    density : float
        Density [kg/m3].
    diameter_mm : float
        Diameter [mm].

    Returns
    -------
    float
        Mass a meter [kg/m].

    Raises
    ------
    OutOfRangeError
        Density or diameter below 0.

    Source
    ------
    definition

    Examples
    --------
    US National Park Service, log weights: beech of 54 lb/ft3 and 12 in is printed as 42 lb a foot.
    """
    if density < 0.0 or diameter_mm < 0.0:
        raise OutOfRangeError("density and diameter cannot be below 0.")
    return density * math.pi * (diameter_mm / 2000.0) ** 2
