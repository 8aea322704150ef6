"""The workbook of a plan: numbers stay numbers, names stay text, bytes stay the same, other files stay unharmed."""

import io
import os
import zipfile
from collections import Counter
from dataclasses import replace

import openpyxl
import pytest

from match_cases import BOARDS, LIST, YARD, beam, log
from pithline.errors import FileError, MatchError
from pithline.job.workbook import plan_workbook, write_workbook
from pithline.lengths import Tape
from pithline.match import Effort, Wishes, match_logs
from pithline.patterns import PriceList
from strategies import KIT

INCHES, METRIC = Tape("in"), Tape("mm")
FORMULAS = ("=1+1", "+1", "-1", "@sum(a1)", "1e5", "https://example.org")


@pytest.fixture(scope="module")
def answer():
    """A plan of three logs, a log sawn before, and timbers that no log holds, with names that look like formulas."""
    prices = PriceList((*LIST.timbers, *(beam(name, 8, 8, 30, 1) for name in FORMULAS)), BOARDS)
    wishes = Wishes(sawn={"L4": {"purlin": 1}})
    return match_logs((*YARD, log("=L5", 12, 12.2)), prices, kit=KIT, wishes=wishes, effort=Effort(rounds=1))


def opened(answer, tape, number=1):
    return openpyxl.load_workbook(io.BytesIO(plan_workbook(answer, number, tape=tape)))


@pytest.mark.parametrize(("tape", "size", "far"), [(INCHES, "in", "ft"), (METRIC, "mm", "mm")])
def test_sizes_are_numbers_with_their_unit_in_the_head(answer, tape, size, far):
    book = opened(answer, tape)
    plan = answer.plans[0]
    by, long = (25.4, 304.8) if tape is INCHES else (1.0, 1.0)
    head, *rows = book["Pieces"].iter_rows()
    names = [cell.value for cell in head]
    assert names[3:7] == [f"thickness [{size}]", f"width [{size}]", f"length [{far}]", f"from the butt [{far}]"]
    pieces = [piece for one in plan.assignments for piece in (*one.pattern.timbers, *one.pattern.boards)]
    for row, piece in zip(rows, pieces, strict=True):
        assert {cell.data_type for cell in row[3:]} == {"n"}
        told = [cell.value for cell in row[3:7]]
        true = [piece.thickness_mm / by, piece.width_mm / by, piece.length_mm / long, piece.start_mm / long]
        assert told == pytest.approx(true, abs=1e-4)
    # Derived apart: the plan's own sum of its side lumber.
    boards = [row[7].value for row in rows if row[2].value == "board"]
    assert sum(boards) == pytest.approx(plan.boards_bf, abs=1e-3 * len(boards))


def test_the_sheet_of_timbers_adds_up(answer):
    head, *rows = opened(answer, INCHES)["Timbers"].values
    assert head[:5] == ("timber", "wanted", "sawn already", "from this plan", "missing")
    assert [row[0] for row in rows] == [item.name for item in answer.prices.timbers]
    for row in rows:
        assert row[1] == row[2] + row[3] + row[4]
        assert bool(row[4]) == bool(row[6])
    assert next(row[2] for row in rows if row[0] == "purlin") == 1
    assert "too short by" in next(row[6] for row in rows if row[0] == "=1+1")


def test_logs_stand_in_the_order_of_work_with_chance_and_minutes_as_numbers(answer):
    plan = answer.plans[0]
    _, *rows = opened(answer, INCHES)["Plan"].iter_rows()
    for row, one, day in zip(rows, plan.assignments, plan.days, strict=True):
        assert [cell.value for cell in row[:2]] == [day, one.log.tag]
        assert row[1].data_type in {"s", "inlineStr"}
        assert [row[k].value for k in (6, 7)] == pytest.approx([one.pattern.minutes, one.chance], abs=0.05)
        assert {row[k].data_type for k in (0, 3, 4, 6, 7)} == {"n"}


def test_nothing_in_it_is_a_formula_or_a_link(answer):
    book = opened(answer, INCHES)
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert not [cell.value for cell in cells if cell.data_type == "f" or cell.hyperlink is not None]
    names = Counter(cell.value for cell in book["Timbers"]["A"] if cell.data_type in {"s", "inlineStr"})
    assert all(names[name] == 1 for name in FORMULAS)


