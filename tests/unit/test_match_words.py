"""Words, sheet and workbook of a plan: an outcome has its sentence, numbers round the safe way. Yards are invented."""

import io
import math
from dataclasses import replace

import openpyxl
import pypdfium2
import pytest

from match_cases import BOARDS, LIST, YARD, beam, log
from pithline.answers.match_forms import fault_form, match_form
from pithline.answers.match_pages import match_lines
from pithline.answers.match_words import chance_text, idle_text, nearest_text, needs_text, status_text
from pithline.errors import FileError, SheetError
from pithline.job.workbook import plan_workbook, write_workbook
from pithline.lengths import Tape
from pithline.match import Effort, Idle, Lock, Nearest, Needs, Wishes, match_logs
from pithline.patterns import PriceList
from pithline.sheets.plan_sheet import plan_sheet_pdf
from strategies import INCH, KIT

INCHES, METRIC = Tape("in"), Tape("mm")


@pytest.fixture(scope="module")
def answer():
    """A plan with a lock, a timber missing, a log held back, and a name that looks like a formula."""
    prices = PriceList((*LIST.timbers, beam("=1+1", 8, 8, 30, 1)), BOARDS)
    wishes = Wishes(locks=(Lock("post", "L3"),), forbidden=("L4",))
    return match_logs((*YARD, log("L5", 12, 12.2)), prices, kit=KIT, wishes=wishes, effort=Effort(rounds=1))


@pytest.mark.parametrize(
    ("share", "told"),
    [(1.0, "over 99 %"), (0.995, "over 99 %"), (0.989, "98 %"), (0.5, "50 %"), (0.01, "1 %"), (0.0, "under 1 %")],
)
def test_a_chance_is_rounded_down_and_never_certain(share, told):
    assert chance_text(share) == told


def near(lacks, **more):
    return Nearest("A07", lacks, **more)


@pytest.mark.parametrize(
    ("nearest", "told"),
    [
        (near("length", short_mm=8.01 * INCH), "A07 comes nearest: too short by 8 1/16 in"),
        (
            near(
                "wood",
                missing_mm=0.6 * INCH,
                station_mm=12 * INCH,
                clock=2.0,
                tip_mm=9.0 * INCH,
                larger_tip_mm=10.1 * INCH,
                crown_takes_mm=1.5 * INCH,
            ),
            "A07 comes nearest: 5/8 in of wood missing at 2 o'clock, 1 ft from the butt; a tip of 10 1/8 in would do, "
            "it has 9 in; its crown takes 1 1/2 in",
        ),
        (
            near("wood", missing_mm=0.001, clock=12.0, tip_mm=9 * INCH, larger_tip_mm=9.01 * INCH),
            "A07 comes nearest: 1/16 in of wood missing at 12 o'clock of the butt; a tip of 9 1/16 in would do, "
            "it has 9 in",
        ),
        (
            near("heart", used_for="2 plates"),
            "A07 comes nearest: there is no place in it that keeps the heart where it must be; it is sawn for 2 plates",
        ),
        (near("species"), "no log of the yard is of a species that will do"),
        (near("kit", why="The bar is short."), "A07 comes nearest: there is wood enough, but the bar is short"),
        (near("nothing", used_for="2 plates"), "A07 would hold it, but it is sawn for 2 plates"),
        (
            near("nothing"),
            "A07 would hold it, but that log costs more than it brings, or is kept for other timbers",
        ),
    ],
)
def test_a_miss_is_told_in_words_and_numbers(nearest, told):
    assert nearest_text(nearest, tape=INCHES) == told


def test_the_log_to_look_for_is_rounded_up_and_its_crown_down():
    needs = Needs(6000.1, 300.4, 352.2, 8.7, 12.9, ("red spruce", "eastern hemlock"))
    assert needs_text(needs, tape=METRIC) == (
        "red spruce or eastern hemlock, 6.001 m long, 301 mm inside bark at the tip and 353 mm at the butt, "
        "with no more than 12 mm of crown"
    )
    none = replace(needs, tip_diameter_mm=math.nan)
    assert needs_text(none, tape=METRIC) == "no log with this yard's taper and crown holds it, 6.001 m long"


@pytest.mark.parametrize(
    ("idle", "told"),
    [
        (Idle("A1", "forbidden", could={"plate": 2}), "A1: forbidden; it could give at most 2 plates"),
        (Idle("A1", "sawn already", could={"plate": 2}), "A1: sawn already"),
        (Idle("A1", "not needed", could={"post": 1}), "A1: not needed; it could give at most 1 post"),
        (Idle("A1", "not worth it", could={"post": 1}), "A1: not worth its sawing; at most 1 post"),
        (Idle("A1", "not looked at"), "A1: not looked at"),
        (Idle("A1", "no timber"), "A1: no timber of the list may be of its species"),
        (Idle("A1", "no timber", "brace", near("nothing")), "A1: holds a brace, but that costs more than it brings"),
        (
            Idle("A1", "no timber", "post", near("length", short_mm=INCH)),
            "A1: no timber; nearest is the post, too short by 1 in",
        ),
    ],
)
def test_a_log_left_over_is_told_with_its_reason(idle, told):
    assert idle_text(idle, tape=INCHES) == told


