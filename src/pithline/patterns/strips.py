"""The straight board between two wane edges: widest strips over every stretch of a flitch."""

import math
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Flags, Floats, Indices
from pithline.patterns.wanted import WantedBoard

__all__ = ["SLANT_MM", "Strip", "Terms", "best_strip", "slanted_values", "slants_of", "span_limits", "strip_values"]

_SPANS = 8
"""Stretches a part is divided into where many boards are compared."""

SLANT_MM = 3.0
"""A slant that moves a board's middle less than this over half the part is not tried."""

_HAIR_MM = 1e-6
"""A board under its least size by no more than this is not under it."""

_HALVINGS = 24
"""Steps of the search for a strip's slant; each leaves 0.62 of the range."""


@dataclass(frozen=True)
class Strip:
    """A straight board in its flitch.

    Attributes: `start_mm`, `end_mm` along the part; `width_mm`; `middle_start_mm`,
    `middle_end_mm`, its middle across at both its ends; `value`.
    """

    start_mm: float
    end_mm: float
    width_mm: float
    middle_start_mm: float
    middle_end_mm: float
    value: float


@dataclass(frozen=True, eq=False)
class Terms:
    """On what terms boards are taken, the same for all flitches or each its own (m,).

    Attributes: `least_width_mm`, `least_length_mm`; `value_mm2`, worth of a
    square millimeter of the board's face; `edging_mm`, what edging costs for
    each millimeter of its length; `most_mm`, greatest width; `step_mm`, whole
    steps of which the width is rounded down to, 0 for none.
    """

    least_width_mm: Floats | float
    least_length_mm: Floats | float
    value_mm2: Floats | float
    edging_mm: Floats | float = 0.0
    most_mm: float = math.inf
    step_mm: float = 0.0


def span_limits(z_mm: Floats, limits_mm: tuple[Floats, Floats]) -> tuple[Floats, tuple[Floats, Floats]]:
    """Limits that hold over whole stretches between some of the stations.

    Parameters
    ----------
    z_mm : (n,) float
        Stations [mm].
    limits_mm : ((n, m) float, (n, m) float)
        Limits at the stations [mm].

    Returns
    -------
    (k + 1,) float, ((k, m) float, (k, m) float)
        Ends of k stretches, and the narrowest limits within each, both of its
        ends counted [mm].

    Source
    ------
    definition
    """
    low_mm, high_mm = limits_mm
    count = min(_SPANS, len(z_mm) - 1)
    ends: Indices = np.unique(np.round(np.linspace(0, len(z_mm) - 1, count + 1)).astype(np.int64))
    starts = ends[:-1]
    low = np.maximum(np.maximum.reduceat(low_mm, starts, axis=0), low_mm[ends[1:]])
    high = np.minimum(np.minimum.reduceat(high_mm, starts, axis=0), high_mm[ends[1:]])
    return z_mm[ends], (low, high)


def strip_values(ends_mm: Floats, limits_mm: tuple[Floats, Floats], *, terms: Terms) -> Floats:
    """Worth, less edging, of the best strip parallel to the center line, for many flitches at once.

    Parameters
    ----------
    ends_mm : (k + 1,) float
        Ends of the stretches [mm].
    limits_mm : ((k, m) float, (k, m) float)
        Limits of each flitch within the stretches [mm].
    terms : Terms
        On which the boards are taken.

    Returns
    -------
    (m,) float
        Worth, 0 where no board comes out.

    Source
    ------
    definition
    """
    low, high = limits_mm
    count, flitches = low.shape
    first, last = np.triu_indices(count)
    left, right = np.empty((len(first), flitches)), np.empty((len(first), flitches))
    row = 0
    for start in range(count):
        rows = slice(row, row + count - start)
        np.maximum.accumulate(low[start:], axis=0, out=left[rows])
        np.minimum.accumulate(high[start:], axis=0, out=right[rows])
        row += count - start
    width = np.subtract(right, left, out=right)
    if terms.most_mm < math.inf:
        np.minimum(width, terms.most_mm, out=width)
    if terms.step_mm > 0.0:
        np.multiply(width, 1.0 / terms.step_mm, out=width)
        np.add(width, 1e-9, out=width)
        np.floor(width, out=width)
        np.multiply(width, terms.step_mm, out=width)
    length = (ends_mm[last + 1] - ends_mm[first])[:, None]
    short = (width < terms.least_width_mm - _HAIR_MM) | (length < terms.least_length_mm - _HAIR_MM)
    worth = np.multiply(width, terms.value_mm2, out=left)
    np.subtract(worth, terms.edging_mm, out=worth)
    np.multiply(worth, length, out=worth)
    worth[short] = 0.0
    return np.asarray(np.maximum(worth.max(axis=0, initial=0.0), 0.0))


