"""Checks a placement with plain geometry, knowing nothing of any solver."""

from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats, Indices
from pithline.logs.solid import LogSolid, clock_of, rotation, stretch

__all__ = ["Spot", "clearance", "pith_margin", "placed_corners"]


@dataclass(frozen=True)
class Spot:
    """Where a placed timber comes nearest to bark.

    Attributes: `clearance_mm`, negative where wood is missing; `station_mm`
    from the butt; `clock` of the corner about the section's center, as the
    log was tallied; `corner` 0 to 3, counterclockwise from lower left as turned.
    """

    clearance_mm: float
    station_mm: float
    clock: float
    corner: int


def placed_corners(center_mm: Floats, corners_mm: Floats, *, roll_deg: float) -> Floats:
    """Corners of a section where they lie in the log as tallied.

    Parameters
    ----------
    center_mm : (2,) float
        Center of the section, as tallied [mm].
    corners_mm : (k, 2) float
        Corners about the section's own center, level as it will be sawn [mm].
    roll_deg : float
        Turn of the log, clockwise seen from the butt [deg].

    Returns
    -------
    (k, 2) float
        x and y [mm].

    Source
    ------
    definition
    """
    return np.asarray(center_mm + corners_mm @ rotation(roll_deg))


def _chamfered(corners_mm: Floats, wane_mm: float) -> tuple[Floats, Indices]:
    """Points that must be inside the wood, and the corner each belongs to."""
    if wane_mm <= 0.0:
        return corners_mm, np.arange(4, dtype=np.int64)
    inward = np.sign(corners_mm) * wane_mm
    across = corners_mm - inward * [1.0, 0.0]
    up = corners_mm - inward * [0.0, 1.0]
    return np.concatenate([across, up]), np.tile(np.arange(4, dtype=np.int64), 2)


def clearance(
    log: LogSolid,
    ends_mm: tuple[float, float],
    *,
    centers_mm: tuple[Floats, Floats],
    roll_deg: float,
    corners_mm: Floats,
    wane_mm: float = 0.0,
) -> Spot:
    """Least distance from a straight timber's corners to the faces of the log.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    ends_mm : (float, float)
        Where the timber starts and ends, from the butt [mm].
    centers_mm : ((2,) float, (2,) float)
        Center of its section at those ends, as tallied [mm].
    roll_deg : float
        Turn of the log, clockwise seen from the butt [deg].
    corners_mm : (4, 2) float
        Corners about the section's center [mm].
    wane_mm : float
        What may be missing along both faces of each corner [mm].

    Returns
    -------
    Spot
        The nearest place; its clearance is negative by what is missing.

    Source
    ------
    definition: distance of a point from the edges of a convex polygon
    """
    start, end = ends_mm
    part = stretch(log, start, end_mm=end)
    z, middle, outline = part.z_mm, part.center_mm, part.outlines()
    edge = np.roll(outline, -1, axis=1) - outline
    edge /= np.linalg.norm(edge, axis=-1, keepdims=True)
    points, corner_of = _chamfered(corners_mm, wane_mm)
    along = ((z - start) / (end - start))[:, None]
    center = (1.0 - along) * centers_mm[0] + along * centers_mm[1]
    at = center[:, None, :] + points @ rotation(roll_deg)
    away = at[:, None, :, :] - outline[:, :, None, :]
    inward = edge[:, :, None, 0] * away[..., 1] - edge[:, :, None, 1] * away[..., 0]
    nearest = inward.min(axis=1)
    station, point = np.unravel_index(int(nearest.argmin()), nearest.shape)
    return Spot(
        clearance_mm=float(nearest[station, point]),
        station_mm=float(z[station]),
        clock=clock_of(at[station, point] - middle[station]),
        corner=int(corner_of[point]),
    )


def pith_margin(
    log: LogSolid,
    ends_mm: tuple[float, float],
    *,
    centers_mm: tuple[Floats, Floats],
    roll_deg: float,
    half_mm: tuple[float, float],
) -> tuple[float, float]:
    """How far the pith stays inside a timber, and how far outside.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    ends_mm : (float, float)
        Where the timber starts and ends, from the butt [mm].
    centers_mm : ((2,) float, (2,) float)
        Center of its section at those ends, as tallied [mm].
    roll_deg : float
        Turn of the log, clockwise seen from the butt [deg].
    half_mm : (float, float)
        Half width and half thickness [mm].

    Returns
    -------
    (float, float)
        Least distance of the pith from the nearest face inward along the whole
        timber (negative where it leaves the timber), and the greatest distance
        by which one face keeps it out along the whole timber (negative where
        no single face does) [mm].

    Source
    ------
    definition
    """
    start, end = ends_mm
    part = stretch(log, start, end_mm=end)
    z, pith = part.z_mm, part.pith_mm
    along = ((z - start) / (end - start))[:, None]
    center = (1.0 - along) * centers_mm[0] + along * centers_mm[1]
    offset = (pith - center) @ rotation(roll_deg).T
    half = np.array(half_mm)
    inside = float((half - np.abs(offset)).min())
    outside = max(float((offset - half).min(axis=0).max()), float((-offset - half).min(axis=0).max()))
    return inside, outside
