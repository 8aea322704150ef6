"""The round log as a solid: elliptical sections at stations from butt to tip.

Axes: z runs from the butt (0) to the tip. Looking from the butt toward the
tip, x is right and y is up. The origin of x and y at every station is the
straight line between the two end centers, as the log was tallied.
"""

from dataclasses import dataclass, replace

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.errors import OutOfRangeError
from pithline.logs.measures import RotHole

__all__ = [
    "FACES",
    "LogSolid",
    "Section",
    "chords",
    "clock_of",
    "direction_of",
    "on_the_clock",
    "polygons",
    "rotation",
    "section_at",
    "shape_matrix",
    "stretch",
    "turned",
]

FACES = 72
"""Sides of the polygon inscribed in a section: 0.1 % of the radius at most."""


def _circle(sides: int) -> Floats:
    """Points of the unit circle, counterclockwise from 3 o'clock."""
    angles = np.arange(sides) * (2.0 * np.pi / sides)
    return np.column_stack([np.cos(angles), np.sin(angles)])


_UNIT = frozen(_circle(FACES))


def polygons(center_mm: Floats, shape_mm: Floats) -> Floats:
    """Convex polygons inscribed in elliptical sections, vertex k facing vertex k.

    Parameters
    ----------
    center_mm : (n, 2) float
        Centers [mm].
    shape_mm : (n, 2, 2) float
        Symmetric matrices that map the unit circle to the outlines [mm].

    Returns
    -------
    (n, 72, 2) float
        x and y, counterclockwise [mm].

    Source
    ------
    definition
    """
    return np.asarray(center_mm[:, None, :] + np.einsum("kj,nji->nki", _UNIT, shape_mm))


@dataclass(frozen=True)
class Section:
    """One cross-section of a log, seen from the butt.

    Attributes: `z_mm` from the butt; `center_mm` (2,) x and y; `shape_mm`
    (2, 2) symmetric, maps the unit circle to the outline; `pith_mm` (2,).
    """

    z_mm: float
    center_mm: Floats
    shape_mm: Floats
    pith_mm: Floats

    def outline(self, sides: int = FACES) -> Floats:
        """Points on the outline, counterclockwise.

        Parameters
        ----------
        sides : int
            How many points.

        Returns
        -------
        (sides, 2) float
            x and y [mm].

        Source
        ------
        definition
        """
        return np.asarray(self.center_mm + _circle(sides) @ self.shape_mm)

    def reach(self, direction: Floats) -> float:
        """Farthest the section reaches in a direction.

        Parameters
        ----------
        direction : (2,) float
            Unit vector.

        Returns
        -------
        float
            Distance from the origin along `direction` [mm].

        Source
        ------
        definition: support function of an ellipse
        """
        return float(direction @ self.center_mm + np.linalg.norm(self.shape_mm @ direction))

    def heights_at(self, x_mm: float) -> tuple[float, float] | None:
        """Lowest and highest point of the section on a plumb line.

        Parameters
        ----------
        x_mm : float
            Where the plumb line stands, right is plus [mm].

        Returns
        -------
        (float, float) or None
            y below and above [mm]; None where the line misses the section.

        Source
        ------
        definition: a line through an ellipse
        """
        middle, half = chords(self.center_mm[None], self.shape_mm[None], at_mm=x_mm, axis=0)
        if half[0] < 0.0:
            return None
        return float(middle[0] - half[0]), float(middle[0] + half[0])


def chords(center_mm: Floats, shape_mm: Floats, *, at_mm: float, axis: int) -> tuple[Floats, Floats]:
    """Middle and half length of the chords of sections along a plumb or level line.

    Parameters
    ----------
    center_mm : (n, 2) float
        Centers [mm].
    shape_mm : (n, 2, 2) float
        Symmetric matrices that map the unit circle to the outlines [mm].
    at_mm : float
        Where the line stands: x of a plumb line, y of a level one [mm].
    axis : int
        0 for a plumb line, 1 for a level one.

    Returns
    -------
    (n,) float, (n,) float
        Middle of the chord along the line, and half its length, which is
        negative where the line misses the section [mm].

    Source
    ------
    definition: a line through an ellipse; for a circle w = 2 sqrt(r^2 - y^2)
    """
    # The outline is c + S u with |u| = 1; S S holds the squared reaches and their cross term.
    gram = shape_mm @ shape_mm
    other = 1 - axis
    away = at_mm - center_mm[:, axis]
    left = 1.0 - away * away / gram[:, axis, axis]
    middle = center_mm[:, other] + gram[:, axis, other] / gram[:, axis, axis] * away
    spread = gram[:, other, other] - gram[:, axis, other] ** 2 / gram[:, axis, axis]
    half = np.where(left >= 0.0, np.sqrt(np.maximum(left, 0.0) * spread), -1.0)
    return middle, half


