"""Straight boards between wane edges: a linear program by scipy for each pair of stations, and plain loops."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from pithline.patterns import WantedBoard
from pithline.patterns.strips import SLANT_MM, Terms, best_strip, slanted_values, slants_of, span_limits, strip_values
from strategies import INCH, generated

STEP = INCH / 16.0

SLACK_MM = 0.02
"""How much narrower the strip of a slant found by golden section may be than the linear program's."""

NO_WOOD = 1.0e6


@st.composite
def flitches(draw, *, gaps=False):
    """Wane edges at uneven stations, wandering and leaning; with gaps, some stations have no wood."""
    count = draw(st.integers(2, 7))
    z = np.cumsum([0.0, *(draw(st.floats(90.0, 800.0)) for _ in range(count - 1))])
    lean = draw(st.floats(-0.03, 0.03))
    middle = draw(st.floats(-60.0, 60.0)) + lean * z + np.array([draw(st.floats(-25.0, 25.0)) for _ in z])
    half = np.array([draw(st.floats(25.0, 150.0)) for _ in z])
    low, high = middle - half, middle + half
    if gaps:
        gone = draw(st.integers(0, count - 1))
        low[gone], high[gone] = NO_WOOD, -NO_WOOD
    return z, low, high


boards = st.builds(
    WantedBoard,
    name=st.just("board"),
    thickness_mm=st.just(INCH),
    least_width_mm=st.floats(40.0, 140.0),
    least_length_mm=st.floats(100.0, 1_600.0),
    value_bf=st.just(0.7),
)


def widest(z, low, high):
    """Width of the widest straight strip over all of some stations, by linear programming."""
    at = z - z[0]
    rows = [[-t, -1.0, 0.5] for t in at] + [[t, 1.0, 0.5] for t in at]
    answer = linprog(
        [0.0, 0.0, -1.0], A_ub=np.array(rows), b_ub=np.concatenate([-low, high]), bounds=[(None, None)] * 3
    )
    assert answer.status == 0
    return -float(answer.fun)


def best_area(z, low, high, board, *, slack):
    """Most area of a board over any pair of stations, its width in whole steps, so much given up first."""
    most = 0.0
    for i, j in itertools.combinations(range(len(z)), 2):
        within = slice(i, j + 1)
        if z[j] - z[i] < board.least_length_mm or (low[within] >= high[within]).any():
            continue
        width = math.floor((widest(z[within], low[within], high[within]) - slack) / STEP) * STEP
        if width >= board.least_width_mm:
            most = max(most, width * (z[j] - z[i]))
    return most


def agrees_with_the_program(flitch, board):
    """Whether the board is as large as the largest, and lies in its flitch."""
    z, low, high = flitch
    strip = best_strip(z, (low, high), board=board, value_mm2=0.003, step_mm=STEP)
    least = best_area(z, low, high, board, slack=SLACK_MM)
    most = best_area(z, low, high, board, slack=-1e-6)
    if strip is None:
        assert least == 0.0
        return
    area = strip.width_mm * (strip.end_mm - strip.start_mm)
    assert strip.value == pytest.approx(0.003 * area)
    assert least - 1e-6 <= area <= most + 1e-6
    assert strip.end_mm - strip.start_mm >= board.least_length_mm - 1e-6
    assert strip.width_mm >= board.least_width_mm - 1e-6
    assert strip.width_mm / STEP == pytest.approx(round(strip.width_mm / STEP), abs=1e-6)
    within = (z >= strip.start_mm) & (z <= strip.end_mm)
    ends, middles = (strip.start_mm, strip.end_mm), (strip.middle_start_mm, strip.middle_end_mm)
    middle = np.interp(z[within], ends, middles)
    assert (middle - 0.5 * strip.width_mm >= low[within] - 1e-6).all()
    assert (middle + 0.5 * strip.width_mm <= high[within] + 1e-6).all()


@generated(60)
@given(flitches(), boards)
def test_the_best_strip_is_that_of_a_linear_program(flitch, board):
    agrees_with_the_program(flitch, board)


@generated(60)
@given(flitches(gaps=True), boards)
def test_a_flitch_that_runs_out_of_wood_gives_the_best_strip_of_the_rest(flitch, board):
    agrees_with_the_program(flitch, board)


