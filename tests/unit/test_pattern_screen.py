"""The coarse look: a promise names only what can stand, and comes near what is worked out."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import BOARD, CROOKED, PLAIN, PLANK, VALUE, frame_of, sections_of, task_of, waned
from pithline.fit import Timber
from pithline.logs import turned
from pithline.patterns import PriceList, WantedTimber
from pithline.patterns.blocks import blocks_for
from pithline.patterns.frame import crown_turns, frame_on
from pithline.patterns.heart import block_limits, heart_rules, places_for
from pithline.patterns.levels import levels_of
from pithline.patterns.saw import saw_part
from pithline.patterns.screen import look_at
from strategies import KIT, generated, solids

TURNS = (0.0, -30.0, 45.0, 88.0)

OUT_MM = 0.02
"""What a polygon of 720 sides loses of an ellipse."""

NEAR = 0.12
"""Share by which a promise may be off: side boards are only reckoned by the room beside a block."""


@st.composite
def looks(draw):
    """A log, a list of one to three timbers and maybe boards, and the coarse look at it."""
    log = draw(solids(crown=0.12))
    tip = float(2.0 * np.linalg.eigvalsh(log.shape_mm[-1])[0])
    timbers = []
    for k in range(draw(st.integers(1, 3))):
        thick, wide = (max(25.0, tip * draw(st.floats(0.15, 0.6))) for _ in range(2))
        timbers.append(
            WantedTimber(
                f"timber {k}",
                Timber(
                    thick,
                    wide,
                    draw(st.none() | st.just(0.4 * log.length_mm)),
                    sawn_faces=draw(st.sampled_from([2, 3, 4, 4])),
                    wane_mm=draw(st.sampled_from([0.0, 0.1])) * min(thick, wide),
                    heart=draw(st.sampled_from(["any", "any", "boxed", "free"])),
                    heart_margin_mm=0.05 * min(thick, wide),
                ),
                count=draw(st.none() | st.integers(1, 4)),
                value_bf=draw(st.floats(0.5, 3.0)),
            )
        )
    boards = draw(st.sampled_from([(), (PLANK,), (BOARD, PLANK)]))
    task = task_of(log, PriceList(tuple(timbers), boards))
    frame = frame_of(log)
    blocks = blocks_for(task.prices, frame.length_mm, kit=KIT, most_mm=2_000.0)
    return task, frame, look_at(task, frame, blocks=blocks, turns_deg=TURNS, aims=(VALUE, PLAIN))


def spot_for(task, solid, block, low):
    """Where the block's left face may be at a level, by its heart rules and the wood at every station, or None."""
    wane = block.wane_mm
    rises = np.array([0.0, block.up_mm, wane, block.up_mm - wane])
    found = levels_of(solid, low + rises, axis=1, share=1.0)
    lows, highs = found.low_mm.max(axis=0), found.high_mm.min(axis=0)
    limits = block_limits(lows[:, None], highs[:, None], wane_mm=wane)
    pith = solid.pith_mm
    at = np.array([pith[:, 0].min(), pith[:, 0].max(), pith[:, 1].min(), pith[:, 1].max()])
    rules = heart_rules(block, [item.timber for item in task.prices.timbers])
    left, allowed = places_for(block, limits, rules=rules, pith_mm=at, level_mm=np.array([low]))
    places = left[allowed]
    return float(places[0]) if len(places) else None


@generated(40)
@given(looks())
def test_a_promise_names_only_blocks_that_can_stand_on_their_level(made):
    task, frame, look = made
    for promises in look.promises:
        for promise in promises:
            solid = turned(frame.solid, TURNS[promise.turn])
            tops = []
            for number, low in promise.blocks:
                block = look.blocks[number]
                left = spot_for(task, solid, block, low)
                assert left is not None
                shape = waned(left, low, block.across_mm, block.up_mm, block.wane_mm)
                assert all(section.buffer(OUT_MM).covers(shape) for section in sections_of(solid))
                tops.append((low, low + block.up_mm))
            # From the top down, a kerf apart.
            for (above, _), (_, below) in itertools.pairwise(tops):
                assert above - below >= KIT.saw.kerf_mm - 1e-6


@generated(40)
@given(looks())
def test_a_promised_cant_is_not_too_slender_to_stand_on_edge(made):
    _, frame, look = made
    for promises in look.promises:
        for promise in promises:
            solid = turned(frame.solid, TURNS[promise.turn])
            for number, low in promise.blocks:
                block = look.blocks[number]
                if block.faces != 2:
                    faces = levels_of(solid, np.array([low, low + block.up_mm]), axis=1)
                    # A hair for the step of the grid that the cant is looked at by when it is worked out.
                    assert faces.width_mm.max() <= KIT.work.slender * block.up_mm * 1.01


def test_a_cant_too_slender_where_the_log_is_thick_is_not_promised():
    # 4 in high and 4 times as wide are 16 in; near its middle this log is wider.
    prices = PriceList((WantedTimber("tie", Timber(101.6, 203.2, heart="free", heart_margin_mm=6.0), value_bf=1.3),))
    task, frame = task_of(CROOKED, prices), frame_of(CROOKED)
    blocks = blocks_for(prices, frame.length_mm, kit=KIT, most_mm=2_000.0)
    look = look_at(task, frame, blocks=blocks, turns_deg=(54.0,), aims=(PLAIN,))
    solid = turned(frame.solid, 54.0)
    for number, low in look.promises[0][0].blocks:
        block = look.blocks[number]
        faces = levels_of(solid, np.array([low, low + block.up_mm]), axis=1)
        assert faces.width_mm.max() <= 4.0 * block.up_mm * 1.01


