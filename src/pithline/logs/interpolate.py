"""Monotone interpolation between measured stations."""

import numpy as np

from pithline.arrays import Floats
from pithline.errors import OutOfRangeError

__all__ = ["monotone"]


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    """Three-point slope at an end, held back where it would overshoot."""
    slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    if np.sign(slope) != np.sign(d0):
        return 0.0
    if np.sign(d0) != np.sign(d1) and abs(slope) > 3.0 * abs(d0):
        return 3.0 * d0
    return float(slope)


def _slopes(gaps: Floats, secants: Floats) -> Floats:
    """Slopes at the knots that keep each piece between its two ends."""
    slopes = np.zeros(len(gaps) + 1)
    w1 = 2.0 * gaps[1:] + gaps[:-1]
    w2 = gaps[1:] + 2.0 * gaps[:-1]
    same = secants[:-1] * secants[1:] > 0.0
    before, after = secants[:-1][same], secants[1:][same]
    slopes[1:-1][same] = (w1 + w2)[same] / (w1[same] / before + w2[same] / after)
    slopes[0] = _end_slope(gaps[0], gaps[1], secants[0], secants[1])
    slopes[-1] = _end_slope(gaps[-1], gaps[-2], secants[-1], secants[-2])
    return slopes


def monotone(x: Floats, y: Floats, *, at: Floats) -> Floats:
    """Values of the piecewise cubic through points that never overshoots them.

    Between two neighbors the curve stays between their two values, so a log is
    nowhere wider than the tape said at the measured stations beside it.

    Parameters
    ----------
    x : (n,) float
        Knots, strictly increasing.
    y : (n,) float
        Values at the knots.
    at : (m,) float
        Where to evaluate, within the knots.

    Returns
    -------
    (m,) float
        Values, in the unit of `y`.

    Raises
    ------
    OutOfRangeError
        Where `at` lies outside the knots or the knots do not increase.

    Source
    ------
    Fritsch, F. N. and Butland, J. (1984), A method for constructing local
    monotone piecewise cubic interpolants, SIAM J. Sci. Stat. Comput. 5(2)
    (from memory; the tests compare it with a second library).
    """
    if len(x) < 2 or np.any(np.diff(x) <= 0.0):
        raise OutOfRangeError("knots: at least two, each greater than the one before")
    if np.any(at < x[0]) or np.any(at > x[-1]):
        raise OutOfRangeError(f"a station outside {x[0]:g} to {x[-1]:g} mm has no measure on one side")
    if len(x) == 2:
        return np.asarray(y[0] + (y[1] - y[0]) * (at - x[0]) / (x[1] - x[0]))
    gaps = np.diff(x)
    slopes = _slopes(gaps, np.diff(y) / gaps)
    piece = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(gaps) - 1)
    gap = gaps[piece]
    u = (at - x[piece]) / gap
    low, high = y[piece], y[piece + 1]
    rise = (1.0 - u) ** 2 * u * gap * slopes[piece] - u**2 * (1.0 - u) * gap * slopes[piece + 1]
    return np.asarray(low + (high - low) * u**2 * (3.0 - 2.0 * u) + rise)
