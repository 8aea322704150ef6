"""What a tape says is read right or refused, never guessed.

Expected lengths are derived apart: exact fractions of an inch times 127/5 mm, and a foot of twelve
inches, turned into a float once. The spellings are common practice, no source.
"""

import math
import time
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from functools import partial
from typing import TypeVar

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pithline.errors import InputError, LengthError
from pithline.lengths import TimberSize, Unit, parse, parse_ratio
from pithline.lengths import parse_section as section

INCH = Fraction(127, 5)
FOOT = 12 * INCH
QUARTER = Fraction(1, 4)

# --- reading: the trade's spellings -----------------------------------------------------------

SPELLINGS = [
    # feet and inches
    ("21' 6 1/4\"", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21ft 6-1/4in", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21 ft 6 1/4 in", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21 FEET 6 1/4 Inches", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21 foot 6 1/4 inch", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21'6 1/4\"", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21'-6 1/4\"", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21' - 6 1/4\"", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21 ft. 6 1/4 in.", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21 ft, 6 1/4 in", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21' 6.25\"", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21' 6,25\"", 21 * FOOT + (6 + QUARTER) * INCH),
    ("  21  '  6   1/4  \"  ", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21'\t6\n1/4\"", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21' 6", 21 * FOOT + 6 * INCH),
    ("21' 6''", 21 * FOOT + 6 * INCH),
    ("21' 1/2", 21 * FOOT + INCH / 2),
    ("21' 0 1/2\"", 21 * FOOT + INCH / 2),
    ("4' 14\"", 4 * FOOT + 14 * INCH),
    ("21'", 21 * FOOT),
    ("6.5 ft", Fraction(13, 2) * FOOT),
    ("6 1/2'", Fraction(13, 2) * FOOT),
    # inches
    ("6 1/4 in", (6 + QUARTER) * INCH),
    ('6-1/4"', (6 + QUARTER) * INCH),
    ("6 1 / 4 in", (6 + QUARTER) * INCH),
    ("6.25 in", (6 + QUARTER) * INCH),
    ("6,25 in", (6 + QUARTER) * INCH),
    ("11 3/4in", (11 + 3 * QUARTER) * INCH),
    ("9/16 in", Fraction(9, 16) * INCH),
    ("9 / 16 in", Fraction(9, 16) * INCH),
    ("1/3 in", Fraction(1, 3) * INCH),
    ("0/8 in", Fraction(0)),
    (".5 in", INCH / 2),
    ("6. in", 6 * INCH),
    ("06 in", 6 * INCH),
    ("+6 in", 6 * INCH),
    ("6.299212598425197 in", Fraction(6299212598425197, 10**15) * INCH),
    # millimeters, centimeters, meters
    ("160 mm", Fraction(160)),
    ("160MM", Fraction(160)),
    ("16 cm", Fraction(160)),
    ("6.4 m", Fraction(6400)),
    ("0,250 m", Fraction(250)),
    ("1250,125 mm", Fraction(1250125, 1000)),
    ("1,25 m", Fraction(1250)),
    ("1,2500 m", Fraction(1250)),
    ("1.250 m", Fraction(1250)),
    ("0 mm", Fraction(0)),
    # unicode
    ("21\u2032 6\u00bc\u2033", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21\u2019 6 \u00bc\u201d", 21 * FOOT + (6 + QUARTER) * INCH),
    ("21\u2018 6\u2018\u2019", 21 * FOOT + 6 * INCH),
    ("21` 6\u00b4\u00b4", 21 * FOOT + 6 * INCH),
    ("6\u00bd in", (6 + Fraction(1, 2)) * INCH),
    ("6-\u00bd in", (6 + Fraction(1, 2)) * INCH),
    ("\u215d in", Fraction(5, 8) * INCH),
    ("6 1\u20444 in", (6 + QUARTER) * INCH),
    ("6 1\u22154 in", (6 + QUARTER) * INCH),
    ("6\u00b9\u2044\u2084 in", (6 + QUARTER) * INCH),
    ("6 \u00b9\u00b9/\u2081\u2086 in", (6 + Fraction(11, 16)) * INCH),
    ("6\u215f4 in", (6 + QUARTER) * INCH),
    ("6\u2189 in", 6 * INCH),
    ("6\u20111/4 in", (6 + QUARTER) * INCH),
    ("21\u2032\u2013\u20096\u00a01/4\u202fin", 21 * FOOT + (6 + QUARTER) * INCH),
    ("\uff11\uff16\uff10\uff4d\uff4d", Fraction(160)),
    ("160\u339c", Fraction(160)),
    ("16\u339d", Fraction(160)),
    ("\ufeff160 mm\u200e", Fraction(160)),
]


@pytest.mark.parametrize(("text", "length_mm"), SPELLINGS)
def test_every_spelling_of_the_trade_is_read_exactly(text: str, length_mm: Fraction) -> None:
    assert parse(text) == float(length_mm)


@pytest.mark.parametrize("ending", ["er", "ers", "re", "res"])
@pytest.mark.parametrize(("prefix", "size_mm"), [("milli", 1), ("centi", 10), ("", 1000)])
def test_metric_words_are_read_in_both_spellings(prefix: str, size_mm: int, ending: str) -> None:
    assert parse(f"2.5 {prefix}met{ending}") == 2.5 * size_mm


@pytest.mark.parametrize(
    ("bare", "size_mm"),
    [("ft", FOOT), ("in", INCH), ("mm", Fraction(1)), ("cm", Fraction(10)), ("m", Fraction(1000))],
)
def test_a_bare_number_takes_the_unit_it_is_given(bare: Unit, size_mm: Fraction) -> None:
    assert parse("12,5", bare=bare) == float(Fraction(25, 2) * size_mm)


def test_a_bare_whole_number_with_a_fraction_takes_inches() -> None:
    assert parse("11 3/4", bare="in") == float(Fraction(47, 4) * INCH)


@pytest.mark.parametrize("bare", ["ft", "mm", "m"])
def test_a_written_unit_goes_before_the_bare_one(bare: Unit) -> None:
    assert parse("6 1/4 in", bare=bare) == 158.75
    assert parse("21' 6", bare=bare) == float(21 * FOOT + 6 * INCH)


def test_a_minus_sign_is_read_where_a_sign_is_allowed() -> None:
    assert parse("-3/8 in", signed=True) == -9.525
    assert parse("\u2212 3/8 in", signed=True) == -9.525
    assert parse("+3/8 in", signed=True) == 9.525
    assert parse("-1' 6\"", signed=True) == float(-18 * INCH)


def test_a_negative_zero_is_plain_zero() -> None:
    assert math.copysign(1.0, parse("-0 in", signed=True)) == 1.0


@given(
    feet=st.integers(0, 200),
    inches=st.integers(0, 40),
    over=st.integers(0, 63),
    under=st.integers(1, 64),
    foot=st.sampled_from(["'", " ft", "FT", "\u2032", " feet", " ft."]),
    gap=st.sampled_from([" ", "  ", " - ", "\u00a0", "-"]),
    joint=st.sampled_from([" ", "-", "\u2003"]),
    mark=st.sampled_from(['"', " in", "IN", "\u2033", "''", "", " inches"]),
)
def test_feet_inches_and_a_fraction_add_up_in_every_spelling(
    *, feet: int, inches: int, over: int, under: int, foot: str, gap: str, joint: str, mark: str
) -> None:
    over %= under
    text = f"{feet}{foot}{gap}{inches}{joint}{over}/{under}{mark}"
    assert parse(text) == float(feet * FOOT + (inches + Fraction(over, under)) * INCH)


@given(st.integers(0, 10**9 - 1), st.integers(0, 10**6 - 1), st.sampled_from(".,"))
def test_a_decimal_is_the_number_written_with_either_mark(whole: int, part: int, mark: str) -> None:
    tail = f"{part:06d}"
    assert parse(f"{whole}{mark}{tail} mm") == float(whole + Fraction(part, 10**6))


# --- reading: what is refused -----------------------------------------------------------------

WITHOUT_UNIT = [
    ("17", "has no unit: write 17 in, 17 mm or another of ft, cm and m"),
    ("6 1/4", "has no unit: write 6 1/4 in"),
    ("0", "has no unit"),
    ("6400", "has no unit"),
]

REFUSALS = [
    ("", "nothing is written"),
    (" \u00a0\t\u200b", "nothing is written"),
    # words and numbers that are none
    ("six inches", "has \u201csix\u201d, which is no unit of length here"),
    ("6 yards", "has \u201cyards\u201d, which is no unit"),
    ("6 in wide", "has \u201cwide\u201d, which is no unit"),
    ("6 \u0456n", "has \u201c\u0456\u201d where a number should stand"),
    ("nan", "is no number that a tape can show"),
    ("-inf in", "is no number that a tape can show"),
    ("1e400 mm", "has an exponent: write the number in full"),
    ("1e3 mm", "has an exponent"),
    ("in", "has \u201cin\u201d with no number before it"),
    ("'", "has \u201c'\u201d with no number before it"),
    ("21' 6 in \"", 'has \u201c"\u201d with no number before it'),
    ("6'''", "has \u201c'\u201d with no number before it"),
    ("6 x 8", "is a section, and one length is wanted here"),
    ("6 by 8", "is a section"),
    ("6 \u00d7 8", "is a section"),
    ("21' -", "stops where a number should follow"),
    ("-", "stops where a number should follow"),
    ("--6 in", "has \u201c-\u201d where a number should stand"),
    ("=6 in", "has \u201c=\u201d where a number should stand"),
    ("6 in;", "has \u201c;\u201d where a number should stand"),
    ("6\u00b2 in", "has \u201c\u00b2\u201d where a number should stand: write it with the digits"),
    ("\u0666 in", "where a number should stand"),
    ("\u2460 in", "where a number should stand"),
    ("6\x00 in", r"has \u201c\\x00\u201d where a number should stand"),
    ("6\ud800 in", r"has \u201c\\ud800\u201d where a number should stand"),
    # fractions
    ("1/0 in", "has a fraction over zero"),
    ("6 1/00 in", "has a fraction over zero"),
    ("6 5/4 in", "has 5/4 after a whole number, .* not below one: write 7 1/4 if"),
    ("6 4/4 in", "has 4/4 after a whole number, .* not below one: write 7 if"),
    ("61/4 in", "has 61/4, a fraction that is not below one: write 15 1/4 if"),
    ("8/4 in", "has 8/4, a fraction that is not below one: write 2 if"),
    ("1/2/3 in", "has \u201c/\u201d where a number should stand"),
    ("6 -1/4 in", "has a dash that can mean minus, to or and"),
    ("6- 1/4 in", "has a dash that can mean"),
    ("6 - 1/4 in", "has a dash that can mean"),
    ("12-14 in", "has a dash that can mean"),
    ("6.5 1/4 in", "has a decimal and a fraction together"),
    ("1.5/2 in", "has \u201c/\u201d where a number should stand"),
    ("1/4.5 in", "has \u201c.5 in\u201d with no space before it"),
    ("\u00bd\u00bd in", "has two numbers with no unit between"),
    ('6" 1/4', "has a fraction behind the inch mark: put the fraction before"),
    ("1/2 mm", "has a fraction of mm: write 0.5 mm"),
    ("6 1/4 cm", "has a fraction of cm: write 6.25 cm"),
    ("\u00bd m", "has a fraction of m: write 0.5 m"),
    # commas and points
    ("1,250 mm", "has 1,250, which can be 1250 or 1.250: write the one that is meant"),
    ("123,456 mm", "has 123,456, which can be 123456 or 123.456"),
    ("21,125 in", "has 21,125, which can be 21125 or 21.125"),
    ("1,250.5 mm", "has a point and a comma in 1,250.5"),
    ("1.250,5 mm", "has a point and a comma in 1.250,5"),
    ("1,250,000 mm", "has more than one mark in 1,250,000"),
    ("1.250.000 mm", "has more than one mark in 1.250.000"),
    ("6, in", "has a comma with no digit after it in 6,: write 6 or 6.0"),
    (",5 in", "has \u201c,\u201d where a number should stand"),
    ("21 ft,6 in", "has \u201c,\u201d where a number should stand"),
    (". in", "has \u201c.\u201d where a number should stand"),
    ("6 ft.5 in", "has \u201c.5 in\u201d with no space before it: put a space and a zero"),
    ("6'.5\"", "with no space before it"),
    ("1 250 mm", "has two numbers with no unit between them: write one number without spaces"),
    # several numbers
    ("6' 3'", "has feet twice: write feet once and then inches"),
    ("6' 3 ft 2 in", "has feet twice"),
    ("21 6 in", "has two numbers with no unit between"),
    ("21 6 1/4 in", "has two numbers with no unit between"),
    ("6 in 21 ft", "has more than feet and then inches"),
    ("6 in 3 in", "has more than feet and then inches"),
    ('21\' 6" 1/4"', "has more than feet and then inches"),
    ("21' 6\" 3", "has more than feet and then inches"),
    ("6 m 40 cm", "has more than one metric number: write one number with one unit"),
    ("6 m 40", "has more than one metric number"),
    ("6 in 3 mm", "mixes metric units with feet or inches"),
    ("2 m 3 in", "mixes metric units"),
    ("6 ft 40 cm", "mixes metric units"),
    ("6.5 ft 3 in", r"has feet with a part of a foot \(6.5 ft\) and inches besides"),
    ("6.0' 3\"", "has feet with a part of a foot"),
    ("6 1/2' 3\"", r"has feet with a part of a foot \(6 1/2'\) and inches besides"),
    # signs and sizes
    ("-6 in", "is negative: a length here is zero or more"),
    ("\u22126 in", "is negative"),
    ("-0 in", "is negative"),
    ("1234567890 mm", "has more digits than any tape"),
    (f"0.{'1' * 31} m", "has more digits than any tape"),
    ("1/1234567890 in", "has more digits than any tape"),
    (f"{'9' * 81}", "has 81 characters: write the measure in 80 or fewer"),
]


@pytest.mark.parametrize(("text", "why"), REFUSALS + WITHOUT_UNIT)
def test_what_is_no_length_or_means_two_things_is_refused_with_a_remedy(text: str, why: str) -> None:
    with pytest.raises(LengthError, match=why) as caught:
        parse(text)
    told = str(caught.value)
    assert told.count("\n") == 0
    assert told.endswith(".")
    assert ": " in told
    assert told.isprintable()


@pytest.mark.parametrize("bare", ["ft", "in", "mm", "cm", "m"])
@pytest.mark.parametrize("text", [text for text, _ in REFUSALS])
def test_a_bare_unit_makes_no_nonsense_readable(text: str, bare: Unit) -> None:
    with pytest.raises(LengthError):
        parse(text, bare=bare)


def test_a_fraction_is_refused_where_the_bare_unit_is_metric() -> None:
    with pytest.raises(LengthError, match=r"has a fraction of mm: write 6\.25 mm, or its unit"):
        parse("6 1/4", bare="mm")


def test_a_message_starts_with_what_was_read() -> None:
    with pytest.raises(LengthError, match=r"^\u201c6 5/4 in\u201d has 5/4"):
        parse("6 5/4 in")
    with pytest.raises(LengthError, match=r"^\u201c7{40}\.{3}\u201d has 100 characters"):
        parse("7" * 100)


def test_a_text_is_shown_whole_up_to_forty_characters() -> None:
    with pytest.raises(LengthError, match=r"^\u201cq{40}\u201d has"):
        parse("q" * 40)
    with pytest.raises(LengthError, match=r"^\u201cq{40}\.{3}\u201d has"):
        parse("q" * 41)


def test_the_limits_of_digits_and_of_characters_are_the_last_that_pass() -> None:
    assert parse("999999999 mm") == 999999999
    assert parse("1/999999999 in") == float(INCH / 999999999)
    assert parse(f"0.{'1' * 30} m") == float(Fraction(int("1" * 30), 10**30) * 1000)
    assert parse(f"6{' ' * 77}in") == 152.4
    with pytest.raises(LengthError, match="has 81 characters"):
        parse(f"6{' ' * 78}in")
    assert section(f"6 x{' ' * 196}8", bare="mm") == TimberSize(6.0, 8.0, None)
    with pytest.raises(LengthError, match="has 201 characters"):
        section(f"6 x{' ' * 197}8", bare="mm")


def test_a_refusal_is_a_fault_of_input_and_a_value_error() -> None:
    with pytest.raises(InputError):
        parse("six")
    with pytest.raises(ValueError, match="six"):
        parse("six")


# --- reading: anything at all -----------------------------------------------------------------

TRADE_MARKS = "0123456789 .,/-+'\"\u00bd\u00bc\u215d\u2032\u2033\u2044xmcinft:eby*\u00d7\u00b9\u2084"


T = TypeVar("T")


def value_or_told(read: Callable[[], T]) -> T | str:
    try:
        return read()
    except LengthError as error:
        return str(error)


@given(st.one_of(st.text(max_size=100), st.text(TRADE_MARKS, max_size=40)), st.booleans())
@example("1" * 80, False)
@example("1 " * 40, False)
@settings(max_examples=500)
def test_any_text_is_a_finite_length_or_is_refused(text: str, signed: bool) -> None:
    units: tuple[Unit | None, ...] = ("in", "mm", None)
    for bare in units:
        found = value_or_told(partial(parse, text, bare=bare, signed=signed))
        if isinstance(found, str):
            assert found.isprintable()
        else:
            assert math.isfinite(found)
            assert signed or found >= 0


@given(st.one_of(st.text(max_size=100), st.text(TRADE_MARKS, max_size=40)))
@example("x" * 200)
@example("6 x " * 50)
@settings(max_examples=300)
def test_any_text_is_a_section_and_a_ratio_or_is_refused(text: str) -> None:
    size = value_or_told(lambda: section(text, bare="in"))
    if isinstance(size, str):
        assert size.isprintable()
    else:
        assert size.thickness_mm > 0
        assert size.width_mm > 0
        assert size.length_mm is None or size.length_mm > 0
    ratio = value_or_told(lambda: parse_ratio(text))
    if isinstance(ratio, str):
        assert ratio.isprintable()
    else:
        assert all(0 < number < math.inf for number in ratio)


def test_no_character_changes_a_number_unless_unicode_gives_it_that_value() -> None:
    # Every character of the basic plane is put behind the 6; the oracle is the Unicode table of
    # numeric values. A mark may be read as nothing but a space or a point, or be refused.
    for code in range(0x10000):
        character = chr(code)
        try:
            inches = parse(f"6{character} in") / 25.4
        except LengthError:
            continue
        value = unicodedata.numeric(character, None)
        if value is None:
            # The last are the full-width point, and marks that have no width.
            assert character in ".\uff0e" or character.isspace() or is_invisible(character)
            assert inches == pytest.approx(6, abs=1e-12)
        elif unicodedata.decimal(character, None) is not None:
            assert inches == pytest.approx(60 + value, abs=1e-12)
        else:
            assert value < 1
            assert inches == pytest.approx(6 + value, abs=1e-12)


def is_invisible(character: str) -> bool:
    return unicodedata.category(character) == "Cf"


@pytest.mark.parametrize("code", [*range(0xBC, 0xBF), *range(0x2150, 0x215F)])
def test_every_fraction_character_is_the_fraction_it_shows(code: int) -> None:
    character = chr(code)
    value = Fraction(unicodedata.numeric(character)).limit_denominator(16)
    for text in (f"6{character}", f"6 {character}", f"6-{character}"):
        assert parse(text, bare="in") == float((6 + value) * INCH)


HOSTILE = [
    "1" * 10**6,
    "1 " * 500_000,
    " " * 10**6,
    "1/" * 500_000,
    "\u00bd" * 10**6,
    "1,000" * 200_000,
    "6 x " * 250_000,
    *(part * (80 // len(part)) for part in ("1", "1 ", "1/", "1-", "a", "1,", "1 1/", "in", "'1")),
]


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_a_hostile_text_is_refused_in_milliseconds(text: str) -> None:
    took = []
    for _ in range(3):
        started = time.process_time()
        with pytest.raises(LengthError):
            parse(text)
        with pytest.raises(LengthError):
            section(text, bare="in")
        with pytest.raises(LengthError):
            parse_ratio(text)
        took.append(time.process_time() - started)
    assert min(took) < 0.02


def test_a_hundred_thousand_lengths_are_read_in_two_seconds() -> None:
    texts = ["21' 6 1/4\"", "6.25 in", "11 3/4 in", "160 mm", "6\u00bc\u2033", "6,25 in"] * 5_000
    rates = []
    for _ in range(2):
        started = time.process_time()
        for text in texts:
            parse(text)
        rates.append((time.process_time() - started) / len(texts))
    # Time of the processor, so that a busy machine does not fail this.
    assert min(rates) * 100_000 < 2


# --- sections ---------------------------------------------------------------------------------

SECTIONS = [
    ("6 x 8 x 20'", "in", 6 * INCH, 8 * INCH, 20 * FOOT),
    ("6 x 8", "in", 6 * INCH, 8 * INCH, None),
    ("6x8x20'", "in", 6 * INCH, 8 * INCH, 20 * FOOT),
    ("8 X 6", "in", 8 * INCH, 6 * INCH, None),
    ("6 x 8", "mm", Fraction(6), Fraction(8), None),
    ("6 * 8", "cm", Fraction(60), Fraction(80), None),
    ("150 by 200", "mm", Fraction(150), Fraction(200), None),
    ("150 x 200 mm", "in", Fraction(150), Fraction(200), None),
    ("15 x 20 cm", "in", Fraction(150), Fraction(200), None),
    ("150 x 200 x 6000 mm", "in", Fraction(150), Fraction(200), Fraction(6000)),
    ("150 mm x 200 mm x 6 m", "in", Fraction(150), Fraction(200), Fraction(6000)),
    ("150 x 200 mm x 6 m", "in", Fraction(150), Fraction(200), Fraction(6000)),
    ("150 x 200 x 6 m", "mm", Fraction(150), Fraction(200), Fraction(6000)),
    ("150 x 200 x 6,5 m", "mm", Fraction(150), Fraction(200), Fraction(6500)),
    ('6" \u00d7 8" x 20 ft', "mm", 6 * INCH, 8 * INCH, 20 * FOOT),
    ('6 x 8" x 20 ft', "mm", 6 * INCH, 8 * INCH, 20 * FOOT),
    ("6 x 8 x 240 in", "mm", 6 * INCH, 8 * INCH, 240 * INCH),
    ("6\" x 8 x 20'", "in", 6 * INCH, 8 * INCH, 20 * FOOT),
    ("6 1/2 x 8-1/4 x 20' 6\"", "in", Fraction(13, 2) * INCH, Fraction(33, 4) * INCH, 246 * INCH),
    ("6\u00bd \u2715 8\u00bc in", "mm", Fraction(13, 2) * INCH, Fraction(33, 4) * INCH, None),
    ("6 x 1' x 20'", "in", 6 * INCH, FOOT, 20 * FOOT),
    ("150 x 8 in", "mm", 150 * INCH, 8 * INCH, None),
    ("150 mm x 8 in", "mm", Fraction(150), 8 * INCH, None),
]


@pytest.mark.parametrize(("text", "bare", "thickness", "width", "length"), SECTIONS)
def test_a_section_is_read_with_the_units_that_stand_in_it(
    text: str, bare: Unit, thickness: Fraction, width: Fraction, length: Fraction | None
) -> None:
    size = section(text, bare=bare)
    assert size == TimberSize(float(thickness), float(width), None if length is None else float(length))


SECTION_REFUSALS = [
    ("", "in", "nothing is written"),
    ("6", "in", "is not thickness x width, with x length if wanted: write it as 6 x 8 x 20'"),
    ("6 x", "in", "is not thickness x width"),
    ("x 8", "in", "is not thickness x width"),
    ("6 x x 8", "in", "is not thickness x width"),
    ("6 x 8 x 20' x 2", "in", "is not thickness x width"),
    ("6 x 8 x 20", "in", "has a length without a unit: write 20' or 20 in at the end"),
    ("150 x 200 x 6000", "mm", "has a length without a unit: write 6000 mm or 6000 m at the end"),
    ("150 mm x 200 mm x 6000", "mm", "has a length without a unit"),
    ('6" x 8', "mm", "has in on the thickness and no unit on the width: write 8 in or 8 mm"),
    ("150 mm x 200", "in", "has mm on the thickness and no unit on the width"),
    ("1' x 8 x 20'", "mm", "has ft on the thickness and no unit on the width"),
    ("6 x 8 x 20' 6\"", "mm", "ends in feet and inches and has no unit on the width: write 8 in"),
    ("0 x 8", "in", "has a size that is not above zero"),
    ("6 x 0", "in", "has a size that is not above zero"),
    ("6 x 8 x 0'", "in", "has a size that is not above zero"),
    ("-6 x 8", "in", "has a size that is not above zero"),
    ("6 1/4 x 200 mm", "in", "has a fraction of mm"),
    ("6 1/4 x 8", "mm", "has a fraction of mm"),
    ("6 5/4 x 8", "in", "has 5/4 after a whole number"),
    ("eight by ten", "in", "has \u201ceight\u201d, which is no unit"),
    ("6 x 8 x 20' 6 m", "in", "mixes metric units"),
    ("6,250 x 8", "in", "has 6,250, which can be"),
    ("6 x " * 60, "in", "has 240 characters"),
]


@pytest.mark.parametrize(("text", "bare", "why"), SECTION_REFUSALS)
def test_a_section_that_can_mean_two_things_is_refused_with_a_remedy(text: str, bare: Unit, why: str) -> None:
    with pytest.raises(LengthError, match=why):
        section(text, bare=bare)


@given(
    st.tuples(st.integers(1, 999), st.integers(1, 999), st.integers(1, 99)),
    st.sampled_from(["in", "mm", "cm"]),
    st.sampled_from([" x ", "x", " \u00d7 ", " by ", "*"]),
)
def test_one_unit_at_the_end_is_the_same_as_that_unit_on_every_number(
    numbers: tuple[int, int, int], unit: Unit, sign: str
) -> None:
    for count in (2, 3):
        each = sign.join(f"{number} {unit}" for number in numbers[:count])
        last = sign.join(str(number) for number in numbers[:count])
        for bare in ("in", "mm"):
            assert section(f"{last} {unit}", bare=bare) == section(each, bare=bare)


@pytest.mark.parametrize(
    ("text", "ratio"),
    [
        ("3:4", (3.0, 4.0)),
        ("1:1.5", (1.0, 1.5)),
        (" 1 : 1,5 ", (1.0, 1.5)),
        ("4:3", (4.0, 3.0)),
        ("1\u22361.5", (1.0, 1.5)),
        ("\uff13\uff1a\uff14", (3.0, 4.0)),
        ("0.75:1", (0.75, 1.0)),
    ],
)
def test_a_ratio_is_thickness_to_width(text: str, ratio: tuple[float, float]) -> None:
    assert parse_ratio(text) == ratio


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "nothing is written"),
        ("3/4", "is not a ratio .*: write two numbers with a colon between them, as in 3:4"),
        ("3 x 4", "is not a ratio .*, as in 3:4 or 1:1.5"),
        ("3:4:5", "is not a ratio"),
        ("3", "is not a ratio"),
        (":4", "is not a ratio"),
        ("-3:4", "is not a ratio"),
        ("nan:1", "is not a ratio"),
        ("3 in:4 in", "is not a ratio"),
        ("0:4", "has a zero in it: write two numbers above zero"),
        ("3:0.0", "has a zero in it"),
        ("1,250:1", "has 1,250, which can be"),
        ("1:1e400", "is not a ratio"),
        ("1:1234567890", "has more digits than any tape"),
    ],
)
def test_a_ratio_in_any_other_form_is_refused_with_a_remedy(text: str, why: str) -> None:
    with pytest.raises(LengthError, match=why):
        parse_ratio(text)
