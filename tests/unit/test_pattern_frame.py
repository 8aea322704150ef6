"""A part about its center line: there and back, the line in the log, and the turns that are tried."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import CROOKED, frame_of, frames
from pithline.logs import direction_of, rotation, section_at, stretch
from pithline.patterns.frame import TURN_STEP_DEG, center_line, crown_turns, frame_on
from strategies import generated, round_log, solids

SMALL_MM = 1e-6


@generated(40)
@given(frames(), st.floats(0.0, 1.0), st.floats(-200.0, 200.0), st.floats(-200.0, 200.0))
def test_points_go_to_the_tallied_log_and_back(frame, share, x, y):
    z = share * frame.length_mm
    there = frame.as_tallied(np.array([[x, y], [0.0, 0.0]]), z)
    center = (1.0 - share) * frame.center_butt_mm + share * frame.center_tip_mm
    assert there[1] == pytest.approx(center, abs=SMALL_MM)
    # Turning clockwise again brings them back about the line.
    back = (there - center) @ rotation(frame.roll_deg).T
    assert back[0] == pytest.approx([x, y], abs=SMALL_MM)


@generated(40)
@given(frames())
def test_the_part_is_the_log_moved_and_turned(frame):
    log, solid = frame.log, frame.solid
    assert frame.length_mm == pytest.approx(frame.end_mm - frame.start_mm)
    assert (solid.z_mm[0], solid.z_mm[-1]) == pytest.approx((0.0, frame.length_mm))
    assert solid.volume_mm3() == pytest.approx(stretch(log, frame.start_mm, end_mm=frame.end_mm).volume_mm3())
    for station in range(len(solid.z_mm)):
        z = float(solid.z_mm[station])
        whole = section_at(log, frame.start_mm + z)
        # Section and pith lie where they did, once they are brought back.
        moved = frame.as_tallied(np.stack([solid.center_mm[station], solid.pith_mm[station]]), z)
        assert moved[0] == pytest.approx(whole.center_mm, abs=SMALL_MM)
        assert moved[1] == pytest.approx(whole.pith_mm, abs=SMALL_MM)
        back = rotation(-frame.roll_deg)
        assert back @ solid.shape_mm[station] @ back.T == pytest.approx(whole.shape_mm, abs=SMALL_MM)


@generated(40)
@given(solids(), st.floats(0.0, 0.3), st.floats(0.6, 1.0), st.floats(0.0, 1.0))
def test_the_center_line_lies_in_the_log_and_as_deep_as_a_line_can(log, start, end, share):
    start, end = start * log.length_mm, end * log.length_mm
    butt, tip = center_line(log, start, end_mm=end, of_taper=share)
    part = stretch(log, start, end_mm=end)
    radius = np.sqrt(np.linalg.det(part.shape_mm))
    growth = 1.0 + share * (radius / radius.min() - 1.0)
    outlines = [shapely.Polygon(outline) for outline in part.outlines()]

    def depth(ends):
        """Size of the body about a line, at its slenderest."""
        along = (part.z_mm - start) / (end - start)
        points = (1.0 - along)[:, None] * ends[0] + along[:, None] * ends[1]
        inside = [
            outline.exterior.distance(shapely.Point(point)) * (1.0 if outline.covers(shapely.Point(point)) else -1.0)
            for outline, point in zip(outlines, points, strict=True)
        ]
        return min(np.array(inside) / growth)

    best = depth((butt, tip))
    assert best > 0.0
    for step in (np.array([2.0, 0.0]), np.array([0.0, -2.0]), np.array([-1.5, 1.5])):
        for other in ((butt + step, tip), (butt, tip + step), (butt + step, tip + step), (butt + step, tip - step)):
            assert depth(other) <= best + SMALL_MM


def test_the_line_of_a_straight_log_is_its_axis_and_of_a_bow_half_way_by_hand():
    butt, tip = center_line(round_log(400.0, 3_000.0, tip_mm=310.0), 0.0, end_mm=3_000.0)
    # At the tip the body is as thick as the log: there it has no room.
    assert tip == pytest.approx([0.0, 0.0], abs=SMALL_MM)
    assert math.hypot(*butt) < 0.5 * (400.0 - 310.0)
    # A cylinder bowed by 40 mm toward 3 o'clock: the deepest line lies half of that to the right.
    bowed = round_log(400.0, 3_000.0, crown_mm=40.0, crown_clock=3.0)
    butt, tip = center_line(bowed, 0.0, end_mm=3_000.0)
    assert (butt[0], tip[0]) == pytest.approx((20.0, 20.0), abs=0.5)


@generated(60)
@given(st.floats(1.0, 12.99))
def test_turns_have_the_crown_level_and_up_and_stand_evenly_over_half_a_turn(clock):
    log = round_log(400.0, 3_000.0, crown_mm=30.0, crown_clock=clock)
    turns = crown_turns(log)
    assert len(turns) == round(180.0 / TURN_STEP_DEG)
    assert all(-90.0 <= turn < 90.0 for turn in turns)
    assert np.diff(np.sort(turns)) == pytest.approx(TURN_STEP_DEG)
    assert [abs(turn) for turn in turns] == pytest.approx(sorted(abs(turn) for turn in turns))
    crown = np.array([rotation(turn) @ direction_of(clock) for turn in turns])
    # One of them has the crown level, another has it upright.
    assert np.abs(crown[:, 1]).min() == pytest.approx(0.0, abs=1e-9)
    assert np.abs(crown[:, 0]).min() == pytest.approx(0.0, abs=1e-9)


def test_a_straight_log_is_tried_as_it_lies_first():
    turns = crown_turns(round_log(400.0, 3_000.0))
    assert turns[:3] == (0.0, 15.0, -15.0)
    assert turns[-1] == -90.0


def test_a_frame_on_a_given_line():
    line = (np.array([7.0, -12.0]), np.array([-3.0, 5.0]))
    frame = frame_on(CROOKED, (250.0, 3_900.0), roll_deg=33.0, centers_mm=line)
    assert (frame.start_mm, frame.end_mm, frame.roll_deg) == (250.0, 3_900.0, 33.0)
    assert frame.as_tallied(np.zeros((1, 2)), 0.0)[0] == pytest.approx([7.0, -12.0])
    assert frame.as_tallied(np.zeros((1, 2)), 3_650.0)[0] == pytest.approx([-3.0, 5.0])
    with pytest.raises(ValueError, match="read-only"):
        frame.center_butt_mm[0] = 1.0
    assert frame_of(CROOKED).log is CROOKED
