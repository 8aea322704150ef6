"""A stretch of log about the straight center line that all its pieces are sawn parallel to."""

import math
from dataclasses import dataclass, replace

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.fit.check import placed_corners
from pithline.fit.program import solve
from pithline.fit.rows import wood_rows
from pithline.logs.solid import LogSolid, rotation, stretch, turned

__all__ = ["OF_TAPER", "SLENDER_TAPER", "Frame", "center_line", "crown_turns", "frame_on"]

OF_TAPER = 0.9
"""Share of the log's taper that the body which seeks the center line has."""

SLENDER_TAPER = 0.4
"""The same where a crooked log's middle and tip shall count more than its butt."""

TURN_STEP_DEG = 15.0
"""Turns of the log that are tried lie this far apart [deg]."""


@dataclass(frozen=True, eq=False)
class Frame:
    """A part of a log, turned, about its center line.

    Attributes: `log` as tallied; `start_mm`, `end_mm` of the part; `roll_deg`;
    `center_butt_mm`, `center_tip_mm` (2,), the center line as tallied; `solid`,
    the part about that line, stations from the part's butt.
    """

    log: LogSolid
    start_mm: float
    end_mm: float
    roll_deg: float
    center_butt_mm: Floats
    center_tip_mm: Floats
    solid: LogSolid

    @property
    def length_mm(self) -> float:
        """Length of the part [mm]."""
        return self.end_mm - self.start_mm

    def as_tallied(self, corners_mm: Floats, z_mm: float) -> Floats:
        """Points of the frame where they lie in the log as tallied.

        Parameters
        ----------
        corners_mm : (k, 2) float
            About the center line, the log turned [mm].
        z_mm : float
            Distance from the part's butt [mm].

        Returns
        -------
        (k, 2) float
            x and y [mm].

        Source
        ------
        definition
        """
        along = z_mm / self.length_mm
        center = (1.0 - along) * self.center_butt_mm + along * self.center_tip_mm
        return placed_corners(center, corners_mm, roll_deg=self.roll_deg)


def frame_on(
    log: LogSolid, ends_mm: tuple[float, float], *, roll_deg: float, centers_mm: tuple[Floats, Floats]
) -> Frame:
    """The part of a log about a given center line.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    ends_mm : (float, float)
        Where the part starts and ends [mm].
    roll_deg : float
        Turn of the log, clockwise seen from the butt [deg].
    centers_mm : ((2,) float, (2,) float)
        The center line at both ends, as tallied [mm].

    Returns
    -------
    Frame
        The part, turned.

    Source
    ------
    definition
    """
    start, end = ends_mm
    part = turned(stretch(log, start, end_mm=end), roll_deg)
    turn = rotation(roll_deg)
    along = ((part.z_mm - start) / (end - start))[:, None]
    axis = (1.0 - along) * (turn @ centers_mm[0]) + along * (turn @ centers_mm[1])
    solid = replace(
        part,
        z_mm=frozen(part.z_mm - start),
        center_mm=frozen(part.center_mm - axis),
        pith_mm=frozen(part.pith_mm - axis),
    )
    return Frame(log, start, end, roll_deg, frozen(centers_mm[0]), frozen(centers_mm[1]), solid)


def center_line(log: LogSolid, start_mm: float, *, end_mm: float, of_taper: float = OF_TAPER) -> tuple[Floats, Floats]:
    """The straight line deepest inside a stretch of log.

    It is the axis of the largest body inside the wood that has nine tenths of
    the log's taper: a body with less of it would leave its butt to wander in a
    thick log, one with all of it would heed the butt as much as the tip.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    start_mm, end_mm : float
        From where to where [mm].
    of_taper : float
        Share of the log's taper that the body has.

    Returns
    -------
    (2,) float, (2,) float
        Its place at both ends, as tallied [mm].

    Source
    ------
    definition
    """
    rows = wood_rows(log, start_mm=start_mm, end_mm=end_mm)
    part = stretch(log, start_mm, end_mm=end_mm)
    radius = np.sqrt(np.linalg.det(part.shape_mm))
    growth = 1.0 + of_taper * (radius / radius.min() - 1.0)
    matrix = rows.matrix.copy(order="F")
    matrix[:, 4] = growth[rows.station]
    answer = solve(matrix, rows.distance_mm, c=np.array([0.0, 0.0, 0.0, 0.0, 1.0]), basis=rows.start)
    return frozen(answer.x[:2]), frozen(answer.x[2:4])


def crown_turns(log: LogSolid, *, step_deg: float = TURN_STEP_DEG) -> tuple[float, ...]:
    """Turns of the log that are tried, the least first: with the crown level, and in steps from there.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    step_deg : float
        How far they lie apart, a whole part of half a turn [deg].

    Returns
    -------
    tuple of float
        Over half a turn, after which a pattern stands on its head [deg].

    Source
    ------
    common practice: crown level, or up; even steps between
    """
    base = 0.0 if log.crown_clock is None else (3.0 - log.crown_clock) * 30.0
    count = round(180.0 / step_deg)
    turns = [(base + step_deg * k + 90.0) % 180.0 - 90.0 for k in range(count)]
    return tuple(sorted(turns, key=lambda turn: (round(abs(turn), 9), -math.copysign(1.0, turn))))
