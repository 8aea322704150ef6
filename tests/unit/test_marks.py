"""What is drawn on both ends: distances from the pith, checked by turning them back."""

import numpy as np
import pytest
import shapely
from hypothesis import given

from pithline.fit import Timber, place
from pithline.logs import rotation, section_at
from pithline.setup import end_marks, framed
from strategies import generated, logs_and_timbers, rolls, round_log


@generated(40)
@given(logs_and_timbers(), rolls)
def test_lines_drawn_on_the_turned_log_and_turned_back_are_the_placed_timber(pair, roll):
    log, timber = pair
    placed = place(log, timber, roll=roll, against_best=False)
    ends = ((0.0, placed.corners_butt_mm), (log.length_mm, placed.corners_tip_mm))
    for marks, (z, corners) in zip(end_marks(placed), ends, strict=True):
        pith = section_at(log, z).pith_mm
        back = marks.corners_mm @ rotation(-placed.roll_deg).T + pith
        assert back == pytest.approx(corners, abs=1e-6)
        # The four lines are level and plumb, and as far apart as the timber is laid out.
        assert marks.up_mm + marks.down_mm == pytest.approx(timber.cut_thickness_mm)
        assert marks.left_mm + marks.right_mm == pytest.approx(timber.cut_width_mm)
        assert marks.corners_mm == pytest.approx(
            np.array(
                [
                    [-marks.left_mm, -marks.down_mm],
                    [marks.right_mm, -marks.down_mm],
                    [marks.right_mm, marks.up_mm],
                    [-marks.left_mm, marks.up_mm],
                ]
            )
        )
        assert marks.center_mm == pytest.approx(marks.corners_mm.mean(axis=0), abs=1e-9)
        # And they lie in the wood that is drawn around them as far as the timber is clear of bark.
        wood = shapely.Polygon(marks.outline_mm)
        if placed.fits and timber.wane_mm == 0.0:
            assert wood.buffer(1e-6).covers(shapely.Polygon(marks.corners_mm))


@generated(40)
@given(logs_and_timbers(), rolls)
def test_an_end_is_as_wide_through_the_pith_as_shapely_measures(pair, roll):
    placed = place(*pair, roll=roll, against_best=False)
    log = framed(placed)
    for marks, z in zip(end_marks(placed), (0.0, log.length_mm), strict=True):
        section = section_at(log, z)
        wood = shapely.Polygon(section.outline(2_000) - section.pith_mm)
        lines = (
            shapely.LineString([(-2_000.0, 0.0), (2_000.0, 0.0)]),
            shapely.LineString([(0.0, -2_000.0), (0.0, 2_000.0)]),
        )
        for line, across in zip(lines, marks.across_mm, strict=True):
            assert wood.intersection(line).length == pytest.approx(across, abs=0.01)


def test_marks_of_a_round_log_with_its_pith_off_center_by_hand():
    log = round_log(400.0, 3_000.0, tip_mm=360.0, butt_pith_mm=40.0, butt_pith_clock=3.0)
    timber = Timber(100.0, 160.0, allowance_mm=5.0)
    # Just as wide as leaves no choice: the center line is the log's own axis.
    placed = place(log, timber, roll=0.0)
    butt, tip = end_marks(placed)
    x, y = placed.center_butt_mm
    assert (butt.end, tip.end) == ("butt", "tip")
    assert butt.up_mm == pytest.approx(55.0 + y)
    assert butt.down_mm == pytest.approx(55.0 - y)
    # The pith lies 40 right of the center, so the right line is so much nearer to it.
    assert butt.right_mm == pytest.approx(85.0 + x - 40.0)
    assert butt.left_mm == pytest.approx(85.0 - x + 40.0)
    # Plumb through a pith 40 off the center of a radius of 200: 2 sqrt(200^2 - 40^2).
    assert butt.across_mm == pytest.approx((400.0, 391.918), abs=1e-3)
    assert tip.across_mm == pytest.approx((360.0, 360.0))


def test_lines_of_a_shorter_timber_run_on_to_both_ends():
    log = round_log(400.0, 6_000.0, tip_mm=300.0, crown_mm=60.0, crown_clock=10.0)
    placed = place(log, Timber(120.0, 150.0, length_mm=4_000.0), roll=0.0)
    butt, tip = end_marks(placed)
    rise = (placed.center_tip_mm - placed.center_butt_mm) / 4_000.0
    expected = placed.center_butt_mm - rise * placed.start_mm
    assert butt.center_mm == pytest.approx(expected - log.pith_mm[0])
    expected = placed.center_tip_mm + rise * (6_000.0 - placed.end_mm)
    assert tip.center_mm == pytest.approx(expected - log.pith_mm[-1])
