"""Numbers as they are written on paper: with a point, a decimal comma or a fraction."""

from fractions import Fraction
from typing import Final, NamedTuple

from pithline.errors import LengthError
from pithline.lengths.spelling import EXAMPLE, refusal
from pithline.lengths.units import Unit

__all__ = ["Part", "decimal", "fraction"]

_WHOLE_DIGITS: Final = 9
_DECIMAL_DIGITS: Final = 30


class Part(NamedTuple):
    """One number with the unit written after it."""

    amount: Fraction
    unit: Unit | None
    shown: str
    is_decimal: bool
    with_fraction: bool


def decimal(number: str, *, text: str) -> Fraction:
    """Number written with digits, and a point or a comma that can only be a decimal mark.

    Parameters
    ----------
    number : str
        Digits, points and commas, with a digit among them and no comma before it.
    text : str
        All that was read, for the message.

    Returns
    -------
    Fraction
        The number exactly as written.

    Raises
    ------
    LengthError
        If the marks can mean two things, or there are more digits than a tape has.

    Source
    ------
    Common practice: thousands are set off in groups of three, and the first group has no zero
    in front. So 1,250 is ambiguous, and 0,250, 12,5 and 1250,125 are not.
    """
    points, commas = number.count("."), number.count(",")
    if points + commas > 1:
        both = "a point and a comma" if points and commas else "more than one mark"
        raise refusal(
            text,
            f"has {both} in {number}",
            remedy="write one decimal mark and no thousands mark, as in 1250.5",
        )
    head, mark, tail = number.partition("," if commas else ".")
    if commas and not tail:
        raise refusal(text, f"has a comma with no digit after it in {number}", remedy=f"write {head} or {head}.0")
    if commas and len(tail) == 3 and len(head) <= 3 and not head.startswith("0"):
        raise refusal(
            text,
            f"has {number}, which can be {head}{tail} or {head}.{tail}",
            remedy="write the one that is meant, without a comma",
        )
    if len(head) > _WHOLE_DIGITS or len(tail) > _DECIMAL_DIGITS:
        raise _too_long(text)
    if not mark:
        return Fraction(int(head))
    return Fraction(int(head + tail), 10 ** len(tail))


def fraction(over: str, under: str, *, whole: str | None, text: str) -> Fraction:
    """Fraction below one, with the whole number before it if there is one.

    Parameters
    ----------
    over, under : str
        Digits above and below the line.
    whole : str or None
        Digits of the whole number, None where the fraction stands alone.
    text : str
        All that was read, for the message.

    Returns
    -------
    Fraction
        The number exactly as written.

    Raises
    ------
    LengthError
        If the fraction is over zero or not below one, or there are more digits than a tape has.

    Source
    ------
    Definition.
    """
    if max(len(whole or ""), len(over), len(under)) > _WHOLE_DIGITS:
        raise _too_long(text)
    if int(under) == 0:
        raise refusal(text, "has a fraction over zero", remedy="write it over 2, 4, 8, 16 or 32")
    base = int(whole or 0)
    part = Fraction(int(over), int(under))
    if part < 1:
        return base + part
    # Alone it is refused too: 61/4 can be a 6 1/4 that lost its space, and 5/4 is a trade name.
    where = "" if whole is None else " after a whole number"
    count, rest = divmod(part, 1)
    meant = f"{base + count} {rest}" if rest else f"{base + count}"
    raise refusal(
        text,
        f"has {over}/{under}{where}, a fraction that is not below one",
        remedy=f"write {meant} if that is meant",
    )


def _too_long(text: str) -> LengthError:
    return refusal(text, "has more digits than any tape", remedy=f"write it as {EXAMPLE}")
