"""Sheets of a large drawing cover it, overlap as they say, and meet at the joints."""

import itertools
import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.sheets.svg import Box, Drawing
from pithline.sheets.tiles import MARK_MM, draw_joints, draw_key, overlap_mm, sheet_room_mm, spans, tiled
from printed import corners, elements
from strategies import generated

# Numbers in a drawing are written to the nearest 0.01 mm; two of them make a distance.
WRITTEN_MM = 0.0101
EXACT_MM = 1e-9
ROOM_MM = (191.9, 208.0)
BOX = Box(-313.0, -260.0, 247.0, 391.0)


@generated(300)
@given(
    start=st.floats(-900.0, 900.0),
    length=st.floats(0.5, 4_000.0),
    room=st.floats(40.0, 400.0),
    overlap=st.floats(0.0, 30.0),
)
def test_the_fewest_equal_stretches_cover_a_length_and_overlap_as_told(start, length, room, overlap):
    found = spans(start, start + length, room_mm=room, overlap_mm=overlap)
    assert found[0][0] == pytest.approx(start, abs=EXACT_MM)
    assert found[-1][1] == pytest.approx(start + length, abs=EXACT_MM)
    sizes = [end - begin for begin, end in found]
    assert max(sizes) <= room + 1e-6
    assert max(sizes) - min(sizes) < 1e-6
    for (_, end), (begin, _) in itertools.pairwise(found):
        assert end - begin == pytest.approx(overlap, abs=1e-6)
    # Derived apart: n stretches of the room reach n room - (n - 1) overlap; one fewer does not do.
    fewer = len(found) - 1
    assert fewer == 0 or fewer * room - (fewer - 1) * overlap < length + 1e-6


def test_a_length_that_just_fits_takes_one_stretch_and_a_hair_more_takes_two():
    assert spans(0.0, 200.0, room_mm=200.0, overlap_mm=12.0) == ((0.0, 200.0),)
    assert spans(0.0, 388.0, room_mm=200.0, overlap_mm=12.0) == ((0.0, 200.0), (188.0, 388.0))
    assert len(spans(0.0, 200.01, room_mm=200.0, overlap_mm=12.0)) == 2
    assert len(spans(0.0, 388.01, room_mm=200.0, overlap_mm=12.0)) == 3


@pytest.mark.parametrize(
    ("length", "room", "overlap"),
    [(0.0, 100.0, 10.0), (-5.0, 100.0, 10.0), (500.0, 10.0, 10.0), (math.nan, 100.0, 10.0), (500.0, 100.0, -1.0)],
)
def test_what_cannot_be_spread_is_refused(length, room, overlap):
    with pytest.raises(SheetError, match="cannot be spread over sheets"):
        spans(0.0, length, room_mm=room, overlap_mm=overlap)


@generated(100)
@given(
    width=st.floats(30.0, 1_300.0),
    height=st.floats(30.0, 1_300.0),
    x=st.lists(st.floats(0.0, 1.0), max_size=4),
    y=st.lists(st.floats(0.0, 1.0), max_size=4),
)
def test_windows_hold_the_whole_drawing_and_cells_share_it_out_without_gap_or_overlap(width, height, x, y):
    box = Box(-71.0, 13.0, -71.0 + width, 13.0 + height)
    tiling = tiled(
        box,
        room_mm=ROOM_MM,
        overlap_mm=12.7,
        lines_x_mm=[box.left + share * width for share in x],
        lines_y_mm=[box.bottom + share * height for share in y],
    )
    whole = tiling.box
    assert whole.left <= box.left + 1e-6
    assert whole.bottom <= box.bottom + 1e-6
    assert whole.right >= box.right - 1e-6
    assert whole.top >= box.top - 1e-6
    area = 0.0
    for tile in tiling.tiles:
        window, cell = tile.window, tiling.cell(tile)
        assert window.right - window.left <= ROOM_MM[0] + 1e-6
        assert window.top - window.bottom <= ROOM_MM[1] + 1e-6
        area += (cell.right - cell.left) * (cell.top - cell.bottom)
        # A cell is its window less half of what it shares with a neighbor.
        right, below = tiling.neighbor(tile, columns=1), tiling.neighbor(tile, rows=1)
        if right is not None:
            assert window.right - right.window.left == pytest.approx(12.7, abs=1e-6)
            assert window.right - cell.right == pytest.approx(6.35, abs=1e-6)
        if below is not None:
            assert below.window.top - window.bottom == pytest.approx(12.7, abs=1e-6)
            assert cell.bottom - window.bottom == pytest.approx(6.35, abs=1e-6)
    assert area == pytest.approx((whole.right - whole.left) * (whole.top - whole.bottom), rel=1e-9)


