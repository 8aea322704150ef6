"""What is drawn on both ends of a log before the first cut."""

from dataclasses import dataclass
from typing import Literal

from pithline.arrays import Floats
from pithline.fit.placing import Placement
from pithline.fit.timber import section_corners
from pithline.logs.solid import LogSolid, chords, section_at
from pithline.setup.frame import framed

__all__ = ["EndMarks", "end_marks"]


@dataclass(frozen=True, eq=False)
class EndMarks:
    """Lines on one end, seen from the butt, the log turned for the first pass.

    The plumb and the level line run through the pith. Attributes: `up_mm`,
    `down_mm`, `left_mm`, `right_mm` from the pith to the four lines of the
    timber, negative where a line lies on the other side of the pith;
    `corners_mm` (4, 2) from the pith, counterclockwise from lower left;
    `center_mm` (2,) of the timber from the pith; `outline_mm` (n, 2) of the
    end from the pith; `across_mm`, its size level and plumb through the pith.
    """

    end: Literal["butt", "tip"]
    up_mm: float
    down_mm: float
    left_mm: float
    right_mm: float
    corners_mm: Floats
    center_mm: Floats
    outline_mm: Floats
    across_mm: tuple[float, float]


def _end(log: LogSolid, end: Literal["butt", "tip"], width_mm: float, thickness_mm: float) -> EndMarks:
    """Marks of one end, the log framed on the timber's center line."""
    section = section_at(log, 0.0 if end == "butt" else log.length_mm)
    pith = section.pith_mm
    corners = section_corners(width_mm, thickness_mm) - pith
    outline = section.outline() - pith
    level, plumb = (
        chords(section.center_mm[None], section.shape_mm[None], at_mm=float(pith[axis]), axis=axis)[1]
        for axis in (1, 0)
    )
    return EndMarks(
        end=end,
        up_mm=float(corners[2, 1]),
        down_mm=float(-corners[0, 1]),
        left_mm=float(-corners[0, 0]),
        right_mm=float(corners[2, 0]),
        corners_mm=corners,
        center_mm=-pith,
        outline_mm=outline,
        across_mm=(2.0 * float(level[0]), 2.0 * float(plumb[0])),
    )


def end_marks(placement: Placement) -> tuple[EndMarks, EndMarks]:
    """Marks of the butt and of the tip.

    Parameters
    ----------
    placement : Placement
        The timber in its log; for a timber shorter than the log its lines run
        on to both ends.

    Returns
    -------
    (EndMarks, EndMarks)
        Butt and tip.

    Source
    ------
    common practice
    """
    log = framed(placement)
    size = (placement.timber.cut_width_mm, placement.timber.cut_thickness_mm)
    return _end(log, "butt", *size), _end(log, "tip", *size)
