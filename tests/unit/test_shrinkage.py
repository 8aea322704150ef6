"""Shrinkage: there and back, two forms of one equation, limits.

Printed values are held in tests/validation/test_wood_shrinkage.py.
Kind of what stands here: derived apart, unless said.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import OutOfRangeError, UnknownValueError
from pithline.wood.shrinkage import (
    COEFFICIENT_RANGE,
    change_by_coefficient,
    coefficient_of_change,
    lumber_shrinkage,
    moved,
    section_shrinkage,
    shrinkage_at,
)
from pithline.wood.species import find_species, own_species, species_list
from strategies import generated

totals = st.floats(0.0, 0.16)
moistures = st.floats(0.0, 0.60)
saturations = st.floats(0.18, 0.36)
sizes = st.floats(15.0, 900.0)


@given(total=totals, low=moistures, high=moistures, saturation=saturations)
@generated(100)
def test_drier_wood_has_shrunk_more_and_saturated_wood_not_at_all(
    total: float, low: float, high: float, saturation: float
) -> None:
    low, high = sorted((low, high))
    dry, damp = (shrinkage_at(total, moisture, saturation=saturation) for moisture in (low, high))
    assert 0.0 <= damp <= dry <= total
    assert shrinkage_at(total, 0.0, saturation=saturation) == total
    assert shrinkage_at(total, saturation + high, saturation=saturation) == 0.0


@given(total=totals, saturation=saturations, share=st.floats(0.0, 1.0))
@generated(60)
def test_shrinkage_runs_evenly_from_saturation_to_oven_dry(total: float, saturation: float, share: float) -> None:
    ours = shrinkage_at(total, share * saturation, saturation=saturation)
    assert ours == pytest.approx((1.0 - share) * total, abs=1e-15)


@given(size=sizes, total=totals, before=moistures, after=moistures, saturation=saturations)
@generated(150)
def test_a_piece_moved_there_and_back_has_its_size(
    size: float, total: float, before: float, after: float, saturation: float
) -> None:
    there = moved(size, total, before=before, after=after, saturation=saturation)
    back = moved(there, total, before=after, after=before, saturation=saturation)
    assert back == pytest.approx(size, rel=1e-13)


@given(size=sizes, total=totals, stops=st.tuples(moistures, moistures, moistures))
@generated(100)
def test_a_piece_moved_in_two_steps_is_where_one_step_leads(size: float, total: float, stops) -> None:
    first, middle, last = stops
    once = moved(size, total, before=first, after=last)
    twice = moved(moved(size, total, before=first, after=middle), total, before=middle, after=last)
    assert twice == pytest.approx(once, rel=1e-13)


@given(size=sizes, total=st.floats(0.001, 0.16), before=st.floats(0.0, 0.30), after=st.floats(0.0, 0.30))
@generated(100)
def test_moving_is_the_other_form_of_the_handbooks_equation(
    size: float, total: float, before: float, after: float
) -> None:
    """FPL-GTR-190, Eq. 13-3, dD = D (M2 - M1) / (30 (100) / S - 30 + M1) in percent; kind: from memory."""
    first, last, percent = 100.0 * before, 100.0 * after, 100.0 * total
    change = size * (last - first) / (30.0 * 100.0 / percent - 30.0 + first)
    assert moved(size, total, before=before, after=after) - size == pytest.approx(change, rel=1e-9, abs=1e-10)


def test_a_plank_worked_by_hand() -> None:
    # 200 mm at saturation, 7.6 % in all, to 12 %: 200 x 7.6 % x 18 / 30 = 9.12 mm less.
    assert moved(200.0, 0.076, before=0.30, after=0.12) == pytest.approx(190.88, abs=1e-9)
    # The same plank found at 19 %, so already 200 x (1 - 0.076 x 11 / 30) = 194.43 mm wide.
    assert moved(194.426667, 0.076, before=0.19, after=0.12) == pytest.approx(190.88, abs=1e-5)


@given(total=st.floats(0.001, 0.16), saturation=saturations)
@generated(60)
def test_the_coefficient_is_the_slope_of_moving_at_10_percent(total: float, saturation: float) -> None:
    step = 1e-5
    up, down = (moved(1.0, total, before=0.10, after=0.10 + off, saturation=saturation) for off in (step, -step))
    ours = coefficient_of_change(total, saturation=saturation)
    assert ours == pytest.approx((up - down) / (2.0 * step), rel=1e-8)


@given(coefficient=st.floats(0.05, 0.5), before=st.floats(0.06, 0.14), after=st.floats(0.06, 0.14))
@generated(60)
def test_a_change_by_coefficient_turns_its_sign_with_the_direction(
    coefficient: float, before: float, after: float
) -> None:
    there = change_by_coefficient(487.0, coefficient, before=before, after=after)
    assert there == -change_by_coefficient(487.0, coefficient, before=after, after=before)
    assert (there < 0.0) == (after < before)


@pytest.mark.parametrize(("before", "after"), [(0.15, 0.10), (0.10, 0.05), (0.19, 0.12), (0.06, 0.1401)])
def test_coefficients_do_not_reach_past_their_range(before: float, after: float) -> None:
    assert COEFFICIENT_RANGE == (0.06, 0.14)
    with pytest.raises(OutOfRangeError, match=r"the coefficients hold from 6 to 14 %\."):
        change_by_coefficient(300.0, 0.27, before=before, after=after)


@pytest.mark.parametrize(
    ("total", "moisture", "saturation"), [(0.08, -0.01, 0.30), (-0.01, 0.1, 0.30), (0.5, 0.1, 0.30), (0.08, 0.1, 0.0)]
)
def test_what_no_wood_does_is_refused(total: float, moisture: float, saturation: float) -> None:
    with pytest.raises(OutOfRangeError, match="no wood does that"):
        shrinkage_at(total, moisture, saturation=saturation)
    with pytest.raises(OutOfRangeError, match="no wood does that"):
        moved(100.0, total, before=moisture, after=0.10, saturation=saturation)


def test_lumber_shrinks_less_in_thickness_and_only_in_its_range() -> None:
    # FPL-RP-489: 6.031 - 0.215 M and 5.062 - 0.181 M, in percent; kind: published.
    for percent in (8.0, 11.3, 19.0):
        width, thickness = (lumber_shrinkage(side, percent / 100.0) for side in ("width", "thickness"))
        assert width == pytest.approx((6.031 - 0.215 * percent) / 100.0, rel=1e-12)
        assert thickness == pytest.approx((5.062 - 0.181 * percent) / 100.0, rel=1e-12)
        assert thickness < width
    for moisture in (0.079, 0.191):
        with pytest.raises(OutOfRangeError, match=r"the formula holds from 8 to 19 %\."):
            lumber_shrinkage("width", moisture)


@pytest.mark.parametrize("species", species_list(), ids=lambda species: species.name)
def test_a_timbers_side_shrinks_between_radial_and_tangential(species) -> None:
    if species.get("shrinkage_radial") is None:
        with pytest.raises(UnknownValueError, match=f"{species.name}: the radial shrinkage is not known"):
            section_shrinkage(species, 0.15)
        return
    found = section_shrinkage(species, 0.15)
    left = 1.0 - 0.15 / species.fiber_saturation
    assert found.low == pytest.approx(species.need("shrinkage_radial") * left, rel=1e-12)
    assert found.high == pytest.approx(species.need("shrinkage_tangential") * left, rel=1e-12)
    assert found.middle == pytest.approx(0.5 * (found.low + found.high), rel=1e-15)
    green = section_shrinkage(species, 0.45)
    assert (green.low, green.high) == (0.0, 0.0)


def test_recalled_shrinkage_is_told_and_the_users_is_not() -> None:
    notes = section_shrinkage(find_species("eastern white pine"), 0.14).notes
    assert notes == ("Eastern white pine: radial shrinkage and tangential shrinkage from memory.",)
    mine = own_species("eastern white pine", {"shrinkage_radial": 0.024, "shrinkage_tangential": 0.059})
    assert section_shrinkage(mine, 0.14).notes == ()
    assert section_shrinkage(find_species("eastern hemlock"), 0.14).notes == ()


def test_a_species_whose_sides_are_given_the_wrong_way_round_still_gives_a_range() -> None:
    odd = own_species("Hill farm willow", {"shrinkage_radial": 0.09, "shrinkage_tangential": 0.05})
    found = section_shrinkage(odd, 0.0)
    assert (found.low, found.high) == (0.05, 0.09)


def test_wood_below_nothing_is_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"at moisture -3 %"):
        section_shrinkage(find_species("tamarack"), -0.03)
