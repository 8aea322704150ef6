"""Layers between level cuts: every way to lay small logs out, one after the other, in plain Python."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.patterns.layers import Choice, best_counted, best_layers, chosen
from strategies import generated

HAIR = 1e-9


def at_best(choice, row, uses=None, most=()):
    """Most worth of any sequence of cuts and layers from the bottom up, all of them tried.

    `uses` of each kind of layer, summed, stay within `most`.
    """
    uses = uses or [tuple(0 for _ in most) for _ in choice.rise]
    least, deepest = choice.waste
    cost, gain = choice.cut_cost[row].tolist(), choice.gain[row].tolist()
    opens, closes = choice.may_open[row].tolist(), choice.may_close[row].tolist()
    rise, kerf, levels = choice.rise.tolist(), choice.kerf, len(cost)
    best = 0.0

    def on(top, worth, had):
        nonlocal best
        if top is not None and closes[top]:
            best = max(best, worth)
        # A cut above waste.
        for level in range(kerf if top is None else top + kerf, levels):
            deep = 0 if top is None else level - kerf - top
            if opens[level] and cost[level] < math.inf and (top is None or least <= deep <= deepest):
                on(level, worth - cost[level], had)
        # A layer right on the last cut.
        for own, up in enumerate(rise):
            if top is not None and top + up < levels:
                added = gain[top][own] - cost[top + up]
                more = tuple(a + b for a, b in zip(had, uses[own], strict=True))
                if added > -math.inf and all(a <= b for a, b in zip(more, most, strict=True)):
                    on(top + up, worth + added, more)

    on(None, 0.0, tuple(0 for _ in most))
    return best


def worth_of(choice, row, layers):
    """Worth of layers that are given from the top down, their cuts paid once each."""
    cost, kerf = choice.cut_cost[row], choice.kerf
    total, below = 0.0, None
    for bottom, own in layers[::-1]:
        if below != bottom:
            assert choice.may_open[row, bottom]
            assert bottom - kerf >= (0 if below is None else below)
            total -= cost[bottom]
        below = bottom + int(choice.rise[own])
        total += choice.gain[row, bottom, own] - cost[below]
    if not choice.may_close[row, below]:
        # Waste must come off first, down to a cut that may not be the highest.
        levels = np.arange(len(cost))
        first = (levels >= below + kerf) & (choice.may_close[row] > 0.0) & (choice.may_open[row] > 0.0)
        total -= cost[first].min()
    return total


@st.composite
def choices(draw, *, rows=3, twins=False):
    """Up to three small logs on which the same heights of layer may be sawn."""
    levels = draw(st.integers(4, 9))
    heights = draw(st.lists(st.integers(1, 5), min_size=1 if twins else 0, max_size=3, unique=True))
    if twins:
        heights = [*heights[:2], heights[0]]
    count = draw(st.integers(2 if twins else 1, rows))

    def table(*shape, of):
        return np.array([draw(of) for _ in range(math.prod(shape))]).reshape(shape)

    cost = st.sampled_from([0.25, 0.5, 0.0, 1.25, 2.75, math.inf])
    gain = st.sampled_from([3.25, 1.0, 0.5, 5.75, 2.0, 9.25, -0.75, -math.inf])
    yes = st.sampled_from([1.0, 1.0, 1.0, 0.0])
    return Choice(
        cut_cost=table(count, levels, of=cost),
        may_open=table(count, levels, of=yes),
        may_close=table(count, levels, of=yes),
        gain=table(count, levels, len(heights), of=gain),
        rise=np.array(heights, dtype=np.int64),
        kerf=draw(st.integers(1, 2)),
    )


def alone(choice, row):
    """One of the logs by itself."""
    return Choice(
        choice.cut_cost[[row]],
        choice.may_open[[row]],
        choice.may_close[[row]],
        choice.gain[[row]],
        choice.rise,
        choice.kerf,
    )


def agrees_with_all_ways(choice):
    together = best_layers(choice)
    for row in range(len(choice.cut_cost)):
        most = at_best(choice, row)
        single = best_layers(alone(choice, row))
        assert together.best[row] == pytest.approx(most, abs=HAIR)
        assert single.best[0] == pytest.approx(most, abs=HAIR)
        for layers in (chosen(choice, together, of=row), chosen(alone(choice, row), single)):
            if most > HAIR:
                assert layers
                assert worth_of(choice, row, layers) == pytest.approx(most, abs=HAIR)
            else:
                assert not layers


@generated(120)
@given(choices())
def test_the_best_layers_are_the_best_of_all_ways(choice):
    agrees_with_all_ways(choice)


@generated(80)
@given(choices(twins=True))
def test_two_kinds_of_layer_may_be_equally_high(choice):
    agrees_with_all_ways(choice)


@generated(80)
@given(choices(), st.integers(0, 2), st.integers(0, 3))
def test_waste_is_no_thinner_and_no_thicker_than_the_mill_sets(choice, least, more):
    limited = replace(choice, waste=(least, least + more))
    together = best_layers(limited)
    for row in range(len(choice.cut_cost)):
        most = at_best(limited, row)
        assert together.best[row] == pytest.approx(most, abs=HAIR)
        single = best_layers(replace(alone(choice, row), waste=limited.waste))
        assert single.best[0] == pytest.approx(most, abs=HAIR)
        layers = chosen(limited, together, of=row)
        if most > HAIR:
            assert worth_of(choice, row, layers) == pytest.approx(most, abs=HAIR)


@generated(80)
@given(choices(rows=1), st.data())
def test_no_more_is_taken_than_there_is_want_of(choice, data):
    counts = st.tuples(st.integers(0, 2), st.integers(0, 1))
    uses = [data.draw(counts) for _ in choice.rise]
    most = data.draw(st.tuples(st.integers(0, 3), st.integers(0, 2)))
    waste = (data.draw(st.integers(0, 1)), data.draw(st.sampled_from([2, 5, 1_000])))
    choice = replace(choice, waste=waste)
    layers, worth = best_counted(choice, uses, most=most)
    assert worth == pytest.approx(at_best(choice, 0, uses, most), abs=HAIR)
    for k in range(2):
        assert sum(uses[own][k] for _, own in layers) <= most[k]
    if worth > HAIR:
        assert worth_of(choice, 0, layers) == pytest.approx(worth, abs=HAIR)


def by_hand(**changes):
    """Two rows, the second with a dearer middle; kerf of 1 step, layers of 2 and 3 steps with their kerf."""
    values = {
        "cut_cost": np.array([[1.0] * 8, [1.0, 1.0, 1.0, 4.0, 1.0, 1.0, 1.0, 1.0]]),
        "may_open": np.ones((2, 8)),
        "may_close": np.ones((2, 8)),
        "gain": np.full((2, 8, 2), -math.inf),
        "rise": np.array([2, 3]),
        "kerf": 1,
    }
    values["gain"][:, 1, 0] = 5.0
    values["gain"][:, 3, 1] = 6.0
    return Choice(**(values | changes))


def test_two_layers_share_the_cut_between_them_by_hand():
    # A kerf ends at 1, a layer up to a kerf at 3, another up to one at 6: three cuts, 5 + 6 - 3.
    layering = best_layers(by_hand())
    assert layering.best.tolist() == [8.0, 5.0]
    assert layering.top.tolist() == [6, 6]
    assert chosen(by_hand(), layering, of=0) == [(3, 1), (1, 0)]
    # In the second log the shared cut costs 4: 5 + 6 - 6.
    assert chosen(by_hand(), layering, of=1) == [(3, 1), (1, 0)]


def test_a_cut_that_may_not_open_or_close_is_gone_around_by_hand():
    one = np.ones((2, 8))
    one[:, 1] = 0.0
    # The lower layer has no cut under it; the upper one is opened at 3 by itself.
    assert best_layers(by_hand(may_open=one)).best.tolist() == [4.0, 1.0]
    two = np.ones((2, 8))
    two[:, 6] = 0.0
    # The highest cut may not lie at 6: a slab above it, cut at 7, makes up for it, or only the lower layer comes.
    assert best_layers(by_hand(may_close=two)).best.tolist() == [7.0, 4.0]


@pytest.mark.parametrize("rows", [1, 2])
@pytest.mark.parametrize("gains", [(9.0, 4.0), (4.0, 9.0)])
def test_of_two_equally_high_layers_the_dearer_is_taken_by_hand(gains, rows):
    gain = np.full((rows, 6, 2), -math.inf)
    gain[:, 1] = gains
    choice = Choice(np.ones((rows, 6)), np.ones((rows, 6)), np.ones((rows, 6)), gain, np.array([2, 2]), 1)
    layering = best_layers(choice)
    assert layering.best.tolist() == [7.0] * rows
    assert chosen(choice, layering) == [(1, gains.index(9.0))]


@pytest.mark.parametrize("rows", [1, 2])
def test_nothing_is_worth_more_than_a_loss(rows):
    choice = by_hand()
    choice = Choice(
        choice.cut_cost[:rows] + 9.0,
        choice.may_open[:rows],
        choice.may_close[:rows],
        choice.gain[:rows],
        choice.rise,
        choice.kerf,
    )
    layering = best_layers(choice)
    assert layering.best.tolist() == [0.0] * rows
    assert chosen(choice, layering) == []
    bare = Choice(
        choice.cut_cost,
        choice.may_open,
        choice.may_close,
        np.empty((rows, 8, 0)),
        np.array([], dtype=np.int64),
        choice.kerf,
    )
    assert best_layers(bare).best.tolist() == [0.0] * rows
