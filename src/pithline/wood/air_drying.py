"""Days of air drying where no curve can be drawn: the published days of 1 in stock, for other sizes and seasons.

The table tells how long 1 in stock takes to 20 % in the best season and in the worst. Only the best
is used: it is stretched to other sizes by a power of the thickness, and walked through the months of
a climate, each of which does as many days' work as Arrhenius' law gives its mean temperature against 20 C.
That the worst season then comes out near the table's other number is checked in the tests.
"""

import math
from dataclasses import dataclass

from pithline.errors import OutOfRangeError, WoodError
from pithline.wood.climate import MONTHS, Climate
from pithline.wood.diffusion_law import ACTIVATION_K, pace
from pithline.wood.drying_surface import BOARD_MM, SEASON_EMC, TARGET
from pithline.wood.species import Known, Species, species_list

__all__ = [
    "DAYS_PER_MONTH",
    "EXPONENTS",
    "PILE_SPREAD",
    "AirDrying",
    "BoardDays",
    "air_drying",
    "board_days",
    "season_walk",
]

DAYS_PER_MONTH = 365.2425 / 12.0
"""Mean length of a month."""

EXPONENTS = (1.5, 2.0)
"""Powers of the thickness that the trade's rule and pure diffusion give; both recalled."""

PILE_SPREAD = 1.5
"""Our own choice: a poorer pile takes this many times the days of the table's best."""

_SIDES_MM = (6.0, 1_000.0)


@dataclass(frozen=True)
class BoardDays:
    """Published days of 1 in stock, green to 20 %.

    Attributes: `published`, the range from the best season to the worst;
    `best`, days of the best season, slow, middle, fast, the same where they are
    the species' own; `stand_in`, whether they are those of all softwoods.
    """

    published: Known
    best: tuple[float, float, float]
    stand_in: bool


@dataclass(frozen=True)
class AirDrying:
    """How long a piece takes to 20 %, as a band.

    Attributes: `species`; `climate`, its name; `start_month` 1 to 12; `days`,
    least and most; `best_season_days` that it would take were it always summer;
    `published`, the row it rests on, for 1 in; `stand_in`, whether that is the range of all softwoods for want of
    the species' own; `notes`, sentences to stand beside it.
    """

    species: str
    climate: str
    start_month: int
    days: tuple[float, float]
    best_season_days: tuple[float, float]
    published: Known
    stand_in: bool
    notes: tuple[str, ...]


def board_days(species: Species) -> BoardDays:
    """Published days in which 1 in stock of a species dries from green to 20 %.

    Parameters
    ----------
    species : Species
        Its own row, else, for a softwood, the range over the softwoods that have one.

    Returns
    -------
    BoardDays
        `stand_in` where they are not its own.

    Raises
    ------
    UnknownValueError
        The species has no row and is no softwood.

    Source
    ------
    species_values.csv, whose rows name their own; that all softwoods stand in for one is our own choice
    """
    own = species.values.get("air_dry_1in")
    if own is not None:
        return BoardDays(own, (own.low,) * 3, stand_in=False)
    if species.kind != "softwood":
        species.need("air_dry_1in")
    alike = [other for other in species_list() if other.kind == "softwood"]
    rows = [other.values["air_dry_1in"] for other in alike if "air_dry_1in" in other.values]
    fast, slow = min(row.low for row in rows), max(row.low for row in rows)
    status = "memory" if any(row.status == "memory" for row in rows) else "seen"
    published = Known(fast, max(row.high for row in rows), status, f"the range over {len(rows)} softwoods")
    return BoardDays(published, (slow, math.sqrt(slow * fast), fast), stand_in=True)


def season_walk(best_season_days: float, climate: Climate, *, start_month: int) -> float:
    """Calendar days in which a climate does the work of some days of the best season.

    Parameters
    ----------
    best_season_days : float
        Days at 20 C [days].
    climate : Climate
        Its temperatures count; its equilibrium moisture does not.
    start_month : int
        Month on whose first day it starts, 1 to 12.

    Returns
    -------
    float
        Days from the start [days].

    Raises
    ------
    WoodError
        There is no such month.

    Source
    ------
    Arrhenius' law, see `pace`; months of equal length
    """
    if not 1 <= start_month <= len(MONTHS):
        raise WoodError(f"start month: {start_month}; it lies between 1 and 12.")
    paces = [float(value) for value in pace(climate.temperature_c, ACTIVATION_K)]
    year = DAYS_PER_MONTH * sum(paces)
    years = math.floor(best_season_days / year)
    left = best_season_days - years * year
    days = years * len(MONTHS) * DAYS_PER_MONTH
    for ahead in range(len(MONTHS)):
        month = paces[(start_month - 1 + ahead) % len(MONTHS)]
        if left <= month * DAYS_PER_MONTH:
            return days + left / month
        left -= month * DAYS_PER_MONTH
        days += DAYS_PER_MONTH
    return days


