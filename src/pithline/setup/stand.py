"""The rail stood over a log or a cant: flats, datum, bearers, rail positions, first setting."""

from dataclasses import dataclass

import numpy as np

from pithline.logs.solid import LogSolid
from pithline.setup.bearers import Bearer, cut_flat, datum_for, stand_bearers
from pithline.setup.frame import upper_surface
from pithline.setup.kit import Kit
from pithline.setup.rail import RailPosition, Run, rail_run

__all__ = ["RailStand", "stand_rail"]


@dataclass(frozen=True)
class RailStand:
    """Bearers and rail for the first pass of a position.

    Attributes: `line_mm`, height of the face to be sawn above the center line;
    `datum_mm` from there to the bearers' tops; `run`, stations and rail;
    `bearers`; `setting_mm` of the mill on the rail; `rail_top_mm`, height of
    the surface the mill rides on above the ground with the log on its horses.
    """

    line_mm: float
    datum_mm: float
    run: Run
    bearers: tuple[Bearer, ...]
    setting_mm: float
    rail_top_mm: float

    @property
    def rail(self) -> tuple[RailPosition, ...]:
        """Rail positions from butt to tip."""
        return self.run.positions


def stand_rail(
    kit: Kit,
    log: LogSolid,
    *,
    line_mm: float,
    within_mm: float | None,
    ends_mm: tuple[float, float],
    datum_mm: float | None = None,
) -> RailStand:
    """Bearers, rail and first setting for a face to be sawn on top of a log or cant.

    Parameters
    ----------
    kit : Kit
        What is at the log.
    log : LogSolid
        The log as it lies, about a line that runs level under the middle of the rail.
    line_mm : float
        Height of the face to be sawn above that line [mm].
    within_mm : float or None
        Distance of the faces already sawn left and right of it, None in the round [mm].
    ends_mm : (float, float)
        Stretch of the log under which there is timber, where no flat goes below the face [mm].
    datum_mm : float or None
        Bearer tops above the face; None takes the least round value that serves [mm].

    Returns
    -------
    RailStand
        Everything to set.

    Raises
    ------
    KitError
        The kit cannot reach; the message says which part, and what would.

    Source
    ------
    common practice; the flat for a base of width w on a round of radius r is
    r - sqrt(r^2 - (w/2)^2) deep
    """
    run = rail_run(kit, log.length_mm)
    base = kit.bearers.base_width_mm if within_mm is None else min(kit.bearers.base_width_mm, 2.0 * within_mm)
    flats = [
        cut_flat(
            kit,
            log,
            station_mm=station,
            widest_mm=base,
            line_mm=line_mm,
            over_timber=ends_mm[0] <= station <= ends_mm[1],
        )
        for station in run.stations_mm
    ]
    reach = 0.5 * kit.rail.width_mm if within_mm is None else min(0.5 * kit.rail.width_mm, within_mm)
    highest = max(float(upper_surface(log, x)[1].max()) for x in np.linspace(-reach, reach, 9))
    highest += log.bark_mm or 0.0
    datum = datum_for(kit, flats, half_mm=line_mm, highest_mm=highest, asked_mm=datum_mm)
    top = line_mm + datum
    lowest = float(upper_surface(log, 0.0)[0].min())
    return RailStand(
        line_mm=line_mm,
        datum_mm=datum,
        run=run,
        bearers=stand_bearers(kit, run, flats=flats, top_mm=top),
        setting_mm=datum + kit.rail.thickness_mm - kit.saw.kerf_mm,
        rail_top_mm=kit.horses.height_mm - lowest + top + kit.rail.thickness_mm,
    )
