"""Stickers and weight of a stack, by worked examples and by what must hold for every layer."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import WoodError
from pithline.wood.stacking import practice, stacking, stickers, top_weight
from strategies import generated


def test_stickers_of_a_4_m_layer():
    # Derived apart: 4 / 0.6 = 6.67, so 7 gaps of 0.571 m.
    layer = stickers(4_000.0)
    assert layer.count == 8
    assert layer.spacing_mm == pytest.approx(571.43, abs=0.005)
    assert layer.positions_mm[0] == 0.0
    assert layer.positions_mm[-1] == 4_000.0
    assert stickers(4_200.0).count == 8
    assert stickers(0.3 * 12_000.0, most_mm=300.0).count == 13


@generated(60)
@given(st.floats(300.0, 30_000.0), st.floats(100.0, 3_000.0))
def test_stickers_are_as_few_as_the_spacing_allows(length, most):
    layer = stickers(length, most_mm=most)
    assert layer.spacing_mm <= most * (1.0 + 1e-6)
    assert len(layer.positions_mm) == layer.count >= 2
    assert layer.count == 2 or length / (layer.count - 2) > most
    np.testing.assert_allclose(np.diff(layer.positions_mm), layer.spacing_mm)


def test_weight_on_a_pile_of_1_2_by_4_m():
    # Derived apart: 1.2 m x 4 m x 2.4 kPa = 11.52 kN, about 1.2 tonnes.
    weight = top_weight(1_200.0, 4_000.0)
    assert weight.force_n == pytest.approx(11_520.0)
    assert weight.mass_kg == pytest.approx(1_175.0, abs=0.5)
    assert top_weight(1_200.0, 4_000.0, pressure_kpa=7.2).force_n == pytest.approx(3.0 * weight.force_n)


def test_each_number_of_the_stack_has_its_status():
    assert practice("stick spacing").status == "seen"
    assert (practice("top weight").low, practice("top weight").high) == (2.4, 2.4)
    assert practice("foundation above ground").status == "memory"
    with pytest.raises(WoodError, match='nothing is told of "color of the sticks"; there are stick spacing;'):
        practice("color of the sticks")


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: stickers(100.0), "length: 100 mm; a layer lies between"),
        (lambda: stickers(4_000.0, most_mm=0.0), "sticker spacing: 0 mm"),
        (lambda: stickers(math.nan), "length: nan mm"),
        (lambda: top_weight(0.0, 4_000.0), "pile: 0 x 4000 mm"),
        (lambda: top_weight(1_200.0, 4_000.0, pressure_kpa=50.0), "top weight: 50 kPa"),
    ],
)
def test_a_stack_that_is_none_is_refused(call, message):
    with pytest.raises(WoodError, match=message):
        call()


def test_a_board_and_a_timber_are_stacked_by_their_own_rows():
    # Derived apart: 16 ft 1 in is 4,902 mm; over 600 mm 8.2, so 9 gaps; over 610 mm 8.04, so 9 gaps; over 300 mm 17.
    board, timber = stacking(4_902.0, 38.0), stacking(4_902.0, 152.4)
    assert (board.stickers.count, timber.stickers.count) == (10, 10)
    assert stacking(4_902.0, 38.0, keep_flat=True).stickers.count == 18
    assert stacking(4_902.0, 152.4, keep_flat=True) == timber
    assert (board.spacing.low, board.spacing.status) == (600.0, "seen")
    assert (timber.spacing.low, timber.spacing.status) == (610.0, "memory")
    assert (board.stick_thickness.high, timber.stick_thickness.low) == (25.0, 25.0)
    assert board.foundation.low == 300.0
    assert "Recalled, not read in print: sticker thickness, height above ground." in board.notes
    assert "Recalled, not read in print: sticker spacing, sticker thickness, height above ground." in timber.notes


def test_the_pile_is_as_wide_as_told_else_as_the_table_s_widest():
    narrow, usual = stacking(3_000.0, 50.0, pile_width_mm=900.0), stacking(3_000.0, 50.0)
    assert narrow.weight == top_weight(900.0, 3_000.0)
    assert usual.weight == top_weight(practice("pile width").high, 3_000.0)


def test_a_thickness_that_no_stack_has_is_refused():
    with pytest.raises(WoodError, match="thickness: 3 mm; it lies between 6 mm and 1 m"):
        stacking(3_000.0, 3.0)
