"""One part laid out: all stacks of its blocks tried in plain Python, each counted; what is laid lies in the wood."""

import itertools
import math
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import (
    BOARD,
    CROOKED,
    KERF,
    PLAIN,
    PLANK,
    VALUE,
    frame_of,
    sections_of,
    task_of,
    waned,
)
from pithline.fit import Timber
from pithline.patterns import PriceList, WantedTimber
from pithline.patterns.blocks import blocks_for
from pithline.patterns.heart import block_limits, heart_rules, places_for
from pithline.patterns.levels import INSCRIBED, levels_of
from pithline.patterns.opening import rail_range
from pithline.patterns.saw import saw_part
from strategies import INCH, KIT, altered, generated, round_log

FEED = 0.2e6

SIXTEENTH = INCH / 16

OUT_MM = 0.02
"""What a polygon of 720 sides loses of an ellipse."""


def grid_of(frame):
    """Heights a sixteenth of an inch apart over the whole part, one of them 0."""
    solid = frame.solid
    reach = np.sqrt((solid.shape_mm @ solid.shape_mm)[:, 1, 1])
    low, high = float((solid.center_mm[:, 1] - reach).min()), float((solid.center_mm[:, 1] + reach).max())
    return SIXTEENTH * np.arange(math.floor(low / SIXTEENTH), math.ceil(high / SIXTEENTH) + 1)


def stands(frame, task, block, at):
    """On which levels a block lies in the wood, its heart rules kept, its cant wide as that may be."""
    solid, wane = frame.solid, block.wane_mm
    found = [levels_of(solid, at + rise, axis=1) for rise in (0.0, block.up_mm, wane, block.up_mm - wane)]
    lows = np.stack([one.low_mm.max(axis=0) for one in found])
    highs = np.stack([one.high_mm.min(axis=0) for one in found])
    limits = block_limits(lows, highs, wane_mm=wane)
    pith = solid.pith_mm
    spread = np.array([pith[:, 0].min(), pith[:, 0].max(), pith[:, 1].min(), pith[:, 1].max()])
    rules = heart_rules(block, [item.timber for item in task.prices.timbers])
    able = places_for(block, limits, rules=rules, pith_mm=spread, level_mm=at)[1].any(axis=0)
    if block.faces != 2:
        rise = round(block.up_mm / SIXTEENTH)
        widest = np.concatenate([found[0].width_mm.max(axis=0), np.zeros(rise + 1)])
        able &= np.maximum(widest[: len(at)], widest[rise : rise + len(at)]) <= KIT.work.slender * block.up_mm
    return able


def best_stack(frame, task, blocks):
    """Most that blocks stacked between level cuts are worth, no more of the only timber than is wanted.

    All ways are tried from the top down; what lies below a kerf that ends at a level, with so many timbers left
    to take, is worked out once.
    """
    at, solid = grid_of(frame), frame.solid
    kerf = round(KERF / SIXTEENTH)
    width = levels_of(solid, at, axis=1).width_mm
    under = np.concatenate([np.zeros((len(width), kerf)), width[:, :-kerf]], axis=1)
    area = np.trapezoid(0.5 * (width + under), solid.z_mm, axis=0)
    cost = task.minute * (5.0 + area / FEED)
    wide = np.maximum(width, under).max(axis=0)
    cost[(wide <= 0.0) | (wide > task.room_mm)] = math.inf
    lowest = (solid.center_mm[:, 1] - np.sqrt((solid.shape_mm @ solid.shape_mm)[:, 1, 1])).mean()
    opens = at - KERF - lowest >= KIT.work.rest_mm
    low, high = rail_range(solid.center_mm, solid.shape_mm @ solid.shape_mm, task=task)
    closes = (at - KERF >= low) & (at - KERF <= high)
    able = [stands(frame, task, block, at) for block in blocks]
    rises = [math.ceil((block.up_mm + KERF) / SIXTEENTH - 1e-9) for block in blocks]
    own = [block.value - task.minute * block.minutes for block in blocks]
    used = [sum(number for _, number in block.used) for block in blocks]
    wanted = task.prices.timbers[0].count
    most = 99 if wanted is None else wanted

    @cache
    def below(level, left):
        """Best worth under a kerf that ends at a level and is paid."""
        best = 0.0 if opens[level] and level >= kerf else -math.inf
        if opens[level]:
            for next_cut in range(kerf, level - kerf + 1):
                if cost[next_cut] < math.inf:
                    best = max(best, below(next_cut, left) - cost[next_cut])
        for block in range(len(blocks)):
            bottom = level - rises[block]
            if bottom >= 0 and used[block] <= left and able[block][bottom] and cost[bottom] < math.inf:
                best = max(best, below(bottom, left - used[block]) + own[block] - cost[bottom])
        return best

    ways = [below(level, most) - cost[level] for level in range(len(at)) if closes[level] and cost[level] < math.inf]
    return max([0.0, *ways])


