"""What comes nearest where nothing fits: figures of cylinders and arcs worked out apart."""

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.fit import Timber, place
from pithline.logs import TallyLog, solid_from_tally
from pithline.match.nearest import nearest_log, nearest_timber, needs_of
from pithline.patterns import PriceList, WantedTimber
from pithline.wood.cutsize import Wanted, cut_size
from pithline.wood.species import find_species
from strategies import FACE_SHARE, KIT, altered, generated, round_log

LONG = 3_400.0

NARROW = altered(KIT, "mill", cut_width_mm=110.0)

SOLVED_MM = 0.11
"""How far a clearance may lie under the best there is: a tenth for the proof, and a hair."""


def tagged(tag, diameter_mm, length_mm=LONG, *, species="eastern white pine", **more):
    return replace(round_log(diameter_mm, length_mm, **more), tag=tag, species=species)


def beam(thick=150.0, wide=190.0, long=LONG, *, name="plate", species=(), wanted=None, count=2, **rules):
    return WantedTimber(name, Timber(thick, wide, long, **rules), count=count, species=species, wanted=wanted)


def nearest(item, *yard, kit=KIT, used=None, only=None):
    return nearest_log(item, yard, kit=kit, used=used or {}, only=only)


def faces(diameter_mm):
    """What the polygon in a circle of this diameter may cost of it."""
    return FACE_SHARE * diameter_mm


# The smallest log that would do.


@pytest.mark.parametrize(("thick", "wide"), [(150.0, 150.0), (150.0, 190.0), (88.0, 263.0)])
def test_a_cylinder_need_be_no_thicker_than_the_diagonal(thick, wide):
    # Derived apart: a rectangle in a circle has the diameter for its diagonal.
    needs = needs_of(beam(thick, wide), [tagged("A", 300.0, 4_100.0)], kit=KIT)
    diagonal = math.hypot(thick, wide)
    assert diagonal <= needs.tip_diameter_mm <= diagonal + faces(diagonal) + 1.01
    assert needs.tip_diameter_mm == needs.butt_diameter_mm == int(needs.tip_diameter_mm)
    assert (needs.length_mm, needs.taper_mm_m, needs.crown_mm, needs.species) == (LONG, 0.0, 0.0, ())


def test_with_taper_and_no_crown_the_tip_alone_decides():
    yard = [tagged("A", 340.0, 4_000.0, tip_mm=300.0), tagged("B", 260.0, 2_000.0, tip_mm=230.0)]
    yard.append(tagged("C", 300.0, 3_000.0, tip_mm=250.0))
    needs = needs_of(beam(), yard, kit=KIT)
    # By hand: tapers of 10, 15 and 16.67 mm/m; the middle one is the median.
    assert needs.taper_mm_m == pytest.approx(15.0)
    assert needs.tip_diameter_mm == needs_of(beam(), [tagged("A", 300.0)], kit=KIT).tip_diameter_mm
    assert needs.butt_diameter_mm == pytest.approx(needs.tip_diameter_mm + 15.0 * LONG / 1000.0)


@pytest.mark.parametrize("side", [140.0, 175.0])
def test_a_crown_costs_half_of_itself_each_way_of_the_straight_axis(side):
    # Derived apart: the best line lies half a crown off the string, so a square with its diagonal along the crown needs
    # its diagonal plus the crown, and less where it need not stand so.
    yard = [tagged("A", 400.0, 2_000.0, crown_mm=10.0), tagged("B", 400.0, 4_000.0, crown_mm=40.0)]
    needs = needs_of(beam(side, side, 4_000.0), yard, kit=KIT)
    # Both bend alike: crown over length squared is 2.5 mm/m2.
    assert needs.crown_mm == pytest.approx(40.0)
    # The square's sides square to the crown: corners at (a, a + c / 2), a = side / 2.
    level = 2.0 * math.hypot(0.5 * side, 0.5 * side + 20.0)
    expected = min(level, side * math.sqrt(2.0) + 40.0)
    assert needs.tip_diameter_mm == pytest.approx(expected, abs=faces(expected) + 1.0)


