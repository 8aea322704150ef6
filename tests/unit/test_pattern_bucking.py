"""Plans of bucking: parts inside the log, a kerf apart, none twice; by hand for one list."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import CROOKED, task_of
from pithline.fit import Timber
from pithline.patterns import PriceList, WantedBoard, WantedTimber
from pithline.patterns.bucking import SLIVER_MM, plans_of, shifted
from strategies import KIT, altered, generated, round_log

KERF = KIT.saw.kerf_mm

GIVE_MM = 0.5
"""A part may be so much shorter than its timber."""


def task(log_mm, *lengths, least=None, kerf=KERF):
    """A log, a list of timbers of these lengths, and boards of a least length."""
    timbers = tuple(WantedTimber(f"timber {k}", Timber(60.0, 90.0, long), count=3) for k, long in enumerate(lengths))
    boards = () if least is None else (WantedBoard("board", 25.0, 90.0, least, 0.5),)
    kit = altered(KIT, "saw", kerf_mm=kerf)
    return task_of(round_log(400.0, log_mm, tip_mm=350.0), PriceList(timbers, boards), kit)


@st.composite
def tasks(draw):
    log_mm = draw(st.floats(1_500.0, 9_000.0))
    lengths = draw(st.lists(st.none() | st.floats(0.1, 1.1).map(lambda share: share * log_mm), max_size=5))
    least = draw(st.none() | st.floats(500.0, 9_500.0))
    return task(log_mm, *lengths, least=least, kerf=draw(st.floats(5.0, 12.0)))


def holds(plan, made):
    """Whether a plan's parts lie one behind the other in the log, a kerf between, each as long as a timber."""
    log_mm, kerf = made.log.length_mm, made.kit.saw.kerf_mm
    asked = [item.timber.length_mm or log_mm for item in made.prices.timbers]
    assert 1 <= len(plan) <= 3
    assert plan[0][0] >= 0.0
    assert plan[-1][1] <= log_mm
    for (_, end), (start, _) in itertools.pairwise(plan):
        assert start - end == pytest.approx(kerf)
    for start, end in plan:
        long = end - start
        assert long == log_mm or any(own - GIVE_MM - 1e-6 <= long < own + SLIVER_MM for own in asked)


@generated(60)
@given(tasks())
def test_parts_lie_in_the_log_a_kerf_apart(made):
    plans = plans_of(made)
    for plan in plans:
        holds(plan, made)
    for one, other in itertools.combinations(plans, 2):
        same = len(one) == len(other) and all(
            abs(a - b) < 5.0 for mine, theirs in zip(one, other, strict=True) for a, b in zip(mine, theirs, strict=True)
        )
        # Plans a hair apart may both stand where they part at the edge of what counts as one.
        assert one != other
        assert not same or any(
            round(a / 25.0) != round(b / 25.0)
            for mine, theirs in zip(one, other, strict=True)
            for a, b in zip(mine, theirs, strict=True)
        )


@generated(60)
@given(tasks())
def test_every_length_that_fits_has_a_plan_of_its_own(made):
    log_mm = made.log.length_mm
    plans = plans_of(made)
    for item in made.prices.timbers:
        long = item.timber.length_mm or log_mm
        if long <= log_mm:
            # Within what counts as one with another length.
            assert any(abs(plan[0][1] - plan[0][0] - long) < 2.0 * SLIVER_MM for plan in plans)
    if any(board.least_length_mm <= log_mm for board in made.boards):
        assert ((0.0, log_mm),) in plans


@generated(60)
@given(tasks())
def test_shifted_parts_keep_their_lengths(made):
    for plan in plans_of(made):
        found = shifted(plan, made)
        assert plan not in found
        assert len(set(found)) == len(found)
        for other in found:
            holds(other, made)
            lengths = sorted(end - start for start, end in plan)
            again = sorted(end - start for start, end in other)
            # The last part may take a sliver along.
            assert all(abs(a - b) <= SLIVER_MM for a, b in zip(lengths, again, strict=True))


def test_plans_of_a_short_list_by_hand():
    made = task(6_000.0, 4_000.0, 1_500.0, least=2_000.0, kerf=9.0)
    assert set(plans_of(made)) == {
        ((0.0, 6_000.0),),
        ((0.0, 4_000.0),),
        ((0.0, 4_000.0), (4_009.0, 5_509.0)),
        ((0.0, 1_500.0),),
        ((0.0, 1_500.0), (1_509.0, 5_509.0)),
        ((0.0, 1_500.0), (1_509.0, 3_009.0)),
        ((0.0, 1_500.0), (1_509.0, 3_009.0), (3_018.0, 4_518.0)),
    }


def test_a_sliver_is_not_cut_off():
    made = task(4_020.0, 4_000.0)
    assert plans_of(made) == (((0.0, 4_020.0),),)
    longer = task(4_030.0, 4_000.0)
    assert plans_of(longer) == (((0.0, 4_000.0),),)
    # A timber longer than the log by a hair makes the whole of it a part.
    assert plans_of(task(3_999.7, 4_000.0)) == (((0.0, 3_999.7),),)
    assert plans_of(task(3_999.4, 4_000.0)) == ()


def test_a_part_goes_to_the_tip_or_midway_by_hand():
    made = task(5_000.0, 4_000.0)
    assert shifted(((0.0, 4_000.0),), made) == (((1_000.0, 5_000.0),), ((500.0, 4_500.0),))
    two = ((0.0, 3_000.0), (3_000.0 + KERF, 4_200.0 + KERF))
    spare = 5_000.0 - 4_200.0 - KERF
    to_tip, turned_round = shifted(two, made)
    assert to_tip[0] == pytest.approx((spare, spare + 3_000.0))
    assert to_tip[1] == pytest.approx((5_000.0 - 1_200.0, 5_000.0))
    assert turned_round == (
        pytest.approx((0.0, 1_200.0)),
        pytest.approx((1_200.0 + KERF, 4_200.0 + KERF)),
    )
    assert shifted(((0.0, 5_000.0),), made) == ()


def test_nothing_that_fits_makes_no_plan():
    assert plans_of(task_of(CROOKED, PriceList())) == ()
    assert plans_of(task(3_000.0, 4_000.0, least=3_001.0)) == ()
