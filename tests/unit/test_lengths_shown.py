"""What a tape shows is rounded as asked, and reads back the same.

Expected lengths are derived apart: exact fractions of an inch times 127/5 mm, and a foot of twelve
inches, turned into a float once.
"""

import math
from dataclasses import FrozenInstanceError, fields, replace
from fractions import Fraction
from typing import cast

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pithline.errors import LengthError
from pithline.lengths import Rounding, Style, Tape, TimberSize, parse

INCH = Fraction(127, 5)
FOOT = 12 * INCH
QUARTER = Fraction(1, 4)
# Slack within which a length counts as lying on a step.
SLACK_MM = Fraction(1, 1_000_000)

TAPES = [Tape("in", 16), Tape("in", 8), Tape("mm")]
STEPS = {("in", 16): INCH / 16, ("in", 8): INCH / 8, ("mm", 16): Fraction(1)}
ROUNDINGS: list[Rounding] = ["nearest", "up", "down"]

tapes = st.sampled_from(TAPES)
roundings = st.sampled_from(ROUNDINGS)
lengths_mm = st.floats(-2e5, 2e5, allow_nan=False)


def step_of(tape: Tape) -> Fraction:
    return STEPS[tape.style, tape.denominator]


SHOWN = [
    # length in inches, to 1/16: nearest, up, down
    (Fraction(25, 4), "6 1/4 in", "6 1/4 in", "6 1/4 in"),
    (Fraction(0), "0 in", "0 in", "0 in"),
    (Fraction(-3, 8), "-3/8 in", "-3/8 in", "-3/8 in"),
    (Fraction(-51, 8), "-6 3/8 in", "-6 3/8 in", "-6 3/8 in"),
    (Fraction(7), "7 in", "7 in", "7 in"),
    (Fraction(1, 40), "0 in", "1/16 in", "0 in"),
    (Fraction(-1, 40), "0 in", "0 in", "-1/16 in"),
    # half a step
    (Fraction(1, 32), "1/16 in", "1/16 in", "0 in"),
    (Fraction(-1, 32), "-1/16 in", "0 in", "-1/16 in"),
    (6 + Fraction(1, 32), "6 1/16 in", "6 1/16 in", "6 in"),
    (6 + Fraction(3, 32), "6 1/8 in", "6 1/8 in", "6 1/16 in"),
    (6 + Fraction(31, 32), "7 in", "7 in", "6 15/16 in"),
    (Fraction(101, 16), "6 5/16 in", "6 5/16 in", "6 5/16 in"),
    (300 + Fraction(1, 2), "300 1/2 in", "300 1/2 in", "300 1/2 in"),
]


@pytest.mark.parametrize(("inches", "nearest", "up", "down"), SHOWN)
def test_inches_are_shown_in_lowest_terms_and_rounded_as_asked(
    inches: Fraction, nearest: str, up: str, down: str
) -> None:
    tape, length_mm = Tape("in", 16), float(inches * INCH)
    assert tape.show(length_mm) == nearest
    assert tape.show(length_mm, "up") == up
    assert tape.show(length_mm, "down") == down


def test_eighths_are_shown_where_they_are_chosen() -> None:
    tape = Tape("in", 8)
    assert tape.show(float(Fraction(99, 16) * INCH)) == "6 1/4 in"
    assert tape.show(float(Fraction(99, 16) * INCH), "down") == "6 1/8 in"
    assert tape.show(float(Fraction(25, 4) * INCH)) == "6 1/4 in"


@pytest.mark.parametrize(
    ("length_mm", "nearest", "up", "down"),
    [
        (160.0, "160 mm", "160 mm", "160 mm"),
        (160.4, "160 mm", "161 mm", "160 mm"),
        (160.5, "161 mm", "161 mm", "160 mm"),
        (-160.5, "-161 mm", "-160 mm", "-161 mm"),
        (-0.4, "0 mm", "0 mm", "-1 mm"),
        (0.0, "0 mm", "0 mm", "0 mm"),
        (-0.0, "0 mm", "0 mm", "0 mm"),
    ],
)
def test_millimeters_are_shown_whole_and_rounded_as_asked(length_mm: float, nearest: str, up: str, down: str) -> None:
    tape = Tape("mm")
    assert tape.show(length_mm) == nearest
    assert tape.show(length_mm, "up") == up
    assert tape.show(length_mm, "down") == down


