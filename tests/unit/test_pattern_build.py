"""A pattern put together from layouts by hand: minutes, cost, kerf by shapely, and all the wood accounted for."""

import itertools
import math

import numpy as np
import pytest
import shapely

from pattern_cases import (
    BOARD,
    CROOKED,
    KERF,
    LONG_LIST,
    PLANK,
    block_like,
    frame_of,
    grid_by_hand,
    laid_by_hand,
    task_of,
)
from pithline.errors import KitError
from pithline.fit import Timber
from pithline.logs import section_at, stretch
from pithline.patterns import PriceList, WantedTimber
from pithline.patterns.blocks import blocks_for
from pithline.patterns.build import build_pattern
from pithline.patterns.layout import Layer, Layout
from strategies import KIT, altered

LONG = CROOKED.length_mm
FEED = 0.2e6

KERF_SHARE = 2e-3
"""Share of all kerfs by which heights added up by Simpson's rule may be off where a kerf meets bark."""


def dust(positions):
    """Wood in the kerfs, by shapely's areas under each pass and the prismoidal rule along the log [mm3]."""
    total = 0.0
    for position in positions:
        left, right = position.within_mm or (-4_000.0, 4_000.0)
        z = position.log.z_mm
        for cut in position.cuts:
            kerf = shapely.box(left, cut.line_mm, right, cut.line_mm + KERF)

            def area(at, log=position.log, kerf=kerf):
                return shapely.Polygon(section_at(log, at).outline(720)).intersection(kerf).area

            for start, end in itertools.pairwise(z):
                middle = area(0.5 * (start + end))
                total += (area(start) + 4.0 * middle + area(end)) * (end - start) / 6.0
    return total


@pytest.mark.parametrize("laid", [laid_by_hand, grid_by_hand])
def test_wood_goes_to_pieces_kerf_and_slabs_and_nowhere_else(laid):
    task, layout = laid()
    pattern = build_pattern(task, [layout])
    pieces = math.fsum(piece.volume_mm3 for piece in pattern.pieces)
    assert pieces + pattern.kerf_mm3 + pattern.slab_mm3 == pytest.approx(CROOKED.volume_mm3(), rel=1e-9)
    assert pattern.slab_mm3 > 0.0
    assert pattern.kerf_mm3 == pytest.approx(dust(pattern.positions), rel=KERF_SHARE)
    assert pattern.recovery == pytest.approx(pieces / CROOKED.volume_mm3())


@pytest.mark.parametrize("laid", [laid_by_hand, grid_by_hand])
def test_opening_faces_in_turn_changes_no_volume_and_no_minute(laid):
    task, layout = laid()
    plain = build_pattern(task, [layout])
    task, layout = laid(relieve=True)
    relieved = build_pattern(task, [layout])
    assert relieved.kerf_mm3 == pytest.approx(plain.kerf_mm3)
    assert relieved.minutes == pytest.approx(plain.minutes)
    assert relieved.value == plain.value
    assert sorted(cut.area_m2 for cut in relieved.cuts) == pytest.approx(sorted(cut.area_m2 for cut in plain.cuts))


def test_minutes_of_a_stack_by_hand():
    task, layout = laid_by_hand()
    pattern = build_pattern(task, [layout])
    # Rolled and a rail stood twice; eleven passes; four boards lined and edged; three braces a stick are cut
    # off by a crosscut each, which two sticks need.
    passes = sum(5.0 + 1e6 * cut.area_m2 / FEED for cut in pattern.cuts)
    edging = sum(4.0 + 2.0 * board.thickness_mm * board.length_mm / FEED for board in pattern.boards)
    assert len(pattern.cuts) == 11
    assert pattern.minutes == pytest.approx(2 * 50.0 + passes + edging + 6 * 5.0)
    assert pattern.cost == pytest.approx(pattern.minutes / 60.0 * 20.0)
    assert pattern.value == pytest.approx(math.fsum(piece.value for piece in pattern.pieces))
    assert pattern.net == pytest.approx(pattern.value - pattern.cost)
    (part,) = pattern.parts
    assert (part.start_mm, part.end_mm, part.roll_deg) == (0.0, LONG, 20.0)
    assert "two side by side" in part.layout
    assert pattern.notes == LONG_LIST.notes
    assert pattern.log is CROOKED
    assert pattern.kit is KIT


