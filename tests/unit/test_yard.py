"""A tally is read the same in any spelling, and becomes the log that its measures say.

Expected solids come from the core's own model, given the same measures as numbers of millimeters
that were worked out by hand from 1 in = 25.4 mm; kind: derived apart.
"""

import csv
import io

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pithline.fit import Timber, place
from pithline.job import demo_files, read_yard, yard_from_text
from pithline.lengths import Tape
from pithline.logs import Middle, TallyLog, solid_from_tally

ARRAYS = ("z_mm", "center_mm", "shape_mm", "pith_mm")
# Reading ends in one rounding to a float; what follows is the same arithmetic on it.
SAME_MM = 1e-9

INCHES = """tag,species,length,butt [in],butt_2 [in],tip [in],tip_2 [in],oval_clock,mid_1_at [ft],mid_1 [in],mid_2_at,\
mid_2 [in],mid_2_2 [in],crown [in],crown_at [ft],crown_clock,bark [in],butt_pith [in],butt_pith_clock,tip_pith [in],\
tip_pith_clock,notes
B7,eastern hemlock,19' 7 1/2,15 1/4,14 7/8,11 3/8,11,2:30,14 1/2,12 1/8,6 ft,13 3/4,13 1/2,1 5/8,8,8:15,7/16,5/8,5,\
3/8,11.5,"knotty, \"\"bad\"\" tip"
"""
MILLIMETERS = """Tag;Species;Length [m];Butt (mm);Butt-2 [mm];Tip (cm);tip 2 (cm);oval clock;MID_1_AT [m];mid_1 [mm];\
mid_2_at [mm];mid_2 [mm];mid_2_2 [mm];crown [mm];crown_at [m];crown_clock;bark [mm];butt_pith [cm];butt_pith_clock;\
tip_pith [mm];tip_pith_clock
B7;eastern hemlock;5,9817;387,35;377.825;28,8925;27,94;2,5;4,4196;307.975;1828,8;349,25;342,9;41.275;2,4384;8 1/4;\
11,1125;1,5875;5;9.525;11:30
"""
EXPECTED = TallyLog(
    tag="B7",
    species="eastern hemlock",
    length_mm=5981.7,
    butt_mm=387.35,
    tip_mm=288.925,
    butt_2_mm=377.825,
    tip_2_mm=279.4,
    oval_clock=2.5,
    middles=(Middle(4419.6, 307.975), Middle(1828.8, 349.25, 342.9)),
    crown_mm=41.275,
    crown_at_mm=2438.4,
    crown_clock=8.25,
    bark_mm=11.1125,
    butt_pith_mm=15.875,
    butt_pith_clock=5.0,
    tip_pith_mm=9.525,
    tip_pith_clock=11.5,
)
HEAD = "tag,species,length [ft],butt [in],tip [in]"


def one(text, **options):
    logs = yard_from_text(text, file="yard.csv", **options)
    assert len(logs) == 1
    return logs[0]


def assert_same(one_log, other, within=SAME_MM):
    for name in ARRAYS:
        np.testing.assert_allclose(getattr(one_log, name), getattr(other, name), rtol=0, atol=within, err_msg=name)
    for name in ("tag", "species", "bark_known"):
        assert getattr(one_log, name) == getattr(other, name)
    assert one_log.crown_mm == pytest.approx(other.crown_mm, abs=within)
    assert (one_log.crown_clock is None) == (other.crown_clock is None)


def test_every_measure_of_a_tally_lands_in_the_solid():
    log = one(INCHES)
    assert_same(log, solid_from_tally(EXPECTED))
    assert log.crown_clock == pytest.approx(8.25, abs=1e-12)
    assert log.notes == ()


def test_both_unit_worlds_give_the_same_log():
    assert_same(one(MILLIMETERS), one(INCHES))


def test_a_cells_own_unit_comes_before_the_heads():
    own = f"{HEAD}\nB7,pine,5486.4 mm,33.02 cm,10 1/2\n"
    assert_same(one(own), one(f"{HEAD}\nB7,pine,18,13,10 1/2\n"))


