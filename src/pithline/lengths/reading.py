"""What a tape says, read into millimeters.

A length is one number with its unit, or feet and then inches. Numbers are whole, whole with a
fraction, a fraction alone, or decimal. The arithmetic is exact up to the one rounding into the
float that is returned.
"""

import re
from fractions import Fraction
from typing import Final, NamedTuple

from pithline.lengths.digits import Part, decimal, fraction
from pithline.lengths.faults import not_one_length, unknown_word, unreadable
from pithline.lengths.spelling import plain, quoted, refusal
from pithline.lengths.units import METRIC, MM_PER, UNIT_WORDS, Unit

__all__ = ["Reading", "in_mm", "parse", "read"]

_LONGEST_LENGTH: Final = 80

# A number and the unit after it. Quantifiers are possessive, so that the search never turns back.
_PART: Final = re.compile(
    r"""(?:
        (?:(?P<whole>[0-9]++)[ -])?+(?P<over>[0-9]++)[ ]?+/[ ]?+(?P<under>[0-9]++)
        | (?P<over_alone>[0-9]++)[ ]?+/[ ]?+(?P<under_alone>[0-9]++)
        | (?P<number>[.]?+[0-9][0-9.,]*+)
    )
    (?:[ ]?+(?P<unit>['"]|[a-z]++(?:[.](?![0-9]))?+))?+""",
    re.VERBOSE,
)
# What may stand between feet and inches.
_BETWEEN: Final = re.compile(r",[ ]|[ ]?-[ ]?|[ ]?")


class Reading(NamedTuple):
    """A length as written: a number that is zero or more, and its unit where one was written.

    Feet with inches come as inches, and `compound` says so.
    """

    amount: Fraction
    unit: Unit | None
    negative: bool
    compound: bool
    with_fraction: bool


def parse(text: str, *, bare: Unit | None = None, signed: bool = False) -> float:
    """Length that a tape's reading stands for, in millimeters.

    Reads 21' 6 1/4", 21ft 6-1/4in, 6.25 in, 9/16 in, 6¼", 160 mm, 16 cm, 6.4 m and their like in
    any case and spacing. A number alone after feet is inches. A comma is read as a decimal mark
    where it can mean nothing else.

    Parameters
    ----------
    text : str
        The reading as it was written, at most 80 characters.
    bare : {"ft", "in", "mm", "cm", "m"}, optional
        Unit of a number that has none, from a column's head or an option. Without it such a
        number is refused, for a unit is never guessed from a number's size.
    signed : bool, default False
        Whether a minus sign is allowed, as in a correction.

    Returns
    -------
    float
        The float nearest to the exact length [mm].

    Raises
    ------
    LengthError
        If the text is empty, too long, holds what is no part of a length, can mean two things, or
        is negative without `signed`. The message says what would do.

    Source
    ------
    NBS Circular 572, addendum of January 1960: 1 yd = 0.9144 m and 1 in = 25.4 mm exactly. The
    spellings are common practice.

    Examples
    --------
    >>> parse("6 1/4", bare="in")
    158.75
    """
    reading = read(plain(text, limit=_LONGEST_LENGTH), text=text)
    if reading.negative and not signed:
        raise refusal(text, "is negative", remedy="a length here is zero or more, so leave out the minus sign")
    unit = reading.unit or bare
    if unit is None:
        number = quoted(text.strip())[1:-1]
        raise refusal(text, "has no unit", remedy=f"write {number} in, {number} mm or another of ft, cm and m")
    length_mm = in_mm(reading, unit, text=text)
    return -length_mm if reading.negative and length_mm else length_mm


def in_mm(reading: Reading, unit: Unit, *, text: str) -> float:
    """Size of a reading in a unit, without its sign.

    Parameters
    ----------
    reading : Reading
        A number as written.
    unit : {"ft", "in", "mm", "cm", "m"}
        Unit that the number is in.
    text : str
        All that was read, for the message.

    Returns
    -------
    float
        Zero or more [mm].

    Raises
    ------
    LengthError
        If the number has a fraction and the unit is metric.

    Source
    ------
    Definition.
    """
    if unit in METRIC and reading.with_fraction:
        raise refusal(
            text,
            f"has a fraction of {unit}",
            remedy=f"write {float(reading.amount):.10g} {unit}, or its unit if it is in inches",
        )
    return float(reading.amount * MM_PER[unit])


def read(line: str, *, text: str) -> Reading:
    """A length as written, before a unit is taken from elsewhere.

    Parameters
    ----------
    line : str
        The text in its plain spelling.
    text : str
        All that was read, for the message.

    Returns
    -------
    Reading
        Its `unit` is None where no unit was written.

    Raises
    ------
    LengthError
        If the line is no length, or can mean two things.

    Source
    ------
    Common practice for the spellings; what is refused is this program's own rule.
    """
    negative = line.startswith("-")
    start = 1 if line.startswith(("-", "+")) else 0
    if line.startswith(" ", start):
        start += 1
    parts = _parts(line, start, text)
    if len(parts) == 1:
        only = parts[0]
        return Reading(only.amount, only.unit, negative, False, only.with_fraction)
    feet, inches = parts[0], parts[1]
    if len(parts) > 2 or feet.unit != "ft" or inches.unit not in (None, "in"):
        raise not_one_length(parts, text=text)
    if feet.is_decimal or feet.with_fraction:
        raise refusal(
            text,
            f"has feet with a part of a foot ({feet.shown}) and inches besides",
            remedy="write whole feet and inches, or feet alone",
        )
    return Reading(feet.amount * 12 + inches.amount, "in", negative, True, inches.with_fraction)


def _parts(line: str, start: int, text: str) -> list[Part]:
    """Every number of a line with its unit, from a place in it to the end."""
    parts: list[Part] = []
    gap = ""
    while True:
        match = _PART.match(line, start)
        if match is None:
            raise unreadable(line, start, text=text)
        if parts and not gap and match[0].startswith("."):
            raise refusal(
                text,
                f"has {quoted(match[0])} with no space before it",
                remedy="put a space and a zero before the point, as in 0.5 in",
            )
        parts.append(_part(match, text))
        if match.end() == len(line):
            return parts
        between = _BETWEEN.match(line, match.end())
        # The pattern can match nothing at all, so it always matches.
        gap = between[0] if between else ""
        if "-" in gap and parts[-1].unit is None:
            raise refusal(
                text,
                "has a dash that can mean minus, to or and",
                remedy="write one length, as in 6 1/4 in, 6-1/4 in or 21'-6\"",
            )
        start = match.end() + len(gap)


def _part(match: re.Match[str], text: str) -> Part:
    """One number with its unit."""
    whole, over, under, over_alone, under_alone, number, word = match.groups()
    unit: Unit | None = None
    if word is not None:
        word = word.rstrip(".")
        unit = UNIT_WORDS.get(word)
        if unit is None:
            raise unknown_word(word, text=text)
    if number is not None:
        return Part(decimal(number, text=text), unit, match[0], not number.isdigit(), False)
    amount = fraction(over or over_alone, under or under_alone, whole=whole, text=text)
    return Part(amount, unit, match[0], False, True)
