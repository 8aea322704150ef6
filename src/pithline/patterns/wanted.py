"""The price list: timbers wanted and boards taken, and what they are worth."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pithline.errors import InputError, TimberError
from pithline.fit.timber import Timber
from pithline.lengths import told
from pithline.logs.recovery import MM3_PER_BF
from pithline.logs.solid import LogSolid
from pithline.wood.cutsize import Wanted, cut_size
from pithline.wood.species import Species, find_species

__all__ = ["PriceList", "WantedBoard", "WantedTimber", "list_for"]


@dataclass(frozen=True)
class WantedTimber:
    """A timber of the list.

    Attributes: `name`; `timber`, what is cut, its length None for the whole
    log; `count` wanted, None for as many as there are; `value_bf`, worth of a
    board foot of its finished size; `species` that will do, none for any;
    `wanted`, where the finished size in the building is what was asked, so
    that the cut size hangs on the log's species; `is_must`, whether the
    building cannot do without; `role` in the building.
    """

    name: str
    timber: Timber
    count: int | None = None
    value_bf: float = 1.0
    species: tuple[str, ...] = ()
    wanted: Wanted | None = None
    is_must: bool = True
    role: str = ""

    def __post_init__(self) -> None:
        """Refuse what cannot be priced."""
        if self.count is not None and self.count < 0:
            raise TimberError(f"{self.name}: count {self.count}; write how many are wanted, or leave it empty.")
        _check_value(self.name, self.value_bf)

    def worth(self, length_mm: float) -> float:
        """Worth of one of them.

        Parameters
        ----------
        length_mm : float
            Its length [mm].

        Returns
        -------
        float
            In the price list's money.

        Source
        ------
        definition: a board foot is 144 in3 of the finished size
        """
        return self.value_bf * self.timber.thickness_mm * self.timber.width_mm * length_mm / MM3_PER_BF


@dataclass(frozen=True)
class WantedBoard:
    """A board or plank that is taken wherever the wood leaves one.

    Attributes: `name`; green `thickness_mm`; `least_width_mm` and
    `least_length_mm`; `value_bf`, worth of a board foot of its size as cut.
    """

    name: str
    thickness_mm: float
    least_width_mm: float
    least_length_mm: float
    value_bf: float

    def __post_init__(self) -> None:
        """Refuse what is no board."""
        sizes = (self.thickness_mm, self.least_width_mm, self.least_length_mm)
        if not all(math.isfinite(size) for size in sizes) or not 6.0 <= self.thickness_mm <= 200.0:
            raise TimberError(
                f"{self.name}: a board {told(self.thickness_mm)} thick; it must lie between {told(6.0)} and 200 mm."
            )
        if not 10.0 <= self.least_width_mm <= 2_000.0 or not 100.0 <= self.least_length_mm <= 40_000.0:
            raise TimberError(
                f"{self.name}: least width {told(self.least_width_mm)} and least length {told(self.least_length_mm)}; "
                f"give 10 mm to 2 m, and 100 mm to 40 m."
            )
        _check_value(self.name, self.value_bf)


@dataclass(frozen=True)
class PriceList:
    """What is wanted of the logs.

    Attributes: `timbers`; `boards`; `notes` that belong beside every answer.
    """

    timbers: tuple[WantedTimber, ...] = ()
    boards: tuple[WantedBoard, ...] = ()
    notes: tuple[str, ...] = ()


def _check_value(name: str, value_bf: float) -> None:
    """Refuse a worth that is no number, negative, or beyond all sense."""
    if not math.isfinite(value_bf) or not 0.0 <= value_bf <= 1e6:
        raise TimberError(f"{name}: value {value_bf:g} a board foot; give zero or more, under a million.")


def _named(wanted: str, species: str, own: Sequence[Species]) -> bool:
    """Whether a log's species is the one a timber asks for, by any of its names."""
    if wanted.strip().casefold() == species.strip().casefold():
        return True
    try:
        return find_species(wanted, own).name == find_species(species, own).name
    except InputError:
        return False


def list_for(log: LogSolid, prices: PriceList, *, own: Sequence[Species] = ()) -> PriceList:
    """What of a price list can come from one log, cut sizes worked out for its species.

    Parameters
    ----------
    log : LogSolid
        The log.
    prices : PriceList
        The list.
    own : sequence of Species
        What the kit tells of species.

    Returns
    -------
    PriceList
        Timbers of other species left out, those without number too; a timber
        that needs its species' shrinkage where that is not known is left out
        with a note.

    Source
    ------
    definition
    """
    kept: list[WantedTimber] = []
    notes = list(prices.notes)
    for item in prices.timbers:
        if item.count == 0 or (item.species and not any(_named(name, log.species, own) for name in item.species)):
            continue
        if item.wanted is None:
            kept.append(item)
            continue
        try:
            cut = cut_size(item.wanted, find_species(log.species, own))
        except InputError as error:
            notes.append(f"{item.name} is left out: what to cut for its finished size is not known. {error}")
            continue
        timber = item.timber
        rules = {
            "length_mm": timber.length_mm,
            "wane_mm": timber.wane_mm,
            "heart": timber.heart,
            "heart_margin_mm": timber.heart_margin_mm,
        }
        kept.append(replace(item, timber=Timber.of_cut(cut, **rules)))
    return PriceList(tuple(kept), prices.boards, tuple(notes))
