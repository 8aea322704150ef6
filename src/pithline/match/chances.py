"""How sure a timber of a pattern is to come out with no more wane than it may have."""

import math
from dataclasses import dataclass, replace

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.logs.solid import LogSolid, stretch
from pithline.patterns.pattern import Pattern, Piece
from pithline.setup.budget import even_spread, normal_share, rail_spread_mm, thickness_spread_mm
from pithline.setup.kit import Kit

__all__ = ["SURE", "Chance", "chance_of", "narrowed"]

SURE = 0.9
"""A timber is told to be tight where its chance is under this."""


@dataclass(frozen=True)
class Chance:
    """How sure a timber is.

    Attributes: `share` 0 to 1; `room_mm` of wood beside it where it is least
    sure, and `station_mm`, where that is.
    """

    share: float
    room_mm: float
    station_mm: float


def _points(piece: Piece, z_mm: Floats) -> Floats:
    """Corners of a timber at places along the log, less its wane, as tallied (n, k, 2)."""
    along = ((z_mm - piece.start_mm) / piece.length_mm)[:, None, None]
    corners = (1.0 - along) * piece.corners_butt_mm + along * piece.corners_tip_mm
    if piece.wane_mm <= 0.0:
        return np.asarray(corners)
    cut = []
    for shift in (1, -1):
        side = np.roll(corners, shift, axis=1) - corners
        cut.append(corners + side * (piece.wane_mm / np.linalg.norm(side, axis=-1, keepdims=True)))
    return np.concatenate(cut, axis=1)


def _room_mm(part: LogSolid, points: Floats) -> Floats:
    """Least distance of points (n, k, 2) to the outline at each station (n,), negative outside."""
    outline = part.outlines()
    edge = np.roll(outline, -1, axis=1) - outline
    edge /= np.linalg.norm(edge, axis=-1, keepdims=True)
    away = points[:, :, None, :] - outline[:, None, :, :]
    inward = edge[:, None, :, 0] * away[..., 1] - edge[:, None, :, 1] * away[..., 0]
    return np.asarray(inward.min(axis=(1, 2)))


def _measured_mm(kit: Kit, part_of_log: Floats) -> Floats:
    """Standard deviation of where bark lies by the tape, at shares of the log's length (n,) [mm]."""
    # A diameter is off by half its error at each side. The crown's error is whole at the middle and none at the ends.
    diameter = even_spread(0.5 * kit.tape.diameter_give_mm)
    crown = even_spread(kit.tape.crown_give_mm) * 4.0 * part_of_log * (1.0 - part_of_log)
    return np.hypot(diameter, crown)


def chance_of(pattern: Pattern, piece: Piece) -> Chance:
    """How sure a timber is to show no more bark at its corners than its wane allows.

    Parameters
    ----------
    pattern : Pattern
        The pattern it comes from.
    piece : Piece
        One of its timbers.

    Returns
    -------
    Chance
        At the place where it is least sure.

    Source
    ------
    Root sum of squares of independent errors: JCGM 100:2008, 5.1.2 (from memory);
    errors taken as normal, and one place as deciding.
    """
    log, kit = pattern.log, pattern.kit
    part = stretch(log, max(piece.start_mm, 0.0), end_mm=min(piece.end_mm, log.length_mm))
    room = _room_mm(part, _points(piece, part.z_mm))
    stands = [one.stand for one in pattern.positions if one.part == piece.part and one.stand is not None]
    place = max((rail_spread_mm(kit, stand, diameter_mm=log.diameter_mm(0)) for stand in stands), default=0.0)
    placed = math.hypot(place, thickness_spread_mm(kit))
    spread = np.hypot(placed, _measured_mm(kit, part.z_mm / log.length_mm))
    at = int((room / spread).argmin())
    return Chance(normal_share(float(room[at] / spread[at])), float(room[at]), float(part.z_mm[at]))


def narrowed(log: LogSolid, kit: Kit) -> LogSolid:
    """A log with the wood taken off all round that errors may cost.

    Parameters
    ----------
    log : LogSolid
        The log.
    kit : Kit
        What errors come from.

    Returns
    -------
    LogSolid
        The same log, two standard deviations thinner all round: of the
        diameter and of both faces everywhere, of the crown at its middle; no
        section loses more than a fifth of its radius. What came off counts as bark.

    Source
    ------
    JCGM 100:2008, 5.1.2 (from memory): 19 times in 20, and more
    """
    sawn = math.sqrt(2.0) * thickness_spread_mm(kit)
    off = 2.0 * np.hypot(sawn, _measured_mm(kit, log.z_mm / log.length_mm))
    off = np.minimum(off, 0.2 * np.linalg.eigvalsh(log.shape_mm)[:, 0])
    thin = frozen(log.shape_mm - off[:, None, None] * np.eye(2))
    return replace(log, shape_mm=thin, bark_mm=(log.bark_mm or 0.0) + float(off.min()))
