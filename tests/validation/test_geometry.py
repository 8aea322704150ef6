"""What lies in a log, against closed forms: circles, parabolas, frustums, ellipses, chords.

Every expected value follows with pencil and paper; the working stands beside it. Sections are
polygons of 72 sides inscribed in the true outline, so sizes come out up to 0.1 % of the radius small.
"""

import math

import numpy as np
import pytest

from conftest import Outside
from pithline.fit import Kind, Timber, largest, place
from pithline.logs import TallyLog, section_at, solid_from_tally
from pithline.setup import end_marks, saw_stack
from strategies import INCH, KIT, round_log

SOURCE = "Plane geometry"
SHARE = 1.0 - math.cos(math.pi / 72)
"""What the faces of an inscribed polygon of 72 sides lose of the radius: 0.095 %."""


def lost(diameter_mm: float) -> float:
    """How much smaller than in the true circle a square or gap may come out, with 0.1 mm of proof."""
    return math.sqrt(2.0) * SHARE * diameter_mm / 2.0 + 0.1


@pytest.mark.parametrize("diameter", [187.0, 312.5, 455.0])
def test_a_cylinder_holds_the_square_on_its_diameter(outside: Outside, diameter: float) -> None:
    outside(
        source=SOURCE,
        what=f"side of the largest square in a cylinder of {diameter:g} mm: d / sqrt 2",
        printed=diameter / math.sqrt(2.0),
        ours=largest(round_log(diameter, 3_100.0), Kind()).width_mm,
        unit="mm",
        within=lost(diameter),
        kind="analytic",
    )


def test_taper_without_crown_leaves_the_tip_to_decide(outside: Outside) -> None:
    answer = largest(round_log(430.0, 5_000.0, tip_mm=296.0), Kind())
    outside(
        source=SOURCE,
        what="side of the largest square in a straight log of 430 to 296 mm: tip / sqrt 2",
        printed=296.0 / math.sqrt(2.0),
        ours=answer.width_mm,
        unit="mm",
        within=lost(296.0),
        kind="analytic",
    )
    outside(
        source=SOURCE,
        what="where the largest square of a tapered log binds: the tip",
        printed=5_000.0,
        ours=answer.placement.spot.station_mm,
        unit="mm",
        within=0.0,
        kind="analytic",
    )


@pytest.mark.parametrize(("ratio", "across"), [(0.75, 350.0), (0.5, 268.0)])
def test_a_section_of_any_ratio_has_the_diameter_for_its_diagonal(outside: Outside, ratio, across) -> None:
    answer = largest(round_log(across, 2_400.0), Kind(ratio=ratio))
    outside(
        source=SOURCE,
        what=f"diagonal of the largest 1:{1 / ratio:g} section in a cylinder of {across:g} mm",
        printed=across,
        ours=math.hypot(answer.width_mm, answer.thickness_mm),
        unit="mm",
        within=2.0 * lost(across),
        kind="analytic",
    )


def test_the_largest_timber_of_a_thickness_follows_by_pythagoras(outside: Outside) -> None:
    outside(
        source=SOURCE,
        what="width left beside 160 mm of thickness in 340 mm: sqrt(340^2 - 160^2)",
        printed=300.0,
        ours=largest(round_log(340.0, 2_500.0), Kind("thickness", thickness_mm=160.0)).width_mm,
        unit="mm",
        within=2.0 * lost(340.0),
        kind="analytic",
    )


