"""Pictures of drying are parsed and measured: curves, marks and names stand where the forecast's numbers say."""

import xml.etree.ElementTree as ET
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import SheetError
from pithline.sheets.drying_names import Label, Room, rows_of, size_of, spread
from pithline.sheets.drying_plot import drying_svg, shown_months
from pithline.sheets.drying_words import drying_answer, reached_text
from pithline.wood.climate import Climate
from pithline.wood.drying import DryingJob, Reach, drying_forecast
from pithline.wood.species import find_species
from printed import SVG, corners, elements, overlapping, text_box
from setups import INCHES, METRIC
from strategies import generated

HILL = Climate(
    "an invented hill farm",
    (0.15, 0.147, 0.14, 0.131, 0.126, 0.129, 0.134, 0.141, 0.149, 0.146, 0.155, 0.158),
    (-9.0, -7.5, -1.0, 6.0, 12.5, 17.5, 20.0, 19.0, 14.5, 8.5, 2.0, -5.5),
    ("The climate is invented.",),
)
SHORE = replace(HILL, name="an invented damp shore", emc=tuple(emc + 0.06 for emc in HILL.emc))
PINE, OAK = find_species("eastern white pine"), find_species("northern red oak")
BOARD = DryingJob(25.4, 203.2, 3_660.0, 5)
BEAM = DryingJob(152.4, 203.2, 4_900.0, 5)
BIG = DryingJob(304.8, 304.8, 5_000.0, 10, months=120)

CASES = {
    "board": (PINE, BOARD, HILL),
    "beam": (PINE, BEAM, HILL),
    "ten years": (OAK, BIG, HILL),
    "never": (PINE, BEAM, SHORE),
    "hardly green": (PINE, replace(BEAM, thickness_mm=101.6, start_month=8, green=0.24), HILL),
    "below the target": (PINE, replace(BOARD, thickness_mm=50.8, green=0.16), HILL),
    "one month": (PINE, replace(BEAM, start_month=12, months=1), HILL),
    "twenty years": (OAK, replace(BIG, width_mm=406.4, start_month=3, months=240), HILL),
    "autumn board": (OAK, replace(BOARD, start_month=11), HILL),
}
SIZES = [(130.0, 105.0), (100.0, 115.0), (186.0, 78.0), (95.0, 80.0)]
every_case = pytest.mark.parametrize("case", CASES)

WRITTEN_MM = 0.011
"""Numbers are written to the nearest 0.01 mm; a scale is measured from two of them."""

CURVES = {"average": "average", "core": "center", "surface": "surface"}


@cache
def forecast_of(case):
    species, job, climate = CASES[case]
    return drying_forecast(species, job, climate=climate)


@cache
def picture_of(case, size=SIZES[0]):
    """The picture of a case, drawn once."""
    return drying_svg(forecast_of(case), width_mm=size[0], height_mm=size[1])


def groups(svg):
    """The elements of each group that has one, by the group's name."""
    return {g.get("class"): list(g) for g in ET.fromstring(svg).iter(f"{SVG}g")}


def measured(svg):
    """Functions from paper to months and to moisture, from the figures beside the axes and the ticks at them."""
    found = groups(svg)
    xs = [
        (float(t.attrib["x"]), int(t.text)) for t in found["axis-months"] if t.tag.endswith("text") and t.text.isdigit()
    ]
    ticks = [corners(p)[0] for p in found["axis-moisture"] if p.tag.endswith("path")][1:]
    figures = [int(t.text) for t in found["axis-moisture"] if t.tag.endswith("text") and t.text.isdigit()]
    (x0, m0), (x1, m1) = xs[0], xs[-1]
    y0, y1 = ticks[0][1], ticks[-1][1]
    month_mm, percent_mm = (x1 - x0) / (m1 - m0), (y0 - y1) / (figures[-1] - figures[0])

    def place(months, moisture):
        return np.array([x0 + (months - m0) * month_mm, y0 - (100.0 * moisture - figures[0]) * percent_mm])

    return place


def points_of(svg, name):
    """The points of a curve, None where it is not drawn."""
    found = groups(svg).get(f"curve-{name}")
    return None if found is None else np.array(corners(found[0]))


