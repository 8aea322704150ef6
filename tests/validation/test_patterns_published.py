"""Patterns against what is printed of recovery, kerf, squaring and a log rule.

Sources (tests/data/published/sawing_yields.md tells more):
E. Wengert, note on kerf thickness and yield, a worked example of a stack of 12 boards;
Hallock 1962, Forest Products Laboratory Report 2254, lumber gained by a thinner kerf;
Muthike et al., Kenya Forestry Research Institute, recovery with a guide frame and free hand;
Ogunsanwo, Adeleye and Anjah, recovery of 90 logs sawn by chain saw in Nigeria;
Laslett, Timber and Timber Trees, calipers and sidings of squared oak;
Michigan Compiled Laws 290.401, International 1/4-inch rule (tests/validation/test_log_rules.py holds it against print).

What was measured depends on logs, sizes wanted and hands that the sources do not tell, so those comparisons are bands.
All logs here are invented.
"""

import math
from functools import cache

import numpy as np
import pytest

from conftest import Outside
from pithline.fit import Timber
from pithline.logs import TallyLog, solid_from_tally
from pithline.logs.rules import log_rule
from pithline.patterns import PriceList, WantedBoard, WantedTimber, best_patterns
from published import table
from strategies import FOOT, INCH, KIT, altered

PRINTED = {row["id"]: row["printed"] for row in table("sawing_yields")}
KEFRI = "Muthike et al., Kenya Forestry Research Institute, 4th scientific conference (abstract)"
NIGERIA = "Ogunsanwo, Adeleye and Anjah, Technical efficiency of chain sawmilling in Ogun State (abstract)"
HALLOCK = "Hallock 1962, Forest Products Laboratory Report 2254 (summary)"
WENGERT = "E. Wengert, note on kerf thickness and yield, 12 boards of 1 1/8 in"
LASLETT = "Laslett, Timber and Timber Trees, calipers and sidings"
INTERNATIONAL = "International 1/4-inch rule, Michigan Compiled Laws 290.401, unrounded"

DIAMETERS = range(8, 25, 2)
NOTHING = 0.01
"""An hour that costs next to nothing, so that the most lumber is the best."""


def kit(*, kerf, hour):
    """A kit that reaches around every log here: what is sawn is told by kerf and hours alone."""
    far = altered(KIT, "mill", cut_width_mm=36 * INCH, setting_min_mm=0.25 * INCH, setting_max_mm=36 * INCH)
    far = altered(far, "bearers", base_width_mm=60.0, height_max_mm=36 * INCH, count=12.0)
    return altered(altered(far, "saw", kerf_mm=kerf * INCH), "work", cost_an_hour=hour)


def log(tip, length, *, taper=0.125, crown=0.0):
    """A round log, its tip in inches and its length in feet; taper in inches a foot, crown a share of the tip."""
    sizes = (length * FOOT, (tip + taper * length) * INCH, tip * INCH)
    more = {"crown_mm": crown * tip * INCH, "crown_clock": 2.0} if crown else {}
    return solid_from_tally(TallyLog("invented", "spruce", *sizes, bark_mm=0.0, **more))


def boards(thickness, least_width, least_length, *, value=1.0):
    """A board of a list, in inches and feet."""
    return WantedBoard("board", thickness * INCH, least_width * INCH, least_length * FOOT, value)


def stick(across, up, **more):
    """A timber of a list, in inches."""
    return WantedTimber("stick", Timber(up * INCH, across * INCH, **more), count=1, value_bf=1.6)


@pytest.mark.parametrize(("name", "kerf", "least"), [("9_32", 9 / 32, 16.5), ("5_32", 5 / 32, 18.0)])
def test_a_stack_of_twelve_boards_is_as_high_as_printed(outside: Outside, name, kerf, least) -> None:
    # 24 in across, and boards so wide that a thirteenth does not come out.
    found = best_patterns(
        log(24, 8, taper=0.0), PriceList((), (boards(1.125, least, 8),)), kit=kit(kerf=kerf, hour=NOTHING)
    )
    way = found.patterns[0]
    assert len(way.boards) == 12
    assert len(way.cuts) == 13
    lines = [cut.line_mm for cut in way.cuts]
    # From the face of the first pass to the top of the last kerf: twelve boards and eleven kerfs.
    height = (lines[0] - (lines[-1] + kerf * INCH)) / INCH
    kerfs = f"a kerf of {name.replace('_', '/')} in"
    for what, printed, more in (
        (f"stack with {kerfs}", PRINTED[f"stack_{name}"], {"kind": "published"}),
        (f"12 x 1 1/8 + 11 x {kerfs}, exactly", 13.5 + 11.0 * kerf, {"kind": "analytic", "within": 1e-6}),
    ):
        outside(source=WENGERT, what=what, printed=printed, ours=height, unit="in", **more)


