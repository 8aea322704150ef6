"""Side boards of a cant: every row of boards left and right of a block, one after the other, in plain Python."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import BOARD, CROOKED, KERF, PLANK, frame_of, task_of
from pithline.patterns import PriceList, WantedBoard
from pithline.patterns.beside import Cant, side_tables, sides_of
from pithline.patterns.levels import STEP_MM, levels_of
from pithline.patterns.strips import Terms, slanted_values, slants_of
from strategies import INCH, KIT, altered, generated

THICK = WantedBoard("thick", 2 * INCH, 4 * INCH, 1_100.0, 1.1)

FEED = 0.2e6

TASK = task_of(CROOKED, PriceList((), (PLANK, BOARD, THICK)))

HAIR = 1e-6


def plumb(frame):
    """Plumb lines over the whole part."""
    reach = float(np.abs(frame.solid.center_mm).max() + frame.solid.shape_mm.max())
    last = math.ceil(reach / STEP_MM)
    return STEP_MM * np.arange(-last, last + 1)


def worth_of(frame, task, board, left, cant):
    """Worth of one board of a cant standing at a place, edging paid, None where none comes out."""
    found = levels_of(frame.solid, np.array([left, left + board.thickness_mm]), axis=0)
    low = np.maximum(found.low_mm.max(axis=1), cant.low_mm)[:, None]
    high = np.minimum(found.high_mm.min(axis=1), cant.high_mm)[:, None]
    terms = Terms(
        board.least_width_mm,
        board.least_length_mm,
        board.value_bf * board.thickness_mm / (144.0 * INCH**3),
        edging_mm=task.minute * 2.0 * board.thickness_mm / FEED,
        most_mm=cant.up_mm,
        # Boards are told in sixteenths of an inch.
        step_mm=INCH / 16.0,
    )
    slants = slants_of(frame.solid.z_mm, frame.solid.center_mm[:, 1])
    worth = float(slanted_values(found.z_mm, (low, high), slants=slants, terms=terms)[0])
    return worth - task.minute * 4.0 if worth > 0.0 else None


def cut_cost(frame, task, at, cant):
    """Cost of a plumb pass through a cant."""
    found = levels_of(frame.solid, np.array([at]), axis=0)
    chord = np.minimum(found.high_mm[:, 0], cant.high_mm) - np.maximum(found.low_mm[:, 0], cant.low_mm)
    area = float(np.trapezoid(np.maximum(chord, 0.0), found.z_mm))
    return task.minute * (5.0 + area / FEED)


def best_row(frame, task, cant, *, face, outward):
    """Most that any row of boards beside a face is worth: all rows tried; outward is 1 to the right, -1 to the left."""
    best, boards = 0.0, ()
    for number, board in enumerate(task.boards):
        end = face + outward * (KERF + board.thickness_mm)
        own = worth_of(frame, task, board, min(end, end - outward * board.thickness_mm), cant)
        if own is None:
            continue
        rest, more = best_row(frame, task, cant, face=end, outward=outward)
        worth = own - cut_cost(frame, task, end, cant) + rest
        if worth > best + HAIR:
            best, boards = worth, (number, *more)
    return best, boards


@st.composite
def cants(draw):
    frame = frame_of(CROOKED, roll=draw(st.floats(-90.0, 90.0)))
    up = draw(st.sampled_from([4.5, 6.0, 7.75])) * INCH
    low = draw(st.floats(-150.0, 10.0))
    left = STEP_MM * draw(st.integers(-75, 0))
    right = left + STEP_MM * draw(st.integers(32, 100))
    return frame, Cant(low, low + up, up, (left, right))


@generated(12)
@given(cants())
def test_the_best_side_boards_are_the_best_of_all_rows(made):
    frame, cant = made
    left, right = cant.inner_mm
    sides = sides_of(side_tables(frame, TASK, at_mm=plumb(frame)), TASK, cant=cant)
    of_left, row_left = best_row(frame, TASK, cant, face=left, outward=-1)
    of_right, row_right = best_row(frame, TASK, cant, face=right, outward=1)
    found = float(sides.worth(np.array([left]), np.array([right]))[0])
    assert found == pytest.approx(of_left + of_right, abs=1e-6)
    boards = sides.boards(left, right, kerf_mm=KERF, thick_mm=[board.thickness_mm for board in TASK.boards])
    # One kerf apart, from the faces outward.
    face = left
    for board in reversed([one for one in boards if one.left_mm < left]):
        face -= KERF + TASK.boards[board.board].thickness_mm
        assert board.left_mm == pytest.approx(face)
    face = right
    for board in [one for one in boards if one.left_mm > right]:
        assert board.left_mm == pytest.approx(face + KERF)
        face += KERF + TASK.boards[board.board].thickness_mm
    assert len(boards) == len(row_left) + len(row_right)
    # Added up once more they are worth what was promised.
    total = 0.0
    for one in boards:
        board = TASK.boards[one.board]
        own = worth_of(frame, TASK, board, one.left_mm, cant)
        outer = one.left_mm if one.left_mm < left else one.left_mm + board.thickness_mm
        total += (own or 0.0) - cut_cost(frame, TASK, outer, cant)
    assert total == pytest.approx(found, abs=1e-6)


@generated(12)
@given(cants(), st.floats(0.0, 1.0), st.integers(-20, 20), st.integers(-20, 20))
def test_a_bound_over_many_places_lies_under_none_of_them(made, share, left_by, right_by):
    frame, cant = made
    left, right = cant.inner_mm
    tables = side_tables(frame, TASK, at_mm=plumb(frame))
    wide = Cant(
        cant.low_mm - 30.0,
        cant.high_mm + 45.0,
        cant.up_mm,
        (left + 20 * STEP_MM, right - 20 * STEP_MM),
    )
    bound = sides_of(tables, TASK, cant=wide)
    low = wide.low_mm + share * 75.0
    faces = np.array([left + left_by * STEP_MM]), np.array([right + right_by * STEP_MM])
    exact = sides_of(
        tables, TASK, cant=Cant(low, low + cant.up_mm, cant.up_mm, (float(faces[0][0]), float(faces[1][0])))
    )
    assert float(bound.worth(*faces)[0]) >= float(exact.worth(*faces)[0]) - HAIR


def test_a_face_between_two_plumb_lines_counts_as_the_one_further_out():
    frame = frame_of(CROOKED, roll=30.0)
    cant = Cant(-70.0, -70.0 + 6 * INCH, 6 * INCH, (-60.0, 60.0))
    sides = sides_of(side_tables(frame, TASK, at_mm=plumb(frame)), TASK, cant=cant)
    assert sides.step_mm == pytest.approx(STEP_MM)
    # The last line from which a face has more left of it than the one before, and its like on the right.
    left = max(k for k in range(1, len(sides.left)) if sides.left[k] > sides.left[k - 1] + HAIR)
    right = min(k for k in range(len(sides.right) - 1) if sides.right[k] > sides.right[k + 1] + HAIR)
    for share in (0.0, 0.4, 0.98):
        faces = sides.at_mm[[left - 1]] + share * STEP_MM, sides.at_mm[[right + 1]] - share * STEP_MM
        assert sides.worth(*faces) == pytest.approx(sides.left[left - 1] + sides.right[right + 1])
    assert sides.worth(sides.at_mm[[left]], sides.at_mm[[right]]) == pytest.approx(
        sides.left[left] + sides.right[right]
    )


def test_a_narrow_cant_gives_no_boards():
    frame = frame_of(CROOKED)
    cant = Cant(-45.0, 45.0, 90.0, (-60.0, 60.0))
    sides = sides_of(side_tables(frame, TASK, at_mm=plumb(frame)), TASK, cant=cant)
    # Every board of the list is wider than 90 mm.
    assert (sides.left == 0.0).all()
    assert (sides.right == 0.0).all()
    assert sides.boards(-60.0, 60.0, kerf_mm=KERF, thick_mm=[1.0, 1.0, 1.0]) == ()


def test_a_log_seen_in_a_mirror_has_its_sides_exchanged():
    frame = frame_of(CROOKED, roll=24.0)
    cant = Cant(-80.0, -80.0 + 6 * INCH, 6 * INCH, (-60 * STEP_MM, 48 * STEP_MM))
    mirror = np.diag([-1.0, 1.0])
    solid = frame.solid.__class__(
        **{
            **{name: getattr(frame.solid, name) for name in frame.solid.__dataclass_fields__},
            "center_mm": frame.solid.center_mm @ mirror,
            "shape_mm": mirror @ frame.solid.shape_mm @ mirror,
        }
    )
    other = frame.__class__(frame.log, 0.0, frame.end_mm, 0.0, frame.center_butt_mm, frame.center_tip_mm, solid)
    ours = sides_of(side_tables(frame, TASK, at_mm=plumb(frame)), TASK, cant=cant)
    seen = Cant(cant.low_mm, cant.high_mm, cant.up_mm, (-48 * STEP_MM, 60 * STEP_MM))
    theirs = sides_of(side_tables(other, TASK, at_mm=plumb(frame)), TASK, cant=seen)
    left, right = np.array([cant.inner_mm[0]]), np.array([cant.inner_mm[1]])
    assert theirs.worth(-right, -left) == pytest.approx(ours.worth(left, right))


def test_dearer_work_leaves_fewer_boards():
    frame = frame_of(CROOKED, roll=30.0)
    cant = Cant(-70.0, -70.0 + 6 * INCH, 6 * INCH, (-60.0, 60.0))
    dear = task_of(CROOKED, TASK.prices, altered(KIT, "work", cost_an_hour=400.0))
    tables = side_tables(frame, dear, at_mm=plumb(frame))
    sides = sides_of(tables, dear, cant=cant)
    assert sides.boards(-60.0, 60.0, kerf_mm=KERF, thick_mm=[1.5 * INCH, INCH, 2 * INCH]) == ()
