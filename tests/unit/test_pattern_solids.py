"""Volumes between cuts: against shapely's areas, and by adding parts up."""

import itertools
import math

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import frames
from pithline.logs import section_at, turned
from pithline.patterns.solids import slice_mm3, window_mm3
from strategies import generated, round_log

POLYGON = 3e-5
"""Share of an ellipse's area that a polygon of 720 sides lacks, and a little."""

SIMPSON = 4e-3
"""Share of a part's volume by which heights added up by Simpson's rule may be off where a window meets bark."""

levels = st.floats(-400.0, 400.0)


def volume_in(frame, box):
    """Volume within a box along the log, by shapely's areas at the stations and Simpson's rule between them."""
    z = frame.solid.z_mm
    total = 0.0
    for start, end in itertools.pairwise(z):
        ends = [shapely.Polygon(section_at(frame.solid, at).outline(720)) for at in (start, 0.5 * (start + end), end)]
        areas = [section.intersection(box).area for section in ends]
        total += (areas[0] + 4.0 * areas[1] + areas[2]) * (end - start) / 6.0
    return total


def whole(frame):
    return frame.solid.volume_mm3()


@generated(25)
@given(frames(), levels, levels)
def test_a_slice_has_the_volume_that_shapely_measures(frame, one, other):
    low, high = min(one, other), max(one, other)
    box = shapely.box(-2_000.0, low, 2_000.0, high)
    assert slice_mm3(frame.solid, (low, high)) == pytest.approx(volume_in(frame, box), abs=POLYGON * whole(frame))


@generated(25)
@given(frames(), levels, levels)
def test_slices_add_up_to_the_log(frame, one, other):
    solid = frame.solid
    low, high = min(one, other), max(one, other)
    parts = [slice_mm3(solid, ends) for ends in ((-math.inf, low), (low, high), (high, math.inf))]
    assert min(parts) >= 0.0
    assert math.fsum(parts) == pytest.approx(solid.volume_mm3(), rel=1e-9)


@generated(15)
@given(frames(), levels, st.floats(0.0, 90.0))
def test_a_log_upside_down_has_the_same_slices(frame, low, thick):
    other = turned(frame.solid, 180.0)
    ours = slice_mm3(frame.solid, (low, low + thick))
    assert slice_mm3(other, (-low - thick, -low)) == pytest.approx(ours, abs=1e-6 * whole(frame))


def test_a_slice_of_a_cylinder_by_hand():
    log = round_log(500.0, 2_400.0)
    # Between the middle and half the radius: a right triangle on either side, and a sector of 30 degrees.
    area = 250.0**2 * (2.0 * 0.5 * 0.5 * math.sqrt(0.75) + 2.0 * math.pi / 12.0)
    assert slice_mm3(log, (0.0, 125.0)) == pytest.approx(area * 2_400.0, rel=1e-9)
    assert slice_mm3(log, (250.0, 900.0)) == pytest.approx(0.0, abs=1e-6)
    assert slice_mm3(log, (31.0, 31.0)) == 0.0


@generated(25)
@given(frames(), st.tuples(levels, levels), st.floats(-300.0, 200.0), st.floats(4.0, 260.0))
def test_a_window_has_the_volume_that_shapely_measures(frame, x, low, high):
    x, y = tuple(sorted(x)), (low, low + high)
    box = shapely.box(x[0], y[0], x[1], y[1])
    assert window_mm3(frame.solid, x_mm=x, y_mm=y) == pytest.approx(volume_in(frame, box), abs=SIMPSON * whole(frame))


@generated(15)
@given(frames(), levels, st.floats(5.0, 120.0))
def test_a_window_without_sides_is_a_slice(frame, low, thick):
    found = window_mm3(frame.solid, x_mm=(-math.inf, math.inf), y_mm=(low, low + thick))
    assert found == pytest.approx(slice_mm3(frame.solid, (low, low + thick)), abs=SIMPSON * whole(frame))


def test_a_window_deep_in_the_wood_is_a_box():
    log = round_log(500.0, 2_400.0, tip_mm=470.0)
    assert window_mm3(log, x_mm=(-31.0, 54.0), y_mm=(-97.0, 12.0)) == pytest.approx(85.0 * 109.0 * 2_400.0)
    assert window_mm3(log, x_mm=(260.0, 300.0), y_mm=(-97.0, 12.0)) == 0.0