@generated(30)
@given(looks())
def test_promises_stand_in_order_and_a_way_without_boards_is_worth_no_more(made):
    _, _, look = made
    for promises in look.promises:
        worths = [promise.worth for promise in promises]
        assert worths == sorted(worths, reverse=True)
        assert len({promise.turn for promise in promises}) == len(promises)
    assert look.promises[1][0].worth <= look.promises[0][0].worth + 1e-9


@generated(30)
@given(looks())
def test_a_block_that_misses_by_nothing_fits_somewhere_and_another_misses_by_what_it_says(made):
    _, frame, look = made
    at = 1.5875 * np.arange(-252.0, 253.0)
    for number, block in enumerate(look.blocks):
        turn = TURNS[look.short_turn[number]]
        solid = turned(frame.solid, turn)
        wane = block.wane_mm
        found = [levels_of(solid, at + rise, axis=1) for rise in (0.0, block.up_mm, wane, block.up_mm - wane)]
        lows = np.stack([one.low_mm.max(axis=0) for one in found])
        highs = np.stack([one.high_mm.min(axis=0) for one in found])
        left, right = block_limits(lows, highs, wane_mm=wane)
        misses = float((block.across_mm - (right - left)).min())
        # The look goes by steps twice as wide, evenly between them, which never tells too little.
        assert look.short_mm[number] >= max(misses, 0.0) - 1e-6
        assert look.short_mm[number] <= max(misses, 0.0) + 8.0


@pytest.mark.parametrize(
    ("prices", "aim"),
    [
        (PriceList((WantedTimber("sill", Timber(158.75, 209.55), count=1, value_bf=1.5),), (PLANK, BOARD)), VALUE),
        (PriceList((WantedTimber("brace", Timber(76.2, 107.95, 1_190.0), count=9, value_bf=1.1),), (PLANK,)), VALUE),
        (PriceList((WantedTimber("brace", Timber(76.2, 107.95, 1_190.0), value_bf=1.1),)), PLAIN),
        (PriceList((), (PLANK, BOARD)), VALUE),
        (
            PriceList(
                (WantedTimber("tie", Timber(120.65, 203.2, heart="free", heart_margin_mm=6.0), value_bf=1.3),), (BOARD,)
            ),
            VALUE,
        ),
        (PriceList((WantedTimber("girt", Timber(127.0, 180.0, sawn_faces=2), value_bf=1.3),), (BOARD,)), VALUE),
    ],
)
def test_a_promise_comes_near_what_is_worked_out(prices, aim):
    task = task_of(CROOKED, prices)
    frame = frame_of(CROOKED)
    blocks = blocks_for(prices, frame.length_mm, kit=KIT, most_mm=2_000.0)
    turns = crown_turns(CROOKED)
    look = look_at(task, frame, blocks=blocks, turns_deg=turns, aims=(aim,))
    promise = look.promises[0][0]
    own = frame_on(
        CROOKED,
        (0.0, CROOKED.length_mm),
        roll_deg=turns[promise.turn],
        centers_mm=(frame.center_butt_mm, frame.center_tip_mm),
    )
    named = [look.blocks[number] for number in dict.fromkeys(number for number, _ in promise.blocks)]
    layout = saw_part(own, named, task=task, aim=aim, through_mm=promise.blocks[0][1] if promise.blocks else 0.0)
    assert layout is not None
    assert promise.worth == pytest.approx(layout.worth, rel=NEAR)


def test_what_is_larger_than_the_log_is_not_looked_at():
    prices = PriceList((WantedTimber("wide", Timber(300.0, 420.0)), WantedTimber("post", Timber(140.0, 150.0))))
    task, frame = task_of(CROOKED, prices), frame_of(CROOKED)
    blocks = blocks_for(prices, frame.length_mm, kit=KIT, most_mm=2_000.0)
    look = look_at(task, frame, blocks=blocks, turns_deg=TURNS, aims=(PLAIN,))
    assert {cell.kind for block in look.blocks for cell in block.cells} == {1}
    assert look.turns_deg == TURNS
    assert look.frame is frame


def test_no_block_and_no_board_promise_nothing():
    task, frame = task_of(CROOKED, PriceList()), frame_of(CROOKED)
    look = look_at(task, frame, blocks=[], turns_deg=TURNS, aims=(VALUE, PLAIN))
    assert [promise.worth for promises in look.promises for promise in promises] == [0.0] * 8
    assert all(promise.blocks == () for promises in look.promises for promise in promises)
    assert len(look.short_mm) == 0


def test_a_bonus_for_timber_counts_in_its_aim_alone():
    # Only one of them fits.
    prices = PriceList((WantedTimber("post", Timber(220.0, 230.0), count=1, value_bf=0.0),))
    task, frame = task_of(CROOKED, prices), frame_of(CROOKED)
    blocks = blocks_for(prices, frame.length_mm, kit=KIT, most_mm=2_000.0)
    bonus = VALUE.__class__("timber", bonus_bf=20.0)
    look = look_at(task, frame, blocks=blocks, turns_deg=(0.0,), aims=(PLAIN, bonus))
    assert look.promises[0][0].worth == 0.0
    wood = 220.0 * 230.0 * CROOKED.length_mm / (144.0 * 25.4**3)
    # What is left of the bonus once its passes are paid.
    assert 0.0 < look.promises[1][0].worth < 20.0 * wood
    assert math.isclose(look.promises[1][0].worth, 20.0 * wood, rel_tol=0.1)
