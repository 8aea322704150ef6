"""A length in both unit worlds, for sentences that must serve any reader."""

import math

from pithline.lengths.tape import Tape

__all__ = ["told"]

_INCHES = Tape("in", 16)


def told(length_mm: float) -> str:
    """Length in inches and in millimeters, as in 6 1/4 in (159 mm).

    Parameters
    ----------
    length_mm : float
        Any sign [mm].

    Returns
    -------
    str
        Feet and inches from a foot on; both to the nearest step.

    Source
    ------
    Definition.
    """
    if not math.isfinite(length_mm):
        return f"{length_mm} mm"
    return f"{_INCHES.show_long(length_mm)} ({_INCHES.other(length_mm)})"