def test_a_flitch_that_leans_from_side_to_side_is_sawn_along_its_slant():
    # 100 mm wide all along, and its middle goes from -120 to 120 mm: by hand 62 steps of 1/16 in.
    z = np.array([0.0, 410.0, 1_150.0, 1_900.0])
    middle = -120.0 + 240.0 * z / 1_900.0
    board = WantedBoard("lath", INCH, 60.0, 1_500.0, 0.4)
    strip = best_strip(z, (middle - 50.0, middle + 50.0), board=board, value_mm2=1.0, step_mm=STEP)
    assert (strip.start_mm, strip.end_mm) == (0.0, 1_900.0)
    assert strip.width_mm == pytest.approx(62 * STEP)
    assert (strip.middle_start_mm, strip.middle_end_mm) == pytest.approx((-120.0, 120.0), abs=0.5)


@pytest.mark.parametrize(
    ("least_width", "least_length", "comes"),
    [(60.325, 1_100.0, True), (61.0, 1_100.0, False), (60.0, 1_100.1, False), (60.0, 690.0, True)],
)
def test_least_sizes_are_kept_to_the_hair(least_width, least_length, comes):
    # 38 steps of 1/16 in are 60.325 mm.
    z = np.array([0.0, 400.0, 1_100.0])
    low, high = np.array([-30.0, -31.0, -30.0]), np.array([30.4, 33.0, 30.4])
    board = WantedBoard("lath", INCH, least_width, least_length, 0.4)
    strip = best_strip(z, (low, high), board=board, value_mm2=1.0, step_mm=STEP)
    assert (strip is not None) == comes
    if comes:
        assert (strip.width_mm, strip.end_mm - strip.start_mm) == pytest.approx((60.325, 1_100.0))


def test_a_gap_in_the_middle_parts_a_flitch():
    z = np.array([0.0, 300.0, 700.0, 1_000.0, 1_600.0])
    low = np.array([-40.0, -40.0, NO_WOOD, -45.0, -45.0])
    high = np.array([40.0, 40.0, -NO_WOOD, 45.0, 45.0])
    board = WantedBoard("lath", INCH, 60.0, 250.0, 0.4)
    strip = best_strip(z, (low, high), board=board, value_mm2=1.0, step_mm=STEP)
    assert (strip.start_mm, strip.end_mm) == (1_000.0, 1_600.0)
    longer = WantedBoard("lath", INCH, 60.0, 601.0, 0.4)
    assert best_strip(z, (low, high), board=longer, value_mm2=1.0, step_mm=STEP) is None


# --- many flitches at once ----------------------------------------------------------------------


@st.composite
def stretches(draw):
    """Limits of some flitches within stretches, and what each must measure."""
    count, flitches_of = draw(st.integers(1, 6)), draw(st.integers(1, 4))
    ends = np.cumsum([0.0, *(draw(st.floats(50.0, 700.0)) for _ in range(count))])
    numbers = st.floats(-200.0, 200.0)
    low = np.array([[draw(numbers) for _ in range(flitches_of)] for _ in range(count)])
    high = low + np.array([[draw(st.floats(-20.0, 250.0)) for _ in range(flitches_of)] for _ in range(count)])
    least = [draw(st.floats(20.0, 120.0)) for _ in range(flitches_of)]
    long = [draw(st.floats(60.0, 1_500.0)) for _ in range(flitches_of)]
    return ends, low, high, np.array(least), np.array(long)


@generated(60)
@given(stretches(), st.just(math.inf) | st.floats(30.0, 160.0), st.sampled_from([0.0, STEP, 10.0]))
def test_worths_of_many_flitches_are_those_of_plain_loops(made, most, step):
    ends, low, high, least, long = made
    rate = 0.5 + np.arange(low.shape[1])
    edging = 7.0 + 3.0 * np.arange(low.shape[1])
    terms = Terms(least, long, rate, edging_mm=edging, most_mm=most, step_mm=step)
    found = strip_values(ends, (low, high), terms=terms)
    for flitch in range(low.shape[1]):
        best = 0.0
        for first in range(len(low)):
            for last in range(first, len(low)):
                own = slice(first, last + 1)
                width = min(high[own, flitch].min() - low[own, flitch].max(), most)
                if step:
                    width = step * math.floor(width / step + 1e-9)
                length = ends[last + 1] - ends[first]
                if width >= least[flitch] and length >= long[flitch]:
                    best = max(best, (rate[flitch] * width - edging[flitch]) * length)
        assert found[flitch] == pytest.approx(best)


