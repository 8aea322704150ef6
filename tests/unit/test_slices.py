"""Slices of scanned logs become the log that they were taken from.

The fifteen real logs and where they come from: tests/data/real_logs/PROVENANCE.md.
"""

import csv
import random
from pathlib import Path

import numpy as np
import pytest

from pithline.errors import FileError
from pithline.job import read_yard, yard_from_text
from pithline.logs import SliceLog, SliceRow, solid_from_slices

REAL = Path(__file__).parent.parent / "data" / "real_logs"
HEAD = "tag,station [mm],x [mm],y [mm],axis_1 [mm],axis_2 [mm],angle [deg],species,bark [mm]"
ROWS = [
    "N3,40,-12.5,8,352,331,30,red oak,11",
    "N3,1290,20.25,-41.5,340.5,322,-15.5,red oak,11",
    "N3,2390,31,-6,318,309,200,red oak,11",
]
SLICES = (
    SliceRow(40, -12.5, 8, 352, 331, 30),
    SliceRow(1290, 20.25, -41.5, 340.5, 322, -15.5),
    SliceRow(2390, 31, -6, 318, 309, 200),
)
ARRAYS = ("z_mm", "center_mm", "shape_mm", "pith_mm")


def table(rows, head=HEAD):
    return "\n".join([head, *rows]) + "\n"


def assert_same(one, other, within=1e-9):
    for name in ARRAYS:
        np.testing.assert_allclose(getattr(one, name), getattr(other, name), rtol=0, atol=within, err_msg=name)


def test_every_measure_of_a_slice_lands_in_the_solid():
    (log,) = yard_from_text(table(ROWS), file="scan.csv")
    assert_same(log, solid_from_slices(SliceLog("N3", "red oak", SLICES, 11)))
    assert (log.tag, log.species, log.bark_known) == ("N3", "red oak", True)


def test_units_and_the_order_of_rows_change_nothing():
    head = "tag;station [m];x [cm];y [in];axis_1;axis_2 [mm];angle;species;bark"
    rows = [
        "N3;2,39;3,1;-6 mm;31,8 cm;309;200°;red oak;",
        "N3;0,04;-1,25;8 mm;352 mm;331;30 deg;;11 mm",
        "N3;1,29;2.025;-41,5 mm;340,5 mm;322;−15,5;;11 mm",
    ]
    (log,) = yard_from_text(table(rows, head), file="scan.csv")
    assert_same(log, solid_from_slices(SliceLog("N3", "red oak", SLICES, 11)))
    assert log.species == "red oak"


def test_several_logs_keep_the_order_in_which_they_first_appear():
    other = [row.replace("N3", "A1") for row in ROWS]
    rows = [ROWS[1], other[0], ROWS[2], other[2], ROWS[0], other[1]]
    first, second = yard_from_text(table(rows), file="scan.csv")
    assert (first.tag, second.tag) == ("N3", "A1")
    assert_same(first, second)


def test_one_log_without_a_tag_has_the_name_of_its_file(tmp_path):
    path = tmp_path / "north slope 7.csv"
    path.write_text("station [in],x [in],y [in],axis_1 [in],axis_2 [in]\n0,0,0,14,14\n8 ft,1,-1/2,12,12\n")
    (log,) = read_yard(path)
    assert (log.tag, log.species) == ("north slope 7", "unknown")
    assert log.length_mm == pytest.approx(2438.4)


def test_axes_without_an_angle_are_told_in_a_note():
    head = "station [mm],x [mm],y [mm],axis_1 [mm],axis_2 [mm]"
    (oval,) = yard_from_text(table(["0,0,0,352,331", "2000,0,0,340,340"], head), file="scan.csv")
    (level,) = yard_from_text(table(["0,0,0,352,331,0", "2000,0,0,340,340,0"], head + ",angle"), file="scan.csv")
    (round_,) = yard_from_text(table(["0,0,0,352,352", "2000,0,0,340,340"], head), file="scan.csv")
    assert_same(oval, level)
    assert "since no angle is given" in oval.notes[-1]
    assert not any("angle" in note for note in (*level.notes, *round_.notes))


