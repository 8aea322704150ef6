"""Sag of a beam against a worked example of a design guide.

HUD Residential Structural Design Guide, 2nd ed. (2017), Example 5.7, rafter: 2x8 of Douglas fir-larch
No. 2, E 1,600,000 psi, 16 in apart, horizontal span 14.4 ft, slope 33.7 degrees, dead load 10 and snow
20 psf, of which the component square to the rafter is taken. Read as 10.73 mm (0.422 in) in a public
verification test that quotes the example, not on the printed page.
"""

import math

from conftest import Outside
from pithline.setup import Rail, rail_sag_mm

MPA_PER_PSI = 0.006894757293168361


def test_the_rafter_of_example_5_7_sags_as_printed(outside: Outside) -> None:
    # N/mm: pounds a square foot, times 16 in; 1 lbf is 4.4482216 N.
    load = 30.0 * math.cos(math.radians(33.7)) * 4.4482216152605 / 304.8**2 * 16 * 25.4
    rail = Rail(
        length_mm=8_000.0,
        thickness_mm=100.0,
        width_mm=100.0,
        stiffeners=1,
        member_breadth_mm=1.5 * 25.4,
        member_depth_mm=7.25 * 25.4,
        modulus_mpa=1.6e6 * MPA_PER_PSI,
        mass_kg_m=load / 9.80665 * 1000.0,
        sag_limit_mm=10.0,
    )
    outside(
        source="HUD Residential Structural Design Guide, 2nd ed. (2017), Example 5.7 (as quoted)",
        what="deflection of the rafter at midspan",
        printed="10.73",
        ours=rail_sag_mm(rail, 14.4 * 304.8, saw_kg=0.0),
        unit="mm",
        kind="published",
    )
