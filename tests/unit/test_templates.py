"""End templates are drawn, printed and measured: true to scale, the tip's mirrored."""

import hashlib
import re

import numpy as np
import pytest
from hypothesis import given, reject
from hypothesis import strategies as st

from pithline.errors import KitError, NoPlacementError, SheetError
from pithline.fit import Timber, place
from pithline.lengths import Tape
from pithline.logs import TallyLog, solid_from_tally
from pithline.setup import set_up
from pithline.sheets.svg import Box
from pithline.sheets.template_plan import plan_end
from pithline.sheets.templates import draw_template, templates_pdf
from pithline.sheets.tiles import overlap_mm
from printed import corners, elements, flat_lines_mm, overlapping, pages, picture, runs, text_box, words
from strategies import FOOT, INCH, KIT, altered, generated, kits, logs_and_timbers

# A line on paper may be off by this much, as asked of the sheets.
TRUE_MM = 0.05
# Numbers in a drawing are written to the nearest 0.01 mm; two of them make a distance.
WRITTEN_MM = 0.0101
DPI = 600.0
CRAYON = (0x96, 0x14, 0x1B)

INCHES, METRIC = Tape("in"), Tape("mm")


def sugarhouse():
    """A beam of four sawn faces out of a crooked, oval log, its pith off center at both ends. Invented."""
    row = TallyLog(
        "A-3",
        "white pine",
        21 * FOOT,
        17 * INCH,
        13 * INCH,
        butt_2_mm=16 * INCH,
        tip_2_mm=12.5 * INCH,
        oval_clock=1.5,
        crown_mm=2 * INCH,
        crown_clock=11.0,
        butt_pith_mm=9.0,
        butt_pith_clock=4.0,
        tip_pith_mm=14.0,
        tip_pith_clock=8.5,
    )
    timber = Timber(6 * INCH, 7 * INCH, length_mm=20 * FOOT, allowance_mm=INCH / 8, sawn_faces=4)
    return set_up(place(solid_from_tally(row), timber, roll="crown-side"), KIT)


def cylinder():
    """A straight log without taper, two faces sawn. Invented."""
    log = solid_from_tally(TallyLog("C-1", "oak", 12 * FOOT, 12 * INCH, 12 * INCH))
    return set_up(place(log, Timber(6 * INCH, 6.5 * INCH, sawn_faces=2)), KIT)


def large():
    """The largest butt a builder is likely to meet. Invented."""
    log = solid_from_tally(TallyLog("B-9", "oak", 8_000.0, 900.0, 760.0, crown_mm=30.0, crown_clock=2.0))
    kit = altered(altered(KIT, "mill", cut_width_mm=1_000.0, setting_max_mm=660.0), "bearers", height_min_mm=50.0)
    return set_up(place(log, Timber(480.0, 520.0, length_mm=7_900.0, allowance_mm=5.0)), kit)


def small():
    """A pole of three sawn faces, its ends a sheet each. Invented."""
    log = solid_from_tally(TallyLog("S-2", "spruce", 3_000.0, 160.0, 130.0, crown_mm=8.0, crown_clock=7.0))
    return set_up(
        place(log, Timber(75.0, 80.0, length_mm=2_950.0, sawn_faces=3)), altered(KIT, "bearers", base_width_mm=63.5)
    )


SETUPS = {"sugarhouse": sugarhouse, "cylinder": cylinder, "large": large, "small": small}


def the_plan(setup, end, tape=INCHES, paper="letter"):
    return plan_end(setup, setup.ends[("butt", "tip").index(end)], tape=tape, paper=paper)


class Drawn:
    """The whole template of an end, read back in millimeters from the pith, y up."""

    def __init__(self, setup, end, tape=INCHES, paper="letter"):
        self.plan = the_plan(setup, end, tape, paper)
        self.drawing = draw_template(setup, self.plan, tile=self.plan.tiling.tiles[0])
        self.svg = self.drawing.to_svg()
        self.pith = self.drawing.on_paper_mm((0.0, 0.0))

    def lines(self, css_class):
        """Both ends of each line of a kind."""
        found = [corners(p) for p in elements(self.svg, "path", css_class) if p.attrib["d"].count("L") == 1]
        return [[self.real(spot) for spot in line] for line in found]

    def real(self, spot):
        return spot[0] - self.pith[0], self.pith[1] - spot[1]

    def level(self, css_class):
        return sorted(line[0][1] for line in self.lines(css_class) if abs(line[0][1] - line[1][1]) < 0.005)

    def plumb(self, css_class):
        return sorted(line[0][0] for line in self.lines(css_class) if abs(line[0][0] - line[1][0]) < 0.005)

    def rings(self, css_class, radius):
        """Centers of circles of one size."""
        found = []
        for path in elements(self.svg, "path", css_class):
            arc = re.match(r"M([\d.]+) ([\d.]+)A([\d.]+) ([\d.]+) \S+ 0 1 ([\d.]+) ([\d.]+)", path.attrib["d"])
            if arc and abs(float(arc[3]) - radius) < 0.02:
                x0, y0, x1, y1 = (float(arc[n]) for n in (1, 2, 5, 6))
                found.append(self.real((0.5 * (x0 + x1), 0.5 * (y0 + y1))))
        return found

    def said(self):
        return [text.text for text in elements(self.svg, "text")]


