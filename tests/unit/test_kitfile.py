"""A kit is read whole, each value with its origin; what is left out is the default's."""

import re
import tomllib
from dataclasses import fields, replace
from importlib import resources

import pytest

from pithline.answers.words import kit_notes, kit_recalled
from pithline.errors import FileError
from pithline.job import default_kit_text, demo_files, kit_from_text, read_kit
from pithline.job.kitfile import ORIGINS
from pithline.setup import Kit, Work, kit_faults
from strategies import KIT, altered

PARTS = ("saw", "mill", "rail", "bearers", "horses", "string", "level", "tape", "work")


def faults_of(text):
    with pytest.raises(FileError) as caught:
        kit_from_text(text, file="kit.toml")
    return list(caught.value.faults)


def numbers_of(kit):
    found = {
        f"{part}.{item.name}": getattr(getattr(kit, part), item.name)
        for part in PARTS
        for item in fields(getattr(kit, part))
    }
    return {**found, "datum_step_mm": kit.datum_step_mm}


def keys_of(table):
    """Names of all values of a kit's TOML."""
    tops = {key for key, held in table.items() if not isinstance(held, dict)}
    inner = {f"{part}.{key}" for part, held in table.items() if isinstance(held, dict) for key in held}
    return {key for key in tops | inner if not key.endswith("_from")} - {"name"}


def test_the_default_kit_is_sound_and_has_every_value_with_its_origin():
    kit = read_kit(None)
    assert kit_faults(kit) == []
    assert kit.name == "kit to start from"
    table = tomllib.loads(default_kit_text())
    assert set(kit.origins) == keys_of(table)
    assert {name.removesuffix("_mm") for name in numbers_of(kit)} == set(kit.origins)
    assert set(kit.origins.values()) <= set(ORIGINS)
    recalled = re.findall(r"^(\w+)_from = \"recalled\"", default_kit_text(), flags=re.MULTILINE)
    assert sorted(name.partition(".")[2] for name in kit.recalled) == sorted(recalled)


def test_values_of_the_default_kit_arrive_in_the_units_of_the_core():
    # Kind: derived apart, from 1 in = 25.4 mm.
    kit = read_kit(None)
    assert kit.saw.kerf_mm == 9.525
    assert kit.rail.length_mm == 3048.0
    assert kit.rail.thickness_mm == 79.375
    assert kit.rail.modulus_mpa == 9650
    assert kit.mill.wander_mm == 1.5
    assert kit.bearers.post_taper_deg == 5
    assert kit.tape.error_mm == 0.5
    assert kit.tape.error_mm_m == 0.2
    assert kit.datum_step_mm == 25.4


