"""Lengths against the printed definition of the inch.

National Bureau of Standards Circular 572, "Calibration of Line Standards of Length and Measuring
Tapes at the National Bureau of Standards" (1956), with the addendum of January 22, 1960 to section
2, page 1. The addendum was read in a scan's text: "1 yard = 0.914 4 meter exactly. From this
definition it follows that 1 inch equals 25.4 millimeters."

NIST Special Publication 811 (2008), appendix B.9, factors for units of length: recalled, not read.
"""

from conftest import Outside
from pithline.lengths import MM_PER_FOOT, MM_PER_INCH, parse

CIRCULAR = "NBS Circular 572, addendum of January 22, 1960 to section 2, page 1"
GUIDE = "NIST SP 811 (2008), appendix B.9, length"
# Nothing is rounded in a definition: the floats agree to their last bits.
EXACT = 1e-12


def test_three_feet_are_the_yard_of_1959(outside: Outside) -> None:
    outside(
        source=CIRCULAR,
        what="yard, as 3 ft",
        printed="0.9144",
        ours=parse("3 ft") / 1000,
        unit="m",
        within=EXACT,
        kind="published",
    )


def test_an_inch_is_what_follows_from_that_yard(outside: Outside) -> None:
    outside(
        source=CIRCULAR,
        what='inch, read from 1"',
        printed="25.4",
        ours=parse('1"'),
        unit="mm",
        within=EXACT,
        kind="published",
    )
    assert MM_PER_INCH == 25.4


def test_the_guide_to_the_si_has_the_same_foot_and_inch(outside: Outside) -> None:
    outside(
        source=GUIDE,
        what="foot to meter",
        printed="0.3048",
        ours=MM_PER_FOOT / 1000,
        unit="m",
        within=EXACT,
        kind="from memory",
    )
    outside(
        source=GUIDE,
        what="inch to centimeter",
        printed="2.54",
        ours=MM_PER_INCH / 10,
        unit="cm",
        within=EXACT,
        kind="from memory",
    )
