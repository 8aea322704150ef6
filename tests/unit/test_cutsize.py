"""The size to cut: terms that add up, chances that are what they say, and a timber that dries to its size.

Kind of what stands here: derived apart; the chance is held against SciPy's integration
and against drawn errors (kind: oracle).
"""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from pithline.errors import OutOfRangeError, UnknownValueError, WoodError
from pithline.wood.cutsize import Wanted, chance_within, cut_size, dry_size, margin_for
from pithline.wood.shrinkage import section_shrinkage
from pithline.wood.species import find_species, own_species, species_list
from strategies import generated

INCH = 25.4
KNOWN = tuple(species for species in species_list() if species.get("shrinkage_radial") is not None)
PLATE = Wanted(
    7.25 * INCH, 8.5 * INCH, 0.14, allowance_mm=3.2, sawn_faces=3, spread_mm=1.7, chance=0.9, step_mm=INCH / 8
)


@st.composite
def wishes(draw: st.DrawFn) -> Wanted:
    return Wanted(
        draw(st.floats(25.0, 400.0)),
        draw(st.floats(25.0, 400.0)),
        draw(st.floats(0.0, 0.30)),
        allowance_mm=draw(st.sampled_from([0.0, 3.2, 12.0])),
        sawn_faces=draw(st.sampled_from([2, 3, 4])),
        spread_mm=draw(st.sampled_from([0.0, 0.8, 2.5])),
        chance=draw(st.floats(0.5, 0.9999)),
        step_mm=draw(st.sampled_from([0.0, 1.0, INCH / 16, INCH / 4])),
    )


species_known = st.sampled_from(KNOWN)


@given(wanted=wishes(), species=species_known)
@generated(150)
def test_the_terms_add_up_and_none_is_below_nothing(wanted: Wanted, species) -> None:
    found = cut_size(wanted, species)
    for side, finished, sawn in (
        (found.thickness, wanted.thickness_mm, 2),
        (found.width, wanted.width_mm, wanted.sawn_faces - 2),
    ):
        terms = (side.finished_mm, side.shrinkage_mm, side.margin_mm, side.allowance_mm, side.rounding_mm)
        assert side.cut_mm == pytest.approx(math.fsum(terms), abs=1e-9)
        assert side.finished_mm == finished
        assert side.allowance_mm == sawn * wanted.allowance_mm
        assert side.green_mm == pytest.approx(side.finished_mm + side.shrinkage_mm, abs=1e-9)
        assert side.hewn_mm == pytest.approx(side.cut_mm - side.allowance_mm, abs=1e-9)
        # Rounding goes up, but for the thousandth of a step that counts as on it.
        assert -0.0011 * wanted.step_mm <= side.rounding_mm < max(wanted.step_mm, 1e-12)
        assert min(side.shrinkage_mm, side.margin_mm, side.doubt_mm) >= 0.0
        if wanted.step_mm:
            steps = side.cut_mm / wanted.step_mm
            assert steps == pytest.approx(round(steps), abs=1e-6)


def test_a_plate_worked_by_hand() -> None:
    """Eastern hemlock, 3.0 and 6.8 % in all: at 14 % a side shrinks by 1.6 to 3.6267 %."""
    hemlock = own_species("eastern hemlock", {"shrinkage_radial": 0.030, "shrinkage_tangential": 0.068})
    found = cut_size(replace(PLATE, spread_mm=0.0, step_mm=0.0, chance=0.75), hemlock)
    green = 0.5 * 184.15 * (1.0 / (1.0 - 0.036266667) + 1.0 / (1.0 - 0.016))
    half = 0.5 * 184.15 * (1.0 / (1.0 - 0.036266667) - 1.0 / (1.0 - 0.016))
    assert found.thickness.green_mm == pytest.approx(green, abs=1e-5)
    assert found.thickness.doubt_mm == pytest.approx(half, abs=1e-5)
    # With the shrinkage alone in doubt, three chances in four are reached half way up.
    assert found.thickness.margin_mm == pytest.approx(0.5 * half, abs=1e-6)
    assert found.thickness.cut_mm == pytest.approx(green + 0.5 * half + 6.4, abs=1e-5)
    assert found.width.allowance_mm == pytest.approx(3.2)
    assert found.species == "Eastern hemlock"