@pytest.mark.parametrize(
    ("wide", "step", "least", "worth"),
    [
        # 100.0 mm are 62 sixteenths of an inch, 98.425 mm, and a rest; without steps all of it counts.
        (100.0, STEP, 60.0, 98.425 * 900.0),
        (100.0, 0.0, 60.0, 100.0 * 900.0),
        # What is as wide as the least size before it is rounded down, and no more after, is no board.
        (100.0, STEP, 99.0, 0.0),
        (100.0, 0.0, 99.0, 100.0 * 900.0),
        # A hair under a whole step counts as one, a hundredth of a millimeter does not.
        (98.425 - 1e-10, STEP, 60.0, 98.425 * 900.0),
        (98.425 - 0.01, STEP, 60.0, 96.8375 * 900.0),
        # 5 3/4 in is a whole step and the least width itself.
        (146.05 + 0.3, STEP, 146.05, 146.05 * 900.0),
    ],
)
def test_widths_are_rounded_down_to_whole_steps_by_hand(wide, step, least, worth):
    limits = (np.array([[-30.0]]), np.array([[wide - 30.0]]))
    found = strip_values(np.array([50.0, 950.0]), limits, terms=Terms(least, 300.0, 1.0, step_mm=step))
    assert float(found[0]) == pytest.approx(worth)


@generated(40)
@given(st.integers(2, 60), st.data())
def test_limits_of_stretches_hold_at_every_station_in_them(count, data):
    z = np.cumsum([0.0, *(data.draw(st.floats(10.0, 300.0)) for _ in range(count - 1))])
    low = np.array([[data.draw(st.floats(-90.0, 0.0)), -float(k)] for k in range(count)])
    ends, (left, right) = span_limits(z, (low, -2.0 * low))
    assert (ends[0], ends[-1]) == (z[0], z[-1])
    # Few stations part a flitch each; many are taken together.
    assert len(left) == len(ends) - 1 >= min(8, count - 1)
    assert set(ends) <= set(z)
    for k, (first, last) in enumerate(itertools.pairwise(ends)):
        own = (z >= first) & (z <= last)
        assert own.sum() >= 2
        assert (left[k] == low[own].max(axis=0)).all()
        assert (right[k] == (-2.0 * low[own]).min(axis=0)).all()


@generated(40)
@given(flitches(), boards)
def test_the_best_strip_is_no_less_than_one_without_slant(flitch, board):
    z, low, high = flitch
    ends, limits = span_limits(z, (low[:, None], high[:, None]))
    plain = float(strip_values(ends, limits, terms=Terms(board.least_width_mm, board.least_length_mm, 1.0))[0])
    step = 1e-3
    slanting = best_strip(z, (low, high), board=board, value_mm2=1.0, step_mm=step)
    held = 0.0 if slanting is None else slanting.value
    assert held >= plain - step * z[-1]


@generated(40)
@given(flitches(), boards, st.lists(st.floats(-0.05, 0.05), min_size=1, max_size=3))
def test_a_slant_is_a_flitch_sheared_and_the_best_of_several_counts(flitch, board, slants):
    z, low, high = flitch
    limits = (np.column_stack([low, low - 9.0]), np.column_stack([high, high + 4.0]))
    terms = Terms(board.least_width_mm, board.least_length_mm, 1.5, edging_mm=2.0)
    found = slanted_values(z, limits, slants=tuple(slants), terms=terms)
    each = []
    for slant in slants:
        lean = slant * z[:, None]
        ends, own = span_limits(z, (limits[0] - lean, limits[1] - lean))
        each.append(strip_values(ends, own, terms=terms))
    assert found == pytest.approx(np.max(each, axis=0))


def test_slants_follow_the_bow_by_hand():
    z = np.array([0.0, 500.0, 1_000.0, 2_000.0])
    # Over the butt's 1,000 mm the middle goes 12 mm to the right, over the tip's 20 mm back.
    assert slants_of(z, np.array([0.0, 9.0, 12.0, -8.0])) == pytest.approx((0.0, 0.012, -0.02))
    assert slants_of(z, np.array([0.0, 9.0, 12.0, 12.0 + 0.99 * SLANT_MM])) == pytest.approx((0.0, 0.012))
    assert slants_of(z, np.array([4.0, 4.0, 4.0, 4.0])) == (0.0,)
