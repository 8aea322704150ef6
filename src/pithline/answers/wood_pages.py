"""Answers about wood as plain lines of text: a species, the air, a cut size, the settling of a wall."""

from collections.abc import Sequence

from pithline.answers.columns import columns
from pithline.answers.words import in_a_sentence, section_text
from pithline.errors import UnknownValueError
from pithline.lengths import MM_PER_INCH, Tape
from pithline.wood.air import Equilibrium
from pithline.wood.cautions import wood_cautions
from pithline.wood.climate import MONTHS
from pithline.wood.cutsize import CutSize, DrySize, SideTerms
from pithline.wood.density import GreenDensity, green_density, timber_density, weight_per_length
from pithline.wood.service import Service
from pithline.wood.settling import Settling
from pithline.wood.shrinkage import section_shrinkage
from pithline.wood.species import PROPERTIES, Known, Species
from pithline.wood.units import KG_M3_PER_LB_FT3, KG_PER_LB

__all__ = [
    "air_lines",
    "cut_lines",
    "cutsize_lines",
    "density_text",
    "mass_text",
    "service_lines",
    "settle_lines",
    "share_range",
    "wood_lines",
]

_LB_PER_KG = 1.0 / KG_PER_LB
_LB_FT3 = 1.0 / KG_M3_PER_LB_FT3


def _round(value: float) -> str:
    """A number of pounds or kilograms to what it is worth: three figures."""
    step = 1.0 if value < 200.0 else (5.0 if value < 1000.0 else 10.0)
    return f"{step * round(value / step):,.0f}"


def mass_text(low_kg: float, high_kg: float, *, tape: Tape) -> str:
    """A range of masses, as in 600 to 760 lb.

    Parameters
    ----------
    low_kg, high_kg : float
        Ends of the range [kg].
    tape : Tape
        Pounds beside inches, kilograms beside millimeters.

    Returns
    -------
    str
        Words with the unit.

    Source
    ------
    definition
    """
    scale, unit = (1.0, "kg") if tape.style == "mm" else (_LB_PER_KG, "lb")
    low, high = _round(low_kg * scale), _round(high_kg * scale)
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def density_text(low_kg_m3: float, high_kg_m3: float, *, tape: Tape) -> str:
    """A range of densities, as in 28 to 42 lb/ft3.

    Parameters
    ----------
    low_kg_m3, high_kg_m3 : float
        Ends of the range [kg/m3].
    tape : Tape
        Pounds a cubic foot beside inches, kilograms a cubic meter beside millimeters.

    Returns
    -------
    str
        Words with the unit.

    Source
    ------
    definition
    """
    scale, unit = (1.0, "kg/m3") if tape.style == "mm" else (_LB_FT3, "lb/ft3")
    return f"{low_kg_m3 * scale:.0f} to {high_kg_m3 * scale:.0f} {unit}"


def share_range(low: float, high: float) -> str:
    """A range of shares in percent, as in 1.3 to 3.7 %.

    Parameters
    ----------
    low, high : float
        Shares [fraction].

    Returns
    -------
    str
        Words with the unit.

    Source
    ------
    definition
    """
    return f"{100 * low:.1f} %" if round(low, 4) == round(high, 4) else f"{100 * low:.1f} to {100 * high:.1f} %"


def _known_text(known: Known, *, share: bool) -> str:
    """A value with its status where that is not plain print."""
    scale = 100.0 if share else 1.0
    number = f"{scale * known.low:.3g}" if share else f"{known.low:.2f}"
    if known.high != known.low:
        number += f" to {scale * known.high:.3g}" if share else f" to {known.high:.2f}"
    words = {"memory": " (from memory)", "computed": " (worked out)", "given": " (yours)"}
    return f"{number}{' %' if share else ''}{words.get(known.status, '')}"