def test_how_sure_a_plan_is_has_a_sentence_for_each_outcome(answer):
    plan = answer.plans[0]
    assert status_text(replace(plan, gap=0.0)).startswith("Proven: ")
    assert "at most 0.7 % of what its logs and sawing cost" in status_text(replace(plan, gap=0.0061))
    assert status_text(replace(plan, status="stopped", gap=0.05)).startswith("Stopped early: ")
    assert status_text(replace(plan, status="stopped", gap=math.inf)).endswith("is not known.")


def test_the_page_tells_plan_misses_logs_left_and_costs(answer):
    lines = match_lines(answer, tape=INCHES)
    text = "\n".join(lines)
    for words in ("Order of work:", "Still missing:", "Logs left standing by:", "lock post=L3", "forbid L4", "maim"):
        assert words in text
    assert "too short by" in text
    assert "locked" in text
    stopped = match_lines(replace(answer, is_cancelled=True), tape=INCHES)
    assert stopped[0] == "Stopped by hand: this is the best plan so far, not the best there is."
    assert match_lines(replace(answer, plans=(), why="No plan."), tape=INCHES) == ["No plan."]


def test_the_forms_of_a_fault_and_an_answer_have_the_same_keys(answer):
    assert set(fault_form("failed", "why")) == set(match_form(answer))


def text_of(pdf):
    document = pypdfium2.PdfDocument(pdf)
    return [page.get_textpage().get_text_bounded() for page in document]


@pytest.mark.parametrize(("tape", "paper"), [(INCHES, "letter"), (METRIC, "a4"), (INCHES, "a4")])
def test_the_sheet_says_what_the_page_says(answer, tape, paper):
    for number, plan in enumerate(answer.plans, 1):
        pdf = plan_sheet_pdf(answer, number, tape=tape, paper=paper)
        assert pdf == plan_sheet_pdf(answer, number, tape=tape, paper=paper)
        pages = text_of(pdf)
        text = " ".join(" ".join(pages).split())
        assert len(pages) <= 2
        for one in plan.assignments:
            assert one.log.tag in text
        for words in ("Saw the logs in this order", "Still missing", "Caution", "Logs left standing by", "Locked"):
            assert words in text


def test_a_sheet_of_no_plan_is_refused(answer):
    with pytest.raises(SheetError, match="there is no plan 9"):
        plan_sheet_pdf(answer, 9, tape=INCHES)
    with pytest.raises(SheetError, match="choose letter or a4"):
        plan_sheet_pdf(answer, 1, tape=INCHES, paper="a5")


@pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])
def test_the_workbook_reads_back_as_numbers_and_text(answer, tape):
    data = plan_workbook(answer, tape=tape)
    assert data == plan_workbook(answer, tape=tape)
    book = openpyxl.load_workbook(io.BytesIO(data))
    assert book.sheetnames == ["Plan", "Timbers", "Pieces", "All plans", "Left over", "Sums"]
    plan = answer.plans[0]
    rows = list(book["Plan"].values)
    assert [row[1] for row in rows[1:]] == [one.log.tag for one in plan.assignments]
    pieces = list(book["Pieces"].values)
    by = 25.4 if tape is INCHES else 1.0
    told = [(row[0], row[1], row[3]) for row in pieces[1:]]
    assert told == [
        (one.log.tag, piece.name, pytest.approx(piece.thickness_mm / by, abs=1e-4))
        for one in plan.assignments
        for piece in (*one.pattern.timbers, *one.pattern.boards)
    ]
    # A name that looks like a formula stays text.
    cell = next(cell for cell in book["Timbers"]["A"] if cell.value == "=1+1")
    assert cell.data_type in {"s", "inlineStr"}


def test_a_workbook_is_written_over_a_workbook_and_nothing_else(answer, tmp_path):
    data = plan_workbook(answer, tape=INCHES)
    write_workbook(tmp_path / "plan.xlsx", data)
    write_workbook(tmp_path / "plan.xlsx", data)
    assert (tmp_path / "plan.xlsx").read_bytes() == data
    (tmp_path / "mine.xlsx").write_text("my notes")
    with pytest.raises(FileError, match="is there and no workbook"):
        write_workbook(tmp_path / "mine.xlsx", data)
    assert (tmp_path / "mine.xlsx").read_text() == "my notes"
    with pytest.raises(FileError, match=r"does not end in \.xlsx"):
        write_workbook(tmp_path / "plan.txt", data)
