"""Patterns of kits that reach less far: only passes they can make, or a sentence that says why there are none.

Logs, list and kits are invented. Limits are the kit's own numbers; nothing is compared with another program.
"""

import itertools
import math
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.fit import Timber
from pithline.logs import TallyLog, solid_from_tally
from pithline.patterns import PriceList, WantedBoard, WantedTimber, best_patterns, pattern_faults
from strategies import FOOT, INCH, KIT, altered, generated


def wanted(name, across, up, *, count=None, value=1.5, **rules):
    """A timber of a list, in inches."""
    return WantedTimber(name, Timber(up * INCH, across * INCH, **rules), count=count, value_bf=value)


PRICES = PriceList(
    (
        wanted("beam", 8, 7, count=1, value=2.0, heart="boxed"),
        wanted("post", 6, 5, count=2),
        wanted("joist", 7, 3, count=4),
        wanted("stud", 4, 2, value=1.1, length_mm=8 * FOOT),
    ),
    (WantedBoard("board", INCH, 4 * INCH, 4 * FOOT, 0.7), WantedBoard("plank", 2 * INCH, 5 * INCH, 4 * FOOT, 0.8)),
)


def log(tip, length, *, bark=8.0):
    """A crooked log under its bark, its tip in inches and its length in feet."""
    sizes = (length * FOOT, (tip + 0.1 * length) * INCH, tip * INCH)
    return solid_from_tally(TallyLog("log", "spruce", *sizes, bark_mm=bark, crown_mm=0.5 * INCH, crown_clock=2.4))


LOGS = {"thin": log(9, 9), "middling": log(12, 10), "long": log(12, 17), "thick": log(16, 12), "very thick": log(22, 9)}

REACHES = altered(altered(KIT, "bearers", base_width_mm=60.0), "work", cost_an_hour=5.0)
LOW = altered(altered(REACHES, "rail", thickness_mm=1.5 * INCH), "bearers", height_min_mm=2 * INCH)
"""A thin rail on low bearers, so that the mill need not set deep over it."""

KITS = {
    "all": REACHES,
    "bar of 10 in": altered(REACHES, "mill", cut_width_mm=10 * INCH),
    "bar of 13 in": altered(REACHES, "mill", cut_width_mm=13 * INCH),
    "sets 9 in": altered(REACHES, "mill", setting_max_mm=9 * INCH),
    "sets 7 in": altered(REACHES, "mill", setting_max_mm=7 * INCH),
    "sets 7 in, low rail": altered(LOW, "mill", setting_max_mm=7 * INCH),
    "sets 9 in, low rail": altered(LOW, "mill", setting_max_mm=9 * INCH),
    "sets no board": altered(REACHES, "mill", setting_min_mm=2.2 * INCH),
    "short rail": altered(REACHES, "rail", length_mm=40 * INCH),
    "rail of 4 ft": altered(REACHES, "rail", length_mm=4 * FOOT),
    "two bearers": altered(REACHES, "bearers", count=2.0),
    "three bearers": altered(REACHES, "bearers", count=3.0),
    "tall bearers": altered(REACHES, "bearers", height_min_mm=12 * INCH),
    "broad bearers": altered(REACHES, "bearers", base_width_mm=9 * INCH),
}


@cache
def ways(kit, name):
    """What a kit makes of a log."""
    return best_patterns(LOGS[name], PRICES, kit=KITS[kit])


def assert_made_with(pattern, kit):
    """Every pass, every stand and every rail is within what the kit has."""
    mill, bark = kit.mill, pattern.log.bark_mm or 0.0
    for position in pattern.positions:
        # In the round the bar must reach past the bark on both sides.
        most = mill.cut_width_mm - (2.0 * bark if position.within_mm is None else 0.0)
        for cut in position.cuts:
            assert cut.widest_mm <= most + 1e-6
            assert mill.setting_min_mm - 1e-6 <= cut.setting_mm <= mill.setting_max_mm + 1e-6
        if position.stand is None:
            assert all(cut.rides_on == "face" for cut in position.cuts)
            continue
        stand = position.stand
        assert len(stand.bearers) == len(stand.run.stations_mm) <= kit.bearers.count
        assert stand.run.sag_mm <= kit.rail.sag_limit_mm + 1e-9
        for bearer in stand.bearers:
            assert kit.bearers.height_min_mm - 1e-6 <= bearer.height_mm <= kit.bearers.height_max_mm + 1e-6
        reached = 0.0
        for rail in stand.rail:
            assert rail.end_mm - rail.start_mm <= kit.rail.length_mm + 1e-6
            first, last = (stand.run.stations_mm[number] for number in rail.bearers)
            assert rail.start_mm - 1e-6 <= first < last <= rail.end_mm + 1e-6
            assert rail.saw_from_mm <= reached + 1e-6
            reached = rail.saw_to_mm
        assert reached >= position.log.length_mm - 1e-6
        steps = stand.datum_mm / kit.datum_step_mm
        assert steps == pytest.approx(round(steps))


@pytest.mark.parametrize("name", LOGS)
@pytest.mark.parametrize("kit", KITS)
def test_only_passes_that_the_kit_can_make(kit, name) -> None:
    found = ways(kit, name)
    assert bool(found.patterns) != bool(found.why)
    for pattern in found.patterns:
        assert_made_with(pattern, KITS[kit])
        assert not pattern_faults(pattern, PRICES)
        for piece in pattern.pieces:
            assert min(piece.thickness_mm, piece.width_mm) >= KITS[kit].mill.setting_min_mm or piece.kind == "board"
            assert piece.thickness_mm >= KITS[kit].mill.setting_min_mm - 1e-6
    if found.why:
        assert found.why.startswith(found.log.tag)
        assert found.why.endswith(".")


