"""The commands on wood as a user runs them: answers, JSON that keeps its schemas, and sentences for bad input."""

import json
import re
from fractions import Fraction
from pathlib import Path

import jsonschema
import pytest
from click.testing import CliRunner

from pithline.cli import main
from pithline.job import demo_files

ROOT = Path(__file__).parents[2]
REAL = ROOT / "tests" / "data" / "real_logs"
INCH, FOOT = 25.4, 304.8
PINE = ["--species", "eastern white pine"]
CITY = ["--city", "Portland, ME"]
DRY = ["dry", "--timber", "6 x 8 x 20'", *PINE, *CITY]
SETTLE = ["settle", "--species", "red pine", "--course", "8", "--courses", "12", "--opening", "9", "--joint", "scribed"]
CUT = ["cutsize", "--finished", "6 x 8", *PINE]


@pytest.fixture
def folder(tmp_path):
    """The demo's files in a folder of their own."""
    for name, text in demo_files().items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    return tmp_path


def run(*words, code=0):
    """Run the command; its stdout and stderr."""
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == code, result.output
    assert not result.exception or isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output
    return result


def answer(*words):
    return json.loads(run(*words, "--json").stdout)


def schema(name):
    return json.loads((ROOT / "docs" / "schema" / name).read_text(encoding="utf-8"))


def inches(text: str) -> float:
    """Millimeters of a size in inches as it is printed, as 6 5/16."""
    return INCH * float(sum(Fraction(part) for part in text.split()))


def refused(*words, said=""):
    """The one sentence that refuses."""
    result = run(*words, code=2)
    assert result.stdout == ""
    lines = result.stderr.strip().splitlines()
    assert len(lines) == 1
    assert said in lines[0]
    assert len(lines[0]) < 400
    return lines[0]


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("wood", ["wood", "eastern white pine"]),
        ("wood", ["wood", "Tsuga canadensis"]),
        ("wood", ["wood", "balsam fir"]),
        ("air", ["air", "--temperature", "70 F", "--humidity", "65 %"]),
        ("air", ["air", "--temperature", "12 C", "--dew-point", "4 C"]),
        ("air", ["air", "--temperature", "21 C", "--wet-bulb", "16 C"]),
        ("air", ["air", *CITY]),
        ("air", ["air", *CITY, "--heated-to", "68 F"]),
        ("cutsize", [*CUT, "--moisture", "15 %", "--allow", "1/8"]),
        ("cutsize", [*CUT, "--faces", "2"]),
        ("settle", SETTLE),
        ("settle", ["settle", "--species", "white oak", "--course", "300 mm", "--courses", "8", "--joint", "chinked"]),
        ("dry", DRY),
        ("dry", [*DRY, "--bare-ends", "--open", "--years", "2"]),
        ("dry", ["dry", "--timber", "6 x 8 x 20'", "--species", "white oak", *CITY]),
    ],
)
@pytest.mark.parametrize("units", ["in", "mm"])
def test_json_keeps_its_schema_in_either_unit(name, words, units) -> None:
    words = [word.replace("6 x 8", "6 in x 8 in") for word in words]
    words = [
        re.sub("^(8|1/8)$", r"\1 in", word) if at and words[at - 1] in ("--course", "--allow") else word
        for at, word in enumerate(words)
    ]
    jsonschema.validate(answer(*words, "--units", units), schema(f"{name}.json"))
    assert run(*words, "--units", units).stdout.strip()


@pytest.mark.parametrize("source", ["demo", "tally.csv", "slices.csv"])
def test_scale_answers_for_every_yard(folder, source) -> None:
    path = folder / "yard.csv" if source == "demo" else REAL / source
    found = answer("scale", path)
    jsonschema.validate(found, schema("scale.json"))
    assert len(found) == (26 if source == "demo" else 15)
    one = answer("scale", path, found[0]["tag"])
    jsonschema.validate(one, schema("scale.json"))
    assert {**one[0], "horses": None} == {**found[0], "horses": None}
    assert "horses" not in found[0]
    for units in ("in", "mm"):
        lines = run("scale", path, "--units", units).stdout.splitlines()
        assert [line.split()[0] for line in lines if re.search(r" in x \d+ ft ", line)] == [one["tag"] for one in found]


