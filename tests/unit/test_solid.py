"""The solid of a log: sections, turning, volume, and lines through its ends."""

import dataclasses
import math

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import assume, given
from hypothesis import strategies as st

from pithline.errors import OutOfRangeError
from pithline.logs import (
    FACES,
    Section,
    chords,
    clock_of,
    direction_of,
    on_the_clock,
    polygons,
    rotation,
    section_at,
    shape_matrix,
    solid_from_slices,
    turned,
)
from strategies import clocks, generated, outline_at, rolls, round_log, slice_logs, solids

INSCRIBED = FACES / (2.0 * math.pi) * math.sin(2.0 * math.pi / FACES)
"""Area of a polygon of 72 sides over the area of the circle, or ellipse, around it."""


def mesh_of(log):
    """The log as a closed mesh: its outlines joined, its ends fanned from their centers."""
    outlines = log.outlines()
    count = len(outlines)
    flat = outlines.reshape(-1, 2)
    points = np.column_stack([flat, np.repeat(log.z_mm, FACES)])
    centers = np.column_stack([log.center_mm[[0, -1]], log.z_mm[[0, -1]]])
    k = np.arange(FACES)
    after = (k + 1) % FACES
    faces = []
    for i in range(count - 1):
        here, there = i * FACES, (i + 1) * FACES
        faces += [np.column_stack([here + k, here + after, there + after])]
        faces += [np.column_stack([here + k, there + after, there + k])]
    butt, tip = len(points), len(points) + 1
    last = (count - 1) * FACES
    faces += [np.column_stack([np.full(FACES, butt), after, k])]
    faces += [np.column_stack([np.full(FACES, tip), last + k, last + after])]
    return trimesh.Trimesh(np.concatenate([points, centers]), np.concatenate(faces), process=False)


@generated(25)
@given(solids())
def test_volume_is_that_of_its_mesh(log):
    mesh = mesh_of(log)
    assert mesh.is_watertight
    # The mesh splits the curved strips between two oval outlines into flat triangles, which
    # tells only where the outline changes its shape; round or oval, it is under this share.
    assert log.volume_mm3() * INSCRIBED == pytest.approx(mesh.volume, rel=2e-5)


@generated(25)
@given(slice_logs())
def test_volume_of_a_scanned_log_is_that_of_its_mesh(log):
    solid = solid_from_slices(log)
    # Slices whose oval turns between two stations twist the strips of the mesh.
    assert solid.volume_mm3() * INSCRIBED == pytest.approx(mesh_of(solid).volume, rel=2e-3)


@generated(60)
@given(solids(), rolls)
def test_turning_keeps_everything_but_the_position(log, roll):
    there = turned(log, roll)
    back = turned(there, -roll)
    assert there.volume_mm3() == pytest.approx(log.volume_mm3(), rel=1e-12)
    assert back.center_mm == pytest.approx(log.center_mm, abs=1e-9)
    assert back.shape_mm == pytest.approx(log.shape_mm, abs=1e-9)
    assert back.pith_mm == pytest.approx(log.pith_mm, abs=1e-9)
    for before, after in ((log.center_mm, there.center_mm), (log.pith_mm, there.pith_mm)):
        assert np.hypot(*after.T) == pytest.approx(np.hypot(*before.T), abs=1e-9)
    assert np.linalg.eigvalsh(there.shape_mm) == pytest.approx(np.linalg.eigvalsh(log.shape_mm))
    if log.crown_clock is None:
        assert there.crown_clock is None
    else:
        hours = (there.crown_clock - log.crown_clock - roll / 30.0) % 12.0
        assert min(hours, 12.0 - hours) == pytest.approx(0.0, abs=1e-9)


@generated(60)
@given(clocks, rolls)
def test_a_roll_moves_the_clock_by_an_hour_every_thirty_degrees_clockwise(clock, roll):
    moved = rotation(roll) @ direction_of(clock)
    assert moved == pytest.approx(direction_of(clock + roll / 30.0), abs=1e-12)
    read = clock_of(37.0 * direction_of(clock))
    assert 1.0 <= read < 13.0
    # One o'clock may be read a hair under thirteen.
    assert min(abs(read - clock), 12.0 - abs(read - clock)) == pytest.approx(0.0, abs=1e-9)


def test_the_clock_is_seen_from_the_butt():
    assert direction_of(12.0) == pytest.approx([0.0, 1.0])
    assert direction_of(3.0) == pytest.approx([1.0, 0.0])
    assert direction_of(7.0) == pytest.approx([-0.5, -math.sqrt(0.75)])
    assert [on_the_clock(hours) for hours in (0.0, 0.5, 1.0, 12.5, 13.0, -3.0, 1.0 - 1e-16)] == [
        12.0,
        12.5,
        1.0,
        12.5,
        1.0,
        9.0,
        1.0,
    ]
    # A quarter turn clockwise brings what was up to the right.
    assert rotation(90.0) @ [0.0, 1.0] == pytest.approx([1.0, 0.0])


@generated(60)
@given(st.floats(60.0, 900.0), st.floats(60.0, 900.0), st.floats(-180.0, 180.0))
def test_a_shape_is_an_ellipse_of_the_axes_given(first, second, angle):
    shape = shape_matrix(np.array([first]), np.array([second]), angle_deg=np.array([angle]))[0]
    axes = np.linalg.eigvalsh(shape)
    assert axes == pytest.approx(sorted([0.5 * first, 0.5 * second]))
    along = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
    assert shape @ along == pytest.approx(0.5 * first * along)