@given(wanted=wishes(), species=species_known)
@generated(60)
def test_an_even_chance_needs_no_margin(wanted: Wanted, species) -> None:
    found = cut_size(replace(wanted, chance=0.5), species)
    assert found.thickness.margin_mm == found.width.margin_mm == 0.0


@given(wanted=wishes(), species=species_known, chances=st.tuples(st.floats(0.5, 0.9999), st.floats(0.5, 0.9999)))
@generated(60)
def test_more_certainty_never_asks_for_less_wood(wanted: Wanted, species, chances) -> None:
    low, high = (cut_size(replace(wanted, chance=chance), species) for chance in sorted(chances))
    assert low.thickness.cut_mm <= high.thickness.cut_mm + 1e-9
    assert low.width.cut_mm <= high.width.cut_mm + 1e-9


@given(wanted=wishes(), species=species_known)
@generated(150)
def test_a_timber_cut_for_certain_dries_to_its_size_in_the_worst_direction(wanted: Wanted, species) -> None:
    """With no spread of the saw and nothing left to hew, the lesser of both dry sizes is the finished size.

    The middle of the shrinkage is not quite that of the green size, because 1 / (1 - S) is bent: what that takes is
    allowed, and so is the one chance in ten thousand, a five-thousandth of the doubt.
    """
    wanted = replace(wanted, spread_mm=0.0, allowance_mm=0.0, chance=0.9999, step_mm=0.0)
    found = cut_size(wanted, species)
    dried = dry_size(found.thickness.cut_mm, found.width.cut_mm, species=species, moisture=wanted.moisture)
    low, high = found.shrinkage.low, found.shrinkage.high
    bent = 0.5 / (1.0 - low) + 0.5 / (1.0 - high) - 1.0 / (1.0 - 0.5 * (low + high))
    for side, (least, most) in ((found.thickness, dried.thickness_mm), (found.width, dried.width_mm)):
        assert least >= side.finished_mm * (1.0 - bent) - 2.0e-4 * side.doubt_mm - 1e-9
        assert least <= side.finished_mm + 1e-9
        assert most >= side.finished_mm
        # It stays under 0.15 % of a side, for wood dried to nothing; under 0.05 % at moistures in a building.
        assert bent < (0.0015 if wanted.moisture < 0.12 else 0.0005)


@given(wanted=wishes(), species=species_known)
@generated(100)
def test_rounding_up_never_loses_the_chance_asked_for(wanted: Wanted, species) -> None:
    found = cut_size(wanted, species)
    side = found.thickness
    spare = side.hewn_mm - side.green_mm
    chance = chance_within(spare, side.doubt_mm, spread_mm=wanted.spread_mm)
    assert chance >= wanted.chance - (0.01 if wanted.step_mm else 1e-6)


@given(
    thickness=st.floats(20.0, 400.0),
    width=st.floats(20.0, 400.0),
    species=species_known,
    moisture=st.floats(0.0, 0.5),
)
@generated(100)
def test_drying_is_undone_by_the_shrinkage_it_rests_on(
    thickness: float, width: float, species, moisture: float
) -> None:
    found = dry_size(thickness, width, species=species, moisture=moisture)
    shrinkage = section_shrinkage(species, moisture)
    for green, (least, most) in ((thickness, found.thickness_mm), (width, found.width_mm)):
        assert 0.0 < least <= most <= green
        assert least / (1.0 - shrinkage.high) == pytest.approx(green, rel=1e-13)
        assert most / (1.0 - shrinkage.low) == pytest.approx(green, rel=1e-13)
    assert found.moisture == moisture


