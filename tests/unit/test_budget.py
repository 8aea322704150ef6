"""The error budget: squares that add up, and chances that a simulation finds again."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm

from pithline.fit import Timber, place
from pithline.setup import error_budget, normal_share, saw_stack
from strategies import INCH, KIT, altered, generated, round_log

EXACT = {"abs": 1e-9}


def quiet(kit):
    """The same kit with no error anywhere."""
    kit = altered(kit, "saw", kerf_give_mm=0.0)
    kit = altered(kit, "mill", wander_mm=0.0, setting_step_mm=1e-12)
    kit = altered(kit, "rail", modulus_mpa=1e15)
    kit = altered(kit, "string", mass_g_m=0.0)
    kit = altered(kit, "level", error_mm_m=0.0)
    return altered(kit, "tape", error_mm=0.0, reading_mm=1e-12, diameter_give_mm=0.0, crown_give_mm=0.0)


def made(kit, *, allowance=INCH / 8, side=150.0, turn=0.0, diameter=400.0):
    log = round_log(diameter, 4_200.0, tip_mm=0.8 * diameter)
    timber = Timber(side, side + 40.0, allowance_mm=allowance)
    placed = place(log, timber, roll=0.0, wanted_clearance_mm=0.0)
    stack = saw_stack(kit, placed, turn_deg=turn)
    return placed, stack, error_budget(kit, placed, stack=stack)


@pytest.mark.parametrize("turn", [0.0, 90.0])
def test_the_squares_of_the_parts_add_up(turn):
    _, stack, budget = made(KIT, turn=turn)
    parts = budget.parts
    assert set(parts) == {"tape", "level", "string", "rail", "setting", "kerf", "wander"}
    assert budget.face_mm**2 == pytest.approx(sum(part**2 for part in parts.values()))
    # Setting and wander alone come between two faces.
    assert budget.size_mm**2 == pytest.approx(parts["setting"] ** 2 + parts["wander"] ** 2)
    assert budget.hollow_mm == stack.run.sag_mm


def test_the_parts_by_hand():
    placed, stack, budget = made(KIT)
    even = 2.0 / math.sqrt(3.0)
    # Twice the standard deviation of an error anywhere within plus or minus a is 2 a / sqrt 3.
    assert budget.parts["kerf"] == pytest.approx(even * INCH / 32)
    assert budget.parts["setting"] == pytest.approx(even * INCH / 32)
    assert budget.parts["wander"] == pytest.approx(3.0)
    # 0.5 mm a meter over half the width of the timber as it lies.
    half_width = 0.5 * placed.timber.cut_width_mm
    assert budget.parts["level"] == pytest.approx(even * 0.0005 * half_width)
    # One length of 0.5 mm, read twice to half a sixteenth.
    reading = INCH / 32
    assert budget.parts["tape"] == pytest.approx(even * math.sqrt(0.5**2 + 2.0 * reading**2))
    assert budget.parts["rail"] == pytest.approx(even * 0.5 * stack.run.sag_mm)
    sag = max(bearer.string_sag_mm for bearer in stack.bearers)
    assert budget.parts["string"] == pytest.approx(even * 0.5 * sag)
    # Half of a diameter's error, and the whole of a crown's.
    assert budget.log_mm == pytest.approx(even * math.hypot(0.5 * 0.25 * INCH, 0.5 * INCH))


@pytest.mark.parametrize(
    ("part", "changes", "name"),
    [
        ("saw", {"kerf_give_mm": 2.0}, "kerf"),
        ("mill", {"wander_mm": 4.0}, "wander"),
        ("mill", {"setting_step_mm": 5.0}, "setting"),
        ("level", {"error_mm_m": 9.0}, "level"),
        ("tape", {"error_mm": 3.0}, "tape"),
        ("tape", {"reading_mm": 6.0}, "tape"),
        ("string", {"tension_n": 5.0}, "string"),
        ("rail", {"modulus_mpa": 8_000.0}, "rail"),
    ],
)
def test_each_number_of_the_kit_counts_under_its_own_name_alone(part, changes, name):
    _, _, before = made(KIT)
    _, _, after = made(altered(KIT, part, **changes))
    for cause, value in before.parts.items():
        if cause == name:
            assert after.parts[cause] > value
        else:
            assert after.parts[cause] == pytest.approx(value)
    assert after.face_mm > before.face_mm


def simulated(kit, placed, stack, *, rng, count=400_000):
    """First and second face out of place, plus outward, and thickness over the green size.

    Written apart, from what each tool does: errors known only by their limits lie evenly
    within them, wander is normal.
    """

    def even(limit):
        return rng.uniform(-limit, limit, count)

    reading = 0.5 * kit.tape.reading_mm
    sag = max(bearer.string_sag_mm for bearer in stack.bearers)
    width = placed.timber.cut_width_mm if stack.turn_deg == 0.0 else placed.timber.cut_thickness_mm
    first = even(kit.tape.error_mm) + even(reading) + even(reading)
    first += even(kit.level.error_mm_m * 0.5 * width / 1000.0) + even(0.5 * sag)
    first += even(0.5 * stack.run.sag_mm) + even(0.5 * kit.mill.setting_step_mm)
    first += even(kit.saw.kerf_give_mm) + rng.normal(0.0, kit.mill.wander_mm, count)
    between = even(0.5 * kit.mill.setting_step_mm) + rng.normal(0.0, kit.mill.wander_mm, count)
    log = even(0.5 * kit.tape.diameter_give_mm) + even(kit.tape.crown_give_mm)
    return first + log, between - first + log, between, first


@pytest.mark.parametrize("side", [197.0, 200.0, 202.0])
def test_a_simulation_finds_the_chances_again(side):
    rng = np.random.default_rng(int(10 * side))
    placed, stack, budget = made(KIT, side=side, allowance=0.6)
    first, second, size, place_alone = simulated(KIT, placed, stack, rng=rng)
    # The crown of a log, known only to lie within half an inch, is nearly all of the whole, and an even
    # error is flatter than a normal one of the same spread: their shares differ by up to 5.8 in a hundred.
    for face, out in zip(budget.faces, (first, second), strict=True):
        assert 0.5 < face.free_of_bark < 0.999
        assert float((out <= face.room_mm).mean()) == pytest.approx(face.free_of_bark, abs=0.058)
    assert float((size >= -1.2).mean()) == pytest.approx(budget.full_size, abs=0.005)
    # Plus or minus holds 19 times in 20.
    assert float((np.abs(place_alone) <= budget.face_mm).mean()) == pytest.approx(0.954, abs=0.01)
    assert float((np.abs(size) <= budget.size_mm).mean()) == pytest.approx(0.954, abs=0.01)


def test_room_on_a_round_log_by_hand():
    placed, stack, budget = made(KIT, side=150.0, allowance=0.0)
    timber = placed.timber
    b = 0.5 * timber.cut_width_mm
    # The tip of radius 160 is the tightest place: its chord at the corners stands sqrt(160^2 - 95^2).
    room = math.sqrt(160.0**2 - b**2) - 0.5 * timber.cut_thickness_mm
    for face in budget.faces:
        # Up to what the placement may lie off the center by.
        off = float(np.abs(placed.center_tip_mm).max())
        assert face.room_mm == pytest.approx(room, abs=2.0 * off + 0.01)
    assert [face.face for face in budget.faces] == [cut.face for cut in stack.passes]


def test_wane_gives_the_corners_room():
    log = round_log(400.0, 4_200.0, tip_mm=320.0)
    rooms = []
    for wane in (0.0, 15.0):
        placed = place(log, Timber(180.0, 220.0, wane_mm=wane), roll=0.0, wanted_clearance_mm=0.0)
        stack = saw_stack(KIT, placed)
        rooms.append(error_budget(KIT, placed, stack=stack).faces[0].room_mm)
    assert rooms[1] - rooms[0] == pytest.approx(math.sqrt(160.0**2 - 95.0**2) - math.sqrt(160.0**2 - 110.0**2), abs=0.1)


def test_without_any_error_all_is_certain():
    _, _, budget = made(quiet(KIT), allowance=1.0)
    assert budget.face_mm == pytest.approx(0.0, abs=1e-6)
    assert [face.free_of_bark for face in budget.faces] == pytest.approx([1.0, 1.0])
    assert budget.full_size == pytest.approx(1.0)


def test_with_no_allowance_half_of_all_timbers_come_out_under_size():
    _, _, budget = made(KIT, allowance=0.0)
    assert budget.full_size == pytest.approx(0.5)


def test_a_single_face_has_no_size_to_miss():
    log = round_log(400.0, 4_200.0, tip_mm=320.0)
    placed = place(log, Timber(150.0, 190.0, sawn_faces=3), roll=0.0)
    stack = saw_stack(KIT, placed, turn_deg=90.0, faces=("left side",), first_number=3)
    budget = error_budget(KIT, placed, stack=stack)
    assert budget.full_size is None
    assert [face.face for face in budget.faces] == ["left side"]


@generated(60)
@given(st.floats(-8.0, 8.0))
def test_the_share_of_a_normal_is_the_one_of_scipy(value):
    assert normal_share(value) == pytest.approx(float(norm.cdf(value)), rel=1e-9, abs=1e-300)
    assert normal_share(value) + normal_share(-value) == pytest.approx(1.0)


def test_more_room_is_a_better_chance():
    small, large = made(KIT, side=180.0)[2], made(KIT, side=172.0)[2]
    for tight, wide in zip(small.faces, large.faces, strict=True):
        assert wide.room_mm > tight.room_mm
        assert wide.free_of_bark > tight.free_of_bark
    heavy = replace(KIT, mill=replace(KIT.mill, wander_mm=4.0))
    assert made(heavy, side=180.0)[2].faces[0].free_of_bark < small.faces[0].free_of_bark
