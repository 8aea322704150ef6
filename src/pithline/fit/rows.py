"""The wood as linear rows: every face of every section a timber passes through."""

from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats, Indices, frozen
from pithline.fit.timber import Growth
from pithline.logs.solid import FACES, LogSolid, stretch

__all__ = ["Rows", "wood_rows"]


@dataclass(frozen=True, eq=False)
class Rows:
    """Half planes that hold the timber, for the stretch of log it lies in.

    Attributes: `z_mm` (n,) stations of the stretch and `along` (n,) their place
    in it, 0 to 1; `pith_mm` (n, 2); for each of the m = 72 n rows the outward
    unit `normal` (m, 2), its `angle` (m,) [rad], the `distance_mm` (m,) of the
    face from the origin and the `station` (m,) it belongs to.
    """

    z_mm: Floats
    along: Floats
    pith_mm: Floats
    center_mm: Floats
    normal: Floats
    angle: Floats
    distance_mm: Floats
    station: Indices
    matrix: Floats
    start: Indices

    def cosines(self, roll: float) -> tuple[Floats, Floats]:
        """Absolute cosine and sine of the rows' angles to a rolled section.

        Parameters
        ----------
        roll : float
            Roll of the log [rad].

        Returns
        -------
        (m,) float, (m,) float
            Cosine and sine, not negative.

        Source
        ------
        definition
        """
        cos, sin = np.cos(roll), np.sin(roll)
        turned = np.abs(self.normal @ np.array([[cos, -sin], [sin, cos]]))
        return turned[:, 0], turned[:, 1]

    def program(self, growth: Growth, roll: float) -> tuple[Floats, Floats]:
        """Matrix and right-hand side of the placement program at one roll.

        Unknowns: center of the timber at the start and the end of the
        stretch (x, y, x, y), and v of the growth.

        Parameters
        ----------
        growth : Growth
            The family of sections.
        roll : float
            Roll of the log [rad].

        Returns
        -------
        (m, 5) float, (m,) float
            A and b of A x <= b.

        Source
        ------
        definition: n.(c + R k) + v g <= d for every corner k
        """
        cos, sin = self.cosines(roll)
        matrix = self.matrix
        if growth.grow_width or growth.grow_thickness:
            matrix = matrix.copy(order="F")
            matrix[:, 4] = growth.rate(cos, sin)
        return matrix, self.distance_mm - growth.reach(cos, sin)


def _three_around(normal: Floats) -> Indices:
    """Three rows of one station whose normals surround the center."""
    angle = np.arctan2(normal[:, 1], normal[:, 0])
    picks = []
    for want in (0.0, 2.0 * np.pi / 3.0, -2.0 * np.pi / 3.0):
        away = np.abs(np.angle(np.exp(1j * (angle - want))))
        picks.append(int(np.argmin(away)))
    return np.array(picks, dtype=np.int64)


def wood_rows(log: LogSolid, *, start_mm: float = 0.0, end_mm: float | None = None) -> Rows:
    """Rows of the stretch of a log that a timber lies in.

    Parameters
    ----------
    log : LogSolid
        The log.
    start_mm : float
        Where the timber starts, from the butt [mm].
    end_mm : float or None
        Where it ends; None is the tip [mm].

    Returns
    -------
    Rows
        Stations x 72 rows.

    Source
    ------
    definition
    """
    end = log.length_mm if end_mm is None else end_mm
    part = stretch(log, start_mm, end_mm=end)
    z = part.z_mm
    points = part.outlines()
    edge = np.roll(points, -1, axis=1) - points
    normal = np.stack([edge[..., 1], -edge[..., 0]], axis=-1)
    normal /= np.linalg.norm(normal, axis=-1, keepdims=True)
    distance = (normal * points).sum(axis=-1)
    along = (z - start_mm) / (end - start_mm)
    weight = along[:, None, None]
    matrix = np.concatenate([normal * (1.0 - weight), normal * weight, np.ones((len(z), FACES, 1))], axis=-1)
    flat = normal.reshape(-1, 2)
    last = (len(z) - 1) * FACES
    start = np.concatenate([_three_around(normal[0]), last + _three_around(normal[-1])[:2]])
    return Rows(
        z_mm=z,
        along=frozen(along),
        pith_mm=part.pith_mm,
        center_mm=part.center_mm,
        normal=frozen(flat),
        angle=frozen(np.arctan2(flat[:, 1], flat[:, 0])),
        distance_mm=frozen(distance.reshape(-1)),
        station=np.repeat(np.arange(len(z), dtype=np.int64), FACES),
        matrix=np.asfortranarray(matrix.reshape(-1, 5)),
        start=start,
    )
