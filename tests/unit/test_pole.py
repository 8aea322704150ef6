"""Story poles are drawn, printed and measured: each height stands where it should."""

import hashlib
import re
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from pithline.errors import KitError, NoPlacementError, SheetError
from pithline.fit import Timber, place
from pithline.lengths import Tape
from pithline.logs import TallyLog, solid_from_tally
from pithline.setup import set_up
from pithline.sheets.pole import draw_pole, pole_pdf
from pithline.sheets.pole_plan import GAP_MM, STRIP_MM, plan_pole, spread
from pithline.sheets.tiles import overlap_mm
from printed import corners, elements, flat_lines_mm, overlapping, pages, picture, runs, text_box, words
from strategies import FOOT, INCH, KIT, altered, generated, kits, logs_and_timbers

# A height on paper may be off by this much, as asked of the sheets.
TRUE_MM = 0.05
# Numbers in a drawing are written to the nearest 0.01 mm; two of them make a distance.
WRITTEN_MM = 0.0101
DPI = 600.0
MARK_MM = 13.0

INCHES, METRIC = Tape("in"), Tape("mm")


def sugarhouse(**changes):
    """A two-sided beam out of a crooked log whose pith wanders, so that no two heights agree. Invented."""
    row = TallyLog(
        "A-3",
        "white pine",
        21 * FOOT,
        17 * INCH,
        13 * INCH,
        crown_mm=2 * INCH,
        crown_clock=11.0,
        butt_pith_mm=9.0,
        butt_pith_clock=4.0,
        tip_pith_mm=14.0,
        tip_pith_clock=8.5,
    )
    timber = Timber(6 * INCH, 8 * INCH, length_mm=20 * FOOT, allowance_mm=INCH / 8, sawn_faces=4)
    return set_up(place(solid_from_tally(replace(row, **changes)), timber, roll="crown-side"), KIT)


def cylinder():
    """A straight log without taper: both ends and all bearers alike. Invented."""
    log = solid_from_tally(TallyLog("C-1", "oak", 12 * FOOT, 12 * INCH, 12 * INCH))
    return set_up(place(log, Timber(6 * INCH, 6 * INCH, sawn_faces=2)), KIT)


def large():
    """The largest butt a builder is likely to meet. Invented."""
    log = solid_from_tally(TallyLog("B-9", "oak", 8_000.0, 900.0, 760.0, crown_mm=30.0, crown_clock=2.0))
    kit = altered(altered(KIT, "mill", cut_width_mm=1_000.0, setting_max_mm=660.0), "bearers", height_min_mm=50.0)
    return set_up(place(log, Timber(480.0, 520.0, length_mm=7_900.0, allowance_mm=5.0)), kit)


def small():
    """A pole of three sawn faces. Invented."""
    log = solid_from_tally(TallyLog("S-2", "spruce", 3_000.0, 160.0, 130.0, crown_mm=8.0, crown_clock=7.0))
    return set_up(
        place(log, Timber(75.0, 80.0, length_mm=2_950.0, sawn_faces=3)), altered(KIT, "bearers", base_width_mm=63.5)
    )


SETUPS = {"sugarhouse": sugarhouse, "cylinder": cylinder, "large": large, "small": small}


def straight(path) -> list[tuple[float, float]]:
    """The corners of a path that is one line from point to point, else none."""
    data = path.attrib["d"]
    return corners(path) if not set("AH") & set(data) and data.count("M") == 1 else []


def marks_mm(svg: str, left_mm: float) -> list[float]:
    """Heights of the lines that start at a strip's left edge and are as long as its marks, y down."""
    found = []
    for path in elements(svg, "path"):
        spots = straight(path)
        if len(spots) == 2 and spots[0][1] == spots[1][1]:
            (start, y), (end, _) = spots
            if abs(start - left_mm) < 0.02 and abs(end - start - MARK_MM) < 0.02:
                found.append(y)
    return sorted(found)


def told_heights(setup, stack, end):
    """Every height at one end above the level line through the pith, derived apart.

    The corners of the timber at that end are turned with the log; their highest and
    lowest are the lines. Common practice: bearers' tops lie the datum above the upper
    line, the rail its thickness above them, the kerf outside the timber.
    """
    turn = np.radians(stack.turn_deg)
    up = end.corners_mm @ np.array([-np.sin(turn), np.cos(turn)])
    high, low = up.max(), up.min()
    top = high + stack.datum_mm
    return {
        "rail": top + setup.kit.rail.thickness_mm,
        "tops": top,
        "kerf": high + setup.kit.saw.kerf_mm,
        "upper": high,
        "level": 0.0,
        "lower": low,
    }


def the_plan(setup, number=0, tape=INCHES, paper="letter"):
    return plan_pole(setup, setup.stacks[number], tape=tape, paper=paper)


