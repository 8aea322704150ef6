"""Bearers and the rail over them: always carried, always long enough, no more bearers than needed."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.linalg import solve_banded

from pithline.errors import KitError, OutOfRangeError
from pithline.setup import kit_faults, rail_run, rail_sag_mm, string_sag_mm
from strategies import FOOT, INCH, KIT, altered, generated, kits

A_HAIR = 1e-6


def check_run(kit, log_mm, run):
    """The rail is carried at both ends, carries the mill past the log, and laps under the mill."""
    foot, seat, rail = kit.mill.footprint_mm, kit.bearers.seat_mm, kit.rail.length_mm
    places = run.positions
    for place in places:
        assert place.end_mm - place.start_mm == pytest.approx(rail)
        first, last = (run.stations_mm[number] for number in place.bearers)
        assert place.start_mm <= first - min(seat, foot) + A_HAIR
        assert place.end_mm >= last + min(seat, foot) - A_HAIR
        assert first < last
    assert places[0].start_mm <= -foot + A_HAIR
    assert places[-1].end_mm >= log_mm + foot - A_HAIR
    assert places[0].saw_from_mm == 0.0
    assert places[-1].saw_to_mm == log_mm
    for one, other in itertools.pairwise(places):
        assert one.end_mm - other.start_mm >= foot - A_HAIR
        # Where the saw stops, the whole mill stands on the rail both before and after it is moved.
        assert one.saw_to_mm == other.saw_from_mm
        assert one.saw_to_mm + 0.5 * foot <= one.end_mm + A_HAIR
        assert one.saw_to_mm - 0.5 * foot >= other.start_mm - A_HAIR
        assert other.start_mm > one.start_mm
    for place in places:
        assert place.saw_from_mm < place.saw_to_mm


def run_or_reason(kit, log_mm):
    """A run, or the sentence that refuses it."""
    try:
        return rail_run(kit, log_mm)
    except KitError as error:
        return str(error)


@generated(300)
@given(kits(), st.floats(700.0, 12_000.0))
def test_the_rail_is_carried_and_carries_the_mill_everywhere(kit, log_mm):
    assert kit_faults(kit) == []
    run = run_or_reason(kit, log_mm)
    if isinstance(run, str):
        # Only a rail that sags, or a mill as long as a short rail, can make it impossible.
        assert "bearers.count" in run or "cannot be moved" in run
        return
    check_run(kit, log_mm, run)
    inset = kit.bearers.end_inset_mm
    assert run.stations_mm[0] == pytest.approx(inset)
    assert run.stations_mm[-1] == pytest.approx(log_mm - inset)
    assert np.diff(run.stations_mm) == pytest.approx(run.span_mm)
    assert run.sag_mm <= kit.rail.sag_limit_mm
    assert run.sag_mm == rail_sag_mm(kit.rail, run.span_mm, saw_kg=kit.mill.mass_kg)


@generated(200)
@given(kits(), st.floats(700.0, 12_000.0))
def test_one_bearer_less_would_not_do(kit, log_mm):
    run = run_or_reason(kit, log_mm)
    assume(not isinstance(run, str))
    spans = len(run.stations_mm) - 2
    assume(spans >= 1)
    span = (log_mm - 2.0 * kit.bearers.end_inset_mm) / spans
    rail, foot, seat = kit.rail.length_mm, kit.mill.footprint_mm, kit.bearers.seat_mm
    sags = rail_sag_mm(kit.rail, span, saw_kg=kit.mill.mass_kg) > kit.rail.sag_limit_mm
    # A rail moved over wider spans cannot reach from past the log's end to past the next bearer,
    spare = rail - span
    short = spare < foot + kit.bearers.end_inset_mm + seat
    # or its next place does not lap it by the mill's length.
    past = spare - foot - kit.bearers.end_inset_mm
    parted = past + min(0.5 * spare, past) < foot
    assert sags or (rail < log_mm + 2.0 * foot and (short or parted))


@pytest.mark.parametrize("log_mm", [900.0, 2_133.0, 2_134.0, 2_300.0, 2_550.0, 4_000.0, 6_400.8, 8_990.0])
def test_the_kit_to_start_from_serves_logs_of_any_length(log_mm):
    kit = altered(KIT, "bearers", count=9)
    run = rail_run(kit, log_mm)
    check_run(kit, log_mm, run)
    # A rail as long as the log and the mill at both ends lies once.
    assert (len(run.positions) == 1) == (log_mm <= 3_048.0 - 2 * 457.2)


def test_bearers_under_a_log_of_21_feet_by_hand():
    run = rail_run(KIT, 21 * FOOT)
    assert run.stations_mm == pytest.approx([0.0, 7 * FOOT, 14 * FOOT, 21 * FOOT])
    # From 18 in before the butt; in the middle 18 in past both bearers; to 18 in past the tip.
    assert [place.start_mm / INCH for place in run.positions] == pytest.approx([-18.0, 66.0, 150.0])
    assert [place.end_mm / INCH for place in run.positions] == pytest.approx([102.0, 186.0, 270.0])
    assert [place.bearers for place in run.positions] == [(0, 1), (1, 2), (2, 3)]
    assert [place.saw_to_mm / INCH for place in run.positions] == pytest.approx([84.0, 168.0, 252.0])


def test_more_bearers_than_there_are_is_told():
    with pytest.raises(KitError, match=r"bearers.count: the rail needs 4 bearers .* the kit has 3"):
        rail_run(altered(KIT, "bearers", count=3), 21 * FOOT)


def test_a_rail_too_short_to_be_moved_is_told():
    # Past the log's end the mill takes 457 mm of it, and a seat wants 38 more.
    kit = altered(KIT, "rail", length_mm=490.0)
    with pytest.raises(KitError, match=r"rail: a rail .* cannot be moved along this log .* longer or stiffer"):
        rail_run(kit, 4_000.0)


def test_bearers_set_in_past_the_middle_leave_nothing():
    with pytest.raises(KitError, match=r"bearers.end_inset: .* leaves nothing of a log"):
        rail_run(altered(KIT, "bearers", end_inset_mm=600.0), 1_200.0)


# --- sag ---------------------------------------------------------------------


def beam_by_differences(stiffness, span, own_n_mm, saw_n, steps=4_000):
    """Deflection at midspan of a beam on two supports: E I w'' = -M, in finite differences."""
    x = np.linspace(0.0, span, steps + 1)
    moment = 0.5 * own_n_mm * x * (span - x) + 0.5 * saw_n * np.minimum(x, span - x)
    h = span / steps
    bands = np.zeros((3, steps - 1))
    bands[0, 1:] = bands[2, :-1] = 1.0
    bands[1] = -2.0
    down = solve_banded((1, 1), bands, -moment[1:-1] / stiffness * h * h)
    return float(down[steps // 2 - 1])


@generated(40)
@given(kits(), st.floats(300.0, 4_000.0))
def test_sag_is_that_of_a_beam_in_finite_differences(kit, span):
    stiffness = kit.rail.modulus_mpa * kit.rail.inertia_mm4
    own = kit.rail.mass_kg_m * 9.80665 / 1000.0
    expected = beam_by_differences(stiffness, span, own, kit.mill.mass_kg * 9.80665)
    # The kink under the saw costs the differences a hair.
    assert rail_sag_mm(kit.rail, span, saw_kg=kit.mill.mass_kg) == pytest.approx(expected, rel=1e-6)


def test_members_add_up_and_depth_counts_by_its_cube():
    one = altered(KIT, "rail", stiffeners=1).rail
    assert KIT.rail.inertia_mm4 == pytest.approx(2.0 * one.inertia_mm4)
    deep = altered(KIT, "rail", member_depth_mm=2.0 * KIT.rail.member_depth_mm).rail
    assert deep.inertia_mm4 == pytest.approx(8.0 * KIT.rail.inertia_mm4)
    assert rail_sag_mm(deep, 2_000.0, saw_kg=9.0) == pytest.approx(rail_sag_mm(KIT.rail, 2_000.0, saw_kg=9.0) / 8.0)


@generated(60)
@given(st.floats(1_000.0, 15_000.0), st.floats(0.0, 1.0), st.floats(0.3, 4.0), st.floats(10.0, 200.0))
def test_a_string_hangs_as_the_catenary_does(length, share, mass, tension):
    weight = mass * 9.80665 / 1e6
    a = tension / weight
    x = share * length
    hangs = a * (math.cosh(0.5 * length / a) - math.cosh((x - 0.5 * length) / a))
    # The parabola is the catenary for a sag small against the length; cosh loses digits.
    assert string_sag_mm(length, x, mass_g_m=mass, tension_n=tension) == pytest.approx(
        hangs, rel=1e-3, abs=1e-6 * length
    )


@pytest.mark.parametrize(("at", "tension"), [(-1.0, 50.0), (6_001.0, 50.0), (3_000.0, 0.0)])
def test_a_string_is_refused_beyond_its_ends_and_without_pull(at, tension):
    with pytest.raises(OutOfRangeError, match="string: "):
        string_sag_mm(6_000.0, at, mass_g_m=1.4, tension_n=tension)
