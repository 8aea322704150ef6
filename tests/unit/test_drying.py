"""Drying: the section's numerics by their own laws, the forecast and the rule of days by what must hold."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import OutOfRangeError, SolverError, UnknownValueError, WoodError
from pithline.wood.air_drying import DAYS_PER_MONTH, air_drying, board_days, season_walk
from pithline.wood.climate import Climate
from pithline.wood.diffusion import SHELL_MM, Section, Stretch, axis, dry_section
from pithline.wood.diffusion_law import Potential, coefficient_for, pace
from pithline.wood.drying import DryingJob, drying_forecast, green_moisture
from pithline.wood.drying_ends import dry_ends
from pithline.wood.drying_surface import BOARD_MM, SEASON_EMC, TARGET, board_surface
from pithline.wood.species import Species, find_species, own_species, species_list
from strategies import generated

HILL = Climate(
    "an invented hill farm",
    (0.15, 0.147, 0.14, 0.131, 0.126, 0.129, 0.134, 0.141, 0.149, 0.146, 0.155, 0.158),
    (-9.0, -7.5, -1.0, 6.0, 12.5, 17.5, 20.0, 19.0, 14.5, 8.5, 2.0, -5.5),
    ("The climate is invented.",),
)
STEADY = Climate("a steady room", (SEASON_EMC,) * 12, (20.0,) * 12)
PINE = find_species("eastern white pine")
OAK = find_species("northern red oak")
MAPLE = find_species("sugar maple")
BEAM = DryingJob(152.4, 203.2, 4_900.0, 4)

ROUNDING = 1e-12
"""Moistures are sums of some hundred products of numbers near 1."""


def steady(emc):
    """A climate of summer air of one moisture."""
    return replace(STEADY, emc=(emc,) * 12)


laws = st.builds(Potential, st.sampled_from([0.0, 1.15, 6.0]), st.floats(0.22, 0.32))
sections = st.builds(
    Section,
    st.floats(15.0, 400.0),
    st.one_of(st.floats(15.0, 400.0), st.just(math.inf)),
    st.tuples(st.floats(0.5, 50.0)),
    st.tuples(st.one_of(st.just(0.0), st.floats(0.1, 200.0))),
)
years = st.lists(st.builds(Stretch, st.floats(0.01, 400.0), st.floats(0.03, 0.29), st.integers(1, 4)), min_size=1)


# --- the section -------------------------------------------------------------


@generated(60)
@given(sections, laws, st.floats(0.05, 2.0), years)
def test_no_cell_grows_wetter_than_the_wettest_or_drier_than_the_driest_whatever_the_step(
    section, law, start, stretches
):
    field = dry_section(section, law, start=start, stretches=stretches, cells=9).field
    airs = [stretch.emc for stretch in stretches]
    assert field.min() >= min(start, *airs) - ROUNDING
    assert field.max() <= max(start, *airs) + ROUNDING


@generated(40)
@given(sections, laws, st.floats(0.3, 2.0), st.floats(0.05, 0.2), st.floats(1.0, 300.0))
def test_in_air_that_stays_the_wood_grows_drier_outward_and_with_time(section, law, start, air, days):
    trace = dry_section(section, law, start=start, stretches=[Stretch(days, air, 5)], cells=9)
    for axis_of_cells in (1, 2):
        assert np.all(np.diff(trace.field, axis=axis_of_cells) <= ROUNDING)
    assert np.all(np.diff(trace.average, axis=0) <= ROUNDING)
    assert np.all(trace.shell <= trace.average + ROUNDING)


@pytest.mark.parametrize("law", [Potential(0.0, 0.3), Potential(4.0, 0.27)], ids=["straight", "curved"])
def test_what_the_wood_loses_goes_out_through_its_faces(law):
    section = Section(70.0, 110.0, (3.1, 9.0), (4.0, 0.0))
    air, days, tick = 0.12, 45.0, 1e-4
    before = dry_section(section, law, start=0.7, stretches=[Stretch(days, air, 20)])
    after = dry_section(section, law, start=0.7, stretches=[Stretch(days, air, 20), Stretch(tick, air)])
    lost = (before.average[-1] - after.average[-1]) / tick * (35.0 * 55.0)
    for band, (coefficient, skin) in enumerate(zip(section.mm2_day, section.skin_mm, strict=True)):
        x, y = (axis(half, [skin]) for half in (35.0, 55.0))
        excess = law.of(before.field[band]) - law.of(air)
        out = coefficient * (
            excess[-1, :] @ y.widths_mm / (0.5 * x.widths_mm[-1] + skin)
            + excess[:, -1] @ x.widths_mm / (0.5 * y.widths_mm[-1] + skin)
        )
        # A bare surface's thinnest cells move a little within the tick.
        assert lost[band] == pytest.approx(out, rel=2e-3)


@generated(20)
@given(sections.filter(lambda section: math.isfinite(section.width_mm)), laws)
def test_thickness_and_width_can_change_places(section, law):
    turned = replace(section, thickness_mm=section.width_mm, width_mm=section.thickness_mm)
    months = [Stretch(20.0, 0.14, 3), Stretch(31.0, 0.11, 2)]
    one, two = (dry_section(either, law, start=0.6, stretches=months, cells=8) for either in (section, turned))
    np.testing.assert_allclose(one.average, two.average, atol=ROUNDING)
    np.testing.assert_allclose(one.shell, two.shell, atol=ROUNDING)
    np.testing.assert_allclose(one.field, np.swapaxes(two.field, 1, 2), atol=ROUNDING)


def test_twice_the_size_takes_four_times_as_long():
    law = Potential(1.15, 0.3)
    small, large = (Section(40.0 * k, 65.0 * k, (2.5,), (3.0 * k,)) for k in (1.0, 2.0))
    one = dry_section(small, law, start=0.8, stretches=[Stretch(50.0, 0.13, 8)])
    two = dry_section(large, law, start=0.8, stretches=[Stretch(200.0, 0.13, 8)])
    # Only the shell is no larger, and it moves the cells a little.
    np.testing.assert_allclose(one.average, two.average, atol=2e-4)


def test_a_very_wide_board_dries_as_one_that_has_no_edges():
    law, stretches = Potential(0.0, 0.3), [Stretch(30.0, 0.13, 3)]
    wide, endless = (
        dry_section(Section(30.0, width, (9.0,), (2.0,)), law, start=0.6, stretches=stretches)
        for width in (3e5, math.inf)
    )
    # The edges of a board 10,000 times as wide as thick dry it by a ten-thousandth of its water.
    np.testing.assert_allclose(wide.average, endless.average, atol=1e-4)
    np.testing.assert_allclose(wide.center, endless.center, atol=ROUNDING)


def test_the_error_falls_with_the_square_of_the_number_of_cells():
    section, law = Section(90.0, 140.0, (4.0,), (5.0,)), Potential(1.15, 0.3)
    stretches = [Stretch(80.0, 0.13, 10)]

    def seen(cells):
        trace = dry_section(section, law, start=0.8, stretches=stretches, cells=cells)
        return np.array([trace.average[-1, 0], trace.center[-1, 0], trace.shell[-1, 0]])

    exact = seen(128)
    coarse, fine = np.abs(seen(12) - exact).max(), np.abs(seen(24) - exact).max()
    assert 3.0 < coarse / fine < 5.5
    assert fine < 1e-3


def test_steps_do_not_matter_where_the_coefficient_is_constant_and_hardly_where_it_is_oak():
    section = Section(26.0, 90.0, (3.0, 8.0), (3.0, 0.0))
    months = ((12.0, 0.13), (25.0, 0.15), (7.0, 0.12))

    def end(law, steps):
        trace = dry_section(section, law, start=0.83, stretches=[Stretch(days, air, steps) for days, air in months])
        return trace.field

    np.testing.assert_allclose(end(Potential(0.0, 0.3), 1), end(Potential(0.0, 0.3), 7), atol=ROUNDING)
    np.testing.assert_allclose(end(Potential(1.15, 0.3), 10), end(Potential(1.15, 0.3), 100), atol=1e-3)


def test_wood_at_the_moisture_of_the_air_stays_as_it_is():
    trace = dry_section(
        Section(50.0, 80.0, (4.0,), (1.0,)), Potential(1.15, 0.3), start=0.14, stretches=[Stretch(90.0, 0.14, 4)]
    )
    np.testing.assert_allclose(trace.field, 0.14, atol=ROUNDING)


def test_a_piece_no_thicker_than_two_shells_is_all_shell():
    trace = dry_section(
        Section(2.0 * SHELL_MM - 1.0, 300.0, (4.0,), (1.0,)),
        Potential(0.0, 0.3),
        start=0.6,
        stretches=[Stretch(9, 0.1)],
    )
    np.testing.assert_allclose(trace.shell, trace.average, atol=ROUNDING)


# --- the law -----------------------------------------------------------------


@pytest.mark.parametrize("slope", [0.0, 1.15, 6.0])
def test_the_potential_rises_as_its_coefficient_says_and_can_be_turned_round(slope):
    law = Potential(slope, 0.28)
    for moisture in (0.04, 0.15, 0.27):
        rise = (law.of(moisture + 1e-6) - law.of(moisture - 1e-6)) / 2e-6
        assert float(rise) == pytest.approx(math.exp(slope * moisture), rel=1e-7)
        assert law.moisture(float(law.of(moisture))) == pytest.approx(moisture, rel=1e-12)
    above = (law.of(1.1) - law.of(0.5)) / 0.6
    assert float(above) == pytest.approx(law.steepest, rel=1e-12)
    assert float(law.of(0.0)) == 0.0


def test_drying_runs_at_half_pace_at_9_c_and_at_a_quarter_below_freezing():
    assert float(pace(20.0, 5280.0)) == 1.0
    # Derived apart: T = 1 / (1/293.15 + ln 2 / 5280) = 282.29 K.
    assert float(pace(282.2889 - 273.15, 5280.0)) == pytest.approx(0.5, abs=1e-4)
    assert float(pace(-0.7, 5280.0)) == pytest.approx(0.256, abs=0.002)


def test_a_coefficient_is_that_of_the_species_else_of_its_kind_else_none():
    oak, pine = coefficient_for(OAK), coefficient_for(PINE)
    assert oak is not None
    assert pine is not None
    assert (oak.status, pine.status) == ("seen", "memory")
    slow, middle, fast = oak.mm2_day
    assert (middle / slow, fast / middle) == pytest.approx((2.0, 2.0))
    # 1e-10 to 5e-10 m2/s: times 1e6 mm2/m2 and 86,400 s/day.
    assert pine.mm2_day == pytest.approx((8.64, 8.64 * math.sqrt(5.0), 43.2))
    assert pine.at(20.0, 0.25) == pine.mm2_day
    assert coefficient_for(MAPLE) is None
    assert coefficient_for(find_species("white oak")) is None


# --- the surface -------------------------------------------------------------


@generated(30)
@given(st.floats(0.35, 1.6), st.floats(8.0, 200.0), st.sampled_from([0.0, 1.15, 5.0]))
def test_a_board_takes_the_published_days_or_its_surface_is_bare(green, days, slope):
    law, bands = Potential(slope, 0.3), (1.25, 5.0, 43.0)
    skins = board_surface(bands, law, green=green, days=(days,) * 3).skin_mm
    board = Section(BOARD_MM, math.inf, bands, skins)
    average = dry_section(board, law, start=green, stretches=[Stretch(days, SEASON_EMC, 40)]).average[-1]
    for skin, moisture in zip(skins, average, strict=True):
        assert skin >= 0.0
        if skin > 0.0:
            assert moisture == pytest.approx(TARGET, abs=1e-6)
        else:
            assert moisture >= TARGET - 1e-6
    assert list(skins) == sorted(skins)


def test_wood_that_is_dry_at_the_start_times_nothing():
    with pytest.raises(WoodError, match="green moisture 20 %: it must be above 20 %"):
        board_surface((5.0,), Potential(0.0, 0.3), green=0.20, days=(60.0,))


def test_a_surface_that_cannot_be_found_is_said_so(monkeypatch):
    monkeypatch.setattr("pithline.wood.drying_surface._ROUNDS", 1)
    with pytest.raises(SolverError, match="a board of 65 % dry in 60 days"):
        board_surface((9.0,), Potential(0.0, 0.3), green=0.65, days=(60.0,))


# --- the forecast ------------------------------------------------------------


@pytest.mark.parametrize("species", [PINE, OAK], ids=["pine", "oak"])
def test_a_forecast_starts_green_and_its_bands_and_depths_keep_their_order(species):
    forecast = drying_forecast(species, BEAM, climate=HILL)
    assert forecast.months.tolist() == list(range(61))
    for values in (forecast.average, forecast.surface, forecast.center):
        assert values.shape == (61, 3)
        assert np.all(values[0] == pytest.approx(green_moisture(species)))
        assert not values.flags.writeable
    # In the first weeks the slow curve may lie below: its surface holds less back.
    first = slice(3, 13)
    assert np.all(np.diff(forecast.average[first], axis=1) < 0.0)
    assert np.all(np.diff(forecast.center[first], axis=1) < 0.0)
    assert np.all(forecast.surface[first] < forecast.average[first])
    assert np.all(forecast.average[first] < forecast.center[first])
    assert forecast.ends is None


def test_a_target_is_reached_between_the_months_on_either_side_of_it():
    forecast = drying_forecast(PINE, BEAM, climate=HILL, targets=(0.40, 0.20))
    for reach in forecast.reached:
        for band, months in enumerate(reach.months):
            before, after = forecast.average[math.floor(months), band], forecast.average[math.ceil(months), band]
            assert before > reach.target >= after
        assert reach.ever == "yes"
        assert list(reach.months) == sorted(reach.months, reverse=True)
    assert drying_forecast(PINE, BEAM, climate=HILL, targets=(0.65,)).reached[0].months == (0.0, 0.0, 0.0)


def test_a_board_in_the_best_season_takes_the_days_of_the_table():
    board = DryingJob(BOARD_MM, 1_000.0, 4_000.0, 1, 6)
    months = drying_forecast(PINE, board, climate=STEADY).reached[0].months
    # The edges of a board 1 m wide take 1 to 3 % of its days off.
    assert [month * DAYS_PER_MONTH for month in months] == pytest.approx([60.0] * 3, rel=0.04)
    assert max(months) * DAYS_PER_MONTH < 60.0


@pytest.mark.parametrize(("emc", "ever"), [(0.13, "yes"), (0.21, "no")])
def test_whether_a_target_is_ever_reached_is_the_air_s_to_say(emc, ever):
    job = replace(BEAM, months=3)
    reach = drying_forecast(OAK, job, climate=steady(emc), targets=(0.20,)).reached[0]
    assert (reach.months, reach.ever) == ((None, None, None), ever)


def test_air_that_is_dry_for_a_month_or_two_dries_only_thin_stock_to_its_target():
    climate = replace(HILL, emc=(0.16,) * 5 + (0.12,) + (0.16,) * 6)
    thick = drying_forecast(PINE, replace(BEAM, months=200), climate=climate, targets=(0.13,))
    thin = drying_forecast(PINE, replace(BEAM, thickness_mm=12.0, months=30), climate=climate, targets=(0.13,))
    assert thick.reached[0].ever == "dry months only"
    assert thick.reached[0].months == (None, None, None)
    assert thin.reached[0].months[2] is not None
    assert thin.reached[0].months[2] % 12.0 == pytest.approx(3.0, abs=0.99)


def test_wood_settles_where_its_mean_over_a_year_of_work_is_that_of_the_air():
    law, emc, days = Potential(1.15, 0.3), HILL.emc, DAYS_PER_MONTH * pace(HILL.temperature_c, 5280.0)
    steps = 50
    year = [Stretch(float(month), air, steps) for month, air in zip(days, emc, strict=True)]
    section = Section(60.0, 90.0, (2.5,), (3.0,))
    average = dry_section(section, law, start=0.3, stretches=year * 60).average[-12 * steps - 1 :, 0]
    weights = np.repeat(days / steps, steps)
    mean = ((average[1:] + average[:-1]) * 0.5 * weights).sum() / weights.sum()
    settles_at = drying_forecast(OAK, BEAM, climate=HILL).settles_at
    assert mean == pytest.approx(settles_at, abs=2e-4)


@pytest.mark.parametrize("shift", [1, 5, 11])
def test_the_year_has_no_first_month(shift):
    rolled = replace(HILL, emc=HILL.emc[shift:] + HILL.emc[:shift], temperature_c=_rolled(HILL.temperature_c, shift))
    one = drying_forecast(PINE, replace(BEAM, start_month=1 + shift, months=30), climate=HILL)
    two = drying_forecast(PINE, replace(BEAM, start_month=1, months=30), climate=rolled)
    np.testing.assert_array_equal(one.average, two.average)
    assert one.rule.days == pytest.approx(two.rule.days)


def _rolled(values, shift):
    return values[shift:] + values[:shift]


def test_a_start_that_is_measured_goes_before_the_species_average():
    wet, dry = (drying_forecast(PINE, replace(BEAM, green=green), climate=HILL) for green in (1.1, 0.45))
    assert np.all(wet.average[:13] > dry.average[:13])
    # The surface is the pile's, set by the species' boards, not by this timber's start.
    assert wet.skin_mm == dry.skin_mm
    assert not any("average of the species" in note for note in wet.notes)
    assert any("It starts at 65 %" in note for note in drying_forecast(PINE, BEAM, climate=HILL).notes)


def test_a_species_green_moisture_is_the_whole_wood_s_or_half_way():
    assert green_moisture(PINE) == pytest.approx(0.65)
    jack = own_species("a pine", {"green_moisture_heartwood": 0.4, "green_moisture_sapwood": 1.5}, kind="softwood")
    assert green_moisture(jack) == pytest.approx(0.95)
    with pytest.raises(UnknownValueError, match="green moisture of the whole wood is not known"):
        green_moisture(Species("driftwood"))


def test_what_is_not_known_is_asked_for_and_never_made_up():
    with pytest.raises(UnknownValueError, match="Sugar maple: no coefficient of diffusion was found in print"):
        drying_forecast(MAPLE, BEAM, climate=HILL)
    fir = find_species("douglas-fir, interior west")
    with pytest.raises(UnknownValueError, match="green moisture of the whole wood is not known"):
        drying_forecast(fir, BEAM, climate=HILL)
    assert drying_forecast(fir, replace(BEAM, green=0.4), climate=HILL).green == 0.4


def test_the_notes_tell_what_is_recalled_frozen_wet_and_bare():
    told = " ".join(drying_forecast(PINE, replace(BEAM, under_cover=False, end_coat=False), climate=HILL).notes)
    for words in (
        "an order of magnitude for all softwoods, recalled",
        "Jan, Feb, Mar, Dec: below freezing",
        "Above 30 % (fiber saturation)",
        "takes the 60 days of the table. That is for a large pile",
        "Not under cover",
        "Bare ends dry first",
        "the model's own extrapolation",
        "The climate is invented.",
    ):
        assert words in told
    oak = " ".join(drying_forecast(OAK, replace(BEAM, thickness_mm=25.4), climate=STEADY).notes)
    assert "that spread is our own choice" in oak
    assert "70 days of the table, recalled and not read in print" in oak
    assert "its surface is bare" in oak
    for words in ("below freezing", "Not under cover", "Bare ends", "own extrapolation"):
        assert words not in oak
    red = drying_forecast(find_species("western hemlock"), BEAM, climate=HILL)
    assert all("{" not in note for note in red.notes)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"thickness_mm": 11.0}, r"each side lies between 1/2 in \(12 mm\) and 1 m"),
        ({"width_mm": math.nan}, r"section: 6 in"),
        ({"length_mm": 200.0}, "length: 7 7/8 in"),
        ({"start_month": 13}, "start month: 13; it lies between 1 and 12"),
        ({"months": 241}, "months: 241"),
        ({"green": 0.05}, "moisture at the start: 5 %"),
    ],
)
def test_a_job_that_cannot_be_forecast_is_refused(change, message):
    with pytest.raises(WoodError, match=message):
        replace(BEAM, **change)


def test_all_softwoods_stand_in_for_one_without_days_of_its_own():
    spruce = find_species("norway spruce")
    board = board_days(spruce)
    known = [s.values["air_dry_1in"] for s in species_list() if s.kind == "softwood" and "air_dry_1in" in s.values]
    assert board.stand_in
    assert board.best == pytest.approx((100.0, math.sqrt(1_500.0), 15.0))
    assert all(board.best[2] <= row.low <= board.best[0] and row.high <= board.published.high for row in known)
    assert board.published.status == "memory"
    own = board_days(PINE)
    assert (own.best, own.stand_in) == ((60.0, 60.0, 60.0), False)
    forecast = drying_forecast(spruce, BEAM, climate=HILL)
    assert forecast.rule.stand_in
    assert "100, 39 and 15 days (slow, middle, fast) of the range over" in " ".join(forecast.notes)
    assert any("No days of 1 in stock are known for Norway spruce" in note for note in forecast.notes)
    assert forecast.rule.notes[0].startswith(
        "No days of 1 in stock are known for Norway spruce. Those of all softwoods"
    )
    fast, slow = forecast.rule.best_season_days
    inch = air_drying(spruce, STEADY, thickness_mm=BOARD_MM, start_month=5)
    assert inch.days == pytest.approx((15.0, 150.0))
    assert slow > 10.0 * fast


def test_a_board_that_other_softwoods_stand_in_for_takes_their_days():
    board = DryingJob(BOARD_MM, 1_000.0, 4_000.0, 1, 8)
    months = drying_forecast(find_species("norway spruce"), board, climate=STEADY).reached[0].months
    # The edges of a board 1 m wide take 1 to 3 % of its days off.
    assert [month * DAYS_PER_MONTH for month in months] == pytest.approx([100.0, 38.7, 15.0], rel=0.04)


# --- bare ends ---------------------------------------------------------------


def test_bare_ends_dry_first_and_matter_less_in_a_long_timber():
    short, long = (
        drying_forecast(OAK, replace(BEAM, length_mm=length, end_coat=False), climate=HILL)
        for length in (600.0, 7_000.0)
    )
    assert np.all(short.ends.average[1:25] < long.ends.average[1:25])
    assert np.all(long.ends.average[1:25] < long.average[1:25])
    np.testing.assert_array_equal(short.average, long.average)
    assert np.all(short.ends.depth_mm <= 300.0)
    assert np.all(np.diff(long.ends.depth_mm, axis=0) >= 0.0)
    assert np.all(long.ends.depth_mm[0] == 0.0)
    assert np.all(np.diff(long.ends.depth_mm[12:], axis=1) > 0.0)


def test_the_end_of_a_long_bare_timber_follows_the_error_function():
    # Derived apart: in a half space the part still to go is erf(x / r), r = 2 sqrt(D t), which is 0.9 at 1.16309 r.
    section = Section(100.0, 100.0, (2.0, 2.0, 2.0), (0.0, 0.0, 0.0))
    days = np.array([0.0, 300.0])
    ends = dry_ends(section, Potential(0.0, 0.3), length_mm=4_000.0, days=days, average=np.full((2, 3), 0.4), air=0.13)
    along = np.array([10.0, math.sqrt(150.0), 15.0])
    reached = 2.0 * np.sqrt(along * 2.0 * 300.0)
    assert ends.depth_mm[1] == pytest.approx(1.16309 * reached, rel=0.02)
    # Both ends together lose 2 sqrt(D t / pi) of length each.
    share = 1.0 - 2.0 * reached / math.sqrt(math.pi) / 4_000.0
    assert ends.average[1] == pytest.approx(0.13 + 0.27 * share, rel=1e-3)


# --- days by the rule --------------------------------------------------------


@generated(60)
@given(st.floats(1.0, 3_000.0), st.floats(1.0, 3_000.0), st.integers(1, 12))
def test_a_walk_through_the_seasons_goes_on_where_it_stopped(first, more, month):
    whole = season_walk(first + more, HILL, start_month=month)
    part = season_walk(first, HILL, start_month=month)
    assert whole > part
    year = float(pace(HILL.temperature_c, 5280.0).sum()) * DAYS_PER_MONTH
    a_year_on = season_walk(first + year, HILL, start_month=month)
    assert a_year_on == pytest.approx(part + 12.0 * DAYS_PER_MONTH, rel=1e-9)


def test_at_20_c_a_walk_takes_as_long_as_the_clock():
    for days in (3.0, 200.0, 5_000.0):
        assert season_walk(days, STEADY, start_month=7) == pytest.approx(days)


def test_the_rule_gives_the_table_s_days_for_1_in_and_a_power_of_the_thickness_for_more():
    inch = air_drying(MAPLE, STEADY, thickness_mm=25.4, start_month=5)
    assert inch.days == pytest.approx((50.0, 75.0))
    double = air_drying(MAPLE, STEADY, thickness_mm=50.8, start_month=5)
    assert double.days == pytest.approx((50.0 * 2.0**1.5, 75.0 * 4.0))
    half = air_drying(MAPLE, STEADY, thickness_mm=12.7, start_month=5)
    assert half.days == pytest.approx((50.0 / 4.0, 75.0 / 2.0**1.5))
    square = air_drying(MAPLE, STEADY, thickness_mm=50.8, width_mm=50.8, start_month=5)
    assert square.days == pytest.approx(tuple(0.5 * days for days in double.days))
    assert not any("Nothing in print" in note for note in inch.notes)
    assert any("recalled, not read in print" in note for note in inch.notes)
    assert any("Nothing in print was found for 200 mm" in note for note in _thick().notes)


def _thick():
    return air_drying(MAPLE, HILL, thickness_mm=200.0, width_mm=250.0, start_month=5)


def test_damp_air_is_told_where_the_rule_does_not_know_it():
    assert "too few" in " ".join(air_drying(MAPLE, steady(0.17), thickness_mm=30.0, start_month=1).notes)
    assert "will not reach 20 %" in " ".join(air_drying(MAPLE, steady(0.22), thickness_mm=30.0, start_month=1).notes)
    assert _thick().notes[-1] == "The climate is invented."


def test_the_rule_refuses_what_it_has_no_number_for():
    with pytest.raises(UnknownValueError, match="air-drying days of 1 in stock is not known"):
        air_drying(find_species("european oak"), HILL, thickness_mm=25.4, start_month=1)
    with pytest.raises(OutOfRangeError, match="a section of 3 x inf mm: the rule is not stretched"):
        air_drying(MAPLE, HILL, thickness_mm=3.0, start_month=1)
    with pytest.raises(WoodError, match="start month: 0; it lies between 1 and 12"):
        season_walk(60.0, HILL, start_month=0)


# --- the climate -------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"emc": (0.13,) * 11}, "a steady room: 11 values of equilibrium moisture; a year has 12 months"),
        ({"temperature_c": ()}, "0 values of temperature"),
        (
            {"emc": (0.13,) * 4 + (13.0,) + (0.13,) * 7},
            "May: equilibrium moisture 1300.0 %; outdoors it lies between 2",
        ),
        ({"temperature_c": (20.0,) * 11 + (68.0,)}, "Dec: mean temperature 68 C; it lies between -40 and 50 C"),
        ({"emc": (math.nan,) * 12}, "Jan: equilibrium moisture nan %"),
    ],
)
def test_a_climate_that_is_none_is_refused(change, message):
    with pytest.raises(WoodError, match=message):
        replace(STEADY, **change)
