"""What a log weighs, where it balances and how it bends on two horses, against closed forms and second integrals.

Kind: derived apart (the working is beside each number), unless said. All logs are invented.
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import cumulative_trapezoid
from scipy.optimize import brentq

from pithline.errors import OutOfRangeError, UnknownValueError
from pithline.logs import SliceLog, SliceRow, TallyLog, solid_from_slices, solid_from_tally, turned
from pithline.logs.weighing import (
    bark_volume_mm3,
    best_horses,
    center_of_mass_mm,
    heart_share,
    horse_loads,
    log_weight,
)
from pithline.wood.density import green_density
from pithline.wood.species import find_species, own_species, species_list
from strategies import generated, round_log, solids

GRID = 120
"""Steps of a log's length to which the places of the horses are told."""


def oval_log(**more):
    row = TallyLog("oval", "any", 5_230.0, 412.0, 318.0, butt_2_mm=377.0, tip_2_mm=301.0, oval_clock=4.5, **more)
    return solid_from_tally(row)


def dense(log, count=200):
    """Places and section areas between the stations, the half axes run straight."""
    z, area = [], []
    for i in range(len(log.z_mm) - 1):
        share = np.linspace(0.0, 1.0, count + 1)
        shape = (1.0 - share)[:, None, None] * log.shape_mm[i] + share[:, None, None] * log.shape_mm[i + 1]
        z.append(log.z_mm[i] + share * (log.z_mm[i + 1] - log.z_mm[i]))
        area.append(np.pi * np.linalg.det(shape))
    return np.concatenate(z) - log.z_mm[0], np.concatenate(area)


@given(large=st.floats(150.0, 700.0), share=st.floats(0.3, 1.0), length=st.floats(900.0, 9_000.0))
@generated(60)
def test_the_frustum_of_a_cone_balances_where_its_formula_says(large: float, share: float, length: float) -> None:
    """L (R^2 + 2 R r + 3 r^2) / (4 (R^2 + R r + r^2)) from the large end."""
    small = share * large
    log = round_log(large, length, tip_mm=small)
    place = length * (large**2 + 2 * large * small + 3 * small**2) / (4 * (large**2 + large * small + small**2))
    assert center_of_mass_mm(log) == pytest.approx(place, rel=1e-12)


def test_a_paraboloid_balances_where_its_formula_says() -> None:
    """Section falling evenly from A to a: L (A + 2 a) / (3 (A + a)) from the large end."""
    length, large, small = 4_870.0, 431.0, 263.0
    z = np.linspace(0.0, length, 1_201)
    diameter = np.sqrt(large**2 + (small**2 - large**2) * z / length)
    rows = tuple(SliceRow(float(at) + 133.0, 0.0, 0.0, float(d), float(d)) for at, d in zip(z, diameter, strict=True))
    place = length * (large**2 + 2 * small**2) / (3 * (large**2 + small**2))
    # Slices 4 mm apart lose under 1e-7 to the straight sides between them.
    assert center_of_mass_mm(solid_from_slices(SliceLog("carved", "any", rows))) == pytest.approx(place, rel=1e-7)


@given(log=solids())
@generated(40)
def test_any_log_balances_where_its_slices_do(log) -> None:
    z, area = dense(log)
    place = np.trapezoid(area * z, z) / np.trapezoid(area, z)
    assert center_of_mass_mm(log) == pytest.approx(place, rel=1e-5)
    assert 0.0 < center_of_mass_mm(log) < log.length_mm


def test_turning_a_log_does_not_move_its_balance() -> None:
    log = oval_log(crown_mm=31.0, crown_clock=2.0)
    assert center_of_mass_mm(turned(log, 67.0)) == pytest.approx(center_of_mass_mm(log), rel=1e-13)


@given(large=st.floats(200.0, 700.0), share=st.floats(0.5, 1.0), bark=st.floats(0.0, 25.0))
@generated(60)
def test_the_bark_of_a_cone_is_the_shell_round_it(large: float, share: float, bark: float) -> None:
    """pi L t (R + r + t) for radii inside bark: the area of the ring, pi t (2 R + t), falls evenly with the radius."""
    length, small = 3_310.0, share * large
    log = solid_from_tally(TallyLog("barked", "any", length, large + 2.0 * bark, small + 2.0 * bark, bark_mm=bark))
    shell = math.pi * length * bark * (0.5 * large + 0.5 * small + bark)
    assert bark_volume_mm3(log) == pytest.approx(shell, rel=1e-10, abs=1e-3)


