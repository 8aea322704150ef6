"""The commands as a user runs them: answers, JSON that others can check, and sentences for bad input."""

import json
import math
import re
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner
from shapely.geometry import Point, Polygon

from pithline.cli import main
from pithline.job import demo_files

ROOT = Path(__file__).parents[2]
REAL = ROOT / "tests" / "data" / "real_logs"
FOOT, INCH = 304.8, 25.4


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


def schema(name):
    return json.loads((ROOT / "docs" / "schema" / name).read_text())


def yard(tmp_path, row, head="tag,species,length,butt,tip,crown [in],crown_clock"):
    path = tmp_path / "one.csv"
    path.write_text(f"{head}\n{row}\n", encoding="utf-8")
    return path


TIMBER = ["--timber", "6 x 8 x 20'", "--allow", "1/8"]


def test_fit_tells_one_line_a_log(folder):
    lines = run("fit", folder / "yard.csv", *TIMBER).stdout.splitlines()
    assert "10 of 26 logs hold a timber 6 x 8 in x 20 ft" in lines[0]
    tags = [line.split()[0] for line in lines if line.startswith("A")]
    assert tags == [f"A{n:02d}" for n in range(1, 27)]


@pytest.mark.parametrize("name", ["fit", "largest"])
@pytest.mark.parametrize("source", ["demo", "slices.csv", "tally.csv"])
def test_json_keeps_its_schema(folder, name, source):
    path = folder / "yard.csv" if source == "demo" else REAL / source
    words = ["--timber", "60 x 90 mm"] if name == "fit" else ["--square"]
    answer = json.loads(run(name, path, *words, "--json").stdout)
    assert len(answer) == (26 if source == "demo" else 15)
    jsonschema.validate(answer, schema("fit.json"))


def test_setup_json_keeps_its_schema(folder):
    words = ["setup", folder / "yard.csv", "A02", *TIMBER, "--kit", folder / "kit.toml", "--json"]
    for faces in ("2", "3", "4"):
        answer = json.loads(run(*words, "--faces", faces).stdout)
        jsonschema.validate(answer, schema("setup.json"))
        assert len(answer["passes"]) == int(faces)


def sections(row, stations):
    """The log drawn from its row alone: circles whose centers follow a parabola, as polygons."""
    length, butt, tip, crown, clock = row
    angles = np.linspace(0.0, 2.0 * np.pi, 721)[:-1]
    for z in stations:
        radius = 0.5 * (butt + (tip - butt) * z / length)
        offset = 4.0 * crown * z * (length - z) / length**2
        center = offset * np.array([math.sin(math.radians(30.0 * clock)), math.cos(math.radians(30.0 * clock))])
        yield z, Polygon(center + radius * np.column_stack([np.cos(angles), np.sin(angles)]))


@pytest.mark.parametrize("roll", ["best", "crown-side", "crown-up", "37"])
def test_the_corners_in_the_json_lie_in_the_log_drawn_from_its_row(tmp_path, roll):
    row = (21.5 * FOOT, 15.0 * INCH, 12.0 * INCH, 2.0 * INCH, 2.0)
    path = yard(tmp_path, "L1,white pine,21' 6,15 in,12 in,2,2")
    answer = json.loads(run("fit", path, "--timber", "6 x 8", "--roll", roll, "--json").stdout)[0]
    assert answer["fits"]
    butt, tip = np.array(answer["corners_butt_mm"]), np.array(answer["corners_tip_mm"])
    sides = np.linalg.norm(butt - np.roll(butt, -1, axis=0), axis=1)
    assert sides == pytest.approx([8 * INCH, 6 * INCH] * 2, abs=0.01)
    least = math.inf
    for z, wood in sections(row, np.linspace(0.0, row[0], 400)):
        placed = butt + (tip - butt) * z / row[0]
        timber = Polygon(placed)
        assert wood.buffer(1e-6).contains(timber)
        least = min(least, *(wood.exterior.distance(point) for point in map(Point, placed)))
    # The program's log is a polygon of 72 sides inside this one, 0.1 % of the radius, and straight between stations.
    assert answer["clearance_mm"] == pytest.approx(least, abs=0.001 * 0.5 * row[1] + 0.15)
    assert answer["clearance_mm"] <= least + 0.15