def test_sheets_are_named_as_on_a_map_from_the_upper_left():
    tiling = tiled(BOX, room_mm=ROOM_MM, overlap_mm=12.7)
    assert [tile.name for tile in tiling.tiles][:5] == ["A1", "A2", "A3", "A4", "B1"]
    first = tiling.tiles[0].window
    assert (first.left, first.top) == pytest.approx((BOX.left, BOX.top))
    last = tiling.tiles[-1]
    assert (last.window.right, last.window.bottom) == pytest.approx((BOX.right, BOX.bottom))
    assert tiling.neighbor(tiling.tiles[0], rows=-1) is None
    assert tiling.neighbor(last, columns=1) is None
    assert list(tiling.joints_x_mm) == sorted(tiling.joints_x_mm)
    assert list(tiling.joints_y_mm) == sorted(tiling.joints_y_mm, reverse=True)


@generated(100)
@given(
    length=st.floats(250.0, 900.0),
    shares=st.lists(st.floats(0.1, 0.9), min_size=1, max_size=3),
)
def test_joints_keep_off_the_lines_that_are_marked_through(length, shares):
    lines = [share * length for share in shares]
    plain = tiled(Box(0.0, 0.0, length, 100.0), room_mm=ROOM_MM, overlap_mm=12.0)
    tiling = tiled(Box(0.0, 0.0, length, 100.0), room_mm=ROOM_MM, overlap_mm=12.0, lines_x_mm=lines)

    def clear(joints):
        return min(abs(joint - line) for joint in joints for line in lines)

    # Never nearer than with no care taken, but where both are far enough; a sheet more at most.
    assert clear(tiling.joints_x_mm) >= min(10.0, clear(plain.joints_x_mm)) - 1e-6
    assert clear(tiling.joints_x_mm) >= 3.0
    assert len(tiling.tiles) - len(plain.tiles) in (0, 1)


def test_a_joint_through_the_middle_of_a_round_end_is_moved():
    box = Box(-180.0, -180.0, 180.0, 180.0)
    assert tiled(box, room_mm=ROOM_MM, overlap_mm=12.0).joints_x_mm == (0.0,)
    (joint,) = tiled(box, room_mm=ROOM_MM, overlap_mm=12.0, lines_x_mm=[0.0]).joints_x_mm
    assert abs(joint) >= 5.0


def test_sheets_with_nothing_on_them_are_left_out_and_the_others_stay_as_they_were():
    tiling = tiled(BOX, room_mm=ROOM_MM, overlap_mm=12.7)
    kept = tiling.kept(lambda cell: cell.right < 200.0)
    assert {tile.name for tile in tiling.tiles} - {tile.name for tile in kept.tiles} == {"A4", "B4", "C4", "D4"}
    for tile in kept.tiles:
        assert kept.cell(tile) == tiling.cell(tile)
    third = next(tile for tile in kept.tiles if tile.name == "B3")
    assert kept.neighbor(third, columns=1) is None


