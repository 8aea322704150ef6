"""End views are parsed and measured: lines, kerfs and readings stand where the set-up says."""

import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely
from hypothesis import given, reject
from hypothesis import strategies as st

from pithline.errors import KitError, NoPlacementError, SheetError
from pithline.fit import place
from pithline.setup import set_up
from pithline.sheets.end_view import end_view
from pithline.sheets.look import print_figures
from printed import SVG, corners, elements, overlapping
from setups import AWKWARD, EIGHTHS, INCHES, METRIC, struck, sugarhouse
from strategies import generated, kits, logs_and_timbers

# Numbers are written to the nearest 0.01 mm; two of them make a distance.
WRITTEN_MM = 0.0101
WAYS = {"up": (0, 1), "down": (0, -1), "left": (-1, 0), "right": (1, 0)}
OTHER = {"up": "down", "down": "up", "left": "right", "right": "left"}

CASES = [("sugarhouse", lambda faces=faces: sugarhouse(faces)) for faces in (2, 3, 4)]
CASES += list(AWKWARD.items())
every_case = pytest.mark.parametrize("case", [made for _, made in CASES], ids=[name for name, _ in CASES])
both_ends = pytest.mark.parametrize("end", ["butt", "tip"])


def group(svg, name):
    """The elements of one group."""
    for found in ET.fromstring(svg).iter(f"{SVG}g"):
        if name in (found.get("class") or "").split():
            return list(found)
    return None


def pith(svg):
    """Middle of the dot, from both ends of the arc it is drawn with."""
    (dot,) = group(svg, "pith")
    start, *arcs = dot.attrib["d"].split("A")
    x, y = (float(n) for n in start.removeprefix("M").split())
    far = [float(n) for n in arcs[0].split()[-2:]]
    return np.array([(x + far[0]) / 2, (y + far[1]) / 2])


def marks_of(setup, end):
    return next(marks for marks in setup.ends if marks.end == end)


def distances(setup, end):
    marks = marks_of(setup, end)
    return {"up": marks.up_mm, "down": marks.down_mm, "left": marks.left_mm, "right": marks.right_mm}


@every_case
@both_ends
def test_each_line_lies_at_its_distance_from_the_pith(case, end):
    setup = case()
    drawing = end_view(setup, end, tape=INCHES)
    svg = drawing.to_svg()
    for way, distance in distances(setup, end).items():
        found = group(svg, f"line-{way}")
        step = np.array(WAYS[way])
        if found is None:
            # The line passes this end outside of the wood: the timber ends before it.
            along = marks_of(setup, end).outline_mm @ step
            assert not along.min() + 0.1 < distance < along.max() - 0.1
            continue
        for spot in corners(found[0]):
            out = np.dot(np.array(spot) - pith(svg), step * (1, -1))
            assert out == pytest.approx(distance * drawing.scale, abs=WRITTEN_MM)


@every_case
@both_ends
@pytest.mark.parametrize("tape", [INCHES, EIGHTHS, METRIC], ids=["1/16", "1/8", "mm"])
def test_each_reading_is_the_distance_as_the_tape_shows_it(case, end, tape):
    setup = case()
    svg = end_view(setup, end, tape=tape).to_svg()
    for way, distance in distances(setup, end).items():
        number, words = [e.text for e in group(svg, f"distance-{way}") if e.tag == f"{SVG}text"]
        assert number == print_figures(tape.show(abs(distance)))
        # A line on the other side of the pith is told as lying there.
        assert words.split(",")[0] == (way if distance >= 0.0 else OTHER[way])


@every_case
@both_ends
def test_the_arrow_of_a_distance_ends_at_its_line(case, end):
    setup = case()
    drawing = end_view(setup, end, tape=INCHES)
    svg = drawing.to_svg()
    for way, distance in distances(setup, end).items():
        if abs(distance) * drawing.scale < 4.0:
            continue
        head = next(e for e in group(svg, f"distance-{way}") if "fill-ink" in (e.get("class") or ""))
        tip = np.array(corners(head)[0])
        out = np.dot(tip - pith(svg), np.array(WAYS[way]) * (1, -1))
        assert out == pytest.approx(distance * drawing.scale, abs=WRITTEN_MM)


def test_the_distances_of_a_common_layout_are_read_off():
    # Common practice: a 6 in timber with 1/8 in allowed on each of two faces is laid out 6 1/4 in
    # over all. The pith of this log wanders, so that the halves differ.
    setup = sugarhouse(2)
    for end in ("butt", "tip"):
        marks = marks_of(setup, end)
        assert marks.up_mm + marks.down_mm == pytest.approx(6.25 * 25.4)
        assert marks.up_mm != pytest.approx(marks.down_mm, abs=1.0)


