"""Pieces of a layout laid out by hand: counts, places, worths, and boards between shapely's wane edges."""

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import (
    BF_MM3,
    BOARD,
    BRACE,
    CROOKED,
    GIRT,
    KERF,
    PLANK,
    frames,
    grid_by_hand,
    laid_by_hand,
    section_of,
)
from pithline.logs import rotation
from pithline.patterns import PriceList
from pithline.patterns.blocks import blocks_for
from pithline.patterns.layout import Layer, Layout
from pithline.patterns.levels import INSCRIBED, STEP_MM
from pithline.patterns.pieces import flitch_limits, pieces_of
from strategies import INCH, KIT, generated

LONG = CROOKED.length_mm

SEEN_MM = 0.02


def named(pieces, name):
    return [piece for _, piece in pieces if piece.name == name]


def test_sticks_are_cut_to_length_from_the_butt_on_by_hand():
    task, layout = laid_by_hand()
    pieces = pieces_of(layout, task, part=2)
    braces = named(pieces, "brace")
    # Three to a stick, a kerf between.
    starts = [0.0, 1_190.0 + KERF, 2.0 * (1_190.0 + KERF)]
    assert [brace.start_mm for brace in braces] == pytest.approx(2 * starts)
    assert [brace.length_mm for brace in braces] == pytest.approx([1_190.0] * 6)
    for brace in braces:
        assert (brace.kind, brace.part, brace.wane_mm) == ("timber", 2, 6.0)
        assert (brace.thickness_mm, brace.width_mm) == (3 * INCH, 4.25 * INCH)
        assert brace.value == pytest.approx(BRACE.value_bf * 3 * INCH * 4.25 * INCH * 1_190.0 / BF_MM3)
        assert brace.bf == pytest.approx(3 * INCH * 4.25 * INCH * 1_190.0 / BF_MM3)
    low, high = layout.layers[1].low_mm, layout.layers[1].high_mm
    for k, left in enumerate((-90.0, -90.0 + 3 * INCH + KERF)):
        corners = [[left, low], [left + 3 * INCH, low], [left + 3 * INCH, high], [left, high]]
        for brace in braces[3 * k : 3 * k + 3]:
            assert brace.frame_butt_mm == pytest.approx(np.array(corners))
            assert brace.frame_tip_mm == pytest.approx(np.array(corners))
    (girt,) = named(pieces, "girt")
    assert (girt.start_mm, girt.end_mm) == (0.0, LONG)
    assert girt.value == pytest.approx(GIRT.worth(LONG))
    assert [number for number, _ in pieces] == [0, *[1] * 8, 2, 3]


def test_no_more_comes_out_than_the_block_is_paid_for():
    task, layout = grid_by_hand()
    assert len(named(pieces_of(layout, task, part=0), "post")) == 8
    few = PriceList(
        tuple(item if item.name != "post" else item.__class__("post", item.timber, 7) for item in task.prices.timbers)
    )
    block = next(
        one
        for one in blocks_for(few, layout.frame.length_mm, kit=KIT, most_mm=2_000.0)
        if (one.columns, one.rows) == (2, 2) and one.cells[0].up_mm == 70.0
    )
    fewer = Layout(layout.frame, (Layer(-40.0, -40.0 + block.up_mm, block=block, left_mm=-104.0),), 0.0, 0.0)
    posts = named(pieces_of(fewer, task, part=0), "post")
    assert len(posts) == 7
    # The last stick gives one.
    assert sum(abs(post.start_mm) < 1.0 for post in posts) == 4


@pytest.mark.parametrize("laid", [laid_by_hand, grid_by_hand])
def test_corners_as_tallied_are_those_of_the_frame_turned_back(laid):
    task, layout = laid()
    frame = layout.frame
    for _, piece in pieces_of(layout, task, part=0):
        for z, own, there in (
            (piece.start_mm, piece.frame_butt_mm, piece.corners_butt_mm),
            (piece.end_mm, piece.frame_tip_mm, piece.corners_tip_mm),
        ):
            share = (z - frame.start_mm) / frame.length_mm
            center = (1.0 - share) * frame.center_butt_mm + share * frame.center_tip_mm
            assert (there - center) @ rotation(frame.roll_deg).T == pytest.approx(own, abs=1e-6)
        area = shapely.Polygon(piece.corners_butt_mm).area
        assert area == pytest.approx(piece.thickness_mm * piece.width_mm)
        assert shapely.LinearRing(piece.corners_butt_mm).is_ccw


