"""The round log: from a tally row or slices to a solid of cross-sections."""

from pithline.logs.build import crown_offset_mm, solid_from_slices, solid_from_tally, stations
from pithline.logs.measures import Fault, Middle, RotHole, SliceLog, SliceRow, TallyLog, slice_faults, tally_faults
from pithline.logs.solid import (
    FACES,
    LogSolid,
    Section,
    chords,
    clock_of,
    direction_of,
    on_the_clock,
    polygons,
    rotation,
    section_at,
    shape_matrix,
    stretch,
    turned,
)

__all__ = [
    "FACES",
    "Fault",
    "LogSolid",
    "Middle",
    "RotHole",
    "Section",
    "SliceLog",
    "SliceRow",
    "TallyLog",
    "chords",
    "clock_of",
    "crown_offset_mm",
    "direction_of",
    "on_the_clock",
    "polygons",
    "rotation",
    "section_at",
    "shape_matrix",
    "slice_faults",
    "solid_from_slices",
    "solid_from_tally",
    "stations",
    "stretch",
    "tally_faults",
    "turned",
]