@pytest.mark.parametrize("crown", [24.0, 66.0])
def test_a_parabolic_crown_costs_half_of_itself_each_way(outside: Outside, crown: float) -> None:
    # The straight line nearest to a parabola of height c lies c/2 off its ends and its top, so a timber
    # that lies across the crown has c/2 less room above and below than in a straight log.
    diameter, length = 380.0, 4_000.0
    log = round_log(diameter, length, crown_mm=crown, crown_clock=12.0)
    wide = Timber(20.0, 200.0)
    placed = place(log, wide, roll=0.0, against_best=False)
    outside(
        source=SOURCE,
        what=f"center line above the ends' centers where the crown is {crown:g} mm up: half a crown",
        printed=0.5 * crown,
        ours=float(placed.center_butt_mm[1]),
        unit="mm",
        within=0.2,
        kind="analytic",
    )
    outside(
        source=SOURCE,
        what=f"corner (100, 10 + half a crown) to a circle of 380 mm, crown of {crown:g} mm",
        printed=190.0 - math.hypot(100.0, 10.0 + 0.5 * crown),
        ours=placed.clearance_mm,
        unit="mm",
        within=190.0 * SHARE + 0.01,
        kind="analytic",
    )
    # A straight cylinder of diameter d - c lies in the log, and its square with it.
    outside(
        source=SOURCE,
        what=f"a crown of {crown:g} mm in 380 mm leaves the square of a cylinder of d - c, or more",
        printed=True,
        ours=largest(log, Kind()).width_mm >= (diameter - crown) / math.sqrt(2.0) - lost(diameter),
        kind="analytic",
    )


@pytest.mark.parametrize("share", [0.3, 0.5])
def test_a_crown_measured_off_the_middle_stands_where_it_was_measured(outside: Outside, share: float) -> None:
    length, crown = 5_000.0, 48.0
    log = round_log(350.0, length, crown_mm=crown, crown_clock=3.0, crown_at_mm=share * length)
    quarter = 0.5 * share * length
    # Half way from the butt to the crown a parabola has three quarters of its height.
    outside(
        source=SOURCE,
        what=f"offset half way to a crown of 48 mm that stands at {share:.0%} of the length",
        printed=0.75 * crown,
        ours=float(section_at(log, quarter).center_mm[0]),
        unit="mm",
        # The log runs straight between stations 250 mm apart: at most c (125 / reach)^2.
        within=crown * (125.0 / (share * length)) ** 2,
        kind="analytic",
    )


def test_volume_of_frustums_and_elliptic_logs(outside: Outside) -> None:
    # Frustum: pi L (a^2 + a b + b^2) / 12 with the end diameters a and b.
    outside(
        source="Solid geometry",
        what="volume of a cone frustum 436 to 318 mm, 6.2 m",
        printed=math.pi * 6.2 * (0.436**2 + 0.436 * 0.318 + 0.318**2) / 12.0,
        ours=round_log(436.0, 6_200.0, tip_mm=318.0).volume_mm3() / 1e9,
        unit="m3",
        within=1e-12,
        kind="analytic",
    )
    log = round_log(420.0, 4_000.0, tip_mm=420.0, butt_2_mm=360.0, tip_2_mm=360.0, oval_clock=1.7)
    outside(
        source="Solid geometry",
        what="volume of an elliptic cylinder 420 x 360 mm, 4 m: pi a b L",
        printed=math.pi * 0.21 * 0.18 * 4.0,
        ours=log.volume_mm3() / 1e9,
        unit="m3",
        within=1e-12,
        kind="analytic",
    )
    # An oval frustum: axes change evenly, so the section is a quadratic and Newton's rule is exact.
    log = round_log(420.0, 5_000.0, tip_mm=300.0, butt_2_mm=380.0, tip_2_mm=310.0, oval_clock=4.4)
    middle = 0.25 * (420.0 + 300.0) * (380.0 + 310.0)
    outside(
        source="Solid geometry",
        what="volume of an oval frustum 420 x 380 to 300 x 310 mm, 5 m",
        printed=math.pi / 4.0 * 5.0 * (420 * 380 + 4 * middle + 300 * 310) / 6.0 / 1e6,
        ours=log.volume_mm3() / 1e9,
        unit="m3",
        within=1e-12,
        kind="analytic",
    )


def test_bark_is_two_thicknesses_of_diameter(outside: Outside) -> None:
    log = solid_from_tally(TallyLog("b", "any", 3_000.0, 400.0, 400.0, bark_mm=11.0))
    outside(
        source="Solid geometry",
        what="volume of a cylinder of 400 mm under 11 mm of bark, 3 m",
        printed=math.pi / 4.0 * 0.378**2 * 3.0,
        ours=log.volume_mm3() / 1e9,
        unit="m3",
        within=1e-12,
        kind="analytic",
    )


