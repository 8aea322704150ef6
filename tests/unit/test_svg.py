"""Drawings are parsed and measured: places, lengths, line types, words."""

import math
import re
import xml.etree.ElementTree as ET

import pytest

from pithline.errors import SheetError
from pithline.sheets.look import (
    COLORS,
    LINES,
    TYPE_SIZES_PT,
    print_figures,
    size_mm,
    text_width_mm,
)
from pithline.sheets.paper import Paper, hatch_lines
from pithline.sheets.svg import Box, Drawing, TextStyle, fitting_scale

SVG = "{http://www.w3.org/2000/svg}"
# Numbers are written to the nearest 0.01 mm; two of them make a distance.
WRITTEN_MM = 0.0101

END = Box(-190.0, -170.0, 160.0, 230.0)
MARGINS_MM = (21.0, 13.0, 17.0, 9.0)


def drawing(scale: float = 1 / 8, **options: object) -> Drawing:
    return Drawing(END, scale, title="Butt end", margins_mm=MARGINS_MM, **options)


def elements(of: Drawing | Paper, tag: str, css_class: str = "") -> list[ET.Element]:
    found = ET.fromstring(of.to_svg()).iter(f"{SVG}{tag}")
    return [e for e in found if css_class in (e.get("class") or "").split() or not css_class]


