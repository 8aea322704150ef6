"""Species in a kit file: read in the units a person writes, and refused with one sentence that says what would do."""

import re
import tomllib

import pytest

from pithline.errors import FileError
from pithline.job import default_kit_text, kit_from_text
from pithline.job.faults import FaultList
from pithline.job.kit_species import species_of
from pithline.tables import read_table
from pithline.wood.species import PROPERTIES, find_species

GOOD = """
[species."eastern white pine"]
specific_gravity_green = 0.36
green_moisture_whole = "82 %"
shrinkage_radial = "0.021 fraction"
bark_density = "34 lb/ft3"

[species."Hill farm willow"]
kind = "hardwood"
specific_gravity_green = 0.37
green_moisture_heartwood = "110 %"
fiber_saturation = "27 %"
bark_density = "610 kg/m3"
"""
STRAIGHT = str.maketrans("\u201c\u201d", '""')
"""Messages quote in curly marks; here they are compared in straight ones."""

LIMITS = read_table("pithline.wood", "species_limits").rows


def read(text: str):
    faults = FaultList("kit.toml")
    species = species_of(tomllib.loads(text).get("species"), "kit.toml", faults)
    return species, faults


def faults_of(text: str) -> list[str]:
    species, faults = read(text)
    assert faults.count, "no fault was found"
    with pytest.raises(FileError) as caught:
        faults.raise_if_any()
    assert species == ()
    return list(caught.value.faults)


def test_values_are_read_into_the_cores_units() -> None:
    (pine, willow), faults = read(GOOD)
    assert not faults.count
    assert pine.name == "Eastern white pine"
    assert pine.need("specific_gravity_green") == 0.36
    assert pine.need("green_moisture_whole") == pytest.approx(0.82)
    assert pine.need("shrinkage_radial") == pytest.approx(0.021)
    assert pine.need("bark_density") == pytest.approx(34.0 * 0.45359237 / 0.3048**3)
    assert pine.values["shrinkage_radial"].status == "given"
    assert pine.values["shrinkage_tangential"] == find_species("eastern white pine").values["shrinkage_tangential"]
    assert (willow.name, willow.kind, willow.fiber_saturation) == ("Hill farm willow", "hardwood", 0.27)
    assert willow.need("bark_density") == 610.0


def test_a_kit_without_species_has_none() -> None:
    assert read("name = 'kit'")[0] == ()
    assert species_of(None, "kit.toml", FaultList("kit.toml")) == ()
    assert kit_from_text(default_kit_text(), file="kit.toml").species == ()


def test_a_kit_carries_its_species() -> None:
    kit = kit_from_text(default_kit_text() + GOOD, file="kit.toml")
    assert [species.name for species in kit.species] == ["Eastern white pine", "Hill farm willow"]
    assert find_species("hill farm willow", own=kit.species) is kit.species[1]


def test_the_example_in_the_default_kit_can_be_used_as_it_stands() -> None:
    text = default_kit_text()
    example = text[text.index("# [species.") :].split("\n\n")[0]
    species, faults = read("\n".join(line.removeprefix("# ") for line in example.splitlines()))
    assert not faults.count
    assert [one.name for one in species] == ["Eastern white pine"]
    assert any(known.status == "given" for known in species[0].values.values())


