"""Scale and weight as lines and as JSON: they say the same, parts add up, and no number is stranger than the log."""

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import jsonschema
import pytest

from pithline.answers.scale_pages import scale_form, scale_lines, timber_lines, weigh, weigh_form, weigh_lines
from pithline.fit import Timber, place
from pithline.job import demo_files, yard_from_text
from pithline.lengths import Tape
from pithline.logs import TallyLog, solid_from_tally
from pithline.logs.scaling import scale_logs
from pithline.logs.weighing import log_weight
from pithline.wood.species import find_species, own_species

ROOT = Path(__file__).parents[2]
REAL = ROOT / "tests" / "data" / "real_logs"
INCHES, METRIC = Tape("in", 16), Tape("mm", 16)
LB_KG, FT3_M3 = 0.45359237, 0.3048**3
HEAD = "tag,species,length,butt [in],tip [in]"


def weighed(text: str, own=()):
    logs = yard_from_text(text, file="yard.csv")
    return [weigh(log, scaled, own) for log, scaled in zip(logs, scale_logs(logs), strict=True)]


def one_log(*cells: str, head: str = "", species: str = "northern red oak"):
    return weighed(f"{HEAD}{head}\nL1,{species},16' 6,17,15{''.join(',' + cell for cell in cells)}\n")[0]


def source(name: str) -> str:
    return demo_files()["yard.csv"] if name == "demo" else (REAL / name).read_text(encoding="utf-8")


@pytest.fixture(params=["demo", "tally.csv", "slices.csv"], scope="module")
def found(request):
    """Every log of the demo yard and of the real logs."""
    return weighed(source(request.param))


def test_the_json_keeps_its_schema(found) -> None:
    schema = json.loads((ROOT / "docs" / "schema" / "scale.json").read_text(encoding="utf-8"))
    for form in (scale_form, weigh_form):
        jsonschema.validate(json.loads(json.dumps([form(one) for one in found], allow_nan=False)), schema)


def test_formulas_of_volume_lie_near_the_solid(found) -> None:
    for one in found:
        form = scale_form(one)
        solid = form["volume_m3"]
        # Common practice: on logs of even taper the formulas agree within a few percent; crooks differ more.
        for name in ("smalian_m3", "huber_m3", "newton_m3"):
            assert form[name] == pytest.approx(solid, rel=0.15), (form["tag"], name)


def test_weights_are_in_order_and_those_of_wood_that_floats_or_nearly(found) -> None:
    for one in found:
        form = scale_form(one)
        if form["weight_kg"] is None:
            assert any(note.startswith("No weight: ") for note in form["notes"])
            continue
        low, high = form["weight_kg"]
        assert 0 < low < high
        # Common practice: green wood weighs 400 to 1200 kg/m3; bark of unknown weight may add half as much.
        assert 400 < low / form["volume_m3"] < high / form["volume_m3"] < 1500


def test_gross_scale_is_never_less_than_net(found) -> None:
    for one in found:
        form = scale_form(one)
        for rule, net in form["net"].items():
            gross = form[rule]
            assert (gross is None) == (net is None)
            assert gross is None or 0 <= net <= gross


def test_board_feet_hold_less_than_the_log(found) -> None:
    for one in found:
        form = scale_form(one)
        for rule in form["net"]:
            # A board foot is 1/12 of a cubic foot; no rule saws more than the wood there is, but for rounding by 10.
            assert form[rule] is None or form[rule] / 12.0 * FT3_M3 < form["volume_m3"] + 10 / 12.0 * FT3_M3


def test_loads_of_the_horses_add_up_to_the_log(found) -> None:
    for one in found:
        form = weigh_form(one)
        horses, length = form["horses"], one.log.length_mm
        assert sum(horses["share"]) == pytest.approx(1.0, abs=2e-5)
        assert 0 < horses["at_mm"][0] < form["center_of_mass_mm"] < horses["at_mm"][1] < length
        # Moments about the butt: the loads balance where the log does.
        moment = sum(at * share for at, share in zip(horses["at_mm"], horses["share"], strict=True))
        assert moment == pytest.approx(form["center_of_mass_mm"], abs=0.05 + 2e-5 * length)
        if form["weight_kg"] is None:
            assert horses["load_kg"] is None
            continue
        for end in (0, 1):
            assert sum(load[end] for load in horses["load_kg"]) == pytest.approx(form["weight_kg"][end], abs=0.02)


def test_a_tapered_log_balances_nearer_the_butt() -> None:
    for one in weighed(source("demo")):
        assert 0.42 * one.log.length_mm < scale_form(one)["center_of_mass_mm"] < 0.5 * one.log.length_mm