@pytest.mark.parametrize(
    ("length", "feet", "meters"),
    [
        (21 * FOOT + (6 + QUARTER) * INCH, "21 ft 6 1/4 in", "6.560 m"),
        (Fraction(6553), "21 ft 6 in", "6.553 m"),
        (21 * FOOT, "21 ft", "6.401 m"),
        (21 * FOOT + INCH / 4, "21 ft 0 1/4 in", "6.407 m"),
        (-21 * FOOT - INCH / 4, "-21 ft 0 1/4 in", "-6.407 m"),
        (-21 * FOOT, "-21 ft", "-6.401 m"),
        (21 * FOOT - INCH / 40, "21 ft", "6.400 m"),
        ((6 + QUARTER) * INCH, "6 1/4 in", "0.159 m"),
        (-INCH / 4, "-1/4 in", "-0.006 m"),
        (Fraction(0), "0 in", "0.000 m"),
        (FOOT, "1 ft", "0.305 m"),
    ],
)
def test_long_lengths_are_shown_in_feet_and_inches_or_in_meters(length: Fraction, feet: str, meters: str) -> None:
    assert Tape("in", 16).show_long(float(length)) == feet
    assert Tape("mm").show_long(float(length)) == meters


def test_a_length_is_shown_without_its_unit_for_a_column() -> None:
    assert Tape("in").number(-158.75) == "-6 1/4"
    assert Tape("mm").number(158.75) == "159"
    assert Tape("mm").number(158.75, "down") == "158"


def test_the_parts_of_a_length_are_ready_for_large_figures() -> None:
    assert Tape("in", 16).parts(-6.375 * 25.4) == (-1, 6, 3, 8)
    assert Tape("in", 16).parts(0.5 * 25.4) == (1, 0, 1, 2)
    assert Tape("in", 16).parts(6.01 * 25.4, "up") == (1, 6, 1, 16)
    assert Tape("in", 16).parts(7 * 25.4) == (1, 7, 0, 1)
    assert Tape("mm").parts(-159.8, "up") == (-1, 159, 0, 1)
    assert Tape("in", 16).parts(-0.1) == (0, 0, 0, 1)


def test_the_other_unit_stands_beside_the_chosen_one() -> None:
    assert Tape("in", 16).other(158.75) == "159 mm"
    assert Tape("in", 16).other(158.75, "down") == "158 mm"
    assert Tape("mm").other(158.75) == "6 1/4 in"
    assert Tape("mm", 8).other(float(Fraction(99, 16) * INCH), "up") == "6 1/4 in"
    assert Tape("mm", 16).other(float(Fraction(99, 16) * INCH), "up") == "6 3/16 in"


@pytest.mark.parametrize("tape", TAPES)
def test_the_step_of_a_tape_is_the_distance_of_its_marks(tape: Tape) -> None:
    assert tape.step_mm == float(step_of(tape))


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
@pytest.mark.parametrize("tape", TAPES)
def test_a_length_that_is_not_finite_is_never_shown(tape: Tape, bad: float) -> None:
    for method in (tape.show, tape.show_long, tape.number, tape.round, tape.parts, tape.other):
        with pytest.raises(LengthError, match="cannot be shown: it must be finite"):
            method(bad)


def test_a_tape_that_no_one_has_is_refused() -> None:
    with pytest.raises(LengthError, match="1/10 in is not known: choose 8 or 16"):
        Tape("in", 10)
    with pytest.raises(LengthError, match="'cubit' is not known: choose in or mm"):
        Tape(cast("Style", "cubit"))


