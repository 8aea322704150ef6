"""Bearers, datum and passes of one stack: by hand for a round log, by shapely for crooked ones."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st

from pithline.errors import KitError
from pithline.fit import Timber, place
from pithline.logs import rotation, section_at
from pithline.setup import rail_run, saw_stack, string_sag_mm
from strategies import FOOT, INCH, KIT, altered, generated, kits, round_log, solids, timbers

A_HAIR = 1e-6

SEEN_MM = 0.01
"""What a polygon of 1,440 sides loses of an ellipse."""

LENGTH = 21 * FOOT
BUTT, TIP = 420.0, 330.0


def tapered():
    """A timber of 6 x 8 in, 1/8 in added a face, on the axis of a straight, round, tapered log."""
    log = round_log(BUTT, LENGTH, tip_mm=TIP)
    timber = Timber(6 * INCH, 8 * INCH, allowance_mm=INCH / 8, heart="boxed")
    return place(log, timber, roll=0.0, wanted_clearance_mm=1.0)


def radius_at(z):
    return 0.5 * (BUTT + (TIP - BUTT) * z / LENGTH)


def wood_at(placed, z, turn_deg=0.0):
    """The section of the log about the timber's center line, turned for sawing: written apart."""
    share = (z - placed.start_mm) / (placed.end_mm - placed.start_mm)
    center = (1.0 - share) * placed.center_butt_mm + share * placed.center_tip_mm
    outline = section_at(placed.log, z).outline(1_440) - center
    return shapely.Polygon(outline @ rotation(placed.roll_deg + turn_deg).T)


def top_at(wood, x):
    cut = wood.intersection(shapely.LineString([(x, -5_000.0), (x, 5_000.0)]))
    return cut.bounds[3] if not cut.is_empty else -math.inf


def width_at(wood, y, within):
    reach = 5_000.0 if within is None else within
    return wood.intersection(shapely.LineString([(-reach, y), (reach, y)])).length


def test_heights_on_a_round_straight_log_by_hand():
    placed = tapered()
    assert placed.center_butt_mm == pytest.approx([0.0, 0.0], abs=1e-3)
    assert placed.center_tip_mm == pytest.approx([0.0, 0.0], abs=1e-3)
    stack = saw_stack(KIT, placed)
    half = 3.125 * INCH
    base = 2.75 * INCH
    # The shortest post stands at the butt: 5 in over a flat at sqrt(210^2 - base^2) = 198.04 mm.
    # That is 118.67 mm over the line, and 5 in more: 245.67 mm, in whole inches 10.
    flat = math.sqrt(210.0**2 - base**2)
    assert flat == pytest.approx(198.04, abs=0.01)
    assert stack.datum_mm == pytest.approx(math.ceil((flat - half) / INCH + 5.0) * INCH)
    assert stack.datum_mm == pytest.approx(10 * INCH)
    assert stack.half_mm == pytest.approx(half)
    for bearer in stack.bearers:
        r = radius_at(bearer.station_mm)
        depth = r - math.sqrt(r * r - base * base)
        assert bearer.flat_depth_mm == pytest.approx(depth, abs=1e-3)
        assert bearer.height_mm == pytest.approx(half + 10 * INCH - (r - depth), abs=2e-3)
        assert bearer.flat_width_mm == pytest.approx(5.5 * INCH)
        # A post tapered by 5 degrees a side.
        lost = 2.0 * bearer.height_mm * math.tan(math.radians(5.0))
        assert bearer.post_top_mm == pytest.approx(7.25 * INCH - lost)
        assert bearer.string_sag_mm == pytest.approx(
            string_sag_mm(LENGTH, bearer.station_mm, mass_g_m=1.4, tension_n=50.0)
        )
    heights = [bearer.height_mm for bearer in stack.bearers]
    # Every post is cut lower where the log is thicker.
    assert heights == sorted(heights)
    assert heights[0] < heights[-1] - 38.0


