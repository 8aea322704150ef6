"""Sheets for a drying stack are set and read back: the answer, the table, stacking, the meter, notes."""

import hashlib
from dataclasses import replace
from functools import cache

import pytest

from pithline.errors import SheetError
from pithline.sheets.drying import drying_pdf
from pithline.sheets.drying_words import drying_answer
from pithline.sheets.look import print_figures
from pithline.wood.climate import MONTHS, Climate
from pithline.wood.drying import DryingJob, drying_forecast
from pithline.wood.species import find_species
from pithline.wood.stacking import stickers
from printed import MM_PER_POINT, pages, words
from setups import INCHES, METRIC

HILL = Climate(
    "an invented hill farm",
    (0.15, 0.147, 0.14, 0.131, 0.126, 0.129, 0.134, 0.141, 0.149, 0.146, 0.155, 0.158),
    (-9.0, -7.5, -1.0, 6.0, 12.5, 17.5, 20.0, 19.0, 14.5, 8.5, 2.0, -5.5),
    ("The climate is invented.",),
)
SHORE = replace(HILL, emc=tuple(emc + 0.06 for emc in HILL.emc))
PINE, OAK = find_species("eastern white pine"), find_species("northern red oak")
FOOT = 304.8
BEAM = DryingJob(152.4, 203.2, 16 * FOOT, 5)

CASES = {
    "board": drying_forecast(PINE, DryingJob(25.4, 203.2, 12 * FOOT, 5), climate=HILL),
    "beam": drying_forecast(PINE, BEAM, climate=HILL),
    "ten years": drying_forecast(OAK, DryingJob(304.8, 304.8, 16 * FOOT, 10, months=120), climate=HILL),
    "never": drying_forecast(PINE, BEAM, climate=SHORE),
    "one month": drying_forecast(PINE, replace(BEAM, months=1), climate=HILL),
    "long": drying_forecast(OAK, replace(BEAM, length_mm=28_000.0, start_month=12), climate=HILL),
    "bare": drying_forecast(OAK, replace(BEAM, end_coat=False, under_cover=False), climate=HILL),
}
every_case = pytest.mark.parametrize("case", CASES)
papers = pytest.mark.parametrize(
    ("paper", "tape"), [("letter", INCHES), ("a4", METRIC), ("letter", METRIC), ("a4", INCHES)]
)
# From memory: letter is 8 1/2 x 11 in; A4 is 210 x 297 mm (ISO 216).
PAPER_MM = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}


@cache
def sheet_of(case, tape, paper):
    """The sheet of a case, set once."""
    return drying_pdf(CASES[case], tape=tape, paper=paper)


def plain(text):
    """Words as a reader copies them, true marks and figures as typed ones."""
    return " ".join(print_figures(text).replace("\u2044", "/").split())


def copied(page):
    return words(page).replace("\u2044", "/")


@every_case
@papers
def test_the_sheet_is_one_page_of_its_paper_and_two_where_the_notes_are_many(case, paper, tape):
    printed = pages(sheet_of(case, tape, paper))
    # Thirteen notes leave the picture too little room on letter paper, eleven where millimeters take a line more.
    many = [("bare", "letter", "in"), ("bare", "letter", "mm"), ("ten years", "letter", "mm")]
    assert len(printed) == (2 if (case, paper, tape.style) in many else 1)
    for page in printed:
        assert [side * MM_PER_POINT for side in page.get_size()] == pytest.approx(PAPER_MM[paper], abs=0.01)


@every_case
@papers
def test_the_first_line_is_the_answer_and_every_note_is_there(case, paper, tape):
    printed = pages(sheet_of(case, tape, paper))
    first, all_of_it = copied(printed[0]), " ".join(copied(page) for page in printed)
    answer = plain(drying_answer(CASES[case], tape=tape))
    assert answer in first
    assert first.index(answer) < first.index("green it settles at about")
    for note in CASES[case].notes:
        assert plain(note) in all_of_it
    if len(printed) > 1:
        assert "stands on the next page" in first
        assert "What does the forecast rest on?" in copied(printed[1])