def test_one_square_timber_is_two_parts_in_pi_of_a_round_log(outside: Outside) -> None:
    whole, side = log(15.3, 9, taper=0.0), 15.3 / math.sqrt(2.0)
    tight = kit(kerf=0.375, hour=NOTHING)
    full = best_patterns(whole, PriceList((stick(0.999 * side, 0.999 * side),), ()), kit=tight)
    outside(
        source="Geometry: a square in a circle takes 2/pi of it",
        what="one square timber out of a straight round log, a thousandth short each way",
        printed=100.0 * 2.0 / math.pi,
        ours=100.0 * full.patterns[0].recovery,
        unit="%",
        # (1 - 0.999^2) of it.
        within=0.13,
        kind="analytic",
    )
    more = best_patterns(whole, PriceList((stick(1.0005 * side, 1.0005 * side),), ()), kit=tight)
    assert not more.patterns
    assert more.why


def largest_square(diameter):
    """Side of the largest square stick that comes out of a straight round log, in half inches."""
    tight = kit(kerf=0.375, hour=NOTHING)
    whole = log(diameter, 8, taper=0.0)
    sides = [0.5 * halves for halves in range(diameter, 2 * diameter)]
    good = [side for side in sides if best_patterns(whole, PriceList((stick(side, side),), ()), kit=tight).patterns]
    assert good == sides[: len(good)]
    assert len(good) < len(sides)
    return good[-1]


@pytest.mark.parametrize("caliper", [30, 18])
def test_a_squared_stick_is_as_large_as_the_old_table_has_it(outside: Outside, caliper) -> None:
    outside(
        source=LASLETT,
        what=f"siding from a caliper of {caliper} in, in half inches",
        printed=PRINTED[f"siding_{caliper}"],
        ours=largest_square(caliper),
        unit="in",
        kind="published",
    )


def test_the_old_table_has_one_siding_that_no_log_holds(outside: Outside) -> None:
    outside(
        source=LASLETT,
        what="siding from a caliper of 24 in, in half inches",
        printed=PRINTED["siding_24"],
        ours=largest_square(24),
        unit="in",
        within=2.0,
        why="printed 18.5 is more than the 17.0 that a circle of 24 in holds: a slip; its neighbors say 16.5, as we do",
        kind="published",
    )


def over_bark(way):
    """Recovery of the log with its bark, in percent; bark the smaller of two printed shares that may be swapped."""
    return 100.0 * way.recovery * (1.0 - float(PRINTED["bark"]) / 100.0)


@cache
def recoveries():
    """Recovery of each kind of sawing, by diameter."""
    found = {"boards": {}, "one timber": {}, "timber and boards": {}}
    inch = boards(1.0, 4, 4, value=0.7)
    for tip in DIAMETERS:
        whole = log(tip, 12, crown=0.05)
        beam = stick(math.floor(0.66 * tip), math.floor(0.66 * tip) - 1, heart="boxed", heart_margin_mm=12.0)
        for name, listed, hour in (
            ("boards", PriceList((), (inch,)), 5.0),
            ("one timber", PriceList((beam,), ()), 20.0),
            ("timber and boards", PriceList((beam,), (inch,)), 20.0),
        ):
            found[name][tip] = over_bark(best_patterns(whole, listed, kit=kit(kerf=0.375, hour=hour)).patterns[0])
    return found


@pytest.mark.parametrize("name", ["boards", "one timber"])
def test_recovery_lies_where_that_of_ninety_logs_lay(outside: Outside, name) -> None:
    for tip, share in recoveries()[name].items():
        outside(
            source=NIGERIA,
            what=f"{name} out of a log of {tip} in: within the least and the most of one log",
            printed=True,
            ours=float(PRINTED["least"]) <= share <= float(PRINTED["most"]),
            kind="published",
        )


