"""What a task is reckoned by: money for minutes, boards the mill can be set for, and the grid of heights."""

import pytest

from pattern_cases import BF_MM3, BOARD, CROOKED, PLANK, PRICES, ROW, task_of
from pithline.fit import Timber
from pithline.logs import solid_from_tally
from pithline.patterns import PriceList, WantedBoard, WantedTimber
from strategies import INCH, KIT, altered


def test_money_and_minutes_by_hand():
    task = task_of(CROOKED)
    # 20 an hour.
    assert task.minute == pytest.approx(1.0 / 3.0)
    # A plank of 1 1/2 in brings 0.80 a board foot, which is 96 in2 of its face.
    assert task.board_rate(PLANK) * 96.0 * INCH**2 == pytest.approx(0.8)
    assert task.board_rate(BOARD) * BF_MM3 == pytest.approx(0.7 * INCH)
    # Two edges of 38.1 mm at 0.2 m2 a minute, and 4 minutes a board.
    assert task.edging_minutes(PLANK, 2_700.0) == pytest.approx(4.0 + 2.0 * 38.1 * 2_700.0 / 0.2e6)
    assert task.edging_start == pytest.approx(4.0 / 3.0)
    assert task.edging_rate(PLANK) * 2_700.0 + task.edging_start == pytest.approx(
        task.minute * task.edging_minutes(PLANK, 2_700.0)
    )
    terms = task.terms(PLANK)
    assert (terms.least_width_mm, terms.least_length_mm) == (PLANK.least_width_mm, PLANK.least_length_mm)
    assert (terms.value_mm2, terms.edging_mm) == (task.board_rate(PLANK), task.edging_rate(PLANK))
    # Boards are told in whole sixteenths of an inch, and so reckoned.
    assert terms.step_mm == pytest.approx(INCH / 16)


def test_the_widest_cut_leaves_room_for_bark():
    assert task_of(CROOKED).room_mm == pytest.approx(22 * INCH - 2 * 11.0)
    bare = solid_from_tally(ROW.__class__("bare", "spruce", 3_000.0, 400.0, 380.0))
    assert task_of(bare).room_mm == pytest.approx(22 * INCH)


def test_boards_that_the_mill_cannot_be_set_for_are_left_out():
    thin, thick = WantedBoard("thin", 12.0, 90.0, 900.0, 0.5), WantedBoard("thick", 199.0, 200.0, 900.0, 0.5)
    just = WantedBoard("just", 12.7, 90.0, 900.0, 0.5)
    prices = PriceList((), (thin, PLANK, thick, just))
    assert task_of(CROOKED, prices).boards == (PLANK, thick, just)
    low = altered(KIT, "mill", setting_max_mm=150.0)
    assert task_of(CROOKED, prices, low).boards == (PLANK, just)


@pytest.mark.parametrize(
    ("sizes", "boards", "kerf", "step"),
    [
        # Whole sixteenths of an inch.
        ([(6 * INCH, 8 * INCH)], [1.5 * INCH], 0.375 * INCH, INCH / 16),
        ([(6 * INCH, 8 * INCH)], [1.5 * INCH], 11 * INCH / 32, INCH / 32),
        ([(150.0, 200.0)], [38.0, 25.0], 9.0, 1.0),
        # None of them serves: sixteenths then.
        ([(150.3, 200.0)], [38.0], 9.0, INCH / 16),
        ([], [], 9.0, INCH / 16),
    ],
)
def test_the_grid_is_one_that_layers_fit_evenly(sizes, boards, kerf, step):
    timbers = tuple(WantedTimber(f"timber {k}", Timber(*size)) for k, size in enumerate(sizes))
    sawn = tuple(WantedBoard(f"board {k}", up, 90.0, 900.0, 0.5) for k, up in enumerate(boards))
    task = task_of(CROOKED, PriceList(timbers, sawn), altered(KIT, "saw", kerf_mm=kerf))
    assert task.step_mm == pytest.approx(step)


@pytest.mark.parametrize(
    ("low", "high", "step", "steps"),
    [
        # Half an inch to 13 in are 8 to 208 sixteenths, not one more or less for a hair.
        (12.7, 13 * INCH, INCH / 16, (8, 208)),
        (12.7, 13 * INCH, INCH / 32, (16, 416)),
        # What lies between two steps is left out at both ends.
        (12.7, 13 * INCH, 1.0, (13, 330)),
        (12.8, 13 * INCH - 0.1, INCH / 16, (9, 207)),
    ],
)
def test_waste_is_as_thin_and_thick_as_the_mill_sets(low, high, step, steps):
    kit = altered(KIT, "mill", setting_min_mm=low, setting_max_mm=high)
    assert task_of(CROOKED, PRICES, kit).waste_steps(step) == steps


def test_a_task_is_not_changed_by_asking():
    task = task_of(CROOKED)
    assert task.step_mm == task.step_mm
    assert task.prices is PRICES