@every_case
def test_the_table_holds_the_forecasts_numbers(case):
    forecast = CASES[case]
    text = copied(pages(drying_pdf(forecast, tape=INCHES, paper="letter"))[0])
    found = 0
    for month in range(len(forecast.months)):
        calendar = forecast.job.start_month - 1 + month
        start = f"{month} {MONTHS[calendar % 12]}, year {calendar // 12 + 1} "
        if start not in text:
            continue
        low, high = (f"{100 * v:.0f}" for v in (forecast.average[month].min(), forecast.average[month].max()))
        spread = low if low == high else f"{low} to {high}"
        middles = [f"{100 * a[month, 1]:.0f}" for a in (forecast.average, forecast.surface, forecast.center)]
        assert f"{start}{spread} {' '.join(middles)}" in text
        found += 1
    assert 2 <= found <= 10


def test_stickers_weight_and_the_depth_of_pins_are_told_in_the_readers_unit():
    # 16 ft at 24 in (610 mm) at most: 9 stickers, 24 in apart. Derived apart: 2.4 kPa on 48 in x 16 ft weigh 3,200 lb.
    text = copied(pages(sheet_of("beam", INCHES, "letter"))[0])
    assert "9 stickers a layer" in text
    assert "at 0, 24, 48, 72, 96, 120, 144, 168, 192 in from one end" in text
    assert "about 3,200 lb" in text
    # Common practice: a fifth to a fourth of 6 in, to the quarter inch.
    assert "set insulated pins 1 1/4 to 1 1/2 in deep" in text
    metric = copied(pages(sheet_of("beam", METRIC, "a4"))[0])
    assert "at 0, 610, 1220, 1830, 2440, 3050, 3660, 4265, 4875 mm from one end" in metric
    assert "30 to 40 mm deep" in metric
    assert "kg on a pile" in metric


def test_many_stickers_are_not_listed_one_by_one():
    text = copied(pages(sheet_of("long", INCHES, "letter"))[0])
    assert f"{stickers(28_000.0, most_mm=610.0).count} stickers a layer" in text
    assert "one at each end and the others evenly between" in text


def test_the_sheet_warns_of_a_stack_that_topples_and_of_what_this_one_lacks():
    usual, bare = (copied(pages(sheet_of(name, INCHES, "a4"))[0]) for name in ("beam", "bare"))
    for text in (usual, bare):
        for caution in ("topples", "strap timbers", "keep children from climbing"):
            assert caution in text
    for own in ("Coat both ends within hours", "Put a roof over it"):
        assert own in bare
        assert own not in usual


@pytest.mark.parametrize(("count", "sheets"), [(0, 1), (40, 2)])
def test_notes_however_many_leave_the_picture_its_room(count, sheets):
    note = (
        "Invented: a sentence of some length that tells what the forecast of this timber rests on and why, at leisure."
    )
    forecast = replace(CASES["beam"], notes=(note,) * count)
    printed = pages(drying_pdf(forecast, tape=INCHES, paper="letter"))
    assert len(printed) == sheets
    assert " ".join(copied(page) for page in printed).count(note) == count


@papers
def test_any_number_of_notes_fits(paper, tape):
    # Near the limit a wrong guess of the height of words would push a line over the foot of the page.
    note = "Invented: a sentence of some length that tells what the forecast rests on."
    counts = []
    for count in range(6, 27, 5):
        forecast = replace(CASES["ten years"], notes=tuple(f"{note} {number}" for number in range(count)))
        counts.append(len(pages(drying_pdf(forecast, tape=tape, paper=paper))))
    assert counts == sorted(counts)
    assert set(counts) == {1, 2}


def test_equal_input_gives_equal_bytes():
    asked = [(INCHES, "letter"), (INCHES, "letter"), (METRIC, "letter"), (INCHES, "a4")]
    digests = {hashlib.sha256(drying_pdf(CASES["board"], tape=t, paper=p)).hexdigest() for t, p in asked}
    assert len(digests) == 3


def test_paper_that_is_not_known_and_words_that_do_not_fit_are_refused():
    with pytest.raises(SheetError, match="choose letter or a4"):
        drying_pdf(CASES["board"], tape=INCHES, paper="legal")
    many = drying_forecast(PINE, BEAM, climate=HILL, targets=tuple(0.15 + 0.004 * n for n in range(60)))
    with pytest.raises(SheetError, match="Name fewer targets"):
        drying_pdf(many, tape=INCHES, paper="letter")