def slants_of(z_mm: Floats, middle_mm: Floats) -> tuple[float, ...]:
    """Slants at which boards of a crooked log are looked for, beside none.

    Parameters
    ----------
    z_mm : (n,) float
        Stations [mm].
    middle_mm : (n,) float
        Middle of the wood there, across the boards [mm].

    Returns
    -------
    tuple of float
        0, and the slants of the middle over the butt's and the tip's half where
        they are worth the trouble.

    Source
    ------
    definition
    """
    half = 0.5 * float(z_mm[0] + z_mm[-1])
    places = np.interp([float(z_mm[0]), half, float(z_mm[-1])], z_mm, middle_mm)
    slants = np.diff(places) / (half - float(z_mm[0]))
    worth = [float(slant) for slant in slants if abs(slant) * (half - float(z_mm[0])) >= SLANT_MM]
    return (0.0, *worth)


def slanted_values(
    z_mm: Floats, limits_mm: tuple[Floats, Floats], *, slants: tuple[float, ...], terms: Terms
) -> Floats:
    """Worth of the best strip of each flitch at any of some slants, less edging.

    Parameters
    ----------
    z_mm : (n,) float
        Stations [mm].
    limits_mm : ((n, m) float, (n, m) float)
        Limits of each flitch there [mm].
    slants : tuple of float
        Rise across for each millimeter along, one or more.
    terms : Terms
        On which the boards are taken.

    Returns
    -------
    (m,) float
        Worth, 0 where no board comes out.

    Source
    ------
    definition
    """
    found = []
    for slant in slants:
        lean = (slant * z_mm)[:, None]
        limits = (limits_mm[0] - lean, limits_mm[1] - lean) if slant else limits_mm
        found.append(strip_values(*span_limits(z_mm, limits), terms=terms))
    return np.asarray(np.maximum.reduce(found))


@dataclass(frozen=True, eq=False)
class _Stretches:
    """Limits of one flitch over some stretches between two stations (p, n), endless outside of them."""

    z_mm: Floats
    low_mm: Floats
    high_mm: Floats
    length_mm: Floats

    def widths(self, slant: Floats) -> Floats:
        """Width of the strip of a slant over each stretch (p,)."""
        lean = slant[:, None] * self.z_mm
        return np.asarray((self.high_mm - lean).min(axis=1) - (self.low_mm - lean).max(axis=1))


def _stretches(z: Floats, limits: tuple[Floats, Floats], pairs: tuple[Indices, Indices]) -> _Stretches:
    """Stretches from the first to the last station of each pair."""
    first, last = pairs
    station = np.arange(len(z))
    inside = (station >= first[:, None]) & (station <= last[:, None])
    return _Stretches(z, np.where(inside, limits[0], -np.inf), np.where(inside, limits[1], np.inf), z[last] - z[first])


_GOLDEN = 0.5 * (math.sqrt(5.0) - 1.0)