@dataclass(frozen=True, eq=False)
class LogSolid:
    """A log as sections at stations; between stations it runs straight.

    Attributes: `z_mm` (n,); `center_mm` (n, 2); `shape_mm` (n, 2, 2) symmetric,
    inside bark where `bark_mm`, its thickness on one side, is known; `pith_mm`
    (n, 2); `notes`, sentences that
    belong beside every answer about this log; `crown_clock`, where the log
    bulges as tallied, or None for a straight log; `sapwood_mm` its thickness
    and `rot` what shows in an end, None where neither was told.
    """

    tag: str
    species: str
    z_mm: Floats
    center_mm: Floats
    shape_mm: Floats
    pith_mm: Floats
    crown_mm: float
    crown_clock: float | None
    bark_mm: float | None = None
    notes: tuple[str, ...] = ()
    sapwood_mm: float | None = None
    rot: RotHole | None = None

    @property
    def bark_known(self) -> bool:
        """Whether the sections are known to be inside bark."""
        return self.bark_mm is not None

    @property
    def length_mm(self) -> float:
        """Distance from butt to tip [mm]."""
        return float(self.z_mm[-1])

    def diameter_mm(self, station: int) -> float:
        """Mean of the two axes at a station.

        Parameters
        ----------
        station : int
            Index of the station, -1 for the tip.

        Returns
        -------
        float
            Diameter [mm].

        Source
        ------
        definition
        """
        return float(np.trace(self.shape_mm[station]))

    def outlines(self) -> Floats:
        """Convex polygons inscribed in the sections, vertex k facing vertex k.

        Returns
        -------
        (n, 72, 2) float
            x and y, counterclockwise [mm].

        Source
        ------
        definition
        """
        return polygons(self.center_mm, self.shape_mm)

    def volume_mm3(self) -> float:
        """Volume of the wood, exact for sections that change evenly between stations.

        Returns
        -------
        float
            Volume [mm3].

        Source
        ------
        definition: prismoidal rule, exact for an area that is quadratic in z
        """
        middle = 0.5 * (self.shape_mm[:-1] + self.shape_mm[1:])
        ends = np.linalg.det(self.shape_mm)
        mean = (ends[:-1] + 4.0 * np.linalg.det(middle) + ends[1:]) / 6.0
        return float(np.pi * np.sum(mean * np.diff(self.z_mm)))


def shape_matrix(axis_1_mm: Floats, axis_2_mm: Floats, *, angle_deg: Floats) -> Floats:
    """Symmetric matrices that map the unit circle to ellipses.

    Parameters
    ----------
    axis_1_mm, axis_2_mm : (n,) float
        Full axes (diameters) of each ellipse [mm].
    angle_deg : (n,) float
        Direction of the first axis, counterclockwise from x (3 o'clock toward
        12) [deg].

    Returns
    -------
    (n, 2, 2) float
        Matrices [mm].

    Source
    ------
    definition
    """
    angle = np.radians(angle_deg)
    cos, sin = np.cos(angle), np.sin(angle)
    a, b = 0.5 * axis_1_mm, 0.5 * axis_2_mm
    shape = np.empty((len(a), 2, 2))
    shape[:, 0, 0] = a * cos * cos + b * sin * sin
    shape[:, 1, 1] = a * sin * sin + b * cos * cos
    shape[:, 0, 1] = shape[:, 1, 0] = (a - b) * cos * sin
    return shape


def direction_of(clock: float) -> Floats:
    """Unit vector toward a clock position seen from the butt.

    Parameters
    ----------
    clock : float
        12 or 0 is up, 3 is right [hours].

    Returns
    -------
    (2,) float
        x and y.

    Source
    ------
    definition
    """
    angle = np.radians(30.0 * clock)
    return np.array([np.sin(angle), np.cos(angle)])


def clock_of(direction: Floats) -> float:
    """Clock position of a direction seen from the butt.

    Parameters
    ----------
    direction : (2,) float
        x and y, of any length but zero.

    Returns
    -------
    float
        At least 1, less than 13 [hours].

    Source
    ------
    definition
    """
    return on_the_clock(float(np.degrees(np.arctan2(direction[0], direction[1])) / 30.0))