def test_wane_makes_do_with_a_smaller_log():
    # Derived apart: with 20 mm missing along both faces the outermost points are (75, 95 - 20) and (75 - 20, 95).
    needs = needs_of(beam(wane_mm=20.0), [tagged("A", 300.0)], kit=KIT)
    across = 2.0 * max(math.hypot(75.0, 75.0), math.hypot(55.0, 95.0))
    assert across <= needs.tip_diameter_mm <= across + faces(across) + 1.01
    assert needs.tip_diameter_mm < math.hypot(150.0, 190.0)


def test_a_timber_free_of_heart_needs_a_log_about_twice_as_thick():
    # Derived apart: it begins 10 mm beside the pith; its outer corners lie at (10 + 80, 110 / 2) or (10 + 110, 80 / 2).
    item = beam(80.0, 110.0, heart="free", heart_margin_mm=10.0)
    needs = needs_of(item, [tagged("A", 300.0)], kit=KIT)
    across = 2.0 * min(math.hypot(90.0, 55.0), math.hypot(120.0, 40.0))
    assert across <= needs.tip_diameter_mm <= across + faces(across) + 1.01


def test_without_a_yard_a_usual_taper_is_taken():
    needs = needs_of(beam(species=("red oak",)), [], kit=KIT)
    # Published: 0.4 to 0.6 in in 4 ft, by hand 8.3 to 12.5 mm/m.
    assert 8.3 <= needs.taper_mm_m <= 12.5
    assert (needs.crown_mm, needs.species) == (0.0, ("red oak",))
    assert needs.tip_diameter_mm == pytest.approx(math.hypot(150.0, 190.0), abs=1.3)


def test_a_timber_as_long_as_its_log_needs_eight_feet_and_a_block_no_less_than_a_log():
    assert needs_of(beam(long=None), [], kit=KIT).length_mm == pytest.approx(8 * 304.8)
    assert needs_of(beam(long=120.0), [], kit=KIT).length_mm == 300.0


def test_logs_thicker_at_the_tip_are_taken_for_cylinders():
    swelling = solid_from_tally(TallyLog("A", "pine", 4_000.0, 300.0, 306.0))
    assert needs_of(beam(), [swelling], kit=KIT).taper_mm_m == 0.0


def test_where_no_log_does_that_is_said():
    # Derived apart: the diagonal is 1556 mm; and in an arc of 10 mm/m2 a line of 20 m lies 2 m off each end.
    assert math.isnan(needs_of(beam(1_100.0, 1_100.0), [], kit=KIT).tip_diameter_mm)
    bent = [tagged("A", 400.0, 2_000.0, crown_mm=40.0)]
    assert math.isnan(needs_of(beam(long=20_000.0), bent, kit=KIT).tip_diameter_mm)
    # A pith that bows 202.5 mm stays in no timber of 150 mm, 176 mm from corner to corner less its margins.
    boxed = needs_of(beam(150.0, 150.0, 4_500.0, heart="boxed"), bent, kit=KIT)
    assert boxed.crown_mm == pytest.approx(202.5)
    assert math.isnan(boxed.tip_diameter_mm)
    assert math.isnan(boxed.butt_diameter_mm)


def test_a_finished_size_is_cut_for_the_species_that_takes_most():
    wanted = Wanted(150.0, 190.0, 0.12)
    item = beam(wanted=wanted)
    yard = [tagged("A", 300.0), tagged("B", 300.0, species="white oak"), tagged("C", 300.0, species="driftwood")]

    def diagonal(name):
        cut = cut_size(wanted, find_species(name))
        return math.hypot(cut.thickness.cut_mm, cut.width.cut_mm)

    pine, oak = diagonal("eastern white pine"), diagonal("white oak")
    assert oak > pine + 2.0
    assert needs_of(item, yard, kit=KIT).tip_diameter_mm == pytest.approx(oak, abs=1.3)
    asked = replace(item, species=("eastern white pine",))
    assert needs_of(asked, yard, kit=KIT).tip_diameter_mm == pytest.approx(pine, abs=1.3)
    assert math.isnan(needs_of(item, yard[2:], kit=KIT).tip_diameter_mm)


