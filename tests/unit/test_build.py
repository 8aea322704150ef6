"""From measures to a solid: what the tape said is what the log has."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.errors import LogError
from pithline.logs import (
    Middle,
    SliceLog,
    SliceRow,
    TallyLog,
    crown_offset_mm,
    direction_of,
    section_at,
    slice_faults,
    solid_from_slices,
    solid_from_tally,
    stations,
    tally_faults,
)
from strategies import clocks, generated, slice_logs, tally_logs

ROW = TallyLog(
    tag="P7",
    species="spruce",
    length_mm=6_150.0,
    butt_mm=430.0,
    tip_mm=330.0,
    butt_2_mm=410.0,
    tip_2_mm=322.0,
    oval_clock=1.4,
    middles=(Middle(4_000.0, 352.0, 349.0), Middle(1_900.0, 391.0)),
    crown_mm=61.0,
    crown_at_mm=2_700.0,
    crown_clock=7.3,
    bark_mm=9.0,
    butt_pith_mm=14.0,
    butt_pith_clock=2.2,
    tip_pith_mm=5.0,
    tip_pith_clock=10.5,
)


@generated(80)
@given(st.lists(st.floats(1.0, 3_000.0), min_size=1, max_size=6))
def test_stations_keep_the_measured_ones_and_leave_no_gap_over_a_quarter_meter(gaps):
    measured = np.concatenate([[0.0], np.cumsum(gaps)])
    z = stations(measured)
    assert np.all(np.isin(measured, z))
    assert np.diff(z).max() <= 250.0 + 1e-6
    assert np.diff(z).min() > 0.0
    # No more of them than it takes.
    assert len(z) == 1 + sum(max(1, math.ceil(gap / 250.0 - 1e-9)) for gap in np.diff(measured))


def test_stations_of_a_single_stretch():
    assert stations(np.array([0.0, 250.0])) == pytest.approx([0.0, 250.0])
    assert stations(np.array([0.0, 251.0])) == pytest.approx([0.0, 125.5, 251.0])


@generated(60)
@given(tally_logs())
def test_diameters_come_back_from_the_solid(row):
    log = solid_from_tally(row)
    bark = 2.0 * (row.bark_mm or 0.0)
    first = np.array(direction_of(row.oval_clock))
    across = np.array([-first[1], first[0]])
    measured = [(0.0, row.butt_mm, row.butt_2_mm), (row.length_mm, row.tip_mm, row.tip_2_mm)]
    measured += [(middle.at_mm, middle.first_mm, middle.second_mm) for middle in row.middles]
    for z, one, two in measured:
        section = section_at(log, z)
        for way, diameter in ((first, one), (across, two or one)):
            through = section.reach(way) + section.reach(-way)
            assert through == pytest.approx(diameter - bark, abs=1e-6)


@generated(60)
@given(tally_logs())
def test_no_section_is_wider_than_the_tape_said_on_either_side_of_it(row):
    log = solid_from_tally(row)
    bark = 2.0 * (row.bark_mm or 0.0)
    middles = sorted(row.middles, key=lambda middle: middle.at_mm)
    knots = np.array([0.0, *(m.at_mm for m in middles), row.length_mm])
    widths = np.array([row.butt_mm, *(m.first_mm for m in middles), row.tip_mm])
    first = direction_of(row.oval_clock)
    for k, z in enumerate(log.z_mm):
        i = min(int(np.searchsorted(knots, z, side="right")) - 1, len(knots) - 2)
        through = 2.0 * float(np.linalg.norm(log.shape_mm[k] @ first))
        assert through <= max(widths[i : i + 2]) - bark + 1e-6
        assert through >= min(widths[i : i + 2]) - bark - 1e-6


@generated(60)
@given(tally_logs())
def test_the_crown_bulges_where_and_as_far_as_it_was_measured(row):
    log = solid_from_tally(row)
    assert log.center_mm[0] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert log.center_mm[-1] == pytest.approx([0.0, 0.0], abs=1e-9)
    reach = np.linalg.norm(log.center_mm, axis=1)
    assert reach.max() <= row.crown_mm + 1e-9
    at = row.length_mm / 2.0 if row.crown_at_mm is None else row.crown_at_mm
    nearest = int(np.abs(log.z_mm - at).argmin())
    # A station lies at most an eighth of a meter away, where a parabola has fallen little.
    fallen = ((log.z_mm[nearest] - at) / min(at, row.length_mm - at)) ** 2
    assert reach.max() >= row.crown_mm * (1.0 - fallen) - 1e-9
    if row.crown_mm > 0.0:
        farthest = log.center_mm[int(reach.argmax())] / reach.max()
        assert farthest == pytest.approx(direction_of(row.crown_clock), abs=1e-9)
        assert log.crown_clock == pytest.approx(row.crown_clock)
    else:
        assert log.crown_clock is None


@generated(40)
@given(st.floats(0.1, 0.9), st.floats(1.0, 300.0))
def test_the_crown_is_level_where_it_was_measured_and_zero_at_the_ends(share, crown):
    length = 5_300.0
    at = share * length
    z = np.array([0.0, at - 1e-3, at, at + 1e-3, length])
    offset = crown_offset_mm(z, length, crown_mm=crown, crown_at_mm=at)
    assert offset[[0, -1]] == pytest.approx([0.0, 0.0], abs=1e-9)
    assert offset[1:4] == pytest.approx([crown] * 3, abs=1e-6)


def test_a_crown_at_the_middle_is_one_parabola():
    z = np.linspace(0.0, 4_000.0, 9)
    parabola = 4.0 * 37.0 * z * (4_000.0 - z) / 4_000.0**2
    assert crown_offset_mm(z, 4_000.0, crown_mm=37.0, crown_at_mm=2_000.0) == pytest.approx(parabola)


def test_the_pith_runs_with_the_center_line_from_one_offset_to_the_other():
    log = solid_from_tally(ROW)
    assert log.pith_mm[0] == pytest.approx(14.0 * direction_of(2.2))
    assert log.pith_mm[-1] == pytest.approx(5.0 * direction_of(10.5))
    share = log.z_mm / ROW.length_mm
    offset = log.pith_mm - log.center_mm
    for k in (0, 1):
        line = np.interp(share, [0.0, 1.0], [offset[0, k], offset[-1, k]])
        assert offset[:, k] == pytest.approx(line)


def test_bark_comes_off_both_sides_or_is_told_about():
    bare = solid_from_tally(replace(ROW, bark_mm=0.0))
    log = solid_from_tally(ROW)
    assert log.diameter_mm(0) == pytest.approx(bare.diameter_mm(0) - 18.0)
    assert log.bark_known
    assert log.notes == ()
    unknown = solid_from_tally(replace(ROW, bark_mm=None))
    assert not unknown.bark_known
    assert "inside bark" in unknown.notes[0]
    assert unknown.volume_mm3() == pytest.approx(bare.volume_mm3())


@generated(30)
@given(tally_logs(oval=False))
def test_a_tallied_log_and_its_own_slices_are_one_log(row):
    log = solid_from_tally(replace(row, butt_pith_mm=0.0, tip_pith_mm=0.0))
    rows = tuple(
        SliceRow(float(z), *map(float, center), *([2.0 * float(shape[0, 0])] * 2))
        for z, center, shape in zip(log.z_mm, log.center_mm, log.shape_mm, strict=True)
    )
    again = solid_from_slices(SliceLog("again", "spruce", rows, bark_mm=0.0))
    assert again.z_mm == pytest.approx(log.z_mm)
    assert again.center_mm == pytest.approx(log.center_mm, abs=1e-9)
    assert again.shape_mm == pytest.approx(log.shape_mm, abs=1e-9)
    assert again.pith_mm == pytest.approx(log.pith_mm, abs=1e-9)
    assert again.volume_mm3() == pytest.approx(log.volume_mm3())


@generated(60)
@given(slice_logs())
def test_slices_are_measured_from_the_line_between_their_ends(log):
    solid = solid_from_slices(log)
    rows = sorted(log.slices, key=lambda row: row.station_mm)
    length = rows[-1].station_mm - rows[0].station_mm
    assert solid.length_mm == pytest.approx(length)
    assert solid.center_mm[[0, -1]] == pytest.approx(np.zeros((2, 2)), abs=1e-9)
    assert np.all(solid.pith_mm == solid.center_mm)
    for row in rows:
        share = (row.station_mm - rows[0].station_mm) / length
        line = np.array([rows[0].x_mm, rows[0].y_mm]) * (1.0 - share)
        line += np.array([rows[-1].x_mm, rows[-1].y_mm]) * share
        section = section_at(solid, share * length)
        assert section.center_mm == pytest.approx(np.array([row.x_mm, row.y_mm]) - line, abs=1e-6)
        angle = math.radians(row.angle_deg)
        way = np.array([math.cos(angle), math.sin(angle)])
        assert 2.0 * np.linalg.norm(section.shape_mm @ way) == pytest.approx(row.axis_1_mm)
        across = np.array([-way[1], way[0]])
        assert 2.0 * np.linalg.norm(section.shape_mm @ across) == pytest.approx(row.axis_2_mm)


@generated(40)
@given(slice_logs(), st.floats(-300.0, 300.0), st.floats(-300.0, 300.0), st.floats(0.0, 900.0))
def test_where_a_scan_has_its_origin_does_not_matter(log, x, y, z):
    moved = SliceLog(
        log.tag,
        log.species,
        tuple(replace(r, station_mm=r.station_mm + z, x_mm=r.x_mm + x, y_mm=r.y_mm + y) for r in log.slices),
    )
    here, there = solid_from_slices(log), solid_from_slices(moved)
    # A station may be split otherwise where a gap is a whole number of quarter meters.
    assert there.volume_mm3() == pytest.approx(here.volume_mm3(), rel=1e-9)
    assert there.crown_mm == pytest.approx(here.crown_mm, abs=1e-6)


def test_a_scan_that_leans_says_so():
    rows = (SliceRow(0.0, 0.0, 0.0, 300.0, 290.0), SliceRow(4_000.0, 240.0, 320.0, 280.0, 270.0))
    solid = solid_from_slices(SliceLog("S1", "pine", rows, bark_mm=8.0))
    assert len(solid.notes) == 1
    # 400 mm in 4 m is a lean of 1 in 10; the hypotenuse is 0.5 % longer.
    assert "lean 10%" in solid.notes[0]
    assert "read 0.5% wide" in solid.notes[0]
    assert solid.crown_clock is None


def test_the_crown_of_a_scan_is_its_farthest_slice():
    rows = (
        SliceRow(0.0, 10.0, 20.0, 300.0, 300.0),
        SliceRow(1_000.0, 10.0 + 18.0, 20.0 - 24.0, 290.0, 290.0),
        SliceRow(2_500.0, 12.0, 20.0, 280.0, 280.0),
        SliceRow(4_000.0, 10.0, 20.0, 270.0, 270.0),
    )
    solid = solid_from_slices(SliceLog("S2", "pine", rows))
    assert solid.crown_mm == pytest.approx(30.0)
    # 18 right and 24 down: atan2(18, -24) is 143.13 degrees, 4.77 hours.
    assert solid.crown_clock == pytest.approx(math.degrees(math.atan2(18.0, -24.0)) / 30.0)


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"length_mm": 0.0}, "length", "no log's measure"),
        ({"length_mm": -3_000.0}, "length", "no log's measure"),
        ({"length_mm": 55_000.0}, "length", r"between 11 13/16 in \(300 mm\) and 40 m"),
        ({"butt_mm": math.nan}, "butt", "nan mm is no log's measure"),
        ({"tip_mm": math.inf}, "tip", "inf mm is no log's measure"),
        ({"butt_2_mm": 12.0}, "butt_2", "check the unit"),
        ({"tip_2_mm": 4_000.0}, "tip_2", "between"),
        ({"tip_mm": 460.0, "tip_2_mm": None}, "tip", "is larger than butt.*Swap the ends"),
        ({"oval_clock": 0.0}, "oval_clock", "0 is not on the clock; give 1 to 12"),
        ({"crown_clock": 13.0}, "crown_clock", "13 is not on the clock"),
        ({"butt_pith_clock": math.nan}, "butt_pith_clock", "nan is not on the clock"),
        ({"tip_pith_clock": -2.0}, "tip_pith_clock", "-2 is not on the clock"),
        ({"crown_mm": 431.0}, "crown", "no larger than the diameter. Buck a log this crooked"),
        ({"crown_mm": -1.0}, "crown", "0 or more"),
        ({"crown_mm": math.nan}, "crown", "nan mm"),
        ({"crown_at_mm": 0.0}, "crown_at", "between the ends"),
        ({"crown_at_mm": 6_150.0}, "crown_at", "between the ends"),
        ({"bark_mm": 85.0}, "bark", "under a quarter of the diameter"),
        ({"bark_mm": -1.0}, "bark", "thickness on one side"),
        ({"butt_pith_mm": 205.0}, "butt_pith", "from the center of an end of radius"),
        ({"tip_pith_mm": -1.0}, "tip_pith", "distance from 0 to the radius"),
        ({"middles": (Middle(7_000.0, 350.0),)}, "mid_1_at", "place of its own"),
        ({"middles": (Middle(900.0, 350.0), Middle(900.0, 351.0))}, "mid_2_at", "place of its own"),
        ({"middles": (Middle(900.0, 0.0),)}, "mid_1", "no log's measure"),
        ({"middles": (Middle(900.0, 350.0, 5_000.0),)}, "mid_1_2", "no log's measure"),
        ({"middles": (Middle(900.0, 350.0, 750.0),)}, "mid_1_2", "a section this oval is no round log"),
        ({"middles": (Middle(900.0, 800.0),)}, "mid_1", "on a log with ends of .* check the unit"),
        ({"tip_2_mm": 150.0}, "tip_2", "a section this oval is no round log"),
    ],
)
def test_measures_that_make_no_log_are_told_with_their_field(changes, field, told):
    row = replace(ROW, **changes)
    assert {fault.field for fault in tally_faults(row)} == {field}
    with pytest.raises(LogError, match=told):
        solid_from_tally(row)


def test_all_faults_are_told_at_once():
    row = replace(ROW, crown_mm=900.0, crown_clock=14.0, bark_mm=-4.0, tip_mm=470.0, tip_2_mm=470.0)
    fields = [fault.field for fault in tally_faults(row)]
    assert sorted(fields) == ["bark", "crown", "crown_clock", "tip"]
    with pytest.raises(LogError) as caught:
        solid_from_tally(row)
    assert len(str(caught.value).splitlines()) == 4


def test_a_tip_a_little_larger_is_a_measuring_error_and_a_larger_one_may_be_accepted():
    assert tally_faults(replace(ROW, tip_mm=430.0, tip_2_mm=430.0)) == []
    swollen = replace(ROW, tip_mm=480.0, tip_2_mm=480.0)
    assert tally_faults(swollen, tip_larger_ok=True) == []
    assert solid_from_tally(swollen, tip_larger_ok=True).diameter_mm(-1) == pytest.approx(462.0)


@pytest.mark.parametrize(
    ("slices", "told"),
    [
        ((SliceRow(0.0, 0.0, 0.0, 300.0, 300.0),), "one slice is no log"),
        (
            (
                SliceRow(0.0, 0.0, 0.0, 300.0, 300.0),
                SliceRow(0.4, 0.0, 0.0, 300.0, 300.0),
                SliceRow(3_000.0, 0.0, 0.0, 300.0, 300.0),
            ),
            "two slices stand at the same place",
        ),
        (
            (SliceRow(0.0, 0.0, 0.0, 300.0, 300.0), SliceRow(200.0, 0.0, 0.0, 300.0, 300.0)),
            "station: .* is no log's measure",
        ),
        (
            (SliceRow(0.0, 0.0, 0.0, 300.0, 0.0), SliceRow(3_000.0, 0.0, 0.0, 300.0, 300.0)),
            "axis_2: .* is no log's measure",
        ),
    ],
)
def test_slices_that_make_no_log_are_told(slices, told):
    with pytest.raises(LogError, match=told):
        solid_from_slices(SliceLog("S3", "pine", slices))


@pytest.mark.parametrize("field", ["x_mm", "y_mm", "angle_deg"])
@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_slice_that_lies_nowhere_is_told(field, value):
    rows = (SliceRow(0.0, 0.0, 0.0, 300.0, 290.0), SliceRow(3_000.0, 5.0, 0.0, 280.0, 270.0))
    lost = (rows[0], replace(rows[1], **{field: value}))
    name = field.split("_")[0]
    with pytest.raises(LogError, match=f"^{name}: {value:g}"):
        solid_from_slices(SliceLog("S5", "pine", lost))


def test_bark_thicker_than_a_scan_is_told():
    rows = (SliceRow(0.0, 0.0, 0.0, 300.0, 290.0), SliceRow(3_000.0, 0.0, 0.0, 280.0, 200.0))
    assert slice_faults(SliceLog("S4", "pine", rows, bark_mm=49.0)) == []
    faults = slice_faults(SliceLog("S4", "pine", rows, bark_mm=50.0))
    assert [fault.field for fault in faults] == ["bark"]


@generated(20)
@given(clocks)
def test_pith_offsets_point_where_the_clock_says(clock):
    log = solid_from_tally(replace(ROW, butt_pith_mm=30.0, butt_pith_clock=clock))
    # Clockwise from 12 as seen from the butt, x to the right.
    angle = math.radians(30.0 * clock)
    assert log.pith_mm[0] == pytest.approx([30.0 * math.sin(angle), 30.0 * math.cos(angle)])