def test_the_bark_of_an_oval_log_is_the_difference_of_two_ovals() -> None:
    bark = 14.0
    log = oval_log(bark_mm=bark)
    outside, inside = ([(a - off, b - off) for a, b in ((412.0, 377.0), (318.0, 301.0))] for off in (0.0, 2.0 * bark))
    rings = [math.pi / 4.0 * (o[0] * o[1] - i[0] * i[1]) for o, i in zip(outside, inside, strict=True)]
    # Both half axes and so the ring's area run evenly along the log.
    assert bark_volume_mm3(log) == pytest.approx(0.5 * sum(rings) * 5_230.0, rel=1e-10)


def test_bark_that_was_not_measured_has_no_volume() -> None:
    log = oval_log()
    assert log.bark_mm is None
    assert bark_volume_mm3(log) is None


@given(diameter=st.floats(150.0, 700.0), share=st.floats(0.0, 1.2))
@generated(60)
def test_the_heart_of_a_cylinder_is_the_square_of_its_radius(diameter: float, share: float) -> None:
    log = round_log(diameter, 2_730.0)
    sapwood = 0.5 * share * diameter
    assert heart_share(log, sapwood) == pytest.approx(max(0.0, 1.0 - share) ** 2, abs=1e-12)


def test_the_heart_of_a_tapered_oval_log_is_a_smaller_log() -> None:
    log, sapwood = oval_log(bark_mm=0.0), 41.0
    z, area = dense(log)
    axes = [np.interp(z, [0.0, 5_230.0], ends) for ends in ((206.0 - 41.0, 159.0 - 41.0), (188.5 - 41.0, 150.5 - 41.0))]
    share = np.trapezoid(np.pi * axes[0] * axes[1], z) / np.trapezoid(area, z)
    # Stations every 250 mm on this taper.
    assert heart_share(log, sapwood) == pytest.approx(share, rel=1e-4)
    assert heart_share(log, 0.0) == pytest.approx(1.0, abs=1e-12)
    with pytest.raises(OutOfRangeError, match=r"^sapwood: its thickness cannot be below 0\.$"):
        heart_share(log, -1.0)


def test_a_log_weighs_its_volume_times_the_density() -> None:
    hemlock = find_species("eastern hemlock")
    log = round_log(400.0, 5_000.0, tip_mm=320.0)
    # pi L (R^2 + R r + r^2) / 3 = 0.5110 m3, bark of no thickness.
    volume = math.pi * 5.0 * (0.2**2 + 0.2 * 0.16 + 0.16**2) / 3.0
    weight, density = log_weight(log, hemlock), green_density(hemlock)
    assert weight.density == density
    assert weight.wood_kg == pytest.approx((volume * density.low_kg_m3, volume * density.high_kg_m3), rel=1e-9)
    assert weight.bark_kg == pytest.approx((0.0, 0.0), abs=1e-9)
    assert (weight.low_kg, weight.typical_kg, weight.high_kg) == pytest.approx(
        [volume * part for part in (density.low_kg_m3, density.typical_kg_m3, density.high_kg_m3)], rel=1e-9
    )


@given(log=solids(), species=st.sampled_from([s for s in species_list() if s.get("green_moisture_whole")]))
@generated(60)
def test_parts_of_a_weight_add_up_and_stay_in_order(log, species) -> None:
    weight = log_weight(log, species)
    assert 0.0 < weight.low_kg <= weight.typical_kg <= weight.high_kg
    assert weight.low_kg == pytest.approx(weight.wood_kg[0] + weight.bark_kg[0], rel=1e-12)
    assert weight.high_kg == pytest.approx(weight.wood_kg[1] + weight.bark_kg[1], rel=1e-12)
    assert 0.0 <= weight.bark_kg[0] <= weight.bark_kg[1]
    wood = weight.density.typical_kg_m3 * log.volume_mm3() / 1e9
    assert weight.typical_kg == pytest.approx(wood + 0.5 * sum(weight.bark_kg), rel=1e-12)


def test_known_bark_counts_from_four_fifths_to_whole() -> None:
    beech = find_species("american beech")
    log = oval_log(bark_mm=9.0)
    whole = bark_volume_mm3(log) / 1e9 * beech.need("bark_density")
    assert log_weight(log, beech).bark_kg == pytest.approx((0.8 * whole, whole), rel=1e-12)
    assert not any("bark" in note for note in log_weight(log, beech).notes)


