"""The check of patterns: a sound one is broken in one place at a time, and it must tell that very fault."""

from dataclasses import replace

import numpy as np
import pytest

from pattern_cases import CROOKED, KERF, LONG_LIST, PLANK, frame_of, grid_by_hand, laid_by_hand, task_of
from pithline.arrays import frozen
from pithline.patterns import pattern_faults
from pithline.patterns.build import build_pattern
from pithline.patterns.layout import Layer, Layout


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
    ("number", "changes", "fault"),
    [
        (4, {"face_of": 7}, "pass 4: rides on the face of pass 7, which is not sawn yet"),
        (4, {"face_of": None}, "pass 4: rides on the face of pass None, which is not sawn yet"),
        (3, {"setting_mm": 12.0}, "pass 3: the mill is set to 12.00 mm"),
        (3, {"setting_mm": 331.0}, "pass 3: the mill is set to 331.00 mm"),
        (2, {"widest_mm": 559.0}, "pass 2: 559.0 mm wide"),
    ],
)
def test_a_pass_that_cannot_be_made(number, changes, fault):
    # A setting that is wrong leads beside its line too.
    faults = [one for one in told(with_cut(sound(), number, **changes)) if "its setting leads" not in one]
    assert faults == [fault]


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


@pytest.mark.parametrize("what", ["value", "cost", "minutes"])
def test_worths_that_do_not_add_up(what):
    pattern = sound()
    wrong = replace(pattern, **{what: getattr(pattern, what) * 1.2})
    assert told(wrong)


def test_a_timber_of_another_size_than_the_list_asks():
    pattern = sound()
    girt = index(pattern, "girt")
    # Its corners stay, so that nothing else is amiss but its name.
    assert told(with_piece(pattern, girt, name="sill"))


def test_a_setting_that_does_not_lead_to_the_line():
    # The mill rides on the face of pass 2 and leaves a face of its own: 3 mm less saws 3 mm into the cant.
    pattern = sound()
    assert told(with_cut(pattern, 3, setting_mm=pattern.cuts[2].setting_mm - 3.0))