def test_both_unit_worlds_give_the_same_answer(tmp_path):
    inches = yard(tmp_path, "L1,pine,21' 6,15 in,12 in,2,2")
    one = json.loads(run("fit", inches, "--timber", "6 x 8", "--json").stdout)
    metric = tmp_path / "metric.csv"
    metric.write_text(
        "tag;species;length [mm];butt [mm];tip [cm];crown [mm];crown_clock\nL1;pine;6553,2;381;30,48;50,8;2\n"
    )
    two = json.loads(run("fit", metric, "--timber", "152.4 x 203.2 mm", "--units", "mm", "--json").stdout)
    assert one[0]["clearance_mm"] == pytest.approx(two[0]["clearance_mm"], abs=1e-3)
    assert one[0]["corners_tip_mm"] == pytest.approx(np.array(two[0]["corners_tip_mm"]), abs=1e-2)


def test_every_real_log_gets_its_largest_square_and_a_set_up(tmp_path):
    squares = json.loads(run("largest", REAL / "slices.csv", "--json").stdout)
    assert len(squares) == 15
    for square in squares:
        assert square["fits"]
        side = math.floor(square["size_mm"][0]) - 4
        words = ["setup", REAL / "slices.csv", square["tag"], "--timber", f"{side} x {side} mm", "--units", "mm"]
        narrow = tmp_path / "kit.toml"
        narrow.write_text(
            '[bearers]\nbase_width = "40 mm"\nheight_min = "2 in"\npost_width = "160 mm"\nseat = "20 mm"\n'
        )
        answer = json.loads(run(*words, "--kit", narrow, "--json").stdout)
        assert [cut["number"] for cut in answer["passes"]] == [1, 2, 3, 4]


def test_the_asked_datum_is_kept_or_refused_with_a_reason(folder):
    words = ["setup", folder / "yard.csv", "A02", *TIMBER, "--kit", folder / "kit.toml"]
    answer = json.loads(run(*words, "--datum", "11", "--json").stdout)
    assert answer["datum_mm"] == pytest.approx(11 * INCH)
    assert answer["passes"][0]["setting_mm"] == pytest.approx((11 + 3.25 - 0.375) * INCH)
    assert "goes no lower" in run(*words, "--datum", "2", code=2).stderr
    assert "no more than" in run(*words, "--datum", "20", code=2).stderr


def test_a_log_cut_to_length_first_is_set_up_from_its_new_butt(folder):
    words = ["setup", folder / "yard.csv", "A14", "--timber", "6 x 6 x 14'", "--kit", folder / "kit.toml", "--json"]
    answer = json.loads(run(*words, "--cut-first").stdout)
    jsonschema.validate(answer, schema("setup.json"))
    start, end = answer["cut_mm"]
    assert end - start == pytest.approx(14 * FOOT)
    assert answer["bearers"][-1]["station_mm"] == pytest.approx(14 * FOOT)
    fitted = json.loads(run("fit", folder / "yard.csv", "--timber", "6 x 6 x 14'", "--json").stdout)
    assert answer["fit"]["clearance_mm"] == pytest.approx(fitted[13]["clearance_mm"])
    assert "cut the log to length first" in run(*words, code=2).stderr


def test_sheets_are_written_where_asked(folder):
    outs = {name: folder / f"{name}.pdf" for name in ("card", "pole", "templates")}
    words = [word for name, path in outs.items() for word in (f"--{name}", path)]
    told = run("setup", folder / "yard.csv", "A02", *TIMBER, "--kit", folder / "kit.toml", *words, "--paper", "a4")
    for path in outs.values():
        assert path.read_bytes().startswith(b"%PDF")
        assert str(path) in told.stderr


