"""What a tape says: lengths read from text into millimeters, and written back to a chosen step."""

from pithline.lengths.reading import parse
from pithline.lengths.section import TimberSize, parse_ratio, parse_section
from pithline.lengths.tape import Rounding, Style, Tape, TapeParts
from pithline.lengths.told import told
from pithline.lengths.units import MM_PER, MM_PER_FOOT, MM_PER_INCH, Unit

__all__ = [
    "MM_PER",
    "MM_PER_FOOT",
    "MM_PER_INCH",
    "Rounding",
    "Style",
    "Tape",
    "TapeParts",
    "TimberSize",
    "Unit",
    "parse",
    "parse_ratio",
    "parse_section",
    "told",
]
