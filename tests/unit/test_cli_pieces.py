"""`pieces` and `setup --timbers` as a user runs them: answers, JSON that keeps its schema, sentences for bad input."""

import itertools
import json
import math
import re
from pathlib import Path

import jsonschema
import numpy as np
import pytest
from click.testing import CliRunner
from shapely.geometry import Polygon

from pithline.cli import main
from pithline.job import demo_files

ROOT = Path(__file__).parents[2]
FOOT, INCH = 304.8, 25.4
KERF = 0.375 * INCH
BF_MM3 = 144 * INCH**3

# Invented: a straight round log, one with a crown, and one that nothing comes out of.
ROUND = (14.5 * FOOT, 15.25 * INCH, 12.75 * INCH)
YARD = """tag,species,length,butt [in],tip [in],crown [in],crown_clock
R1,eastern hemlock,14 ft 6 in,15 1/4,12 3/4,,
C2,red spruce,12 ft 3 in,13,11 1/2,1 1/4,4
N3,red spruce,3 ft 2 in,7,6 1/2,,
"""

# Invented: the values are no one's prices.
LIST = """name,kind,count,thickness [in],width [in],length,value,allowance [in],heart,wane [in]
post,timber,2,6,6 1/2,11',1.60,1/8,boxed,1/4
strut,timber,7,3,4 1/4,5',1.30,,any,
plank,board,,2,4 1/2,4',0.70,,,
"""

VALUES = {"post": 1.60, "strut": 1.30, "plank": 0.70}
LISTED_MM2 = {"post": 6 * 6.5 * INCH**2, "strut": 3 * 4.25 * INCH**2}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The yard and the list above, and the demo's kit."""
    path = tmp_path_factory.mktemp("pieces")
    files = {"yard.csv": YARD, "timbers.csv": LIST, "kit.toml": demo_files()["kit.toml"]}
    for name, text in files.items():
        (path / name).write_text(text, encoding="utf-8")
    return path


def run(*words, code=0):
    """Run the command; its stdout and stderr."""
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == code, result.output
    assert not result.exception or isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output
    return result


def pieces(folder, *words, code=0, kit="kit.toml"):
    """Run `pieces` on the yard and the list."""
    return run(
        "pieces", folder / "yard.csv", *words, "--timbers", folder / "timbers.csv", "--kit", folder / kit, code=code
    )


def set_up(folder, *words, code=0):
    """Run `setup` for the list."""
    told = ("--timbers", folder / "timbers.csv", "--kit", folder / "kit.toml")
    return run("setup", folder / "yard.csv", *words, *told, code=code)


