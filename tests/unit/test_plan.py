"""The whole set-up: which passes, in which order, with which kit, and what it refuses."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pithline.errors import KitError, NoPlacementError
from pithline.fit import Timber, place
from pithline.logs import section_at
from pithline.setup import end_marks, framed, kit_faults, saw_stack, set_up
from strategies import INCH, KIT, altered, generated, kits, outline_at, round_log, solids, timbers

LOG = round_log(400.0, 5_200.0, tip_mm=340.0, crown_mm=40.0, crown_clock=10.0)


def placed_in(log=LOG, **asked):
    asked = {"thickness_mm": 150.0, "width_mm": 200.0, **asked}
    return place(log, Timber(**asked), roll="crown-side", against_best=False)


@pytest.mark.parametrize(
    ("faces", "numbers", "names"),
    [
        (2, [1, 2], {"top", "bottom"}),
        (3, [1, 2, 3], {"top", "bottom", "side"}),
        (4, [1, 2, 3, 4], {"top", "bottom", "left side", "right side"}),
    ],
)
def test_as_many_passes_as_faces_in_order(faces, numbers, names):
    plan = set_up(placed_in(sawn_faces=faces, allowance_mm=3.0), KIT)
    assert [cut.number for cut in plan.passes] == numbers
    told = {cut.face for cut in plan.passes}
    if faces == 3:
        assert told - {"top", "bottom"} <= {"left side", "right side"}
        assert len(told) == 3
    else:
        assert told == names
    assert len(plan.stacks) == len(plan.budgets) == (1 if faces == 2 else 2)
    for stack in plan.stacks:
        # The first pass of a stack rides on the rail, the next on what that left.
        assert [cut.rides_on for cut in stack.passes] == ["rail", stack.passes[0].face][: len(stack.passes)]
    assert plan.passes[1].setting_mm == pytest.approx(156.0)
    if faces == 4:
        assert plan.passes[3].setting_mm == pytest.approx(206.0)
        assert plan.stacks[1].within_mm == pytest.approx(78.0)


def test_the_cant_is_rolled_the_way_that_takes_the_lower_datum():
    placed = placed_in()
    plan = set_up(placed, KIT)
    datums = {}
    for turn in (90.0, -90.0):
        datums[turn] = saw_stack(KIT, placed, turn_deg=turn, first_number=3).datum_mm
    assert plan.stacks[1].datum_mm == min(datums.values())
    # Clockwise brings the left side up, and it is sawn first.
    assert plan.stacks[1].passes[0].face == {90.0: "left side", -90.0: "right side"}[plan.stacks[1].turn_deg]


@generated(25)
@given(solids(crown=0.15), kits(), st.data())
def test_every_face_sawn_is_a_side_of_the_placed_timber(log, kit, data):
    timber = replace(data.draw(timbers(log, low=0.3, high=0.5, wane=False)), sawn_faces=4)
    placed = place(log, timber, roll="crown-side", against_best=False)
    assume(placed.fits)
    try:
        plan = set_up(placed, kit)
    except KitError:
        assume(False)
    for stack in plan.stacks:
        # Where the corners of the timber lie in the log turned for this stack.
        turned = framed(placed, stack.turn_deg)
        for z, corners in (
            (0.0, placed.corners_butt_mm),
            (log.length_mm, placed.corners_tip_mm),
        ):
            center = corners.mean(axis=0)
            angle = math.radians(placed.roll_deg + stack.turn_deg)
            turn = np.array([[math.cos(angle), math.sin(angle)], [-math.sin(angle), math.cos(angle)]])
            sawn = (corners - center) @ turn.T
            assert sawn[:, 1].max() == pytest.approx(stack.passes[0].line_mm, abs=1e-6)
            assert sawn[:, 1].min() == pytest.approx(stack.passes[1].line_mm, abs=1e-6)
            # And the log framed for sawing is that log turned.
            assert section_at(turned, z).center_mm == pytest.approx(
                turn @ (section_at(log, z).center_mm - center), abs=1e-6
            )
    assert plan.all_free_of_bark == pytest.approx(
        math.prod(face.free_of_bark for budget in plan.budgets for face in budget.faces)
    )


def test_the_crown_stands_where_the_roll_brings_it():
    plan = set_up(placed_in(), KIT)
    # From 10 o'clock the shortest way level is back to 9.
    assert plan.placement.roll_deg == pytest.approx(-30.0)
    assert plan.crown_clock == pytest.approx(9.0)
    straight = round_log(400.0, 5_200.0, tip_mm=340.0)
    assert set_up(placed_in(straight), KIT).crown_clock is None


def test_ends_are_those_of_the_placement():
    plan = set_up(placed_in(), KIT)
    for ours, again in zip(plan.ends, end_marks(plan.placement), strict=True):
        assert ours.corners_mm == pytest.approx(again.corners_mm)


def test_an_asked_datum_is_that_of_the_first_stack():
    plan = set_up(placed_in(), KIT, datum_mm=9 * INCH)
    assert plan.stacks[0].datum_mm == 9 * INCH


# --- turning over, cutting first ---------------------------------------------


def lopsided(clock):
    """A round log whose timber is pushed against one side, away from the pith."""
    log = round_log(420.0, 4_000.0, tip_mm=380.0, butt_pith_mm=120.0, tip_pith_mm=110.0,
                    butt_pith_clock=clock, tip_pith_clock=clock)  # fmt: skip
    placed = place(log, Timber(110.0, 150.0), roll=0.0, wanted_clearance_mm=0.0)
    assert abs(placed.center_butt_mm[1]) > 30.0
    return placed


def test_a_log_is_turned_over_only_where_the_kit_reaches_only_so_and_if_that_is_allowed():
    # With the pith low the timber lies low, too far under the top for this mill.
    shallow = altered(KIT, "mill", setting_max_mm=240.0)
    low, high = lopsided(6.0), lopsided(12.0)
    with pytest.raises(KitError):
        set_up(low, shallow)
    assert set_up(high, shallow).placement.roll_deg == 0.0
    over = set_up(low, shallow, may_turn_over=True)
    assert abs(over.placement.roll_deg) == pytest.approx(180.0)
    assert set_up(high, shallow, may_turn_over=True).placement.roll_deg == 0.0
    # The timber is where it was in the wood.
    theirs = {tuple(np.round(corner, 6)) for corner in low.corners_butt_mm}
    assert {tuple(np.round(corner, 6)) for corner in over.placement.corners_butt_mm} == theirs


def test_a_kit_that_reaches_no_way_says_why_the_first_way_fails():
    narrow = altered(KIT, "mill", cut_width_mm=200.0)
    with pytest.raises(KitError, match=r"mill.cut_width: pass 1 \(top\)"):
        set_up(placed_in(), narrow, may_turn_over=True)


def test_a_log_cut_first_is_the_stretch_that_holds_the_timber():
    placed = placed_in(length_mm=3_900.0)
    assert placed.log.length_mm - 3_900.0 > 600.0
    whole = set_up(placed, KIT)
    assert whole.cut_mm is None
    assert whole.excess_mm == pytest.approx(1_300.0)
    assert whole.cut_to_length_first
    plan = set_up(placed, KIT, cut_first=True)
    assert plan.cut_mm == (placed.start_mm, placed.end_mm)
    assert plan.placement.log.length_mm == pytest.approx(3_900.0)
    assert (plan.placement.start_mm, plan.placement.end_mm) == (0.0, pytest.approx(3_900.0))
    assert plan.excess_mm == pytest.approx(0.0)
    assert not plan.cut_to_length_first
    for z in (0.0, 777.0, 2_500.0, 3_900.0):
        assert outline_at(plan.placement.log, z) == pytest.approx(outline_at(LOG, placed.start_mm + z), abs=1e-6)
    assert plan.placement.corners_tip_mm == pytest.approx(placed.corners_tip_mm)
    # Fewer bearers, and heights of the wood that is left.
    assert plan.stacks[0].run.stations_mm[-1] == pytest.approx(3_900.0)
    assert len(plan.stacks[0].bearers) <= len(whole.stacks[0].bearers)


def test_a_timber_as_long_as_its_log_wants_no_cut():
    plan = set_up(placed_in(), KIT)
    assert plan.excess_mm == pytest.approx(0.0)
    assert not plan.cut_to_length_first


# --- what is refused ---------------------------------------------------------


def test_a_timber_that_does_not_lie_in_the_log_is_not_set_up():
    placed = place(LOG, Timber(300.0, 300.0))
    with pytest.raises(NoPlacementError, match="round: the timber does not lie in this log"):
        set_up(placed, KIT)
    with pytest.raises(NoPlacementError):
        set_up(placed_in(length_mm=7_000.0), KIT)


@pytest.mark.parametrize(
    ("part", "changes", "told"),
    [
        ("saw", {"kerf_mm": 0.0}, "saw.kerf_mm: 0; it must be a finite number, more than zero"),
        ("saw", {"kerf_mm": math.nan}, "saw.kerf_mm: nan"),
        ("saw", {"kerf_give_mm": -1.0}, "saw.kerf_give_mm: -1; .* zero or more"),
        ("rail", {"modulus_mpa": math.inf}, "rail.modulus_mpa: inf"),
        ("saw", {"kerf_mm": 30.0}, r"saw.kerf: 1 3/16 in \(30 mm\); a saw chain leaves 5 to 12 mm"),
        ("mill", {"setting_min_mm": 400.0}, "mill.setting_min: .* is not under setting_max"),
        ("bearers", {"height_min_mm": 600.0}, "bearers.height_min: .* is not under height_max"),
        ("bearers", {"post_taper_deg": 45.0}, "bearers.post_taper: 45 degrees"),
        ("bearers", {"count": 1.0}, "bearers.count: 1; a rail needs two or more"),
        ("bearers", {"count": 4.5}, "bearers.count: 4.5; a rail needs two or more whole"),
        ("rail", {"stiffeners": 1.5}, "rail.stiffeners: 1.5; give a whole number"),
        ("rail", {"length_mm": 800.0}, "rail.length: .* under twice the mill's footprint"),
    ],
)
def test_a_kit_that_is_none_is_told(part, changes, told):
    kit = altered(KIT, part, **changes)
    assert len(kit_faults(kit)) == 1
    with pytest.raises(KitError, match=told):
        set_up(placed_in(), kit)


def test_all_faults_of_a_kit_are_told_at_once():
    kit = altered(altered(KIT, "saw", kerf_mm=40.0), "bearers", count=1.0)
    assert len(kit_faults(kit)) == 2
    assert kit_faults(KIT) == []
    assert len(kit_faults(replace(KIT, datum_step_mm=0.0))) == 1