@every_case
@both_ends
def test_the_kerf_is_hatched_on_the_waste_side_of_its_line(case, end):
    setup = case()
    drawing = end_view(setup, end, tape=INCHES)
    svg = drawing.to_svg()
    for cut, way in zip(setup.stacks[0].passes, ("up", "down"), strict=True):
        found = group(svg, f"pass-{cut.number}")
        if found is None:
            continue
        line = distances(setup, end)[way] * drawing.scale
        wide = setup.kit.saw.kerf_mm * drawing.scale
        out = [np.dot(np.array(spot) - pith(svg), np.array(WAYS[way]) * (1, -1)) for spot in corners(found[-1])]
        assert min(out) >= line - WRITTEN_MM
        assert max(out) <= line + wide + WRITTEN_MM
        assert max(out) - min(out) == pytest.approx(wide, abs=2 * WRITTEN_MM) or max(out) < line + wide


@both_ends
def test_the_timber_is_drawn_to_scale_about_the_pith(end):
    setup = sugarhouse()
    drawing = end_view(setup, end, tape=INCHES)
    svg = drawing.to_svg()
    spots = np.array([spot for side in group(svg, "timber") for spot in corners(side)])
    wanted = marks_of(setup, end).corners_mm * drawing.scale * (1, -1) + pith(svg)
    for corner in wanted:
        assert np.min(np.linalg.norm(spots - corner, axis=1)) < 2 * WRITTEN_MM


def test_only_sawn_faces_are_thick():
    thick = dict.fromkeys((2, 3, 4), 0)
    for faces in thick:
        svg = end_view(sugarhouse(faces), "butt", tape=INCHES).to_svg()
        thick[faces] = sum("line-sawn" in side.attrib["class"] for side in group(svg, "timber"))
    assert thick == {2: 2, 3: 3, 4: 4}


@every_case
@both_ends
def test_the_outline_is_as_large_as_the_end(case, end):
    setup = case()
    drawing = end_view(setup, end, tape=INCHES)
    svg = drawing.to_svg()
    (wood,) = elements(svg, "path", "fill-wood")
    x, y = pith(svg)
    lines = [shapely.LineString([(0.0, y), (200.0, y)]), shapely.LineString([(x, 0.0), (x, 200.0)])]
    across = [line.intersection(shapely.Polygon(corners(wood))).length for line in lines]
    # The outline is drawn with 72 sides, which are 0.1 % of the radius inside at most.
    assert across == pytest.approx(np.array(marks_of(setup, end).across_mm) * drawing.scale, rel=0.004)
    wide = np.ptp(marks_of(setup, end).outline_mm, axis=0)
    assert np.ptp(np.array(corners(wood)), axis=0) == pytest.approx(wide * drawing.scale, abs=WRITTEN_MM)


@both_ends
@pytest.mark.parametrize("faces", [3, 4])
def test_after_rolling_left_and_right_have_become_up_and_down(end, faces):
    setup = sugarhouse(faces)
    svg = end_view(setup, end, tape=INCHES, stack=1).to_svg()
    drawing = end_view(setup, end, tape=INCHES, stack=1)
    before = distances(setup, end)
    # Derived apart: a quarter turn clockwise takes 9 o'clock to 12, one the other way 3 o'clock.
    upper, lower = ("left", "right") if setup.stacks[1].turn_deg > 0.0 else ("right", "left")
    for way, was in (("up", upper), ("down", lower)):
        texts = [e.text for e in group(svg, f"distance-{way}") if e.tag == f"{SVG}text"]
        assert texts[0] == print_figures(INCHES.show(before[was]))
        spot = corners(group(svg, f"line-{way}")[0])[0]
        out = np.dot(np.array(spot) - pith(svg), np.array(WAYS[way]) * (1, -1))
        assert out == pytest.approx(before[was] * drawing.scale, abs=WRITTEN_MM)
    assert group(svg, "distance-left") is None
    # The slabs are gone: the cant is as wide as the first two faces stand apart.
    (wood,) = elements(svg, "path", "fill-wood")
    wide = np.ptp([x for x, _ in corners(wood)])
    assert wide == pytest.approx(setup.placement.timber.cut_thickness_mm * drawing.scale, abs=WRITTEN_MM)


