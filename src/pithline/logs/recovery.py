"""How much of a log became timbers: board feet, and recovery with its base named."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats
from pithline.errors import OutOfRangeError
from pithline.lengths import MM_PER_INCH
from pithline.logs.rules import LOG_RULES
from pithline.logs.scaling import Scaled

__all__ = ["MM3_PER_BF", "Recovery", "recovery", "timbers_bf"]

MM3_PER_BF = 144.0 * MM_PER_INCH**3
"""A board foot is 144 cubic inches."""


def timbers_bf(sizes_mm: Floats) -> float:
    """Board feet of timbers at their actual sizes.

    Parameters
    ----------
    sizes_mm : (n, 3) float
        Width, height and length of each timber, as sawn and not as named [mm].

    Returns
    -------
    float
        Board feet, not rounded; 0 for no timbers.

    Raises
    ------
    OutOfRangeError
        A size below 0 or not a number, or rows that are not of three.

    Source
    ------
    definition: a board foot is 144 in3
    """
    sizes = np.asarray(sizes_mm, dtype=np.float64)
    if sizes.size == 0:
        return 0.0
    if sizes.ndim != 2 or sizes.shape[1] != 3 or not np.all(sizes >= 0.0):
        raise OutOfRangeError("timbers: give width, height and length of each, 0 mm or more.")
    return float(np.prod(sizes, axis=1).sum() / MM3_PER_BF)


@dataclass(frozen=True)
class Recovery:
    """Timbers sawn, over what they were sawn from.

    Attributes: `base`, what they are a share of, in words; `sawn_bf`; `base_bf`,
    the base in board feet, None where a log has no scale by that rule; `is_scale`, whether the base is
    a log rule's scale, over which people speak of overrun.
    """

    base: str
    sawn_bf: float
    base_bf: float | None
    is_scale: bool

    @property
    def ratio(self) -> float | None:
        """Sawn over base; None where the base is none or nothing."""
        return self.sawn_bf / self.base_bf if self.base_bf else None

    @property
    def overrun(self) -> float | None:
        """Sawn beyond the scale as a share of it, below 0 for an underrun; None for a base that is no scale."""
        return self.ratio - 1.0 if self.is_scale and self.ratio is not None else None

    @property
    def text(self) -> str:
        """One sentence that names the base."""
        if self.ratio is None:
            return f"Of {self.base}: no recovery, since there is nothing to take a share of."
        told = f"{100.0 * self.ratio:.0f} % of {self.base}"
        if self.overrun is None:
            return f"{told}."
        word = "overrun" if self.overrun >= 0.0 else "underrun"
        return f"{told}, an {word} of {100.0 * abs(self.overrun):.0f} %."


def recovery(sawn_bf: float, logs: Sequence[Scaled], *, net: bool = False) -> tuple[Recovery, ...]:
    """Recovery of timbers from logs, over each base that people speak of.

    Parameters
    ----------
    sawn_bf : float
        Board feet of all timbers from these logs, as `timbers_bf` gives them.
    logs : sequence of Scaled
        The logs they were sawn from.
    net : bool
        Take the scales after deductions.

    Returns
    -------
    tuple of Recovery
        Over the volume of the wood, over Smalian's volume, and over the scale by each log rule in the order of
        `LOG_RULES`.

    Raises
    ------
    OutOfRangeError
        Board feet below 0 or not a number.

    Source
    ------
    definition; lumber over log scale is common practice under the name of overrun
    """
    if not sawn_bf >= 0.0:
        raise OutOfRangeError(f"recovery: {sawn_bf:g} board feet; it must be 0 or more.")
    found = [
        Recovery("the volume of the wood inside bark", sawn_bf, _bf([log.volume_m3 for log in logs]), False),
        Recovery("the volume by Smalian's formula", sawn_bf, _bf([log.smalian_m3 for log in logs]), False),
    ]
    for rule in LOG_RULES:
        scales: list[float | None] = [getattr(log.net if net else log, f"{rule.key}_bf") for log in logs]
        known = [scale for scale in scales if scale is not None]
        total = math.fsum(known) if len(known) == len(scales) else None
        found.append(Recovery(f"the {'net' if net else 'gross'} scale by {rule.title}", sawn_bf, total, True))
    return tuple(found)


def _bf(volumes_m3: Sequence[float]) -> float:
    """Cubic meters in board feet."""
    return math.fsum(volumes_m3) * 1e9 / MM3_PER_BF