def test_passes_of_a_round_straight_log_by_hand():
    stack = saw_stack(KIT, tapered())
    top, bottom = stack.passes
    assert (top.number, top.face, top.rides_on) == (1, "top", "rail")
    assert (bottom.number, bottom.face, bottom.rides_on) == (2, "bottom", "top")
    # 10 in and a rail of 3 1/8 in, less a kerf of 3/8 in.
    assert top.setting_mm == pytest.approx(12.75 * INCH)
    assert bottom.setting_mm == pytest.approx(6.25 * INCH)
    assert (top.line_mm, bottom.line_mm) == pytest.approx((3.125 * INCH, -3.125 * INCH))
    # Widest at the butt, at the edge of the kerf that lies on the line.
    assert top.widest_mm == pytest.approx(2.0 * math.sqrt(210.0**2 - (3.125 * INCH) ** 2), abs=0.01)
    # In the middle of the kerf, by Simpson's rule over the log's own length.
    z = np.linspace(0.0, LENGTH, 2_001)
    middle = 3.125 * INCH + 0.5 * 0.375 * INCH
    chord = 2.0 * np.sqrt((0.5 * (BUTT + (TIP - BUTT) * z / LENGTH)) ** 2 - middle**2)
    assert top.area_m2 == pytest.approx(float(np.trapezoid(chord, z)) / 1e6, rel=1e-4)
    assert top.minutes == pytest.approx(top.area_m2 / 0.2)
    assert bottom.area_m2 == pytest.approx(top.area_m2, rel=1e-4)


def test_the_surface_the_mill_rides_on_stands_over_the_ground():
    stack = saw_stack(KIT, tapered())
    # Horses of 18 in, half a butt, the line, the datum and the rail.
    over = 18 * INCH + 210.0 + 3.125 * INCH + 10 * INCH + 3.125 * INCH
    assert stack.rail_top_mm == pytest.approx(over, abs=0.01)


# --- crooked logs ------------------------------------------------------------


def stack_or_reason(kit, placed, **options):
    """A stack, or the sentence that refuses it."""
    try:
        return saw_stack(kit, placed, **options)
    except KitError as error:
        return str(error)


@st.composite
def stacks(draw):
    """A placed timber in a crooked log, a kit that may reach, and one of its stacks."""
    log = draw(solids(crown=0.2))
    timber = draw(timbers(log, low=0.3, high=0.6, wane=False))
    placed = place(log, timber, roll=draw(st.sampled_from(["best", "crown-side"])), against_best=False)
    assume(placed.fits)
    kit = draw(kits())
    turn = draw(st.sampled_from([0.0, 90.0, -90.0]))
    stack = stack_or_reason(kit, placed, turn_deg=turn)
    assume(not isinstance(stack, str))
    return kit, placed, stack


@generated(30)
@given(stacks())
def test_bearers_on_a_crooked_log_are_level_with_each_other(made):
    kit, placed, stack = made
    top = stack.half_mm + stack.datum_mm
    assert [bearer.station_mm for bearer in stack.bearers] == list(stack.run.stations_mm)
    for bearer in stack.bearers:
        wood = wood_at(placed, bearer.station_mm, stack.turn_deg)
        flat = top_at(wood, 0.0) - bearer.flat_depth_mm
        assert flat + bearer.height_mm == pytest.approx(top, abs=SEEN_MM)
        # The base stands on its flat with both edges, above the face that will be sawn.
        half = 0.5 * bearer.flat_width_mm
        assert min(top_at(wood, -half), top_at(wood, half)) >= flat - 0.05
        assert flat >= stack.half_mm - SEEN_MM
        assert bearer.height_mm >= kit.bearers.height_min_mm - A_HAIR
        assert bearer.height_mm <= kit.bearers.height_max_mm + A_HAIR
        assert bearer.flat_width_mm <= kit.bearers.base_width_mm + A_HAIR
        assert bearer.post_top_mm >= kit.bearers.seat_mm