def test_bark_of_unknown_weight_counts_from_nothing_to_the_heaviest_known() -> None:
    maple = find_species("red maple")
    assert maple.get("bark_density") is None
    log = oval_log(bark_mm=9.0)
    weight = log_weight(log, maple)
    heaviest = max(known.values["bark_density"].value for known in species_list() if "bark_density" in known.values)
    assert weight.bark_kg == pytest.approx((0.0, bark_volume_mm3(log) / 1e9 * heaviest), rel=1e-12)
    assert any(note.startswith("Red maple: the weight of its bark is not known;") for note in weight.notes)
    with_bark = own_species("red maple", {"bark_density": 800.0})
    assert log_weight(log, with_bark).bark_kg[1] == pytest.approx(0.8 * bark_volume_mm3(log) / 1e6, rel=1e-12)


def test_a_log_whose_bark_is_not_known_is_all_wood_and_says_so() -> None:
    weight = log_weight(oval_log(), find_species("american beech"))
    assert weight.bark_kg == (0.0, 0.0)
    assert "The bark is not known: the weight is that of the log as measured, all of it taken as wood." in weight.notes


def test_measured_sapwood_narrows_the_weight() -> None:
    cedar = find_species("western redcedar")
    log = oval_log(bark_mm=8.0)
    told = replace(log, sapwood_mm=22.0)
    weight, without = log_weight(told, cedar), log_weight(log, cedar)
    assert weight.density == green_density(cedar, heart_share=heart_share(told, 22.0))
    assert weight.high_kg - weight.low_kg < without.high_kg - without.low_kg
    assert weight.density.basis == "heartwood and sapwood by their share"


def test_a_species_of_unknown_moisture_is_not_weighed() -> None:
    with pytest.raises(UnknownValueError, match="Invented willow: no green moisture is known"):
        log_weight(oval_log(), own_species("Invented willow", {"specific_gravity_green": 0.37}))


@given(center=st.floats(-500.0, 6_000.0), first=st.floats(0.0, 3_000.0), apart=st.floats(1.0, 4_000.0))
@generated(100)
def test_loads_of_two_horses_balance_the_log(center: float, first: float, apart: float) -> None:
    loads = horse_loads(center, (first, first + apart))
    assert sum(loads.share) == pytest.approx(1.0, abs=1e-9)
    moment = loads.share[0] * first + loads.share[1] * (first + apart)
    assert moment == pytest.approx(center, abs=1e-6)
    assert loads.at_mm == (first, first + apart)
    if min(abs(center - first), abs(center - first - apart)) > 1e-6:
        assert loads.tips == (not first <= center <= first + apart)


def test_a_log_of_three_to_one_worked_by_hand() -> None:
    # Horses at 600 and 4600, balance at 1600: 3000 / 4000 on the butt's and 1000 / 4000 on the tip's.
    loads = horse_loads(1_600.0, (600.0, 4_600.0))
    assert loads.share == pytest.approx((0.75, 0.25))
    assert not loads.tips
    tipping = horse_loads(1_600.0, (1_900.0, 4_600.0))
    assert tipping.tips
    assert tipping.share[1] < 0.0


@pytest.mark.parametrize("places", [(900.0, 900.0), (2_000.0, 700.0), (900.0, 900.9)])
def test_horses_stand_at_two_places_the_butts_first(places) -> None:
    with pytest.raises(OutOfRangeError, match=r"^horses: give two places, the one nearer the butt first\.$"):
        horse_loads(1_500.0, places)


def even_beam_overhang() -> float:
    """Overhang, of the length, at which ends and middle of an even beam come to the same depth; worked apart.

    Half length h = 1/2, half span b = h - a, load and stiffness 1, depth v downward from the horses, u from the middle.
    Between the horses the moment is c - u^2 / 2 with c = h b - h^2 / 2, so v'' = u^2 / 2 - c and
    v(0) = c b^2 / 2 - b^4 / 24. Beyond them it is -(h - u)^2 / 2, so v(h) = a^4 / 8 - a (c b - b^3 / 6).
    """

    def gap(a: float) -> float:
        h = 0.5
        b = h - a
        c = h * b - h * h / 2.0
        return (c * b**2 / 2.0 - b**4 / 24.0) - (a**4 / 8.0 - a * (c * b - b**3 / 6.0))

    return float(brentq(gap, 0.15, 0.30, xtol=1e-14))