@st.composite
def sections(draw):
    shape = shape_matrix(
        np.array([draw(st.floats(100.0, 700.0))]),
        np.array([draw(st.floats(100.0, 700.0))]),
        angle_deg=np.array([draw(st.floats(-180.0, 180.0))]),
    )[0]
    center = np.array([draw(st.floats(-90.0, 90.0)), draw(st.floats(-90.0, 90.0))])
    return Section(1234.0, center, shape, center + np.array([7.0, -4.0]))


@generated(60)
@given(sections(), st.floats(-400.0, 400.0))
def test_heights_on_a_plumb_line_are_where_shapely_finds_them(section, x):
    ring = shapely.Polygon(section.outline(2_000))
    line = shapely.LineString([(x, -2_000.0), (x, 2_000.0)])
    cut = ring.intersection(line)
    heights = section.heights_at(x)
    assume(cut.is_empty or cut.length > 5.0)
    if cut.is_empty:
        # The polygon of 2,000 sides is narrower than the ellipse by a hair.
        assert heights is None or heights[1] - heights[0] < 5.0
    else:
        _, low, _, high = cut.bounds
        # A chord near the edge of the section feels the flat sides of the polygon most.
        assert heights == pytest.approx((low, high), abs=0.2)


@generated(60)
@given(sections(), st.floats(-360.0, 360.0))
def test_reach_is_the_farthest_point_of_the_outline(section, degrees):
    direction = np.array([math.cos(math.radians(degrees)), math.sin(math.radians(degrees))])
    farthest = float((section.outline(20_000) @ direction).max())
    assert section.reach(direction) == pytest.approx(farthest, abs=1e-3)


@generated(40)
@given(sections(), st.floats(-80.0, 80.0))
def test_level_chords_are_plumb_chords_of_the_log_turned_by_a_quarter(section, y):
    turn = rotation(90.0)
    middle, half = chords(section.center_mm[None], section.shape_mm[None], at_mm=y, axis=1)
    again, same = chords((turn @ section.center_mm)[None], (turn @ section.shape_mm @ turn.T)[None], at_mm=y, axis=0)
    # What lies right goes down.
    assert again[0] == pytest.approx(-middle[0], abs=1e-9)
    assert same[0] == pytest.approx(half[0], abs=1e-9)


def test_a_line_past_the_section_has_no_heights_and_one_that_touches_has_one():
    section = section_at(round_log(400.0, 2_000.0), 700.0)
    assert section.heights_at(200.01) is None
    assert section.heights_at(-200.0) == pytest.approx((0.0, 0.0), abs=1e-5)
    assert section.heights_at(120.0) == pytest.approx((-160.0, 160.0))


@generated(40)
@given(solids(), st.floats(0.0, 1.0))
def test_a_section_anywhere_lies_straight_between_its_neighbors(log, share):
    z = share * log.length_mm
    section = section_at(log, z)
    assert section.outline() == pytest.approx(outline_at(log, z), abs=1e-9)
    for values, here in ((log.center_mm, section.center_mm), (log.pith_mm, section.pith_mm)):
        between = [np.interp(z, log.z_mm, column) for column in values.T]
        assert here == pytest.approx(between, abs=1e-9)


@pytest.mark.parametrize("z", [-1.0, 2_001.0])
def test_there_is_no_section_beyond_the_log(z):
    with pytest.raises(OutOfRangeError, match=r"outside the log, 0 to 2000 mm"):
        section_at(round_log(300.0, 2_000.0), z)


@generated(30)
@given(solids())
def test_outlines_are_convex_counterclockwise_and_inside_their_ellipses(log):
    outlines = log.outlines()
    edge = np.roll(outlines, -1, axis=1) - outlines
    nextedge = np.roll(edge, -1, axis=1)
    turn = edge[..., 0] * nextedge[..., 1] - edge[..., 1] * nextedge[..., 0]
    assert turn.min() > 0.0
    middle = 0.5 * (np.roll(outlines, -1, axis=1) + outlines) - log.center_mm[:, None, :]
    inside = np.linalg.norm(np.linalg.solve(log.shape_mm[:, None], middle[..., None])[..., 0], axis=-1)
    # Within 0.1 % of the radius, as the design says.
    assert inside == pytest.approx(math.cos(math.pi / FACES), rel=1e-9)
    assert 1.0 - math.cos(math.pi / FACES) < 0.001
    assert outlines == pytest.approx(polygons(log.center_mm, log.shape_mm))


def test_a_solid_cannot_be_changed_by_accident():
    log = round_log(300.0, 2_000.0)
    with pytest.raises(ValueError, match="read-only"):
        log.center_mm[0, 0] = 1.0
    with pytest.raises(dataclasses.FrozenInstanceError):
        log.tag = "other"


def test_diameter_is_the_mean_of_the_two_axes():
    log = round_log(400.0, 3_000.0, tip_mm=310.0, butt_2_mm=380.0, tip_2_mm=300.0, oval_clock=1.7)
    assert log.diameter_mm(0) == pytest.approx(390.0)
    assert log.diameter_mm(-1) == pytest.approx(305.0)
