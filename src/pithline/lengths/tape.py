"""A length written back as a tape shows it, to a chosen step.

The step is 1/16 in, 1/8 in or 1 mm. Rounding is to the nearest step, half a step going away from
zero, or up or down on purpose. A length counts as lying on a step when it is within a millionth of
a millimeter of it, so that 6 1/4 in held as a float does not slip to its neighbor.
"""

import math
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal, NamedTuple

from pithline.errors import LengthError
from pithline.lengths.units import MM_PER

__all__ = ["Rounding", "Style", "Tape", "TapeParts"]

Style = Literal["in", "mm"]
Rounding = Literal["nearest", "up", "down"]

_SLACK_MM: Final = Fraction(1, 1_000_000)
_DENOMINATORS: Final = (8, 16)

_PLAIN_STEPS: Final = 1e9
_NEAR: Final = 1e-3
"""Half steps nearer than this to a whole are settled by exact fractions."""


class TapeParts(NamedTuple):
    """A shown length taken apart, for figures with a large whole number and a small fraction.

    `sign` is -1, 0 or 1. `numerator` is 0 where there is no fraction, and `denominator` then 1.
    """

    sign: int
    whole: int
    numerator: int
    denominator: int


@dataclass(frozen=True, slots=True)
class Tape:
    """How lengths are shown: in inches and fractions, or in millimeters.

    Attributes
    ----------
    style : {"in", "mm"}
        The units that lengths are shown in.
    denominator : {16, 8}
        Finest fraction of an inch; with style "mm" it serves only `other`.

    Raises
    ------
    LengthError
        If the style or the denominator is none of these.
    """

    style: Style = "in"
    denominator: int = 16

    def __post_init__(self) -> None:
        if self.style not in ("in", "mm"):
            raise LengthError(f"tape style {self.style!r} is not known: choose in or mm.")
        if self.denominator not in _DENOMINATORS:
            raise LengthError(f"a tape to 1/{self.denominator} in is not known: choose 8 or 16.")

    @property
    def step_mm(self) -> float:
        """Distance between two neighboring values that can be shown [mm]."""
        return 1.0 if self.style == "mm" else 25.4 / self.denominator

    def show(self, length_mm: float, rounding: Rounding = "nearest") -> str:
        """Length with its unit, as in 6 1/4 in, -3/8 in, 0 in or 160 mm.

        Parameters
        ----------
        length_mm : float
            Any sign [mm].
        rounding : {"nearest", "up", "down"}, default "nearest"
            Half a step goes away from zero; up is toward plus, down toward minus.

        Returns
        -------
        str
            Reads back, with `signed` if negative, to exactly `round` of the same length.

        Raises
        ------
        LengthError
            If the length is not finite.

        Source
        ------
        Definition.
        """
        return f"{self.number(length_mm, rounding)} {self.style}"

    def number(self, length_mm: float, rounding: Rounding = "nearest") -> str:
        """Length without its unit, for a column that has it in the head, as in 6 1/4 or 160.

        Parameters
        ----------
        length_mm : float
            Any sign [mm].
        rounding : {"nearest", "up", "down"}, default "nearest"
            As in `show`.

        Returns
        -------
        str
            Reads back with the style as its bare unit.

        Raises
        ------
        LengthError
            If the length is not finite.

        Source
        ------
        Definition.
        """
        return _written(self.parts(length_mm, rounding))

    def show_long(self, length_mm: float, rounding: Rounding = "nearest") -> str:
        """Length in feet and inches, or in meters, as in 21 ft 6 1/4 in or 6.553 m.

        Parameters
        ----------
        length_mm : float
            Any sign [mm].
        rounding : {"nearest", "up", "down"}, default "nearest"
            As in `show`, to the same step.

        Returns
        -------
        str
            Whole feet stand alone (21 ft), less than a foot is inches alone (6 1/4 in), and a zero
            holds the place of missing inches before a fraction (21 ft 0 1/4 in). Meters always
            have three decimals.

        Raises
        ------
        LengthError
            If the length is not finite.

        Source
        ------
        Definition.
        """
        sign, whole, numerator, denominator = self.parts(length_mm, rounding)
        minus = "-" if sign < 0 else ""
        if self.style == "mm":
            return f"{minus}{whole // 1000}.{whole % 1000:03d} m"
        feet, inches = divmod(whole, 12)
        if not feet:
            return self.show(length_mm, rounding)
        if not inches and not numerator:
            return f"{minus}{feet} ft"
        fraction = f" {numerator}/{denominator}" if numerator else ""
        return f"{minus}{feet} ft {inches}{fraction} in"

    def round(self, length_mm: float, rounding: Rounding = "nearest") -> float:
        """Length that is in fact shown.

        Parameters
        ----------
        length_mm : float
            Any sign [mm].
        rounding : {"nearest", "up", "down"}, default "nearest"
            As in `show`.

        Returns
        -------
        float
            A whole number of steps, as the float nearest to it [mm].

        Raises
        ------
        LengthError
            If the length is not finite.

        Source
        ------
        Definition.
        """
        return float(self._steps(length_mm, rounding) * self._step())

    def parts(self, length_mm: float, rounding: Rounding = "nearest") -> TapeParts:
        """Length taken apart into sign, whole number and fraction in lowest terms.

        Parameters
        ----------
        length_mm : float
            Any sign [mm].
        rounding : {"nearest", "up", "down"}, default "nearest"
            As in `show`.

        Returns
        -------
        TapeParts
            In inches, or in whole millimeters with no fraction. The sign is 0 where zero is shown.

        Raises
        ------
        LengthError
            If the length is not finite.

        Source
        ------
        Definition.
        """
        steps = self._steps(length_mm, rounding)
        sign = (steps > 0) - (steps < 0)
        if self.style == "mm":
            return TapeParts(sign, abs(steps), 0, 1)
        whole, sixteenths = divmod(abs(steps), self.denominator)
        fraction = Fraction(sixteenths, self.denominator)
        return TapeParts(sign, whole, fraction.numerator, fraction.denominator)

    def other(self, length_mm: float, rounding: Rounding = "nearest") -> str:
        """The same length in the other system of units, as 159 mm beside 6 1/4 in.

        Parameters
        ----------
        length_mm : float
            Any sign, before it was rounded for `show` [mm].
        rounding : {"nearest", "up", "down"}, default "nearest"
            As in `show`.

        Returns
        -------
        str
            Whole millimeters beside inches, inches to 1/`denominator` beside millimeters.

        Raises
        ------
        LengthError
            If the length is not finite.

        Source
        ------
        Definition.
        """
        style: Style = "in" if self.style == "mm" else "mm"
        return Tape(style, self.denominator).show(length_mm, rounding)

    def _step(self) -> Fraction:
        return MM_PER["mm"] if self.style == "mm" else MM_PER["in"] / self.denominator

    def _steps(self, length_mm: float, rounding: Rounding) -> int:
        """Whole number of steps that stands for a length."""
        if not math.isfinite(length_mm):
            raise LengthError(f"a length of {length_mm} mm cannot be shown: it must be finite.")
        rough = abs(length_mm) / self.step_mm
        part = 2.0 * rough % 1.0
        if rough < _PLAIN_STEPS and _NEAR < part < 1.0 - _NEAR:
            # Plainly between two steps and off their middle: floats decide as the exact way would.
            low = math.floor(rough)
            away = low + (1 if rough - low > 0.5 else 0) if rounding == "nearest" else low + 1
            if rounding == "nearest":
                return away if length_mm >= 0 else -away
            if length_mm >= 0:
                return away if rounding == "up" else low
            return -low if rounding == "up" else -away
        length = Fraction(float(length_mm))
        step = self._step()
        if rounding == "up":
            return math.ceil((length - _SLACK_MM) / step)
        if rounding == "down":
            return math.floor((length + _SLACK_MM) / step)
        size = math.floor((abs(length) + _SLACK_MM) / step + Fraction(1, 2))
        return size if length >= 0 else -size


def _written(parts: TapeParts) -> str:
    """Whole number and fraction with a space between, whichever of them there is."""
    minus = "-" if parts.sign < 0 else ""
    if not parts.numerator:
        return f"{minus}{parts.whole}"
    whole = f"{parts.whole} " if parts.whole else ""
    return f"{minus}{whole}{parts.numerator}/{parts.denominator}"