@pytest.mark.parametrize(
    "text", ["species = 3", "species = ['pine']", "[species]\npine = 0.4", "[[species]]\nname = 'pine'"]
)
def test_what_is_no_section_for_each_is_refused(text: str) -> None:
    message = 'kit.toml, species: write a section for each, as [species."eastern white pine"], its values below.'
    assert faults_of(text) == [message]


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('wight = "3 kg"', "there is no value wight; there are specific_gravity_green, specific_gravity_12, "),
        ("kind = 'softwod'", 'kind: read "softwod"; write softwood or hardwood, in quotation marks.'),
        ("kind = 3", 'kind: read "3"; write softwood or hardwood'),
        (
            'specific_gravity_green = "0.4"',
            'specific_gravity_green: read "0.4"; write a number without a unit, as 0.35.',
        ),
        ("specific_gravity_green = true", 'specific_gravity_green: read "True"; write a number without a unit'),
        ("specific_gravity_green = [0.4]", "write a number without a unit, as 0.35."),
        ("specific_gravity_green = 4", 'read "4"; it must lie between 0.08 and 1.4. Check the unit, or measure again.'),
        ("specific_gravity_green = nan", "it must lie between 0.08 and 1.4."),
        ("specific_gravity_green = inf", "it must lie between 0.08 and 1.4."),
        ("green_moisture_whole = 82", 'green_moisture_whole: read "82"; write it with its unit, as "65 %".'),
        ('green_moisture_whole = "82"', "and it has no unit"),
        ('green_moisture_whole = "0.82 %"', "it must lie between 15 and 400 %. Check the unit, or measure again."),
        ('shrinkage_tangential = "35 %"', "it must lie between 0.2 and 25 %."),
        ('fiber_saturation = "45 %"', "it must lie between 15 and 40 %."),
        ('bark_density = "45"', 'write it with its unit, as "45 lb/ft3" or "720 kg/m3".'),
        ("bark_density = 720", 'bark_density: read "720"; write it with its unit, as "45 lb/ft3".'),
        ('bark_density = "-45 lb/ft3"', "it is more than 0."),
        ('bark_density = "45 kg/m3"', "it must lie between 100 and 1500 kg/m3."),
    ],
)
def test_a_value_that_cannot_be_used_is_told_with_what_would_do(line: str, said: str) -> None:
    (fault,) = faults_of(f"[species.'Hill farm willow']\n{line}\n")
    fault = fault.translate(STRAIGHT)
    assert fault.startswith('kit.toml, species."Hill farm willow"')
    assert said in fault


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: row["property"])
def test_every_limit_holds_on_both_sides(row) -> None:
    """The limits are those of the table; a value on one is taken, one past it is not."""
    least, most = float(row["least"]), float(row["most"])

    def written(value: float) -> str:
        return {
            "number": f"{value:.6g}",
            "share": f'"{value:.6g} fraction"',
            "density": f'"{value:.6g} kg/m3"',
        }[row["written_as"]]

    for value in (least, most):
        (species,), faults = read(f"[species.'Hill farm willow']\n{row['property']} = {written(value)}\n")
        assert not faults.count
        assert species.need(row["property"]) == pytest.approx(value)
    for value in (0.99 * least, 1.01 * most):
        (fault,) = faults_of(f"[species.'Hill farm willow']\n{row['property']} = {written(value)}\n")
        assert re.search(r"it must lie between|wood holds from 0 to 400 %", fault)


def test_the_limits_are_on_properties_that_there_are_and_hold_those_of_the_tables() -> None:
    for row in LIMITS:
        assert row["property"] in PROPERTIES
        assert float(row["least"]) < float(row["most"])
    for name in ("eastern white pine", "osage-orange", "western redcedar", "american beech"):
        species = find_species(name)
        for row in LIMITS:
            value = species.get(row["property"])
            assert value is None or float(row["least"]) <= value <= float(row["most"])


@pytest.mark.parametrize("name", ["''", "'  '", '"two\\nlines"', f"'{'w' * 61}'", '"bell\\u0007"'])
def test_a_name_that_cannot_be_shown_is_refused(name: str) -> None:
    (fault,) = faults_of(f"[species.{name}]\nspecific_gravity_green = 0.4\n")
    assert fault.endswith("write a name of one to 60 letters on one line.")
    assert fault.isprintable()


def test_all_faults_of_a_kit_are_told_at_once_and_the_good_species_is_kept() -> None:
    species, faults = read(GOOD + "[species.elm]\nkind = 'x'\nweight = 1\nfiber_saturation = 3\n")
    assert [one.name for one in species] == ["Eastern white pine", "Hill farm willow"]
    assert faults.count == 3


def test_too_many_species_are_refused() -> None:
    text = "".join(f"[species.wood{n}]\nspecific_gravity_green = 0.4\n" for n in range(201))
    assert faults_of(text) == ["kit.toml, species: 201 of them; keep 200 or fewer."]


def test_a_fault_of_a_species_stands_with_the_kits_others() -> None:
    with pytest.raises(FileError) as caught:
        kit_from_text("[saw]\nkerf = 'wide'\n[species.elm]\nweight = 1\n", file="kit.toml")
    told = "\n".join(caught.value.faults)
    assert "saw" in told
    assert "there is no value weight" in told