@generated(12)
@given(
    st.floats(60.0, 240.0),
    st.floats(60.0, 240.0),
    st.floats(1_500.0, 7_000.0),
    st.floats(0.0, 4.0),
    st.floats(0.0, 16.0),
    st.sampled_from(["any", "boxed"]),
)
def test_the_log_that_would_do_does_and_one_a_millimeter_thinner_does_not(thick, wide, long, bend, taper, heart):
    crown = bend * 2.5**2
    yard = [tagged("A", 350.0, 2_500.0, tip_mm=350.0 - 2.5 * taper, crown_mm=crown)]
    item = beam(thick, wide, long, heart=heart, heart_margin_mm=5.0)
    needs = needs_of(item, yard, kit=KIT)
    # A timber boxes its heart where the pith's bow is no more than from corner to corner of it, less the margins.
    bowed = heart == "boxed" and needs.crown_mm > math.hypot(thick - 10.0, wide - 10.0)
    assert math.isnan(needs.tip_diameter_mm) == bowed
    if bowed:
        return

    def fits(less):
        ends = (needs.butt_diameter_mm - less, needs.tip_diameter_mm - less)
        row = TallyLog("N", "pine", needs.length_mm, *ends, crown_mm=needs.crown_mm, crown_clock=4.2)
        return place(solid_from_tally(row), item.timber).fits

    assert fits(-0.5)
    assert not fits(1.5)


# The log that comes nearest.


def test_an_empty_yard_has_no_nearest_log():
    assert nearest(beam()) is None
    assert nearest(beam(), tagged("A", 300.0), only=["B"]) is None


def test_wood_is_missing_by_half_of_what_the_tip_is_under_the_diagonal():
    found = nearest(beam(), tagged("A", 200.0), tagged("B", 240.0, tip_mm=225.0), tagged("C", 220.0))
    diagonal = math.hypot(150.0, 190.0)
    assert (found.tag, found.lacks, found.tip_mm) == ("B", "wood", pytest.approx(225.0))
    assert found.missing_mm == pytest.approx(0.5 * (diagonal - 225.0), abs=0.5 * faces(diagonal) + SOLVED_MM)
    assert found.station_mm == LONG
    assert found.larger_tip_mm == pytest.approx(diagonal, abs=2.0 * faces(diagonal) + 0.3)
    assert (found.crown_takes_mm, found.used_for, found.short_mm) == (0.0, "", 0.0)


def test_what_the_crown_takes_is_the_room_of_the_same_log_straight():
    bowed = tagged("A", 210.0, crown_mm=30.0, crown_clock=4.4)
    found = nearest(beam(150.0, 150.0), bowed)
    # Derived apart: sides square to the crown, corners at (75, 75 + 15) in a circle of 105, straight at 75 sqrt 2.
    assert found.missing_mm == pytest.approx(math.hypot(75.0, 90.0) - 105.0, abs=0.3)
    assert found.crown_takes_mm == pytest.approx(math.hypot(75.0, 90.0) - math.hypot(75.0, 75.0), abs=0.3)
    assert (found.lacks, found.missing_mm > found.crown_takes_mm) == ("wood", True)


def test_a_log_too_short_lacks_its_very_length():
    found = nearest(beam(), tagged("A", 300.0, LONG - 87.5))
    assert (found.lacks, found.short_mm, found.missing_mm) == ("length", pytest.approx(87.5), 0.0)
    # Half a millimeter is within what a log is tallied to.
    assert nearest(beam(), tagged("A", 300.0, LONG - 0.4)).lacks == "nothing"