@generated(25)
@given(stacks())
def test_the_rail_passes_over_the_log(made):
    kit, placed, stack = made
    half = 0.5 * kit.rail.width_mm
    if stack.within_mm is not None:
        half = min(half, stack.within_mm)
    for z in placed.log.z_mm:
        wood = wood_at(placed, float(z), stack.turn_deg)
        under = wood.intersection(shapely.box(-half, -5_000.0, half, 5_000.0))
        if not under.is_empty:
            # Between the nine lines that are looked at, a crest rises by less than this.
            assert under.bounds[3] <= stack.half_mm + stack.datum_mm + 1.0


@generated(25)
@given(stacks())
def test_passes_saw_what_shapely_measures(made):
    kit, placed, stack = made
    kerf = kit.saw.kerf_mm
    top, bottom = stack.passes
    assert top.setting_mm == pytest.approx(stack.datum_mm + kit.rail.thickness_mm - kerf)
    assert bottom.setting_mm == pytest.approx(2.0 * stack.half_mm)
    turned_size = placed.timber.cut_thickness_mm if stack.turn_deg == 0.0 else placed.timber.cut_width_mm
    assert 2.0 * stack.half_mm == pytest.approx(turned_size)
    wood = [wood_at(placed, float(z), stack.turn_deg) for z in placed.log.z_mm]
    for cut, outward in ((top, 1.0), (bottom, -1.0)):
        assert cut.line_mm == pytest.approx(outward * stack.half_mm)
        widths = np.array(
            [
                [width_at(w, cut.line_mm + outward * part * kerf, stack.within_mm) for w in wood]
                for part in (0.0, 0.5, 1.0)
            ]
        )
        assert cut.widest_mm == pytest.approx(widths.max(), abs=0.3)
        area = float(np.trapezoid(widths[1], placed.log.z_mm)) / 1e6
        assert cut.area_m2 == pytest.approx(area, rel=1e-3, abs=1e-3)
        if stack.within_mm is not None:
            assert cut.widest_mm <= placed.timber.cut_thickness_mm + A_HAIR
    assert stack.within_mm == (None if stack.turn_deg == 0.0 else 0.5 * placed.timber.cut_thickness_mm)


@generated(40)
@given(stacks())
def test_the_datum_is_the_least_round_one_that_needs_no_deeper_flats(made):
    kit, placed, stack = made
    assert stack.datum_mm / kit.datum_step_mm == pytest.approx(round(stack.datum_mm / kit.datum_step_mm))
    # A flat only as deep as half-bearing wants would do for any datum at or above it.
    lower = stack.datum_mm - kit.datum_step_mm
    less = stack_or_reason(kit, placed, turn_deg=stack.turn_deg, datum_mm=lower)
    if isinstance(less, str):
        assert "too low" in less or "mill.setting" in less
        return
    deeper = [
        bearer.flat_depth_mm > wanted.flat_depth_mm + A_HAIR
        for bearer, wanted in zip(less.bearers, stack.bearers, strict=True)
    ]
    assert any(deeper)


@generated(25)
@given(stacks(), st.integers(1, 4))
def test_a_higher_datum_lifts_every_bearer_and_the_first_setting_alike(made, steps):
    kit, placed, stack = made
    by = steps * kit.datum_step_mm
    high = stack_or_reason(kit, placed, turn_deg=stack.turn_deg, datum_mm=stack.datum_mm + by)
    assume(not isinstance(high, str))
    for low, up in zip(stack.bearers, high.bearers, strict=True):
        # A flat that was cut deeper for a short reach is cut no deeper than it must.
        assert up.height_mm - up.flat_depth_mm == pytest.approx(low.height_mm - low.flat_depth_mm + by, abs=1e-6)
    assert high.passes[0].setting_mm == pytest.approx(stack.passes[0].setting_mm + by)
    assert high.passes[1].setting_mm == stack.passes[1].setting_mm


def test_the_run_is_that_of_the_whole_log():
    stack = saw_stack(KIT, tapered())
    assert stack.run == rail_run(KIT, LENGTH)
    assert stack.rail == stack.run.positions


# --- what a kit cannot do ----------------------------------------------------