def on_the_clock(hours: float) -> float:
    """The same clock position between 1 and 13.

    Parameters
    ----------
    hours : float
        Any number of hours.

    Returns
    -------
    float
        At least 1, less than 13 [hours].

    Source
    ------
    definition
    """
    past_one = (hours - 1.0) % 12.0
    # Just under one o'clock the remainder rounds to a whole turn.
    return past_one + 1.0 if past_one < 12.0 else 1.0


def rotation(roll_deg: float) -> Floats:
    """Matrix that turns points clockwise as seen from the butt.

    Parameters
    ----------
    roll_deg : float
        Angle of the turn, clockwise is plus [deg].

    Returns
    -------
    (2, 2) float
        Multiply a column (x, y) from the left.

    Source
    ------
    definition
    """
    angle = np.radians(roll_deg)
    cos, sin = np.cos(angle), np.sin(angle)
    return np.array([[cos, sin], [-sin, cos]])


def turned(log: LogSolid, roll_deg: float) -> LogSolid:
    """Return the same log after it was rolled about its axis.

    Parameters
    ----------
    log : LogSolid
        The log as it lies.
    roll_deg : float
        Turn, clockwise as seen from the butt is plus [deg].

    Returns
    -------
    LogSolid
        The log in its new position.

    Source
    ------
    definition
    """
    turn = rotation(roll_deg)
    clock = log.crown_clock
    if clock is not None:
        clock = on_the_clock(clock + roll_deg / 30.0)
    return replace(
        log,
        center_mm=frozen(log.center_mm @ turn.T),
        shape_mm=frozen(turn @ log.shape_mm @ turn.T),
        pith_mm=frozen(log.pith_mm @ turn.T),
        crown_clock=clock,
    )


def section_at(log: LogSolid, z_mm: float) -> Section:
    """Return the section of a log at any distance from the butt.

    Parameters
    ----------
    log : LogSolid
        The log.
    z_mm : float
        Distance from the butt, 0 to the log's length [mm].

    Returns
    -------
    Section
        Interpolated evenly between the two stations beside it.

    Raises
    ------
    OutOfRangeError
        `z_mm` beyond the log.

    Source
    ------
    definition
    """
    if not -1e-6 <= z_mm <= log.length_mm + 1e-6:
        raise OutOfRangeError(f"station: {z_mm:g} mm is outside the log, 0 to {log.length_mm:g} mm")
    i = int(np.clip(np.searchsorted(log.z_mm, z_mm) - 1, 0, len(log.z_mm) - 2))
    u = float(np.clip((z_mm - log.z_mm[i]) / (log.z_mm[i + 1] - log.z_mm[i]), 0.0, 1.0))

    def between(values: Floats) -> Floats:
        return np.asarray((1.0 - u) * values[i] + u * values[i + 1])

    return Section(z_mm, between(log.center_mm), between(log.shape_mm), between(log.pith_mm))


def stretch(log: LogSolid, start_mm: float, *, end_mm: float) -> LogSolid:
    """The part of a log between two places along it, stations still from the log's butt.

    Parameters
    ----------
    log : LogSolid
        The log.
    start_mm, end_mm : float
        From where to where [mm].

    Returns
    -------
    LogSolid
        With a station at both places and all of the log's between them.

    Raises
    ------
    OutOfRangeError
        The stretch is empty or reaches beyond the log.

    Source
    ------
    definition
    """
    if end_mm - start_mm < 1.0:
        raise OutOfRangeError(f"stretch: {start_mm:g} to {end_mm:g} mm holds no timber")
    inside = (log.z_mm > start_mm + 1.0) & (log.z_mm < end_mm - 1.0)
    first, last = section_at(log, start_mm), section_at(log, end_mm)
    return replace(
        log,
        z_mm=frozen(np.concatenate([[start_mm], log.z_mm[inside], [end_mm]])),
        center_mm=frozen(np.concatenate([[first.center_mm], log.center_mm[inside], [last.center_mm]])),
        shape_mm=frozen(np.concatenate([[first.shape_mm], log.shape_mm[inside], [last.shape_mm]])),
        pith_mm=frozen(np.concatenate([[first.pith_mm], log.pith_mm[inside], [last.pith_mm]])),
    )
