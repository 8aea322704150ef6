"""A log cut to its timber's length before it is set up."""

from dataclasses import replace

import numpy as np

from pithline.arrays import frozen
from pithline.fit.placing import Placement
from pithline.logs.solid import section_at

__all__ = ["shortened"]


def shortened(placement: Placement) -> Placement:
    """The same timber in its log once that is cut off at both ends of the timber.

    Parameters
    ----------
    placement : Placement
        A timber shorter than its log.

    Returns
    -------
    Placement
        Distances run from the new butt. The axes of x and y stay those of the
        log as tallied.

    Source
    ------
    definition
    """
    log = placement.log
    start, end = placement.start_mm, placement.end_mm
    inside = (log.z_mm > start + 1.0) & (log.z_mm < end - 1.0)
    first, last = section_at(log, start), section_at(log, end)
    cut = replace(
        log,
        z_mm=frozen(np.concatenate([[0.0], log.z_mm[inside] - start, [end - start]])),
        center_mm=frozen(np.concatenate([[first.center_mm], log.center_mm[inside], [last.center_mm]])),
        shape_mm=frozen(np.concatenate([[first.shape_mm], log.shape_mm[inside], [last.shape_mm]])),
        pith_mm=frozen(np.concatenate([[first.pith_mm], log.pith_mm[inside], [last.pith_mm]])),
    )
    spot = replace(placement.spot, station_mm=placement.spot.station_mm - start)
    return replace(placement, log=cut, spot=spot, start_mm=0.0, end_mm=end - start)
