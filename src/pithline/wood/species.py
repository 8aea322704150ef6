"""Species of wood: what the tables know of each, found by name."""

import difflib
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from types import MappingProxyType

from pithline.errors import UnknownValueError, WoodError
from pithline.lengths.spelling import quoted
from pithline.tables import read_table
from pithline.wood.units import KG_M3_PER_LB_FT3

__all__ = ["PROPERTIES", "Known", "Species", "find_species", "nearest_species", "own_species", "species_list"]

_TABLES = "pithline.wood"
_NEAREST = 3
_PER_CENT = 0.01

PROPERTIES: Mapping[str, str] = MappingProxyType(
    {
        "specific_gravity_green": "specific gravity, green",
        "specific_gravity_12": "specific gravity at 12 % moisture",
        "green_moisture_heartwood": "green moisture of the heartwood",
        "green_moisture_sapwood": "green moisture of the sapwood",
        "green_moisture_whole": "green moisture of the whole wood",
        "shrinkage_radial": "radial shrinkage",
        "shrinkage_tangential": "tangential shrinkage",
        "shrinkage_volumetric": "volumetric shrinkage",
        "change_radial": "radial change for each percent of moisture",
        "change_tangential": "tangential change for each percent of moisture",
        "differential_radial": "radial differential shrinkage",
        "differential_tangential": "tangential differential shrinkage",
        "density_12": "density at about 12 % moisture",
        "durability_class": "durability class",
        "bark_density": "density of green bark",
        "bark_volume": "volume of bark beside that of the wood",
        "air_dry_1in": "air-drying days of 1 in stock",
        "fiber_saturation": "fiber saturation point",
    }
)
"""Every property a species may have, in words."""

# To the core's units: fractions, kg/m3, and change for a whole unit of moisture.
_SCALES: Mapping[str, float] = MappingProxyType(
    {
        "-": 1.0,
        "% of dry mass": _PER_CENT,
        "% of green size": _PER_CENT,
        "% of wood volume": _PER_CENT,
        "% per % moisture": 1.0,
        "per % moisture": 1.0 / _PER_CENT,
        "kg/m3": 1.0,
        "lb/ft3": KG_M3_PER_LB_FT3,
        "days": 1.0,
        "EN 350 class": 1.0,
    }
)


@dataclass(frozen=True)
class Known:
    """A value of a species and where it comes from.

    Attributes: `low` and `high` in the core's unit, the same where one number
    is printed; `status` seen, memory, computed or given; `source` in words.
    """

    low: float
    high: float
    status: str
    source: str
    note: str = ""

    @property
    def value(self) -> float:
        """The middle of the range."""
        return 0.5 * (self.low + self.high)


@dataclass(frozen=True)
class Species:
    """A species and what is known of it.

    Attributes: `values` by property, see `PROPERTIES`: a property that is
    missing is not known; `decay_resistance` of the heartwood in words, with
    its status and source; `note`, what must be known before use.
    """

    name: str
    botanical_name: str = ""
    also_called: tuple[str, ...] = ()
    origin: str = ""
    kind: str = ""
    decay_resistance: str = ""
    decay_status: str = ""
    decay_source: str = ""
    note: str = ""
    values: Mapping[str, Known] = field(default_factory=lambda: MappingProxyType({}))

    def get(self, prop: str) -> float | None:
        """A value, or None where it is not known.

        Parameters
        ----------
        prop : str
            Key of `PROPERTIES`.

        Returns
        -------
        float or None
            In the core's unit: fractions, kg/m3, days.

        Source
        ------
        the row's own, see `Known.source`
        """
        known = self.values.get(prop)
        return None if known is None else known.value

    def need(self, prop: str) -> float:
        """A value that cannot be done without.

        Parameters
        ----------
        prop : str
            Key of `PROPERTIES`.

        Returns
        -------
        float
            In the core's unit.

        Raises
        ------
        UnknownValueError
            No table and no kit tells it.

        Source
        ------
        the row's own, see `Known.source`
        """
        value = self.get(prop)
        if value is None:
            raise UnknownValueError(
                f"{self.name}: the {PROPERTIES[prop]} is not known. Give it in the kit file, "
                f'under [species."{self.name.lower()}"], as {prop}.'
            )
        return value

    @property
    def fiber_saturation(self) -> float:
        """Moisture at which shrinkage starts, 30 % unless the tables know better [fraction]."""
        return self.get("fiber_saturation") or 0.30

    def recalled(self, props: Iterable[str]) -> tuple[str, ...]:
        """Which of some values were recalled and not read in print.

        Parameters
        ----------
        props : iterable of str
            Keys of `PROPERTIES`.

        Returns
        -------
        tuple of str
            Those that are known and have the status `memory`, in words.

        Source
        ------
        definition
        """
        return tuple(PROPERTIES[p] for p in props if p in self.values and self.values[p].status == "memory")