def test_a_column_without_a_unit_takes_cells_that_have_their_own():
    text = "tag,species,length,butt,tip\nB7,pine,18 ft,13 in,266.7 mm\n"
    assert_same(one(text), one(f"{HEAD}\nB7,pine,18,13,10 1/2\n"))


@pytest.mark.parametrize("mark", [",", ";", "\t"], ids=["comma", "semicolon", "tab"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"], ids=["LF", "CRLF", "CR"])
def test_delimiters_and_line_ends_change_nothing(tmp_path, mark, end):
    rows = [HEAD.split(","), ["B7", "pine; white, tall\tone", "18", "13", "10 1/2"]]
    file = io.StringIO()
    csv.writer(file, delimiter=mark, lineterminator=end).writerows(rows)
    path = tmp_path / "yard.csv"
    path.write_bytes(b"\xef\xbb\xbf" + file.getvalue().encode())
    (log,) = read_yard(path)
    assert_same(log, one(f'{HEAD}\nB7,"pine; white, tall one",18,13,10 1/2\n'))


def test_blank_lines_comments_and_empty_cells_at_the_end_are_passed_over():
    text = (
        f'\n# a "yard"; with, marks\n\n{HEAD},,\n,,,,,,\n  # B6,pine,18,13,9,,\n'
        f'"# saved by a spreadsheet",,,,,,\nB7,pine,18,13,10 1/2,,\n\nB8,pine,18,13,10,,,,,\n'
    )
    logs = yard_from_text(text, file="yard.csv")
    assert [log.tag for log in logs] == ["B7", "B8"]


def test_rows_are_numbered_as_a_spreadsheet_numbers_them():
    text = f'# one\n\n{HEAD},notes\nB7,pine,18,13,10,"two\nlines"\n# five\nB8,pine,18,13,oak,\n'
    with pytest.raises(ValueError, match=r"^yard.csv row 6, column tip: read “oak”"):
        yard_from_text(text, file="yard.csv")


def test_logs_keep_their_order_and_their_tags_their_case():
    rows = [f"{tag},pine,18,13,10" for tag in ("b2", "A10", " A  9 ")]
    logs = yard_from_text("\n".join([HEAD, *rows]), file="yard.csv")
    assert [log.tag for log in logs] == ["b2", "A10", "A 9"]


@pytest.mark.parametrize(
    ("cell", "hours"),
    [
        ("2", 2.0),
        ("2.5", 2.5),
        ('"2,5"', 2.5),
        ("2:30", 2.5),
        ("02:30", 2.5),
        ("2:30:00", 2.5),
        ("2 1/2", 2.5),
        ("2-3/4", 2.75),
        ("2 ¼", 2.25),
        ("2 o'clock", 2.0),
        ("2:15 o’clock", 2.25),
        ("12", 12.0),
        ("12:59", 12 + 59 / 60),
        ("1", 1.0),
    ],
)
def test_clock_positions_are_read_as_they_are_said(cell, hours):
    log = one(f"{HEAD},crown [in],crown_clock\nB7,pine,18,13,10,2,{cell}\n")
    assert log.crown_clock == pytest.approx(hours, abs=1e-12)


def test_a_zero_crown_needs_no_side():
    log = one(f"{HEAD},crown [in],crown_clock,butt_pith [in]\nB7,pine,18,13,10,0,,0.0\n")
    assert log.crown_clock is None


def test_two_diameters_without_a_direction_are_told_in_a_note():
    head = f"{HEAD},butt_2 [in],oval_clock"
    told = one(f"{head}\nB7,pine,18,13,10,12,\n")
    assert "3 o'clock, since no oval_clock is given" in told.notes[-1]
    assert not any("oval" in note for note in one(f"{head}\nB7,pine,18,13,10,12,3\n").notes)
    assert not any("oval" in note for note in one(f"{head}\nB7,pine,18,13,10,13,\n").notes)
    assert_same(told, one(f"{head}\nB7,pine,18,13,10,12,3\n"))


def test_a_tip_larger_than_the_butt_is_asked_about_and_can_be_accepted():
    text = f"{HEAD}\nB7,pine,18,13,17\n"
    with pytest.raises(ValueError, match=r"Swap the ends, measure again, or accept it with --tip-larger-ok\.$"):
        yard_from_text(text, file="yard.csv")
    log = one(text, tip_larger_ok=True)
    assert (log.diameter_mm(0), log.diameter_mm(-1)) == pytest.approx((330.2, 431.8), abs=1e-9)


def test_middle_diameters_may_stand_in_any_order_and_leave_gaps():
    head = f"{HEAD},mid_3 [in],mid_3_at [ft],mid_1 [in],mid_1_at [ft]"
    log = one(f"{head}\nB7,pine,18,13,10,12.5,4,,\n")
    expected = TallyLog("B7", "pine", 5486.4, 330.2, 254.0, middles=(Middle(1219.2, 317.5),))
    assert_same(log, solid_from_tally(expected))


@settings(deadline=2000, max_examples=60)
@given(
    length_in=st.integers(9 * 12 * 16, 25 * 12 * 16),
    butt=st.integers(12 * 16, 18 * 16),
    drop=st.integers(0, 4 * 16),
    crown=st.integers(0, 4 * 16),
    clock=st.integers(60, 779),
)
def test_what_a_tape_shows_reads_back_to_the_same_log(length_in, butt, drop, crown, clock):
    sixteenth = 25.4 / 16
    row = TallyLog(
        tag="B7",
        species="pine",
        length_mm=length_in * sixteenth,
        butt_mm=butt * sixteenth,
        tip_mm=(butt - drop) * sixteenth,
        crown_mm=crown * sixteenth,
        crown_clock=clock / 60,
    )
    tape = Tape("in", 16)
    cells = [
        *("B7", "pine", tape.show_long(row.length_mm), tape.show(row.butt_mm), tape.number(row.tip_mm)),
        *(tape.number(row.crown_mm), f"{clock // 60}:{clock % 60:02d}"),
    ]
    head = "tag,species,length,butt,tip [in],crown [in],crown_clock"
    assert_same(one(f"{head}\n{','.join(cells)}\n"), solid_from_tally(row), within=1e-8)


# --- the demo ----------------------------------------------------------------


@pytest.fixture(scope="module")
def demo():
    return {log.tag: log for log in yard_from_text(demo_files()["yard.csv"], file="yard.csv")}


def test_the_demo_yard_has_twenty_six_logs_of_common_size(demo):
    assert list(demo) == [f"A{k:02d}" for k in range(1, 27)]
    lengths_ft = [log.length_mm / 304.8 for log in demo.values()]
    assert min(lengths_ft) > 9
    assert max(lengths_ft) < 25.5
    # Taper 0.4 to 0.6 in per 4 ft is common (published averages); a demo log is near that.
    tapers = [(log.diameter_mm(0) - log.diameter_mm(-1)) / 25.4 / (log.length_mm / 1219.2) for log in demo.values()]
    assert min(tapers) > 0.35
    assert max(tapers) < 0.75
    assert all(log.bark_known for log in demo.values())
    assert {log.species for log in demo.values()} == {"eastern white pine", "eastern hemlock", "red spruce"}


def test_some_of_the_demo_logs_hold_a_plate_and_each_miss_has_its_reason(demo):
    plate = Timber(6 * 25.4, 8 * 25.4, 20 * 304.8)
    placed = {tag: place(log, plate) for tag, log in demo.items()}
    good = [tag for tag, found in placed.items() if found.fits]
    assert good == ["A01", "A02", "A03", "A04", "A05", "A12", "A14", "A17", "A18", "A21"]
    assert placed["A06"].clearance_mm < 0
    assert placed["A06"].short_mm == 0
    assert placed["A10"].short_mm > 3000
    crowns_in = {tag: log.crown_mm / 25.4 for tag, log in demo.items()}
    assert max(crowns_in, key=crowns_in.get) == "A14"