@every_case
@pytest.mark.parametrize("size", SIZES)
def test_curves_go_through_the_numbers_of_every_month_and_through_the_targets(case, size):
    forecast = forecast_of(case)
    svg = picture_of(case, size)
    place, last = measured(svg), shown_months(forecast)
    for name, attribute in CURVES.items():
        points, values = points_of(svg, name), getattr(forecast, attribute)[: last + 1, 1]
        if points is None:
            # A line that runs within its neighbor's width is not drawn twice.
            far = np.abs(values - forecast.average[: last + 1, 1]).max()
            assert (place(0, 0.0) - place(0, far))[1] < 0.85
            assert f"and {name}" in svg
            continue
        assert points[:, 0] == pytest.approx(np.sort(points[:, 0]))
        for month, value in enumerate(values):
            # A figure's own place may lie half a written step off at both ends of the scale.
            assert np.min(np.abs(points - place(month, value)).max(axis=1)) < 4.0 * WRITTEN_MM
    middle = points_of(svg, "average")
    for reach in forecast.reached:
        time = reach.months[1]
        if time is not None and 0.0 < time < last and abs(time - round(time)) > 0.05:
            assert np.min(np.abs(middle - place(time, reach.target)).max(axis=1)) < 4.0 * WRITTEN_MM


@every_case
def test_between_months_no_curve_leaves_the_range_of_its_neighbors(case):
    forecast = forecast_of(case)
    svg = picture_of(case)
    place = measured(svg)
    knots = [(float(m), float(v)) for m, v in enumerate(forecast.average[: shown_months(forecast) + 1, 1])]
    knots += [(r.months[1], r.target) for r in forecast.reached if r.months[1] and r.months[1] <= knots[-1][0]]
    spots = np.array([place(*knot) for knot in sorted(knots)])
    for x, y in points_of(svg, "average"):
        at = int(np.clip(np.searchsorted(spots[:, 0], x), 1, len(spots) - 1))
        # A target within a fortieth of a month of a number shares its knot.
        near = spots[max(0, at - 2) : at + 2, 1]
        assert near.min() - 0.05 <= y <= near.max() + 0.05


@every_case
def test_the_band_lies_between_the_slow_and_the_fast_average(case):
    forecast = forecast_of(case)
    svg = picture_of(case)
    (band,) = groups(svg)["band"]
    around = {tuple(spot) for spot in corners(band)}
    for name in ("slow", "fast"):
        assert {tuple(spot) for spot in points_of(svg, name)} <= around
    place = measured(svg)
    for column, name in ((0, "slow"), (2, "fast")):
        for month in range(shown_months(forecast) + 1):
            spot = place(month, forecast.average[month, column])
            assert np.min(np.abs(points_of(svg, name) - spot).max(axis=1)) < 4.0 * WRITTEN_MM


@every_case
def test_ticks_on_a_targets_line_stand_at_the_first_and_the_last_month_of_its_range(case):
    forecast = forecast_of(case)
    svg = picture_of(case)
    place, found, last = measured(svg), groups(svg), shown_months(forecast)
    for reach in forecast.reached:
        marks = found.get(f"range-{100 * reach.target:g}")
        known = [months for months in reach.months if months is not None]
        if not known or max(known) == 0.0:
            assert marks is None
            continue
        ticks = [c for p in marks if len(c := corners(p)) == 2 and c[0][0] == c[1][0]]
        ends = (min(known), max(known) if len(known) == 3 else last)
        for tick, months in zip(ticks, ends, strict=True):
            x, y = place(months, reach.target)
            assert tick[0][0] == pytest.approx(x, abs=4.0 * WRITTEN_MM)
            assert 0.5 * (tick[0][1] + tick[1][1]) == pytest.approx(y, abs=4.0 * WRITTEN_MM)


@every_case
def test_level_lines_stand_at_fiber_saturation_targets_and_the_end(case):
    forecast = forecast_of(case)
    svg = picture_of(case)
    place, found = measured(svg), groups(svg)
    expected = {"level-settles": forecast.settles_at}
    if forecast.green > 0.3:
        # Wood Handbook, general value: 30 %.
        expected["level-fiber"] = 0.30
    for name, moisture in expected.items():
        assert corners(found[name][0])[0][1] == pytest.approx(place(0, moisture)[1], abs=4.0 * WRITTEN_MM)
        words = " ".join(e.text for e in found[name] if e.tag.endswith("text"))
        assert f"{100 * moisture:.0f} %" in words
    assert ("level-fiber" in found) == (forecast.green > 0.3)