@pytest.mark.parametrize(("tape", "paper"), [(INCHES, "letter"), (METRIC, "a4")])
@pytest.mark.parametrize("end", ["butt", "tip"])
def test_every_line_of_the_timber_stands_at_true_scale_from_the_pith(end, tape, paper):
    setup = sugarhouse()
    marks = setup.ends[end == "tip"]
    drawn = Drawn(setup, end, tape, paper)
    assert drawn.level("line-cut") == pytest.approx([-marks.down_mm, marks.up_mm], abs=TRUE_MM)
    # Seen from the butt the left line lies left; who stands at the tip has it on the right.
    sides = [-marks.left_mm, marks.right_mm] if end == "butt" else [-marks.right_mm, marks.left_mm]
    assert drawn.plumb("line-cut") == pytest.approx(sides, abs=TRUE_MM)
    # This log was made so that left and right differ.
    assert abs(marks.left_mm - marks.right_mm) > 5.0
    # The kerf lies outside the timber.
    kerf = setup.kit.saw.kerf_mm
    beyond = drawn.level("line-kerf")
    assert min(beyond) == pytest.approx(-marks.down_mm - kerf, abs=TRUE_MM)
    assert max(beyond) == pytest.approx(marks.up_mm + kerf, abs=TRUE_MM)


def test_the_corners_of_the_tip_are_those_of_the_log_mirrored_and_those_of_the_butt_are_not():
    setup = sugarhouse()
    for end, sign in (("butt", 1.0), ("tip", -1.0)):
        marks = setup.ends[end == "tip"]
        found = sorted(Drawn(setup, end).rings("line-outline", 1.5))
        told = sorted((sign * x, y) for x, y in marks.corners_mm.tolist())
        assert np.array(found) == pytest.approx(np.array(told), abs=TRUE_MM)


def test_the_outline_of_the_tip_is_mirrored_and_passes_through_every_point_known_of_it():
    setup = sugarhouse()
    for end, sign in (("butt", 1.0), ("tip", -1.0)):
        drawn = Drawn(setup, end)
        (path,) = elements(drawn.svg, "path", "line-bark")
        outline = np.array([drawn.real(spot) for spot in corners(path)])
        known = setup.ends[end == "tip"].outline_mm * np.array([sign, 1.0])
        nearest = np.min(np.linalg.norm(known[:, None, :] - outline[None, :, :], axis=2), axis=1)
        assert nearest.max() < WRITTEN_MM
        # An oval log: its outline is not its own mirror image.
        wrong = known * np.array([-1.0, 1.0])
        assert np.min(np.linalg.norm(wrong[:, None, :] - outline[None, :, :], axis=2), axis=1).max() > 2.0


def test_the_drawn_outline_is_smooth_at_true_scale():
    # Derived apart: 288 sides of a circle of 450 mm lie r (1 - cos(180/288)) = 0.027 mm within it, 72 sides 0.43 mm.
    setup = large()
    outline = np.array(the_plan(setup, "butt").outline)
    middle = outline.mean(axis=0)
    sides = 0.5 * (outline + np.roll(outline, 1, axis=0))
    assert np.linalg.norm(outline - middle, axis=1) == pytest.approx(np.full(len(outline), 450.0), abs=0.01)
    assert np.linalg.norm(sides - middle, axis=1).min() > 450.0 - TRUE_MM


@pytest.mark.parametrize("end", ["butt", "tip"])
def test_the_template_says_which_end_it_is_and_which_way_is_up(end):
    setup = sugarhouse()
    drawn = Drawn(setup, end)
    said = drawn.said()
    assert ("TIP, MIRRORED" if end == "tip" else "BUTT") in said
    assert f"as you stand at the {end}" in said
    assert "12, up" in said
    # Plumb and level line run through the pith, and the arrow to 12 stands above the wood.
    assert drawn.level("line-level") == pytest.approx([0.0], abs=WRITTEN_MM)
    assert drawn.plumb("line-level") == pytest.approx([0.0], abs=WRITTEN_MM)
    (arrow,) = [line for line in drawn.lines("line-chalk") if abs(line[0][0]) < 0.02 and abs(line[1][0]) < 0.02]
    assert arrow[1][1] > arrow[0][1] >= max(y for _, y in drawn.plan.outline) - WRITTEN_MM