@given(wanted=wishes(), species=species_known)
@generated(60)
def test_the_green_size_and_its_doubt_dry_to_the_finished_one_at_least_and_at_most(wanted: Wanted, species) -> None:
    found = cut_size(wanted, species)
    for side, word in ((found.thickness, "thickness_mm"), (found.width, "width_mm")):
        size = getattr(wanted, word)
        for green, end in ((side.green_mm + side.doubt_mm, 0), (side.green_mm - side.doubt_mm, 1)):
            dried = dry_size(green, green, species=species, moisture=wanted.moisture).thickness_mm
            assert dried[end] == pytest.approx(size, rel=1e-12)


def test_sides_that_are_hewn_get_no_margin_for_the_saw() -> None:
    hemlock = find_species("eastern hemlock")
    sides = {n: cut_size(replace(PLATE, sawn_faces=n, step_mm=0.0), hemlock) for n in (2, 3, 4)}
    alone = margin_for(sides[4].width.doubt_mm, 0.0, chance=PLATE.chance)
    assert [sides[n].width.allowance_mm for n in (2, 3, 4)] == pytest.approx([0.0, 3.2, 6.4])
    assert sides[2].width.margin_mm == sides[3].width.margin_mm == pytest.approx(alone)
    assert sides[4].width.margin_mm > alone
    assert {side.thickness for side in sides.values()} == {sides[4].thickness}
    said = [any("hewn to their line" in note for note in sides[n].notes) for n in (2, 3, 4)]
    assert said == [True, True, False]


def test_a_size_that_lies_on_the_step_stays_there() -> None:
    still = own_species("Invented still wood", {"shrinkage_radial": 1e-12, "shrinkage_tangential": 1e-12})
    found = cut_size(Wanted(6.0 * INCH, 8.0625 * INCH, 0.12, chance=0.5, step_mm=INCH / 8), still)
    assert found.thickness.cut_mm == pytest.approx(6.0 * INCH, abs=1e-9)
    assert found.width.cut_mm == pytest.approx(8.125 * INCH, abs=1e-9)


@pytest.mark.parametrize(
    ("half", "spread"), [(3.1, 1.7), (0.4, 2.6), (9.0, 0.35), (2.0, 0.02), (0.001, 3.0), (1e-5, 0.8), (5.0, 4e-6)]
)
@pytest.mark.parametrize("share", [-1.3, -0.4, 0.0, 0.27, 0.9, 1.6])
def test_the_chance_is_the_convolution_that_scipy_integrates(half: float, spread: float, share: float) -> None:
    margin = share * (half + spread)
    # The even error at x leaves the normal one the rest of the margin.
    kink = [min(max(margin, -half), half)]
    value, _ = quad(lambda x: norm.cdf((margin - x) / spread) / (2.0 * half), -half, half, points=kink, epsabs=1e-12)
    # The limits in which one error is let go are reached within 1e-6.
    assert chance_within(margin, half, spread_mm=spread) == pytest.approx(value, abs=1e-6)


def test_the_chance_is_what_drawn_errors_show() -> None:
    rng = np.random.default_rng(20_260)
    count = 400_000
    errors = rng.uniform(-2.7, 2.7, count) + rng.normal(0.0, 1.3, count)
    for margin in (-1.9, 0.0, 0.8, 2.2, 4.1):
        chance = chance_within(margin, 2.7, spread_mm=1.3)
        # Four standard deviations of the share of so many draws.
        assert np.mean(errors < margin) == pytest.approx(chance, abs=4.0 * math.sqrt(0.25 / count))


def test_one_error_alone_and_none() -> None:
    assert chance_within(1.2, 3.0, spread_mm=0.0) == pytest.approx(0.7, abs=1e-12)
    assert chance_within(-9.0, 3.0, spread_mm=0.0) == 0.0
    assert chance_within(9.0, 3.0, spread_mm=0.0) == 1.0
    assert chance_within(1.96, 0.0, spread_mm=1.0) == pytest.approx(norm.cdf(1.96), abs=1e-12)
    assert (chance_within(0.0, 0.0, spread_mm=0.0), chance_within(-1e-9, 0.0, spread_mm=0.0)) == (1.0, 0.0)
    assert margin_for(0.0, 0.0, chance=0.97) == 0.0


