"""What bare ends add: how far in from each end a timber is drier, and what that does to its average."""

import math
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.wood.diffusion import Section, axis
from pithline.wood.diffusion_law import Potential

__all__ = ["ALONG", "DryEnds", "dry_ends"]

ALONG = (10.0, math.sqrt(150.0), 15.0)
"""How many times faster water moves along the grain than across it, slow, middle, fast; 10 to 15 is recalled."""

_CELLS = 64
_FELT = 0.9
"""Where the end has taken a tenth of what the section still had to lose, it is called drier."""


@dataclass(frozen=True)
class DryEnds:
    """The work of bare ends, an estimate.

    Attributes: `depth_mm` (n, 3), how far in from each end the timber is
    noticeably drier than in its middle; `average` (n, 3) of the whole timber
    [fraction]; slow, middle, fast.
    """

    depth_mm: Floats
    average: Floats


def dry_ends(
    section: Section, potential: Potential, *, length_mm: float, days: Floats, average: Floats, air: float
) -> DryEnds:
    """Estimate of what bare ends do to a timber, by the product of two solutions.

    In air that stays, the part of the water still to go in a box is the product of that of its section
    and that of its length. Air that changes through the year is taken at the moisture it settles at.

    Parameters
    ----------
    section : Section
        Three coefficients across the grain, and their surface.
    potential : Potential
        Of the wood; straightened between the air and fiber saturation.
    length_mm : float
        Of the timber [mm].
    days : (n,) float
        Since the start, at 20 C [days].
    average : (n, 3) float
        Of the section [fraction].
    air : float
        Moisture it settles at [fraction].

    Returns
    -------
    DryEnds
        At each of the n times.

    Source
    ------
    product of solutions, see Crank, The Mathematics of Diffusion (1975), recalled; so is the ratio along the grain
    """
    ratios = np.asarray(ALONG)
    # The end face resists as the sides do; the same h is a thicker skin of wood that lets water through faster.
    line = axis(0.5 * length_mm, tuple(ratios * np.asarray(section.skin_mm)), cells=_CELLS)
    wet = max(potential.saturation, air + 0.01)
    straight = (float(potential.of(wet)) - float(potential.of(air))) / (wet - air)
    speed = line.rates * (ratios * np.asarray(section.mm2_day) * straight)[:, None]
    gone = np.exp(-days[:, None, None] * speed)
    profile = np.einsum("kij,tkj->tki", line.back, gone * line.into.sum(axis=2))
    share = profile @ line.widths_mm / line.widths_mm.sum()
    # Outward the profile only falls, so it is read backward; at an end that is not felt yet the depth is 0.
    inward, depths = profile[:, :, ::-1], np.concatenate([[0.0], (0.5 * length_mm - line.nodes_mm)[::-1]])
    felt = [[np.interp(_FELT, np.concatenate([row[:1], row]), depths) for row in rows] for rows in inward]
    return DryEnds(frozen(felt), frozen(air + (average - air) * share))