@pytest.mark.parametrize("end", ["butt", "tip"])
def test_each_line_is_named_on_the_side_where_it_lies(end):
    setup = large()
    drawn = Drawn(setup, end, METRIC)
    marks = setup.ends[end == "tip"]
    for text in elements(drawn.svg, "text"):
        side = next((name for name in ("left side", "right side") if (text.text or "").startswith(name)), None)
        if side is None:
            continue
        x, _ = drawn.real((float(text.attrib["x"]), float(text.attrib["y"])))
        line = marks.left_mm if side == "left side" else marks.right_mm
        leftward = (side == "left side") == (end == "butt")
        assert abs(x - (-line if leftward else line)) < 7.0
        assert METRIC.show(line) in (text.text or "")


def test_faces_that_are_not_sawn_have_a_thin_line_and_no_kerf():
    drawn = Drawn(cylinder(), "butt")
    half = 0.5 * 6.5 * INCH
    assert drawn.plumb("line-cut") == []
    assert [x for x in drawn.plumb("line-chalk") if abs(x) > 1.0] == pytest.approx([-half, half], abs=TRUE_MM)
    assert drawn.plumb("line-kerf") == []
    assert drawn.level("line-cut") == pytest.approx([-3.0 * INCH, 3.0 * INCH], abs=TRUE_MM)


def test_the_first_faces_are_sawn_through_the_log_and_the_others_between_them():
    setup = sugarhouse()
    drawn = Drawn(setup, "butt")
    marks = setup.ends[0]
    level = [line for line in drawn.lines("line-cut") if abs(line[0][1] - line[1][1]) < 0.005]
    for line in level:
        # Past the bark on both sides: the ends of the line lie outside the outline.
        inside = [point for point in drawn.plan.outline if abs(point[1] - line[0][1]) < 3.0]
        assert min(x for x, _ in line) < min(x for x, _ in inside)
        assert max(x for x, _ in line) > max(x for x, _ in inside)
    plumb = [line for line in drawn.lines("line-cut") if abs(line[0][0] - line[1][0]) < 0.005]
    for line in plumb:
        assert sorted(y for _, y in line) == pytest.approx([-marks.down_mm, marks.up_mm], abs=TRUE_MM)


def _inside(box: Box, point) -> bool:
    return box.left <= point[0] <= box.right and box.bottom <= point[1] <= box.top


@pytest.mark.parametrize("name", SETUPS)
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_sheets_kept_show_every_stroke_and_every_word(name, paper):
    setup = SETUPS[name]()
    for end in ("butt", "tip"):
        drawn = Drawn(setup, end, INCHES, paper)
        spots = [*drawn.plan.outline, *drawn.plan.corners]
        for text in elements(drawn.svg, "text"):
            left, top, right, bottom = text_box(text)
            spots += [drawn.real((left, top)), drawn.real((right, bottom))]
        cells = [drawn.plan.tiling.cell(tile) for tile in drawn.plan.tiling.tiles]
        for spot in spots:
            assert any(_inside(cell, spot) for cell in cells), spot


@pytest.mark.parametrize("name", SETUPS)
@pytest.mark.parametrize(("tape", "paper"), [(INCHES, "letter"), (METRIC, "a4"), (INCHES, "a4"), (METRIC, "letter")])
def test_no_words_lie_over_each_other_or_over_a_joint(name, tape, paper):
    setup = SETUPS[name]()
    for end in ("butt", "tip"):
        drawn = Drawn(setup, end, tape, paper)
        texts = elements(drawn.svg, "text")
        assert list(overlapping(texts)) == []
        joints = drawn.plan.tiling
        for text in texts:
            if text.text in ("pith", "level", "plumb"):
                continue
            left, top, right, bottom = text_box(text)
            (x0, y1), (x1, y0) = drawn.real((left, top)), drawn.real((right, bottom))
            assert not any(x0 < joint < x1 for joint in joints.joints_x_mm), text.text
            assert not any(y0 < joint < y1 for joint in joints.joints_y_mm), text.text


