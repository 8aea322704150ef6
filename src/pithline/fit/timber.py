"""The timber asked for: finished size, what is added to it, and its rules."""

import math
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from pithline.arrays import Floats
from pithline.errors import TimberError
from pithline.lengths import told
from pithline.wood.cutsize import CutSize

__all__ = ["SMALLEST_MM", "Growth", "Heart", "Timber", "section_corners", "timber_growth"]

Heart = Literal["any", "boxed", "free"]

SMALLEST_MM = 12.0
"""Thinnest section that is taken for a timber, common practice."""


@dataclass(frozen=True)
class Timber:
    """A straight timber of rectangular section.

    Attributes: finished `thickness_mm` lies between the first two sawn faces,
    finished `width_mm` across them; `length_mm` None means the whole log;
    `sawn_faces` 2, 3 or 4, the others are hewn or left; `allowance_mm` is
    added at each sawn face for hewing or planing; `wane_mm` may be missing at
    each corner, measured along both faces; `heart` says whether the pith must
    stay inside by `heart_margin_mm` (boxed), outside by it (free), or may lie
    anywhere. `cut`, where it is known what the timber must measure when it is
    dry, says what to lay out in place of finished size and allowance.
    """

    thickness_mm: float
    width_mm: float
    length_mm: float | None = None
    sawn_faces: int = 4
    allowance_mm: float = 0.0
    wane_mm: float = 0.0
    heart: Heart = "any"
    heart_margin_mm: float = 12.7
    cut: CutSize | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be cut."""
        numbers = (self.thickness_mm, self.width_mm, self.allowance_mm, self.wane_mm, self.heart_margin_mm)
        if not all(math.isfinite(number) for number in numbers):
            raise TimberError("timber: every size must be a finite number.")
        if min(self.thickness_mm, self.width_mm) < SMALLEST_MM or max(self.thickness_mm, self.width_mm) > 2_000.0:
            raise TimberError(
                f"timber: {told(self.thickness_mm)} x {told(self.width_mm)} is no timber; "
                f"thickness and width must lie between {told(SMALLEST_MM)} and 2 m."
            )
        if self.length_mm is not None and not 100.0 <= self.length_mm <= 40_000.0:
            raise TimberError(f"timber length: {told(self.length_mm)}; it must lie between 100 mm and 40 m.")
        if self.sawn_faces not in (2, 3, 4):
            raise TimberError(f"sawn faces: {self.sawn_faces}; a timber has 2, 3 or 4.")
        if not 0.0 <= self.allowance_mm <= 75.0:
            raise TimberError(f"allowance: {told(self.allowance_mm)} a face; it must lie between 0 and 75 mm.")
        if not 0.0 <= self.wane_mm <= 0.5 * min(self.thickness_mm, self.width_mm):
            raise TimberError(f"wane: {told(self.wane_mm)}; it must be 0 to half the smaller side of the timber.")
        if not 0.0 <= self.heart_margin_mm <= 300.0:
            raise TimberError(f"heart margin: {told(self.heart_margin_mm)}; it must lie between 0 and 300 mm.")
        if self.heart == "boxed" and self.heart_margin_mm >= 0.5 * min(self.cut_thickness_mm, self.cut_width_mm):
            raise TimberError(
                f"heart margin: {told(self.heart_margin_mm)} leaves no room for the pith in a timber "
                f"{told(self.thickness_mm)} x {told(self.width_mm)}; give a smaller margin."
            )

    @property
    def cut_thickness_mm(self) -> float:
        """Thickness as laid out, with the allowance of both its sawn faces [mm]."""
        if self.cut is not None:
            return self.cut.thickness.cut_mm
        return self.thickness_mm + 2.0 * self.allowance_mm

    @property
    def cut_width_mm(self) -> float:
        """Width as laid out, with the allowance of its sawn faces, none to two [mm]."""
        if self.cut is not None:
            return self.cut.width.cut_mm
        return self.width_mm + (self.sawn_faces - 2) * self.allowance_mm

    @classmethod
    def of_cut(cls, cut: CutSize, **rules: Any) -> "Timber":
        """The timber that is laid out to a cut size.

        Parameters
        ----------
        cut : CutSize
            What is wanted when it is dry, and what to cut for it.
        **rules
            `length_mm`, `wane_mm`, `heart` and `heart_margin_mm`, as above.

        Returns
        -------
        Timber
            Its finished size, faces and allowance are those of `cut`.

        Raises
        ------
        TimberError
            It cannot be cut.

        Source
        ------
        definition
        """
        wanted = cut.wanted
        return cls(
            thickness_mm=wanted.thickness_mm,
            width_mm=wanted.width_mm,
            sawn_faces=wanted.sawn_faces,
            allowance_mm=wanted.allowance_mm,
            cut=cut,
            **rules,
        )


@dataclass(frozen=True)
class Growth:
    """A family of sections in one number v, as the search sees them.

    How far a section reaches along a normal that stands at the angle p from
    its width direction, plus what v adds:
    half_width |cos p| + half_thickness |sin p| - wane min(|cos p|, |sin p|)
    + v (clear + grow_width |cos p| + grow_thickness |sin p|).
    With `clear` 1 and no growth v is the clearance to bark; with `clear` 0 it
    is the size of the largest timber.
    """

    half_width_mm: float
    half_thickness_mm: float
    wane_mm: float = 0.0
    clear: float = 1.0
    grow_width: float = 0.0
    grow_thickness: float = 0.0

    def reach(self, cos: Floats, sin: Floats) -> Floats:
        """How far the section at v = 0 reaches along normals.

        Parameters
        ----------
        cos, sin : (n,) float
            Absolute cosine and sine of the angle between normal and width.

        Returns
        -------
        (n,) float
            Distances from the section's center [mm].

        Source
        ------
        definition: support function of a rectangle with its corners cut off
        """
        reach = self.half_width_mm * cos + self.half_thickness_mm * sin
        if self.wane_mm > 0.0:
            reach = reach - self.wane_mm * np.minimum(cos, sin)
        return np.asarray(reach)

    def rate(self, cos: Floats, sin: Floats) -> Floats:
        """How much the reach grows with v.

        Parameters
        ----------
        cos, sin : (n,) float
            Absolute cosine and sine of the angle between normal and width.

        Returns
        -------
        (n,) float
            Millimeters of reach for each of v.

        Source
        ------
        definition
        """
        return np.asarray(self.clear + self.grow_width * cos + self.grow_thickness * sin)

    @property
    def break_rad(self) -> float:
        """Turn between two rolls at which a normal stands square to a side [rad]."""
        return 0.25 * math.pi if self.wane_mm > 0.0 else 0.5 * math.pi

    @property
    def period_deg(self) -> float:
        """Turn after which the section looks the same [deg]."""
        square = self.half_width_mm == self.half_thickness_mm and self.grow_width == self.grow_thickness
        return 90.0 if square else 180.0


def timber_growth(timber: Timber) -> Growth:
    """The section of a timber as laid out, with v the clearance to bark.

    Parameters
    ----------
    timber : Timber
        The timber asked for.

    Returns
    -------
    Growth
        Half sizes and wane.

    Source
    ------
    definition
    """
    return Growth(0.5 * timber.cut_width_mm, 0.5 * timber.cut_thickness_mm, timber.wane_mm)


def section_corners(width_mm: float, thickness_mm: float) -> Floats:
    """Corners of a level section about its center, counterclockwise from lower left.

    Parameters
    ----------
    width_mm, thickness_mm : float
        Full sizes across and up [mm].

    Returns
    -------
    (4, 2) float
        x and y [mm].

    Source
    ------
    definition
    """
    b, h = 0.5 * width_mm, 0.5 * thickness_mm
    return np.array([[-b, -h], [b, -h], [b, h], [-b, h]])