def check_names(svg, width_mm, height_mm):
    """Words keep apart, inside the picture, and off the lines that they could hide."""
    texts = elements(svg, "text")
    assert list(overlapping(texts)) == []
    for text in texts:
        left, top, right, bottom = text_box(text)
        assert left >= -0.1
        assert top >= -0.1
        assert right <= width_mm
        assert bottom <= height_mm
    lines = [
        shapely.LineString(corners(path))
        for name, content in groups(svg).items()
        for path in content
        if name.startswith(("curve-", "range-", "level-"))
        if path.tag == f"{SVG}path"
    ]
    names = [e for g in ET.fromstring(svg).iter(f"{SVG}g") if g.get("class") == "name" for e in g]
    assert names
    for text in (e for e in names if e.tag.endswith("text")):
        box = shapely.box(*text_box(text))
        assert not any(box.intersects(line) for line in lines), text.text
    for leader in (shapely.LineString(corners(e)) for e in names if e.tag.endswith("path")):
        assert not any(shapely.box(*text_box(text)).intersects(leader) for text in texts)


@every_case
@pytest.mark.parametrize("size", SIZES)
def test_words_cover_no_line_and_no_other_words(case, size):
    svg = picture_of(case, size)
    check_names(svg, *size)
    told = " ".join(t.text for t in elements(svg, "text"))
    for name in ("core", "average", "surface", "months stacked", "moisture, % of dry mass"):
        assert name in told
    job = forecast_of(case).job
    for reach in forecast_of(case).reached:
        assert f"verage at {100 * reach.target:g} %" in told
        assert reached_text(reach, horizon_months=job.months) in told


@generated(15)
@given(
    st.builds(
        DryingJob,
        st.floats(12.0, 350.0),
        st.floats(25.0, 400.0),
        st.just(4_000.0),
        start_month=st.integers(1, 12),
        months=st.integers(1, 180),
        green=st.floats(0.22, 1.8),
    ),
    st.lists(st.integers(8, 60), max_size=4, unique=True),
    st.sampled_from(SIZES),
)
def test_words_keep_apart_whatever_is_dried(job, targets, size):
    forecast = drying_forecast(OAK, job, climate=HILL, targets=tuple(target / 100.0 for target in targets))
    if size[1] >= 100.0:
        check_names(drying_svg(forecast, width_mm=size[0], height_mm=size[1]), *size)
    else:
        check_names(drying_svg(forecast, width_mm=size[0], height_mm=size[1] + 60.0), size[0], size[1] + 60.0)


def test_calendar_and_years_start_with_the_month_of_stacking():
    svg = drying_svg(forecast_of("ten years"), width_mm=190.0)
    found = groups(svg)
    months = [t.text for t in found["axis-months"] if t.tag.endswith("text")]
    assert months[:4] == ["0", "Oct", "12", "Oct"]
    place = measured(svg)
    marks = [corners(e)[0][0] for e in found["years"] if e.tag.endswith("path")]
    # Stacked on the first of October, the calendar's second year starts three months later.
    assert marks == pytest.approx([place(3 + 12 * n, 0.2)[0] for n in range(10)], abs=4.0 * WRITTEN_MM)


def test_the_picture_ends_when_nothing_changes_but_the_seasons():
    # The board is at its last target within 5 months of 60; the beam never settles within them.
    assert 5 <= shown_months(forecast_of("board")) <= 12
    assert shown_months(forecast_of("beam")) == 60
    assert shown_months(forecast_of("one month")) == 1
    # A target that is never reached is not waited for.
    far = drying_forecast(PINE, replace(BOARD, months=120), climate=SHORE, targets=(0.10,))
    assert shown_months(far) < 24


def test_the_picture_reads_itself_aloud():
    forecast = forecast_of("beam")
    root = ET.fromstring(drying_svg(forecast, tape=METRIC))
    assert root.findtext(f"{SVG}title") == "Moisture over time: Eastern white pine, 152 x 203 mm"
    told = root.findtext(f"{SVG}desc")
    assert drying_answer(forecast, tape=METRIC) in told
    assert f"settles at about {100 * forecast.settles_at:.0f} %" in told


def test_the_headline_stands_above_the_picture_or_is_left_out():
    forecast = forecast_of("beam")
    answer = drying_answer(forecast, tape=INCHES)
    rows = [e.text for e in groups(drying_svg(forecast))["rows"]]
    assert " ".join(rows) == answer
    bare = elements(drying_svg(forecast, headline=False), "text")
    assert not {text.text for text in bare} & set(rows)