@generated(25)
@given(logs_and_timbers(), kits(), st.sampled_from([INCHES, METRIC]), st.sampled_from(["letter", "a4"]))
def test_any_set_up_gives_templates_whose_words_keep_apart(pair, kit, tape, paper):
    log, timber = pair
    try:
        setup = set_up(place(log, timber, roll="crown-side"), kit)
    except (KitError, NoPlacementError):
        reject()
    for end in ("butt", "tip"):
        drawn = Drawn(setup, end, tape, paper)
        assert list(overlapping(elements(drawn.svg, "text"))) == []
        marks = setup.ends[end == "tip"]
        assert drawn.level("line-cut") == pytest.approx([-marks.down_mm, marks.up_mm], abs=TRUE_MM)


@pytest.mark.parametrize("name", SETUPS)
@pytest.mark.parametrize(("tape", "paper"), [(INCHES, "letter"), (METRIC, "a4")])
def test_each_sheet_is_one_page_with_its_number_its_place_and_true_check_bars(name, tape, paper):
    setup = SETUPS[name]()
    sheets = [(end, tile) for end in ("butt", "tip") for tile in the_plan(setup, end, tape, paper).tiling.tiles]
    printed = pages(templates_pdf(setup, tape=tape, paper=paper))
    assert len(printed) == 1 + len(sheets)
    for number, page in enumerate(printed, start=1):
        assert f"page {number} of {len(printed)}" in words(page)
    alone = {end: sum(other == end for other, _ in sheets) == 1 for end in ("butt", "tip")}
    for (end, tile), page in zip(sheets, printed[1:], strict=True):
        text = words(page)
        assert (f"The whole {end}" if alone[end] else f"Sheet {tile.name} of the {end}") in text
        assert f"as you stand at the {end}" in text
        assert "print again at 100 %" in text
        flat = flat_lines_mm(page)
        for bar in (100.0, 101.6):
            assert sum(abs(wide - bar) < TRUE_MM for wide in flat) >= 2
    cover = words(printed[0])
    assert f"overlap by {tape.show(overlap_mm(tape))}" in cover
    assert "The tip\u2019s is mirrored" in cover
    assert "Wedge the log" in cover
    assert ("may be quicker" in cover) == (name == "large")


def test_the_cover_lists_the_lines_from_the_pith_as_the_tape_shows_them():
    setup = sugarhouse()
    cover = words(pages(templates_pdf(setup, tape=INCHES, paper="letter"))[0])
    for marks in setup.ends:
        for told in (
            f"{INCHES.show(marks.up_mm)} up",
            f"{INCHES.show(marks.down_mm)} down",
            f"{INCHES.show(marks.left_mm)} left",
            f"{INCHES.show(marks.right_mm)} right",
        ):
            assert told in cover


def test_a_sheet_says_at_which_joints_it_is_trimmed_and_over_which_it_is_laid():
    printed = [words(page) for page in pages(templates_pdf(sugarhouse(), tape=INCHES, paper="letter"))]
    (first,) = [text for text in printed if "Sheet A1 of the butt" in text]
    assert "Leave it whole" in first
    (second,) = [text for text in printed if "Sheet B2 of the butt" in text]
    assert "Trim it at the left and upper joints and lay it over B1 and A2" in second


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_printed_cut_lines_are_as_far_apart_as_the_timber_is_thick_in_the_picture(paper):
    setup = small()
    page = pages(templates_pdf(setup, tape=METRIC, paper=paper))[-1]
    assert "The whole tip" in words(page)
    # Every eighth column will do, and takes an eighth of the time.
    image = picture(page, DPI)[:, ::8]
    per_mm = DPI / 25.4
    red = (np.abs(image - np.array(CRAYON)).sum(axis=2) < 90).sum(axis=1)
    # Across the whole end only the two lines sawn through the log are red over 60 mm and more in one row.
    lines = runs(red > 60.0 * per_mm / 8)
    assert len(lines) == 4
    # Pairs of a cut line and the thin far side of its kerf: the top's kerf lies above, the bottom's below.
    kerf = setup.kit.saw.kerf_mm
    told = np.cumsum([0.0, kerf, 75.0, kerf])
    assert np.array(lines) / per_mm - lines[0] / per_mm == pytest.approx(told, abs=TRUE_MM)


def test_equal_input_gives_equal_bytes():
    digests = {
        hashlib.sha256(templates_pdf(sugarhouse(), tape=tape, paper=paper)).hexdigest()
        for tape, paper in [(INCHES, "letter"), (INCHES, "letter"), (METRIC, "letter"), (INCHES, "a4")]
    }
    assert len(digests) == 3


def test_paper_that_is_not_known_is_refused():
    with pytest.raises(SheetError, match="choose letter or a4"):
        templates_pdf(cylinder(), tape=INCHES, paper="legal")
