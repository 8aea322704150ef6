"""The largest timber of a kind: it fits, and nothing a tenth larger does."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pithline.errors import NoPlacementError, TimberError
from pithline.fit import Kind, Timber, largest, place
from pithline.fit.rows import wood_rows
from pithline.fit.search import RollSearch
from pithline.fit.timber import timber_growth
from pithline.logs import turned
from strategies import FACE_SHARE, generated, rolls, round_log, solids

SAMPLED = np.radians(np.arange(0.0, 180.0, 2.0))
"""Rolls at which a timber that should not fit is tried."""


@st.composite
def kinds(draw, log):
    """A square, a ratio or a thickness, with clearance or wane that such a log can give."""
    tip = log.diameter_mm(-1)
    clear = draw(st.sampled_from([0.0, 0.0, 3.0]))
    wane = draw(st.sampled_from([0.0, 0.0, 4.0]))
    if draw(st.booleans()):
        thickness = max(13.0, tip * draw(st.floats(0.15, 0.5)))
        return Kind("thickness", thickness_mm=thickness, clearance_mm=clear, wane_mm=wane)
    return Kind(ratio=draw(st.just(1.0) | st.floats(0.3, 3.0)), clearance_mm=clear, wane_mm=wane)


def found(log, kind):
    try:
        return largest(log, kind)
    except NoPlacementError:
        assume(False)


def most_room(log, timber, sampled=SAMPLED):
    search = RollSearch(wood_rows(log), timber_growth(timber))
    return max(search.at(float(roll)).value for roll in sampled)


@generated(40)
@given(solids(), st.data())
def test_the_largest_fits_with_the_clearance_asked_for_and_is_what_was_asked(log, data):
    kind = data.draw(kinds(log))
    answer = found(log, kind)
    placed = answer.placement
    assert placed.fits or kind.clearance_mm < 0.0
    assert placed.clearance_mm >= kind.clearance_mm - 1e-6
    assert (placed.timber.thickness_mm, placed.timber.width_mm) == (answer.thickness_mm, answer.width_mm)
    assert placed.timber.wane_mm == kind.wane_mm
    if kind.shape == "thickness":
        assert answer.thickness_mm == pytest.approx(kind.thickness_mm)
    else:
        assert answer.thickness_mm / answer.width_mm == pytest.approx(kind.ratio)
    assert answer.width_mm <= answer.limit_width_mm
    # No clearance is left over that a larger timber could have had.
    assert placed.clearance_mm - kind.clearance_mm <= 0.1


@generated(25)
@given(solids(), st.data())
def test_a_timber_over_the_limit_fits_at_no_roll(log, data):
    kind = data.draw(kinds(log))
    answer = found(log, kind)
    width = answer.limit_width_mm + 0.01
    thickness = kind.thickness_mm if kind.shape == "thickness" else width * kind.ratio
    timber = Timber(thickness, width, wane_mm=kind.wane_mm)
    assert most_room(log, timber) < kind.clearance_mm
    near = math.radians(answer.placement.roll_deg) + np.linspace(-0.01, 0.01, 21)
    assert most_room(log, timber, near) < kind.clearance_mm


@generated(25)
@given(solids())
def test_a_square_grown_by_a_tenth_of_a_millimeter_fits_no_more(log):
    answer = found(log, Kind())
    side = answer.width_mm + 0.1
    timber = Timber(side, side)
    assert most_room(log, timber) < 0.0
    assert not place(log, timber).fits


@generated(20)
@given(solids(), rolls)
def test_turning_the_log_first_changes_no_size(log, turn):
    here, there = found(log, Kind()), found(turned(log, turn), Kind())
    radius = max(float(np.linalg.norm(shape, 2)) for shape in log.shape_mm)
    # A turned round is cut into its 72 faces otherwise.
    assert there.width_mm == pytest.approx(here.width_mm, abs=0.1 + 3.0 * FACE_SHARE * radius)


@generated(20)
@given(solids(), st.floats(0.3, 3.0))
def test_a_ratio_and_its_inverse_give_one_section_lying_or_standing(log, ratio):
    lying, standing = found(log, Kind(ratio=ratio)), found(log, Kind(ratio=1.0 / ratio))
    # A hair of clearance is a larger part of the longer side.
    room = 0.1 * max(ratio, 1.0 / ratio)
    assert lying.thickness_mm == pytest.approx(standing.width_mm, abs=room)
    assert lying.width_mm == pytest.approx(standing.thickness_mm, abs=room)


@generated(20)
@given(solids(), st.data())
def test_less_clearance_or_more_wane_never_gives_a_smaller_timber(log, data):
    ratio = data.draw(st.floats(0.5, 2.0))
    plain = found(log, Kind(ratio=ratio))
    assume(min(plain.width_mm, plain.thickness_mm) > 30.0)
    waned = largest(log, Kind(ratio=ratio, wane_mm=5.0))
    assert waned.limit_width_mm >= plain.width_mm - 1e-6
    kept = found(log, Kind(ratio=ratio, clearance_mm=4.0))
    assert kept.width_mm <= plain.limit_width_mm + 1e-6


def test_clearance_is_kept_between_corners_and_bark_and_no_more_than_that():
    log = round_log(400.0, 2_000.0)
    inside = 200.0 * math.cos(math.pi / 72)
    for clear in (0.0, 10.0, 35.0):
        answer = largest(log, Kind(clearance_mm=clear))
        # The square's corners lie on the circle that is smaller by the clearance all round.
        assert answer.width_mm == pytest.approx(math.sqrt(2.0) * (200.0 - clear), abs=0.3)
        assert answer.width_mm >= math.sqrt(2.0) * (inside - clear) - 0.1


def test_the_largest_of_a_given_thickness_in_a_cylinder():
    # By Pythagoras: 340 across and 160 thick leaves 300 wide.
    answer = largest(round_log(340.0, 2_500.0), Kind("thickness", thickness_mm=160.0))
    assert answer.width_mm == pytest.approx(300.0, abs=0.4)


def test_wane_of_half_a_side_leaves_a_square_standing_on_its_corner():
    # With half of each face missing what must be inside are the middles of the four faces.
    answer = largest(round_log(300.0, 2_000.0), Kind(wane_mm=100.0))
    # Points at (b - 100, b) with b half the side: (b - 100)^2 + b^2 = 150^2.
    b = 0.5 * (100.0 + math.sqrt(2.0 * 150.0**2 - 100.0**2))
    assert answer.width_mm == pytest.approx(2.0 * b, abs=0.5)


def test_a_log_too_crooked_for_any_timber_says_so():
    log = round_log(160.0, 4_000.0, crown_mm=155.0, crown_clock=4.0)
    # The straight line nearest to the crown leaves 77.5 mm each way of a radius of 80.
    with pytest.raises(NoPlacementError, match="no timber of this kind lies in the log"):
        largest(log, Kind())


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        ({"ratio": 0.0}, "ratio: thickness 0 of the width"),
        ({"ratio": 25.0}, "between 1:20 and 20:1"),
        ({"ratio": math.nan}, "ratio"),
        ({"shape": "thickness", "thickness_mm": 2.0}, "thickness: .* between"),
        ({"clearance_mm": 900.0}, "clearance must lie between"),
        ({"wane_mm": -1.0}, "wane between 0 and 100 mm"),
    ],
)
def test_what_cannot_be_asked_is_refused(asked, told):
    with pytest.raises(TimberError, match=told):
        Kind(**asked)