def test_a_line_across_a_joint_stands_at_true_scale_in_both_sheets():
    drawing = Drawing(BOX, 1.0, title="Two sheets")
    drawing.line((-313.0, 100.0), (247.0, 100.0), style="cut")
    tiling = tiled(BOX, room_mm=ROOM_MM, overlap_mm=12.7)
    draw_joints(drawing, tiling)
    for tile in tiling.tiles:
        svg = drawing.to_svg(window=tile.window)
        root = elements(svg, "svg")[0]
        left, top, width, height = (float(n) for n in root.attrib["viewBox"].split())
        # One unit is one millimeter of paper, or true scale would not print true.
        assert f"{width:g}mm" == root.attrib["width"]
        assert f"{height:g}mm" == root.attrib["height"]
        assert left + BOX.left == pytest.approx(tile.window.left, abs=WRITTEN_MM)
        assert BOX.top - top == pytest.approx(tile.window.top, abs=WRITTEN_MM)
        (line,) = elements(svg, "path", "line-cut")
        start, end = corners(line)
        assert end[0] - start[0] == pytest.approx(560.0, abs=WRITTEN_MM)
        assert BOX.top - start[1] == pytest.approx(100.0, abs=WRITTEN_MM)


def test_register_marks_sit_on_every_joint_where_both_sheets_show_them():
    drawing = Drawing(BOX, 1.0, title="Joints")
    tiling = tiled(BOX, room_mm=ROOM_MM, overlap_mm=12.7)
    draw_joints(drawing, tiling)
    rings = elements(drawing.to_svg(), "path", "line-dimension")
    long = [corners(path) for path in rings if "A" not in path.attrib["d"]]
    crosses = [line for line in long if math.dist(*line) == pytest.approx(2.0 * MARK_MM, abs=WRITTEN_MM)]
    # Derived apart: 3 plumb and 3 level joints between 4 columns and 4 rows; two marks for
    # each sheet along a joint, of two strokes each.
    assert (len(tiling.joints_x_mm), len(tiling.joints_y_mm)) == (3, 3)
    assert len(crosses) == 2 * (3 * 8 + 3 * 8)
    # A mark fits into what neighbors share.
    assert 2.0 * MARK_MM < 12.0
    joints = [line for line in long if math.dist(*line) > 500.0]
    assert len(joints) == 6


def test_a_key_names_every_sheet_inside_its_own_part():
    tiling = tiled(BOX, room_mm=ROOM_MM, overlap_mm=12.7)
    drawing = Drawing(BOX, 0.1, title="Key", margins_mm=(1.0, 1.0, 1.0, 1.0))

    def middle(tile):
        cell = tiling.cell(tile)
        return 0.5 * (cell.left + cell.right), 0.5 * (cell.bottom + cell.top)

    draw_key(drawing, tiling, names_at=middle)
    svg = drawing.to_svg()
    named = {text.text: text for text in elements(svg, "text")}
    assert set(named) == {tile.name for tile in tiling.tiles}
    for tile in tiling.tiles:
        x = float(named[tile.name].attrib["x"])
        assert x == pytest.approx(drawing.on_paper_mm(middle(tile))[0], abs=WRITTEN_MM)
    assert len(elements(svg, "path", "line-chalk")) == len(tiling.tiles)


@pytest.mark.parametrize(("style", "told"), [("in", "1/2 in"), ("mm", "12 mm")])
def test_the_overlap_is_one_that_the_tape_shows_exactly(style, told):
    tape = Tape(style)
    assert tape.show(overlap_mm(tape)) == told
    assert tape.round(overlap_mm(tape)) == overlap_mm(tape)


def test_paper_that_is_not_known_is_refused():
    with pytest.raises(SheetError, match="no paper 'legal': choose letter or a4"):
        sheet_room_mm("legal")


def test_more_rows_than_letters_are_refused():
    with pytest.raises(SheetError, match="would take 27 rows"):
        tiled(Box(0.0, 0.0, 50.0, 2_700.0), room_mm=(100.0, 100.0), overlap_mm=0.0)


@generated(50)
@given(st.floats(100.0, 2_000.0), st.floats(100.0, 2_000.0))
def test_a_larger_room_never_takes_more_sheets(first, second):
    small, large = sorted((first, second))
    assume(small > 13.0)
    box = Box(0.0, 0.0, 1_900.0, 900.0)
    count = [len(tiled(box, room_mm=(room, room), overlap_mm=12.0).tiles) for room in (small, large)]
    assert count[0] >= count[1]