def _best_slants(stretches: _Stretches) -> tuple[Floats, Floats]:
    """Slant of the widest strip over each stretch, and its width, by golden section.

    The width is concave in the slant: the least of straight functions less the
    greatest of others.
    """
    inside = np.isfinite(stretches.low_mm)
    span = np.where(inside, stretches.high_mm, -np.inf).max(axis=1)
    span = span - np.where(inside, stretches.low_mm, np.inf).min(axis=1)
    upper = span / stretches.length_mm
    lower = -upper
    a, b = upper - _GOLDEN * (upper - lower), lower + _GOLDEN * (upper - lower)
    at_a, at_b = stretches.widths(a), stretches.widths(b)
    for _ in range(_HALVINGS):
        keep = at_a >= at_b
        lower, upper = np.where(keep, lower, a), np.where(keep, b, upper)
        new = np.where(keep, upper - _GOLDEN * (upper - lower), lower + _GOLDEN * (upper - lower))
        at_new = stretches.widths(new)
        a, b = np.where(keep, new, b), np.where(keep, a, new)
        at_a, at_b = np.where(keep, at_new, at_b), np.where(keep, at_a, at_new)
    slants = np.stack([a, b, np.zeros_like(a)])
    widths = np.stack([at_a, at_b, stretches.widths(slants[2])])
    pick = widths.argmax(axis=0)
    each = np.arange(len(pick))
    return slants[pick, each], widths[pick, each]


def _worth_a_slant(stretches: _Stretches, *, least_mm: float, step_mm: float) -> Flags:
    """The stretches whose strip may be larger than the largest one without slant.

    Over any stretch no strip is wider than the wood is anywhere.
    """
    straight = np.floor(stretches.widths(np.zeros(len(stretches.length_mm))) / step_mm + 1e-9) * step_mm
    held = np.where(straight >= least_mm - 1e-6, straight * stretches.length_mm, 0.0)
    widest = (stretches.high_mm - stretches.low_mm).min(axis=1)
    big = widest * stretches.length_mm >= held.max(initial=0.0) - 1e-6
    return np.asarray((widest >= least_mm - 1e-6) & big)


def best_strip(
    z_mm: Floats, limits_mm: tuple[Floats, Floats], *, board: WantedBoard, value_mm2: float, step_mm: float
) -> Strip | None:
    """The straight board of most worth between the wane edges of a flitch.

    Parameters
    ----------
    z_mm : (n,) float
        Stations [mm].
    limits_mm : ((n,) float, (n,) float)
        Wane edges of the flitch there, the first above the second where there
        is no wood [mm].
    board : WantedBoard
        Its least width and length.
    value_mm2 : float
        Worth of a square millimeter of its face.
    step_mm : float
        The width is rounded down to whole steps [mm].

    Returns
    -------
    Strip or None
        None where no board comes out.

    Source
    ------
    definition; the width over a stretch is a linear program in slant, place
    and width, solved by golden section on the slant
    """
    low, high = limits_mm
    first, last = np.nonzero(z_mm[None, :] - z_mm[:, None] >= board.least_length_mm - 1e-6)
    wood = np.concatenate([[0], np.cumsum(low < high)])
    whole = wood[last + 1] - wood[first] == last + 1 - first
    first, last = first[whole], last[whole]
    if len(first) == 0:
        return None
    stretches = _stretches(z_mm, limits_mm, (first, last))
    keep = _worth_a_slant(stretches, least_mm=board.least_width_mm, step_mm=step_mm)
    first, last = first[keep], last[keep]
    if len(first) == 0:
        return None
    slope, width = _best_slants(_stretches(z_mm, limits_mm, (first, last)))
    width = np.floor(width / step_mm + 1e-9) * step_mm
    worth = np.where(width >= board.least_width_mm - 1e-6, width * (z_mm[last] - z_mm[first]), 0.0)
    pick = int(worth.argmax())
    if worth[pick] <= 0.0:
        return None
    i, j, lean = int(first[pick]), int(last[pick]), float(slope[pick])
    z = z_mm[i : j + 1]
    middle = 0.5 * (float((high[i : j + 1] - lean * z).min()) + float((low[i : j + 1] - lean * z).max()))
    return Strip(
        start_mm=float(z_mm[i]),
        end_mm=float(z_mm[j]),
        width_mm=float(width[pick]),
        middle_start_mm=middle + lean * float(z_mm[i]),
        middle_end_mm=middle + lean * float(z_mm[j]),
        value=float(worth[pick]) * value_mm2,
    )