NUMBERS = r"([\d,]+) to ([\d,]+) (lb|kg)"


def stated_kg(line: str) -> tuple[float, float]:
    low, high, unit = re.search(NUMBERS, line).groups()
    per = LB_KG if unit == "lb" else 1.0
    return tuple(per * float(text.replace(",", "")) for text in (low, high))


@pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])
def test_lines_say_what_the_json_says(found, tape: Tape) -> None:
    lines = scale_lines(found, tape=tape)
    rows = {line.split()[0]: line for line in lines if re.search(r" in x \d+ ft ", line)}
    assert list(rows) == [one.log.tag for one in found]
    for one in found:
        form, line = scale_form(one), rows[one.log.tag]
        assert f" {form['scaling_diameter_in']} in x {form['scaling_length_ft']} ft " in line
        volume, unit = re.search(r"([\d.]+) (ft3|m3)", line).groups()
        per = FT3_M3 if unit == "ft3" else 1.0
        assert unit == ("m3" if tape is METRIC else "ft3")
        assert per * float(volume) == pytest.approx(form["volume_m3"], abs=0.051 * per)
        if form["weight_kg"] is None:
            assert line.endswith("not known")
        else:
            # Shown to 5 in the pounds' or kilograms' last place, to 10 in the thousands.
            assert stated_kg(line) == pytest.approx(form["weight_kg"], rel=0.03, abs=5)


def test_the_first_line_adds_the_yard_up() -> None:
    logs = weighed(source("demo"))
    first = scale_lines(logs, tape=INCHES)[0]
    assert first.startswith("26 logs hold ")
    assert float(re.search(r"hold ([\d.]+) ft3", first)[1]) * FT3_M3 == pytest.approx(
        sum(one.scaled.volume_m3 for one in logs), abs=0.002
    )
    total = [sum(scale_form(one)["weight_kg"][end] for one in logs) for end in (0, 1)]
    assert stated_kg(first) == pytest.approx(total, rel=0.005)


def test_a_yard_with_a_log_that_is_not_weighed_has_no_total() -> None:
    logs = weighed(f"{HEAD}\nL1,red spruce,16',12,10\nL2,unknown,16',12,10\n")
    lines = scale_lines(logs, tape=INCHES)
    assert "weigh" not in lines[0]
    assert any(line.startswith("Note: L2: No weight: ") for line in lines)
    assert any(line.startswith("L2") and line.endswith("not known") for line in lines)


@pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])
def test_one_log_tells_its_balance_and_its_horses(tape: Tape) -> None:
    one = one_log()
    lines = weigh_lines(one, tape=tape)
    said = "\n".join(lines)
    form = weigh_form(one)
    carried = next(line for line in lines if line.startswith("The horse toward the butt"))
    butt, tip = carried.split(", the other ")
    for text, load in zip((butt, tip), form["horses"]["load_kg"], strict=True):
        assert stated_kg(text) == pytest.approx(load, rel=0.03, abs=5)
    assert "L1 balances " in said
    assert "keep hands and feet out from under" in said


def test_a_log_that_is_not_weighed_still_balances() -> None:
    one = one_log(species="unknown")
    lines = weigh_lines(one, tape=INCHES)
    assert "L1 balances" in lines[1]
    assert not any("carries" in line for line in lines)
    assert weigh_form(one)["horses"]["load_kg"] is None


ROT = ",rot_high [in],rot_wide [in],rot_long"


def test_rot_lowers_the_net_scale_and_leaves_the_gross() -> None:
    sound, rotten, short = one_log(), one_log("5", "6", "", head=ROT), one_log("5", "6", "4'", head=ROT)
    for name in ("doyle_bf", "scribner_decimal_c_bf", "international_bf"):
        gross, all_of_it, some = (scale_form(one) for one in (sound, rotten, short))
        assert gross[name] == all_of_it[name] == some[name]
        assert all_of_it["net"][name] < some["net"][name] <= gross["net"][name]
    assert scale_form(sound)["weight_kg"] == scale_form(rotten)["weight_kg"]


def test_rot_worked_by_hand() -> None:
    """Derived apart: 15 in small end, rot 5 x 6 in all through: 30 / 14^2 = 15.3 % off; Doyle 11^2 * 16 / 16 = 121."""
    form = scale_form(one_log("5", "6", "", head=ROT))
    assert form["doyle_bf"] == 121
    assert form["net"]["doyle_bf"] == pytest.approx(121 * (1 - 30 / 196), abs=0.6)


def test_rot_is_told_with_the_log_and_in_its_row() -> None:
    one = one_log("5", "6", "", head=ROT)
    assert re.search(r"\b102 of 121\b", "\n".join(scale_lines([one], tape=INCHES)))
    assert any(line.startswith("Taken off: ") for line in weigh_lines(one, tape=INCHES))
    assert not any(line.startswith("Taken off: ") for line in weigh_lines(one_log(), tape=INCHES))