@pytest.mark.parametrize("number", [0, 1])
@pytest.mark.parametrize(("tape", "paper"), [(INCHES, "letter"), (METRIC, "a4")])
def test_every_height_of_both_ends_stands_at_true_scale_above_the_level_line(number, tape, paper):
    setup = sugarhouse()
    plan = the_plan(setup, number, tape, paper)
    svg = draw_pole(setup, plan, tape=tape).to_svg()
    assert [strip.title for strip in plan.strips] == ["BUTT", "TIP", "BEARERS"]
    for place_, end in enumerate(setup.ends):
        left = GAP_MM + place_ * (STRIP_MM + GAP_MM)
        found = marks_mm(svg, left)
        expected = told_heights(setup, setup.stacks[number], end)
        # The kerf's line is thinner than the others and stands among them.
        assert len(found) == len(expected)
        rail = found[0]
        told = sorted(expected["rail"] - height for height in expected.values())
        assert [y - rail for y in found] == pytest.approx(told, abs=TRUE_MM)
    # This log was made so that its ends differ.
    first, second = (told_heights(setup, setup.stacks[number], end)["upper"] for end in setup.ends)
    assert abs(first - second) > 1.0


@pytest.mark.parametrize("name", SETUPS)
def test_every_bearer_stands_at_its_height_above_the_foot_of_its_strip(name):
    setup = SETUPS[name]()
    for number, stack in enumerate(setup.stacks):
        plan = the_plan(setup, number)
        svg = draw_pole(setup, plan, tape=INCHES).to_svg()
        laid = plan.laid[-1]
        frame = [c for p in elements(svg, "path", "line-outline") if len(c := corners(p)) == 4]
        foot = max(max(y for _, y in c) for c in frame if abs(c[0][0] - laid.left_mm) < 0.02)
        heights = sorted(foot - y for y in marks_mm(svg, laid.left_mm))
        assert heights == pytest.approx(sorted(b.height_mm for b in stack.bearers), abs=TRUE_MM)


def test_the_first_setting_reaches_from_the_top_of_the_rail_to_the_top_of_the_kerf():
    # Common practice: a datum of 9 in, a rail of 3 1/8 in and a kerf of 3/8 in make it 11 3/4 in.
    setup = set_up(cylinder().placement, KIT, datum_mm=9 * INCH)
    marks = {mark.rows[1]: mark for mark in the_plan(setup).strips[0].marks}
    gap = marks["top of the rail"].height_mm - marks["top of the kerf"].height_mm
    assert gap == pytest.approx(11.75 * INCH, abs=1e-6)
    assert marks["top of the rail"].rows[2] == "set the mill 11 3/4 in"
    assert marks["bearer tops"].rows == ("12 in up", "bearer tops", "9 in over upper line")
    assert marks["lower line"].rows == ("3 in down", "lower line", "bottom, pass 2")


def test_ends_that_are_alike_share_a_strip_and_equal_bearers_keep_their_own_labels():
    setup = cylinder()
    plan = the_plan(setup)
    assert [strip.title for strip in plan.strips] == ["BUTT AND TIP", "BEARERS"]
    bearers = plan.laid[1]
    heights = {round(mark.height_mm, 6) for mark in bearers.strip.marks}
    assert len(bearers.strip.marks) >= 2
    assert len(heights) == 1
    assert len(set(bearers.labels_mm)) == len(bearers.strip.marks)
    svg = draw_pole(setup, plan, tape=INCHES).to_svg()
    level = marks_mm(svg, bearers.left_mm)[0]
    leaders = [c for p in elements(svg, "path", "line-dimension") if len(c := straight(p)) == 3]
    ours = [c for c in leaders if abs(c[0][0] - bearers.left_mm - MARK_MM) < 0.02]
    assert len(ours) == len(bearers.strip.marks)
    assert all(c[0][1] == level for c in ours)


def test_the_second_stack_counts_from_what_was_the_plumb_line_and_says_what_is_not_sawn():
    setup = small()
    plan = the_plan(setup, 1)
    rows = {mark.rows[1]: mark for mark in plan.strips[0].marks}
    assert rows["level line"].rows == ("0", "level line", "was the plumb line")
    assert rows["lower line"].rows[2] == "not sawn"
    assert rows["lower line"].style == "chalk"
    assert rows["upper line"].rows[2] == f"{setup.stacks[1].passes[0].face}, pass 3"
    assert len(plan.strips[0].kerfs) == 1
    assert plan.tiling.tiles[0].name == "2A"


