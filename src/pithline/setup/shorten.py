"""A log cut to its timber's length before it is set up."""

from dataclasses import replace

from pithline.arrays import frozen
from pithline.fit.placing import Placement
from pithline.logs.solid import stretch

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
    part = stretch(log, start, end_mm=end)
    cut = replace(part, z_mm=frozen(part.z_mm - start))
    spot = replace(placement.spot, station_mm=placement.spot.station_mm - start)
    return replace(placement, log=cut, spot=spot, start_mm=0.0, end_mm=end - start)