@every_case
def test_both_ends_of_a_stack_have_one_scale_and_one_size(case):
    setup = case()
    for stack in range(len(setup.stacks)):
        butt, tip = (end_view(setup, end, tape=INCHES, stack=stack) for end in ("butt", "tip"))
        assert butt.scale == tip.scale
        sizes = [(drawing.paper.width_mm, drawing.paper.height_mm) for drawing in (butt, tip)]
        assert sizes[0] == pytest.approx(sizes[1])


def test_the_tip_warns_who_faces_it():
    told = {
        end: " / ".join(e.text or "" for e in elements(end_view(sugarhouse(), end, tape=INCHES).to_svg(), "text"))
        for end in ("butt", "tip")
    }
    assert "Butt / seen from the butt, 1:" in told["butt"]
    assert "facing it" not in told["butt"]
    assert "Tip / seen from the butt, 1:" in told["tip"]
    assert "facing it, left is right" in told["tip"]


@every_case
def test_the_crown_points_where_the_log_bulges(case):
    setup = case()
    for stack, lies in enumerate(setup.stacks):
        svg = end_view(setup, "butt", tape=INCHES, stack=stack).to_svg()
        if setup.crown_clock is None:
            assert group(svg, "crown") is None
            continue
        (x0, y0), (x1, y1) = corners(group(svg, "crown")[0])
        clock = math.degrees(math.atan2(x1 - x0, y0 - y1)) / 30.0
        wanted = setup.crown_clock + lies.turn_deg / 30.0
        # An arrow 5 mm long, written to 0.01 mm, is off by a tenth of a degree at most.
        assert (clock - wanted + 6.0) % 12.0 == pytest.approx(6.0, abs=0.01)


def test_the_twelve_stands_at_the_top_of_the_plumb_line():
    svg = end_view(sugarhouse(), "butt", tape=INCHES).to_svg()
    (twelve,) = [e for e in elements(svg, "text") if e.text == "12"]
    level, plumb = group(svg, "center-lines")
    assert corners(level)[0][1] == corners(level)[1][1] == pytest.approx(pith(svg)[1], abs=WRITTEN_MM)
    assert corners(plumb)[0][0] == corners(plumb)[1][0] == pytest.approx(pith(svg)[0], abs=WRITTEN_MM)
    assert abs(float(twelve.attrib["x"]) - pith(svg)[0]) < 2.0
    highest = min(y for _, y in corners(elements(svg, "path", "fill-wood")[0]))
    assert min(y for _, y in corners(plumb)) < float(twelve.attrib["y"]) < highest
    assert "stroke-dasharray" in level.attrib
    assert "stroke-dasharray" in plumb.attrib


@every_case
@pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])
def test_no_text_lies_on_another_or_on_a_line(case, tape):
    setup = case()
    for stack in range(len(setup.stacks)):
        for end in ("butt", "tip"):
            svg = end_view(setup, end, tape=tape, stack=stack, room_mm=(92.0, 64.0)).to_svg()
            assert list(overlapping(elements(svg, "text"))) == []
            assert list(struck(svg)) == []


@given(log_and_timber=logs_and_timbers(), kit=kits(), roll=st.floats(-180.0, 180.0))
@generated(40)
def test_whatever_can_be_set_up_can_be_drawn(log_and_timber, kit, roll):
    try:
        setup = set_up(place(*log_and_timber, roll=roll, against_best=False), kit)
    except (KitError, NoPlacementError):
        reject()
    for stack in range(len(setup.stacks)):
        for end in ("butt", "tip"):
            svg = end_view(setup, end, tape=INCHES, stack=stack, room_mm=(92.0, 60.0)).to_svg()
            assert list(overlapping(elements(svg, "text"))) == []


def test_a_drawing_tells_in_words_what_it_shows():
    root = ET.fromstring(end_view(sugarhouse(), "butt", tape=INCHES).to_svg())
    told = root.findtext(f"{SVG}desc") or ""
    for way, distance in distances(sugarhouse(), "butt").items():
        assert f"{INCHES.show(distance)} {way}" in told
    assert root.findtext(f"{SVG}title") == "A-3: butt seen from the butt"


def test_the_same_set_up_gives_the_same_drawing():
    one, two = (end_view(sugarhouse(), "tip", tape=METRIC).to_svg() for _ in range(2))
    assert one == two


def test_what_cannot_be_drawn_is_refused_in_a_sentence():
    with pytest.raises(SheetError, match=re.escape("A-3: there is no stack 2 in this set-up.")):
        end_view(sugarhouse(), "butt", tape=INCHES, stack=2)
    with pytest.raises(SheetError, match="give it more room"):
        end_view(sugarhouse(), "butt", tape=INCHES, room_mm=(40.0, 30.0))