def test_what_each_kit_makes() -> None:
    # Frozen: which logs each kit gets something out of.
    every = set(LOGS)
    some = {kit: {name for name in LOGS if ways(kit, name).patterns} for kit in KITS}
    assert some["all"] == every
    assert some["bar of 10 in"] >= {"thin", "long"}
    assert "thick" not in some["bar of 10 in"]
    assert some["bar of 13 in"] >= {"thin", "middling", "long"}
    assert "very thick" not in some["bar of 13 in"]
    assert some["sets 9 in"] == some["sets 9 in, low rail"] == some["sets 7 in, low rail"] == every
    # 5 in of bearer and 3 1/8 in of rail less the kerf are 7 3/4 in; 12 in of bearer are more than 13 in with the rail.
    assert not some["sets 7 in"]
    assert not some["tall bearers"]
    assert not some["short rail"]
    assert not some["two bearers"]
    assert some["rail of 4 ft"] >= {"thin", "middling"}
    assert some["sets no board"] == every


@pytest.mark.parametrize("name", LOGS)
@pytest.mark.parametrize("kit", [kit for kit in KITS if "low rail" not in kit])
def test_a_kit_that_reaches_less_makes_no_more(kit, name) -> None:
    # What the lesser kit makes the other could make too. Its search is coarse, so that a hundredth may be missed.
    if ways(kit, name).patterns:
        assert ways(kit, name).patterns[0].net <= 1.01 * ways("all", name).patterns[0].net


def test_a_short_bar_leaves_the_thick_part_of_a_log_alone() -> None:
    # A butt of 13.7 in and a bar of 10 in: the part that is sawn lies toward the tip.
    for pattern in ways("bar of 10 in", "long").patterns:
        for part in pattern.parts:
            assert part.start_mm > 0.0


def test_a_short_bar_takes_the_tip_where_the_butt_is_too_thick() -> None:
    # The last 8 ft of a log of 10 ft whose butt is too thick for the bar: alone they give a timber, and boards.
    def cone(length, butt):
        return solid_from_tally(TallyLog("cone", "spruce", length * FOOT, butt * INCH, 12 * INCH, bark_mm=8.0))

    kit = KITS["bar of 10 in"]
    alone = best_patterns(cone(8, 12.8), PRICES, kit=kit).patterns[0]
    whole = best_patterns(cone(10, 13.0), PRICES, kit=kit)
    assert whole.patterns, whole.why
    assert whole.patterns[0].net >= alone.net - kit.work.cost_an_hour / 60.0 * kit.work.buck_min - 0.01 * alone.net


def test_a_shallow_mill_saws_no_cant_higher_than_it_sets() -> None:
    for name in LOGS:
        for pattern in ways("sets 7 in, low rail", name).patterns:
            for position in pattern.positions:
                lines = sorted(cut.line_mm for cut in position.cuts)
                gaps = [high - low for low, high in itertools.pairwise(lines)]
                assert all(gap - KIT.saw.kerf_mm <= 7 * INCH + 1e-6 for gap in gaps)


def test_a_mill_that_sets_no_board_saws_none() -> None:
    for name in LOGS:
        assert not any(pattern.boards for pattern in ways("sets no board", name).patterns)
    assert any(pattern.boards for pattern in ways("all", "middling").patterns)


@pytest.mark.parametrize(
    ("kit", "named"),
    [("short rail", "bearers.count"), ("two bearers", "bearers.count")],
)
@pytest.mark.parametrize("name", LOGS)
def test_too_few_bearers_are_told(kit, named, name) -> None:
    found = ways(kit, name)
    assert "the kit cannot saw it" in found.why
    assert named in found.why
    assert f"{KITS[kit].bearers.count:.0f}" in found.why


@pytest.mark.parametrize(
    ("kit", "name", "named"),
    [("sets 7 in", "thick", "mill"), ("tall bearers", "thick", "bearers"), ("bar of 10 in", "thick", "mill")],
)
def test_where_the_kit_is_in_the_way_the_sentence_does_not_blame_the_log(kit, name, named) -> None:
    # The thick log holds every timber of the list, and the full kit saws it.
    assert ways("all", name).patterns
    why = ways(kit, name).why
    assert named in why, why


@st.composite
def lesser_kits(draw):
    """A kit that falls short somewhere."""
    kit = altered(
        REACHES,
        "mill",
        cut_width_mm=draw(st.floats(6.0, 22.0)) * INCH,
        setting_max_mm=draw(st.floats(3.0, 13.0)) * INCH,
        setting_min_mm=draw(st.floats(0.3, 2.0)) * INCH,
    )
    kit = altered(
        kit, "rail", length_mm=draw(st.floats(3.1, 14.0)) * FOOT, thickness_mm=draw(st.floats(1.0, 4.0)) * INCH
    )
    low = draw(st.floats(1.0, 7.0)) * INCH
    return altered(
        kit,
        "bearers",
        count=float(draw(st.integers(2, 8))),
        height_min_mm=low,
        height_max_mm=low + draw(st.floats(0.5, 12.0)) * INCH,
        base_width_mm=draw(st.floats(1.0, 8.0)) * INCH,
    )


@generated(120)
@given(kit=lesser_kits(), name=st.sampled_from(sorted(LOGS)), relieve=st.booleans())
def test_any_kit_gives_ways_it_can_go_or_a_reason(kit, name, relieve) -> None:
    found = best_patterns(LOGS[name], PRICES, kit=kit, relieve=relieve)
    assert bool(found.patterns) != bool(found.why)
    for pattern in found.patterns:
        assert_made_with(pattern, kit)
        assert math.isfinite(pattern.net)