@st.composite
def small_parts(draw):
    """A small log, a timber of which up to three or four lie on each other, and its blocks of one or two."""
    tip = draw(st.floats(190.0, 240.0))
    log = round_log(
        tip * draw(st.floats(1.0, 1.3)),
        draw(st.floats(1_200.0, 4_000.0)),
        tip_mm=tip,
        crown_mm=draw(st.sampled_from([0.0, 4.0, 12.0])),
        crown_clock=draw(st.floats(1.0, 12.9)),
        butt_pith_mm=draw(st.floats(0.0, 12.0)),
        butt_pith_clock=draw(st.floats(1.0, 12.9)),
    )
    thick = SIXTEENTH * draw(st.integers(18, 40))
    wide = SIXTEENTH * draw(st.integers(18, 56))
    timber = Timber(
        thick,
        wide,
        sawn_faces=draw(st.sampled_from([2, 3, 4])),
        wane_mm=draw(st.sampled_from([0.0, 4.0])),
        heart=draw(st.sampled_from(["any", "any", "free"])),
        heart_margin_mm=draw(st.sampled_from([0.0, 4.0])),
    )
    item = WantedTimber("lath", timber, count=draw(st.none() | st.integers(1, 4)), value_bf=draw(st.floats(6.0, 24.0)))
    task = task_of(log, PriceList((item,)))
    frame = frame_of(log, roll=draw(st.floats(-90.0, 90.0)))
    blocks = [one for one in blocks_for(task.prices, frame.length_mm, kit=KIT, most_mm=600.0) if len(one.cells) <= 2]
    return frame, task, draw(st.permutations(blocks))[:2]


@generated(30)
@given(small_parts())
def test_a_part_without_boards_is_worth_the_best_of_all_stacks(made):
    frame, task, blocks = made
    layout = saw_part(frame, blocks, task=task, aim=PLAIN)
    found = 0.0 if layout is None else layout.worth
    assert found == pytest.approx(best_stack(frame, task, blocks), abs=1e-6)


def four_high(count):
    """A straight log in which four flat timbers lie on each other, and one timber wanted so many times."""
    log = round_log(240.0, 3_000.0, tip_mm=236.0)
    item = WantedTimber("lath", Timber(1.5 * INCH, 4 * INCH, sawn_faces=2), count=count, value_bf=9.0)
    task = task_of(log, PriceList((item,)))
    frame = frame_of(log)
    return frame, task, blocks_for(task.prices, frame.length_mm, kit=KIT, most_mm=600.0)


@pytest.mark.parametrize("count", [1, 2, 3, 4, None])
def test_as_many_come_out_as_are_wanted_where_the_log_holds_four(count):
    frame, task, blocks = four_high(count)
    layout = saw_part(frame, blocks, task=task, aim=PLAIN)
    assert layout.used == {0: 4 if count is None else count}
    assert layout.worth == pytest.approx(best_stack(frame, task, blocks), abs=1e-6)
    assert layout.bound >= layout.worth - 1e-9


@st.composite
def mixed_parts(draw):
    """A crooked log, timbers and boards of odd sizes, and an odd kerf."""
    timbers = tuple(
        WantedTimber(
            f"timber {k}",
            Timber(
                draw(st.floats(45.0, 170.0)),
                draw(st.floats(60.0, 220.0)),
                draw(st.none() | st.floats(900.0, 2_400.0)),
                sawn_faces=draw(st.sampled_from([2, 3, 4, 4])),
                wane_mm=draw(st.sampled_from([0.0, 5.0])),
                heart=draw(st.sampled_from(["any", "any", "boxed", "free"])),
                heart_margin_mm=3.0,
            ),
            count=draw(st.none() | st.integers(1, 5)),
            value_bf=draw(st.floats(2.0, 9.0)),
        )
        for k in range(draw(st.integers(1, 3)))
    )
    kit = altered(KIT, "saw", kerf_mm=draw(st.sampled_from([KERF, 7.3])))
    boards = draw(st.sampled_from([(PLANK, BOARD), (BOARD,)]))
    task = task_of(CROOKED, PriceList(timbers, boards), kit)
    frame = frame_of(CROOKED, roll=draw(st.floats(-90.0, 90.0)))
    blocks = blocks_for(task.prices, frame.length_mm, kit=kit, most_mm=440.0)
    return frame, task, draw(st.permutations(blocks))[:3]


