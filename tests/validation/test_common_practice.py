"""What people who mill with a rail do, against what the program tells them to do.

Common practice, no source in print: these numbers are handed on from one builder to the next.
"""

import itertools

import pytest

from conftest import Outside
from pithline.fit import Timber, place
from pithline.job import read_kit
from pithline.setup import end_marks, set_up
from strategies import FOOT, INCH, round_log

SOURCE = "Common practice of milling with a rail on bearers"
EXACT = 1e-6


@pytest.fixture(scope="module")
def plan():
    """A timber of 6 x 8 in, 1/8 in allowed a face, two faces sawn, on the axis of a log of 21 ft."""
    log = round_log(16 * INCH, 21 * FOOT, tip_mm=13 * INCH)
    timber = Timber(6 * INCH, 8 * INCH, sawn_faces=2, allowance_mm=INCH / 8, heart="boxed")
    placed = place(log, timber, roll=0.0, wanted_clearance_mm=1.0)
    return set_up(placed, read_kit(None), datum_mm=9 * INCH)


def told(outside: Outside, what: str, *, printed, ours, unit: str = "in", within: float = EXACT) -> None:
    outside(source=SOURCE, what=what, printed=printed, ours=ours, unit=unit, within=within, kind="common practice")


def test_a_six_inch_timber_is_laid_out_three_and_an_eighth_each_way(outside: Outside, plan) -> None:
    for marks in end_marks(plan.placement):
        told(outside, f"{marks.end}: up from the center line", printed=3.125, ours=marks.up_mm / INCH, within=1e-3)
        told(outside, f"{marks.end}: down from the center line", printed=3.125, ours=marks.down_mm / INCH, within=1e-3)
    told(
        outside,
        "over all, 6 in and 1/8 in on each of two faces",
        printed=6.25,
        ours=plan.placement.timber.cut_thickness_mm / INCH,
    )


def test_settings_of_both_passes(outside: Outside, plan) -> None:
    told(
        outside,
        "first setting: bearers 9 in above the line, rail 3 1/8 in, kerf 3/8 in",
        printed=11.75,
        ours=plan.passes[0].setting_mm / INCH,
    )
    told(outside, "second setting, riding on the sawn face", printed=6.25, ours=plan.passes[1].setting_mm / INCH)
    outside(
        source=SOURCE,
        what="what the second pass rides on",
        printed="top",
        ours=plan.passes[1].rides_on,
        kind="common practice",
    )


def test_bearers_of_a_log_of_21_feet_stand_seven_feet_apart(outside: Outside, plan) -> None:
    run = plan.stacks[0].run
    told(outside, "bearers on a log of 21 ft", printed=4, ours=len(run.stations_mm), unit="")
    told(outside, "first bearer, from the butt", printed=0.0, ours=run.stations_mm[0] / FOOT, unit="ft")
    told(outside, "last bearer, from the butt", printed=21.0, ours=run.stations_mm[-1] / FOOT, unit="ft")
    for number, (one, other) in enumerate(itertools.pairwise(run.stations_mm), start=1):
        told(
            outside,
            f"bearers {number} and {number + 1}, apart",
            printed=7.0,
            ours=(other - one) / FOOT,
            unit="ft",
        )


def test_bases_and_posts(outside: Outside, plan) -> None:
    kit = read_kit(None)
    told(outside, "base of a bearer, across", printed=5.5, ours=plan.stacks[0].bearers[0].flat_width_mm / INCH)
    told(outside, "taper of a post, each side", printed=5.0, ours=kit.bearers.post_taper_deg, unit="deg")
    heights = [bearer.height_mm for bearer in plan.stacks[0].bearers]
    outside(
        source=SOURCE,
        what="a post stands lower above its base at the butt than at the tip",
        printed=True,
        ours=heights[0] < heights[-1] and heights == sorted(heights),
        kind="common practice",
    )


def test_a_rail_of_ten_feet_is_moved_along_and_ends_past_the_log(outside: Outside, plan) -> None:
    places = plan.stacks[0].rail
    told(outside, "length of the rail", printed=10.0, ours=(places[0].end_mm - places[0].start_mm) / FOOT, unit="ft")
    moved = all(one.start_mm < other.start_mm for one, other in itertools.pairwise(places))
    foot = read_kit(None).mill.footprint_mm
    for what, ours in (
        ("a rail of 10 ft is moved along a log of 21 ft", moved and len(places) > 1),
        ("it starts before the butt by the length of the mill", places[0].start_mm <= -foot + EXACT),
        ("it ends past the tip by the length of the mill", places[-1].end_mm >= 21 * FOOT + foot - EXACT),
    ):
        outside(source=SOURCE, what=what, printed=True, ours=ours, kind="common practice")


def test_the_crown_is_laid_to_the_side_for_the_first_two_faces(outside: Outside) -> None:
    log = round_log(400.0, 5_000.0, tip_mm=360.0, crown_mm=45.0, crown_clock=1.0)
    placed = place(log, Timber(150.0, 200.0, sawn_faces=2), roll="crown-side", against_best=False)
    outside(
        source=SOURCE,
        what="a crown at 1 o'clock is rolled to the side, two hours",
        printed=60.0,
        ours=placed.roll_deg,
        unit="deg",
        within=EXACT,
        kind="common practice",
    )
