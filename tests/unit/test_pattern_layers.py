"""Layers between level cuts: every way to lay small logs out, one after the other, in plain Python."""

import itertools
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


def through_waste(choice, row, start):
    """Least cost of cuts by which waste is taken off from a cut up to each level, endless where that cannot be."""
    least, deepest = choice.waste
    cost = choice.cut_cost[row].tolist()
    paid = [0.0 if level == start else math.inf for level in range(len(cost))]
    for level in range(start + 1, len(cost)):
        if choice.may_open[row, level]:
            under = [paid[k] for k in range(start, level) if least <= level - choice.kerf - k <= deepest]
            paid[level] = cost[level] + min(under, default=math.inf)
    return paid


def worth_of(choice, row, layers):
    """Worth of layers that are given from the top down, their cuts paid once each, waste between them as it must be."""
    cost = choice.cut_cost[row]
    total, below = 0.0, None
    for bottom, own in layers[::-1]:
        if below is None:
            assert choice.may_open[row, bottom]
            assert bottom >= choice.kerf
            total -= cost[bottom]
        else:
            assert bottom >= below
            total -= through_waste(choice, row, below)[bottom]
        below = bottom + int(choice.rise[own])
        total += choice.gain[row, bottom, own] - cost[below]
    # Waste must come off first where that cut may not be the highest.
    paid = through_waste(choice, row, below)
    return total - min(paid[level] for level in range(len(cost)) if choice.may_close[row, level])


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
        own = replace(alone(choice, row), waste=limited.waste)
        single = best_layers(own)
        assert single.best[0] == pytest.approx(most, abs=HAIR)
        for layers in (chosen(limited, together, of=row), chosen(own, single)):
            if most > HAIR:
                assert layers
                assert worth_of(limited, row, layers) == pytest.approx(most, abs=HAIR)
            else:
                assert not layers


def tall(**changes):
    """A lath of 3 steps, worth most low and less high, with 9 steps between that no lath can be had from."""
    gain = np.full((1, 18, 1), -math.inf)
    gain[0, 1, 0], gain[0, 13, 0] = 7.0, 5.0
    values = {
        "cut_cost": np.ones((1, 18)),
        "may_open": np.ones((1, 18)),
        "may_close": np.ones((1, 18)),
        "gain": gain,
        "rise": np.array([3]),
        "kerf": 1,
    }
    return Choice(**(values | changes))


@pytest.mark.parametrize(
    ("waste", "worth", "layers"),
    [
        # Cuts at 1, 4, 13 and 16; the waste between 4 and the kerf that ends at 13 is 8 steps.
        ((0, 8), 8.0, 2),
        ((8, 8), 8.0, 2),
        # A step less, and it is taken off by two passes.
        ((0, 7), 7.0, 2),
        # By three passes, 2 steps each.
        ((2, 2), 6.0, 2),
        # 3 steps, a kerf, and 4.
        ((3, 4), 7.0, 2),
        # 3 steps and a kerf lead to 8 and 12, never to 13: the low lath comes by itself.
        ((3, 3), 5.0, 1),
        ((9, 20), 5.0, 1),
    ],
)
def test_waste_the_mill_cannot_be_set_to_is_taken_off_by_more_passes_by_hand(waste, worth, layers):
    choice = tall(waste=waste)
    layering = best_layers(choice)
    assert layering.best.tolist() == [worth]
    assert len(chosen(choice, layering)) == layers
    two = Choice(
        **{name: np.repeat(getattr(choice, name), 2, axis=0) for name in ("cut_cost", "may_open", "may_close", "gain")},
        rise=choice.rise,
        kerf=1,
        waste=waste,
    )
    assert best_layers(two).best.tolist() == [worth, worth]
    assert best_counted(choice, [(1,)], most=(2,)) == (chosen(choice, layering), worth)
    # Told with its waste, all that lies between the highest kerf and the lowest adds up.
    whole = chosen(choice, layering, with_waste=True)
    if layers == 2:
        steps = [int(choice.rise[own]) if own >= 0 else 1 - own for _, own in whole]
        bottom = [level for level, _ in whole]
        assert all(low + up <= over for (over, low), up in zip(itertools.pairwise(bottom), steps[1:], strict=True))
        assert sum(-own for _, own in whole if own < 0) <= 8
    assert [layer for layer in whole if layer[1] >= 0] == chosen(choice, layering)


@pytest.mark.parametrize("rows", [1, 2])
def test_a_better_way_that_leaves_too_thin_waste_is_not_told_by_hand(rows):
    # A second height of 6 steps stands on the low lath and ends at 10, worth 7 so far; the waste to 12 is 2 steps.
    gain = np.full((rows, 18, 2), -math.inf)
    gain[:, 1, 0], gain[:, 13, 0], gain[:, 4, 1] = 7.0, 5.0, 3.0
    all_levels = {name: np.ones((rows, 18)) for name in ("cut_cost", "may_open", "may_close")}
    choice = tall(gain=gain, rise=np.array([3, 6]), waste=(3, 8), **all_levels)
    layering = best_layers(choice)
    # Both laths, four cuts, 8 steps of waste between: 7 + 5 - 4.
    assert layering.best.tolist() == [8.0] * rows
    assert chosen(choice, layering, of=rows - 1) == [(13, 0), (1, 0)]
    # Where 2 steps can be set, all three come: 7 + 3 + 5 - 5.
    thin = replace(choice, waste=(2, 8))
    assert best_layers(thin).best.tolist() == [10.0] * rows
    assert chosen(thin, best_layers(thin), of=rows - 1) == [(13, 0), (4, 1), (1, 0)]


@pytest.mark.parametrize(
    ("most", "worth", "layers"),
    [
        ((2, 9), 8.0, [(13, 0), (1, 0)]),
        # Of one lath the low one is worth more: 7 less its two cuts.
        ((1, 9), 5.0, [(1, 0)]),
        # The second thing runs out first.
        ((2, 5), 5.0, [(1, 0)]),
        ((2, 6), 8.0, [(13, 0), (1, 0)]),
        ((0, 9), 0.0, []),
        ((9, 2), 0.0, []),
    ],
)
def test_counts_over_several_layers_by_hand(most, worth, layers):
    # A lath takes one of the first thing and three of the second.
    assert best_counted(tall(), [(1, 3)], most=most) == (layers, worth)


def test_what_takes_nothing_that_is_counted_comes_as_often_as_it_pays():
    assert best_counted(tall(), [(0,)], most=(0,)) == ([(13, 0), (1, 0)], 8.0)
    assert best_counted(tall(), [()], most=()) == ([(13, 0), (1, 0)], 8.0)


@generated(60)
@given(choices(rows=1))
def test_counts_that_bind_nowhere_change_nothing(choice):
    plenty = tuple(9 for _ in range(2))
    layers, worth = best_counted(choice, [(1, 0) for _ in choice.rise], most=plenty)
    assert worth == pytest.approx(float(best_layers(choice).best[0]), abs=HAIR)
    assert bool(layers) == (worth > 0.0)


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
    else:
        assert not layers


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