def _best_season(thickness_mm: float, width_mm: float, *, board_days: float, power: float) -> float:
    """Days in the best season, both pairs of faces at work and their rates added."""
    return float(board_days / ((BOARD_MM / thickness_mm) ** power + (BOARD_MM / width_mm) ** power))


def air_drying(
    species: Species, climate: Climate, *, thickness_mm: float, width_mm: float = math.inf, start_month: int
) -> AirDrying:
    """How long a piece takes to air-dry from green to 20 %, by the published days of 1 in stock.

    1 / t = (25.4 / a)^n / t1 + (25.4 / b)^n / t1, a = `thickness_mm`, b = `width_mm`, t1 the published days of the best
    season, n from 1.5 to 2; then `season_walk`.

    Parameters
    ----------
    species : Species
        Needs the air-drying days of 1 in stock, for which those of all softwoods stand in.
    climate : Climate
        Where it is stacked.
    thickness_mm, width_mm : float
        Section; an infinite width leaves two faces to dry [mm].
    start_month : int
        Month on whose first day the green piece is stacked, 1 to 12.

    Returns
    -------
    AirDrying
        Least and most days.

    Raises
    ------
    UnknownValueError
        The days of 1 in stock are not known for the species, which is no softwood.
    OutOfRangeError
        A side below 6 mm, or a thickness above 1 m.
    WoodError
        There is no such month.

    Range
    -----
    The table is for 1 in. Other sizes are an extrapolation.

    Source
    ------
    The species' own row, mostly USDA FPL, Technical Note 233 (1960), Table 1; exponents of the thickness rule from
    general drying texts, recalled; adding the rates of both pairs of faces is our own
    """
    board = board_days(species)
    if not _SIDES_MM[0] <= thickness_mm <= _SIDES_MM[1] or width_mm < _SIDES_MM[0]:
        raise OutOfRangeError(
            f"a section of {thickness_mm:g} x {width_mm:g} mm: the rule is not stretched beyond {_SIDES_MM[0]:g} to "
            f"{_SIDES_MM[1]:g} mm."
        )
    scaled = [
        _best_season(thickness_mm, width_mm, board_days=days, power=power)
        for power in EXPONENTS
        for days in set(board.best)
    ]
    best = min(scaled), PILE_SPREAD * max(scaled)
    least, most = (season_walk(days, climate, start_month=start_month) for days in best)
    notes = _notes(species, board, climate, thickness_mm=thickness_mm)
    return AirDrying(
        species.name, climate.name, start_month, (least, most), best, board.published, board.stand_in, notes
    )


def _rests_on(species: Species, board: BoardDays) -> str:
    """The published days that a band rests on."""
    if board.stand_in:
        mostly = ", mostly recalled" if board.published.status == "memory" else ""
        return (
            f"No days of 1 in stock are known for {species.name}. Those of all softwoods stand in: "
            f"{board.best[2]:.0f} to {board.best[0]:.0f} days in the best season ({board.published.source}{mostly}). "
            f"Expect a wide band."
        )
    recalled = " The published number is recalled, not read in print." if board.published.status == "memory" else ""
    return (
        f"It rests on {board.published.low:.0f} days for 1 in stock in the best season ({board.published.source})."
        f"{recalled}"
    )


def _notes(species: Species, board: BoardDays, climate: Climate, *, thickness_mm: float) -> tuple[str, ...]:
    """What must be known of the band."""
    notes = [
        _rests_on(species, board),
        f"The band is our own: the exponent of the thickness between {EXPONENTS[0]:g} and {EXPONENTS[1]:g} (recalled), "
        f"and a poorer pile {PILE_SPREAD:g} times slower than the best.",
    ]
    if not 0.75 * BOARD_MM <= thickness_mm <= 2.0 * BOARD_MM:
        notes.append(
            f"Nothing in print was found for {thickness_mm:.0f} mm: the days are stretched from {BOARD_MM:.1f} mm."
        )
    mean = sum(climate.emc) / len(climate.emc)
    if mean >= TARGET:
        notes.append(
            f"Outdoors in {climate.name} wood comes to {100 * mean:.0f} %; it will not reach {100 * TARGET:.0f} %."
        )
    elif mean > SEASON_EMC + 0.03:
        notes.append(
            f"Outdoors in {climate.name} wood comes to {100 * mean:.0f} %; the days are for drier air and too few."
        )
    return (*notes, *climate.notes)