def test_horses_carry_what_the_log_weighs(folder) -> None:
    (one,) = answer("scale", folder / "yard.csv", "A03")
    loads = one["horses"]["load_kg"]
    assert one["weight_kg"][0] < one["weight_kg"][1]
    for end in (0, 1):
        assert sum(load[end] for load in loads) == pytest.approx(one["weight_kg"][end], abs=0.02)
    text = run("scale", folder / "yard.csv", "A03").stdout
    assert "A03 balances" in text
    assert "The horse toward the butt carries" in text


def test_the_wood_page_says_what_the_json_says() -> None:
    found, text = answer("wood", "northern red oak"), run("wood", "northern red oak").stdout
    assert text.startswith(f"{found['name']}, {found['botanical_name']}, ")
    shrinks = {name: f"{name} {100 * share:g} %" for name, share in found["shrinkage"].items()}
    assert all(words in text for words in shrinks.values())
    low, high = (round(value * 0.3048**3 / 0.45359237) for value in found["green_density_kg_m3"])
    assert f"{low} to {high} lb/ft3" in text
    metric = run("wood", "northern red oak", "--units", "mm").stdout
    assert "lb/ft3" not in metric
    # A round log of 300 mm: a foot of it in the one page, a meter in the other, are one weight; derived apart.
    for end, value in enumerate(found["green_density_kg_m3"]):
        assert found["green_mass_kg_m"]["300"][end] == pytest.approx(value * 3.14159265 / 4 * 0.3**2, rel=1e-3)


def test_the_air_of_the_printed_table() -> None:
    # Wood Handbook, table of equilibrium moisture: 70 F and 65 % give 12.0 %, 50 % gives 9.2 % (from memory).
    for humidity, moisture in (("65 %", 0.120), ("50 %", 0.092)):
        found = answer("air", "--temperature", "70 F", "--humidity", humidity)
        assert found["emc"] == pytest.approx(moisture, abs=0.001)
        text = run("air", "--temperature", "70 F", "--humidity", humidity).stdout
        assert f"{100 * found['emc']:.1f} % moisture" in text


def test_dew_point_and_wet_bulb_lead_to_the_humidity() -> None:
    dry = answer("air", "--temperature", "20 C", "--humidity", "50 %")
    # Derived apart (Magnus): 50 % at 20 C has its dew point at 9.3 C. The wet bulb of 13.8 C is from memory.
    for second in (["--dew-point", "9.27 C"], ["--wet-bulb", "13.8 C"]):
        assert answer("air", "--temperature", "20 C", *second)["humidity"] == pytest.approx(0.5, abs=0.01)
        assert answer("air", "--temperature", "20 C", *second)["emc"] == pytest.approx(dry["emc"], abs=0.002)


@pytest.mark.parametrize("words", [CITY, [*CITY, "--heated-to", "68 F"], ["--months", "months.csv"]])
def test_months_of_air_in_text_are_those_of_the_json(folder, words) -> None:
    words = [str(folder / word) if word.endswith(".csv") else word for word in words]
    found, text = answer("air", *words), run("air", *words).stdout
    row = next(line for line in text.splitlines() if re.fullmatch(r"[\d. ]+", line) and line.strip())
    assert [float(cell) for cell in row.split()] == pytest.approx([100 * m for m in found["months"]], abs=0.0501)
    assert found["emc"] == pytest.approx(sum(found["months"]) / 12, abs=1e-5)
    assert (found["low"], found["high"]) == (min(found["months"]), max(found["months"]))
    assert f"wood comes to {100 * found['emc']:.1f} % over the year" in text


