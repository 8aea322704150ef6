"""The check of patterns: a sound one is broken in one place at a time, and it must tell that very fault."""

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from pattern_cases import CROOKED, KERF, LONG_LIST, PLANK, frame_of, grid_by_hand, laid_by_hand, task_of
from pithline.arrays import frozen
from pithline.logs import stretch
from pithline.patterns import pattern_faults
from pithline.patterns.build import build_pattern
from pithline.patterns.layout import Layer, Layout
from strategies import INCH


def sound(laid=laid_by_hand):
    task, layout = laid()
    return build_pattern(task, [layout])


def told(pattern, prices=LONG_LIST):
    return list(pattern_faults(pattern, prices))


def with_piece(pattern, number, **changes):
    """The pattern with one piece changed."""
    pieces = list(pattern.pieces)
    pieces[number] = replace(pieces[number], **changes)
    return replace(pattern, pieces=tuple(pieces))


def with_cut(pattern, number, **changes):
    """The pattern with one pass changed."""
    positions = [
        replace(
            position,
            cuts=tuple(replace(cut, **changes) if cut.number == number else cut for cut in position.cuts),
        )
        for position in pattern.positions
    ]
    return replace(pattern, positions=tuple(positions))


def index(pattern, name, of=0):
    return [k for k, piece in enumerate(pattern.pieces) if piece.name == name][of]


def moved(piece, by):
    """Both ends of a piece moved across."""
    shift = np.array(by)
    return {
        "corners_butt_mm": frozen(piece.corners_butt_mm + shift),
        "corners_tip_mm": frozen(piece.corners_tip_mm + shift),
    }


@pytest.mark.parametrize("laid", [laid_by_hand, grid_by_hand])
def test_a_sound_pattern_has_no_fault(laid):
    assert told(sound(laid)) == []


def test_a_piece_that_reaches_out_of_the_wood():
    pattern = sound()
    plank = index(pattern, "plank", of=1)
    # The lowest plank is pushed out of the log, away from every other piece.
    outward = pattern.pieces[plank].corners_butt_mm.mean(axis=0)
    outward = outward / np.linalg.norm(outward)
    far = with_piece(pattern, plank, **moved(pattern.pieces[plank], 60.0 * outward))
    (fault,) = told(far)
    assert fault.startswith("plank: reaches ")
    assert " mm out of the wood " in fault
    assert fault.endswith(" mm from the butt")


def test_a_piece_may_lack_its_wane_and_no_more():
    pattern = sound()
    girt = index(pattern, "girt")
    piece = pattern.pieces[girt]
    # The girt's corners are pushed to the bark: 10 mm may be missing there, and 0 is none.
    for by in np.arange(0.0, 90.0, 1.0):
        side = piece.corners_butt_mm[1] - piece.corners_butt_mm[0]
        shift = by * side / np.linalg.norm(side)
        waned = with_piece(pattern, girt, **moved(piece, shift))
        sharp = with_piece(pattern, girt, wane_mm=0.0, **moved(piece, shift))
        if told(sharp):
            break
    assert any(fault.startswith("girt: reaches") for fault in told(sharp))
    assert told(waned) == []


@pytest.mark.parametrize(
    ("ends", "words"),
    [
        ({"start_mm": -1.0}, "from -1.0 to 4310.0 mm is not within the log"),
        ({"end_mm": 4_312.5}, "from 0.0 to 4312.5 mm is not within the log"),
        ({"start_mm": 4_310.0}, "from 4310.0 to 4310.0 mm is not within the log"),
    ],
)
def test_a_piece_beyond_the_logs_ends(ends, words):
    pattern = sound()
    girt = index(pattern, "girt")
    assert f"girt: {words}" in told(with_piece(pattern, girt, **ends))


def test_pieces_closer_than_a_kerf_across():
    pattern = sound()
    brace = index(pattern, "brace")
    piece = pattern.pieces[brace]
    up = piece.corners_butt_mm[3] - piece.corners_butt_mm[0]
    up = up / np.linalg.norm(up)
    near = told(with_piece(pattern, brace, **moved(piece, 2.0 * up)))
    # The plank over it lies a kerf away, less 2 mm now; and the boards beside it do still.
    assert near == [f"plank and brace: {KERF - 2.0:.3f} mm apart 0 mm from the butt"]
    across = piece.corners_butt_mm[1] - piece.corners_butt_mm[0]
    across = across / np.linalg.norm(across)
    side = told(with_piece(pattern, brace, **moved(piece, 3.0 * across)))
    assert side == [f"brace and brace: {KERF - 3.0:.3f} mm apart 0 mm from the butt"]
    over = told(with_piece(pattern, brace, **moved(piece, 20.0 * across)))
    assert over == [f"brace and brace: {KERF - 20.0:.3f} mm apart 0 mm from the butt"]