def crowned():
    """A log with its crown up: 120 mm lie between its highest and lowest flat."""
    log = round_log(420.0, 5_000.0, tip_mm=400.0, crown_mm=120.0, crown_clock=12.0)
    return place(log, Timber(100.0, 150.0), roll="crown-up", against_best=False)


@pytest.mark.parametrize(
    ("part", "changes", "told"),
    [
        ("bearers", {"height_min_mm": 500.0}, r"goes no lower than 1 ft 7 11/16 in \(500 mm\)"),
        ("mill", {"setting_max_mm": 200.0}, r"mill sets no deeper than .* mill that sets deeper"),
        ("mill", {"cut_width_mm": 380.0}, r"mill.cut_width: pass 1 \(top\) is .* \(380 mm\). Use a longer"),
        ("mill", {"setting_min_mm": 165.0}, r"mill.setting: pass 2 \(bottom\) needs 6 1/4 in \(159 mm\)"),
        ("bearers", {"count": 3}, r"bearers.count: the rail needs 4 bearers"),
        ("bearers", {"base_width_mm": 900.0}, r"bearers.base_width: 0 in \(0 mm\) from the butt a base"),
        ("bearers", {"post_width_mm": 60.0}, r"bearers.post_width: .* Use a wider post or less taper"),
        ("bearers", {"post_taper_deg": 25.0}, r"tapers to -?\d.* less than the seat of 1 1/2 in"),
        ("rail", {"length_mm": 490.0}, r"rail: a rail .* cannot be moved along this log"),
    ],
)
def test_a_kit_that_cannot_reach_says_which_part_and_what_would(part, changes, told):
    with pytest.raises(KitError, match=told):
        saw_stack(altered(KIT, part, **changes), tapered())


def test_bearers_too_short_for_a_log_that_bulges_up_are_told():
    # The rail must clear the crown, and at the ends stands as much higher over the wood.
    short = altered(KIT, "bearers", height_min_mm=20.0, height_max_mm=135.0)
    with pytest.raises(KitError, match=r"rail must pass over .* reaches no higher than .* taller bearers"):
        saw_stack(short, crowned())
    assert saw_stack(altered(KIT, "bearers", height_max_mm=200.0), crowned()).datum_mm > 0.0


def test_a_datum_asked_for_in_vain_says_between_which_it_must_lie():
    placed = tapered()
    with pytest.raises(KitError, match=r"datum: 2 in \(51 mm\) is too low, since .* must be"):
        saw_stack(KIT, placed, datum_mm=2 * INCH)
    with pytest.raises(KitError, match=r"datum: .* that datum was asked for; but no more than"):
        saw_stack(KIT, placed, datum_mm=20 * INCH)


def test_the_rail_must_pass_over_a_crown_that_bulges_up():
    low = altered(KIT, "bearers", height_min_mm=10.0)
    with pytest.raises(KitError, match="the rail must pass over the log"):
        saw_stack(low, crowned(), datum_mm=4 * INCH)


def test_an_asked_datum_that_serves_is_taken():
    stack = saw_stack(KIT, tapered(), datum_mm=10.2 * INCH)
    assert stack.datum_mm == pytest.approx(10.2 * INCH)
    assert stack.passes[0].setting_mm == pytest.approx((10.2 + 3.125 - 0.375) * INCH)


def test_flats_are_cut_deeper_for_a_low_datum_but_never_below_the_kerf():
    placed = tapered()
    # The shortest post is 5 in; under it the wood may go down to the top of a kerf of 3/8 in.
    least = (5 + 0.375) * INCH
    stack = saw_stack(KIT, placed, datum_mm=least)
    top = stack.half_mm + least
    for bearer in stack.bearers:
        flat = top - bearer.height_mm
        assert bearer.height_mm == pytest.approx(5 * INCH)
        assert flat == pytest.approx(stack.half_mm + 0.375 * INCH)
        assert bearer.flat_depth_mm == pytest.approx(radius_at(bearer.station_mm) - flat, abs=0.01)
    with pytest.raises(KitError, match=r"too low, since the bearer .* goes no lower than 5 in"):
        saw_stack(KIT, placed, datum_mm=least - 1.0)