@pytest.mark.parametrize(("short", "tag"), [(200.0, "short"), (400.0, "thin")])
def test_a_foot_of_length_counts_as_an_inch_of_diameter(short, tag):
    # The thin log misses an inch of diameter, so a foot, 305 mm, parts the two.
    thin = tagged("thin", math.hypot(150.0, 190.0) - 25.4)
    assert nearest(beam(), tagged("short", 300.0, LONG - short), thin).tag == tag


def test_a_log_too_short_and_thin_is_further_off_than_one_too_short():
    yard = [tagged("both", 200.0, LONG - 90.0), tagged("short", 260.0, LONG - 100.0)]
    assert nearest(beam(), *yard).tag == "short"


def test_of_logs_that_hold_it_a_free_one_then_the_roomiest_is_told():
    yard = [tagged("A", 260.0), tagged("B", 290.0), tagged("C", 270.0)]
    assert nearest(beam(), *yard).tag == "B"
    found = nearest(beam(), *yard, used={"B": "2 ties"})
    assert (found.tag, found.lacks, found.used_for) == ("C", "nothing", "")
    found = nearest(beam(), *yard, used={"A": "1 sill", "B": "2 ties", "C": "4 braces"})
    assert (found.tag, found.lacks, found.used_for) == ("B", "nothing", "2 ties")
    assert nearest(beam(), *yard, only={"A"}).tag == "A"


def test_a_used_log_that_holds_it_goes_before_free_ones_that_do_not():
    yard = [tagged(f"thin {k}", 200.0 + k) for k in range(9)]
    found = nearest(beam(), *yard, tagged("Z", 280.0), used={"Z": "2 ties"})
    assert (found.tag, found.lacks, found.used_for) == ("Z", "nothing", "2 ties")


def test_a_free_log_goes_before_a_used_one_that_lacks_as_much():
    yard = [tagged("A", 220.8), tagged("B", 220.0)]
    assert nearest(beam(), *yard).tag == "A"
    assert nearest(beam(), *yard, used={"A": "2 ties"}).tag == "B"
    # Ten millimeters of diameter are not the same.
    assert nearest(beam(), tagged("A", 230.0), yard[1], used={"A": "2 ties"}).tag == "A"


def test_the_place_along_a_longer_log_counts_not_its_tip():
    # The tip of the long log is thinner, but its butt length is thicker.
    long = tagged("long", 330.0, 3.0 * LONG, tip_mm=180.0)
    plain = tagged("plain", 245.0)
    assert nearest(beam(), plain, long).tag == "long"


def test_a_heart_that_cannot_be_boxed_is_told_and_no_larger_tip():
    # Derived apart: a pith that bows 100 mm needs 50 mm each way of a line, a timber of 80 mm has 40 less its margin.
    found = nearest(beam(80.0, 80.0, heart="boxed", heart_margin_mm=5.0), tagged("A", 330.0, crown_mm=100.0))
    assert (found.tag, found.lacks, found.larger_tip_mm) == ("A", "heart", 0.0)
    straighter = tagged("B", 330.0, crown_mm=20.0)
    item = beam(80.0, 80.0, heart="boxed", heart_margin_mm=5.0)
    assert nearest(item, tagged("A", 330.0, crown_mm=100.0), straighter).tag == "B"


def test_a_heart_that_must_be_out_is_wood_that_is_missing():
    item = beam(80.0, 110.0, heart="free", heart_margin_mm=10.0)
    found = nearest(item, tagged("A", 190.0))
    across = 2.0 * math.hypot(90.0, 55.0)
    assert found.lacks == "wood"
    assert found.missing_mm == pytest.approx(0.5 * (across - 190.0), abs=0.5)


def test_a_kit_that_cannot_saw_it_is_told_in_its_own_words():
    found = nearest(beam(), tagged("A", 300.0), kit=NARROW)
    assert (found.tag, found.lacks, found.missing_mm) == ("A", "kit", 0.0)
    assert found.why.startswith("the kit cannot saw it")
    assert "mill.cut_width is" in found.why
    assert nearest(beam(), tagged("A", 300.0)).why == ""


