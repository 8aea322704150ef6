"""The log as the timber sees it: level, its center line the origin."""

from dataclasses import replace

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.fit.placing import Placement
from pithline.logs.solid import LogSolid, chords, rotation, turned

__all__ = ["framed", "level_chords", "upper_surface"]


def framed(placement: Placement, turn_deg: float = 0.0) -> LogSolid:
    """The log turned for sawing, with the timber's center line as origin.

    Parameters
    ----------
    placement : Placement
        A timber laid in a log.
    turn_deg : float
        Turned this much further, clockwise seen from the butt [deg].

    Returns
    -------
    LogSolid
        Its sections about the center line, which runs on to both ends of the log.

    Source
    ------
    definition
    """
    log = turned(placement.log, placement.roll_deg + turn_deg)
    turn = rotation(placement.roll_deg + turn_deg)
    along = ((log.z_mm - placement.start_mm) / (placement.end_mm - placement.start_mm))[:, None]
    axis = (1.0 - along) * (turn @ placement.center_butt_mm) + along * (turn @ placement.center_tip_mm)
    return replace(log, center_mm=frozen(log.center_mm - axis), pith_mm=frozen(log.pith_mm - axis))


def level_chords(log: LogSolid, y_mm: float, *, within_mm: float | None = None) -> Floats:
    """Width of every section along a level line.

    Parameters
    ----------
    log : LogSolid
        The log about the timber's center line.
    y_mm : float
        Height of the line, up is plus [mm].
    within_mm : float or None
        Faces already sawn at this distance left and right [mm].

    Returns
    -------
    (n,) float
        Widths, 0 where the line passes outside the wood [mm].

    Source
    ------
    definition; for a circle w = 2 sqrt(r^2 - y^2)
    """
    middle, half = chords(log.center_mm, log.shape_mm, at_mm=y_mm, axis=1)
    left, right = middle - half, middle + half
    if within_mm is not None:
        left, right = np.maximum(left, -within_mm), np.minimum(right, within_mm)
    return np.where(half > 0.0, np.maximum(right - left, 0.0), 0.0)


def upper_surface(log: LogSolid, x_mm: float) -> tuple[Floats, Floats]:
    """Lowest and highest wood of every section on a plumb line.

    Parameters
    ----------
    log : LogSolid
        The log about the timber's center line.
    x_mm : float
        Where the plumb line stands, right is plus [mm].

    Returns
    -------
    (n,) float, (n,) float
        Heights below and above; the first is the greater where the line
        misses the section [mm].

    Source
    ------
    definition
    """
    middle, half = chords(log.center_mm, log.shape_mm, at_mm=x_mm, axis=0)
    return middle - half, middle + half
