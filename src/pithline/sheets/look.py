"""How drawings, cards and pages look: colors, kinds of line, type and its figures.

One list of each, for drawings and for the typesetter, so that a color or a size has
one value and one name wherever it is met.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from pithline.errors import SheetError

__all__ = [
    "COLORS",
    "FONT_FAMILY",
    "LINES",
    "TYPE_SIZES_PT",
    "LineStyle",
    "color_code",
    "line_style",
    "print_figures",
    "size_mm",
    "text_width_mm",
]

FONT_FAMILY = "Source Sans Pro"

# Each color that is read as text has a contrast of at least 7:1 on paper and on wood.
COLORS: Mapping[str, str] = MappingProxyType(
    {
        "paper": "#ffffff",
        "ink": "#1a1a1a",
        "pencil": "#4a4a4a",
        "chalk": "#0f4494",
        "crayon": "#96141b",
        "wood": "#f6e9d2",
        "bark": "#5a3a22",
    }
)

# One scale of five. The largest is for the number a mill is set to: the digits of
# the bold face are 0.635 of this size tall, so 90 pt makes them 20.2 mm.
TYPE_SIZES_PT: Mapping[str, float] = MappingProxyType(
    {"note": 9.0, "text": 11.0, "lead": 15.0, "head": 22.0, "setting": 90.0}
)


@dataclass(frozen=True, slots=True)
class LineStyle:
    """How a kind of line is drawn: its color, its width and its dashes.

    Parameters
    ----------
    color : str
        Name of a color in `COLORS`.
    width_mm : float
        Width on paper [mm].
    dashes_mm : tuple of float
        Lengths of dash and gap by turns, empty for a continuous line [mm].
    """

    color: str
    width_mm: float
    dashes_mm: tuple[float, ...] = ()


_CHAIN_MM = (6.0, 1.0, 1.2, 1.0)

LINES: Mapping[str, LineStyle] = MappingProxyType(
    {
        "sawn": LineStyle("ink", 0.7),
        "cut": LineStyle("crayon", 0.7),
        "chalk": LineStyle("chalk", 0.35),
        "level": LineStyle("chalk", 0.25, _CHAIN_MM),
        "center": LineStyle("ink", 0.25, _CHAIN_MM),
        "outline": LineStyle("ink", 0.35),
        "bark": LineStyle("bark", 0.5),
        "hidden": LineStyle("ink", 0.25, (3.0, 1.0)),
        "dimension": LineStyle("ink", 0.18),
        "kerf": LineStyle("crayon", 0.18),
    }
)

_FRACTION = re.compile(r"(?<![\d/.,])(\d+)/(\d+)(?![\d/])")
_WHOLE_BEFORE_FRACTION = re.compile(r"(?<=\d)[ \u202f](?=\d+\u2044)")
_MINUS = re.compile(r"(?<!\S)-(?=\d)")
_APOSTROPHE = re.compile(r"(?<=[^\W\d])'")
_PRIME = re.compile(r"(?<=\d)'")
_DOUBLE_PRIME = re.compile(r'(?<=\d)"')


def print_figures(words: str) -> str:
    """Return the words with true fractions, primes, minus signs and apostrophes.

    A fraction gets the fraction slash, which makes text shapers in browsers and in
    the typesetter take the font's fraction figures, for the fraction alone; the
    whole number keeps an unbreakable space before it.

    Parameters
    ----------
    words : str
        Text with fractions and marks as typed: 21' 6 1/4".

    Returns
    -------
    str
        The same text: 21\u2032 6 1\u20444\u2033.
    """
    words = _FRACTION.sub("\\1\u2044\\2", words)
    words = _WHOLE_BEFORE_FRACTION.sub("\u00a0", words)
    words = _APOSTROPHE.sub("\u2019", _MINUS.sub("\u2212", words))
    return _DOUBLE_PRIME.sub("\u2033", _PRIME.sub("\u2032", words))


def text_width_mm(words: str, size: str) -> float:
    """Return about how wide a text will be on paper, within a tenth or so.

    Parameters
    ----------
    words : str
        Text as typed.
    size : str
        Name of a size in `TYPE_SIZES_PT`.

    Returns
    -------
    float
        Width on paper [mm].

    Source
    ------
    Advance widths of the regular face, averaged by kind of character.
    """
    em = 0.0
    for part in re.split("(\\d+\u2044\\d+)", print_figures(words)):
        if "\u2044" in part:
            em += 0.367 * (len(part) - 1) + 0.086
        else:
            em += sum(_advance_em(character) for character in part)
    return em * size_mm(size)


def _advance_em(character: str) -> float:
    if character.isspace():
        return 0.2
    if character in ".,:;'()\u2032-ijlI|":
        return 0.27
    if character in "mMwW@%":
        return 0.83
    return 0.57 if character.isupper() else 0.5


def size_mm(size: str) -> float:
    """Return a type size by its name.

    Parameters
    ----------
    size : str
        Name of a size in `TYPE_SIZES_PT`.

    Returns
    -------
    float
        The size on paper [mm].

    Raises
    ------
    SheetError
        There is no such size.
    """
    if size not in TYPE_SIZES_PT:
        raise SheetError(f"no type size {size!r}: choose of {', '.join(TYPE_SIZES_PT)}.")
    return TYPE_SIZES_PT[size] * 25.4 / 72.0


def color_code(name: str) -> str:
    """Return a color by its name.

    Parameters
    ----------
    name : str
        Name of a color in `COLORS`.

    Returns
    -------
    str
        Red, green and blue as #rrggbb.

    Raises
    ------
    SheetError
        There is no such color.
    """
    if name not in COLORS:
        raise SheetError(f"no color {name!r}: choose of {', '.join(COLORS)}.")
    return COLORS[name]


def line_style(name: str) -> LineStyle:
    """Return a kind of line by its name.

    Parameters
    ----------
    name : str
        Name of a kind of line in `LINES`.

    Returns
    -------
    LineStyle
        Its color, width and dashes.

    Raises
    ------
    SheetError
        There is no such kind of line.
    """
    if name not in LINES:
        raise SheetError(f"no line type {name!r}: choose of {', '.join(LINES)}.")
    return LINES[name]