_GROUPS: Sequence[tuple[str, Sequence[tuple[str, str]], bool]] = (
    ("Specific gravity", (("specific_gravity_green", "green"), ("specific_gravity_12", "at 12 %")), False),
    (
        "Green moisture",
        (
            ("green_moisture_heartwood", "heartwood"),
            ("green_moisture_sapwood", "sapwood"),
            ("green_moisture_whole", "whole"),
        ),
        True,
    ),
    (
        "Shrinkage, green to oven-dry",
        (
            ("shrinkage_radial", "radial"),
            ("shrinkage_tangential", "tangential"),
            ("shrinkage_volumetric", "volumetric"),
        ),
        True,
    ),
)


def wood_lines(species: Species, *, tape: Tape) -> list[str]:
    """The answer to `wood`: one page on a species.

    Parameters
    ----------
    species : Species
        The species.
    tape : Tape
        How lengths and masses are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    the tables of `pithline.wood`, whose rows name their own
    """
    head = ", ".join(part for part in (species.name, species.botanical_name, species.kind, species.origin) if part)
    lines = [f"{head}.", ""]
    for title, props, share in _GROUPS:
        told = [
            f"{word} {_known_text(species.values[prop], share=share)}" for prop, word in props if prop in species.values
        ]
        missing = [word for prop, word in props if prop not in species.values]
        lacking = f"; {', '.join(missing)} not known" if told and missing else ""
        lines.append(f"{title}: {', '.join(told) or 'not known'}{lacking}.")
    lines += _shrink_lines(species, tape)
    seasoned = species.values.get("density_12")
    if seasoned is not None:
        scale, unit = (1.0, "kg/m3") if tape.style == "mm" else (_LB_FT3, "lb/ft3")
        lines.append(f"Density at 20 C and 65 % humidity, as printed: {seasoned.value * scale:.0f} {unit}.")
    lines += ["", *_weight_lines(species, tape), ""]
    decay = species.decay_resistance or "not known"
    status = " (from memory)" if species.decay_status == "memory" else ""
    lines.append(f"Decay, heartwood: {decay}{status}. Sapwood is not resistant in any species.")
    days = species.values.get("air_dry_1in")
    if days is not None:
        recalled = ", from memory" if days.status == "memory" else ""
        lines.append(
            f"Air drying, 1 in stock to 20 %: {days.low:.0f} to {days.high:.0f} days, best to worst season{recalled}."
        )
    if species.note:
        lines.append(species.note)
    lines += ["", *(f"Caution: {text}" for text in wood_cautions(species.name))]
    return [*lines, "", *_source_lines(species)]


def _shrink_lines(species: Species, tape: Tape) -> list[str]:
    """What a side of a timber loses from green."""
    try:
        at_12, at_19 = section_shrinkage(species, 0.12), section_shrinkage(species, 0.19)
    except UnknownValueError as error:
        return [str(error)]
    side = 8.0 * MM_PER_INCH if tape.style == "in" else 200.0
    low, high = (tape.show(side * share) for share in (at_12.low, at_12.high))
    # Where it starts matters: the coefficients of the cedars and redwood fit a lower point.
    return [
        f"A timber's side, green to 19 %: {share_range(at_19.low, at_19.high)}; to 12 %: "
        f"{share_range(at_12.low, at_12.high)}, which is {low} to {high} on {tape.show(side)}. Radial to tangential, "
        f"from {100 * species.fiber_saturation:.0f} % down; volumetric is not the sum of the two.",
    ]


