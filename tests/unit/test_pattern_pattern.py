"""What a pattern tells of itself: sums by hand."""

import math

import pytest

from pattern_cases import BF_MM3, CROOKED, grid_by_hand, laid_by_hand
from pithline.patterns.build import build_pattern
from strategies import INCH


def made():
    task, layout = laid_by_hand()
    return build_pattern(task, [layout])


def test_pieces_are_timbers_or_boards():
    pattern = made()
    assert [piece.name for piece in pattern.timbers] == ["brace"] * 6 + ["girt"]
    assert [piece.name for piece in pattern.boards] == ["plank", "board", "board", "plank"]
    assert len(pattern.pieces) == 11


def test_sizes_and_sums_by_hand():
    pattern = made()
    brace = pattern.timbers[0]
    assert brace.length_mm == pytest.approx(1_190.0)
    assert brace.volume_mm3 == pytest.approx(3 * INCH * 4.25 * INCH * 1_190.0)
    timber = 6 * 3 * INCH * 4.25 * INCH * 1_190.0 + 60.0 * 150.0 * CROOKED.length_mm
    assert pattern.timber_mm3 == pytest.approx(timber)
    whole = timber + math.fsum(board.thickness_mm * board.width_mm * board.length_mm for board in pattern.boards)
    assert pattern.bf == pytest.approx(whole / BF_MM3)
    assert pattern.recovery == pytest.approx(whole / CROOKED.volume_mm3())
    assert pattern.net == pattern.value - pattern.cost


def test_passes_stand_in_the_order_of_sawing():
    assert [cut.number for cut in made().cuts] == list(range(1, 12))


@pytest.mark.parametrize(("laid", "used"), [(laid_by_hand, {1: 6, 3: 1}), (grid_by_hand, {2: 8, 4: 1})])
def test_a_layout_tells_what_it_uses(laid, used):
    _, layout = laid()
    assert layout.used == used