def test_minutes_of_a_grid_by_hand():
    task, layout = grid_by_hand()
    pattern = build_pattern(task, [layout])
    passes = sum(5.0 + 1e6 * cut.area_m2 / FEED for cut in pattern.cuts)
    # The log, both cants with a rail each; two columns rolled flat; four sticks cut after both their timbers.
    assert pattern.minutes == pytest.approx(3 * 50.0 + 2 * 10.0 + passes + 8 * 5.0)
    assert "four quartered" in pattern.parts[0].layout


def plank_layout(ends, *, roll, low=-19.0):
    """A part with one plank through it."""
    return Layout(frame_of(CROOKED, ends, roll=roll), (Layer(low, low + PLANK.thickness_mm, board=0),), 0.0, 0.0)


@pytest.mark.parametrize(
    ("ends", "crosscuts"),
    [
        # One crosscut between two parts a kerf apart, one at the end that is left.
        (((0.0, 2_000.0), (2_000.0 + KERF, 4_100.0)), 2),
        (((0.0, 2_000.0), (2_000.0 + KERF, LONG)), 1),
        # Wood is left between them: one at either side of it, and one at each end of the log.
        (((150.0, 2_000.0), (2_300.0, 4_100.0)), 4),
        (((0.0, LONG),), 0),
        (((0.0, 1_900.0),), 1),
        (((0.5, LONG - 0.5),), 0),
    ],
)
def test_crosscuts_of_the_log_by_hand(ends, crosscuts):
    task = task_of(CROOKED, LONG_LIST)
    layouts = [plank_layout(own, roll=25.0 * k - 40.0) for k, own in enumerate(ends)]
    pattern = build_pattern(task, layouts)
    passes = sum(5.0 + 1e6 * cut.area_m2 / FEED for cut in pattern.cuts)
    edging = sum(4.0 + 2.0 * board.thickness_mm * board.length_mm / FEED for board in pattern.boards)
    assert pattern.minutes == pytest.approx(len(ends) * 50.0 + passes + edging + 5.0 * crosscuts)


@pytest.mark.parametrize(("long", "crosscuts"), [(None, 0), (LONG, 0), (LONG - 0.9, 0), (LONG - 1.1, 1), (2_500.0, 1)])
def test_a_timber_shorter_than_its_part_is_trimmed_by_a_crosscut(long, crosscuts):
    prices = PriceList((WantedTimber("post", Timber(90.0, 110.0, long), count=1, value_bf=0.9),))
    task = task_of(CROOKED, prices)
    block = block_like(task, LONG, (0,), columns=1, up=90.0)
    layer = Layer(-45.0, -45.0 + block.up_mm, block=block, left_mm=-55.0)
    pattern = build_pattern(task, [Layout(frame_of(CROOKED, roll=20.0), (layer,), 0.0, 0.0)])
    (post,) = pattern.timbers
    assert post.length_mm == pytest.approx(long or LONG)
    # The log and its cant each rolled and with a rail; two passes each.
    assert len(pattern.cuts) == 4
    passes = sum(5.0 + 1e6 * cut.area_m2 / FEED for cut in pattern.cuts)
    assert pattern.minutes == pytest.approx(2 * 50.0 + passes + 5.0 * crosscuts)
    # What the block was chosen by: its own share of it, sides, rail and crosscut.
    sides = sum(5.0 + block.up_mm * LONG / FEED for _ in range(2))
    assert block.minutes == pytest.approx(50.0 + sides + 5.0 * crosscuts)