def test_a_heated_room_is_drier_in_winter() -> None:
    outdoors, room = answer("air", *CITY)["months"], answer("air", *CITY, "--heated-to", "68 F")["months"]
    assert room[0] < 0.5 * outdoors[0]
    assert room[0] < room[6]


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("faces", ["2", "3", "4"])
def test_terms_add_up_to_a_size_on_the_tape(units, faces) -> None:
    size = "6 x 8" if units == "in" else "150 x 200"
    words = [
        "cutsize",
        "--finished",
        size,
        "--species",
        "white oak",
        "--faces",
        faces,
        "--units",
        units,
        "--allow",
        "3 mm",
    ]
    found = answer(*words)
    step = INCH / 16 if units == "in" else 1.0
    for side, cut, finished, green in zip(
        ("thickness", "width"), found["cut_mm"], found["finished_mm"], found["green_mm"], strict=True
    ):
        terms = [term for term in found["terms"] if term["side"] == side]
        assert [term["term"] for term in terms] == ["finished", "shrinkage", "margin", "allowance", "rounding"]
        assert sum(term["mm"] for term in terms) == pytest.approx(cut, abs=5e-4)
        assert cut / step == pytest.approx(round(cut / step), abs=1e-4)
        assert terms[0]["mm"] == finished
        assert terms[0]["mm"] + terms[1]["mm"] == pytest.approx(green, abs=2e-4)
        assert all(term["mm"] >= 0 for term in terms)
        assert terms[-1]["mm"] < step
        assert cut > finished


def test_the_cut_size_in_text_is_that_of_the_json() -> None:
    found, text = answer(*CUT), run(*CUT).stdout
    size = re.match(r"Lay out ([\d /]+) x ([\d /]+) in for 6 x 8 in at 12 % moisture", text)
    assert [inches(side) for side in size.groups()] == pytest.approx(found["cut_mm"], abs=1e-3)
    dry = re.search(r"measure ([\d /]+) to ([\d /]+) in x ([\d /]+) to ([\d /]+) in when dry", text)
    told = [inches(side) for side in dry.groups()]
    assert told == pytest.approx([mm for side in found["dry_mm"] for mm in side], abs=INCH / 32 + 0.01)


def test_a_surer_or_drier_or_hewn_timber_is_cut_larger() -> None:
    plain = answer(*CUT)["cut_mm"]
    for more in (["--chance", "99.9 %"], ["--moisture", "5 %"], ["--allow", "1/4"]):
        assert all(a > b for a, b in zip(answer(*CUT, *more)["cut_mm"], plain, strict=True))


def test_the_kits_wander_widens_the_margin(folder) -> None:
    kit = (folder / "kit.toml").read_text(encoding="utf-8")
    loose = folder / "loose.toml"
    assert re.search(r'wander = "[\d.]+ mm"', kit)
    loose.write_text(re.sub(r'wander = "[\d.]+ mm"', 'wander = "3 mm"', kit), encoding="utf-8")
    first, second = (answer(*CUT, "--kit", path) for path in (folder / "kit.toml", loose))
    assert second["spread_mm"] > first["spread_mm"]
    assert second["cut_mm"][0] > first["cut_mm"][0]


def test_fit_finished_cuts_larger_and_prints_every_term(folder) -> None:
    words = ["fit", folder / "yard.csv", "--finished", "6 x 8 x 20'", *PINE]
    found, cut = answer(*words), answer(*CUT)
    jsonschema.validate(found, schema("fit.json"))
    for one in found:
        assert one["cut"] == {key: value for key, value in cut.items() if key != "dry_mm"}
        assert one["size_mm"] is None or one["size_mm"] == pytest.approx(cut["cut_mm"], abs=1e-3)
        assert one["finished_mm"] == pytest.approx([6 * INCH, 8 * INCH])
    assert all(size > finished for size, finished in zip(cut["cut_mm"], cut["finished_mm"], strict=True))
    text = run(*words).stdout
    for term in ("finished", "+ shrinkage", "+ margin", "+ allowance", "+ rounding", "= cut"):
        assert term in text
    larger = ["fit", folder / "yard.csv", "--timber", f"{cut['cut_mm'][0]} x {cut['cut_mm'][1]} mm x 20'"]
    for one, other in zip(found, answer(*larger), strict=True):
        assert one["fits"] == other["fits"]
        assert one["clearance_mm"] == pytest.approx(other["clearance_mm"], abs=0.1)