def test_the_most_that_is_recovered_is_hardly_more_than_was_measured(outside: Outside) -> None:
    found = recoveries()["timber and boards"]
    assert min(found.values()) > float(PRINTED["least"])
    outside(
        source=NIGERIA,
        what="timber and boards, the most of logs of 8 to 24 in",
        printed=PRINTED["most"],
        ours=max(found.values()),
        unit="%",
        within=3.0,
        why="ours is sawn to the sixteenth, in sound logs, without wander or spare thickness; sizes are not told",
        kind="published",
    )


def test_recovery_is_about_that_of_a_guide_frame(outside: Outside) -> None:
    found = recoveries()["timber and boards"]
    outside(
        source=KEFRI,
        what="timber and boards, mean of logs of 8 to 24 in",
        printed=PRINTED["guided"],
        ours=float(np.mean(list(found.values()))),
        unit="%",
        within=5.0,
        why="neither the sizes of the farm's logs nor what was sawn from them is told",
        kind="published",
    )
    outside(
        source=KEFRI,
        what="timber and boards, mean of logs of 8 to 24 in: above free hand",
        printed=True,
        ours=float(np.mean(list(found.values()))) > float(PRINTED["free_hand"]),
        kind="published",
    )


@cache
def gains(length):
    """More lumber with a kerf of 9/32 in than with 12/32 in, in percent, by diameter."""
    listed = PriceList((), (boards(1.0, 3, 4),))
    found = {}
    for tip in np.arange(5.5, 12.01, 0.5):
        wide, thin = (
            max(way.bf for way in best_patterns(log(tip, length), listed, kit=kit(kerf=kerf, hour=NOTHING)).patterns)
            for kerf in (12 / 32, 9 / 32)
        )
        found[float(tip)] = 100.0 * (thin / wide - 1.0)
    return found


@pytest.mark.parametrize("length", [8, 12, 16])
def test_a_thinner_kerf_gives_as_much_more_lumber_as_printed(outside: Outside, length) -> None:
    found = gains(length)
    for tip, gain in found.items():
        outside(
            source=HALLOCK,
            what=f"log of {tip:g} in and {length} ft: more lumber, within 0 and 33 %",
            printed=True,
            ours=float(PRINTED["gain_least"]) <= gain <= float(PRINTED["gain_most"]),
            kind="published",
        )
    outside(
        source=HALLOCK,
        what=f"mean of logs of 5.5 to 12 in and {length} ft, boards of 1 in",
        printed=PRINTED["gain_mean"],
        ours=float(np.mean(list(found.values()))),
        unit="%",
        within=1.0,
        why="printed: just over 7; what was sawn from the 300 modeled logs is not told in the summary",
        kind="published",
    )


def without_edging(diameter, length):
    """The rule's board feet with nothing taken for slabs and edgings: 0.22 d^2 a section, for a kerf of 1/4 in."""
    return 0.904762 * sum(0.22 * (diameter + 0.5 * k) ** 2 for k in range(length // 4))


@pytest.mark.parametrize("diameter", DIAMETERS)
def test_boards_come_out_as_the_international_rule_expects(outside: Outside, diameter) -> None:
    # The rule reckons boards 1 in thick when dry, cut 1 1/16 in, none under 3 in and 2 ft, and takes 0.71 d a section
    # for slabs, edgings and some crook (the last from memory). A straight log sawn to the sixteenth should lose less
    # than that, but not less than two thirds of it.
    way = max(
        best_patterns(
            log(diameter, 16), PriceList((), (boards(17 / 16, 3, 2),)), kit=kit(kerf=0.25, hour=NOTHING)
        ).patterns,
        key=lambda way: way.bf,
    )
    ours = sum(board.width_mm * board.length_mm for board in way.boards) / (144.0 * INCH**2)
    rule = float(log_rule("international").unrounded_bf(diameter, 16))
    allowed = without_edging(diameter, 16) - rule
    assert rule < ours < rule + allowed / 3.0
    outside(
        source=INTERNATIONAL,
        what=f"straight log of {diameter} in and 16 ft, 1/2 in of taper in 4 ft, all boards",
        printed=f"{rule:.1f}",
        ours=ours,
        unit="bf",
        within=allowed / 3.0,
        why="allowed is a third of what the rule takes for slabs, edgings and crook",
        kind="published",
    )
