"""Species that a kit file tells more of, or that only it knows."""

from collections.abc import Mapping
from typing import Any, Final

from pithline.errors import WoodError
from pithline.job.faults import FaultList
from pithline.lengths.spelling import quoted
from pithline.tables import read_table
from pithline.wood.reading import parse_density, parse_moisture
from pithline.wood.species import Species, own_species

__all__ = ["SECTION", "species_of"]

SECTION: Final = "species"
"""Name of the section, under which each species has one of its own."""

_KINDS: Final = ("softwood", "hardwood")
_MOST: Final = 200
_LONGEST_NAME: Final = 60
_EXAMPLES: Final = {"share": '"65 %"', "density": '"45 lb/ft3"', "number": "0.35"}


def species_of(held: Any, file: str, faults: FaultList) -> tuple[Species, ...]:
    """Read the species sections of a kit file.

    Parameters
    ----------
    held : any
        What stands under `species`, as TOML gives it.
    file : str
        Name for messages.
    faults : FaultList
        Takes up what cannot be used.

    Returns
    -------
    tuple of Species
        Those without a fault.

    Source
    ------
    definition
    """
    if held is None:
        return ()
    if not isinstance(held, Mapping) or not all(isinstance(part, Mapping) for part in held.values()):
        faults.add(f'{file}, species: write a section for each, as [species."eastern white pine"], its values below.')
        return ()
    if len(held) > _MOST:
        faults.add(f"{file}, species: {len(held)} of them; keep {_MOST} or fewer.")
        return ()
    found = [species for name, part in held.items() if (species := _one(name, part, file, faults)) is not None]
    seen: set[str] = set()
    for species in found:
        if species.name.casefold() in seen:
            faults.add(f"{file}, species: {quoted(species.name)} stands there twice. Keep one of them.")
        seen.add(species.name.casefold())
    return tuple(found)


def _one(name: str, part: Mapping[str, Any], file: str, faults: FaultList) -> Species | None:
    """One species, or None where its section has a fault."""
    where = f"{file}, species.{quoted(name)}"
    before = faults.count
    if not name.strip() or len(name) > _LONGEST_NAME or not name.isprintable():
        faults.add(f"{where}: write a name of one to {_LONGEST_NAME} letters on one line.")
    limits = {row["property"]: row for row in read_table("pithline.wood", "species_limits").rows}
    kind = part.get("kind", "")
    if kind and kind not in _KINDS:
        faults.add(f"{where}, kind: read {quoted(str(kind))}; write softwood or hardwood, in quotation marks.")
    values = {}
    for key, written in part.items():
        if key == "kind":
            continue
        if key not in limits:
            faults.add(f"{where}: there is no value {quoted(key)[1:-1]}; there are {', '.join(limits)} and kind.")
            continue
        try:
            values[key] = _value(written, limits[key])
        except WoodError as error:
            faults.add(f"{where}, {key}: {str(error).removeprefix('density: ').removeprefix('moisture: ')}")
    if faults.count > before:
        return None
    species = own_species(name, values, kind=str(kind))
    radial, tangential = species.get("shrinkage_radial"), species.get("shrinkage_tangential")
    if radial is not None and tangential is not None and radial > tangential:
        faults.add(
            f"{where}: radial shrinkage of {100 * radial:g} % is over tangential of {100 * tangential:g} %; wood "
            f"shrinks more along the rings. Swap them, or check both."
        )
    return species


def _value(written: Any, row: Mapping[str, str]) -> float:
    """One value in the core's unit, within its limits."""
    form = row["written_as"]
    if form == "number":
        if isinstance(written, bool) or not isinstance(written, int | float):
            raise WoodError(f"read {quoted(str(written))}; write a number without a unit, as {_EXAMPLES[form]}.")
        value = float(written)
    elif not isinstance(written, str):
        raise WoodError(f"read {quoted(str(written))}; write it with its unit, as {_EXAMPLES[form]}.")
    else:
        value = parse_moisture(written) if form == "share" else parse_density(written)
    least, most = float(row["least"]), float(row["most"])
    if not least <= value <= most:
        scale, unit = (100.0, " %") if form == "share" else (1.0, " kg/m3" if form == "density" else "")
        raise WoodError(
            f"read {quoted(str(written))}; it must lie between {scale * least:g} and {scale * most:g}{unit}. "
            f"Check the unit, or measure again."
        )
    return value
