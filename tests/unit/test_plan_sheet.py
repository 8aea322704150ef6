"""The sheet of a plan: what it says, in which order, how it breaks over pages, and its pictures. Yards are invented."""

import math
import re
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest

from match_cases import BOARDS, LIST, YARD, beam, log
from pithline.answers.match_pages import gives_text
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.match import Effort, Lock, Wishes, match_logs
from pithline.patterns import PriceList
from pithline.sheets.cautions import cautions
from pithline.sheets.plan_log import WIDE_MM, part_picture, picture_scale
from pithline.sheets.plan_sheet import plan_sheet_pdf
from strategies import KIT

INCHES, METRIC = Tape("in"), Tape("mm")


@pytest.fixture(scope="module")
def answer():
    """A plan with a lock, a log held back, a log sawn in parts, and a timber that no log is long enough for."""
    prices = PriceList((*LIST.timbers, beam("ridge", 4, 8, 30, 1)), BOARDS)
    wishes = Wishes(locks=(Lock("post", "L3"),), forbidden=("L4",))
    return match_logs((*YARD, log("L5", 12, 12.2)), prices, kit=KIT, wishes=wishes, effort=Effort(rounds=1))


def changed(answer, **changes):
    """The answer, its first plan changed."""
    return replace(answer, plans=(replace(answer.plans[0], **changes), *answer.plans[1:]))


def pages_of(answer, number=1, *, tape=INCHES, paper="letter"):
    """Words of each page, spaces alike."""
    document = pypdfium2.PdfDocument(plan_sheet_pdf(answer, number, tape=tape, paper=paper))
    return [" ".join(page.get_textpage().get_text_bounded().split()) for page in document]


def text_of(answer, number=1, **how):
    return " ".join(pages_of(answer, number, **how))


