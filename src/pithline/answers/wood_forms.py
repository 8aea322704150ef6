"""Answers about wood as plain dictionaries: the documented JSON form."""

from typing import Any

from pithline.errors import UnknownValueError
from pithline.wood.air import Equilibrium
from pithline.wood.cautions import wood_cautions
from pithline.wood.cutsize import CutSize, DrySize, SideTerms
from pithline.wood.density import green_density, weight_per_length
from pithline.wood.service import Service
from pithline.wood.settling import Settling
from pithline.wood.species import Species

__all__ = ["air_form", "cut_form", "cutsize_form", "service_form", "settle_form", "wood_form"]

Form = dict[str, Any]


def _mm(value_mm: float) -> float:
    """A length to a ten-thousandth of a millimeter."""
    return round(float(value_mm), 4)


def _pair(pair_mm: tuple[float, float]) -> list[float]:
    """Least and most."""
    return [_mm(value) for value in pair_mm]


def wood_form(species: Species) -> Form:
    """The answer to `wood`.

    Parameters
    ----------
    species : Species
        The species.

    Returns
    -------
    dict
        Keys as in docs/json.md; null where nothing is known.

    Source
    ------
    the tables of `pithline.wood`
    """
    try:
        density = green_density(species)
    except UnknownValueError:
        density = None
    values = {
        prop: {"low": round(known.low, 6), "high": round(known.high, 6), "status": known.status, "source": known.source}
        for prop, known in species.values.items()
    }
    return {
        "name": species.name,
        "botanical_name": species.botanical_name,
        "kind": species.kind,
        "origin": species.origin,
        "specific_gravity_green": species.get("specific_gravity_green"),
        "green_density_kg_m3": None if density is None else [round(density.low_kg_m3, 1), round(density.high_kg_m3, 1)],
        "green_mass_kg_m": None
        if density is None
        else {
            str(diameter): [
                round(weight_per_length(value, float(diameter)), 2) for value in (density.low_kg_m3, density.high_kg_m3)
            ]
            for diameter in range(200, 601, 50)
        },
        "shrinkage": {
            "radial": species.get("shrinkage_radial"),
            "tangential": species.get("shrinkage_tangential"),
            "volumetric": species.get("shrinkage_volumetric"),
        },
        "fiber_saturation": species.fiber_saturation,
        "decay_resistance": species.decay_resistance or None,
        "values": values,
        "cautions": list(wood_cautions(species.name)),
        "notes": [note for note in (species.note, *(density.notes if density else ())) if note],
    }


def air_form(answer: Equilibrium) -> Form:
    """The answer to `air` for one state of the air.

    Parameters
    ----------
    answer : Equilibrium
        Moisture that wood comes to.

    Returns
    -------
    dict
        `emc`, `temperature_c`, `humidity`, `notes`.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-5
    """
    return {
        "emc": round(answer.moisture, 6),
        "temperature_c": round(answer.temperature_c, 3),
        "humidity": round(answer.humidity, 6),
        "notes": list(answer.notes),
    }


def service_form(name: str, answer: Service, *, heated_c: float | None = None) -> Form:
    """The answer to `air` for twelve months.

    Parameters
    ----------
    name : str
        The place.
    answer : Service
        Moisture month by month.
    heated_c : float or None
        What the room is heated to, None for outdoors under a roof [deg C].

    Returns
    -------
    dict
        `heated_to_c`, `emc` the mean of the year, `low`, `high`, `months`, `notes`.

    Source
    ------
    `service_moisture`
    """
    return {
        "place": name,
        "heated_to_c": None if heated_c is None else round(heated_c, 3),
        "emc": round(answer.mean, 6),
        "low": round(answer.low, 6),
        "high": round(answer.high, 6),
        "months": [round(moisture, 6) for moisture in answer.months],
        "notes": list(answer.notes),
    }


def _terms(side: SideTerms, word: str) -> list[Form]:
    """Terms of one side in the order in which they are added."""
    terms = {
        "finished": side.finished_mm,
        "shrinkage": side.shrinkage_mm,
        "margin": side.margin_mm,
        "allowance": side.allowance_mm,
        "rounding": side.rounding_mm,
    }
    return [{"side": word, "term": name, "mm": _mm(value)} for name, value in terms.items()]


def cut_form(cut: CutSize) -> Form:
    """A cut size as it stands in the answers of `cutsize`, `fit` and `setup`.

    Parameters
    ----------
    cut : CutSize
        The size to cut.

    Returns
    -------
    dict
        `green_mm`, `cut_mm` as thickness and width, and the `terms` that add up to it.

    Source
    ------
    `cut_size`
    """
    return {
        "species": cut.species,
        "moisture": round(cut.wanted.moisture, 6),
        "finished_mm": [_mm(cut.thickness.finished_mm), _mm(cut.width.finished_mm)],
        "green_mm": [_mm(cut.thickness.green_mm), _mm(cut.width.green_mm)],
        "cut_mm": [_mm(cut.thickness.cut_mm), _mm(cut.width.cut_mm)],
        "terms": [*_terms(cut.thickness, "thickness"), *_terms(cut.width, "width")],
        "shrinkage": [round(cut.shrinkage.low, 6), round(cut.shrinkage.high, 6)],
        "spread_mm": _mm(cut.wanted.spread_mm),
        "full_size_chance": cut.wanted.chance,
        "notes": list(cut.notes),
    }


def cutsize_form(cut: CutSize, dry: DrySize) -> Form:
    """The answer to `cutsize`.

    Parameters
    ----------
    cut : CutSize
        The size to cut.
    dry : DrySize
        What comes of it.

    Returns
    -------
    dict
        As `cut_form`, and `dry_mm`, least and most of thickness and width once it is dry.

    Source
    ------
    `cut_size` and `dry_size`
    """
    return {**cut_form(cut), "dry_mm": [_pair(dry.thickness_mm), _pair(dry.width_mm)]}


def settle_form(answer: Settling) -> Form:
    """The answer to `settle`.

    Parameters
    ----------
    answer : Settling
        Computed and published figures.

    Returns
    -------
    dict
        Keys as in docs/json.md.

    Source
    ------
    `settling`
    """
    return {
        "log_height_mm": _mm(answer.log_height_mm),
        "shrinkage_mm": _pair(answer.shrinkage_mm),
        "compaction_mm": _pair(answer.compaction_mm),
        "drop_mm": _pair(answer.drop_mm),
        "opening_mm": _pair(answer.opening_mm),
        "leave_mm": _mm(answer.leave_mm),
        "published": [
            {
                "case": one.case,
                "low": round(one.low, 6),
                "high": round(one.high, 6),
                "status": one.status,
                "source": one.source,
            }
            for one in answer.allowances
        ],
        "notes": list(answer.notes),
    }
