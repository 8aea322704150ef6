"""Volumes of what level and plumb cuts part a log into."""

import numpy as np

from pithline.arrays import Floats
from pithline.logs.solid import LogSolid
from pithline.patterns.levels import chord_limits

__all__ = ["slice_mm3", "window_mm3"]

_LEVELS = 33
"""Levels at which a window's widths are added up, an odd number."""


def _with_middles(solid: LogSolid) -> tuple[Floats, Floats]:
    """Centers and squared shapes at all stations and midway between them, the middles last."""
    center = np.concatenate([solid.center_mm, 0.5 * (solid.center_mm[:-1] + solid.center_mm[1:])])
    shape = np.concatenate([solid.shape_mm, 0.5 * (solid.shape_mm[:-1] + solid.shape_mm[1:])])
    return center, shape @ shape


def _along(areas: Floats, z_mm: Floats) -> float:
    """Volume of areas at stations and midway, by the prismoidal rule as `LogSolid.volume_mm3` has it."""
    count = len(z_mm)
    ends, middles = areas[:count], areas[count:]
    return float(np.sum((ends[:-1] + 4.0 * middles + ends[1:]) * np.diff(z_mm)) / 6.0)


def slice_mm3(solid: LogSolid, between_mm: tuple[float, float]) -> float:
    """Volume of a log between two level planes along its center line.

    Parameters
    ----------
    solid : LogSolid
        The log about its center line.
    between_mm : (float, float)
        Heights of the planes; may be infinite [mm].

    Returns
    -------
    float
        Volume [mm3].

    Source
    ------
    definition: area of an ellipse between two chords,
    a b [u sqrt(1 - u^2) + asin u], added up along the log by the prismoidal rule
    """
    center, gram = _with_middles(solid)
    reach = np.sqrt(gram[:, 1, 1])
    spread = np.sqrt(np.maximum(np.linalg.det(gram), 0.0)) / reach

    def upto(level_mm: float) -> Floats:
        u = np.clip((level_mm - center[:, 1]) / reach, -1.0, 1.0)
        return np.asarray(spread * reach * (u * np.sqrt(1.0 - u * u) + np.arcsin(u)))

    return _along(upto(between_mm[1]) - upto(between_mm[0]), solid.z_mm)


def window_mm3(solid: LogSolid, *, x_mm: tuple[float, float], y_mm: tuple[float, float]) -> float:
    """Volume of the wood in a straight window along the center line.

    Parameters
    ----------
    solid : LogSolid
        The log about its center line.
    x_mm, y_mm : (float, float)
        Left and right, lower and upper side of the window; x may be infinite [mm].

    Returns
    -------
    float
        Volume [mm3].

    Source
    ------
    definition; heights added up by Simpson's rule, and along the log
    """
    at = np.linspace(y_mm[0], y_mm[1], _LEVELS)
    center, gram = _with_middles(solid)
    low, high = chord_limits(center, gram, at_mm=at, axis=1)
    width = np.maximum(np.minimum(high, x_mm[1]) - np.maximum(low, x_mm[0]), 0.0)
    weight = np.ones(_LEVELS)
    weight[1:-1:2], weight[2:-1:2] = 4.0, 2.0
    area = width @ weight * (y_mm[1] - y_mm[0]) / (3.0 * (_LEVELS - 1))
    return _along(area, solid.z_mm)