@pytest.mark.parametrize(
    ("place", "cell", "row", "column", "said"),
    [
        (0, "", 3, "tag", "the cell is empty. Write the tag of the log that the slice is from."),
        (0, "n3", 3, "tag", "read “n3”; row 2 has it as N3. Write one log's tag one way."),
        (1, "40.9", 3, "station", "read “40.9” [mm]; row 2 is at the same place. Keep one of them."),
        (1, "", 3, "station", "the cell is empty."),
        (2, "nan", 3, "x", "read “nan”; it is no number that a tape can show"),
        (3, "1e3", 3, "y", "read “1e3”; it has an exponent"),
        (4, "-340", 3, "axis_1", "read “-340”"),
        (4, "39", 3, "axis_1", "read “39” [mm]; axis_1: 1 9/16 in (39 mm) is no log's measure"),
        (5, "3220", 3, "axis_2", "read “3220” [mm]; axis_2: 10 ft 6 3/4 in (3220 mm) is no log's measure"),
        (6, "361", 3, "angle", "read “361”; angle is in degrees, counterclockwise from level on the right."),
        (6, "", 3, "angle", "the cell is empty. Write the angle in degrees, 0 for level."),
        (7, "oak", 3, "species", "read “oak”; row 2 of the same log has “red oak”. Keep one of them."),
        (8, "12", 3, "bark", "read “12” [mm]; row 2 of the same log has “11”. Keep one of them."),
    ],
)
def test_a_bad_cell_is_told_with_its_row_and_column(place, cell, row, column, said):
    cells = ROWS[1].split(",")
    cells[place] = cell
    with pytest.raises(FileError) as caught:
        yard_from_text(table([ROWS[0], ",".join(cells), ROWS[2]]), file="scan.csv")
    assert len(caught.value.faults) == 1
    assert caught.value.faults[0].startswith(f"scan.csv row {row}, column {column}: {said}")


def test_two_like_faults_of_one_log_are_told_at_their_own_rows():
    rows = [
        f"N3,{z},0,0,{a},{b},0,red oak,11" for z, a, b in [(0, 5, 300), (900, 300, 5), (1800, 5, 5), (2700, 290, 290)]
    ]
    with pytest.raises(FileError) as caught:
        yard_from_text(table(rows), file="scan.csv")
    assert [fault.partition(":")[0] for fault in caught.value.faults] == [
        *("scan.csv row 2, column axis_1", "scan.csv row 3, column axis_2"),
        *("scan.csv row 4, column axis_1", "scan.csv row 4, column axis_2"),
        "scan.csv row 5, column axis_1",
    ]
    assert "is larger than butt" in caught.value.faults[-1]


def test_a_log_of_one_slice_is_told():
    with pytest.raises(FileError, match=r"row 2, column station: .*log N3: station: one slice is no log"):
        yard_from_text(table(ROWS[:1]), file="scan.csv")


def test_bark_that_leaves_no_wood_is_told_where_it_is_written():
    rows = [row.removesuffix("11") + "90" for row in ROWS]
    with pytest.raises(FileError, match=r"^scan.csv row 2, column bark: read “90” \[mm\]; bark: 3 9/16 in \(90 mm\)"):
        yard_from_text(table(rows), file="scan.csv")


def test_a_scan_that_starts_at_the_tip_is_asked_about():
    rows = [row.replace(",40,", ",4000,") for row in ROWS]
    with pytest.raises(FileError) as caught:
        yard_from_text(table(rows), file="scan.csv")
    (told,) = caught.value.faults
    assert told.startswith("scan.csv row 2, column axis_1: read “352” [mm]; log N3: tip: ")
    assert told.endswith("Count stations from the butt, measure again, or accept it with --tip-larger-ok.")
    (log,) = yard_from_text(table(rows), file="scan.csv", tip_larger_ok=True)
    assert log.diameter_mm(-1) > log.diameter_mm(0)