def schema():
    return json.loads((ROOT / "docs" / "schema" / "pieces.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def every(folder):
    """The answer for the whole yard, as JSON."""
    return json.loads(pieces(folder, "--json").stdout)


@pytest.fixture(scope="module")
def ways(every):
    """Every way of every log."""
    return [(log["tag"], way) for log in every if log["pieces"] for way in (log, *log["alternatives"])]


# --- JSON ---------------------------------------------------------------------


def test_json_keeps_its_schema(every) -> None:
    jsonschema.validate(every, schema())
    assert [log["tag"] for log in every] == ["R1", "C2", "N3"]


def test_the_schema_closes_every_object_and_refuses_a_missing_key(every) -> None:
    held = schema()
    for name, part in held["$defs"].items():
        assert part["additionalProperties"] is False, name
        assert part["required"] == sorted(part["properties"]), name
    for spoiled in ({**every[0], "extra": 1}, {key: every[0][key] for key in every[0] if key != "net"}):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate([spoiled], held)


def test_every_key_is_told_in_the_docs() -> None:
    told = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    chapter = re.search(r"^## pieces\n(.*?)^## ", told, re.MULTILINE | re.DOTALL)
    assert chapter
    named = set(re.findall(r"`(\w+)`", chapter[1]))
    for name, part in schema()["$defs"].items():
        assert set(part["properties"]) <= named, name


def test_set_up_of_a_list_gives_one_log_in_the_same_form(folder, every) -> None:
    answer = json.loads(set_up(folder, "R1", "--json").stdout)
    jsonschema.validate(answer, schema())
    assert answer == every[0]


def test_the_way_asked_for_comes_first_in_the_json(folder, every) -> None:
    assert len(every[0]["alternatives"]) >= 1
    (second,) = json.loads(pieces(folder, "R1", "--way", "2", "--json").stdout)
    assert [way["way"] for way in (second, *second["alternatives"])][:2] == [2, 1]
    assert second["pieces"] == every[0]["alternatives"][0]["pieces"]
    assert [every[0]["way"], every[0]["alternatives"][0]["way"]] == [1, 2]


def test_a_log_that_gives_nothing_says_why(folder, every) -> None:
    log = every[2]
    assert "N3" in log["why"]
    assert (log["way"], log["net"], log["pieces"], log["passes"], log["alternatives"]) == (0, 0.0, [], [], [])
    told = pieces(folder, "N3").stdout
    assert told.startswith(log["why"])


def log_section(tag, z):
    """The section of a log drawn from its row alone: a circle about a parabola."""
    length, butt, tip, crown, clock = {
        "R1": (*ROUND, 0.0, 0.0),
        "C2": (12.25 * FOOT, 13 * INCH, 11.5 * INCH, 1.25 * INCH, 4.0),
    }[tag]
    angle = np.linspace(0.0, 2.0 * np.pi, 721)[:-1]
    offset = 4.0 * crown * z * (length - z) / length**2
    center = offset * np.array([math.sin(math.radians(30 * clock)), math.cos(math.radians(30 * clock))])
    radius = 0.5 * (butt + (tip - butt) * z / length)
    return Polygon(center + radius * np.column_stack([np.cos(angle), np.sin(angle)]))


def corners_at(piece, z):
    """A piece's section at a place along the log, from the corners at its own two ends."""
    along = (z - piece["start_mm"]) / piece["length_mm"]
    return (1 - along) * np.array(piece["corners_butt_mm"]) + along * np.array(piece["corners_tip_mm"])


def waned(corners, wane):
    """A section with its corners cut off along both faces."""
    if wane == 0:
        return Polygon(corners)
    points = []
    for k in range(4):
        ways = (corners[k - 1] - corners[k], corners[(k + 1) % 4] - corners[k])
        points += [corners[k] + wane * way / np.linalg.norm(way) for way in ways]
    return Polygon(points)


def test_the_corners_of_every_piece_lie_in_the_log_drawn_from_its_row(ways) -> None:
    assert len(ways) >= 3
    for tag, way in ways:
        for piece in way["pieces"]:
            ends = (piece["start_mm"], piece["start_mm"] + piece["length_mm"])
            for z in np.linspace(*ends, 60):
                section = waned(corners_at(piece, z), piece["wane_mm"])
                # The program's log runs straight between stations up to 250 mm apart, inside the parabola by 0.1 mm.
                assert log_section(tag, z).buffer(0.15).contains(section), (tag, piece["name"], z)
            sides = np.linalg.norm(np.diff(corners_at(piece, ends[0]), axis=0), axis=1)
            assert sorted(sides[:2]) == pytest.approx(sorted([piece["thickness_mm"], piece["width_mm"]]), abs=0.01)


def test_any_two_pieces_lie_a_kerf_apart(ways) -> None:
    for _, way in ways:
        for number, one in enumerate(way["pieces"]):
            for other in way["pieces"][number + 1 :]:
                start = max(one["start_mm"], other["start_mm"])
                end = min(one["start_mm"] + one["length_mm"], other["start_mm"] + other["length_mm"])
                for z in np.linspace(start, end, 5) if end > start else ():
                    apart = Polygon(corners_at(one, z)).distance(Polygon(corners_at(other, z)))
                    assert apart >= KERF - 0.01


def test_all_the_wood_is_accounted_for(ways) -> None:
    length, butt, tip = ROUND
    whole = math.pi * length * (butt**2 + butt * tip + tip**2) / 12.0
    for tag, way in ways:
        if tag != "R1":
            continue
        out = sum(piece["thickness_mm"] * piece["width_mm"] * piece["length_mm"] for piece in way["pieces"])
        assert way["recovery"] == pytest.approx(out / whole, abs=1e-3)
        assert way["board_feet"] == pytest.approx(out / BF_MM3, abs=2e-3)
        # Windows of wood in kerfs are added up by Simpson's rule, which misses a little where they run out.
        assert out / 1e9 + way["kerf_m3"] + way["slab_m3"] == pytest.approx(whole / 1e9, rel=1e-3)


def test_value_cost_and_net_follow_from_the_list_and_the_kit(ways) -> None:
    for _, way in ways:
        for piece in way["pieces"]:
            section = LISTED_MM2.get(piece["name"], piece["thickness_mm"] * piece["width_mm"])
            feet = section * piece["length_mm"] / BF_MM3
            assert piece["board_feet"] == pytest.approx(feet, abs=1e-3)
            assert piece["value"] == pytest.approx(VALUES[piece["name"]] * feet, abs=1e-3)
        assert way["value"] == pytest.approx(sum(piece["value"] for piece in way["pieces"]), abs=1e-3)
        # The demo's kit: 20 an hour.
        assert way["cost"] == pytest.approx(way["sawing_minutes"] / 3, abs=0.01)
        assert way["net"] == pytest.approx(way["value"] - way["cost"], abs=1e-3)


def test_time_is_that_of_passes_positions_edging_and_crosscuts(ways) -> None:
    # The demo's kit: 40 min a rail, 10 a turn, 5 a pass, 4 a board's edges, 5 a crosscut, 0.18 m2 a minute.
    for _, way in ways:
        for cut in way["passes"]:
            assert cut["minutes"] == pytest.approx(5 + cut["area_m2"] / 0.18, abs=0.01)
            area = np.trapezoid(cut["width_mm"], cut["station_mm"]) / 1e6
            assert cut["area_m2"] == pytest.approx(area, abs=1e-4)
        for position in way["positions"]:
            assert position["minutes"] == (10 if position["stand"] is None else 50)
        boards = [piece for piece in way["pieces"] if piece["kind"] == "board"]
        edging = sum(4 + 2 * board["thickness_mm"] * board["length_mm"] / 0.18e6 for board in boards)
        moving = sum(step["minutes"] for step in (*way["passes"], *way["positions"]))
        crosscuts = (way["sawing_minutes"] - moving - edging) / 5
        assert crosscuts == pytest.approx(round(crosscuts), abs=0.02)
        assert 0 <= round(crosscuts) <= len(way["pieces"]) + 2 * len(way["parts"])


def test_settings_follow_from_the_lines_and_what_is_ridden_on(ways) -> None:
    for _, way in ways:
        cuts = {cut["number"]: cut for cut in way["passes"]}
        assert list(cuts) == list(range(1, len(cuts) + 1))
        for position in way["positions"]:
            own = [cuts[number] for number in position["passes"]]
            assert own[0]["rides_on"] == ("rail" if position["stand"] else "face")
            for cut in own:
                assert cut["turn_deg"] == position["turn_deg"]
                if cut["rides_on"] == "rail":
                    # Rail of 3 1/4 in: datum + rail - kerf.
                    assert cut["setting_mm"] == pytest.approx(position["stand"]["datum_mm"] + 3.25 * INCH - KERF)
                elif cut["face_of"] in position["passes"]:
                    face = cuts[cut["face_of"]]["line_mm"]
                    assert cut["setting_mm"] == pytest.approx(face - cut["line_mm"] - KERF, abs=1e-3)
                assert cut["widest_mm"] >= max(cut["width_mm"]) - 0.01


# --- text ---------------------------------------------------------------------


def test_a_yard_gets_a_sentence_and_a_line_a_way(folder, every) -> None:
    told = pieces(folder).stdout
    best = [log for log in every if log["net"] > 0]
    count = {kind: sum(p["kind"] == kind for log in best for p in log["pieces"]) for kind in ("timber", "board")}
    first = told.splitlines()[0]
    assert first.startswith(f"{len(best)} of 3 logs are worth sawing for this list: {count['timber']} timbers and ")
    assert f"and {count['board']} board" in first
    assert f"net {sum(log['value'] for log in best) - sum(log['cost'] for log in best):,.0f}." in first
    assert "counted at several logs" in told
    rows = [line for line in told.splitlines() if re.match(r"(R1|C2|N3|  )\s+(\d:|none)", line)]
    assert len(rows) == sum(max(1, len(log["alternatives"]) + bool(log["pieces"])) for log in every)
    assert next(line for line in told.splitlines() if line.startswith("N3")).split() == ["N3", "none", "nothing"]
    assert f"\n{every[2]['why']}\n" in told
    assert told.count("net: value less the cost of the time") == 1


def test_one_log_gets_its_pieces_and_passes_and_the_other_ways(folder, every) -> None:
    told = pieces(folder, "R1").stdout
    log = every[0]
    assert told.startswith("R1, eastern hemlock, 14 ft 6 in long, butt 15 1/4 in, tip 12 3/4 in.\n")
    assert f"Way 1 of {1 + len(log['alternatives'])}, {log['best_at']}: " in told
    assert f"net {log['net']:.2f}. {100 * log['recovery']:.0f} % of the log inside bark comes out as cut" in told
    head = told.index("pass  rides on")
    for cut in log["passes"]:
        rides = "the rail" if cut["face_of"] is None else f"the face of pass {cut['face_of']}"
        row = re.search(rf"^  {cut['number']}  +{rides}  +(.+) in \((\d+) mm\)  ", told[head:], re.MULTILINE)
        assert row, cut["number"]
        assert int(row[2]) == round(cut["setting_mm"])
    for other in log["alternatives"]:
        assert f"  {other['way']}, {other['best_at']}: " in told
        assert f"{other['gives_up'][1:]}." in told


def test_another_way_says_what_it_gives_up(folder, every) -> None:
    told = pieces(folder, "R1", "--way", "2").stdout
    other = every[0]["alternatives"][0]
    assert f"Way 2 of {1 + len(every[0]['alternatives'])}, {other['best_at']}: " in told
    assert f"Against way 1: {other['gives_up']}." in told
    assert f"  1, {every[0]['best_at']}: " in told
    assert f"Net {every[0]['net']:.2f}." in told


def test_the_set_up_of_a_list_tells_marks_bearers_rail_and_passes(folder, every) -> None:
    told = set_up(folder, "C2").stdout
    log = every[1]
    stands = [position["stand"] for position in log["positions"] if position["stand"]]
    assert told.count("Bearer tops") == len(stands)
    assert told.count("Lines on the ends") == len(log["positions"])
    assert told.count("A line is the lower edge of its kerf") == 1
    assert told.count("A chainsaw mill can maim") == 1
    for position in log["positions"]:
        assert f"{position['number']}. {position['text']}\n" in told
        row = re.escape(f"{position['passes'][0]}")
        assert re.search(rf"^  line of pass  {row}\b", told, re.MULTILINE)
    bearers = re.findall(r"^  (\d+)  +\S.* deep, .* wide  +[\d.]+ mm$", told, re.MULTILINE)
    assert len(bearers) == sum(len(stand["bearers"]) for stand in stands)
    rails = re.findall(r"^  [A-Z]  +.*  +\d+ to \d+  +", told, re.MULTILINE)
    assert len(rails) == sum(len(stand["rail"]) for stand in stands)


def test_lines_on_the_ends_are_a_setting_and_a_kerf_apart(folder) -> None:
    told = set_up(folder, "R1", "--units", "mm").stdout
    every = json.loads(set_up(folder, "R1", "--json").stdout)
    first = every["positions"][0]
    row = next(line for line in told.splitlines() if line.startswith("  butt  "))
    marks = [int(mm) if way == "up" else -int(mm) for mm, way in re.findall(r"(\d+) mm (up|down)", row)]
    cuts = {cut["number"]: cut for cut in every["passes"]}
    assert len(marks) == len(first["passes"])
    for (upper, lower), number in zip(itertools.pairwise(marks), first["passes"][1:], strict=True):
        assert upper - lower == pytest.approx(cuts[number]["setting_mm"] + KERF, abs=1.01)


def test_metric_answers_hold_no_feet_and_inches_but_in_brackets(folder) -> None:
    for told in (pieces(folder, "C2", "--units", "mm").stdout, set_up(folder, "C2", "--units", "mm").stdout):
        assert re.search(r"\d mm\b", told)
        assert re.search(r"\d\.\d{3} m\b", told)
        outside = re.sub(r"\([^)]*\)", "", told)
        assert not re.search(r"\d (in|ft)\b", outside)


def test_eighths_are_the_finest_fraction_where_asked(folder) -> None:
    fine, coarse = set_up(folder, "C2").stdout, set_up(folder, "C2", "--step", "8").stdout
    assert "/16 in" in fine
    assert "/16" not in coarse
    assert "/8 in" in coarse


def test_opposite_faces_are_opened_in_turn_where_asked(folder) -> None:
    (plain,) = json.loads(pieces(folder, "R1", "--json").stdout)
    (relieved,) = json.loads(pieces(folder, "R1", "--relieve", "--json").stdout)
    jsonschema.validate([relieved], schema())

    def rises(log):
        lines = [[log["passes"][n - 1]["line_mm"] for n in position["passes"]] for position in log["positions"]]
        return any(later > before for own in lines for before, later in itertools.pairwise(own))

    assert not rises(plain)
    assert rises(relieved)


def test_lines_of_text_are_not_too_long_for_a_wide_terminal(folder) -> None:
    for told in (pieces(folder).stdout, pieces(folder, "C2").stdout, set_up(folder, "C2").stdout):
        for line in told.splitlines():
            assert len(line) <= 140 or line.startswith("Note: "), line


def test_notes_are_told_once(folder) -> None:
    for told in (pieces(folder).stdout, pieces(folder, "R1").stdout):
        notes = [line for line in told.splitlines() if line.startswith("Note: ")]
        assert len(notes) == len(set(notes))
        assert any("[work]" in note and "slender" in note for note in notes)


def test_a_card_is_written_where_asked(folder, tmp_path) -> None:
    card = tmp_path / "R1.pdf"
    told = pieces(folder, "R1", "--way", "2", "--card", card, "--paper", "a4")
    assert card.read_bytes().startswith(b"%PDF")
    assert f"Wrote {card}" in told.stderr
    again = tmp_path / "again.pdf"
    set_up(folder, "R1", "--way", "2", "--card", again, "--paper", "a4")
    assert again.read_bytes() == card.read_bytes()


# --- bad input ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "pattern"),
    [
        (["R2"], r"no log is tagged"),
        (["R1", "--way", "9"], r"--way: read 9; R1 has \d ways"),
        (["R1", "--way", "9", "--json"], r"--way: read 9"),
        (["--way", "1"], r"name its tag"),
        (["--card", "all.pdf"], r"name its tag"),
        (["R1", "--card", "R1.svg"], r"does not end in \.pdf"),
        (["R1", "--way", "9", "--card", "R1.pdf"], r"--way: read 9"),
    ],
)
def test_a_bad_option_gets_a_sentence_and_no_answer(folder, tmp_path, monkeypatch, words, pattern) -> None:
    monkeypatch.chdir(tmp_path)
    told = pieces(folder, *words, code=2)
    assert re.search(pattern, told.stderr), told.stderr
    assert told.stdout == ""
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("words", [["R1", "--way", "0"], ["R1", "--step", "4"], ["R1", "--paper", "a3"]])
def test_a_choice_that_there_is_not_is_refused(folder, words) -> None:
    assert words[-2] in pieces(folder, *words, code=2).stderr


def test_a_list_must_be_named_and_be_there(folder) -> None:
    assert "--timbers" in run("pieces", folder / "yard.csv", code=2).stderr
    missing = run("pieces", folder / "yard.csv", "--timbers", folder / "none.csv", code=2).stderr
    assert "none.csv is not there" in missing
    assert "away.csv is not there" in run("setup", folder / "yard.csv", "R1", "--timbers", "away.csv", code=2).stderr


def test_all_faults_of_a_list_are_told_at_once(folder, tmp_path) -> None:
    bad = tmp_path / "bad.csv"
    bad.write_text("name,kind,count,thickness [in],width [in],length\npost,beam,2,6,6,11'\nsill,timber,x,6,8,12\n")
    told = run("pieces", folder / "yard.csv", "--timbers", bad, code=2)
    assert told.stdout == ""
    for pattern in (r"row 2.*kind.*beam", r"row 3.*count.*x", r"row 3.*length.*12"):
        assert re.search(pattern, told.stderr), pattern
    assert "bad.csv" in told.stderr


@pytest.mark.parametrize(
    ("kit", "pattern"),
    [
        (
            '[mill]\ncut_width = "8 in"\n',
            r"the kit cannot saw it; a longer bar and frame would do, mill\.cut_width is 8 in",
        ),
        (
            '[bearers]\nheight_min = "30 in"\nheight_max = "40 in"\n',
            r"the kit cannot saw it; .*lower bearers would do, bearers\.height_min is 2 ft 6 in",
        ),
    ],
)
def test_a_kit_that_cannot_saw_a_log_says_so(folder, tmp_path, kit, pattern) -> None:
    (tmp_path / "kit.toml").write_text(kit)
    words = (folder / "yard.csv", "R1", "--timbers", folder / "timbers.csv", "--kit", tmp_path / "kit.toml")
    told = run("pieces", *words)
    assert re.search(rf"^R1: .*({pattern})", told.stdout), told.stdout
    for words_too in (("setup", *words), ("pieces", *words, "--card", tmp_path / "R1.pdf")):
        assert re.search(pattern, run(*words_too, code=1).stderr)
    assert not (tmp_path / "R1.pdf").exists()


def test_a_kit_that_is_none_is_refused(folder, tmp_path) -> None:
    (tmp_path / "kit.toml").write_text('[work]\nslendr = "4"\n')
    words = (folder / "yard.csv", "R1", "--timbers", folder / "timbers.csv", "--kit", tmp_path / "kit.toml")
    assert "slender" in run("pieces", *words, code=2).stderr


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (["--timber", "6 x 8"], "--timber"),
        (["--finished", "6 x 8"], "--finished"),
        (["--wane", "1"], "--wane"),
        (["--heart", "boxed", "--datum", "8"], "--heart, --datum"),
        (["--roll", "best"], "--roll"),
        (["--pole", "pole.pdf"], "--pole"),
        (["--cut-first"], "--cut-first"),
    ],
)
def test_options_of_one_timber_are_refused_beside_a_list(folder, words, named) -> None:
    told = set_up(folder, "R1", *words, code=2)
    assert f"{named}: not with --timbers" in told.stderr
    assert told.stdout == ""


def test_a_way_is_refused_where_one_timber_is_set_up(folder) -> None:
    words = ("setup", folder / "yard.csv", "R1", "--timber", "6 x 6", "--way", "2")
    assert "--way and --relieve: only with --timbers" in run(*words, code=2).stderr
    words = ("setup", folder / "yard.csv", "R1", "--timber", "6 x 6", "--relieve")
    assert "--way and --relieve: only with --timbers" in run(*words, code=2).stderr


def test_a_set_up_by_a_list_where_nothing_comes_out_exits_with_1(folder) -> None:
    told = set_up(folder, "N3", code=1)
    assert told.stderr.startswith("N3: ")
    assert told.stdout == ""
    assert "--way: read 9" in set_up(folder, "R1", "--way", "9", code=2).stderr
    assert "no log is tagged" in set_up(folder, "R9", code=2).stderr