def test_the_flat_for_a_base_is_a_sagitta(outside: Outside) -> None:
    placed = place(
        round_log(420.0, 6_400.8, tip_mm=330.0), Timber(152.4, 203.2, heart="boxed"), roll=0.0, wanted_clearance_mm=1.0
    )
    stack = saw_stack(KIT, placed)
    for bearer in stack.bearers:
        r = 0.5 * (420.0 - 90.0 * bearer.station_mm / 6_400.8)
        outside(
            source=SOURCE,
            what=f"flat for a base of 5 1/2 in on a round of {2 * r:.0f} mm: r - sqrt(r^2 - (w/2)^2)",
            printed=r - math.sqrt(r * r - (2.75 * INCH) ** 2),
            ours=bearer.flat_depth_mm,
            unit="mm",
            within=0.01,
            kind="analytic",
        )
    outside(
        source=SOURCE,
        what="widest cut of the first pass, a chord of the butt: 2 sqrt(r^2 - y^2)",
        printed=2.0 * math.sqrt(210.0**2 - 76.2**2),
        ours=stack.passes[0].widest_mm,
        unit="mm",
        within=0.01,
        kind="analytic",
    )


def test_the_end_of_a_log_is_a_chord_wide_through_an_eccentric_pith(outside: Outside) -> None:
    log = round_log(400.0, 3_000.0, butt_pith_mm=60.0, butt_pith_clock=3.0)
    butt, _ = end_marks(place(log, Timber(100.0, 160.0), roll=0.0))
    outside(
        source=SOURCE,
        what="plumb line through a pith 60 mm off the center of 400 mm: 2 sqrt(200^2 - 60^2)",
        printed=2.0 * math.sqrt(200.0**2 - 60.0**2),
        ours=butt.across_mm[1],
        unit="mm",
        within=1e-6,
        kind="analytic",
    )


def test_the_strongest_beam_out_of_a_round_has_sides_as_one_to_the_root_of_two(outside: Outside) -> None:
    # b h^2 with b^2 + h^2 = d^2 is greatest at h^2 = 2 b^2: 2 d^3 / (3 sqrt 3).
    log, d = round_log(330.0, 2_200.0), 330.0
    ratios = np.linspace(1.2, 1.65, 19)
    strong = []
    for ratio in ratios:
        answer = largest(log, Kind(ratio=float(ratio)))
        strong.append(answer.width_mm * answer.thickness_mm**2)
    peak = np.polyfit(ratios, strong, 2)
    outside(
        source="Strength of materials: the rectangle of greatest section modulus in a circle",
        what="height over breadth of the strongest beam in a cylinder",
        printed=math.sqrt(2.0),
        ours=-peak[1] / (2.0 * peak[0]),
        unit="",
        # A parabola laid through 19 sizes finds the top of the curve to about a hundredth.
        within=0.015,
        kind="analytic",
    )
    outside(
        source="Strength of materials: the rectangle of greatest section modulus in a circle",
        what="its section modulus b h^2 / 6 in 330 mm: d^3 / (9 sqrt 3)",
        printed=d**3 / (9.0 * math.sqrt(3.0)) / 1e3,
        ours=max(strong) / 6.0 / 1e3,
        unit="cm3",
        within=3.0 * SHARE * d**3 / (9.0 * math.sqrt(3.0)) / 1e3 + 1.0,
        kind="analytic",
    )


def test_the_cost_of_a_fixed_roll_in_an_oval_log(outside: Outside) -> None:
    # An elliptic cylinder 2a = 400 across, 2b = 320 up: the axis-parallel rectangle of ratio k = h/w
    # with its corners on the ellipse has w = 2 / sqrt(1/a^2 + k^2/b^2).
    log = round_log(400.0, 2_500.0, tip_mm=400.0, butt_2_mm=320.0, tip_2_mm=320.0)
    ratio = 0.8
    width = 2.0 / math.sqrt(1.0 / 200.0**2 + ratio**2 / 160.0**2)
    outside(
        source=SOURCE,
        what="width of the largest 4:5 section in an ellipse of 400 x 320 mm",
        printed=width,
        ours=largest(log, Kind(ratio=ratio)).width_mm,
        unit="mm",
        within=2.0 * lost(400.0),
        kind="analytic",
    )