def test_fit_without_finished_has_no_cut(folder) -> None:
    assert all(one["cut"] is None for one in answer("fit", folder / "yard.csv", "--timber", "6 x 8 x 20'"))


@pytest.mark.parametrize("size", ["6 x 8 x 20'", "4 x 6 x 12'"])
def test_setup_finished_sets_the_last_pass_of_a_stack_to_the_cut_size(folder, size) -> None:
    words = ["setup", folder / "yard.csv", "A12", "--finished", size, *PINE, "--kit", folder / "kit.toml"]
    found = answer(*words)
    jsonschema.validate(found, schema("setup.json"))
    cut = found["fit"]["cut"]["cut_mm"]
    settings = [stack["passes"][-1]["setting_mm"] for stack in found["stacks"]]
    assert settings == pytest.approx(cut, abs=0.01)
    for setting in settings:
        assert setting / (INCH / 16) == pytest.approx(round(setting / (INCH / 16)), abs=1e-3)
    assert "once it is dry" in run(*words).stdout


def test_a_finished_size_needs_a_species_and_no_size_to_cut(folder) -> None:
    yard = folder / "yard.csv"
    refused("fit", yard, "--finished", "6 x 8 x 20'", said="--species")
    refused("fit", yard, "--finished", "6 x 8 x 20'", "--timber", "6 x 8 x 20'", *PINE, said="one of the two")
    refused("fit", yard, "--timber", "6 x 8 x 20'", *PINE, said="--species: only with --finished")


def test_drying_in_text_is_that_of_the_json() -> None:
    found, lines = answer(*DRY), run(*DRY).stdout.splitlines()
    rows = [line.split() for line in lines if re.match(r"\s+\d+ mo\s", line)]
    assert rows
    for row in rows:
        month = int(row[0])
        slow, fast, middle = int(row[3]), int(row[5]), int(row[7])
        for name, told in (("slow", slow), ("fast", fast), ("middle", middle)):
            assert told == pytest.approx(100 * found["average"][name][month], abs=0.501)
    assert f"From {100 * found['green']:.0f} % green it comes to {100 * found['settles_at']:.0f} %" in lines[1]


def test_the_band_of_drying_is_in_order_and_starts_green() -> None:
    found = answer(*DRY)
    for part in ("average", "core"):
        slow, middle, fast = (found[part][name] for name in ("slow", "middle", "fast"))
        assert all(a >= b - 1e-4 >= c - 2e-4 for a, b, c in zip(slow, middle, fast, strict=True))
    assert found["average"]["middle"][0] == pytest.approx(found["green"], abs=1e-4)
    assert found["average"]["middle"][-1] < 0.2
    for reach in found["reached"]:
        months = reach["months"]
        assert months["fast"] <= months["middle"] <= months["slow"]


def test_a_thicker_timber_dries_later() -> None:
    thin, thick = (
        answer("dry", "--timber", f"{side} x {side} x 12'", *PINE, *CITY)["reached"][0]["months"] for side in (4, 8)
    )
    assert all(thin[name] < thick[name] for name in ("fast", "middle"))


def test_a_plot_and_a_sheet_are_written(tmp_path) -> None:
    plot, sheet = tmp_path / "d.svg", tmp_path / "d.pdf"
    for paper in ("letter", "a4"):
        result = run(*DRY, "--plot", plot, "--sheet", sheet, "--paper", paper)
        assert plot.read_text(encoding="utf-8").lstrip().startswith(("<svg", "<?xml"))
        assert sheet.read_bytes().startswith(b"%PDF")
        assert f"Wrote {plot}" in result.stderr
        assert f"Wrote {sheet}" in result.stderr