def test_a_name_with_control_characters_stays_text(answer):
    odd = replace(answer.prices.timbers[0], name="post\x01\x1b[31m")
    prices = replace(answer.prices, timbers=(odd, *answer.prices.timbers[1:]))
    data = plan_workbook(replace(answer, prices=prices), tape=INCHES)
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        assert not [name for name in book.namelist() if b"\x01" in book.read(name) or b"\x1b" in book.read(name)]
    rows = list(opened(replace(answer, prices=prices), INCHES)["Timbers"].values)
    assert rows[1][0].startswith("post")


def test_no_clock_is_read(answer):
    data = plan_workbook(answer, tape=INCHES)
    with zipfile.ZipFile(io.BytesIO(data)) as book:
        assert {info.date_time for info in book.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        told = book.read("docProps/core.xml").decode()
    assert told.count("2000-01-01T00:00:00Z") == 2


def test_each_plan_has_its_workbook_and_no_other(answer):
    for number, plan in enumerate(answer.plans, 1):
        rows = list(opened(answer, INCHES, number)["Plan"].values)
        assert [row[1] for row in rows[1:]] == [one.log.tag for one in plan.assignments]
    assert len(list(opened(answer, INCHES)["All plans"].values)) == 1 + len(answer.plans)
    for number in (0, len(answer.plans) + 1):
        with pytest.raises(MatchError, match=f"there is no plan {number}"):
            plan_workbook(answer, number, tape=INCHES)


# What is there already.


def own_workbook():
    """A workbook that the user made."""
    book, data = openpyxl.Workbook(), io.BytesIO()
    book.active["A1"] = "hours of a whole winter"
    book.save(data)
    return data.getvalue()


def packed(name, held):
    """An archive of one file."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as archive:
        archive.writestr(name, held)
    return data.getvalue()


@pytest.mark.parametrize(
    "there",
    [
        own_workbook(),
        packed("notes.txt", "notes"),
        packed("docProps/core.xml", "no markup"),
        packed("docProps/core.xml", "<a>" + " " * 200_000 + "</a>"),
        b"PK\x03\x04 cut off",
        b"plain text",
    ],
    ids=["workbook", "archive", "no markup", "too large", "cut off", "text"],
)
def test_another_file_is_not_written_over(answer, tmp_path, there):
    target = tmp_path / "mine.xlsx"
    target.write_bytes(there)
    with pytest.raises(FileError, match="is there and no workbook of a plan: give another name"):
        write_workbook(target, plan_workbook(answer, tape=INCHES))
    assert target.read_bytes() == there
    assert [path.name for path in tmp_path.iterdir()] == ["mine.xlsx"]


def test_an_earlier_plan_is_written_over_also_when_another_program_saved_it(answer, tmp_path):
    target = tmp_path / "plan.XLSX"
    data = plan_workbook(answer, tape=INCHES)
    write_workbook(target, data)
    book = openpyxl.load_workbook(target)
    book["Plan"]["L1"] = "done"
    book.save(target)
    write_workbook(target, data)
    assert target.read_bytes() == data
    target.write_bytes(b"")
    write_workbook(target, data)
    assert target.read_bytes() == data


def test_what_is_no_plain_file_is_refused_and_not_waited_for(answer, tmp_path):
    data = plan_workbook(answer, tape=INCHES)
    (tmp_path / "folder.xlsx").mkdir()
    with pytest.raises(FileError, match="is a folder"):
        write_workbook(tmp_path / "folder.xlsx", data)
    os.mkfifo(tmp_path / "pipe.xlsx")
    with pytest.raises(FileError, match="is not a plain file"):
        write_workbook(tmp_path / "pipe.xlsx", data)
    with pytest.raises(FileError, match="is not there: make it first"):
        write_workbook(tmp_path / "nowhere" / "plan.xlsx", data)
    with pytest.raises(FileError, match=r"does not end in \.xlsx"):
        write_workbook(tmp_path / "plan.ods", data)
