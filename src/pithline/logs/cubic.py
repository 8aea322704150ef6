"""Cubic volume of a log: the foresters' formulas, beside the solid's own volume."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from pithline.arrays import Floats, Indices
from pithline.errors import OutOfRangeError
from pithline.logs.solid import LogSolid

__all__ = [
    "CubicVolumes",
    "LogStack",
    "cone_frustum_mm3",
    "cubic_volumes",
    "huber_mm3",
    "neiloid_frustum_mm3",
    "newton_mm3",
    "smalian_mm3",
    "stacked",
]

Number = TypeVar("Number", float, Floats)

_QUARTER_PI = 0.25 * math.pi


def smalian_mm3(*, small_mm: Number, large_mm: Number, length_mm: Number) -> Number:
    """Volume by Smalian's formula, from the sections of both ends.

    V = (A1 + A2) / 2 L, exact for a frustum of a paraboloid.

    Parameters
    ----------
    small_mm, large_mm : float or (n,) float
        Diameters of the ends [mm].
    length_mm : float or (n,) float
        Length [mm].

    Returns
    -------
    float or (n,) float
        Volume [mm3].

    Raises
    ------
    OutOfRangeError
        A measure below 0 or not a number.

    Source
    ------
    Larsen, University of Missouri, "Cubic Log Volume"
    """
    _sizes(small_mm, large_mm, length_mm)
    return _QUARTER_PI * 0.5 * (small_mm**2 + large_mm**2) * length_mm


def huber_mm3(*, middle_mm: Number, length_mm: Number) -> Number:
    """Volume by Huber's formula, from the section halfway.

    V = Am L, exact for a frustum of a paraboloid.

    Parameters
    ----------
    middle_mm : float or (n,) float
        Diameter halfway along [mm].
    length_mm : float or (n,) float
        Length [mm].

    Returns
    -------
    float or (n,) float
        Volume [mm3].

    Raises
    ------
    OutOfRangeError
        A measure below 0 or not a number.

    Source
    ------
    Husch, Beers and Kershaw, Forest Mensuration, from memory; worked examples in the tests
    """
    _sizes(middle_mm, length_mm)
    return _QUARTER_PI * middle_mm**2 * length_mm


def newton_mm3(*, small_mm: Number, middle_mm: Number, large_mm: Number, length_mm: Number) -> Number:
    """Volume by Newton's formula, from both ends and the section halfway.

    V = (A1 + 4 Am + A2) / 6 L, exact for any body whose section is at most a
    cubic in the length: cylinder, paraboloid, cone, neiloid.

    Parameters
    ----------
    small_mm, middle_mm, large_mm : float or (n,) float
        Diameters of the small end, halfway and of the large end [mm].
    length_mm : float or (n,) float
        Length [mm].

    Returns
    -------
    float or (n,) float
        Volume [mm3].

    Raises
    ------
    OutOfRangeError
        A measure below 0 or not a number.

    Source
    ------
    Husch, Beers and Kershaw, Forest Mensuration, from memory; worked examples in the tests
    """
    _sizes(small_mm, middle_mm, large_mm, length_mm)
    return _QUARTER_PI / 6.0 * (small_mm**2 + 4.0 * middle_mm**2 + large_mm**2) * length_mm


def cone_frustum_mm3(*, small_mm: Number, large_mm: Number, length_mm: Number) -> Number:
    """Volume of the frustum of a cone.

    V = (A1 + sqrt(A1 A2) + A2) / 3 L.

    Parameters
    ----------
    small_mm, large_mm : float or (n,) float
        Diameters of the ends [mm].
    length_mm : float or (n,) float
        Length [mm].

    Returns
    -------
    float or (n,) float
        Volume [mm3].

    Raises
    ------
    OutOfRangeError
        A measure below 0 or not a number.

    Source
    ------
    definition
    """
    _sizes(small_mm, large_mm, length_mm)
    return _QUARTER_PI / 3.0 * (small_mm**2 + small_mm * large_mm + large_mm**2) * length_mm


def neiloid_frustum_mm3(*, small_mm: Number, large_mm: Number, length_mm: Number) -> Number:
    """Volume of the frustum of a neiloid, the hollow-sided body of a butt log.

    V = (A1 + (A1^2 A2)^(1/3) + (A1 A2^2)^(1/3) + A2) / 4 L.

    Parameters
    ----------
    small_mm, large_mm : float or (n,) float
        Diameters of the ends [mm].
    length_mm : float or (n,) float
        Length [mm].

    Returns
    -------
    float or (n,) float
        Volume [mm3].

    Raises
    ------
    OutOfRangeError
        A measure below 0 or not a number.

    Source
    ------
    Larsen, University of Missouri, "Cubic Log Volume"
    """
    _sizes(small_mm, large_mm, length_mm)
    a: Number = small_mm ** (2.0 / 3.0)
    b: Number = large_mm ** (2.0 / 3.0)
    return _QUARTER_PI / 4.0 * (a**3 + a * a * b + a * b * b + b**3) * length_mm


def _sizes(*measures_mm: float | Floats) -> None:
    """Refuse a measure that no log has."""
    for measure in measures_mm:
        # A comparison with what is no number is false, and so is refused here too.
        if not np.all(np.asarray(measure) >= 0.0):
            raise OutOfRangeError("cubic volume: diameters and lengths must be 0 mm or more.")


@dataclass(frozen=True, eq=False)
class LogStack:
    """The sections of many logs in one array, so that all are worked at once.

    Attributes: `z_mm` (m,) along each log from its first station; `shape_mm`
    (m, 2, 2); `first` and `last` (n,) rows of each log's end stations;
    `along_mm` (m,) the logs laid in one line, 1 m apart, so that it increases.
    """

    z_mm: Floats
    shape_mm: Floats
    first: Indices
    last: Indices
    along_mm: Floats

    @property
    def length_mm(self) -> Floats:
        """Lengths of the logs, (n,) [mm]."""
        return np.asarray(self.z_mm[self.last])

    def shape_at(self, log: Indices, z_mm: Floats) -> Floats:
        """Sections of logs at distances from their first stations, (k, 2, 2) [mm]."""
        place = self.along_mm[self.first[log]] + z_mm
        row = np.clip(np.searchsorted(self.along_mm, place, side="right") - 1, self.first[log], self.last[log] - 1)
        share = (z_mm - self.z_mm[row]) / (self.z_mm[row + 1] - self.z_mm[row])
        share = np.clip(share, 0.0, 1.0)[:, None, None]
        return np.asarray((1.0 - share) * self.shape_mm[row] + share * self.shape_mm[row + 1])


def stacked(logs: Sequence[LogSolid]) -> LogStack:
    """Sections of many logs in one array.

    Parameters
    ----------
    logs : sequence of LogSolid
        At least one.

    Returns
    -------
    LogStack
        In the order given.

    Source
    ------
    definition
    """
    counts = np.array([len(log.z_mm) for log in logs], dtype=np.int64)
    last = np.cumsum(counts) - 1
    first = last - counts + 1
    z = np.concatenate([log.z_mm for log in logs])
    z = z - np.repeat(z[first], counts)
    starts = np.concatenate([[0.0], np.cumsum(z[last][:-1] + 1000.0)])
    return LogStack(z, np.concatenate([log.shape_mm for log in logs]), first, last, z + np.repeat(starts, counts))


@dataclass(frozen=True, eq=False)
class CubicVolumes:
    """Volumes of logs four ways, each (n,) [mm3].

    Attributes: `wood_mm3` of the solids, exact; `smalian_mm3`, `huber_mm3` and
    `newton_mm3` by the formulas, on the solids' own end and middle sections.
    """

    wood_mm3: Floats
    smalian_mm3: Floats
    huber_mm3: Floats
    newton_mm3: Floats


def cubic_volumes(logs: Sequence[LogSolid] | LogStack) -> CubicVolumes:
    """Volumes of logs, exact and by the foresters' formulas.

    Parameters
    ----------
    logs : sequence of LogSolid, or LogStack
        At least one; for one log give a list of one.

    Returns
    -------
    CubicVolumes
        In the order given.

    Source
    ------
    Prismoidal rule between stations, as `LogSolid.volume_mm3`; formulas as in this module, a section being
    an ellipse of area pi det(shape)
    """
    stack = logs if isinstance(logs, LogStack) else stacked(logs)
    shape, first, last, length = stack.shape_mm, stack.first, stack.last, stack.length_mm
    area = _areas_mm2(shape)
    halfway = _areas_mm2(stack.shape_at(np.arange(len(first)), 0.5 * length))
    between = _areas_mm2(0.5 * (shape[:-1] + shape[1:]))
    slices = np.zeros(len(area))
    slices[:-1] = (area[:-1] + 4.0 * between + area[1:]) / 6.0 * np.diff(stack.z_mm)
    # From the last station of a log to the first of the next there is no wood.
    slices[last] = 0.0
    ends = area[first] + area[last]
    return CubicVolumes(
        wood_mm3=np.add.reduceat(slices, first),
        smalian_mm3=0.5 * ends * length,
        huber_mm3=halfway * length,
        newton_mm3=(ends + 4.0 * halfway) / 6.0 * length,
    )


def _areas_mm2(shape_mm: Floats) -> Floats:
    """Areas of sections; a determinant written out is far faster than a solver's for two by two."""
    return np.asarray(
        np.pi * (shape_mm[:, 0, 0] * shape_mm[:, 1, 1] - shape_mm[:, 0, 1] * shape_mm[:, 1, 0]), dtype=np.float64
    )
