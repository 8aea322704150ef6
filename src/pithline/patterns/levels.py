"""How far the wood reaches left and right at every level, station by station."""

import math
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats
from pithline.logs.solid import FACES, LogSolid

__all__ = ["INSCRIBED", "NOWHERE_MM", "STEP_MM", "Levels", "chord_limits", "half_widest", "levels_of"]

STEP_MM = 25.4 / 16.0
"""Cut depths are tried in steps of 1/16 in [mm]."""

NOWHERE_MM = 1.0e6
"""Stands for the left limit where there is no wood; the right limit is its negative [mm]."""

INSCRIBED = math.cos(math.pi / FACES)
"""The ellipse of this share lies within the 72-sided polygon that stands for a section elsewhere."""


@dataclass(frozen=True, eq=False)
class Levels:
    """Limits of the wood at levels across one direction.

    Attributes: `z_mm` (n,) stations; `at_mm` (m,) levels, evenly apart by
    `step_mm`; `low_mm` and `high_mm` (n, m), the wood's limits along the level,
    `low_mm` above `high_mm` where there is none.
    """

    z_mm: Floats
    at_mm: Floats
    step_mm: float
    low_mm: Floats
    high_mm: Floats

    @property
    def width_mm(self) -> Floats:
        """Width of the wood (n, m), 0 where there is none [mm]."""
        return np.maximum(self.high_mm - self.low_mm, 0.0)


def half_widest(shape_mm: Floats) -> Floats:
    """Longest half axis of elliptical sections.

    Parameters
    ----------
    shape_mm : (..., 2, 2) float
        Symmetric matrices that map the unit circle to the outlines [mm].

    Returns
    -------
    (...) float
        Half axes [mm].

    Source
    ------
    definition: greater eigenvalue of a symmetric matrix of two rows
    """
    first, last = shape_mm[..., 0, 0], shape_mm[..., 1, 1]
    return np.asarray(0.5 * (first + last) + np.hypot(0.5 * (first - last), shape_mm[..., 0, 1]))


def chord_limits(center_mm: Floats, gram_mm2: Floats, *, at_mm: Floats, axis: int) -> tuple[Floats, Floats]:
    """Where lines at levels enter and leave elliptical sections.

    Parameters
    ----------
    center_mm : (..., n, 2) float
        Centers [mm].
    gram_mm2 : (..., n, 2, 2) float
        Squares of the matrices that map the unit circle to the outlines [mm2].
    at_mm : (m,) float
        Levels: x of plumb lines, y of level ones [mm].
    axis : int
        0 for plumb lines, 1 for level ones.

    Returns
    -------
    (..., n, m) float, (..., n, m) float
        Limits along the line; the first lies far above the second where the
        line misses the section [mm].

    Source
    ------
    definition: a line through an ellipse
    """
    other = 1 - axis
    own = gram_mm2[..., axis, axis]
    lean = gram_mm2[..., axis, other] / own
    spread = gram_mm2[..., other, other] - gram_mm2[..., axis, other] * lean
    away = at_mm - center_mm[..., axis, None]
    left = 1.0 - away * away / own[..., None]
    half = np.sqrt(np.maximum(left, 0.0) * spread[..., None])
    middle = center_mm[..., other, None] + lean[..., None] * away
    misses = left < 0.0
    low, high = middle - half, middle + half
    low[misses], high[misses] = NOWHERE_MM, -NOWHERE_MM
    return low, high


def levels_of(solid: LogSolid, at_mm: Floats, *, axis: int, share: float = INSCRIBED) -> Levels:
    """Limits of a log's wood at levels.

    Parameters
    ----------
    solid : LogSolid
        The log about its center line.
    at_mm : (m,) float
        Levels, evenly apart [mm].
    axis : int
        1 for level lines at heights, 0 for plumb ones.
    share : float
        Share of the sections that counts as wood, so little under one that
        what lies in them lies in the polygons of `fit` too.

    Returns
    -------
    Levels
        At every station of the log.

    Source
    ------
    definition
    """
    shape = share * solid.shape_mm
    low, high = chord_limits(solid.center_mm, shape @ shape, at_mm=at_mm, axis=axis)
    step = float(at_mm[1] - at_mm[0]) if len(at_mm) > 1 else STEP_MM
    return Levels(solid.z_mm, at_mm, step, low, high)
