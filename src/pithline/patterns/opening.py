"""Between which heights the first face can lie: the rail over it, bearers on flats above it."""

import math

import numpy as np

from pithline.arrays import Floats
from pithline.patterns.levels import chord_limits
from pithline.patterns.task import Task
from pithline.setup.bearers import LEAST_FLAT

__all__ = ["rail_range"]


def rail_range(center_mm: Floats, gram_mm2: Floats, *, task: Task) -> tuple[Floats, Floats]:
    """Least and greatest height of a face that the first pass, riding on the rail, can leave.

    A face too deep is out of the mill's reach below a rail that passes over
    the log; one too high leaves no flat for a bearer. What the bearers' travel
    adds is told when they are stood.

    Parameters
    ----------
    center_mm : (..., n, 2) float
        Centers of the sections about the center line, the log as it lies [mm].
    gram_mm2 : (..., n, 2, 2) float
        Squares of the matrices that map the unit circle to the outlines [mm2].
    task : Task
        Kit, bark and boards.

    Returns
    -------
    (...) float, (...) float
        Heights; the first above the second where nothing does [mm].

    Source
    ------
    definition
    """
    kit = task.kit
    reach, base = 0.5 * kit.rail.width_mm, 0.5 * LEAST_FLAT * kit.bearers.base_width_mm
    at = np.array([-reach, -base, 0.0, base, reach])
    _, top = chord_limits(center_mm, gram_mm2, at_mm=at, axis=0)
    highest = top.max(axis=(-2, -1)) + (task.log.bark_mm or 0.0)
    deepest = kit.mill.setting_max_mm - kit.rail.thickness_mm + kit.saw.kerf_mm
    datum = math.floor(deepest / kit.datum_step_mm + 1e-9) * kit.datum_step_mm
    flats = np.minimum(top[..., 1], top[..., 3]).min(axis=-1)
    # A board runs out where the wood over it is narrower than a flat, which may then go deeper by its thickness.
    spare = min((board.thickness_mm for board in task.boards), default=-kit.saw.kerf_mm) + kit.saw.kerf_mm
    low = highest - datum
    if datum < kit.bearers.height_min_mm + kit.saw.kerf_mm - 1e-6:
        low = np.full_like(highest, math.inf)
    return low, flats + spare