def test_the_default_text_read_as_a_users_file_gives_the_same_kit(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text(default_kit_text(), encoding="utf-8")
    assert read_kit(path) == read_kit(None)


def test_a_file_with_one_value_takes_the_others_from_the_default(tmp_path):
    path = tmp_path / "hill farm.toml"
    path.write_text('[saw]\nkerf = "8 mm"\n[rail]\nlength = "12\' 6\\""\nlength_from = "measured"\n')
    kit, default = read_kit(path), read_kit(None)
    assert kit.name == "hill farm"
    changed = {name: value for name, value in numbers_of(kit).items() if value != numbers_of(default)[name]}
    assert changed == {"saw.kerf_mm": 8.0, "rail.length_mm": 3810.0}
    origins = {name: origin for name, origin in kit.origins.items() if origin != default.origins[name]}
    assert origins == {"saw.kerf": "given", "rail.length": "measured"}
    assert "saw.kerf" not in kit.recalled


def test_both_unit_worlds_give_the_same_kit():
    inches = (
        'datum_step = "1 in"\n[saw]\nkerf = "5/16 in"\n[rail]\nlength = "9\' 10 1/8\\""\nmember_depth = "3 1/2 in"\n'
    )
    metric = (
        'datum_step = "25.4 mm"\n[saw]\nkerf = "7.9375 mm"\n[rail]\nlength = "3.000375 m"\nmember_depth = "8,89 cm"\n'
    )
    one, other = (numbers_of(kit_from_text(text, file="kit.toml")) for text in (inches, metric))
    assert one == pytest.approx(other, rel=1e-12)


def test_the_origins_cannot_be_changed():
    with pytest.raises(TypeError):
        read_kit(None).origins["saw.kerf"] = "measured"


def test_the_demo_kit_is_complete_sound_and_not_the_default():
    text = demo_files()["kit.toml"]
    kit, default = kit_from_text(text, file="kit.toml"), read_kit(None)
    assert keys_of(tomllib.loads(text)) == set(kit.origins)
    assert "measured" not in kit.origins.values()
    assert kit.name == "sugarhouse kit"
    assert 5 <= sum(value != numbers_of(default)[name] for name, value in numbers_of(kit).items()) <= 15


def test_every_value_has_limits_and_the_defaults_lie_inside_them():
    folder = resources.files("pithline.job")
    rows = [line.split(",") for line in (folder / "kit_limits.csv").read_text(encoding="utf-8").splitlines()[2:]]
    assert [row[0] for row in rows] == list(read_kit(None).origins)
    kit = {name.removesuffix("_mm"): value for name, value in numbers_of(read_kit(None)).items()}
    for name, _, least, most in rows:
        assert float(least) < float(most)
        assert float(least) <= kit[name] <= float(most)


def test_every_value_is_read_from_its_own_key():
    table = tomllib.loads(default_kit_text())
    default = numbers_of(read_kit(None))
    for name in keys_of(table) - {"bearers.count", "rail.stiffeners"}:
        section, _, key = name.rpartition(".")
        is_text = isinstance((table[section] if section else table)[key], str)
        field = f"{name}_mm" if is_text else name
        moved = default[field] * 1.01 + 0.01
        written = f'"{moved!r} mm"' if is_text else repr(moved)
        text = f"[{section}]\n{key} = {written}\n" if section else f"{key} = {written}\n"
        changed = numbers_of(kit_from_text(text, file="kit.toml"))
        assert changed == pytest.approx({**default, field: moved})


# --- faults ------------------------------------------------------------------

FAULTS = [
    ("[rail]\nlength = 10", 'kit.toml, rail.length: 10 has no unit; write "10 ft", or another of ft, in, mm, cm and m'),
    ("[saw]\nkerf = 0.375", 'kit.toml, saw.kerf: 0.375 has no unit; write "0.375 in", or'),
    ("datum_step = 1", 'kit.toml, datum_step: 1 has no unit; write "1 in", or another'),
    ('[saw]\nkerf = "3/8"', "kit.toml, saw.kerf: read “3/8”; it has no unit: write 3/8 in, 3/8 mm"),
    ('[saw]\nkerf = ""', "kit.toml, saw.kerf: read “”; nothing is written where a measure is wanted"),
    ('[saw]\nkerf = "-3/8 in"', "kit.toml, saw.kerf: read “-3/8 in”; it is negative"),
    ('[saw]\nkerf = "0 in"', "kit.toml, saw.kerf: read “0 in”; 0 in (0 mm) is not between 2 and 25 mm. Check the unit"),
    ('[saw]\nkerf = "3/8 ft"', "kit.toml, saw.kerf: read “3/8 ft”; 4 1/2 in (114 mm) is not between 2 and 25 mm."),
    ("[saw]\nkerf = true", "kit.toml, saw.kerf: read true; it is a length. Write it as in “3/8 in”."),
    ("[saw]\nkerf = [1]", "kit.toml, saw.kerf: read a list; it is a length."),
    ("[saw.kerf]\nx = 1", "kit.toml, saw.kerf: read a section; it is a length."),
    ('[mill]\nmass_kg = "12 kg"', "kit.toml, mill.mass_kg: read “12 kg”; it is a number, its unit in the name"),
    ("[mill]\nmass_kg = true", "kit.toml, mill.mass_kg: read true; it is a number"),
    ("[mill]\nmass_kg = nan", "kit.toml, mill.mass_kg: read nan; it is not between 1 and 200. Check the unit"),
    ("[mill]\nmass_kg = -inf", "kit.toml, mill.mass_kg: read -inf; it is not between 1 and 200."),
    ("[mill]\nmass_kg = 12000", "kit.toml, mill.mass_kg: read 12000; it is not between 1 and 200."),
    ("[bearers]\ncount = 4.5", "kit.toml, bearers.count: 4.5; a rail needs two or more whole bearers."),
    ("[saw]\nkerff = 1", "kit.toml, saw.kerff: there is no such value. Is kerf meant?"),
    ("[rail]\nlength_mm = 3000", "kit.toml, rail.length_mm: there is no such value. Is length meant?"),
    ('kerf = "3/8 in"', "kit.toml, kerf: there is no such value. It belongs under [saw]."),
    ('[mill]\nkerf = "3/8 in"', "kit.toml, mill.kerf: there is no such value. It belongs under [saw]."),
    ("zeal = 1", "kit.toml, zeal: there is no such value. Take it away, or put # before it."),
    ("[bearer]\ncount = 6", "kit.toml, [bearer]: there is no such section. Is [bearers] meant?"),
    ("[[qqq]]\nx = 1", "kit.toml, [qqq]: there is no such section. Take it away."),
    ("rail = 3", "kit.toml, rail: read 3; rail is a section. Write [rail], its values below."),
    ("name = 7", "kit.toml, name: read 7; write text on one line"),
    ('name = " "', "kit.toml, name: read “ ”; write text on one line"),
    (f'name = "{"x" * 61}"', "it has 61 characters. Write 60 or fewer."),
    (
        '[saw]\nkerf = "8 mm"\nkerf_from = "guess"',
        "kit.toml, saw.kerf_from: read “guess”; write one of measured, read, recalled",
    ),
    ('[saw]\nkerf_from = "measured"', "kit.toml, saw.kerf_from: it says where kerf is from, and there is no kerf."),
    ("[saw]\nkerf = 3/8 in", "kit.toml line 2: read “kerf = 3/8 in”; this cannot be read as TOML"),
    ("[saw\nkerf = 1", "kit.toml line 1: read “[saw”; this cannot be read as TOML"),
    ('[saw]\nkerf = """1 in', "kit.toml, at its end: this cannot be read as TOML"),
    ("x = " + "9" * 490 + "\n#" + "x" * 501, "kit.toml line 2 has 502 characters, and no line of a kit has over 500"),
]


@pytest.mark.parametrize(("text", "said"), FAULTS, ids=[text[:24] for text, _ in FAULTS])
def test_a_fault_is_told_with_its_name_what_was_read_and_what_would_do(text, said):
    told = faults_of(text + "\n")
    assert len(told) == 1
    assert said.replace("“3/8 in”.", '"3/8 in".') in told[0]


def test_all_faults_of_a_kit_are_told_at_once():
    text = '[saw]\nkerf = 10\nkerff = 2\n[mil]\nx = 1\n[bearers]\ncount = 1.5\nheight_max = "4 in"\n'
    assert [fault.split(":")[0] for fault in faults_of(text)] == [
        "kit.toml, saw.kerff",
        "kit.toml, [mil]",
        "kit.toml, saw.kerf",
        "kit.toml, bearers.count",
        "kit.toml, bearers.height_min",
    ]


def test_a_default_value_that_quarrels_with_a_given_one_is_named():
    assert faults_of('[bearers]\nheight_max = "4 in"\n') == [
        "kit.toml, bearers.height_min: 5 in (127 mm) is not under height_max: 4 in (102 mm). Swap them, or measure "
        "again. bearers.height_min is not in the file and has the default kit's value."
    ]


def test_nothing_is_said_against_a_default_that_stands_in_for_what_could_not_be_read():
    told = faults_of(
        '[bearers]\nheight_min = "5 in"\nheight_max = 4\n[rail]\nlength = "2 ft"\n[mill]\nfootprint = 18\n'
    )
    assert [fault.split(":")[0] for fault in told] == ["kit.toml, mill.footprint", "kit.toml, bearers.height_max"]


def test_a_rail_too_short_for_the_mill_is_refused():
    (told,) = faults_of('[rail]\nlength = "30 in"\n')
    assert told.startswith("kit.toml, rail.length: ")
    assert "under twice the mill's footprint" in told


def test_a_kit_is_the_cores_own_type():
    assert isinstance(read_kit(None), Kit)


# --- what the work takes -----------------------------------------------------


def test_a_kit_without_a_work_section_reads_with_the_defaults_and_their_origins():
    without = default_kit_text().partition("[work]")[0]
    assert "work" not in tomllib.loads(without)
    kit = kit_from_text(without, file="kit.toml")
    assert kit.work == read_kit(None).work
    assert kit.work == Work(40, 10, 5, 4, 5, 90, 20, 25.4, 4)
    names = {f"work.{item.name.removesuffix('_mm')}" for item in fields(Work)}
    assert len(names) == 9
    assert names <= set(kit.recalled)


def test_minutes_cost_and_rest_may_be_zero():
    keys = ("rail_min", "turn_min", "pass_min", "edge_min", "buck_min", "log_min", "cost_an_hour")
    text = "[work]\n" + "".join(f"{key} = 0\n" for key in keys) + 'rest = "0 in"\n'
    assert kit_from_text(text, file="kit.toml").work == Work(0, 0, 0, 0, 0, 0, 0, 0.0, 4)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("slender = 0.4", "kit.toml, work.slender: read 0.4; it is not between 0.5 and 20."),
        ("pass_min = -1", "kit.toml, work.pass_min: read -1; it is not between 0 and 600."),
        ("rail_min = 601", "kit.toml, work.rail_min: read 601; it is not between 0 and 600."),
        ("cost_an_hour = 1e5", "kit.toml, work.cost_an_hour: read 100000.0; it is not between 0 and 10000."),
        ("rest = 1", 'kit.toml, work.rest: 1 has no unit; write "1 in", or another'),
        ('rest = "2 ft"', "kit.toml, work.rest: read “2 ft”; 2 ft (610 mm) is not between 0 and 300 mm."),
        ('turn_min = "10 min"', "kit.toml, work.turn_min: read “10 min”; it is a number"),
    ],
)
def test_a_fault_of_the_work_section_is_told(line, said):
    (told,) = faults_of(f"[work]\n{line}\n")
    assert said in told


def test_a_kit_of_numbers_is_refused_where_no_cant_would_stand():
    (told,) = kit_faults(altered(KIT, "work", slender=0.3))
    assert told == ("work.slender: 0.3; a cant stands on edge at 0.5 times as high as it is wide. Give that or more.")
    assert kit_faults(altered(KIT, "work", slender=0.5)) == []
    (told,) = kit_faults(altered(KIT, "work", buck_min=-1.0))
    assert told == "work.buck_min: -1; it must be a finite number, zero or more."


def test_answers_about_one_timber_do_not_name_what_the_work_takes():
    kit = read_kit(None)
    assert "work.slender" in kit.recalled
    assert kit_recalled(kit) == tuple(name for name in kit.recalled if not name.startswith("work"))
    assert "saw.kerf" in kit_recalled(kit)
    (note,) = kit_notes(kit)
    assert "saw kerf" in note
    assert "work" not in note
    assert kit_notes(replace(kit, origins={"work.rest": "recalled"})) == ()