def test_pieces_closer_than_a_kerf_end_to_end():
    pattern = sound()
    second = index(pattern, "brace", of=1)
    start = pattern.pieces[second].start_mm
    close = with_piece(pattern, second, start_mm=start - 4.0)
    assert f"brace and brace: {KERF - 4.0:.3f} mm apart end to end" in told(close)


def test_pieces_of_two_parts_closer_than_a_kerf_end_to_end():
    task = task_of(CROOKED, LONG_LIST)
    layers = (Layer(-19.0, -19.0 + PLANK.thickness_mm, board=0),)
    parts = [((0.0, 2_000.0), 0), ((2_000.0 + KERF, 4_310.0), 1)]
    layouts = [Layout(frame_of(CROOKED, ends, roll=10.0), layers, 0.0, 0.0) for ends, _ in parts]
    pattern = build_pattern(task, layouts)
    assert told(pattern) == []
    close = with_piece(pattern, 1, start_mm=pattern.pieces[1].start_mm - 4.0)
    # The saw that parts the log takes its kerf there too.
    assert any(fault.endswith("mm apart end to end") for fault in told(close))


@pytest.mark.parametrize(
    ("number", "changes", "faults"),
    [
        (4, {"face_of": 7}, ["pass 4: rides on the face of pass 7, which is not sawn yet"]),
        (4, {"face_of": None}, ["pass 4: rides on the face of pass None, which is not sawn yet"]),
        # Its setting is 4 1/4 in: by as much as it is off the pass runs beside its line.
        (
            3,
            {"setting_mm": 12.0},
            ["pass 3: its setting leads 95.950 mm beside its line", "pass 3: the mill is set to 12.00 mm"],
        ),
        (
            3,
            {"setting_mm": 331.0},
            ["pass 3: its setting leads -223.050 mm beside its line", "pass 3: the mill is set to 331.00 mm"],
        ),
        (3, {"setting_mm": 4.25 * INCH - 3.0}, ["pass 3: its setting leads 3.000 mm beside its line"]),
        (2, {"widest_mm": 559.0}, ["pass 2: 559.0 mm wide"]),
    ],
)
def test_a_pass_that_cannot_be_made_or_leads_elsewhere(number, changes, faults):
    assert told(with_cut(sound(), number, **changes)) == faults


def test_a_setting_on_the_rail_that_leads_beside_its_line():
    pattern = sound()
    assert pattern.cuts[0].rides_on == "rail"
    wrong = with_cut(pattern, 1, setting_mm=pattern.cuts[0].setting_mm + 2.0)
    assert told(wrong) == ["pass 1: its setting leads -2.000 mm beside its line"]


def test_a_line_that_is_not_where_its_setting_leads():
    # Its own setting leads 5 mm above it; that of pass 4, which rides on its face, 5 mm below where it should.
    pattern = sound()
    wrong = with_cut(pattern, 3, line_mm=pattern.cuts[2].line_mm - 5.0)
    assert told(wrong) == [
        "pass 3: its setting leads 5.000 mm beside its line",
        "pass 4: its setting leads -5.000 mm beside its line",
    ]


def test_a_pass_on_a_rail_that_is_not_stood():
    pattern = sound()
    first = replace(pattern.positions[0], stand=None)
    assert told(replace(pattern, positions=(first, *pattern.positions[1:]))) == [
        "pass 1: rides on a rail that is not stood"
    ]


def test_more_of_a_timber_than_is_wanted():
    prices = replace(
        LONG_LIST,
        timbers=tuple(replace(item, count=5) if item.name == "brace" else item for item in LONG_LIST.timbers),
    )
    assert told(sound(), prices) == ["brace: 6 come out and 5 are wanted"]


def test_a_board_under_its_least_size():
    plank = replace(PLANK, least_width_mm=221.0)
    prices = replace(LONG_LIST, boards=(plank, *LONG_LIST.boards[1:]))
    pattern = sound()
    (fault,) = told(pattern, prices)
    narrow = pattern.pieces[index(pattern, "plank", of=1)]
    assert narrow.width_mm < 221.0
    assert fault == f"plank: {narrow.width_mm:.1f} x {narrow.length_mm:.1f} mm is under its least size"
    longer = replace(PLANK, least_length_mm=4_000.0)
    (fault,) = told(pattern, replace(LONG_LIST, boards=(longer, *LONG_LIST.boards[1:])))
    assert fault.endswith("mm is under its least size")


@pytest.mark.parametrize("what", ["kerf_mm3", "slab_mm3"])
@pytest.mark.parametrize("share", [-0.004, 0.004])
def test_wood_that_is_not_accounted_for(what, share):
    pattern = sound()
    wrong = replace(pattern, **{what: getattr(pattern, what) + share * CROOKED.volume_mm3()})
    assert told(wrong) == [f"pieces, kerf and slabs come to {1.0 + share:.5f} of the log"]