errors = st.just(0.0) | st.floats(0.001, 12.0)
"""Errors of a saw or a shrinkage: none, or a thousandth of a millimeter and more."""


@given(half=errors, spread=errors, margins=st.tuples(st.floats(-20, 20), st.floats(-20, 20)))
@generated(150)
def test_chances_rise_with_the_margin_and_mirror_round_none(half: float, spread: float, margins) -> None:
    low, high = sorted(margins)
    chances = [chance_within(margin, half, spread_mm=spread) for margin in (low, high)]
    assert 0.0 <= chances[0] <= chances[1] + 1e-9
    assert chances[1] <= 1.0
    if half > 0.0 or spread > 0.0:
        assert chances[0] + chance_within(-low, half, spread_mm=spread) == pytest.approx(1.0, abs=1e-9)


@given(half=st.floats(0.0, 12.0), spread=st.floats(0.001, 6.0), chance=st.floats(0.5, 0.9999))
@generated(150)
def test_a_margin_gives_the_chance_it_was_asked_for(half: float, spread: float, chance: float) -> None:
    margin = margin_for(half, spread, chance=chance)
    assert margin >= 0.0
    assert chance_within(margin, half, spread_mm=spread) >= chance - 1e-9
    assert chance_within(margin - 1e-3 * (half + spread), half, spread_mm=spread) <= chance


@pytest.mark.parametrize(
    ("half", "spread", "chance"), [(1.0, 1.0, 0.49), (1.0, 1.0, 1.0), (-1.0, 1.0, 0.9), (1.0, -1.0, 0.9)]
)
def test_there_is_no_margin_for_some_wishes(half: float, spread: float, chance: float) -> None:
    with pytest.raises(OutOfRangeError, match="no margin for these"):
        margin_for(half, spread, chance=chance)


def test_errors_below_nothing_are_refused() -> None:
    with pytest.raises(OutOfRangeError, match=r"errors of -1 and 2 mm: they cannot be below 0\."):
        chance_within(1.0, -1.0, spread_mm=2.0)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"thickness_mm": 9.0}, r"^finished size: .* is no timber; each side lies between .* and 2 m\."),
        ({"width_mm": 2_400.0}, r"^finished size: "),
        ({"width_mm": float("nan")}, r"^finished size: "),
        ({"moisture": 0.35}, r"^moisture: 35 %; a finished timber is dry, between 0 and 30 %\."),
        ({"moisture": 14.0}, r"^moisture: 1400 %; "),
        ({"allowance_mm": -1.0}, r"^allowance: .* a face; it lies between 0 and 75 mm\."),
        ({"allowance_mm": 80.0}, r"^allowance: "),
        ({"sawn_faces": 1}, r"^sawn faces: 1; a timber has 2, 3 or 4\."),
        ({"spread_mm": 51.0}, r"^spread of the saw: .* it lies between 0 and 50 mm\."),
        ({"step_mm": 30.0}, r"^step: .* rounded up to steps of 0 to 1 in\."),
        ({"chance": 0.45}, r"^chance of full size: 45 %; ask for 50 to 99\.99 %\."),
        ({"chance": 1.0}, r"^chance of full size: 100 %; "),
    ],
)
def test_what_is_no_wish_for_a_timber_is_refused(change, message: str) -> None:
    with pytest.raises(WoodError, match=message):
        replace(PLATE, **change)


def test_the_notes_say_between_what_the_shrinkage_lies_and_what_was_recalled() -> None:
    notes = cut_size(PLATE, find_species("eastern white pine")).notes
    assert "Shrinkage to 14 % is between 1.1 and 3.3 % of the green size, from radial to tangential" in notes[0]
    assert notes[-1].endswith("from memory.")


def test_a_species_of_unknown_shrinkage_gets_no_size() -> None:
    with pytest.raises(UnknownValueError, match="Osage-orange: the radial shrinkage is not known"):
        cut_size(PLATE, find_species("osage-orange"))
    with pytest.raises(UnknownValueError, match="Osage-orange: the radial shrinkage is not known"):
        dry_size(150.0, 200.0, species=find_species("osage-orange"), moisture=0.12)