def test_two_parts_are_one_pattern():
    task = task_of(CROOKED, LONG_LIST)
    ends = ((90.0, 2_000.0), (2_400.0, 4_250.0))
    layouts = [plank_layout(own, roll=25.0 * k) for k, own in enumerate(ends)]
    both = build_pattern(task, layouts)
    alone = [build_pattern(task, [layout]) for layout in layouts]
    assert [piece.part for piece in both.pieces] == [0, 1]
    assert [position.part for position in both.positions] == [0, 1]
    assert [position.number for position in both.positions] == [1, 2]
    assert [cut.number for cut in both.cuts] == [1, 2, 3, 4]
    assert [position.body for position in both.positions] == ["part 1 of log crooked", "part 2 of log crooked"]
    assert both.kerf_mm3 == pytest.approx(sum(one.kerf_mm3 for one in alone))
    # What lies before, between and after the parts falls off too.
    rest = sum(
        stretch(CROOKED, a, end_mm=b).volume_mm3() for a, b in ((0.0, 90.0), (2_000.0, 2_400.0), (4_250.0, LONG))
    )
    inner = sum(stretch(CROOKED, *own[:1], end_mm=own[1]).volume_mm3() for own in ends)
    pieces = sum(piece.volume_mm3 for piece in both.pieces)
    assert both.slab_mm3 == pytest.approx(rest + inner - both.kerf_mm3 - pieces, rel=1e-6)
    for piece, (start, end) in zip(both.pieces, ends, strict=True):
        assert start <= piece.start_mm < piece.end_mm <= end


def test_the_way_pieces_lie_is_told_in_words():
    task = task_of(CROOKED, LONG_LIST)
    row = block_like(task, LONG, (1, 1, 1), columns=3, up=4.25 * 25.4)
    girt = block_like(task, LONG, (3,), columns=1, up=60.0)

    def words(*layers):
        return build_pattern(task, [Layout(frame_of(CROOKED, roll=20.0), layers, 0.0, 0.0)]).parts[0].layout

    assert "through and through" in words(Layer(0.0, PLANK.thickness_mm, board=0))
    assert words(Layer(0.0, 60.0, block=girt, left_mm=-71.0)) == "one timber"
    assert words(Layer(0.0, row.up_mm, block=row, left_mm=-121.0)) == "three in a row"
    plank = Layer(row.up_mm + KERF, row.up_mm + KERF + BOARD.thickness_mm, board=1)
    assert words(plank, Layer(0.0, row.up_mm, block=row, left_mm=-121.0)).startswith("three in a row")


@pytest.mark.parametrize(
    ("columns", "rows", "words"),
    [
        (5, 2, "10, two high and five wide"),
        (4, 3, "12, three high and four wide"),
        (5, 3, "15, three high and five wide"),
    ],
)
def test_large_grids_have_words_too(columns, rows, words):
    prices = PriceList((WantedTimber("lath", Timber(28.0, 31.0), value_bf=2.0),))
    task = task_of(CROOKED, prices)
    blocks = blocks_for(prices, LONG, kit=KIT, most_mm=400.0)
    grid = next(block for block in blocks if (block.columns, block.rows) == (columns, rows))
    layer = Layer(-60.0, -60.0 + grid.up_mm, block=grid, left_mm=-100.0)
    pattern = build_pattern(task, [Layout(frame_of(CROOKED, roll=20.0), (layer,), 0.0, 0.0)])
    assert len(pattern.timbers) == columns * rows
    assert pattern.parts[0].layout == words


def test_what_the_kit_cannot_saw_is_refused():
    task, layout = laid_by_hand(kit=altered(KIT, "mill", cut_width_mm=380.0))
    with pytest.raises(KitError, match=r"mill.cut_width: pass 2 "):
        build_pattern(task, [layout])


def test_widths_of_passes_are_not_negative():
    task, layout = laid_by_hand()
    for cut in build_pattern(task, [layout]).cuts:
        assert (np.asarray(cut.width_mm) >= 0.0).all()
        assert cut.widest_mm >= float(cut.width_mm.max()) - 1e-9