def _words(name: str) -> str:
    """A name as it is compared: small letters, nothing between words, what stands before a comma last."""
    plain = re.sub(r"[^a-z,]+", " ", name.lower())
    head, _, tail = plain.partition(",")
    return "".join(f"{tail} {head}".split())


@cache
def species_list() -> tuple[Species, ...]:
    """Return every species of the tables.

    Returns
    -------
    tuple of Species
        In the order of the table.

    Source
    ------
    species.csv and species_values.csv, whose rows name their own
    """
    titles = {row["key"]: row["title"] for row in read_table(_TABLES, "sources").rows}
    values: dict[str, dict[str, Known]] = {}
    for row in read_table(_TABLES, "species_values").rows:
        scale = _SCALES[row["unit"]]
        low, high = float(row["low"]) * scale, float(row["high"] or row["low"]) * scale
        known = Known(low, high, row["status"], titles[row["source"]], row["note"])
        values.setdefault(row["name"], {})[row["property"]] = known
    return tuple(
        Species(
            name=row["name"],
            botanical_name=row["botanical_name"],
            also_called=tuple(name.strip() for name in row["also_called"].split(";") if name.strip()),
            origin=row["origin"],
            kind=row["kind"],
            decay_resistance=row["decay_resistance"],
            decay_status=row["decay_status"],
            decay_source=titles.get(row["decay_source"], ""),
            note=row["note"],
            values=MappingProxyType(values.get(row["name"], {})),
        )
        for row in read_table(_TABLES, "species").rows
    )


def _names(species: Species) -> tuple[str, ...]:
    """Every name of a species."""
    return tuple(name for name in (species.name, species.botanical_name, *species.also_called) if name)


def find_species(name: str, own: Iterable[Species] = ()) -> Species:
    """The species of a name.

    Parameters
    ----------
    name : str
        Common or botanical name; capitals, hyphens and the order around a
        comma do not matter.
    own : iterable of Species
        The user's own, which go before those of the tables.

    Returns
    -------
    Species
        The one that has this name.

    Raises
    ------
    WoodError
        No species has it; the message names the three nearest.

    Source
    ------
    definition
    """
    wanted = _words(name)
    for species in (*own, *species_list()):
        if wanted and any(wanted == _words(known) for known in _names(species)):
            return species
    near = nearest_species(name, own)
    raise WoodError(f"species: {quoted(name)} is not known. The nearest are: {'; '.join(near)}.")


def nearest_species(name: str, own: Iterable[Species] = ()) -> tuple[str, ...]:
    """The three names that come nearest to one that is not known.

    Parameters
    ----------
    name : str
        What was read.
    own : iterable of Species
        The user's own species.

    Returns
    -------
    tuple of str
        Common names, nearest first: shared words count before shared letters.

    Source
    ------
    definition
    """
    joined = _words(name[:120])
    plain = re.sub(r"[^a-z]+", " ", name.lower()[:120]).split()

    def nearness(species: Species) -> float:
        best = 0.0
        for known in _names(species):
            words = re.sub(r"[^a-z]+", " ", known.lower()).split()
            # The order around a comma counts for the letters as it does for the name.
            shared = sum(any(word in (have, have.rstrip("s")) for have in words) for word in plain)
            letters = difflib.SequenceMatcher(None, joined, _words(known).replace(",", "")).ratio()
            best = max(best, shared + letters)
        return best

    ranked = sorted((*own, *species_list()), key=nearness, reverse=True)
    return tuple(dict.fromkeys(species.name for species in ranked))[:_NEAREST]


def own_species(name: str, values: Mapping[str, float], *, kind: str = "") -> Species:
    """A species of the user's, or one of the tables with some values of the user's.

    Parameters
    ----------
    name : str
        Its name; that of a table's species gives this one other values.
    values : mapping of str to float
        Property to value in the core's unit.
    kind : str
        Softwood, hardwood, or empty for the table's.

    Returns
    -------
    Species
        Values given have the status `given`.

    Raises
    ------
    WoodError
        A property is unknown, or a value is none.

    Source
    ------
    definition
    """
    try:
        base = find_species(name)
    except WoodError:
        base = Species(name=name)
    for prop, value in values.items():
        if prop not in PROPERTIES:
            raise WoodError(f"{name}: there is no property {prop}; there are {', '.join(PROPERTIES)}.")
        if not 0.0 < value < 1e6:
            raise WoodError(f"{name}: {prop} is {value:g}; it must be more than 0.")
    given = {prop: Known(value, value, "given", "the kit file") for prop, value in values.items()}
    return replace(base, kind=kind or base.kind, values=MappingProxyType({**base.values, **given}))