def test_a_plot_or_sheet_is_not_written_over_another_file(folder) -> None:
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    for option in ("--plot", "--sheet"):
        for name in before:
            refused(*DRY, option, folder / name, said="does not end in")
    mine = folder / "mine.pdf"
    mine.write_text("not a sheet", encoding="utf-8")
    assert "no PDF" in run(*DRY, "--sheet", mine, code=2).stderr
    assert mine.read_text(encoding="utf-8") == "not a sheet"
    assert {name: (folder / name).read_bytes() for name in before} == before


@pytest.mark.parametrize(("option", "ending"), [("--plot", ".svg"), ("--sheet", ".pdf")])
def test_a_file_that_cannot_be_written_is_told(tmp_path, option, ending) -> None:
    (tmp_path / f"folder{ending}").mkdir()
    for name in (f"none/x{ending}", f"folder{ending}"):
        result = run(*DRY, option, tmp_path / name, code=2)
        assert len(result.stderr.strip().splitlines()) == 1
        assert "folder" in result.stderr


def test_a_species_without_coefficient_falls_back_to_published_days(tmp_path) -> None:
    words = ["dry", "--timber", "6 x 8 x 20'", "--species", "white oak", *CITY]
    found = answer(*words)
    assert found["curve"] is False
    low, high = found["by_published_days"]["days"]
    assert 0 < found["by_published_days"]["published"]["days"][0] < low < high
    text = run(*words).stdout
    assert text.startswith("By the published ")
    assert "Stack: " in text
    plot = tmp_path / "x.svg"
    refused(*words, "--plot", plot, said="--plot, --sheet: White oak")
    assert not plot.exists()


def test_a_species_with_neither_coefficient_nor_days_says_what_to_give() -> None:
    refused("dry", "--timber", "6 x 8 x 20'", "--species", "black locust", *CITY, said="air_dry_1in")


def test_settling_in_text_is_that_of_the_json() -> None:
    found, text = answer(*SETTLE), run(*SETTLE).stdout
    leave = re.match(r"Leave ([\d /]+) in over the opening", text)
    assert inches(leave[1]) == pytest.approx(found["leave_mm"], abs=INCH / 16)
    assert found["opening_mm"][1] <= found["leave_mm"]
    assert found["log_height_mm"] == pytest.approx(8 * FOOT)
    assert all(one["case"] in text for one in found["published"])
    drop = re.search(r"drop ([\d /]+) in to ([\d /]+) in[,;]", text)
    assert [inches(side) for side in drop.groups()] == pytest.approx(found["drop_mm"], abs=INCH / 16)


def test_the_clearance_scales_with_the_opening() -> None:
    def leave(courses: int) -> float:
        return answer(*SETTLE[:7], "--opening", courses, "--joint", "scribed")["leave_mm"]

    assert leave(9) == pytest.approx(3 * leave(3), abs=1e-3)
    whole = answer(*SETTLE[:7], "--joint", "scribed")
    assert whole["leave_mm"] == pytest.approx(leave(12))
    assert whole["opening_mm"] == whole["drop_mm"]


OWN = """
[species."eastern white pine"]
specific_gravity_green = 0.30
green_moisture_whole = "120 %"
shrinkage_radial = "4 %"
shrinkage_tangential = "9 %"

[species."hill farm willow"]
kind = "hardwood"
specific_gravity_green = 0.5
green_moisture_whole = "100 %"
shrinkage_radial = "3 %"
shrinkage_tangential = "7 %"
air_dry_1in = 60
"""


@pytest.fixture
def own(folder):
    """A kit with the user's own species in it."""
    path = folder / "own.toml"
    path.write_text((folder / "kit.toml").read_text(encoding="utf-8") + OWN, encoding="utf-8")
    return path