def yard_of(answer, count):
    """The same plan with its logs over and over, each with a tag of its own."""
    plan = answer.plans[0]
    taken = [plan.assignments[k % len(plan.assignments)] for k in range(count)]
    rows = tuple(
        replace(one, pattern=replace(one.pattern, log=replace(one.log, tag=f"Q{k:02d}"))) for k, one in enumerate(taken)
    )
    return changed(answer, assignments=rows, days=tuple(1 + k // 2 for k in range(count)))


@pytest.mark.parametrize(("paper", "size_pt"), [("letter", (612.0, 792.0)), ("a4", (595.276, 841.89))])
@pytest.mark.parametrize("count", [12, 30])
def test_a_long_plan_runs_on_under_the_same_head(answer, count, paper, size_pt):
    # Published: letter is 8 1/2 x 11 in, A4 210 x 297 mm (ISO 216).
    long = yard_of(answer, count)
    document = pypdfium2.PdfDocument(plan_sheet_pdf(long, tape=INCHES, paper=paper))
    assert {tuple(round(side) for side in page.get_size()) for page in document} == {
        tuple(round(side) for side in size_pt)
    }
    pages = pages_of(long, paper=paper)
    for number, words in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in words
        assert words.startswith("Plan 1")
    tags = re.findall(r"\bQ\d\d\b", " ".join(pages))
    assert list(dict.fromkeys(tags)) == [f"Q{k:02d}" for k in range(count)]
    with_rows = [words for words in pages if re.search(r"\bQ\d\d\b", words)]
    assert len(with_rows) >= count / 14
    for words in with_rows:
        assert "sawn no. day butt end" in words


def test_each_log_stands_with_its_size_what_it_gives_and_its_minutes(answer):
    text = text_of(answer)
    for one in answer.plans[0].assignments:
        assert f"{one.log.tag} {one.log.species}, " in text
        assert gives_text(one) in text
    assert "16 ft 2 3/8 in x 11 in tip" in text.replace("\u2044", "/")
    assert "4.937 m x 279 mm tip" in text_of(answer, tape=METRIC)


def test_only_a_log_that_is_less_than_sure_is_called_tight(answer):
    first, *rest = answer.plans[0].assignments
    sure = changed(answer, assignments=(replace(first, chance=0.9, tight=()), *rest))
    tight = changed(answer, assignments=(replace(first, chance=0.789, tight=("post", "plate")), *rest))
    assert "chance 90 %" in text_of(sure)
    assert "tight: 78 %" in text_of(tight)
    assert "Tight: post, plate." in text_of(tight)
    certain = changed(answer, assignments=(replace(first, chance=1.0), *rest))
    assert "100 %" not in text_of(certain)


def test_the_first_line_answers_the_question(answer):
    assert "Still without a log: 1 ridge." in pages_of(answer)[0]
    missing = answer.plans[0].unfilled[-1]
    assert missing.name == "ridge"
    nice = changed(answer, unfilled=(replace(missing, is_must=False),))
    assert "Every timber the building needs has a log:" in pages_of(nice)[0]
    assert "missing are 1 that can be done without" in pages_of(nice)[0]
    none = changed(answer, unfilled=())
    assert "Still" not in text_of(none)


def test_a_missing_timber_has_its_nearest_log_and_the_log_to_look_for(answer):
    text = text_of(answer)
    assert re.search(r"1 ridge L\d comes nearest: too short by 13 ft", text)
    assert "In the woods: 30 ft long, " in text
    missing = answer.plans[0].unfilled[-1]
    unknown = changed(answer, unfilled=(replace(missing, nearest=None, needs=None),))
    assert text_of(unknown).count("Not looked into.") == 2
    hopeless = replace(missing.needs, tip_diameter_mm=math.nan, butt_diameter_mm=math.nan)
    text = text_of(changed(answer, unfilled=(replace(missing, needs=hopeless),)))
    assert "No log with this yard’s taper and crown holds it, 30 ft long." in text


def test_a_row_is_not_torn_at_the_end_of_a_page(answer):
    missing = answer.plans[0].unfilled[-1]
    rows = tuple(replace(missing, name=f"beam X{k:02d}") for k in range(40))
    for count in range(4):
        pages = pages_of(changed(yard_of(answer, count), unfilled=rows))
        assert len(pages) > 2
        for words in pages:
            assert len(re.findall(r"beam X\d\d L\d comes nearest", words)) == words.count("In the woods:")


def test_what_can_maim_stands_on_the_first_page_in_the_words_of_the_cards(answer):
    first = pages_of(answer)[0]
    assert "A chainsaw mill can maim" in first
    assert "Local rules and trained practice come before this plan." in first
    told = {row.id: row.text for row in cautions()}
    assert told["dress"] in first
    assert told["chain-line"] in first


def test_what_the_user_decided_is_marked(answer):
    text = text_of(answer)
    assert text.count("Locked.") == 1
    assert "L4: forbidden" in text
    assert "lock post=L3" in text
    first, *rest = answer.plans[0].assignments
    again = changed(answer, assignments=(replace(first, is_as_before=True), *rest))
    assert "As in the plan before." in text_of(again)


def test_other_plans_say_what_they_trade(answer):
    first = answer.plans[0]
    other = replace(first, aim="fewest logs", trades="1 log fewer, 2.0 h more sawing")
    both = replace(answer, plans=(first, other))
    assert "2: fewest logs" in text_of(both)
    assert "1 log fewer, 2.0 h more sawing" in text_of(both)
    text = text_of(both, 2)
    assert "Plan 2 fewest logs, from a yard of 5 logs" in text
    assert "Against plan 1: 1 log fewer, 2.0 h more sawing." in text
    assert "1: as weighed" in text
    assert "Other plans" not in text_of(replace(answer, plans=(first,)))


def test_a_plan_stopped_early_says_so_on_every_page(answer):
    stopped = yard_of(answer, 30)
    stopped = changed(stopped, status="stopped", gap=math.inf)
    assert all("stopped early" in words for words in pages_of(stopped))
    assert "how much better a plan there is, is not known" in text_of(stopped)


def test_a_plan_of_no_logs_is_a_sheet_of_what_is_missing(answer):
    text = text_of(changed(answer, assignments=(), days=()))
    assert "Saw the logs" not in text
    assert "Still missing" in text


@pytest.mark.parametrize("name", ["=1+1", "#set page()", "*post* _x_", "$a$", "@ref", "[post]", "\\"])
def test_names_are_text_and_nothing_else(answer, name):
    missing = answer.plans[0].unfilled[-1]
    assert name in text_of(changed(answer, unfilled=(replace(missing, name=name),)))


def test_a_name_that_the_letters_cannot_set_is_refused_in_a_sentence(answer):
    missing = answer.plans[0].unfilled[-1]
    with pytest.raises(SheetError, match="have no sign for"):
        plan_sheet_pdf(changed(answer, unfilled=(replace(missing, name="梁"),)), tape=INCHES)


def test_the_same_plan_gives_the_same_bytes(answer):
    assert plan_sheet_pdf(answer, tape=INCHES) == plan_sheet_pdf(answer, 1, tape=INCHES, paper="letter")


def test_a_plan_or_paper_that_is_not_there_is_refused(answer):
    for number in (0, len(answer.plans) + 1):
        with pytest.raises(SheetError, match=f"there is no plan {number}"):
            plan_sheet_pdf(answer, number, tape=INCHES)
    with pytest.raises(SheetError, match="choose letter or a4"):
        plan_sheet_pdf(answer, tape=INCHES, paper="a5")


# The pictures.


def pictures_of(plan, scale):
    """Every picture of a plan."""
    return [
        part_picture(one.pattern, part, scale=scale)
        for one in plan.assignments
        for part in range(len(one.pattern.parts))
    ]


def test_pictures_are_as_large_as_one_scale_to_a_whole_number_lets_them(answer):
    plan = answer.plans[0]
    scale = picture_scale(plan.assignments)
    ratio = 1.0 / scale
    assert ratio == pytest.approx(round(ratio))

    def largest(scale):
        sizes = [(drawing.paper.width_mm, drawing.paper.height_mm) for drawing in pictures_of(plan, scale)]
        return max(map(max, sizes))

    assert largest(scale) <= WIDE_MM < largest(1.0 / (ratio - 1.0))
    assert f"scale 1:{round(ratio)}:" in text_of(answer)


def test_a_picture_shows_the_butt_and_every_piece_where_it_begins(answer):
    one = max(answer.plans[0].assignments, key=lambda one: len(one.pattern.pieces))
    scale = picture_scale([one])
    for part, own in enumerate(one.pattern.parts):
        svg = part_picture(one.pattern, part, scale=scale).to_svg()
        mine = [piece for piece in one.pattern.pieces if piece.part == part]
        here = [piece for piece in mine if piece.start_mm <= own.start_mm + 1.0]
        assert svg.count("#4a4a4a") == sum(piece.kind == "timber" for piece in here)
        assert svg.count("#ffffff") == sum(piece.kind == "board" for piece in here)
    # What begins further on is dashed; what lies behind another piece is not drawn.
    pattern = one.pattern
    last = pattern.pieces[-1]
    moved = replace(
        last,
        start_mm=last.start_mm + 300.0,
        frame_butt_mm=last.frame_butt_mm + np.array([40.0, 0.0]),
    )
    svg = part_picture(replace(pattern, pieces=(*pattern.pieces, moved)), last.part, scale=scale).to_svg()
    assert "dasharray" in svg
    behind = replace(last, start_mm=last.start_mm + 300.0)
    svg = part_picture(replace(pattern, pieces=(*pattern.pieces, behind)), last.part, scale=scale).to_svg()
    assert "dasharray" not in svg


def test_a_log_sawn_in_parts_shows_an_end_of_each(answer):
    first, *rest = answer.plans[0].assignments
    pattern = first.pattern
    part = pattern.parts[0]
    cut = 0.5 * part.end_mm
    parts = (replace(part, end_mm=cut), replace(part, start_mm=cut))
    second = replace(pattern.timbers[0], part=1, start_mm=cut)
    bucked = replace(first, pattern=replace(pattern, parts=parts, pieces=(*pattern.pieces, second)))
    text = text_of(changed(answer, assignments=(bucked, *rest)))
    whole = 25.4 * round(cut / 25.4)
    assert f"from {INCHES.show_long(whole)}" in text
    # Beside the legend, which tells from where ends are seen.
    assert text.count("from the butt") == 1 + text_of(answer).count("from the butt")