@pytest.mark.parametrize("share", [0.8, 1.2, 1.0 + 1e-5])
def test_worths_that_do_not_add_up(share):
    pattern = sound()
    value, cost, minutes = pattern.value, pattern.cost, pattern.minutes
    assert told(replace(pattern, value=share * value)) == [f"the pieces are worth {value:.4f}, not {share * value:.4f}"]
    assert told(replace(pattern, cost=share * cost)) == [f"{minutes:.1f} min cost {cost:.4f}, not {share * cost:.4f}"]
    # The kit asks 20 an hour.
    assert told(replace(pattern, minutes=share * minutes)) == [
        f"{share * minutes:.1f} min cost {share * minutes / 3.0:.4f}, not {cost:.4f}"
    ]


def test_a_timber_of_another_size_than_the_list_asks():
    pattern = sound()
    girt = index(pattern, "girt")
    # Its corners stay, and half a millimeter is less wood than the sum is held to.
    for changes, size in (({"thickness_mm": 60.5}, "60.50 x 150.00"), ({"width_mm": 149.5}, "60.00 x 149.50")):
        assert told(with_piece(pattern, girt, **changes)) == [f"girt: {size} mm is not the size of the list"]
    # The sill of the list is 6 x 8 in and an allowance of 1/8 in.
    assert told(with_piece(pattern, girt, name="sill")) == ["sill: 60.00 x 150.00 mm is not the size of the list"]


def girt_with_heart(rule, margin):
    """The list, the girt by a heart rule."""
    timbers = tuple(
        replace(item, timber=replace(item.timber, heart=rule, heart_margin_mm=margin)) if item.name == "girt" else item
        for item in LONG_LIST.timbers
    )
    return replace(LONG_LIST, timbers=timbers)


def heart_room(pattern, piece):
    """How deep the pith stays in a piece, and how far off it, by shapely at every station of the log."""
    part = stretch(pattern.log, piece.start_mm, end_mm=piece.end_mm)
    inside, outside = [], []
    for z, pith in zip(part.z_mm, part.pith_mm, strict=True):
        along = (z - piece.start_mm) / piece.length_mm
        shape = shapely.Polygon((1.0 - along) * piece.corners_butt_mm + along * piece.corners_tip_mm)
        point = shapely.Point(pith)
        depth = shape.exterior.distance(point)
        inside.append(depth if shape.contains(point) else -depth)
        outside.append(-depth if shape.contains(point) else depth)
    return min(inside), min(outside)


def test_a_girt_beside_the_pith_is_free_of_heart_by_its_margin_and_not_boxed():
    pattern = sound()
    piece = pattern.pieces[index(pattern, "girt")]
    inside, outside = heart_room(pattern, piece)
    assert inside < 0.0 < outside
    assert told(pattern, girt_with_heart("free", outside - 0.01)) == []
    (fault,) = told(pattern, girt_with_heart("free", outside + 0.05))
    assert fault == f"girt: the pith stays {outside:.2f} mm outside, {outside + 0.05:.2f} mm are asked for"
    (fault,) = told(pattern, girt_with_heart("boxed", 0.0))
    assert re.fullmatch(r"girt: the pith stays -\d+\.\d\d mm inside, 0\.00 mm are asked for", fault)


def test_a_girt_around_the_pith_is_boxed_by_its_margin_and_not_free():
    pattern = sound()
    girt = index(pattern, "girt")
    piece = pattern.pieces[girt]
    # It is moved so that its middle lies on the pith's; what it then runs into is no matter here.
    part = stretch(pattern.log, piece.start_mm, end_mm=piece.end_mm)
    middle = 0.5 * (piece.corners_butt_mm.mean(axis=0) + piece.corners_tip_mm.mean(axis=0))
    wrong = with_piece(pattern, girt, **moved(piece, part.pith_mm.mean(axis=0) - middle))

    def heart_faults(rule, margin):
        return [fault for fault in told(wrong, girt_with_heart(rule, margin)) if "pith" in fault]

    inside, _ = heart_room(wrong, wrong.pieces[girt])
    assert inside > 1.0
    assert heart_faults("boxed", inside - 0.01) == []
    assert heart_faults("boxed", inside + 0.05) == [
        f"girt: the pith stays {inside:.2f} mm inside, {inside + 0.05:.2f} mm are asked for"
    ]
    (fault,) = heart_faults("free", 0.0)
    assert re.fullmatch(r"girt: the pith stays -\d+\.\d\d mm outside, 0\.00 mm are asked for", fault)
