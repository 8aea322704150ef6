"""Stickers and top weight of a stack that dries."""

import math
from dataclasses import dataclass

from pithline.errors import WoodError
from pithline.tables import read_table

__all__ = ["Practice", "Stacking", "Stickers", "TopWeight", "practice", "stacking", "stickers", "top_weight"]

_GRAVITY_M_S2 = 9.80665
_A_HAIR = 1e-9
_TIMBER_MM = 100.0


@dataclass(frozen=True)
class Practice:
    """A number of the table. Attributes: `low`, `high`, the same where one is given; `unit`, `status`, `source`."""

    low: float
    high: float
    unit: str
    status: str
    source: str


def practice(item: str) -> Practice:
    """A number of how stacks are built.

    Parameters
    ----------
    item : str
        As in the table: "stick spacing", "top weight", and so on.

    Returns
    -------
    Practice
        With its status.

    Raises
    ------
    WoodError
        The table has no such item.

    Source
    ------
    stacking.csv, whose rows name their own
    """
    rows = {row["item"]: row for row in read_table("pithline.wood", "stacking").rows}
    if item not in rows:
        raise WoodError(f'stacking: nothing is told of "{item}"; there are {"; ".join(rows)}.')
    row = rows[item]
    return Practice(float(row["low"]), float(row["high"] or row["low"]), row["unit"], row["status"], row["source"])


@dataclass(frozen=True)
class Stickers:
    """Stickers of one layer.

    Attributes: `count`; `spacing_mm` between their centers; `positions_mm`
    from one end, the first and last at the ends.
    """

    count: int
    spacing_mm: float
    positions_mm: tuple[float, ...]


def stickers(length_mm: float, *, most_mm: float | None = None) -> Stickers:
    """Stickers that a layer needs, evenly spaced and one at each end.

    n = ceil(L / s) + 1, spacing L / (n - 1), L = `length_mm`, s = `most_mm`.

    Parameters
    ----------
    length_mm : float
        Of the layer [mm].
    most_mm : float or None
        Widest spacing allowed; None for the table's general one, 600 mm [mm].

    Returns
    -------
    Stickers
        At least two.

    Raises
    ------
    WoodError
        A length or a spacing that no stack has.

    Source
    ------
    definition; the general spacing from stacking.csv

    Examples
    --------
    4 m at 600 mm at most: 8 stickers, 571 mm apart.
    """
    widest = practice("stick spacing").low if most_mm is None else most_mm
    if not 300.0 <= length_mm <= 30_000.0:
        raise WoodError(f"length: {length_mm:g} mm; a layer lies between 300 mm and 30 m long.")
    if not 100.0 <= widest <= 3_000.0:
        raise WoodError(f"sticker spacing: {widest:g} mm; it lies between 100 mm and 3 m.")
    gaps = max(1, math.ceil(length_mm / widest - _A_HAIR))
    positions = tuple(length_mm * gap / gaps for gap in range(gaps + 1))
    return Stickers(gaps + 1, length_mm / gaps, positions)


@dataclass(frozen=True)
class TopWeight:
    """Weight on top of a pile. Attributes: `pressure_kpa`, `force_n`, `mass_kg`."""

    pressure_kpa: float
    force_n: float
    mass_kg: float


def top_weight(width_mm: float, length_mm: float, *, pressure_kpa: float | None = None) -> TopWeight:
    """Weight that holds the top layers of a pile flat.

    F = p b L, m = F / g, p = `pressure_kpa`, b = `width_mm`, L = `length_mm`.

    Parameters
    ----------
    width_mm, length_mm : float
        Of the pile [mm].
    pressure_kpa : float or None
        None for the least of the table, 2.4 kPa [kPa].

    Returns
    -------
    TopWeight
        Force and mass.

    Raises
    ------
    WoodError
        A size or a pressure that no pile has.

    Source
    ------
    definition; the pressure from stacking.csv

    Examples
    --------
    1.2 x 4 m at 2.4 kPa: 11.5 kN.
    """
    pressure = practice("top weight").low if pressure_kpa is None else pressure_kpa
    if not all(100.0 <= side <= 30_000.0 for side in (width_mm, length_mm)):
        raise WoodError(f"pile: {width_mm:g} x {length_mm:g} mm; each side lies between 100 mm and 30 m.")
    if not 0.0 <= pressure <= 20.0:
        raise WoodError(f"top weight: {pressure:g} kPa; it lies between 0 and 20 kPa.")
    # A kilopascal is a thousandth of a newton on a square millimeter.
    force = 1e-3 * pressure * width_mm * length_mm
    return TopWeight(pressure, force, force / _GRAVITY_M_S2)


@dataclass(frozen=True)
class Stacking:
    """How one layer and its pile are built.

    Attributes: `stickers` of a layer; `spacing`, the row their widest spacing is from; `stick_thickness` and
    `foundation` above ground, as rows; `weight` on top; `notes`, sentences to stand beside it.
    """

    stickers: Stickers
    spacing: Practice
    stick_thickness: Practice
    foundation: Practice
    weight: TopWeight
    notes: tuple[str, ...]


def stacking(
    length_mm: float, thickness_mm: float, *, keep_flat: bool = False, pile_width_mm: float | None = None
) -> Stacking:
    """How to stack pieces of one length and thickness.

    Parameters
    ----------
    length_mm, thickness_mm : float
        Of the pieces; the thickness is their smaller side [mm].
    keep_flat : bool
        The species twists or flatness counts: stickers of pieces below 100 mm stand half as far apart.
    pile_width_mm : float or None
        None for the widest pile of the table [mm].

    Returns
    -------
    Stacking
        Pieces of 100 mm and more get the table's rows for timbers, of which the closest spacing is taken.

    Raises
    ------
    WoodError
        A length, a thickness or a width that no stack has.

    Source
    ------
    stacking.csv, whose rows name their own
    """
    if not 6.0 <= thickness_mm <= 1_000.0:
        raise WoodError(f"thickness: {thickness_mm:g} mm; it lies between 6 mm and 1 m.")
    timber = thickness_mm >= _TIMBER_MM
    named = ", timbers of 100 mm and more" if timber else ""
    spacing = practice("stick spacing where flatness counts" if keep_flat and not timber else f"stick spacing{named}")
    thickness, foundation = practice(f"stick thickness{named}"), practice("foundation above ground")
    wide = practice("pile width").high if pile_width_mm is None else pile_width_mm
    notes = [
        "Stickers are dry, of one thickness, in line above each other and over bearers.",
        "Strap the weight down, and the pile: a tall pile topples.",
    ]
    told = {"sticker spacing": spacing, "sticker thickness": thickness, "height above ground": foundation}
    recalled = [what for what, row in told.items() if row.status == "memory"]
    if recalled:
        notes.append(f"Recalled, not read in print: {', '.join(recalled)}.")
    return Stacking(
        stickers=stickers(length_mm, most_mm=spacing.low),
        spacing=spacing,
        stick_thickness=thickness,
        foundation=foundation,
        weight=top_weight(wide, length_mm),
        notes=tuple(notes),
    )
