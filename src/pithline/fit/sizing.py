"""The largest straight timber of a kind that lies in a log."""

import math
from dataclasses import dataclass, replace
from typing import Literal

from pithline.arrays import frozen
from pithline.errors import NoPlacementError, TimberError
from pithline.fit.placing import Placement, place
from pithline.fit.rows import Rows, wood_rows
from pithline.fit.search import RollSearch
from pithline.fit.timber import SMALLEST_MM, Growth, Timber
from pithline.lengths import told
from pithline.logs.solid import LogSolid

__all__ = ["Kind", "Largest", "largest"]

TOLERANCE_MM = 0.02
"""How far the proven limit may lie above the size found."""

HAIR_MM = 0.025
"""Clearance kept beside the one asked for, a little more than `place` gives up to lie nearer the pith."""


@dataclass(frozen=True)
class Kind:
    """What kind of timber is wanted as large as possible.

    Attributes: `shape`, a `ratio` of thickness to width or a given
    `thickness_mm`; `clearance_mm` to keep between corners and bark;
    `wane_mm` as for a timber.
    """

    shape: Literal["ratio", "thickness"] = "ratio"
    ratio: float = 1.0
    thickness_mm: float = 0.0
    clearance_mm: float = 0.0
    wane_mm: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what cannot be asked."""
        if self.shape == "ratio" and not 0.05 <= self.ratio <= 20.0:
            raise TimberError(f"ratio: thickness {self.ratio:g} of the width; it must lie between 1:20 and 20:1.")
        if self.shape == "thickness" and not SMALLEST_MM <= self.thickness_mm <= 2_000.0:
            raise TimberError(f"thickness: {told(self.thickness_mm)}; it must lie between {told(SMALLEST_MM)} and 2 m.")
        if not -50.0 <= self.clearance_mm <= 500.0 or not 0.0 <= self.wane_mm <= 100.0:
            raise TimberError("clearance must lie between -50 and 500 mm, wane between 0 and 100 mm.")

    def growth(self) -> Growth:
        """The family of sections whose width is v.

        Returns
        -------
        Growth
            With v the full width [mm].

        Source
        ------
        definition
        """
        if self.shape == "thickness":
            return Growth(0.0, 0.5 * self.thickness_mm, self.wane_mm, clear=0.0, grow_width=0.5)
        return Growth(0.0, 0.0, self.wane_mm, clear=0.0, grow_width=0.5, grow_thickness=0.5 * self.ratio)


@dataclass(frozen=True, eq=False)
class Largest:
    """The largest timber of a kind.

    Attributes: `thickness_mm`, `width_mm`; `limit_width_mm`, above which no
    width can come at any roll; `placement` of that very timber.
    """

    kind: Kind
    thickness_mm: float
    width_mm: float
    limit_width_mm: float
    placement: Placement


def _within(rows: Rows, clearance_mm: float, growth: Growth) -> RollSearch:
    """The search for a size that keeps a clearance to bark all round."""
    return RollSearch(replace(rows, distance_mm=frozen(rows.distance_mm - clearance_mm)), growth)


def largest(log: LogSolid, kind: Kind) -> Largest:
    """The largest timber of a kind, over the whole length of a log.

    Parameters
    ----------
    log : LogSolid
        The log as tallied.
    kind : Kind
        Square, ratio, or given thickness.

    Returns
    -------
    Largest
        Size within a hair of the proven limit, and where it lies.

    Raises
    ------
    NoPlacementError
        Not even the thinnest timber of the kind lies in the log.

    Source
    ------
    definition; a cylinder of diameter d holds a square of d / sqrt(2)
    """
    growth = kind.growth()
    rows = wood_rows(log)
    found = _within(rows, kind.clearance_mm, growth).best(
        math.radians(growth.period_deg), tolerance=TOLERANCE_MM, limit=3_000
    )
    width = -math.inf if found.best is None else found.best.value
    thickness = kind.thickness_mm if kind.shape == "thickness" else width * kind.ratio
    smallest = max(SMALLEST_MM, 2.0 * kind.wane_mm)
    if found.best is None or min(width, thickness) < smallest:
        raise NoPlacementError("no timber of this kind lies in the log.")
    # A hair less, so that the placement of the very size stands inside the wood.
    less = _within(rows, kind.clearance_mm + HAIR_MM, growth).at(found.best.roll).value / width
    timber = Timber(
        thickness if kind.shape == "thickness" else thickness * less,
        width * less,
        wane_mm=kind.wane_mm,
    )
    placed = place(log, timber, roll=math.degrees(found.best.roll), against_best=False)
    return Largest(kind, timber.thickness_mm, timber.width_mm, found.bound, placed)