def _weight_lines(species: Species, tape: Tape) -> list[str]:
    """Green density, and weight by diameter."""
    try:
        density = green_density(species)
    except UnknownValueError as error:
        return [str(error)]
    told = density_text(density.low_kg_m3, density.high_kg_m3, tape=tape)
    lines = [f"Green wood: {told}, typically {_typical(density, tape)}; {density.basis}, and how far lots differ."]
    lines.append(f"At 12 %: about {_one_density(timber_density(species, 0.12), tape)}.")
    inches = tape.style == "in"
    per = "lb a foot" if inches else "kg a meter"
    rows = [["round log", f"green, {per}", f"typical, {per}"]]
    for size in range(8, 25, 2) if inches else range(200, 601, 50):
        diameter = size * MM_PER_INCH if inches else float(size)
        scale = _LB_PER_KG * 0.3048 if inches else 1.0
        low, middle, high = (
            scale * weight_per_length(value, diameter)
            for value in (density.low_kg_m3, density.typical_kg_m3, density.high_kg_m3)
        )
        rows.append([tape.show(diameter), f"{low:.0f} to {high:.0f}", f"{middle:.0f}"])
    return [*lines, "", *columns(rows, indent="  "), *(f"Note: {note}" for note in density.notes)]


def _one_density(kg_m3: float, tape: Tape) -> str:
    """One density."""
    return f"{kg_m3:.0f} kg/m3" if tape.style == "mm" else f"{kg_m3 * _LB_FT3:.0f} lb/ft3"


def _typical(density: GreenDensity, tape: Tape) -> str:
    """The density of an average log."""
    return _one_density(density.typical_kg_m3, tape)


def _source_lines(species: Species) -> list[str]:
    """Where the values come from, one line a source."""
    held: dict[str, list[str]] = {}
    for prop, known in species.values.items():
        held.setdefault(known.source, []).append(PROPERTIES[prop])
    if species.decay_source:
        held.setdefault(species.decay_source, []).append("decay resistance")
    return ["Sources:", *(f"  {source}: {', '.join(words)}." for source, words in held.items())]


def _degrees(temperature_c: float, tape: Tape) -> str:
    """A temperature in the reader's unit."""
    return f"{temperature_c:.1f} C" if tape.style == "mm" else f"{temperature_c * 1.8 + 32.0:.0f} F"


def air_lines(answer: Equilibrium, *, tape: Tape) -> list[str]:
    """The answer to `air` for one state of the air.

    Parameters
    ----------
    answer : Equilibrium
        Moisture that wood comes to.
    tape : Tape
        How temperatures are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    Wood Handbook, FPL-GTR-282, Eq. 4-5
    """
    lines = [
        f"In air of {_degrees(answer.temperature_c, tape)} and {100 * answer.humidity:.0f} % humidity wood comes to "
        f"{100 * answer.moisture:.1f} % moisture, give or take a percent between species.",
    ]
    return [*lines, *(f"Note: {note}" for note in answer.notes)]


def service_lines(name: str, answer: Service, *, where: str) -> list[str]:
    """The answer to `air` for twelve months.

    Parameters
    ----------
    name : str
        The place.
    answer : Service
        Moisture month by month.
    where : str
        Outdoors under a roof, or heated, in words.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    `service_moisture`
    """
    rows = [list(MONTHS), [f"{100 * moisture:.1f}" for moisture in answer.months]]
    return [
        f"{name}, {where}: wood comes to {100 * answer.mean:.1f} % over the year, "
        f"between {100 * answer.low:.1f} and {100 * answer.high:.1f} %.",
        "",
        *columns(rows, indent="  "),
        "",
        *(f"Note: {note}" for note in answer.notes),
    ]


def _side_rows(side: SideTerms, word: str, tape: Tape) -> list[list[str]]:
    """One side's terms as the tape shows them, and to a tenth of a millimeter, where they add up."""
    added = (side.shrinkage_mm, side.margin_mm, side.allowance_mm, side.rounding_mm)
    terms = (side.finished_mm, *added, side.cut_mm)
    # A margin under half a step is not nothing.
    shown = [tape.show(term) if term >= 0.5 * tape.step_mm or term < 0.05 else "a hair" for term in terms]
    return [[word, *shown], ["", *(f"{term:.1f} mm" for term in terms)]]