def test_a_line_on_the_other_side_of_the_pith_is_told_as_it_lies():
    log = solid_from_tally(TallyLog("F-4", "oak", 4_000.0, 620.0, 600.0))
    timber = Timber(120.0, 150.0, sawn_faces=4, heart="free", heart_margin_mm=10.0)
    setup = set_up(place(log, timber, roll=0.0), altered(KIT, "mill", cut_width_mm=700.0, setting_max_mm=800.0))
    told = [mark.rows[0] for n in (0, 1) for mark in the_plan(setup, n).strips[0].marks if mark.rows[1] == "upper line"]
    lower = [
        mark.rows[0] for n in (0, 1) for mark in the_plan(setup, n).strips[0].marks if mark.rows[1] == "lower line"
    ]
    # The pith lies outside the timber, so that both lines of one stack lie on one side of it.
    assert any(a.split()[-1] == b.split()[-1] for a, b in zip(told, lower, strict=True))


@pytest.mark.parametrize(
    ("tape", "step", "inch"), [(INCHES, INCH / 16, INCH), (Tape("in", 8), INCH / 8, INCH), (METRIC, 1.0, 10.0)]
)
def test_the_scale_up_the_edge_is_that_of_the_tape_counted_from_the_level_line(tape, step, inch):
    setup = cylinder()
    plan = the_plan(setup, tape=tape)
    svg = draw_pole(setup, plan, tape=tape).to_svg()
    (ruler, _) = [p for p in elements(svg, "path", "line-dimension") if "H" in p.attrib["d"]]
    ticks = [tuple(map(float, t)) for t in re.findall(r"M([\d.]+) ([\d.]+)H([\d.]+)", ruler.attrib["d"])]
    level = next(y for y in marks_mm(svg, plan.laid[0].left_mm) if abs(y - _level(svg)) < 0.02)
    off = [abs((level - y) / step - round((level - y) / step)) * step for _, y, _ in ticks]
    assert max(off) < WRITTEN_MM
    ys = sorted(y for _, y, _ in ticks)
    assert np.diff(ys) == pytest.approx(np.full(len(ys) - 1, step), abs=2.0 * WRITTEN_MM)
    longest = max(x1 - x0 for x0, _, x1 in ticks)
    whole = [(level - y) / inch for x0, y, x1 in ticks if x1 - x0 > longest - 0.02]
    assert whole == pytest.approx([round(n) for n in whole], abs=0.002)
    # A figure stands level with the line it names.
    number = next(t for t in elements(svg, "text", "text-note") if t.text == ("5" if tape.style == "in" else "50"))
    _, top, _, bottom = text_box(number)
    away = abs(level - 0.5 * (top + bottom))
    assert away == pytest.approx(5 * inch, abs=TRUE_MM)


def _level(svg):
    (line,) = elements(svg, "path", "line-level")
    return corners(line)[0][1]


@pytest.mark.parametrize("name", SETUPS)
@pytest.mark.parametrize(("tape", "paper"), [(INCHES, "letter"), (METRIC, "a4"), (INCHES, "a4"), (METRIC, "letter")])
def test_no_words_lie_over_each_other_or_past_their_strip(name, tape, paper):
    setup = SETUPS[name]()
    for number in range(len(setup.stacks)):
        _check_words(setup, number, tape, paper)


def _check_words(setup, number, tape, paper):
    plan = the_plan(setup, number, tape, paper)
    drawing = draw_pole(setup, plan, tape=tape)
    texts = elements(drawing.to_svg(), "text")
    assert list(overlapping(texts)) == []
    joints = [drawing.on_paper_mm((0.0, joint))[1] for joint in plan.tiling.joints_y_mm]
    for text in texts:
        left, top, right, bottom = text_box(text)
        if text.attrib["class"].endswith("ink-pencil"):
            continue
        assert not any(top < joint < bottom for joint in joints), text.text
        assert any(one.left_mm < left and right < one.left_mm + STRIP_MM for one in plan.laid), text.text


@generated(25)
@given(logs_and_timbers(), kits(), st.sampled_from([INCHES, METRIC]), st.sampled_from(["letter", "a4"]))
def test_any_set_up_gives_a_pole_whose_words_keep_apart(pair, kit, tape, paper):
    log, timber = pair
    try:
        setup = set_up(place(log, timber, roll="crown-side"), kit)
    except (KitError, NoPlacementError):
        reject()
    for number in range(len(setup.stacks)):
        _check_words(setup, number, tape, paper)


@generated(200)
@given(
    st.lists(st.floats(0.0, 700.0), min_size=1, max_size=9).map(sorted),
    st.lists(st.floats(200.0, 900.0), max_size=3, unique=True).filter(
        lambda joints: all(abs(a - b) > 150.0 for a in joints for b in joints if a != b)
    ),
)
def test_labels_keep_their_order_their_distance_and_off_the_joints(wanted, joints):
    placed = spread(wanted, step_mm=14.0, floor_mm=5.0, joints_mm=joints)
    assert len(placed) == len(wanted)
    assert np.all(np.diff(placed) >= 14.0 - 1e-9)
    assert placed[0] >= 5.0
    assert all(abs(label - joint) >= 7.0 for label in placed for joint in joints)


