"""Why a text is not one length, told in a sentence each."""

import re
from collections.abc import Sequence
from typing import Final

from pithline.errors import LengthError
from pithline.lengths.digits import Part
from pithline.lengths.spelling import EXAMPLE, quoted, refusal
from pithline.lengths.units import METRIC, UNIT_WORDS

__all__ = ["not_one_length", "unknown_word", "unreadable"]

_WORD: Final = re.compile(r"[a-z]++")
_AS_EXAMPLE: Final = f"write it as {EXAMPLE}"

# Words that are met in place of a unit, and what is said of each.
_WORDS: Final = {
    "x": ("is a section, and one length is wanted here", _AS_EXAMPLE),
    "by": ("is a section, and one length is wanted here", _AS_EXAMPLE),
    "e": ("has an exponent", "write the number in full, as in 1250 mm"),
    "nan": ("is no number that a tape can show", _AS_EXAMPLE),
    "inf": ("is no number that a tape can show", _AS_EXAMPLE),
    "infinity": ("is no number that a tape can show", _AS_EXAMPLE),
}


def not_one_length(parts: Sequence[Part], *, text: str) -> LengthError:
    """Why several numbers in a row are not one length.

    Parameters
    ----------
    parts : sequence of Part
        The numbers in order, two or more, that are not feet and then inches.
    text : str
        All that was read, for the message.

    Returns
    -------
    LengthError
        Ready to be raised.

    Source
    ------
    This program's own rules.
    """
    first, second = parts[0], parts[1]
    units = [part.unit for part in parts if part.unit is not None]
    metric = sum(unit in METRIC for unit in units)
    why, remedy = "has more than feet and then inches", f"write one length, as in {EXAMPLE}"
    if 0 < metric < len(units):
        why = "mixes metric units with feet or inches"
        remedy = "write the whole length in one of the two"
    elif units.count("ft") > 1:
        why = "has feet twice"
        remedy = "write feet once and then inches, as in 21' 6 1/4\""
    elif first.unit is None and first.is_decimal and second.with_fraction:
        why = "has a decimal and a fraction together"
        remedy = "write one of them, as in 6.25 in or 6 1/4 in"
    elif first.unit is None:
        why = "has two numbers with no unit between them"
        remedy = f"write one number without spaces, or the unit after each, as in {EXAMPLE}"
    elif second.unit is None and second.with_fraction and first.unit == "in":
        why = "has a fraction behind the inch mark"
        remedy = 'put the fraction before the mark, as in 6 1/4"'
    elif metric:
        why = "has more than one metric number"
        remedy = "write one number with one unit, as in 6.4 m or 160 mm"
    return refusal(text, why, remedy=remedy)


def unreadable(line: str, at: int, *, text: str) -> LengthError:
    """Why no number stands at a spot where one should.

    Parameters
    ----------
    line : str
        The text in its plain spelling.
    at : int
        Place in the line, counted from 0 [characters].
    text : str
        All that was read, for the message.

    Returns
    -------
    LengthError
        Ready to be raised.

    Source
    ------
    This program's own rules.
    """
    if at >= len(line):
        return refusal(text, "stops where a number should follow", remedy=_AS_EXAMPLE)
    found = _WORD.match(line, at)
    mark = found[0] if found else line[at]
    if found and mark not in UNIT_WORDS:
        return unknown_word(mark, text=text)
    if mark in UNIT_WORDS:
        return refusal(
            text,
            f"has {quoted(mark)} with no number before it",
            remedy=f"write a number and then its unit, as in {EXAMPLE}",
        )
    return refusal(
        text,
        f"has {quoted(mark)} where a number should stand",
        remedy=f"write it with the digits 0 to 9, as in {EXAMPLE}",
    )


def unknown_word(word: str, *, text: str) -> LengthError:
    """Why a word is no unit.

    Parameters
    ----------
    word : str
        In lower case, without a point after it.
    text : str
        All that was read, for the message.

    Returns
    -------
    LengthError
        Ready to be raised.

    Source
    ------
    This program's own rules.
    """
    if word in _WORDS:
        why, remedy = _WORDS[word]
        return refusal(text, why, remedy=remedy)
    return refusal(
        text,
        f"has {quoted(word)}, which is no unit of length here",
        remedy="use ft, in, mm, cm or m, with the number in digits",
    )
