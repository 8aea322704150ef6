"""Limits of the wood at levels: against shapely's cuts of fine polygons, and at a touching line."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import CROOKED, frame_of, frames, section_of
from pithline.patterns.levels import INSCRIBED, NOWHERE_MM, STEP_MM, chord_limits, levels_of
from strategies import generated, round_log

FINE_MM = 0.01
"""How far the chord of a polygon of 1,440 sides differs from an ellipse's, away from its rim."""

NEAR_RIM = 0.97


def cut_at(section, level, axis):
    """Both ends of a line through a section, along the line."""
    ends = [(-5_000.0, level), (5_000.0, level)]
    line = shapely.LineString(ends if axis == 1 else [end[::-1] for end in ends])
    bounds = section.intersection(line).bounds
    return (bounds[0], bounds[2]) if axis == 1 else (bounds[1], bounds[3])


@generated(40)
@given(frames(), st.sampled_from([0, 1]), st.lists(st.floats(-NEAR_RIM, NEAR_RIM), min_size=1, max_size=4))
def test_limits_are_where_shapely_cuts_the_sections(frame, axis, shares):
    solid = frame.solid
    gram = solid.shape_mm @ solid.shape_mm
    for station in (0, len(solid.z_mm) // 2, -1):
        section = section_of(solid, station)
        reach = math.sqrt(gram[station, axis, axis])
        at = solid.center_mm[station, axis] + reach * np.array(shares)
        low, high = chord_limits(solid.center_mm, gram, at_mm=at, axis=axis)
        for k, level in enumerate(at):
            assert (low[station, k], high[station, k]) == pytest.approx(cut_at(section, level, axis), abs=FINE_MM)


@generated(20)
@given(frames(), st.sampled_from([0, 1]), st.floats(1e-6, 900.0), st.sampled_from([-1.0, 1.0]))
def test_a_line_beside_a_section_finds_no_wood(frame, axis, beyond, side):
    solid = frame.solid
    gram = solid.shape_mm @ solid.shape_mm
    reach = np.sqrt(gram[:, axis, axis])
    at = np.array([float((side * solid.center_mm[:, axis] + reach).max()) + beyond]) * side
    low, high = chord_limits(solid.center_mm, gram, at_mm=at, axis=axis)
    assert (low == NOWHERE_MM).all()
    assert (high == -NOWHERE_MM).all()
    assert (levels_of(solid, at, axis=axis, share=1.0).width_mm == 0.0).all()


def test_a_touching_line_has_no_width_by_hand():
    log = round_log(420.0, 1_700.0, tip_mm=400.0)
    found = levels_of(log, np.array([-210.0, -200.0, 0.0, 126.0, 210.0]), axis=1, share=1.0)
    # 210 is the butt's radius and 126 / 210 = 0.6, so that half the chord is 0.8 of it.
    assert found.low_mm[0] == pytest.approx([0.0, -math.sqrt(210.0**2 - 200.0**2), -210.0, -168.0, 0.0], abs=1e-9)
    assert found.width_mm[0] == pytest.approx([0.0, 2.0 * math.sqrt(4_100.0), 420.0, 336.0, 0.0], abs=1e-9)
    # At the tip the lines through the butt's rim pass beside the wood, and one touches.
    assert found.width_mm[-1, [0, 4]].tolist() == [0.0, 0.0]
    assert found.width_mm[-1, 1] == pytest.approx(0.0, abs=1e-4)
    assert found.width_mm[-1, 2] == pytest.approx(400.0)


@generated(25)
@given(frames(), st.sampled_from([0, 1]), st.floats(-0.999, 0.999))
def test_limits_lie_in_the_polygons_that_a_timber_is_fitted_in(frame, axis, share):
    solid = frame.solid
    reach = np.sqrt((solid.shape_mm @ solid.shape_mm)[:, axis, axis])
    outlines = solid.outlines()
    for station in (0, len(solid.z_mm) - 1):
        level = solid.center_mm[station, axis] + INSCRIBED * share * reach[station]
        found = levels_of(solid, np.array([level]), axis=axis)
        polygon = shapely.Polygon(outlines[station]).buffer(1e-6)
        for limit in (found.low_mm[station, 0], found.high_mm[station, 0]):
            assert polygon.covers(shapely.Point((limit, level) if axis == 1 else (level, limit)))


def test_levels_tell_their_stations_and_step():
    solid = frame_of(CROOKED).solid
    one = levels_of(solid, np.array([12.5]), axis=0)
    some = levels_of(solid, np.array([-7.0, -2.5, 2.0]), axis=0)
    assert (one.step_mm, some.step_mm) == (STEP_MM, 4.5)
    assert one.low_mm.shape == (len(solid.z_mm), 1)
    assert (some.z_mm == solid.z_mm).all()


@generated(15)
@given(frames(), st.floats(-180.0, 180.0))
def test_logs_are_cut_together_as_they_are_cut_alone(frame, level):
    solid = frame.solid
    gram = solid.shape_mm @ solid.shape_mm
    shift = np.array([[[0.0, 0.0]], [[13.0, -41.0]]])
    together = chord_limits(solid.center_mm + shift, np.stack([gram, 1.1 * gram]), at_mm=np.array([level]), axis=1)
    for k, factor in enumerate((1.0, 1.1)):
        alone = chord_limits(solid.center_mm + shift[k], factor * gram, at_mm=np.array([level]), axis=1)
        assert (together[0][k] == alone[0]).all()
        assert (together[1][k] == alone[1]).all()