def test_a_kits_species_changes_every_answer(folder, own) -> None:
    wood, mine = answer("wood", "eastern white pine"), answer("wood", "eastern white pine", "--kit", own)
    assert mine["values"]["shrinkage_radial"]["status"] == "given"
    assert (mine["specific_gravity_green"], mine["shrinkage"]["radial"]) == (0.30, 0.04)
    # Derived apart: 0.30 * 1000 * (1 + 1.2) = 660 kg/m3 lies in the middle of the range.
    assert sum(mine["green_density_kg_m3"]) / 2 == pytest.approx(660, rel=0.02)
    assert wood["green_density_kg_m3"] != mine["green_density_kg_m3"]
    cuts = [answer(*CUT, "--kit", kit)["cut_mm"] for kit in (folder / "kit.toml", own)]
    assert all(a < b for a, b in zip(*cuts, strict=True))
    weights = [
        answer("scale", folder / "yard.csv", "A01", "--kit", kit)[0]["weight_kg"] for kit in (folder / "kit.toml", own)
    ]
    assert weights[0] != weights[1]
    wall = ["settle", "--species", "eastern white pine", "--course", "8", "--courses", "12"]
    assert answer(*wall, "--kit", own)["drop_mm"][0] > answer(*wall)["drop_mm"][0]
    fits = [
        answer("fit", folder / "yard.csv", "--finished", "6 x 8", *PINE, "--kit", kit)
        for kit in (folder / "kit.toml", own)
    ]
    assert fits[0][0]["cut"]["cut_mm"] == cuts[0]
    assert fits[1][0]["cut"]["cut_mm"] == cuts[1]
    assert answer(*DRY, "--kit", own)["green"] == pytest.approx(1.2)


def test_a_species_only_the_kit_knows_is_answered_for(own) -> None:
    name = "Hill Farm Willow"
    refused("wood", name, said="not known")
    assert answer("wood", name, "--kit", own)["specific_gravity_green"] == 0.5
    assert answer("cutsize", "--finished", "6 x 8", "--species", name, "--kit", own)["shrinkage"][0] < 0.03
    dried = answer("dry", "--timber", "6 x 8 x 20'", "--species", name, "--kit", own, *CITY)
    assert dried["by_published_days"]["published"]["days"][0] == 60