def depth_on(log, places) -> float:
    """Greatest departure of a log's axis from the line over its horses, to scale: one load case, integrated twice."""
    z = np.linspace(0.0, log.length_mm, 2_401)
    at, areas = dense(log)
    area = np.interp(z, at, areas)
    load = area / area.mean()
    weight = np.trapezoid(load, z)
    center = np.trapezoid(load * z, z) / weight
    tip = weight * (center - places[0]) / (places[1] - places[0])
    lifted = (weight - tip) * np.maximum(z - places[0], 0.0) + tip * np.maximum(z - places[1], 0.0)
    moment = lifted - cumulative_trapezoid(cumulative_trapezoid(load, z, initial=0.0), z, initial=0.0)
    bent = cumulative_trapezoid(cumulative_trapezoid(moment / load**2, z, initial=0.0), z, initial=0.0)
    ends = np.interp(places, z, bent)
    line = ends[0] + (ends[1] - ends[0]) * (z - places[0]) / (places[1] - places[0])
    return float(np.abs(bent - line).max())


def test_an_even_log_lies_best_at_the_places_of_the_closed_form() -> None:
    overhang = even_beam_overhang()
    assert overhang == pytest.approx(0.22315, abs=5e-6)
    length = 6_140.0
    loads = best_horses(round_log(350.0, length))
    assert loads.at_mm[0] / length == pytest.approx(overhang, abs=1.0 / GRID)
    assert 1.0 - loads.at_mm[1] / length == pytest.approx(overhang, abs=1.0 / GRID)
    assert sum(loads.share) == pytest.approx(1.0, abs=1e-12)
    assert loads.share == pytest.approx((0.5, 0.5), abs=0.01)


def test_the_second_way_to_a_logs_depth_finds_the_closed_form_too() -> None:
    """The integral that the next test leans on, held against the formula of the even beam."""
    log, overhang = round_log(350.0, 6_140.0), even_beam_overhang()
    best = depth_on(log, (overhang * 6_140.0, (1.0 - overhang) * 6_140.0))
    for off in (-0.02, -0.008, 0.008, 0.02):
        assert depth_on(log, ((overhang + off) * 6_140.0, (1.0 - overhang - off) * 6_140.0)) > best


@pytest.mark.parametrize(("butt", "tip"), [(350.0, 350.0), (420.0, 290.0), (610.0, 240.0), (290.0, 420.0)])
def test_no_place_nearby_bends_a_log_less(butt: float, tip: float) -> None:
    length = 5_480.0
    log = round_log(butt, length, tip_mm=tip) if butt >= tip else turned_about(round_log(tip, length, tip_mm=butt))
    places = best_horses(log).at_mm
    best = depth_on(log, places)
    step = length / GRID
    for first in (-2, -1, 0, 1, 2):
        for second in (-2, -1, 0, 1, 2):
            moved = (places[0] + first * step, places[1] + second * step)
            # The two integrals are on grids of 120 and 2400 steps, and differ by under 1 %.
            assert depth_on(log, moved) >= best * 0.99


def turned_about(log):
    """The log seen from its tip."""
    return replace(
        log,
        z_mm=log.z_mm[-1] - log.z_mm[::-1],
        center_mm=log.center_mm[::-1],
        shape_mm=log.shape_mm[::-1],
        pith_mm=log.pith_mm[::-1],
    )


def test_a_log_turned_about_has_its_horses_turned_about() -> None:
    log = round_log(480.0, 5_480.0, tip_mm=300.0)
    forth, back = best_horses(log), best_horses(turned_about(log))
    step = 5_480.0 / GRID
    assert back.at_mm == pytest.approx((5_480.0 - forth.at_mm[1], 5_480.0 - forth.at_mm[0]), abs=1.01 * step)


@pytest.mark.parametrize(("tip", "least"), [(450.0, 0.54), (300.0, 0.64), (210.0, 0.70)])
def test_on_a_tapered_log_the_horse_near_the_butt_carries_more(tip: float, least: float) -> None:
    """The load follows from the place: kind frozen for the least share, the rest derived apart."""
    length = 5_480.0
    log = round_log(520.0, length, tip_mm=tip)
    loads = best_horses(log)
    assert loads.share[0] > max(loads.share[1], least)
    assert not loads.tips
    again = horse_loads(center_of_mass_mm(log), loads.at_mm)
    assert again == loads


@given(log=solids())
@generated(15)
def test_horses_stand_under_the_log_and_it_lies_on_both(log) -> None:
    loads = best_horses(log)
    assert 0.0 < loads.at_mm[0] < center_of_mass_mm(log) < loads.at_mm[1] < log.length_mm
    assert not loads.tips
    assert all(
        place * GRID / log.length_mm == pytest.approx(round(place * GRID / log.length_mm), abs=1e-6)
        for place in loads.at_mm
    )
