"""Blocks of one cant: sizes, counts, worths and minutes by hand, and every block against plain rules."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import BF_MM3
from pithline.fit import Timber
from pithline.patterns import PriceList, WantedTimber
from pithline.patterns.blocks import blocks_for, copies_in
from strategies import INCH, KIT, altered, generated

KERF = 0.375 * INCH

LONG = 3_700.0

FEED = 0.2e6
"""Of the kit of the tests [mm2/min]."""


def blocks(*timbers, length=LONG, kit=KIT, most=2_000.0):
    return blocks_for(PriceList(timbers), length, kit=kit, most_mm=most)


def heights(found):
    return sorted({round(block.up_mm, 6) for block in found})


def shapes(found):
    return sorted((block.columns, block.rows, round(block.across_mm, 6), round(block.up_mm, 6)) for block in found)


@pytest.mark.parametrize(
    ("length", "timber", "copies"),
    [
        (3_700.0, None, 1),
        (1_190.0, 1_190.0, 1),
        (1_189.6, 1_190.0, 1),
        (1_189.4, 1_190.0, 0),
        # Two and a kerf of 9 mm.
        (2_389.0, 1_190.0, 2),
        (2_388.4, 1_190.0, 1),
        (3_700.0, 1_190.0, 3),
        (90.0, 1_190.0, 0),
    ],
)
def test_a_stick_is_cut_into_so_many(length, timber, copies):
    assert copies_in(length, timber, kerf_mm=9.0) == copies


@generated(60)
@given(st.floats(100.0, 9_000.0), st.floats(100.0, 9_000.0), st.floats(2.0, 12.0))
def test_what_a_stick_is_cut_into_fits_it_and_one_more_does_not(length, timber, kerf):
    number = copies_in(length, timber, kerf_mm=kerf)
    assert number * timber + (number - 1) * kerf <= length + 0.5 + 1e-6
    assert (number + 1) * timber + number * kerf > length + 0.5 - 1e-6


def test_one_timber_lies_either_way_by_hand():
    beam = WantedTimber("beam", Timber(120.0, 190.0, allowance_mm=3.0, wane_mm=8.0), count=1, value_bf=1.7)
    flat, upright = blocks(beam)
    assert (flat.across_mm, flat.up_mm) == (196.0, 126.0)
    assert (upright.across_mm, upright.up_mm) == (126.0, 196.0)
    for block in (flat, upright):
        assert (block.columns, block.rows, block.faces, block.wane_mm) == (1, 1, 4, 8.0)
        assert block.used == ((0, 1),)
        # Paid for its finished size over the whole part.
        assert block.value == pytest.approx(1.7 * 120.0 * 190.0 * LONG / BF_MM3)
        assert block.wood_mm3 == pytest.approx(126.0 * 196.0 * LONG)
        # Rolled, a rail stood, and two passes down its sides.
        assert block.minutes == pytest.approx(10.0 + 40.0 + 2.0 * (5.0 + block.up_mm * LONG / FEED))


def test_a_row_by_hand():
    post = WantedTimber("post", Timber(90.0, 110.0, 1_800.0), count=7, value_bf=0.9)
    # 3,700 mm make two of 1,800 mm and a kerf; four sticks make the seven.
    found = {(block.columns, block.rows, block.cells[0].across_mm): block for block in blocks(post)}
    row = found[3, 1, 110.0]
    assert (row.across_mm, row.up_mm) == pytest.approx((3 * 110.0 + 2 * KERF, 90.0))
    assert [cell.left_mm for cell in row.cells] == pytest.approx([0.0, 110.0 + KERF, 220.0 + 2 * KERF])
    assert row.used == ((0, 6),)
    assert row.value == pytest.approx(6 * 0.9 * 90.0 * 110.0 * 1_800.0 / BF_MM3)
    # Four passes down its sides and between; each of three sticks is cut after both its timbers.
    assert row.minutes == pytest.approx(50.0 + 4.0 * (5.0 + 90.0 * LONG / FEED) + 6.0 * 5.0)
    # Of four sticks one timber is too many, and no five are wanted.
    assert found[4, 1, 90.0].used == ((0, 7),)
    assert max(columns * rows for columns, rows, _ in found) == 4


@pytest.mark.parametrize(
    ("long", "copies", "crosscuts"),
    [
        # As long as the part, or up to 1 mm shorter, it is not cut across; trimmed shorter it is, once.
        (None, 1, 0),
        (LONG, 1, 0),
        (LONG + 0.4, 1, 0),
        (LONG - 0.9, 1, 0),
        (LONG - 1.1, 1, 1),
        (2_500.0, 1, 1),
        # Three with two kerfs between them end where the part does, or fall short of it.
        ((LONG - 2 * KERF) / 3.0, 3, 2),
        ((LONG - 2 * KERF - 2.0) / 3.0, 3, 3),
    ],
)
def test_crosscuts_of_a_stick_are_counted_in_its_minutes(long, copies, crosscuts):
    post = WantedTimber("post", Timber(90.0, 110.0, long), value_bf=0.9)
    found = [block for block in blocks(post) if block.columns * block.rows == 1]
    assert sorted(block.up_mm for block in found) == [90.0, 110.0]
    for block in found:
        assert block.used == ((0, copies),)
        assert block.minutes == pytest.approx(50.0 + 2.0 * (5.0 + block.up_mm * LONG / FEED) + 5.0 * crosscuts)


def test_a_grid_by_hand():
    post = WantedTimber("post", Timber(70.0, 95.0), count=6, value_bf=0.9)
    grid = next(one for one in blocks(post) if (one.columns, one.rows) == (2, 3) and one.cells[0].across_mm == 95.0)
    assert (grid.across_mm, grid.up_mm) == pytest.approx((190.0 + KERF, 210.0 + 2 * KERF))
    assert [cell.left_mm for cell in grid.cells] == pytest.approx([0.0, 95.0 + KERF] * 3)
    lows = [0.0, 70.0 + KERF, 140.0 + 2 * KERF]
    assert [cell.low_mm for cell in grid.cells] == pytest.approx([low for low in lows for _ in range(2)])
    # Three passes down the cant, then each column is rolled flat and parted by two passes.
    upright = 3.0 * (5.0 + (210.0 + 2 * KERF) * LONG / FEED)
    level = 4.0 * (5.0 + 95.0 * LONG / FEED)
    assert grid.minutes == pytest.approx(50.0 + upright + 2 * 10.0 + level)
    assert grid.used == ((0, 6),)


def test_pairs_of_two_kinds_are_equally_thick():
    plate = WantedTimber("plate", Timber(150.0, 200.0, heart="boxed"), count=1)
    tie = WantedTimber("tie", Timber(110.0, 150.0, heart="free"), count=1)
    found = blocks(plate, tie)
    pairs = [block for block in found if len(block.cells) == 2]
    # 150 mm high lie the plate flat and the tie on edge, either one left.
    assert sorted([cell.kind for cell in block.cells] for block in pairs) == [[0, 1], [1, 0]]
    for pair in pairs:
        assert (pair.up_mm, pair.across_mm) == pytest.approx((150.0, 200.0 + KERF + 110.0))
        assert pair.used == ((0, 1), (1, 1))
        assert pair.cells[1].left_mm == pytest.approx(pair.cells[0].across_mm + KERF)
    same = WantedTimber("other", Timber(110.0, 150.0), count=1)
    again = WantedTimber("again", Timber(110.0, 150.0), count=1)
    # Where it makes no difference, one order is enough: once flat, once on edge.
    assert len([block for block in blocks(same, again) if len(block.cells) == 2]) == 2


@pytest.mark.parametrize(("faces", "upright"), [(2, 0), (3, 1)])
def test_timbers_of_two_and_three_faces_lie_one_way_alone(faces, upright):
    girt = WantedTimber("girt", Timber(120.0, 190.0, sawn_faces=faces, allowance_mm=4.0), value_bf=0.9)
    (block,) = blocks(girt)
    assert (block.up_mm, block.faces) == (128.0, faces)
    assert block.across_mm == {2: 190.0, 3: 194.0}[faces]
    passes = upright * (5.0 + 128.0 * LONG / FEED)
    assert block.minutes == pytest.approx(passes + (50.0 if upright else 0.0))


def test_a_square_timber_lies_one_way():
    assert shapes(blocks(WantedTimber("post", Timber(140.0, 140.0), count=1))) == [(1, 1, 140.0, 140.0)]


def test_what_is_too_long_or_too_large_makes_no_block():
    beam = WantedTimber("beam", Timber(120.0, 190.0, 3_702.0), count=1)
    assert blocks(beam) == []
    assert len(blocks(beam, length=3_701.6)) == 2
    wide = WantedTimber("wide", Timber(120.0, 190.0), count=1)
    assert len(blocks(wide, most=math.hypot(120.0, 190.0) + 1e-9)) == 2
    assert blocks(wide, most=math.hypot(120.0, 190.0) - 1e-6) == []
    waned = WantedTimber("waned", Timber(120.0, 190.0, wane_mm=10.0), count=1)
    assert len(blocks(waned, most=math.hypot(100.0, 170.0) + 1e-9)) == 2


@pytest.mark.parametrize(
    ("changes", "left"),
    [
        # Set for the sizes of a timber of 120 x 190 mm, which lies flat or on edge.
        ({"setting_max_mm": 189.0}, []),
        ({"setting_max_mm": 190.0}, [120.0, 190.0]),
        ({"setting_min_mm": 121.0}, []),
        ({"cut_width_mm": 150.0}, [120.0]),
    ],
)
def test_a_mill_that_cannot_be_set_for_it_makes_no_block(changes, left):
    beam = WantedTimber("beam", Timber(120.0, 190.0), count=1)
    found = blocks(beam, kit=altered(KIT, "mill", **changes))
    assert heights(found) == left


def test_a_cant_too_slender_to_stand_on_edge_is_no_block():
    joist = WantedTimber("joist", Timber(60.0, 250.0), count=1)
    # Up to 4 times as wide as it is high it stands on edge: 250 of 60 does not.
    assert heights(blocks(joist)) == [250.0]
    assert heights(blocks(joist, kit=altered(KIT, "work", slender=4.2))) == [60.0, 250.0]


@st.composite
def lists(draw):
    count = draw(st.integers(1, 3))
    return PriceList(
        tuple(
            WantedTimber(
                f"timber {k}",
                Timber(
                    draw(st.sampled_from([60.0, 75.0, 110.0])),
                    draw(st.sampled_from([75.0, 110.0, 163.0])),
                    draw(st.none() | st.floats(500.0, 4_000.0)),
                    sawn_faces=draw(st.sampled_from([2, 3, 4, 4])),
                    wane_mm=draw(st.sampled_from([0.0, 7.0])),
                ),
                count=draw(st.none() | st.integers(1, 9)),
            )
            for k in range(count)
        )
    )


@generated(40)
@given(lists(), st.floats(250.0, 500.0))
def test_sticks_of_a_block_lie_a_kerf_apart_and_fill_it(prices, most):
    for block in blocks_for(prices, LONG, kit=KIT, most_mm=most):
        assert len(block.cells) == block.columns * block.rows
        assert max(cell.left_mm + cell.across_mm for cell in block.cells) == pytest.approx(block.across_mm)
        assert max(cell.low_mm + cell.up_mm for cell in block.cells) == pytest.approx(block.up_mm)
        for number, cell in enumerate(block.cells):
            timber = prices.timbers[cell.kind].timber
            sizes = sorted((timber.cut_thickness_mm, timber.cut_width_mm))
            assert sorted((cell.across_mm, cell.up_mm)) == pytest.approx(sizes)
            for other in block.cells[number + 1 :]:
                across = max(cell.left_mm, other.left_mm) - min(
                    cell.left_mm + cell.across_mm, other.left_mm + other.across_mm
                )
                up = max(cell.low_mm, other.low_mm) - min(cell.low_mm + cell.up_mm, other.low_mm + other.up_mm)
                assert max(across, up) >= KERF - 1e-6
        for kind, number in block.used:
            item = prices.timbers[kind]
            assert item.count is None or number <= item.count
            sticks = sum(cell.kind == kind for cell in block.cells)
            assert number <= sticks * copies_in(LONG, item.timber.length_mm, kerf_mm=KERF)
            # No stick more than is needed.
            assert item.count is None or number > (sticks - 1) * copies_in(LONG, item.timber.length_mm, kerf_mm=KERF)


def test_no_crosscut_is_reckoned_for_timbers_that_are_not_wanted():
    # Three posts would come of a stick, one is wanted: it is cut off once.
    post = WantedTimber("post", Timber(90.0, 110.0, 1_200.0), count=1)
    single = next(block for block in blocks(post) if len(block.cells) == 1)
    assert single.used == ((0, 1),)
    assert single.minutes == pytest.approx(50.0 + 2.0 * (5.0 + single.up_mm * LONG / FEED) + 5.0)