def cut_lines(cut: CutSize, *, tape: Tape) -> list[str]:
    """What is laid out for a finished size, term by term.

    Parameters
    ----------
    cut : CutSize
        The size to cut.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        A table, and what each term stands for.

    Source
    ------
    `cut_size`
    """
    wanted = cut.wanted
    rows = [
        ["", "finished", "+ shrinkage", "+ margin", "+ allowance", "+ rounding", "= cut"],
        *_side_rows(cut.thickness, "thickness", tape),
        *_side_rows(cut.width, "width", tape),
    ]
    inches = tape.style == "in"
    spread = f"{wanted.spread_mm / MM_PER_INCH:.2f} in" if inches else f"{wanted.spread_mm:.1f} mm"
    sure = f"{100 * wanted.chance:g} %"
    allowance = []
    if wanted.allowance_mm > 0.0:
        allowance = [f"Allowance: {tape.show(wanted.allowance_mm)} on each sawn face for hewing or planing."]
    return [
        *columns(rows, indent="  "),
        "",
        f"Shrinkage: so that each side comes to its size at {100 * cut.shrinkage.middle:.1f} %, half way "
        f"between radial and tangential.",
        f"Margin: full size {sure} of the time, for shrinkage up to {100 * cut.shrinkage.high:.1f} % "
        f"and a saw that is off by {spread} or less two times in three.",
        *allowance,
    ]


def _range(low_mm: float, high_mm: float, tape: Tape) -> str:
    """A range of lengths, the unit once."""
    low, high = tape.show(low_mm), tape.show(high_mm)
    return high if low == high else f"{tape.number(low_mm)} to {high}"


def cutsize_lines(cut: CutSize, dry: DrySize, *, tape: Tape) -> list[str]:
    """The answer to `cutsize`: what to lay out, term by term, and what it will measure when dry.

    Parameters
    ----------
    cut : CutSize
        The size to cut.
    dry : DrySize
        What a timber of the green size, hewn or planed, comes to.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    `cut_size` and `dry_size`
    """
    wanted = cut.wanted
    sides = section_text(cut.thickness.cut_mm, cut.width.cut_mm, tape=tape)
    finished = section_text(wanted.thickness_mm, wanted.width_mm, tape=tape)
    sawn = "Sawn to size" if wanted.allowance_mm == 0.0 else "Sawn to size and planed by its allowance"
    ranges = " x ".join(_range(low, high, tape) for low, high in (dry.thickness_mm, dry.width_mm))
    return [
        f"Lay out {sides} for {finished} at {100 * wanted.moisture:.0f} % moisture in {in_a_sentence(cut.species)}.",
        "",
        *cut_lines(cut, tape=tape),
        f"{sawn} it will measure {ranges} when dry.",
        *(f"Note: {note}" for note in cut.notes),
    ]


def settle_lines(answer: Settling, *, tape: Tape) -> list[str]:
    """The answer to `settle`: what a wall drops, and the clearance to leave.

    Parameters
    ----------
    answer : Settling
        Computed and published figures.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    list of str
        Lines of text.

    Source
    ------
    `settling`
    """

    def pair(values: tuple[float, float]) -> str:
        low, high = (tape.show(value) for value in values)
        return low if low == high else f"{low} to {high}"

    compaction = answer.compaction_mm[1]
    joints = f", up to {tape.show(compaction)} of it in the joints" if compaction > 0.0 else ""
    rows = [["published for walls like this one", "of log height", "of this wall", "", "where from"]]
    for one in answer.allowances:
        drop = (one.low * answer.log_height_mm, one.high * answer.log_height_mm)
        status = "from memory" if one.status == "memory" else ""
        rows.append([one.case, share_range(one.low, one.high), pair(drop), status, one.source])
    lines = [
        f"Leave {tape.show(answer.leave_mm, 'up')} over the opening.",
        "",
        f"The wall holds {tape.show_long(answer.log_height_mm)} of timber. It will drop "
        f"{pair(answer.drop_mm)}{joints}; beside the opening {pair(answer.opening_mm)}.",
        "",
        *columns(rows, indent="  "),
        "",
    ]
    return [*lines, *(f"Note: {note}" for note in answer.notes)]
