"""One plain spelling for the many ways in which the same marks are typed.

Full-width digits, curly quotes, primes, fraction characters and odd spaces all come down to ASCII
here. The general compatibility form of Unicode (NFKC) is not used: it would turn 6½ into 61⁄2, 6²
into 62 and ⒈ into 1., each of them a wrong length. A character that is not listed stays as it is,
and the reader refuses it.
"""

import re
import unicodedata
from typing import Final

from pithline.errors import LengthError

__all__ = ["EXAMPLE", "plain", "quoted", "refusal"]

EXAMPLE: Final = "21' 6 1/4\", 6.25 in or 160 mm"
"""Lengths to show in a message as ones that can be read."""

_SHOWN_CHARACTERS: Final = 40
_SUPERSCRIPTS: Final = "⁰¹²³⁴⁵⁶⁷⁸⁹"
_SUBSCRIPTS: Final = "₀₁₂₃₄₅₆₇₈₉"
_RAISED_FRACTION: Final = re.compile(rf"([{_SUPERSCRIPTS}]++)[/\u2044\u2215]([{_SUBSCRIPTS}]++)")
_RAISED_DIGITS: Final = str.maketrans(_SUPERSCRIPTS + _SUBSCRIPTS, "0123456789" * 2)


def _characters() -> dict[int, str]:
    """Table of single characters and the ASCII that each stands for."""
    # Full-width forms sit at a fixed distance from their ASCII twins.
    table = {code: chr(code - 0xFEE0) for code in range(0xFF01, 0xFF5F)}
    alike = {
        "'": "\u2018\u2019\u201b\u2032\u02b9\u02bc\u00b4`\uff07",
        '"': "\u201c\u201d\u201f\u2033\u02ba\uff02",
        "-": "\u2010\u2011\u2012\u2013\u2014\u2212\ufe63\uff0d",
        "/": "\u2044\u2215\uff0f",
        "x": "\u00d7\u2715\u2716\u2a2f\u2573",
        ":": "\u2236\uff1a",
        "mm": "\u339c",
        "cm": "\u339d",
        # Marks without width become spaces, not nothing: 6 and 1/4 must not run together.
        " ": "\u200b\u200c\u200d\u200e\u200f\u2060\ufeff\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069",
    }
    for ascii_text, characters in alike.items():
        table.update({ord(character): ascii_text for character in characters})
    return table


def _fraction_characters() -> dict[str, str]:
    """Table of the one-character fractions and what each is with a slash."""
    codes = [*range(0xBC, 0xBF), *range(0x2150, 0x2160), 0x2189]
    characters = [chr(code) for code in codes]
    return {character: unicodedata.normalize("NFKC", character).replace("\u2044", "/") for character in characters}


_CHARACTERS: Final = _characters()
_FRACTIONS: Final = _fraction_characters()
_FRACTION_CHARACTER: Final = re.compile("[" + "".join(_FRACTIONS) + "]")


def quoted(text: str) -> str:
    """Text in quotation marks, short and printable enough to stand in a message.

    Parameters
    ----------
    text : str
        What was read, of any length and with any characters.

    Returns
    -------
    str
        At most the first 40 characters, unprintable ones written as escapes.

    Source
    ------
    This program's own form.
    """
    head = text[:_SHOWN_CHARACTERS]
    shown = "".join(
        character if character.isprintable() else character.encode("unicode_escape").decode("ascii")
        for character in head
    )
    return f"\u201c{shown}{'...' if len(text) > _SHOWN_CHARACTERS else ''}\u201d"


def refusal(text: str, why: str, *, remedy: str) -> LengthError:
    """Error that tells in one sentence what was read, what is wrong and what would do.

    Parameters
    ----------
    text : str
        What was read, as it was given.
    why : str
        What is wrong with it, to follow the quoted text.
    remedy : str
        What to write instead.

    Returns
    -------
    LengthError
        Ready to be raised.

    Source
    ------
    This program's own form.
    """
    return LengthError(f"{quoted(text)} {why}: {remedy}.")


def plain(text: str, *, limit: int) -> str:
    """The same marks in lower-case ASCII with single spaces, as far as they are known.

    Parameters
    ----------
    text : str
        A length or section as it was typed or pasted.
    limit : int
        Longest text that is looked at [characters].

    Returns
    -------
    str
        Characters that have no plain form are kept, for the reader to refuse. Never empty.

    Raises
    ------
    LengthError
        If the text is longer than the limit, or has nothing but spaces.

    Source
    ------
    The Unicode Standard for what each character is; the choice of them is this program's own.
    """
    if len(text) > limit:
        raise refusal(
            text,
            f"has {len(text)} characters",
            remedy=f"write the measure in {limit} or fewer, as in {EXAMPLE}",
        )
    if not text.isascii():
        text = _RAISED_FRACTION.sub(_raised, text)
        text = _FRACTION_CHARACTER.sub(lambda match: _apart(match, _FRACTIONS[match[0]]), text)
        text = text.translate(_CHARACTERS)
    text = " ".join(text.lower().split()).replace("''", '"')
    if not text:
        raise LengthError(f"nothing is written where a measure is wanted: write {EXAMPLE}.")
    return text


def _raised(match: re.Match[str]) -> str:
    return _apart(match, f"{match[1]}/{match[2]}".translate(_RAISED_DIGITS))


def _apart(match: re.Match[str], fraction: str) -> str:
    """The fraction, with a space where it would run into a neighbor that is a number."""
    before = match.string[: match.start()][-1:]
    after = match.string[match.end() :][:1]
    left = " " if before.isnumeric() else ""
    right = " " if after.isnumeric() and not fraction.endswith("/") else ""
    return left + fraction + right