def test_what_lies_in_a_log_by_a_hair_may_be_beyond_all_ways_to_saw():
    found = nearest(beam(150.0, 150.0), tagged("A", 150.0 * math.sqrt(2.0) + 0.1))
    assert (found.lacks, found.why) == ("kit", "the timber barely lies in it, and no way to saw it so was found.")


def test_logs_of_other_species_are_looked_at_only_where_there_is_no_other():
    item = beam(species=("white oak",))
    pine, oak = tagged("pine", 300.0), tagged("oak", 180.0, species="White Oak")
    assert (nearest(item, pine, oak).tag, nearest(item, pine, oak).lacks) == ("oak", "wood")
    found = nearest(item, tagged("thin", 190.0), pine, used={"pine": "2 ties"})
    assert (found.tag, found.lacks, found.used_for, found.why) == ("pine", "species", "2 ties", "")


def test_a_finished_size_is_cut_for_each_logs_species():
    wanted = Wanted(150.0, 190.0, 0.12)
    cut = cut_size(wanted, find_species("white oak"))
    across = math.hypot(cut.thickness.cut_mm, cut.width.cut_mm)
    found = nearest(beam(wanted=wanted), tagged("oak", across - 10.0, species="white oak"))
    assert found.missing_mm == pytest.approx(5.0, abs=0.5 * faces(across) + SOLVED_MM)
    found = nearest(beam(wanted=wanted), tagged("strange", 300.0, species="driftwood of no name"))
    assert (found.tag, found.lacks) == ("strange", "species")
    assert "what to cut for its finished size is not known" in found.why


def test_a_timber_that_is_done_is_looked_at_as_if_one_were_wanted():
    assert nearest(beam(count=0), tagged("A", 200.0)).lacks == "wood"


def test_a_timber_as_long_as_its_log_is_never_too_long():
    assert nearest(beam(long=None), tagged("A", 300.0, 1_200.0)).lacks == "nothing"


# The timber that comes nearest.


def test_of_a_list_the_timber_that_lacks_least_is_told():
    prices = PriceList((beam(), beam(120.0, 190.0, name="tie"), beam(40.0, 60.0, 9_000.0, name="brace", count=None)))
    name, found = nearest_timber(tagged("A", 210.0), prices, kit=KIT)
    across = math.hypot(120.0, 190.0)
    assert (name, found.tag, found.lacks, found.used_for) == ("tie", "A", "wood", "")
    assert found.missing_mm == pytest.approx(0.5 * (across - 210.0), abs=0.5 * faces(across) + SOLVED_MM)
    done = replace(prices, timbers=tuple(replace(item, count=0) for item in prices.timbers[:2]) + prices.timbers[2:])
    name, found = nearest_timber(tagged("A", 210.0), done, kit=KIT)
    assert (name, found.lacks, found.short_mm) == ("brace", "length", pytest.approx(9_000.0 - LONG))


def test_a_list_that_wants_nothing_has_no_nearest_timber():
    assert nearest_timber(tagged("A", 300.0), PriceList(), kit=KIT) is None
    assert nearest_timber(tagged("A", 300.0), PriceList((beam(count=0),)), kit=KIT) is None


def test_for_a_log_that_the_kit_refuses_or_of_another_species_that_is_told():
    name, found = nearest_timber(tagged("A", 300.0), PriceList((beam(),)), kit=NARROW)
    assert (name, found.lacks) == ("plate", "kit")
    oak = beam(200.0, 240.0, name="sill", species=("white oak",))
    assert nearest_timber(tagged("A", 250.0), PriceList((oak, beam(280.0, 280.0))), kit=KIT)[0] == "plate"
    name, found = nearest_timber(tagged("A", 250.0), PriceList((oak,)), kit=KIT)
    assert (name, found.lacks) == ("sill", "species")