def test_heads_of_slices_are_told_from_heads_of_a_tally():
    with pytest.raises(FileError) as caught:
        yard_from_text("tag,station [mm],x [mm],axis_1 [mm],axis-3 [mm]\nN3,0,0,300,300\n", file="scan.csv")
    assert caught.value.faults == (
        "scan.csv row 1, column 5: read “axis-3 [mm]”; no such column is known. Is axis_2 meant?",
        "scan.csv row 1: the column y is missing. Add it with the head y [in] or y [mm].",
        "scan.csv row 1: the column axis_2 is missing. Add it with the head axis_2 [in] or axis_2 [mm].",
    )


# --- real logs ---------------------------------------------------------------


@pytest.fixture(scope="module")
def real():
    return read_yard(REAL / "slices.csv"), read_yard(REAL / "tally.csv")


def test_the_fifteen_real_logs_are_read_in_both_forms(real):
    scanned, tallied = real
    assert len(scanned) == 15
    assert [log.tag for log in scanned] == [log.tag for log in tallied]
    lengths = [log.length_mm for log in scanned]
    assert lengths == [log.length_mm for log in tallied]
    assert sorted(set(lengths)) == [3750.0, 4000.0]
    # Over bark, with no bark measured: the output has to say so.
    assert all(not log.bark_known and "inside bark" in log.notes[0] for log in (*scanned, *tallied))


def test_the_crowns_of_the_real_tally_are_those_of_the_slices(real):
    for scan, tally in zip(*real, strict=True):
        # The tally has them to 0.1 mm and 0.01 hours; halves of the last digit.
        assert scan.crown_mm == pytest.approx(tally.crown_mm, abs=0.051)
        apart = (scan.crown_clock - tally.crown_clock + 6) % 12 - 6
        assert abs(apart) <= 0.0051


def test_a_tally_of_a_real_log_has_nearly_the_volume_of_its_slices(real):
    # Frozen from our own run: the worst, a swollen log, is 2.3 % apart; the median 0.3 %.
    apart = [abs(tally.volume_mm3() / scan.volume_mm3() - 1) for scan, tally in zip(*real, strict=True)]
    assert max(apart) < 0.025
    assert sorted(apart)[7] < 0.004


def test_leaning_real_logs_say_so(real):
    leaning = [log.tag for log in real[0] if any("lean" in note for note in log.notes)]
    assert leaning == [
        *("tree1_ITSMe-2", "tree1_ITSMe-3", "tree2_ITSMe-1", "tree2_ITSMe-2", "tree2_ITSMe-3"),
        *("buttressed1_ITSMe-2", "buttressed1_ITSMe-3"),
    ]


def test_shuffled_slices_of_the_real_logs_give_the_same_logs(real, tmp_path):
    head, *rows = (REAL / "slices.csv").read_text().splitlines()
    random.Random(4).shuffle(rows)
    (tmp_path / "mixed.csv").write_text(table(rows, head))
    mixed = {log.tag: log for log in read_yard(tmp_path / "mixed.csv")}
    for log in real[0]:
        assert_same(mixed[log.tag], log, within=0.0)


def test_boundary_slices_of_the_real_logs_belong_to_both_neighbors():
    with (REAL / "slices.csv").open() as file:
        rows = list(csv.DictReader(file))
    logs = {}
    for row in rows:
        logs.setdefault(row.pop("tag"), []).append([row[key] for key in ("x [mm]", "y [mm]", "axis_1 [mm]")])
    assert [len(slices) for slices in logs.values()] == [17, 17, 17, 17, 17, 17, 17, 17, 16, 16, 17, 17, 17, 16, 9]
    for tag, slices in logs.items():
        stem, number = tag.rsplit("-", 1)
        following = logs.get(f"{stem}-{int(number) + 1}")
        assert following is None or following[0] == slices[-1]