def test_yard_columns_of_rot_and_sapwood(tmp_path) -> None:
    def scaled(head: str, cells: str):
        path = tmp_path / "y.csv"
        path.write_text(
            f"tag,species,length,butt [in],tip [in]{head}\nL1,red pine,16',17,15{cells}\n", encoding="utf-8"
        )
        return path

    plain = answer("scale", scaled("", ""))[0]
    rotten = answer("scale", scaled(",rot_high [in],rot_wide [in]", ",5,6"))[0]
    assert rotten["doyle_bf"] == plain["doyle_bf"]
    for rule, net in rotten["net"].items():
        assert net < plain["net"][rule]
    sappy = answer("scale", scaled(",sapwood [in]", ",2"))[0]
    assert plain["weight_kg"][0] < sappy["weight_kg"][0] < sappy["weight_kg"][1] < plain["weight_kg"][1]
    refused("scale", scaled(",sapwood [in]", ",9"), said="y.csv row 2, column sapwood")
    refused("scale", scaled(",rot_high [in],rot_wide [in]", ",20,3"), said="y.csv row 2, column rot_high")
    refused("scale", scaled(",rot_high [in]", ",3"), said="rot_wide is missing")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["wood", ""], "is not known"),
        (["wood", "x" * 10_000], "is not known"),
        (["wood", "pine\x1b[31m"], "\\x1b"),
        (["wood", "eastern white pine", "--kit", "none.toml"], "is not there"),
        (["air"], "--temperature"),
        (["air", "--temperature", "70 F"], "--humidity"),
        (["air", "--temperature", "70", "--humidity", "65 %"], "no unit"),
        (["air", "--temperature", "nan F", "--humidity", "65 %"], "write a number"),
        (["air", "--temperature", "-300 C", "--humidity", "65 %"], "nothing is that cold"),
        (["air", "--temperature", "70 F", "--humidity", "120 %"], "between 0 and 100 %"),
        (["air", "--temperature", "70 F", "--humidity", "15 F"], "no unit of it"),
        (["air", "--temperature", "70 F", "--humidity", "65 %", "--dew-point", "50 F"], "one of --humidity"),
        (["air", "--temperature", "70 F", "--humidity", "65 %", "--heated-to", "68 F"], "--heated-to"),
        (["air", "--temperature", "70 F", *CITY], "leave temperature and humidity away"),
        (["air", *CITY, "--months", "months.csv"], "keep one"),
        (["air", *CITY, "--heated-to", "15 %"], "no unit of it"),
        (["air", "--city", ""], "months are known"),
        (["air", "--city", "Portland"], "Portland, ME; Portland, OR"),
        (["air", "--months", "none.csv"], "is not there"),
        ([*CUT, "--moisture", "15 F"], "--moisture"),
        ([*CUT, "--moisture", "100 %"], "between 0 and 30 %"),
        ([*CUT, "--moisture", "15"], "no unit"),
        ([*CUT, "--chance", "100 %"], "50 to 99.99 %"),
        ([*CUT, "--allow", "-1/8"], "negative"),
        ([*CUT, "--allow", "10"], "allowance"),
        (["cutsize", "--finished", "0 x 8", *PINE], "not above zero"),
        (["cutsize", "--finished", "6", *PINE], "thickness x width"),
        (["cutsize", "--finished", "6 x 1000", *PINE], "no timber"),
        (["cutsize", "--finished", "6 x 8"], "--species"),
        (["dry", "--timber", "6 x 8", *PINE, *CITY], "add its length"),
        (["dry", "--timber", "6 x 8 x 20'", *PINE], "--city"),
        ([*DRY, "--stacked", "Ma"], "Jan to Dec"),
        ([*DRY, "--stacked", "0"], "Jan to Dec"),
        ([*DRY, "--green", "15 F"], "--green"),
        ([*DRY, "--green", "0 %"], "10 and 400 %"),
        ([*DRY, "--target", "20"], "--target"),
        ([*DRY, "--plot", "x.txt"], "does not end in .svg"),
        ([*DRY, "--sheet", "x.svg"], "does not end in .pdf"),
        (["settle", "--species", "red pine", "--course", "8", "--courses", "0"], "courses"),
        ([*SETTLE, "--opening", "13"], "the wall has 12"),
        ([*SETTLE, "--course", "8 F"], "--course"),
        ([*SETTLE, "--before", "12"], "--before"),
        ([*SETTLE, "--before", "10 %"], "give less after"),
        ([*SETTLE, "--after", "500 %"], "--after"),
    ],
)
def test_what_cannot_be_used_gets_one_sentence(words, said) -> None:
    refused(*words, said=said)


@pytest.mark.parametrize(
    "words",
    [
        ["wood"],
        ["dry"],
        ["settle"],
        ["scale"],
        ["cutsize"],
        [*CUT, "--faces", "5"],
        [*DRY, "--years", "0"],
        [*SETTLE, "--joint", "x"],
    ],
)
def test_what_an_option_does_not_take_is_a_usage_error(words) -> None:
    assert "Usage: " in run(*words, code=2).stderr


def test_a_tag_that_is_not_there_names_those_near(folder) -> None:
    refused("scale", folder / "yard.csv", "A99", said="A09")
    refused("scale", folder / "none.csv", said="is not there")


@pytest.mark.parametrize(
    "words",
    [
        ["--temperature", "999999999 C", "--humidity", "65 %"],
        ["--temperature", "70 F", "--dew-point", "80 F"],
        ["--temperature", "70 F", "--wet-bulb", "80 F"],
        ["--temperature", "70 F", "--wet-bulb", "20 F"],
        ["--temperature", "70 F", "--dew-point", "-200 C"],
        [*CITY, "--heated-to", "500 C"],
    ],
)
def test_air_beyond_the_formulas_is_no_answer(words) -> None:
    result = CliRunner().invoke(main, ["air", *words])
    assert result.exit_code in (1, 2)
    assert result.stdout == ""
    assert len(result.stderr.strip().splitlines()) == 1