@pytest.mark.parametrize(
    ("months", "ever", "told"),
    [
        ((31.2, 20.0, 13.9), "yes", "after 14 to 31 months"),
        ((2.35, 2.33, 2.31), "yes", "after 10 weeks"),
        ((4.8, 3.0, 2.0), "yes", "after 9 weeks to 5 months"),
        # A slow curve may be there first.
        ((14.0, 14.6, 18.0), "yes", "after 14 to 18 months"),
        ((None, 50.0, 40.0), "yes", "after 3.3 to more than 5 years"),
        ((None, None, 29.3), "yes", "after 29 months to more than 5 years"),
        ((None, None, None), "yes", "not within 5 years"),
        ((None, None, None), "no", "never in this climate"),
        ((None, None, None), "dry months only", "only in dry months, and not within 5 years"),
        ((0.0, 0.0, 0.0), "yes", "from the first day"),
    ],
)
def test_a_reach_is_told_in_words(months, ever, told):
    assert reached_text(Reach(0.2, months, ever), horizon_months=60) == told


def test_the_answer_is_one_sentence():
    forecast = replace(
        forecast_of("beam"),
        reached=(Reach(0.2, (31.0, 20.0, 14.0), "yes"), Reach(0.12, (None, None, None), "no")),
    )
    assert drying_answer(forecast, tape=INCHES) == (
        "Eastern white pine, 6 x 8 in, stacked in May: about 20 % after 14 to 31 months; 12 % never in this climate."
    )


def test_the_line_of_fiber_saturation_is_the_forecasts_own():
    svg = drying_svg(replace(forecast_of("beam"), saturation=0.25))
    assert corners(groups(svg)["level-fiber"][0])[0][1] == pytest.approx(measured(svg)(0, 0.25)[1], abs=0.05)


def test_equal_input_gives_equal_text_and_other_input_another():
    forecast = forecast_of("never")
    assert drying_svg(forecast) == drying_svg(forecast)
    assert drying_svg(forecast) != drying_svg(forecast, tape=METRIC)
    wide = drying_svg(forecast_of("ten years"), width_mm=186.0, height_mm=120.0, tape=METRIC)
    assert "outer 13 mm" in {text.text for text in elements(wide, "text")}


def test_a_picture_too_small_or_with_too_much_to_say_is_refused():
    with pytest.raises(SheetError, match="95 x 75 mm or more"):
        drying_svg(forecast_of("beam"), width_mm=60.0)
    many = drying_forecast(PINE, BEAM, climate=HILL, targets=tuple(0.15 + 0.01 * n for n in range(30)))
    with pytest.raises(SheetError, match="too low for the picture"):
        drying_svg(many)
    with pytest.raises(SheetError, match="32 lines do not find room"):
        drying_svg(many, headline=False, height_mm=90.0)


# --- places for names ----------------------------------------------------------


def test_a_name_that_has_room_stands_beside_its_line_and_one_that_has_none_is_not_placed():
    room = Room(0.0, 0.0, 60.0, 40.0)
    line = [(0.0, 20.0), (60.0, 20.0)]
    room.take(line)
    spots = [(float(x), 20.0) for x in range(61)]
    placed = room.place(Label(("a name",), spots))
    assert placed.leader is None
    wide, tall = size_of("a name", bold=False)
    assert 0.0 < 20.0 - (placed.corner[1] + tall) < 2.0
    assert placed.corner[0] + 0.5 * wide == pytest.approx(30.0, abs=1.0)
    second = room.place(Label(("a name",), spots))
    apart = abs(second.corner[0] - placed.corner[0]) >= wide or abs(second.corner[1] - placed.corner[1]) >= tall
    assert apart
    for y in np.arange(0.5, 40.0, 1.0):
        room.take([(0.0, float(y)), (60.0, float(y))])
    assert room.place(Label(("a name",), spots)) is None


@generated(200)
@given(st.lists(st.floats(0.0, 60.0), min_size=1, max_size=8).map(sorted), st.floats(2.0, 7.0))
def test_spread_places_keep_their_order_their_distance_and_the_limits(wanted, step):
    placed = spread(wanted, step, 0.0, 60.0)
    assert np.all(np.diff(placed) >= step - 1e-9)
    assert placed[0] >= -1e-9
    assert placed[-1] <= 60.0 + 1e-9
    if len(wanted) == 1 or np.min(np.diff(wanted)) >= step:
        assert placed == pytest.approx(wanted)


def test_rows_hold_all_words_in_their_order():
    rows = rows_of("after 14 to 31 months in a stack", 20.0)
    assert len(rows) > 1
    assert " ".join(rows) == "after 14 to 31 months in a stack"
