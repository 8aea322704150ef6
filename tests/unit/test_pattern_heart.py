"""Where a block may lie: pushed against its limits under shapely's eyes, and against plain rules for the pith."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from pattern_cases import frames, sections_of, waned
from pithline.fit import Timber
from pithline.patterns.blocks import Block, Cell
from pithline.patterns.heart import block_limits, heart_rules, places_for
from pithline.patterns.levels import levels_of
from strategies import generated

HAIR = 1e-6

SEEN_MM = 0.01
"""What a polygon of 1,440 sides loses of an ellipse, more where a level line meets it at a slant."""


def block_of(*cells, wane=0.0):
    """A block of given cells, of which only its place matters."""
    across = max(cell.left_mm + cell.across_mm for cell in cells)
    up = max(cell.low_mm + cell.up_mm for cell in cells)
    return Block(
        cells=cells,
        across_mm=across,
        up_mm=up,
        columns=len({cell.left_mm for cell in cells}),
        rows=len({cell.low_mm for cell in cells}),
        wane_mm=wane,
        faces=4,
        used=(),
        value=0.0,
        minutes=0.0,
        wood_mm3=0.0,
    )


@generated(60)
@given(frames(), st.floats(40.0, 190.0), st.floats(0.0, 0.3), st.floats(-0.9, 0.3))
def test_a_block_touches_bark_at_its_limits_and_nowhere_before(frame, up, share, where):
    wane = share * min(40.0, up)
    solid = frame.solid
    reach = np.sqrt((solid.shape_mm @ solid.shape_mm)[:, 1, 1])
    low = where * float(reach.min())
    rises = np.array([0.0, up, wane, up - wane])
    # Near the rim a millimeter across is next to nothing square to the bark.
    assume((np.abs(low + rises[:, None] - solid.center_mm[:, 1]) <= 0.98 * reach).all())
    found = levels_of(solid, low + rises, axis=1, share=1.0)
    lows, highs = found.low_mm.max(axis=0), found.high_mm.min(axis=0)
    left, right = (float(limit[0]) for limit in block_limits(lows[:, None], highs[:, None], wane_mm=wane))
    assume(right - left > 2.0 * wane + 1.0)
    sections = sections_of(solid, sides=1_440)

    def out(start, end):
        corners = waned(start, low, end - start, up, wane).exterior.coords
        return max(section.distance(shapely.Point(corner)) for section in sections for corner in corners)

    # As wide as the room it fills it; a millimeter wider it reaches out of the wood, to whichever side.
    assert out(left, right) <= SEEN_MM
    assert out(left - 1.0, right) > 0.1
    assert out(left, right + 1.0) > 0.1


def test_limits_of_a_waned_block_by_hand():
    # At its bottom the wood goes from -50 to 60, at its top from -40 to 70; where the wane of 12 ends, from
    # -58 to 63 and -55 to 66.
    low = np.array([[-50.0], [-40.0], [-58.0], [-55.0]])
    high = np.array([[60.0], [70.0], [63.0], [66.0]])
    left, right = block_limits(low, high, wane_mm=12.0)
    # The corner may hang over by 12 mm at bottom and top: -52 and 72; the ends of the wane may not: -55 and 63.
    assert (float(left[0]), float(right[0])) == (-52.0, 63.0)


def test_rules_of_a_pair_by_hand():
    timbers = [
        Timber(80.0, 120.0, heart="free", heart_margin_mm=5.0),
        Timber(80.0, 90.0, heart="boxed", heart_margin_mm=11.0),
        Timber(60.0, 90.0),
    ]
    pair = block_of(Cell(0, 0.0, 0.0, 120.0, 80.0), Cell(2, 129.0, 0.0, 60.0, 80.0), Cell(1, 198.0, 0.0, 90.0, 80.0))
    assert heart_rules(pair, timbers) == (
        (-5.0, 125.0, -5.0, 85.0, False),
        (209.0, 277.0, 11.0, 69.0, True),
    )


timbers_ruled = st.builds(
    Timber,
    thickness_mm=st.just(60.0),
    width_mm=st.just(90.0),
    heart=st.sampled_from(["any", "boxed", "free"]),
    heart_margin_mm=st.floats(0.0, 25.0),
)


@st.composite
def places(draw):
    """A row of up to three sticks, the room for it, and a pith that wanders."""
    timbers = [draw(timbers_ruled) for _ in range(draw(st.integers(1, 3)))]
    cells, left = [], 0.0
    for kind in range(len(timbers)):
        cells.append(Cell(kind, left, 0.0, 90.0, 60.0))
        left += 90.0 + draw(st.floats(5.0, 12.0))
    x, y = draw(st.floats(-120.0, 120.0)), draw(st.floats(-80.0, 80.0))
    pith = np.array([x, x + draw(st.floats(0.0, 30.0)), y, y + draw(st.floats(0.0, 20.0))])
    low = np.array([draw(st.floats(-300.0, -60.0)) for _ in range(3)])
    high = low + np.array([draw(st.floats(60.0, 600.0)) for _ in range(3)])
    levels = np.array([draw(st.floats(-120.0, 60.0)) for _ in range(3)])
    return block_of(*cells), timbers, (low, high), pith, levels


def keeps(block, timbers, left, level, pith):
    """Whether every stick at a place keeps its rule, the pith being a box that it wanders within."""
    for cell in block.cells:
        timber, m = timbers[cell.kind], timbers[cell.kind].heart_margin_mm
        x0, y0 = left + cell.left_mm, level + cell.low_mm
        x1, y1 = x0 + cell.across_mm, y0 + cell.up_mm
        # A hair is let pass on each side.
        if timber.heart == "boxed":
            rooms = (pith[0] - x0 - m, x1 - m - pith[1], pith[2] - y0 - m, y1 - m - pith[3])
            if min(rooms) < -HAIR:
                return False
        elif (
            timber.heart == "free"
            and min(pith[1] - x0 + m, x1 + m - pith[0], pith[3] - y0 + m, y1 + m - pith[2]) > HAIR
        ):
            return False
    return True


@generated(150)
@given(places())
def test_a_place_is_found_wherever_there_is_one_and_keeps_every_rule(made):
    block, timbers, (low, high), pith, levels = made
    rules = heart_rules(block, timbers)
    left, allowed = places_for(block, (low, high), rules=rules, pith_mm=pith, level_mm=levels)
    for k, level in enumerate(levels):
        room = high[k] - low[k] - block.across_mm
        for x in left[:, k][allowed[:, k]]:
            assert low[k] - HAIR <= x <= high[k] - block.across_mm + HAIR
            # A hair to one side or the other decides where a rule just holds.
            assert any(keeps(block, timbers, x + hair, level, pith) for hair in (0.0, -HAIR, HAIR))
        tried = low[k] + np.linspace(0.0, max(room, 0.0), 400)
        if room >= 0.0 and any(keeps(block, timbers, x, level, pith) for x in tried):
            assert allowed[:, k].any()
        if room < -HAIR:
            assert not allowed[:, k].any()


def test_a_boxed_heart_that_just_fits_by_hand():
    timbers = [Timber(60.0, 90.0, heart="boxed", heart_margin_mm=20.0)]
    block = block_of(Cell(0, 0.0, 0.0, 90.0, 60.0))
    pith = np.array([10.0, 60.0, -9.0, 11.0])
    room = (np.array([-200.0]), np.array([200.0]))
    rules = heart_rules(block, timbers)
    # 50 mm of wandering between margins of 20 mm in 90 mm: only at -10; and in 60 mm 20 mm of it, only at -29.
    left, allowed = places_for(block, room, rules=rules, pith_mm=pith, level_mm=np.array([-29.0]))
    assert left[allowed].tolist() == pytest.approx([-10.0, -10.0])
    for level in (-29.1, -28.9):
        assert not places_for(block, room, rules=rules, pith_mm=pith, level_mm=np.array([level]))[1].any()
    wider = pith + np.array([0.0, 0.1, 0.0, 0.0])
    assert not places_for(block, room, rules=rules, pith_mm=wider, level_mm=np.array([-29.0]))[1].any()
    assert math.isclose(float(left[0, 0]), -45.0)