@pytest.mark.parametrize(("name", "pattern"), [("yard.csv", "does not end in .pdf"), ("notes.pdf", "is no PDF")])
def test_a_sheet_never_replaces_what_is_no_sheet(folder, name, pattern):
    path = folder / name
    if not path.exists():
        path.write_text("notes taken at the log")
    before = path.read_bytes()
    words = ["setup", folder / "yard.csv", "A02", *TIMBER, "--kit", folder / "kit.toml", "--card", path]
    assert pattern in run(*words, code=2).stderr
    assert path.read_bytes() == before


def test_a_thickness_beyond_every_log_gets_a_reason_a_log(folder):
    answer = json.loads(run("largest", folder / "yard.csv", "--thickness", "40", "--json").stdout)
    jsonschema.validate(answer, schema("fit.json"))
    assert not any(entry["fits"] for entry in answer)
    assert all("no timber of this kind" in entry["limit"]["text"] for entry in answer)


def test_the_demo_runs_through_to_printed_cards(tmp_path):
    told = run("demo", tmp_path / "demo").stdout
    assert "invented" in told
    assert {path.suffix for path in (tmp_path / "demo").iterdir()} >= {".csv", ".toml", ".pdf"}


def test_clearance_given_up_for_the_pith_is_not_laid_to_the_roll(folder):
    told = run("fit", folder / "yard.csv", "--timber", "4 x 4 x 16'", "--clear", "1/4").stdout
    assert "would leave" not in told
    told = run("fit", folder / "yard.csv", *TIMBER, "--roll", "crown-side").stdout
    assert "The best roll would leave 5/16 in more" in told


def test_the_kit_to_start_from_reads_back(tmp_path, folder):
    kit = tmp_path / "kit.toml"
    kit.write_text(run("kit").stdout)
    words = ["setup", folder / "yard.csv", "A02", "--timber", "6 x 8 x 20'", "--roll", "crown-side", "--json"]
    assert json.loads(run(*words, "--kit", kit).stdout)["passes"] == json.loads(run(*words).stdout)["passes"]


HEAD = "tag,species,length,butt [in],tip [in],crown [in],crown_clock"
GOOD = "L1,pine,21',15,12,1,2"

BAD_YARDS = {
    "missing column": ("tag,species,length,butt [in]\nL1,pine,21',15\n", r"tip"),
    "unknown column": (f"{HEAD},girth\n{GOOD},3\n", r"girth"),
    "bare number": ("tag,species,length,butt,tip\nL1,pine,21',15,12\n", r"row 2.*butt.*15"),
    "tip larger": (f"{HEAD}\nL1,pine,21',12,15,1,2\n", r"tip.*larger than butt.*--tip-larger-ok"),
    "zero": (f"{HEAD}\nL1,pine,0 ft,15,12,1,2\n", r"length"),
    "negative": (f"{HEAD}\nL1,pine,21',-15,12,1,2\n", r"butt.*-15"),
    "absurd": (f"{HEAD}\nL1,pine,2100',15,12,1,2\n", r"length"),
    "not finite": (f"{HEAD}\nL1,pine,21',nan,12,1,2\n", r"butt.*nan"),
    "crown too large": (f"{HEAD}\nL1,pine,21',15,12,16,2\n", r"crown"),
    "clock": (f"{HEAD}\nL1,pine,21',15,12,1,14\n", r"crown_clock.*14"),
    "twice": (f"{HEAD}\n{GOOD}\n{GOOD}\n", r"L1"),
    "empty": ("", r"empty"),
    "only a head": (f"{HEAD}\n", r"no rows"),
}


