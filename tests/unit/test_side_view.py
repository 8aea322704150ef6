"""Side views are parsed and measured: bearers, rail, lines and stations stand where the set-up says."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely
from hypothesis import given, reject
from hypothesis import strategies as st

from pithline.errors import KitError, NoPlacementError, SheetError
from pithline.fit import Timber, place
from pithline.setup import framed, rail_run, set_up
from pithline.sheets.look import print_figures
from pithline.sheets.side_plan import rail_letter
from pithline.sheets.side_view import side_view
from printed import SVG, corners, elements, overlapping
from setups import AWKWARD, FAR, INCHES, METRIC, laid, struck, sugarhouse, tally
from strategies import altered, generated, logs_and_timbers

# Numbers are written to the nearest 0.01 mm; two of them make a distance.
WRITTEN_MM = 0.0101

CASES = [("sugarhouse", sugarhouse), *AWKWARD.items()]
every_case = pytest.mark.parametrize("case", [made for _, made in CASES], ids=[name for name, _ in CASES])


def view(setup, stack=0, tape=INCHES, **options):
    """The drawing, its text, and its scales along and up."""
    drawing = side_view(setup, stack, tape=tape, **options)
    lower, upper = (drawing.on_paper_mm((0.0, y))[1] for y in (0.0, 1000.0))
    return drawing, drawing.to_svg(), drawing.scale, (lower - upper) / 1000.0


def group(svg, name):
    """The elements of one group."""
    for found in ET.fromstring(svg).iter(f"{SVG}g"):
        if name in (found.get("class") or "").split():
            return list(found)
    raise AssertionError(f"there is no group {name}")


def texts(parts):
    return [e.text for e in parts if e.tag == f"{SVG}text"]


def cut_levels(svg, stack):
    """Heights of the cut lines on paper, by number of the pass."""
    return {cut.number: corners(group(svg, f"pass-{cut.number}")[0])[0][1] for cut in stack.passes}


@every_case
def test_a_bearer_is_as_tall_on_paper_as_its_height(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        drawing, svg, along, up = view(setup, number)
        butt = drawing.on_paper_mm((0.0, 0.0))[0]
        for count, bearer in enumerate(stack.bearers, start=1):
            post, base = group(svg, f"bearer-{count}")
            left_foot, right_foot, right_top, left_top = corners(post)
            assert left_foot[1] - left_top[1] == pytest.approx(bearer.height_mm * up, abs=WRITTEN_MM)
            middle = 0.5 * (left_foot[0] + right_foot[0])
            assert middle - butt == pytest.approx(bearer.station_mm * along, abs=WRITTEN_MM)
            wide = setup.kit.bearers.post_width_mm
            assert right_foot[0] - left_foot[0] == pytest.approx(wide * along, abs=WRITTEN_MM)
            assert right_top[0] - left_top[0] == pytest.approx(bearer.post_top_mm * along, abs=WRITTEN_MM)
            # The base lies flat on the flat.
            assert {round(y, 2) for _, y in corners(base)} == {round(left_foot[1], 2)}


@every_case
def test_string_and_datum_stand_over_the_upper_line(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        _, svg, along, up = view(setup, number)
        first, last = corners(group(svg, "string")[0])
        assert first[1] == last[1]
        assert last[0] - first[0] == pytest.approx(
            (stack.bearers[-1].station_mm - stack.bearers[0].station_mm) * along, abs=WRITTEN_MM
        )
        upper = cut_levels(svg, stack)[stack.passes[0].number]
        assert upper - first[1] == pytest.approx(stack.datum_mm * up, abs=WRITTEN_MM)
        for count in range(1, len(stack.bearers) + 1):
            assert corners(group(svg, f"bearer-{count}")[0])[2][1] == pytest.approx(first[1], abs=WRITTEN_MM)
        measured = [corners(e) for e in group(svg, "datum") if e.tag == f"{SVG}path"]
        uprights = [spots for spots in measured if len(spots) == 2 and spots[0][0] == spots[1][0]]
        assert abs(uprights[0][0][1] - uprights[0][1][1]) == pytest.approx(stack.datum_mm * up, abs=WRITTEN_MM)
        assert texts(group(svg, "datum"))[0] == print_figures(INCHES.show(stack.datum_mm))


@every_case
def test_cut_lines_are_level_and_as_far_apart_as_the_timber_is_thick(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        drawing, svg, _, up = view(setup, number)
        axis = drawing.on_paper_mm((0.0, 0.0))[1]
        for cut in stack.passes:
            (line,) = group(svg, f"pass-{cut.number}")
            (x0, y0), (x1, y1) = corners(line)
            assert y0 == y1
            assert axis - y0 == pytest.approx(cut.line_mm * up, abs=WRITTEN_MM)
            assert x1 - x0 > setup.placement.log.length_mm * drawing.scale
            assert "line-cut" in line.attrib["class"]
        if len(stack.passes) == 2:
            apart = abs(np.diff(list(cut_levels(svg, stack).values())))
            assert apart == pytest.approx(2.0 * stack.half_mm * up, abs=WRITTEN_MM)


@every_case
def test_the_rail_lies_on_the_bearers_to_scale(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        drawing, svg, along, up = view(setup, number)
        butt, top = drawing.on_paper_mm((0.0, stack.half_mm + stack.datum_mm))
        seen = []
        for count, position in enumerate(stack.rail):
            spots = np.array(corners(group(svg, f"rail-{rail_letter(count)}")[0]))
            left, right, over, under = *spots[:2, 0], spots[:, 1].min(), spots[:, 1].max()
            assert under - over == pytest.approx(setup.kit.rail.thickness_mm * up, abs=WRITTEN_MM)
            assert (left - butt, right - butt) == pytest.approx(
                (position.start_mm * along, position.end_mm * along), abs=WRITTEN_MM
            )
            seen.append(shapely.box(left, over, right, under))
            if count == 0:
                assert under == pytest.approx(top, abs=WRITTEN_MM)
            assert under <= top + WRITTEN_MM
        # Moves can be told apart: no position is drawn over another.
        for count, one in enumerate(seen):
            assert not any(one.intersects(other) for other in seen[:count])


@every_case
def test_the_rail_says_which_stretch_is_sawn_from_where(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        _, svg, _, _ = view(setup, number, METRIC)
        for count, position in enumerate(stack.rail):
            (text,) = texts(group(svg, f"rail-{rail_letter(count)}"))
            assert text.startswith(rail_letter(count))
            stop = "the tip" if count == len(stack.rail) - 1 else METRIC.show_long(position.saw_to_mm)
            assert text == rail_letter(count) or text.endswith(f"to {stop}")


@every_case
def test_the_overhang_is_dimensioned_past_both_ends(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        _, svg, along, _ = view(setup, number, METRIC)
        length = setup.placement.log.length_mm
        past = {"butt": -stack.rail[0].start_mm, "tip": stack.rail[-1].end_mm - length}
        for end, wanted in past.items():
            parts = group(svg, f"overhang-{end}")[0]
            assert texts(parts) == [METRIC.show(wanted)]
            ticks = [corners(e) for e in parts if "line-outline" in (e.get("class") or "")]
            middles = sorted(0.5 * (a[0] + b[0]) for a, b in ticks)
            assert middles[1] - middles[0] == pytest.approx(wanted * along, abs=WRITTEN_MM)


@every_case
@pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])
def test_heights_and_stations_are_written_as_the_tape_shows_them(case, tape):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        drawing, svg, along, _ = view(setup, number, tape)
        said = texts(group(svg, "stations"))
        places = [float(e.attrib["x"]) for e in group(svg, "stations") if e.tag == f"{SVG}text"]
        butt = drawing.on_paper_mm((0.0, 0.0))[0]
        for count, bearer in enumerate(stack.bearers):
            height, station = (
                print_figures(text) for text in (tape.show(bearer.height_mm), tape.show_long(bearer.station_mm))
            )
            if f'"height-{count + 1}"' in svg:
                assert texts(group(svg, f"height-{count + 1}")) == [height]
                assert said[count] == station
                at = places[count]
            else:
                assert said[2 * count : 2 * count + 2] == [height, f"at {station}"]
                at = places[2 * count]
            assert at - butt == pytest.approx(bearer.station_mm * along, abs=WRITTEN_MM)


@every_case
def test_the_outline_is_that_of_the_log_between_faces_already_sawn(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        drawing, svg, along, up = view(setup, number)
        wood = shapely.Polygon(corners(group(svg, "log")[0]))
        log = framed(setup.placement, stack.turn_deg)
        # Polygons of 72 sides stand 0.1 % of the radius inside the sections at most.
        slack = 0.001 * float(np.abs(log.shape_mm).max()) * up + 2 * WRITTEN_MM
        for z, outline in zip(log.z_mm, log.outlines(), strict=True):
            if any(abs(z - b.station_mm) < setup.kit.bearers.post_width_mm + 3.0 / along for b in stack.bearers):
                continue
            section = shapely.Polygon(outline)
            if stack.within_mm is not None:
                section = section.intersection(shapely.box(-stack.within_mm, -1e4, stack.within_mm, 1e4))
            low, high = section.bounds[1], section.bounds[3]
            x = drawing.on_paper_mm((float(z), 0.0))[0]
            cut = wood.intersection(shapely.LineString([(x, 0.0), (x, 200.0)])).bounds
            upper, lower = (drawing.on_paper_mm((0.0, y))[1] for y in (high, low))
            assert (cut[1], cut[3]) == pytest.approx((upper, lower), abs=slack)


@every_case
def test_a_bearer_stands_on_a_flat_cut_into_the_log(case):
    setup = case()
    for number, stack in enumerate(setup.stacks):
        drawing, svg, along, _ = view(setup, number)
        wood = shapely.Polygon(corners(group(svg, "log")[0]))
        for bearer in stack.bearers:
            inside = min(max(bearer.station_mm, 1.0 / along), setup.placement.log.length_mm - 1.0 / along)
            x = drawing.on_paper_mm((inside, 0.0))[0]
            flat = drawing.on_paper_mm((0.0, stack.half_mm + stack.datum_mm - bearer.height_mm))[1]
            highest = wood.intersection(shapely.LineString([(x, 0.0), (x, 200.0)])).bounds[1]
            assert highest >= flat - WRITTEN_MM


@every_case
def test_the_timber_stands_where_it_lies_in_the_log(case):
    setup = case()
    drawing, svg, _, up = view(setup)
    ends = [corners(side) for side in group(svg, "timber")]
    for spots, z in zip(ends, (setup.placement.start_mm, setup.placement.end_mm), strict=True):
        assert spots[0][0] == spots[1][0] == pytest.approx(drawing.on_paper_mm((z, 0.0))[0], abs=WRITTEN_MM)
        tall = abs(spots[0][1] - spots[1][1])
        assert tall == pytest.approx(setup.placement.timber.cut_thickness_mm * up, abs=WRITTEN_MM)


def test_the_pith_is_a_chain_line_along_the_whole_log():
    setup = sugarhouse()
    drawing, svg, _, _ = view(setup)
    (line,) = group(svg, "pith")
    assert "stroke-dasharray" in line.attrib
    spots = corners(line)
    for spot, end, z in ((spots[0], setup.ends[0], 0.0), (spots[-1], setup.ends[1], setup.placement.log.length_mm)):
        # The pith lies as far under the upper line as the end marks say it is below it.
        assert spot == pytest.approx(drawing.on_paper_mm((z, setup.stacks[0].half_mm - end.up_mm)), abs=WRITTEN_MM)


@every_case
def test_heights_are_never_drawn_smaller_than_lengths_and_the_scale_is_told(case):
    setup = case()
    for number in range(len(setup.stacks)):
        drawing, svg, along, up = view(setup, number)
        assert up >= along * 0.999
        said = " ".join(texts(ET.fromstring(svg).iter(f"{SVG}text")))
        assert f"Scale {drawing.scale_text}." in said
        assert ("heights" in drawing.scale_text) == (up > along * 1.001)


def with_bearers(count, length_mm):
    """A set-up with a given number of bearers: the rail is as long as that takes."""
    row = tally(f"B-{count}", length_mm, 0.05 * length_mm + 200.0, 0.03 * length_mm + 170.0, crown_mm=30.0)
    stiff = altered(altered(FAR, "rail", sag_limit_mm=900.0), "mill", footprint_mm=300.0)
    for rail_mm in np.linspace(length_mm + 650.0, 0.1 * length_mm + 600.0, 60):
        kit = altered(stiff, "rail", length_mm=float(rail_mm))
        if len(rail_run(kit, length_mm).stations_mm) == count:
            return laid(row, Timber(120.0, 140.0, sawn_faces=2), kit=kit)
    raise AssertionError(f"no rail takes {count} bearers")


@pytest.mark.parametrize("length_mm", [2_500.0, 4_300.0, 6_400.0, 9_000.0])
@pytest.mark.parametrize("count", [2, 3, 4, 5, 6])
@pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])
def test_no_text_lies_on_another_or_on_a_line_whatever_the_bearers(count, length_mm, tape):
    setup = with_bearers(count, length_mm)
    assert len(setup.stacks[0].bearers) == count
    for room in ((186.0, 68.0), (191.9, 58.0)):
        _, svg, _, _ = view(setup, 0, tape, room_mm=room)
        assert list(overlapping(elements(svg, "text"))) == []
        assert list(struck(svg)) == []


@every_case
@pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])
def test_no_text_lies_on_another_or_on_a_line(case, tape):
    setup = case()
    for number in range(len(setup.stacks)):
        _, svg, _, _ = view(setup, number, tape)
        assert list(overlapping(elements(svg, "text"))) == []
        assert list(struck(svg)) == []


@st.composite
def rails_and_posts(draw):
    """A kit with a rail and bearers as someone might have them."""
    rail = st.sampled_from([2_440.0, 3_048.0, 3_660.0, 4_880.0, 6_000.0])
    kit = altered(
        FAR,
        "rail",
        length_mm=draw(rail),
        thickness_mm=draw(st.floats(45.0, 110.0)),
        member_depth_mm=draw(st.floats(80.0, 140.0)),
        sag_limit_mm=draw(st.floats(1.0, 4.0)),
    )
    kit = altered(
        kit,
        "bearers",
        base_width_mm=draw(st.floats(40.0, 140.0)),
        end_inset_mm=draw(st.sampled_from([0.0, 0.0, 60.0, 150.0])),
    )
    return altered(kit, "mill", footprint_mm=draw(st.floats(200.0, 500.0)))


@given(log_and_timber=logs_and_timbers(), kit=rails_and_posts(), roll=st.floats(-180.0, 180.0))
@generated(60)
def test_whatever_can_be_set_up_can_be_drawn(log_and_timber, kit, roll):
    try:
        setup = set_up(place(*log_and_timber, roll=roll, against_best=False), kit)
    except (KitError, NoPlacementError):
        reject()
    for number, stack in enumerate(setup.stacks):
        drawing, svg, _, up = view(setup, number, room_mm=(186.0, 60.0))
        assert drawing.paper.width_mm == pytest.approx(186.0)
        assert drawing.paper.height_mm <= 60.0 + WRITTEN_MM
        post = corners(group(svg, "bearer-1")[0])
        assert post[0][1] - post[3][1] == pytest.approx(stack.bearers[0].height_mm * up, abs=WRITTEN_MM)
        assert list(overlapping(elements(svg, "text"))) == []


def test_positions_of_the_rail_have_letters_and_then_numbers():
    assert [rail_letter(number) for number in (0, 1, 25, 26, 40)] == ["A", "B", "Z", "27", "41"]


def test_a_drawing_tells_in_words_what_it_shows():
    root = ET.fromstring(view(sugarhouse())[1])
    told = root.findtext(f"{SVG}desc") or ""
    for bearer in sugarhouse().stacks[0].bearers:
        assert f"{INCHES.show(bearer.height_mm)} at {INCHES.show_long(bearer.station_mm)}" in told
    assert root.findtext(f"{SVG}title") == "A-3: side view, butt left"


def test_the_same_set_up_gives_the_same_drawing():
    assert view(sugarhouse(), 1)[1] == view(sugarhouse(), 1)[1]


def test_what_cannot_be_drawn_is_refused_in_a_sentence():
    with pytest.raises(SheetError, match=re.escape("A-3: there is no stack -1 in this set-up.")):
        side_view(sugarhouse(), -1, tape=INCHES)
    with pytest.raises(SheetError, match=r"cannot be drawn on 50 x 20 mm of paper: give it more room"):
        side_view(sugarhouse(), 0, tape=INCHES, room_mm=(50.0, 20.0))