def test_boards_lie_in_their_flitches_and_are_worth_their_face():
    task, layout = laid_by_hand()
    frame, pieces = layout.frame, pieces_of(layout, task, part=0)
    boards = [(number, piece) for number, piece in pieces if piece.kind == "board"]
    assert [piece.name for _, piece in boards] == ["plank", "board", "board", "plank"]
    for number, piece in boards:
        layer, want = layout.layers[number], PLANK if piece.name == "plank" else BOARD
        assert piece.thickness_mm == want.thickness_mm
        assert piece.width_mm / STEP_MM == pytest.approx(round(piece.width_mm / STEP_MM))
        assert piece.bf == pytest.approx(piece.thickness_mm * piece.width_mm * piece.length_mm / BF_MM3)
        assert piece.value == pytest.approx(want.value_bf * piece.bf)
        assert piece.width_mm >= want.least_width_mm
        assert piece.length_mm >= want.least_length_mm
        y = piece.frame_butt_mm[:, 1]
        if piece.name == "plank":
            assert (y.min(), y.max()) == pytest.approx((layer.low_mm, layer.high_mm))
        else:
            # Between the faces of the cant, set one kerf from the braces.
            assert y.min() >= layer.low_mm - 1e-9
            assert y.max() <= layer.high_mm + 1e-9
            x = sorted(piece.frame_butt_mm[:, 0])
            assert x[-1] == pytest.approx(-90.0 - KERF) or x[0] == pytest.approx(-90.0 + layer.block.across_mm + KERF)
        for station in range(len(frame.solid.z_mm)):
            share = (frame.start_mm + frame.solid.z_mm[station] - piece.start_mm) / piece.length_mm
            if 0.0 <= share <= 1.0:
                corners = (1.0 - share) * piece.frame_butt_mm + share * piece.frame_tip_mm
                assert section_of(frame.solid, station).buffer(1e-3).covers(shapely.Polygon(corners))


def test_a_flitch_too_small_for_its_board_gives_none():
    task, layout = laid_by_hand()
    # A hair over bark level the wood is narrower than any plank.
    top = float((layout.frame.solid.center_mm[:, 1] + 215.0).max())
    bare = Layout(layout.frame, (Layer(top - 60.0, top - 60.0 + PLANK.thickness_mm, board=0),), 0.0, 0.0)
    assert pieces_of(bare, task, part=0) == []


@generated(25)
@given(frames(), st.floats(-150.0, 120.0), st.floats(15.0, 60.0), st.sampled_from([0, 1]))
def test_wane_edges_of_a_flitch_are_those_of_its_narrower_face(frame, low, thick, axis):
    left, right = flitch_limits(frame, (low, low + thick), axis=axis)
    solid = frame.solid
    for station in (0, len(solid.z_mm) - 1):
        section = section_of(solid, station)
        center = solid.center_mm[station]
        wood = shapely.Polygon(center + INSCRIBED * (np.array(section.exterior.coords) - center))
        found = []
        for level in (low, low + thick):
            ends = [(-3_000.0, level), (3_000.0, level)]
            line = shapely.LineString(ends if axis == 1 else [end[::-1] for end in ends])
            bounds = wood.intersection(line).bounds
            if not bounds or abs(level - center[axis]) > 0.97 * np.sqrt(
                (solid.shape_mm @ solid.shape_mm)[station, axis, axis]
            ):
                return
            found.append((bounds[0], bounds[2]) if axis == 1 else (bounds[1], bounds[3]))
        assert left[station] == pytest.approx(max(ends[0] for ends in found), abs=SEEN_MM)
        assert right[station] == pytest.approx(min(ends[1] for ends in found), abs=SEEN_MM)