def test_sapwood_narrows_the_weight() -> None:
    """Red pine has a dry heart and wet sapwood: once the sapwood is measured, the range lies inside the other."""
    plain = one_log(species="red pine")
    known = one_log("2", head=",sapwood [in]", species="red pine")
    for one in (plain, known):
        assert one.weight is not None
    wide, narrow = scale_form(plain)["weight_kg"], scale_form(known)["weight_kg"]
    assert wide[0] < narrow[0] < narrow[1] < wide[1]


def test_more_sapwood_weighs_more_where_the_heart_is_dry() -> None:
    weights = [
        one_log(thick, head=",sapwood [in]", species="red pine").weight.typical_kg for thick in ("1", "2", "4", "7")
    ]
    assert weights == sorted(weights)
    assert weights[0] < weights[-1]


@pytest.mark.parametrize(
    ("head", "cells", "column", "said"),
    [
        (",sapwood [in]", ["9"], "sapwood", "at most half the diameter"),
        (",sapwood [in]", ["-1"], "sapwood", "negative"),
        (",sapwood [in]", ["15 %"], "sapwood", "%"),
        (ROT, ["20", "3", ""], "rot_high", "at most the diameter"),
        (ROT, ["3", "20", ""], "rot_wide", "at most the diameter"),
        (ROT, ["0", "3", ""], "rot_high", "more than 0"),
        (ROT, ["3", "-3", ""], "rot_wide", "negative"),
        (ROT, ["3", "", ""], "rot_high", "rot_wide is missing"),
        (ROT, ["", "3", ""], "rot_wide", "rot_high is missing"),
        (ROT, ["3", "3", "40'"], "rot_long", "at most"),
        (ROT, ["3", "3", "0'"], "rot_long", "more than 0"),
    ],
)
def test_what_cannot_be_is_refused_with_its_row_and_column(head: str, cells: list[str], column: str, said: str) -> None:
    with pytest.raises(ValueError, match=re.escape(said)) as caught:
        one_log(*cells, head=head)
    (fault,) = str(caught.value).splitlines()
    assert fault.startswith(f"yard.csv row 2, column {column}: ")


def test_the_users_own_species_changes_the_weight_in_proportion() -> None:
    """Derived apart: at 100 % moisture and a green specific gravity of 0.5 wood weighs 1000 kg/m3, typically."""
    own = own_species("hill farm willow", {"specific_gravity_green": 0.5, "green_moisture_whole": 1.0})
    text = f"{HEAD}\nL1,hill farm willow,16',12,12\n"
    assert weighed(text)[0].weight is None
    one = weighed(text, (own,))[0]
    cylinder = math.pi / 4 * (12 * 0.0254) ** 2 * 16 * 0.3048
    assert one.scaled.volume_m3 == pytest.approx(cylinder, rel=0.002)
    assert one.weight.typical_kg == pytest.approx(1000 * cylinder, rel=0.002)


def test_bark_that_was_measured_adds_its_own_weight() -> None:
    text = f"{HEAD},bark [in]\nL1,northern red oak,16',16,14,3/4\n"
    (one,) = weighed(text)
    bare = log_weight(replace(one.log, bark_mm=None), find_species("northern red oak"))
    assert one.weight.wood_kg == pytest.approx(bare.wood_kg)
    assert one.weight.bark_kg[0] > 0
    for end, name in enumerate(("low_kg", "high_kg")):
        assert getattr(one.weight, name) == pytest.approx(one.weight.wood_kg[end] + one.weight.bark_kg[end])


def test_a_timber_tells_its_board_feet_its_share_of_the_log_and_its_weight() -> None:
    """6 x 8 in x 12 ft holds 48 board feet; a log 16 in through and 12 ft long holds 16.755 ft3, 201.06 board feet."""
    log = solid_from_tally(TallyLog("A", "eastern white pine", 12 * 304.8, 16 * 25.4, 16 * 25.4, bark_mm=0.0))
    line = timber_lines(place(log, Timber(6 * 25.4, 8 * 25.4)), tape=Tape())[0]
    assert "holds 48 board feet, 24 % of the volume of the wood inside bark" in line
    # 4 ft3 of 0.34 x 62.4 x 1.65 = 35.0 lb/ft3, a fifth less and more.
    assert line.endswith("it weighs 112 to 168 lb green.")
    other = timber_lines(place(replace(log, species="unknown"), Timber(6 * 25.4, 8 * 25.4)), tape=Tape())[0]
    assert "weighs" not in other