@pytest.mark.parametrize("name", BAD_YARDS)
def test_a_bad_yard_gets_a_sentence_that_names_the_file(tmp_path, name):
    text, pattern = BAD_YARDS[name]
    path = tmp_path / "bad.csv"
    path.write_text(text, encoding="utf-8")
    told = run("fit", path, "--timber", "6 x 8", code=2)
    assert told.stdout == ""
    assert "bad.csv" in told.stderr
    assert re.search(pattern, told.stderr), told.stderr


def test_all_faults_of_a_yard_are_told_at_once(tmp_path):
    path = tmp_path / "bad.csv"
    path.write_text(f"{HEAD}\nL1,pine,21',nan,12,1,2\nL2,pine,21',15,12,1,14\nL2,pine,0 ft,15,12,1,2\n")
    told = run("fit", path, "--timber", "6 x 8", code=2).stderr
    assert "row 2" in told
    assert "row 3" in told
    assert "row 4" in told


def test_a_wrong_encoding_and_a_huge_file_are_refused(tmp_path):
    path = tmp_path / "latin.csv"
    path.write_bytes(f"{HEAD}\nL1,sapin argent\xe9,21',15,12,1,2\n".encode("latin-1"))
    assert "UTF-8" in run("fit", path, "--timber", "6 x 8", code=2).stderr
    huge = tmp_path / "huge.csv"
    with huge.open("wb") as file:
        file.truncate(50_000_000)
    assert "MB" in run("fit", huge, "--timber", "6 x 8", code=2).stderr


@pytest.mark.parametrize(
    ("words", "pattern"),
    [
        (["--timber", "6 by"], "--timber"),
        (["--timber", "6 x 8 x 20"], "20' or 20 in"),
        (["--timber", "0 x 8"], "timber"),
        (["--timber", "6 x 8", "--allow", "x"], "--allow"),
        (["--timber", "6 x 8", "--wane", "5"], "wane"),
        (["--timber", "6 x 8", "--roll", "sideways"], "crown-side"),
        (["--timber", "6 x 8", "--roll", "nan"], "--roll"),
        (["--timber", "6 x 8", "--heart", "boxed", "--heart-margin", "3 in"], "heart margin"),
        (["--timber", "6 x 8", "--allow", "9"], "allowance"),
    ],
)
def test_a_bad_option_gets_a_sentence(folder, words, pattern):
    assert pattern in run("fit", folder / "yard.csv", *words, code=2).stderr


def test_a_timber_that_does_not_lie_in_the_log_says_what_would(folder):
    told = run("setup", folder / "yard.csv", "A06", *TIMBER, code=1).stderr
    assert "short" in told
    assert "would do at this taper and crown" in told


@pytest.mark.parametrize(
    ("kit", "pattern"),
    [
        ('[mill]\ncut_width = "10 in"\n', "mill.cut_width"),
        ('[mill]\nsetting_max = "6 in"\n', "sets no deeper"),
        ('[bearers]\nheight_min = "1 in"\nheight_max = "1 1/2 in"\n', "reaches no higher"),
        ("[bearers]\ncount = 3\n", "bearers.count"),
        ('[bearers]\nbase_width = "40 in"\n', "bearers.base_width"),
        ('[rail]\nlength = "3 ft"\n', "rail"),
        ("[rail]\nlength = 10\n", "rail.length"),
        ('[saw]\nkrf = "3/8 in"\n', "kerf"),
        ("[saw\n", "kit.toml"),
    ],
)
def test_a_kit_that_cannot_reach_or_be_read_says_which_part_and_what_would(folder, kit, pattern):
    (folder / "kit.toml").write_text(kit)
    told = run("setup", folder / "yard.csv", "A02", *TIMBER, "--kit", folder / "kit.toml", code=2).stderr
    assert pattern in told


def test_an_unknown_tag_is_answered_with_near_ones(folder):
    assert "A09" in run("setup", folder / "yard.csv", "A99", *TIMBER, code=2).stderr