def test_labels_that_have_room_stay_where_they_are_and_equal_ones_share_the_shift():
    assert spread([20.0, 60.0, 90.0], step_mm=14.0, floor_mm=5.0) == pytest.approx((20.0, 60.0, 90.0))
    assert spread([50.0, 50.0], step_mm=14.0, floor_mm=5.0) == pytest.approx((43.0, 57.0))
    assert spread([50.0, 50.0, 52.0], step_mm=14.0, floor_mm=5.0) == pytest.approx(
        (50.667 - 14.0, 50.667, 50.667 + 14.0), abs=1e-3
    )
    # What is named below a joint is labeled below it.
    assert spread([95.0], step_mm=14.0, floor_mm=5.0, joints_mm=[100.0])[0] == pytest.approx(92.0)
    assert spread([101.0], step_mm=14.0, floor_mm=5.0, joints_mm=[100.0])[0] == pytest.approx(108.0)


@pytest.mark.parametrize("name", SETUPS)
@pytest.mark.parametrize(("tape", "paper"), [(INCHES, "letter"), (METRIC, "a4")])
def test_each_sheet_is_one_page_with_its_number_its_name_and_true_check_bars(name, tape, paper):
    setup = SETUPS[name]()
    tiles = [tile for n in range(len(setup.stacks)) for tile in the_plan(setup, n, tape, paper).tiling.tiles]
    printed = pages(pole_pdf(setup, tape=tape, paper=paper))
    assert len(printed) == 1 + len(tiles)
    for number, page in enumerate(printed, start=1):
        assert f"page {number} of {len(printed)}" in words(page)
    for tile, page in zip(tiles, printed[1:], strict=True):
        text = words(page)
        assert f"Sheet {tile.name}" in text
        assert "print again at 100 %" in text
        flat = flat_lines_mm(page)
        for bar in (100.0, 101.6):
            assert sum(abs(wide - bar) < TRUE_MM for wide in flat) >= 2
    cover = words(printed[0])
    assert f"overlap by {tape.show(overlap_mm(tape))}" in cover
    assert "Lay your tape along every strip" in cover
    assert "Wedge the log" in cover


def test_the_cover_lists_every_height_as_the_tape_shows_it():
    setup = sugarhouse()
    cover = words(pages(pole_pdf(setup, tape=INCHES, paper="letter"))[0])
    for stack in setup.stacks:
        for bearer in stack.bearers:
            assert INCHES.show(bearer.height_mm) in cover
        for end in setup.ends:
            assert INCHES.show(told_heights(setup, stack, end)["rail"]) + " up" in cover
    assert "Turn the log" in cover
    assert "Roll the cant 90" in cover


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_printed_marks_of_the_bearers_are_true_in_the_picture(paper):
    setup = small()
    plan = the_plan(setup, 0, METRIC, paper)
    last = len(plan.tiling.tiles)
    page = pages(pole_pdf(setup, tape=METRIC, paper=paper))[last]
    image = picture(page, DPI)
    per_mm = DPI / 25.4
    # From memory: letter is 215.9 mm wide, A4 210; the drawing stands in the middle of the page.
    width = {"letter": 215.9, "a4": 210.0}[paper]
    box = plan.tiling.box
    laid = plan.laid[-1]
    x = 0.5 * (width - (box.right - box.left)) + laid.left_mm + MARK_MM - 0.7
    dark = image[:, round(x * per_mm)].sum(axis=1) < 300
    lines = [at / per_mm for at in runs(dark)]
    heights = [bearer.height_mm for bearer in setup.stacks[0].bearers]
    feet = [foot for foot in lines if all(min(abs(foot - h - y) for y in lines) < TRUE_MM for h in heights)]
    assert len(feet) == 1


def test_equal_input_gives_equal_bytes():
    digests = {
        hashlib.sha256(pole_pdf(sugarhouse(), tape=tape, paper=paper)).hexdigest()
        for tape, paper in [(INCHES, "letter"), (INCHES, "letter"), (METRIC, "letter"), (INCHES, "a4")]
    }
    assert len(digests) == 3


def test_a_tag_too_long_for_a_strip_leaves_its_title():
    setup = sugarhouse(tag="upper meadow by the old wall 17")
    plan = the_plan(setup)
    texts = elements(draw_pole(setup, plan, tape=INCHES).to_svg(), "text")
    assert "BUTT" in {text.text for text in texts}
    _check_words(setup, 0, INCHES, "letter")


def test_paper_that_is_not_known_is_refused():
    with pytest.raises(SheetError, match="choose letter or a4"):
        pole_pdf(cylinder(), tape=INCHES, paper="legal")