# --- there and back ---------------------------------------------------------------------------


@given(lengths_mm, tapes, roundings)
@example(158.75, TAPES[0], "up")
@example(-0.79375, TAPES[0], "nearest")
@settings(max_examples=400)
def test_what_is_shown_reads_back_to_what_was_rounded(length_mm: float, tape: Tape, rounding: Rounding) -> None:
    rounded = tape.round(length_mm, rounding)
    assert parse(tape.show(length_mm, rounding), signed=True) == rounded
    assert parse(tape.show_long(length_mm, rounding), signed=True) == rounded
    assert parse(tape.number(length_mm, rounding), bare=tape.style, signed=True) == rounded
    sign, whole, over, under = tape.parts(length_mm, rounding)
    unit_mm = INCH if tape.style == "in" else Fraction(1)
    assert float(sign * (whole + Fraction(over, under)) * unit_mm) == rounded


@given(lengths_mm, tapes)
@settings(max_examples=400)
def test_rounding_goes_where_it_says_and_never_a_whole_step_too_far(length_mm: float, tape: Tape) -> None:
    step, exact = step_of(tape), Fraction(length_mm)
    # The float that is returned is off the exact step by its own last bit.
    bit = Fraction(math.ulp(length_mm) + math.ulp(float(step))) * 2
    up, down, nearest = (Fraction(tape.round(length_mm, way)) for way in ("up", "down", "nearest"))
    assert exact - SLACK_MM - bit <= up < exact + step + bit
    assert exact - step - bit < down <= exact + SLACK_MM + bit
    assert abs(nearest - exact) <= step / 2 + SLACK_MM + bit
    assert down <= nearest <= up


@given(st.integers(-200_000, 200_000), tapes, roundings, st.integers(-8, 8))
def test_a_length_on_a_mark_stays_there_whatever_its_last_bits(
    marks: int, tape: Tape, rounding: Rounding, bits: int
) -> None:
    exact_mm = float(marks * step_of(tape))
    noisy_mm = exact_mm + bits * math.ulp(exact_mm)
    assert tape.round(noisy_mm, rounding) == exact_mm


@given(st.integers(0, 200_000), tapes)
def test_half_a_step_goes_away_from_zero_on_both_sides(marks: int, tape: Tape) -> None:
    half_mm = float((marks + Fraction(1, 2)) * step_of(tape))
    for length_mm in (half_mm, math.nextafter(half_mm, 0)):
        assert tape.round(length_mm) == float((marks + 1) * step_of(tape))
        assert tape.round(-length_mm) == float(-(marks + 1) * step_of(tape))


@given(lengths_mm, tapes)
def test_turning_the_sign_turns_up_into_down(length_mm: float, tape: Tape) -> None:
    assert tape.round(-length_mm, "up") == -tape.round(length_mm, "down")
    assert tape.round(-length_mm) == -tape.round(length_mm)


@pytest.mark.parametrize("value", [Tape("in", 8), TimberSize(150.0, 200.0, None)])
def test_tapes_and_sizes_can_be_keys_and_cannot_be_changed(value: Tape | TimberSize) -> None:
    assert {value: 1}[replace(value)] == 1
    with pytest.raises(FrozenInstanceError):
        value.__setattr__(fields(value)[0].name, 1)


def test_the_slack_is_a_millionth_of_a_millimeter() -> None:
    tape = Tape("mm")
    assert tape.round(160 + 0.9e-6, "up") == 160
    assert tape.round(160 + 1.1e-6, "up") == 161
    assert tape.round(160 - 0.9e-6, "down") == 160
    assert tape.round(160 - 1.1e-6, "down") == 159


def test_a_length_far_beyond_any_log_is_still_shown_right() -> None:
    assert Tape("mm").show(1e300) == f"{int(1e300)} mm"
    assert Tape("in").round(float(10**12 * INCH)) == float(10**12 * INCH)