@generated(80)
@given(mixed_parts(), st.floats(-60.0, 60.0))
def test_what_is_laid_out_lies_in_the_wood_a_kerf_apart(made, through):
    frame, task, blocks = made
    layout = saw_part(frame, blocks, task=task, aim=VALUE, through_mm=through)
    if layout is None:
        return
    assert 0.0 < layout.worth <= layout.bound + 1e-9
    sections, kerf = sections_of(frame.solid), task.kit.saw.kerf_mm
    layers = layout.layers
    for above, under in itertools.pairwise(layers):
        gap = above.low_mm - under.high_mm
        # Neighbors share a kerf; between others there is waste that the mill can be set for.
        waste = gap - 2.0 * kerf
        assert gap == pytest.approx(kerf) or waste >= KIT.mill.setting_min_mm - 1e-6
    for layer in layers:
        if layer.block is None:
            assert layer.high_mm - layer.low_mm == pytest.approx(task.boards[layer.board].thickness_mm)
            continue
        block = layer.block
        shape = waned(layer.left_mm, layer.low_mm, block.across_mm, block.up_mm, block.wane_mm)
        assert layer.high_mm - layer.low_mm == pytest.approx(block.up_mm)
        corners = [shapely.Point(corner) for corner in shape.exterior.coords]
        assert max(section.distance(corner) for section in sections for corner in corners) <= OUT_MM
        faces = [layer.left_mm, layer.left_mm + block.across_mm]
        spans = sorted(
            [(side.left_mm, side.left_mm + task.boards[side.board].thickness_mm) for side in layer.beside] + [(*faces,)]
        )
        assert all(b[0] - a[1] == pytest.approx(kerf) for a, b in itertools.pairwise(spans))
        pith = frame.solid.pith_mm
        for cell in block.cells:
            timber = task.prices.timbers[cell.kind].timber
            x, y = layer.left_mm + cell.left_mm, layer.low_mm + cell.low_mm
            inside = (
                (pith[:, 0] >= x - 1e-6)
                & (pith[:, 0] <= x + cell.across_mm + 1e-6)
                & (pith[:, 1] >= y - 1e-6)
                & (pith[:, 1] <= y + cell.up_mm + 1e-6)
            )
            if timber.heart == "boxed":
                assert inside.all()
            if timber.heart == "free":
                assert not inside.any()
    for kind, number in layout.used.items():
        count = task.prices.timbers[kind].count
        assert count is None or number <= count


@pytest.mark.parametrize("faces", [2, 4])
def test_a_block_pushed_to_bark_by_its_heart_rule_stays_in_the_wood(faces):
    # Three on each other, their heights no whole sixteenths; the middle one must keep clear of the pith.
    log = round_log(331.0, 2_794.0, tip_mm=327.0, butt_pith_mm=3.0, butt_pith_clock=10.4)
    timber = Timber(82.4527, 136.838, sawn_faces=faces, heart="free", heart_margin_mm=0.0)
    task = task_of(log, PriceList((WantedTimber("rail", timber, value_bf=6.0),)))
    frame = frame_of(log)
    blocks = blocks_for(task.prices, frame.length_mm, kit=KIT, most_mm=600.0)
    flat = [block for block in blocks if len(block.cells) == 1 and block.up_mm < 90.0]
    layout = saw_part(frame, flat, task=task, aim=PLAIN)
    assert len(layout.layers) == 3
    for layer in layout.layers:
        shape = waned(layer.left_mm, layer.low_mm, layer.block.across_mm, layer.block.up_mm, 0.0)
        assert all(section.buffer(OUT_MM).covers(shape) for section in sections_of(frame.solid))


def test_a_part_that_nothing_fits_has_no_layout():
    task = task_of(CROOKED, PriceList((WantedTimber("post", Timber(300.0, 320.0)),)))
    frame = frame_of(CROOKED)
    blocks = blocks_for(task.prices, frame.length_mm, kit=KIT, most_mm=900.0)
    assert saw_part(frame, blocks, task=task, aim=PLAIN) is None
    assert saw_part(frame, [], task=task, aim=PLAIN) is None


def test_a_height_asked_for_is_one_of_the_levels():
    task = task_of(CROOKED, PriceList((WantedTimber("post", Timber(6 * INCH, 8 * INCH), count=1, value_bf=2.0),)))
    frame = frame_of(CROOKED)
    blocks = blocks_for(task.prices, frame.length_mm, kit=KIT, most_mm=900.0)[:1]
    for through in (-71.3, 12.9):
        (layer,) = saw_part(frame, blocks, task=task, aim=PLAIN, through_mm=through).layers
        steps = (layer.low_mm - through) / SIXTEENTH
        assert steps == pytest.approx(round(steps), abs=1e-6)


def test_boards_add_worth_and_the_whole_section_holds_no_less():
    prices = PriceList((WantedTimber("post", Timber(6 * INCH, 8 * INCH), count=1, value_bf=2.0),), (PLANK, BOARD))
    task, frame = task_of(CROOKED, prices), frame_of(CROOKED)
    blocks = blocks_for(prices, frame.length_mm, kit=KIT, most_mm=900.0)
    plain = saw_part(frame, blocks, task=task, aim=PLAIN)
    full = saw_part(frame, blocks, task=task, aim=VALUE)
    assert full.worth > plain.worth
    assert any(layer.board is not None or layer.beside for layer in full.layers)
    # The ellipse holds what its inscribed part does.
    assert saw_part(frame, blocks, task=task, aim=PLAIN, share=1.0).worth >= plain.worth - 1e-9
    assert INSCRIBED < 1.0
