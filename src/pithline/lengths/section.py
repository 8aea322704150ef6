"""The size of a timber as it is asked for: thickness x width, and length if wanted.

Thickness lies between the first two sawn faces. The order is kept as written, whichever of the two
is the larger.
"""

import re
from dataclasses import dataclass
from typing import Final

from pithline.lengths.digits import decimal
from pithline.lengths.reading import Reading, in_mm, read
from pithline.lengths.spelling import plain, refusal
from pithline.lengths.units import METRIC, Unit

__all__ = ["TimberSize", "parse_ratio", "parse_section"]

_LONGEST_SECTION: Final = 200
_EXAMPLE: Final = "6 x 8 x 20' or 150 x 200 x 6000 mm"
_BY: Final = re.compile(r" ?(?:x|\*|by) ?")
_RATIO: Final = re.compile(r"(\.?[0-9][0-9.,]*+) ?: ?(\.?[0-9][0-9.,]*+)")
_COVERING: Final[frozenset[Unit]] = frozenset({"in", "mm", "cm"})


@dataclass(frozen=True, slots=True)
class TimberSize:
    """Thickness and width of a timber, and its length where one is asked for.

    Attributes
    ----------
    thickness_mm : float
        Distance between the first two sawn faces [mm].
    width_mm : float
        The other dimension of the section [mm].
    length_mm : float or None
        Length of the timber, None where none was written [mm].
    """

    thickness_mm: float
    width_mm: float
    length_mm: float | None = None


def parse_section(text: str, *, bare: Unit) -> TimberSize:
    """Size of a timber from thickness x width, or thickness x width x length.

    Inches, millimeters or centimeters written on one number also cover the bare numbers before
    it. A foot mark, a meter, or feet with inches cover only their own number. A thickness or width
    still bare takes `bare`; a bare length is refused.

    Parameters
    ----------
    text : str
        The size as written, such as 6 x 8 x 20', 150 x 200 mm or 6" by 8".
    bare : {"ft", "in", "mm", "cm", "m"}
        Unit of a thickness or width that none is written for.

    Returns
    -------
    TimberSize
        In the order written; the length is None where two numbers are given [mm].

    Raises
    ------
    LengthError
        If a part cannot be read or is not above zero, there are not two or three parts, the length
        has no unit, or a width has none while its neighbors are in other units than `bare`.

    Source
    ------
    Common practice for the order and the signs; the rule for covered units is this program's own.
    """
    pieces = _BY.split(plain(text, limit=_LONGEST_SECTION))
    if len(pieces) not in (2, 3) or not all(pieces):
        raise refusal(text, "is not thickness x width, with x length if wanted", remedy=f"write it as {_EXAMPLE}")
    readings = [read(piece, text=text) for piece in pieces]
    units = _covered(["ft" if reading.compound else reading.unit for reading in readings])
    if len(units) == 3 and units[2] is None:
        number = pieces[2]
        ways = f"{number} mm or {number} m" if bare in METRIC else f"{number}' or {number} in"
        raise refusal(text, "has a length without a unit", remedy=f"write {ways} at the end")
    if units[1] is None:
        _check_bare_width(readings, pieces[1], bare, text)
    sizes = [_size(reading, unit or bare, text) for reading, unit in zip(readings, units, strict=True)]
    return TimberSize(sizes[0], sizes[1], sizes[2] if len(sizes) == 3 else None)


def parse_ratio(text: str) -> tuple[float, float]:
    """The two numbers of a ratio thickness:width.

    Parameters
    ----------
    text : str
        Two numbers with a colon between them, such as 3:4 or 1:1.5.

    Returns
    -------
    tuple of float
        Thickness and width, both above zero [1].

    Raises
    ------
    LengthError
        If the text is not two plain numbers with a colon between, or one of them is zero.

    Source
    ------
    Definition.
    """
    line = plain(text, limit=_LONGEST_SECTION)
    match = _RATIO.fullmatch(line)
    if match is None:
        slashed = re.fullmatch(r"([0-9]++) ?/ ?([0-9]++)", line)
        instead = f"{slashed[1]}:{slashed[2]}" if slashed else "3:4 or 1:1.5"
        raise refusal(
            text,
            "is not a ratio of thickness to width",
            remedy=f"write two numbers with a colon between them, as in {instead}",
        )
    thickness, width = (float(decimal(number, text=text)) for number in match.groups())
    if not thickness or not width:
        raise refusal(text, "has a zero in it", remedy="write two numbers above zero, as in 3:4")
    return thickness, width


def _covered(units: list[Unit | None]) -> list[Unit | None]:
    """The units with each gap filled from the next covering unit to its right."""
    filled: list[Unit | None] = []
    cover: Unit | None = None
    for unit in reversed(units):
        if unit in _COVERING:
            cover = unit
        filled.append(unit or cover)
    return filled[::-1]


def _check_bare_width(readings: list[Reading], width: str, bare: Unit, text: str) -> None:
    """Refuse a width without a unit where the numbers beside it say another unit than `bare`."""
    thickness_unit = readings[0].unit
    if thickness_unit is not None and (thickness_unit in METRIC) != (bare in METRIC):
        raise refusal(
            text,
            f"has {thickness_unit} on the thickness and no unit on the width",
            remedy=f"write {width} {thickness_unit} or {width} {bare} for the width",
        )
    # The inch mark at the end of 6 x 8 x 20' 6" could be meant for the whole section.
    if readings[-1].compound and bare != "in":
        raise refusal(
            text,
            "ends in feet and inches and has no unit on the width",
            remedy=f"write {width} in or {width} {bare} for the width",
        )


def _size(reading: Reading, unit: Unit, text: str) -> float:
    """A size above zero; feet with inches are already in inches."""
    size_mm = in_mm(reading, reading.unit or unit, text=text)
    if reading.negative or not size_mm:
        raise refusal(
            text,
            "has a size that is not above zero",
            remedy=f"write every number above zero, as in {_EXAMPLE}",
        )
    return size_mm