def points(path: ET.Element) -> list[tuple[float, float]]:
    """Return the corners of a path made of straight lines."""
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.attrib["d"])]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def luminance(code: str) -> float:
    channels = [int(code[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


# Formula from memory, after W3C, Web Content Accessibility Guidelines 2.2, definitions of
# "relative luminance" and "contrast ratio"; 7:1 is its success criterion 1.4.6.
@pytest.mark.parametrize("ground", ["paper", "wood"])
@pytest.mark.parametrize("name", ["ink", "pencil", "chalk", "crayon", "bark"])
def test_whatever_is_read_has_a_contrast_of_seven_to_one(name, ground):
    dark, light = luminance(COLORS[name]), luminance(COLORS[ground])
    assert (light + 0.05) / (dark + 0.05) >= 7.0


def test_black_on_white_has_the_published_contrast_of_21():
    # From memory: the guidelines give 21:1 as the largest contrast there is.
    assert (luminance("#ffffff") + 0.05) / (luminance("#000000") + 0.05) == pytest.approx(21.0)


def test_there_are_five_sizes_and_each_is_larger_than_the_one_before():
    sizes = list(TYPE_SIZES_PT.values())
    assert len(sizes) == 5
    assert sizes == sorted(set(sizes))


def test_a_thick_line_is_at_least_twice_a_thin_one():
    # From memory: ISO 128-2, thick and thin lines are as 2 to 1.
    thin = max(LINES[name].width_mm for name in ("center", "level", "hidden", "dimension"))
    assert min(LINES["sawn"].width_mm, LINES["cut"].width_mm) >= 2.0 * thin


def test_only_chain_and_hidden_lines_are_broken():
    broken = {name for name, line in LINES.items() if line.dashes_mm}
    assert broken == {"center", "level", "hidden"}


@pytest.mark.parametrize("scale", [1.0, 1 / 8, 1 / 40])
def test_the_image_is_as_large_as_box_and_margins_at_scale(scale):
    root = ET.fromstring(drawing(scale).to_svg())
    # Derived apart: 350 and 400 mm of box, 38 and 22 mm of margins.
    width, height = 350.0 * scale + 38.0, 400.0 * scale + 22.0
    assert float(root.attrib["width"].removesuffix("mm")) == pytest.approx(width, abs=WRITTEN_MM)
    assert float(root.attrib["height"].removesuffix("mm")) == pytest.approx(height, abs=WRITTEN_MM)
    # One unit of the view box is one millimeter, or true scale would not print true.
    box = [float(n) for n in root.attrib["viewBox"].split()]
    assert box == pytest.approx([0.0, 0.0, width, height], abs=WRITTEN_MM)


def test_y_is_up_in_the_thing_drawn_and_down_on_paper():
    d = drawing(1 / 10)
    assert d.on_paper_mm((-190.0, 230.0)) == pytest.approx((21.0, 9.0))
    assert d.on_paper_mm((-190.0, -170.0)) == pytest.approx((21.0, 49.0))
    assert d.on_paper_mm((160.0, 0.0)) == pytest.approx((56.0, 32.0))


@pytest.mark.parametrize("scale", [1.0, 1 / 12, 1 / 2.5])
def test_a_length_is_drawn_at_scale_and_with_its_line_type(scale):
    d = drawing(scale)
    d.line((-150.0, -37.0), (120.0, 88.0), style="cut")
    (path,) = elements(d, "path", "line-cut")
    start, end = points(path)
    assert math.dist(start, end) == pytest.approx(scale * math.hypot(270.0, 125.0), abs=WRITTEN_MM)
    assert path.attrib["stroke"] == COLORS["crayon"]
    assert path.attrib["stroke-width"] == "0.7"
    assert path.attrib["fill"] == "none"


def test_heights_may_be_stretched_and_the_scale_says_so():
    d = drawing(1 / 40, stretch_y=4.0)
    d.line((0.0, 0.0), (0.0, 100.0))
    start, end = points(elements(d, "path")[0])
    assert start[1] - end[1] == pytest.approx(10.0, abs=WRITTEN_MM)
    assert d.scale_text == "1:40, heights 1:10"


@pytest.mark.parametrize(("scale", "words"), [(1.0, "1:1"), (1 / 2.5, "1:2.5"), (1 / 24, "1:24"), (2.0, "2:1")])
def test_the_scale_is_told_as_a_ratio(scale, words):
    d = drawing(scale)
    d.state_scale()
    assert d.scale_text == words
    assert elements(d, "text")[0].text == f"Scale {words}."


def test_a_drawing_to_be_measured_says_so():
    d = drawing(1.0)
    d.state_scale(to_be_measured=True)
    assert "Made to be measured" in (elements(d, "text")[0].text or "")


def test_an_ellipse_passes_through_the_ends_of_its_axes():
    d = drawing(1 / 5)
    d.ellipse((10.0, 20.0), (90.0, 60.0), angle_deg=30.0, style="bark", fill="wood")
    (path,) = elements(d, "path", "fill-wood")
    first = [float(n) for n in re.findall(r"-?[\d.]+", path.attrib["d"].split("A")[0])]
    # Derived apart: the first axis ends at the center plus and minus 90 (cos, sin) 30.
    tips = [(10.0 + s * 90.0 * math.cos(math.pi / 6), 20.0 + s * 45.0) for s in (1, -1)]
    assert min(math.dist(first, d.on_paper_mm(tip)) for tip in tips) < WRITTEN_MM
    rx, ry, turn = (float(n) for n in path.attrib["d"].split("A")[1].split()[:3])
    assert (rx, ry) == pytest.approx((18.0, 12.0), abs=WRITTEN_MM)
    # Counterclockwise by 30 is minus 30 where y points down; half a turn is the same.
    assert (turn + 30.0) % 180.0 == pytest.approx(0.0, abs=0.01)


def test_a_stretched_circle_is_an_ellipse_that_stands_upright():
    d = drawing(1 / 10, stretch_y=3.0)
    d.ellipse((0.0, 0.0), (50.0, 50.0), angle_deg=17.0)
    rx, ry, turn = (float(n) for n in elements(d, "path")[0].attrib["d"].split("A")[1].split()[:3])
    assert (rx, ry) == pytest.approx((15.0, 5.0), abs=WRITTEN_MM)
    assert abs(turn % 180.0) == pytest.approx(90.0, abs=0.01)


def test_hatching_covers_its_area_and_never_leaves_the_outline():
    # A bent outline: the sum of the pieces times their spacing is the area, within
    # one spacing along the edge; derived apart, 60 x 10 + 12 x 30.
    outline = [(0.0, 0.0), (60.0, 0.0), (60.0, 10.0), (12.0, 10.0), (12.0, 40.0), (0.0, 40.0)]
    spacing_mm = 0.05
    pieces = hatch_lines(outline, spacing_mm=spacing_mm, angle_deg=37.0)
    covered = spacing_mm * sum(math.dist(a, b) for a, b in pieces)
    assert covered == pytest.approx(960.0, rel=0.002)
    for x, y in (end for piece in pieces for end in piece):
        inside_foot = -1e-9 <= x <= 60 + 1e-9 and -1e-9 <= y <= 10 + 1e-9
        inside_leg = -1e-9 <= x <= 12 + 1e-9 and -1e-9 <= y <= 40 + 1e-9
        assert inside_foot or inside_leg


@pytest.mark.parametrize("angle_deg", [0.0, 45.0, 90.0, 135.0])
def test_hatching_runs_in_the_direction_asked_for(angle_deg):
    square = [(3.0, 1.0), (23.0, 1.0), (23.0, 21.0), (3.0, 21.0)]
    for (x0, y0), (x1, y1) in hatch_lines(square, spacing_mm=1.0, angle_deg=angle_deg):
        if math.dist((x0, y0), (x1, y1)) > 1e-6:
            direction = math.degrees(math.atan2(y0 - y1, x1 - x0))
            assert (direction - angle_deg + 90.0) % 180.0 == pytest.approx(90.0, abs=1e-6)


def test_a_drawing_hatches_a_kerf_with_single_lines_and_no_pattern():
    d = drawing()
    d.hatch([(-80.0, 100.0), (80.0, 100.0), (80.0, 110.0), (-80.0, 110.0)])
    (path,) = elements(d, "path", "line-kerf")
    assert path.attrib["d"].count("M") == path.attrib["d"].count("L") > 10


@pytest.mark.parametrize("clockwise", [70.0, -70.0, 200.0])
def test_a_turn_arrow_starts_at_its_clock_position_and_turns_the_way_asked(clockwise):
    d = drawing(1 / 4)
    d.turn_arrow((0.0, 10.0), 100.0, start_deg=20.0, sweep_deg=clockwise)
    arc, head = elements(d, "path")
    move, curve = arc.attrib["d"].split("A")
    start = [float(n) for n in move.removeprefix("M").split()]
    *_, large, sweep, x, y = (float(n) for n in curve.split())
    end_deg = math.radians(20.0 + clockwise)
    turn = math.radians(20.0)
    start_there = d.on_paper_mm((100.0 * math.sin(turn), 10.0 + 100.0 * math.cos(turn)))
    end_there = d.on_paper_mm((100.0 * math.sin(end_deg), 10.0 + 100.0 * math.cos(end_deg)))
    assert start == pytest.approx(start_there, abs=WRITTEN_MM)
    assert (x, y) == pytest.approx(end_there, abs=WRITTEN_MM)
    # From memory: SVG 2, elliptical arcs; sweep 1 is the direction of growing angle with y down,
    # which is clockwise as seen.
    assert sweep == (1.0 if clockwise > 0.0 else 0.0)
    assert large == (1.0 if abs(clockwise) > 180.0 else 0.0)
    # The head starts at the tip and lies back along the arc, not off it.
    tip, *feet = points(head)
    assert tip == pytest.approx(end_there, abs=WRITTEN_MM)
    center = d.on_paper_mm((0.0, 10.0))
    foot = (sum(p[0] for p in feet) / 2, sum(p[1] for p in feet) / 2)
    assert math.dist(foot, center) == pytest.approx(25.0, abs=0.05)


def test_a_dimension_stands_off_by_its_offset_with_the_text_above_the_line():
    d = drawing(1 / 4)
    d.dimension((-76.0, -102.0), (76.0, -102.0), text="6 in", offset_mm=-12.0, along="x")
    lines = [points(p) for p in elements(d, "path", "line-dimension")]
    level_mm = d.on_paper_mm((0.0, -102.0))[1] + 12.0
    (main,) = [line for line in lines if line[0][1] == line[1][1]]
    assert main[0][1] == pytest.approx(level_mm, abs=WRITTEN_MM)
    assert main[1][0] - main[0][0] == pytest.approx(38.0, abs=WRITTEN_MM)
    (text,) = elements(d, "text")
    assert text.attrib["text-anchor"] == "middle"
    assert float(text.attrib["x"]) == pytest.approx((main[0][0] + main[1][0]) / 2, abs=WRITTEN_MM)
    assert level_mm - 2.0 < float(text.attrib["y"]) < level_mm
    # Extension lines start clear of the outline and end past the dimension line.
    for start, end in [line for line in lines if line[0][1] != line[1][1]]:
        assert start[1] == pytest.approx(level_mm - 11.0, abs=WRITTEN_MM)
        assert end[1] > level_mm


@pytest.mark.parametrize("ends", ["arrow", "tick"])
def test_a_dimension_that_is_too_short_for_its_text_sets_it_past_the_far_end(ends):
    d = drawing(1 / 8)
    d.dimension((0.0, 0.0), (9.525, 0.0), text="3/8 in", offset_mm=7.0, ends=ends)
    (text,) = elements(d, "text")
    far_mm = d.on_paper_mm((9.525, 0.0))[0]
    half_mm = text_width_mm("3/8 in", "note") / 2.0
    assert float(text.attrib["x"]) - half_mm > far_mm
    # The dimension line runs on under the text.
    reach_mm = max(x for p in elements(d, "path", "line-dimension") for x, _ in points(p))
    assert reach_mm >= float(text.attrib["x"]) + half_mm


def test_arrowheads_of_a_short_dimension_point_inward_from_outside():
    d = drawing(1 / 8)
    d.dimension((0.0, 0.0), (9.525, 0.0), text="3/8 in", offset_mm=7.0)
    first, second = (points(p) for p in elements(d, "path", "fill-ink"))
    assert all(x < first[0][0] for x, _ in first[1:])
    assert all(x > second[0][0] for x, _ in second[1:])


@pytest.mark.parametrize(("start", "end"), [((0.0, -50.0), (0.0, 60.0)), ((0.0, 60.0), (0.0, -50.0))])
def test_an_upright_dimension_reads_from_the_right(start, end):
    # From memory: ISO 129-1, values read from the bottom or the right-hand side.
    d = drawing(1 / 2)
    d.dimension(start, end, text="4 5/16 in", offset_mm=20.0, along="y")
    (text,) = elements(d, "text")
    assert text.attrib["transform"].startswith("rotate(-90 ")
    # Above the line means to its left once the page is turned.
    line_mm = d.on_paper_mm((0.0, 0.0))[0] + 20.0
    assert line_mm - 2.0 < float(text.attrib["x"]) < line_mm


def test_a_dimension_along_its_line_lies_to_the_left_of_who_walks_it():
    d = drawing(1 / 2)
    d.dimension((0.0, 0.0), (100.0, 50.0), text="4 3/8 in", offset_mm=10.0)
    (main,) = [line for line in map(points, elements(d, "path", "line-dimension")) if math.dist(*line) > 30.0]
    x_mm, y_mm = d.on_paper_mm((0.0, 0.0))
    # Derived apart: the left of (2, 1) is (-1, 2), of length root 5; y turns over.
    assert main[0] == pytest.approx((x_mm - 10.0 / math.sqrt(5), y_mm - 20.0 / math.sqrt(5)), abs=WRITTEN_MM)


def test_a_dimension_without_length_is_refused():
    with pytest.raises(SheetError, match="'6 in' has no length"):
        drawing().dimension((0.0, 5.0), (0.0, 90.0), text="6 in", along="x")


@pytest.mark.parametrize("side", [1.0, -1.0])
def test_a_leader_points_at_its_spot_and_its_words_stand_away_from_it(side):
    d = drawing(1 / 8)
    d.leader((-20.0, 30.0), (side * 7.0, 10.0), words="pith 13/16 in\nright of center")
    spot = d.on_paper_mm((-20.0, 30.0))
    (head,) = elements(d, "path", "fill-ink")
    assert points(head)[0] == pytest.approx(spot, abs=WRITTEN_MM)
    first, second = elements(d, "text")
    assert side * (float(first.attrib["x"]) - spot[0]) > 7.0
    assert first.get("text-anchor", "start") == ("start" if side > 0.0 else "end")
    assert float(second.attrib["y"]) - float(first.attrib["y"]) > size_mm("note")


def test_words_middle_set_stand_half_a_figure_below_the_point_also_when_turned():
    paper = Paper(50.0, 40.0, title="Words")
    paper.text((10.0, 20.0), "11", style=TextStyle(size="head", level="middle"))
    paper.text((10.0, 20.0), "11", style=TextStyle(size="head", level="middle", angle_deg=90.0))
    level, upright = elements(paper, "text")
    drop_mm = 0.325 * 22.0 * 25.4 / 72.0
    assert float(level.attrib["y"]) - 20.0 == pytest.approx(drop_mm, abs=WRITTEN_MM)
    assert float(upright.attrib["x"]) - 10.0 == pytest.approx(drop_mm, abs=WRITTEN_MM)
    assert float(upright.attrib["y"]) == 20.0


@pytest.mark.parametrize(
    ("typed", "printed"),
    [
        ("11 3/4 in", "11\u00a03\u20444 in"),
        ("15/16", "15\u204416"),
        ("21' 6 1/4\"", "21\u2032 6\u00a01\u20444\u2033"),
        ("-3/8 in, or 7-9 in", "\u22123\u20448 in, or 7-9 in"),
        ("the bar's tip at 3 o'clock", "the bar\u2019s tip at 3 o\u2019clock"),
        ("1/2/3, 1:8, A/3, 1.5/2", "1/2/3, 1:8, A/3, 1.5/2"),
        ("", ""),
    ],
)
def test_figures_are_printed_as_they_are_read(typed, printed):
    assert print_figures(typed) == printed
    assert print_figures(printed) == printed


def test_words_are_kept_as_words_whatever_is_in_them():
    d = drawing()
    d.text((0.0, 0.0), '<A&B> "x" \u2014 #3')
    assert elements(d, "text")[0].text == '<A&B> "x" \u2014 #3'


def test_two_drawings_can_stand_in_one_page():
    d = drawing()
    d.hatch([(-80.0, 100.0), (80.0, 100.0), (80.0, 110.0), (-80.0, 110.0)])
    d.dimension((-76.0, 0.0), (76.0, 0.0), text="6 in")
    with d.group("pass-2"):
        d.line((-100.0, 0.0), (100.0, 0.0), style="cut")
    page = d.to_svg()
    assert " id=" not in page
    assert "url(" not in page
    assert "href" not in page
    assert len(elements(d, "g", "pass-2")[0]) == 1


def test_a_drawing_has_a_name_and_words_for_who_cannot_see_it():
    root = ET.fromstring(drawing(description="Seen from the butt, 12 up").to_svg())
    assert root.attrib["role"] == "img"
    assert root.attrib["aria-label"] == root.findtext(f"{SVG}title") == "Butt end"
    assert root.findtext(f"{SVG}desc") == "Seen from the butt, 12 up"


def test_tiles_of_a_drawing_cover_it_without_gap_or_overlap():
    d = Drawing(Box(0.0, 0.0, 150.0, 500.0), 1.0, title="Story pole")
    d.line((10.0, 20.0), (10.0, 480.0))
    tops = []
    for bottom in (0.0, 250.0):
        root = ET.fromstring(d.to_svg(window=Box(0.0, bottom, 150.0, bottom + 250.0)))
        assert root.attrib["height"] == "250mm"
        tops.append(root.attrib["viewBox"])
    assert tops == ["0 250 150 250", "0 0 150 250"]


@pytest.mark.parametrize(
    ("anchor", "angle_deg", "edge"),
    [
        ("start", 0.0, "right"),
        ("middle", 180.0, "right"),
        ("end", 0.0, "left"),
        ("start", 90.0, "top"),
        ("end", 90.0, "bottom"),
        ("start", -90.0, "bottom"),
    ],
)
def test_a_number_that_would_be_cut_off_at_the_edge_is_refused(anchor, angle_deg, edge):
    places = {"left": (3.0, 20.0), "right": (37.0, 20.0), "top": (20.0, 3.0), "bottom": (20.0, 37.0)}
    paper = Paper(40.0, 40.0, title="End")
    style = TextStyle(anchor=anchor, angle_deg=angle_deg)
    paper.text((20.0, 20.0), "8 1/16 in", style=style)
    paper.to_svg()
    paper.text(places[edge], "8 1/16 in", style=style)
    with pytest.raises(SheetError, match=f"End: the drawing reaches .* past its {edge} edge. Widen"):
        paper.to_svg()


def test_a_dimension_that_needs_a_wider_margin_is_refused_also_in_a_window():
    d = drawing()
    d.dimension((-76.0, -102.0), (76.0, -102.0), text="6 in", offset_mm=-26.0, along="x")
    for window in (None, Box(0.0, 0.0, 50.0, 50.0)):
        with pytest.raises(SheetError, match="past its bottom edge"):
            d.to_svg(window=window)


def test_drawing_leaves_what_was_written_before_as_it_was():
    d = drawing()
    d.line((0.0, 0.0), (50.0, 0.0))
    before = d.to_svg()
    assert d.to_svg() == before
    d.line((0.0, 0.0), (0.0, 50.0))
    assert d.to_svg() != before


@pytest.mark.parametrize(
    ("length_mm", "paper_mm", "denominator"),
    [
        (6400.0, 190.0, 40.0),
        (6400.0, 160.0, 40.0),
        (6401.0, 160.0, 50.0),
        (80.0, 190.0, 1.0),
        (450.0, 180.0, 2.5),
    ],
)
def test_the_scale_is_the_largest_customary_one_that_fits(length_mm, paper_mm, denominator):
    assert fitting_scale(length_mm, paper_mm) == pytest.approx(1.0 / denominator)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: Box(0.0, 0.0, 0.0, 10.0), "has no area"),
        (lambda: Box(0.0, 0.0, math.nan, 10.0), "has no area"),
        (lambda: drawing(0.0), "a scale of 0"),
        (lambda: drawing(100.0), "Choose another scale"),
        (lambda: Drawing(END, 0.1, title=" "), "needs a title"),
        (lambda: drawing().line((0.0, math.inf), (1.0, 1.0)), r"point \(0.0, inf\)"),
        (lambda: drawing().line((0.0, 0.0), (1.0, 1.0), style="dotted"), "no line type 'dotted'"),
        (lambda: drawing().polygon([(0.0, 0.0), (1.0, 1.0)]), "2 points"),
        (lambda: drawing().polyline([(0.0, 0.0)]), "1 points"),
        (lambda: drawing().polygon([(0, 0), (1, 0), (0, 1)], fill="green"), "no color 'green'"),
        (lambda: drawing().ellipse((0.0, 0.0), (0.0, 5.0)), "ellipse of 0 x 5 mm"),
        (lambda: drawing().hatch([(0, 0), (9, 0), (0, 9)], spacing_mm=0.0), "0 mm apart"),
        (lambda: drawing().turn_arrow((0, 0), 9.0, start_deg=0, sweep_deg=360), "turn by 360"),
        (lambda: drawing().text((0, 0), "x", style=TextStyle(size="huge")), "no type size 'huge'"),
        (lambda: drawing().text((0, 0), "a\x07b"), r"U\+0007"),
        (lambda: drawing().paper.to_svg(window_mm=(5.0, 0.0, 5.0, 9.0)), "window of 0 x 9"),
        (lambda: drawing().paper.path([(0.0, math.nan), (1.0, 1.0)]), "number nan"),
        (lambda: fitting_scale(0.0, 100.0), "above zero"),
        (lambda: fitting_scale(1e9, 1.0), "at any scale"),
    ],
)
def test_what_cannot_be_drawn_is_refused_with_its_reason(call, message):
    with pytest.raises(SheetError, match=message):
        call()
