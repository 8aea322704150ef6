"""How high the first face may lie: against the rail that is stood there, or cannot be."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import CROOKED, frame_of, task_of
from pithline.errors import KitError
from pithline.patterns import PriceList
from pithline.patterns.opening import rail_range
from pithline.setup import stand_rail
from strategies import INCH, KIT, altered, generated, round_log


def between(task, solid):
    low, high = rail_range(solid.center_mm, solid.shape_mm @ solid.shape_mm, task=task)
    return float(low), float(high)


def test_a_round_log_by_hand():
    # Inside bark, 420 mm thick all along.
    log = round_log(420.0, 3_000.0)
    low, high = between(task_of(log, PriceList()), log)
    # The rail rides over the top; from there the mill goes down by 13 in less the rail and more the kerf, in
    # whole inches 10.
    assert low == pytest.approx(210.0 - 10 * INCH)
    # A base of 5 1/2 in stands at least with half its width.
    assert high == pytest.approx(math.sqrt(210.0**2 - (0.25 * 5.5 * INCH) ** 2))


def test_bark_lifts_the_rail_and_a_board_lets_a_flat_go_deeper():
    task = task_of(CROOKED)
    bare = task_of(CROOKED, PriceList())
    solid = frame_of(CROOKED).solid
    assert between(task, solid)[0] == between(bare, solid)[0]
    # The thinnest board is 1 in, and a kerf comes off with it.
    assert between(task, solid)[1] == pytest.approx(between(bare, solid)[1] + 1.375 * INCH)


def test_a_mill_that_reaches_no_face_under_the_shortest_bearer_opens_nothing():
    # Of 8 in the rail takes 3 1/8 in, which leaves 5 1/4 in with the kerf: in whole inches 5, and a bearer of
    # 5 in and a kerf is more.
    low, high = between(task_of(CROOKED, kit=altered(KIT, "mill", setting_max_mm=8 * INCH)), frame_of(CROOKED).solid)
    assert low > high


@generated(60)
@given(st.floats(-180.0, 180.0), st.floats(-0.4, 0.98))
def test_where_a_rail_is_stood_its_face_lies_in_the_range(roll, share):
    task = task_of(CROOKED, PriceList())
    frame = frame_of(CROOKED, roll=roll)
    low, high = between(task, frame.solid)
    face = share * 0.5 * 391.0
    try:
        stand = stand_rail(KIT, frame.solid, line_mm=face, within_mm=None, ends_mm=(0.0, frame.length_mm))
    except KitError:
        return
    assert stand.line_mm == face
    # Five plumb lines at the stations find about what the rail and its flats do; a crest between them is less
    # than this higher, and a flat between two stations so much lower.
    assert low - 1.0 <= face <= high + 1.0