def test_a_plot_is_not_drawn_over_a_file_that_is_no_drawing(folder) -> None:
    """Neither over a table that was given a drawing's name, nor through a link to one."""
    yard = (folder / "yard.csv").read_bytes()
    (folder / "keep.svg").write_bytes(yard)
    (folder / "link.svg").symlink_to(folder / "yard.csv")
    for name in ("keep.svg", "link.svg"):
        result = run(*DRY, "--years", "1", "--plot", folder / name, code=2)
        assert "is there and is no SVG" in result.stderr
        assert (folder / name).read_bytes() == yard
    for _ in range(2):
        run(*DRY, "--years", "1", "--plot", folder / "new.svg")
    assert "<svg" in (folder / "new.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize("size", ["1/2 x 6 x 8'", "3/4 x 6 x 8'", "1 x 6 x 8'", "6 x 8 x 8'"])
@pytest.mark.parametrize("month", ["Jan", "May", "Oct"])
def test_the_slow_edge_of_the_band_is_the_wetter_one(size: str, month: str) -> None:
    found = answer("dry", "--timber", size, *PINE, *CITY, "--stacked", month)
    for name in ("average", "surface", "core"):
        bands = found[name]
        assert all(a >= b >= c for a, b, c in zip(bands["slow"], bands["middle"], bands["fast"], strict=True))
    for reach in found["reached"]:
        known = [value for value in reversed(reach["months"].values()) if value is not None]
        assert known == sorted(known)


def test_a_clearance_is_rounded_up() -> None:
    words = ["settle", "--species", "red pine", "--course", "7", "--courses", "12"]
    shown = re.match(r"Leave ([\d /]+) in over the opening", run(*words).stdout)[1]
    assert inches(shown) >= answer(*words)["leave_mm"] - 1e-3


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([*DRY, "--stacked", "0005999"], "write Jan to Dec"),
        ([*DRY, "--stacked", "Maybe"], "write Jan to Dec"),
        ([*DRY, "--stacked", "May 5"], "write Jan to Dec"),
        (["air", "--temperature", "1000000000 C", "--humidity", "50 %"], "temperature"),
        (["air", "--temperature", "70 F", "--wet-bulb", "80 F"], "26.7 C (80 F) is above the dry 21.1 C (70 F)"),
        (["air", *CITY, "--heated-to", "-40 F"], "between 0 and 60 C"),
        (["cutsize", "--finished", "6 x 8 x 20'", *PINE], "thickness x width alone"),
    ],
)
def test_what_was_taken_without_a_word_is_refused(words, said) -> None:
    refused(*words, said=said)


def test_options_of_a_finished_size_do_not_pass_unheard_with_a_size_to_cut(folder) -> None:
    said = refused("fit", folder / "yard.csv", "--timber", "6 x 8", "--chance", "90 %", "--moisture", "9 %")
    assert said.startswith("--moisture and --chance: only with --finished")


def test_unprintable_words_are_not_printed_back(folder) -> None:
    for words in (
        ["scale", folder / "yard.csv", "\x1b[31mZZ"],
        ["air", "--city", "\x1b[31mZZ"],
        [*DRY, "--stacked", "\x1b[31mZZ"],
        ["wood", "\x1b[31mZZ"],
    ):
        assert "\x1b" not in refused(*words)


def test_a_sapwood_that_cannot_be_used_is_told(folder) -> None:
    path = folder / "sap.csv"
    path.write_text("tag,species,length [ft],butt [in],tip [in],sapwood [in]\nA,eastern white pine,16,16,14,2\n")
    assert "the sapwood is not used" in run("scale", path).stdout


def test_a_species_twice_in_a_kit_and_shrinkage_upside_down_are_refused(folder) -> None:
    kit = folder / "twice.toml"
    kit.write_text('[species."Red pine"]\nkind = "softwood"\n[species."red pine"]\nkind = "softwood"\n')
    assert "stands there twice" in refused("wood", "red pine", "--kit", kit)
    kit.write_text('[species."red pine"]\nshrinkage_radial = "9 %"\nshrinkage_tangential = "4 %"\n')
    assert "wood shrinks more along the rings" in refused("wood", "red pine", "--kit", kit)
