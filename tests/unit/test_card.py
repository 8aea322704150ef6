"""Cards are set, read back and measured with a PDF reader that knows nothing of them."""

import csv
import ctypes
import io
import math
import re
import shutil
from dataclasses import replace

import pypdfium2.raw as pdfium_c
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pithline.answers.words import heart_text, limit_text, setup_notes, share_text, turn_text
from pithline.errors import SheetError
from pithline.fit import Timber
from pithline.sheets.card import card_pdf, sheets_of
from pithline.sheets.cautions import TABLE, cautions, said
from pithline.sheets.paper import Paper
from pithline.sheets.readings import Reading, kept_apart, scale_for
from pithline.sheets.turn_view import turn_view
from printed import MM_PER_POINT, corners, elements, pages, text_box, words
from setups import AWKWARD, EIGHTHS, FAR, INCHES, METRIC, laid, sugarhouse, tally
from strategies import FOOT, INCH, KIT, altered, generated

# From memory: letter is 8 1/2 x 11 in; A4 is 210 x 297 mm (ISO 216).
PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}
TAPES = {"1/16 in": INCHES, "1/8 in": EIGHTHS, "mm": METRIC}

both_papers = pytest.mark.parametrize("paper", list(PAPERS))
all_tapes = pytest.mark.parametrize("tape", list(TAPES.values()), ids=list(TAPES))


def plain(text):
    """Text as typed: plain spaces, marks and fractions."""
    text = re.sub(r"\s+", " ", text)
    for printed, typed in {"\u2019": "'", "\u2212": "-", "\u2044": "/", "\u2032": "'", "\u2033": '"'}.items():
        text = text.replace(printed, typed)
    return text


def read(page):
    return plain(words(page))


def held(sentence, page):
    """Whether a sentence stands on a page, wherever its lines were broken."""
    return plain(sentence) in read(page)


def character_boxes(page):
    """Each character of a page with the height of its ink [mm]."""
    found = page.get_textpage()
    text = found.get_text_range()
    for number in range(min(found.count_chars(), len(text))):
        left, bottom, right, top = found.get_charbox(number)
        yield text[number], left * MM_PER_POINT, right * MM_PER_POINT, (top - bottom) * MM_PER_POINT


@both_papers
@all_tapes
def test_a_log_has_a_page_for_each_stack_of_passes(paper, tape):
    setups = [sugarhouse(2), sugarhouse(3), sugarhouse(4)]
    found = pages(card_pdf(setups, tape=tape, paper=paper))
    assert len(found) == 1 + 2 + 2
    for page in found:
        assert [side * MM_PER_POINT for side in page.get_size()] == pytest.approx(PAPERS[paper], abs=0.01)
        assert "A-3" in read(page)


@both_papers
@all_tapes
def test_a_card_answers_what_to_do_first_in_its_first_line(paper, tape):
    setup = sugarhouse()
    first, second = pages(card_pdf([setup], tape=tape, paper=paper))
    for page, wanted in ((first, turn_text(setup.placement)), (second, "Roll the cant a quarter turn")):
        # Before it stand only the tag, the title and the number of the page.
        assert 0 < read(page).index(plain(wanted)) < 80
    clockwise = setup.stacks[1].turn_deg > 0.0
    # Derived apart: a quarter turn clockwise takes 9 o'clock to 12.
    side = "left" if clockwise else "right"
    way = "clockwise" if clockwise else "counterclockwise"
    assert held(f"quarter turn {way}, seen from the butt: its {side} side comes up.", second)
    assert setup.stacks[1].passes[0].face == f"{side} side"


@both_papers
@all_tapes
@pytest.mark.parametrize("faces", [2, 3, 4])
def test_every_pass_tells_its_setting_what_it_rides_on_and_its_doubt(paper, tape, faces):
    setup = sugarhouse(faces)
    for page, stack, budget in zip(
        pages(card_pdf([setup], tape=tape, paper=paper)), setup.stacks, setup.budgets, strict=True
    ):
        for number, cut in enumerate(stack.passes):
            assert held(f"Pass {cut.number}: {cut.face}", page)
            rides = "the rail" if number == 0 else f"the sawn {stack.passes[0].face}"
            assert held(f"mill on {rides}", page)
            assert held(tape.number(cut.setting_mm), page)
            # The other unit stands beneath, and the doubt is rounded up.
            give = budget.face_mm if number == 0 else budget.size_mm
            assert held(f"{tape.other(cut.setting_mm)}, give or take {tape.show(give, 'up')}", page)
            assert tape.round(give, "up") >= give - 1e-6
            assert held(f"Up to {tape.show(cut.widest_mm)} wide", page)


@both_papers
@all_tapes
def test_each_number_to_set_is_at_least_20_mm_tall(paper, tape):
    setup = sugarhouse()
    for page, stack in zip(pages(card_pdf([setup], tape=tape, paper=paper)), setup.stacks, strict=True):
        tall = [(mark, high) for mark, _, _, high in character_boxes(page) if mark.isdigit() and high > 9.0]
        full = "".join(mark for mark, high in tall if high > 15.0)
        # Whole numbers are 20 mm tall; the figures of their fractions are smaller.
        wanted = [tape.parts(cut.setting_mm) for cut in stack.passes]
        assert full == "".join(str(parts.whole) for parts in wanted)
        assert min(high for _, high in tall if high > 15.0) >= 20.0
        small = sum(1 for _, high in tall if high <= 15.0)
        assert small == sum(len(f"{p.numerator}{p.denominator}") for p in wanted if p.numerator)


def test_the_settings_of_a_common_layout():
    # Common practice: with the bearer tops 9 in above the upper line, a 3 1/8 in rail and a 3/8 in
    # kerf, the first setting is 11 3/4 in and the second, over a 6 in timber with 1/8 in on each
    # of two faces, 6 1/4 in.
    setup = sugarhouse(2)
    assert setup.stacks[0].datum_mm == pytest.approx(9.0 * INCH)
    (page,) = pages(card_pdf([setup], tape=INCHES, paper="letter"))
    assert "11 3/4 in" in read(page)
    assert "6 1/4 in" in read(page)
    assert "9 in datum" in read(page)


@both_papers
@all_tapes
def test_all_checks_cautions_errors_and_notes_are_there(paper, tape):
    setup = sugarhouse()
    for index, page in enumerate(pages(card_pdf([setup], tape=tape, paper=paper))):
        checks = said(setup, index, kind="check", tape=tape)
        warned = said(setup, index, kind="caution", tape=tape)
        assert 5 <= len(checks) <= 8
        assert 3 <= len(warned) <= 4
        for sentence in (*checks, *warned, *setup_notes(setup, tape)):
            assert held(sentence, page), sentence
        assert held("Caution.", page)
        assert held("is recalled, not measured", page)
        budget = setup.budgets[index]
        free = math.prod(face.free_of_bark for face in budget.faces)
        assert held(f"Chance of no bark on the sawn faces: {share_text(free)}", page)
        assert held("Give or take holds 19 times in 20.", page)
        assert held(f"the log's own measures add {tape.show(budget.log_mm, 'up')}", page)
        assert held("The saw's manual and local rules come first.", page)


@both_papers
def test_the_first_sheet_tells_where_the_timber_lies(paper):
    setup = sugarhouse()
    first = pages(card_pdf([setup], tape=INCHES, paper=paper))[0]
    for sentence in (f"Tightest spot: {limit_text(setup.placement, INCHES)}.", heart_text(setup.placement, INCHES)):
        assert held(sentence, first)
    depths = ", ".join(INCHES.number(bearer.flat_depth_mm) for bearer in setup.stacks[0].bearers)
    assert held(f"butt to tip {depths} in deep at their middle", first)


@both_papers
@all_tapes
def test_bearer_heights_and_distances_from_the_pith_can_be_read(paper, tape):
    setup = sugarhouse()
    found = pages(card_pdf([setup], tape=tape, paper=paper))
    for page, stack in zip(found, setup.stacks, strict=True):
        for bearer in stack.bearers:
            assert held(tape.show(bearer.height_mm), page)
            assert held(tape.show_long(bearer.station_mm), page)
        assert held(f"{tape.show(stack.datum_mm)} datum", page)
    for marks in setup.ends:
        for distance, way in ((marks.up_mm, "up"), (marks.left_mm, "left")):
            assert held(f"{tape.show(distance)} {way}, pass", found[0])


@both_papers
@all_tapes
@pytest.mark.parametrize("case", list(AWKWARD.values()), ids=list(AWKWARD))
def test_awkward_logs_have_cards_too(paper, tape, case):
    setup = case()
    found = pages(card_pdf([setup], tape=tape, paper=paper))
    assert len(found) == len(setup.stacks)
    wide = PAPERS[paper][0]
    for page in found:
        for mark, left, right, _ in character_boxes(page):
            assert mark.isspace() or (left > 10.0 and right < wide - 10.0), mark


def points(item):
    """Size in which a text on a page is set."""
    size = ctypes.c_float()
    assert pdfium_c.FPDFTextObj_GetFontSize(item, size)
    matrix = item.get_matrix()
    return size.value * math.hypot(matrix.c, matrix.d)


@both_papers
def test_nothing_is_smaller_than_9_points(paper):
    for page in pages(card_pdf([sugarhouse()], tape=INCHES, paper=paper)):
        sizes = [points(item) for item in page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_TEXT], max_depth=6)]
        # Drawings give sizes to the nearest 0.01 mm, which is 0.03 points.
        assert min(sizes) >= 9.0 - 0.03
        assert max(sizes) == pytest.approx(90.0)


def test_the_same_cards_are_the_same_bytes():
    asked = {"tape": METRIC, "paper": "a4"}
    assert card_pdf([sugarhouse(3)], **asked) == card_pdf([sugarhouse(3)], **asked)


def test_a_log_much_longer_than_its_timber_says_what_comes_even_before_the_turn():
    row = tally("N-2", 21 * FOOT, 17 * INCH, 13 * INCH, crown_mm=2 * INCH, crown_clock=4.0)
    setup = laid(row, Timber(6 * INCH, 8 * INCH, length_mm=14 * FOOT, sawn_faces=2))
    (sheet,) = sheets_of(setup, INCHES)
    assert setup.cut_to_length_first
    assert len(sheet.urgent) == 1
    assert sheet.urgent[0] not in sheet.notes
    (page,) = pages(card_pdf([setup], tape=INCHES, paper="letter"))
    assert held(f"First. {sheet.urgent[0]}", page)


def test_the_widest_numbers_keep_to_their_half_of_the_page():
    # With a kerf of 5/16 in the first setting ends in sixteenths: as wide as a setting can be.
    kit = altered(KIT, "saw", kerf_mm=5 * INCH / 16)
    row = tally("W-1", 21 * FOOT, 17 * INCH, 13 * INCH, crown_mm=2 * INCH)
    setup = laid(row, Timber(6 * INCH, 8 * INCH, sawn_faces=2), kit=kit)
    number = INCHES.number(setup.passes[0].setting_mm)
    assert re.fullmatch(r"\d\d \d\d/16", number)
    for paper, (wide, _) in PAPERS.items():
        (page,) = pages(card_pdf([setup], tape=INCHES, paper=paper))
        first = [right for mark, _, right, high in character_boxes(page) if mark.isdigit() and high > 9.0]
        assert max(first[:6]) < 0.5 * wide
        assert held(f"in or {INCHES.other(setup.passes[0].setting_mm)}, give or take", page)


def with_notes(*notes):
    setup = sugarhouse(2)
    return replace(setup, placement=replace(setup.placement, log=replace(setup.placement.log, notes=notes)))


def test_where_notes_are_long_the_parts_of_the_error_go_first():
    note = "The log was measured from one side only, in the snow, with the bark on and a helper short."
    (page,) = pages(card_pdf([with_notes(*[note] * 5)], tape=INCHES, paper="letter"))
    assert "Most of it" not in read(page)
    assert read(page).count(note) == 5
    for sentence in said(sugarhouse(2), 0, kind="caution", tape=INCHES):
        assert held(sentence, page)
    with pytest.raises(SheetError, match="A-3: the notes of this log are too long for a card"):
        card_pdf([with_notes(*[note] * 30)], tape=INCHES, paper="letter")


def test_what_cannot_be_printed_is_refused_in_a_sentence():
    with pytest.raises(SheetError, match="no log has a set-up to print a card of"):
        card_pdf([], tape=INCHES, paper="letter")
    with pytest.raises(SheetError, match="paper 'legal': choose letter or a4"):
        card_pdf([sugarhouse()], tape=INCHES, paper="legal")


# -- the table of checks and cautions ------------------------------------------------------


def test_each_line_of_the_table_says_where_it_is_from():
    told = TABLE.with_suffix(".md").read_text(encoding="utf-8")
    for row in cautions():
        assert row.text.endswith(".")
        assert row.status in {"seen", "memory", "common practice"}
        assert bool(row.source) or row.status != "seen"
        for publication in re.findall(r"29 CFR 1910\.266|Title 8, 6281\(a\)|1997;58:747-51", row.source):
            assert publication in told
    for name in re.findall(r"{(\w+)}", " ".join(row.text for row in cautions())):
        assert f"`{name}`" in told
    assert len({row.id for row in cautions()}) == len(cautions())


@pytest.mark.parametrize("case", [sugarhouse, *AWKWARD.values()], ids=["sugarhouse", *AWKWARD])
def test_checks_fit_the_set_up(case):
    setup = case()
    for index, stack in enumerate(setup.stacks):
        lines = " ".join(said(setup, index, kind="check", tape=INCHES))
        assert "{" not in lines
        assert ("String tight" in lines) == (len(stack.bearers) > 2)
        assert ("each move of the rail" in lines) == (len(stack.rail) > 1)
        assert ("Log blocked" in lines) == (index == 0)
        assert ("Cant blocked" in lines) == (index == 1)
        assert f"Mill reads {INCHES.show(stack.passes[0].setting_mm)}" in lines


def test_a_kerf_that_was_measured_is_not_called_recalled():
    setup = sugarhouse()
    measured = replace(setup, kit=replace(setup.kit, origins={"saw.kerf": "measured"}))
    assert "Kerf 3/8 in on this chain." in said(measured, 0, kind="check", tape=INCHES)
    assert "Kerf 3/8 in is recalled, not measured: measure one cut first." in said(setup, 0, kind="check", tape=INCHES)


@pytest.mark.parametrize(
    ("column", "value", "message"),
    [
        ("kind", "warning", "dress: kind must be one of check, caution"),
        ("stack", "third", "dress: stack must be one of first, second, all"),
        ("when", "now", "dress: when must be one of always, between, moves"),
        ("status", "read", "dress: status must be one of seen, memory, common practice"),
        ("source", "", "dress: what was seen must name its source"),
    ],
)
def test_a_table_that_breaks_its_own_rules_is_refused(tmp_path, column, value, message):
    copy = tmp_path / "cautions.csv"
    rows = list(csv.DictReader(io.StringIO(TABLE.read_text(encoding="utf-8"))))
    for row in rows:
        if row["id"] == "dress":
            row[column] = value
    with copy.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, rows[0])
        writer.writeheader()
        writer.writerows(rows)
    with pytest.raises(SheetError, match=r"cautions\.csv has no cautions\.md beside it"):
        cautions(copy)
    shutil.copy(TABLE.with_suffix(".md"), tmp_path)
    with pytest.raises(SheetError, match=re.escape(message)):
        cautions(copy)


def test_a_table_with_other_columns_is_refused(tmp_path):
    (tmp_path / "odd.md").write_text("invented", encoding="utf-8")
    (tmp_path / "odd.csv").write_text("id,text\na,b\n", encoding="utf-8")
    with pytest.raises(SheetError, match=r"odd\.csv: the columns must be id, kind, stack"):
        cautions(tmp_path / "odd.csv")


# -- the picture of the turn -----------------------------------------------------------------


def clock_of_line(path):
    (x0, y0), (x1, y1) = corners(path)
    return math.degrees(math.atan2(x1 - x0, y0 - y1)) / 30.0 % 12.0


@pytest.mark.parametrize("case", [sugarhouse, *AWKWARD.values()], ids=["sugarhouse", *AWKWARD])
def test_the_turn_goes_from_where_the_crown_is_to_where_it_comes(case):
    setup = case()
    before = setup.placement.log.crown_clock or 12.0
    for stack in range(len(setup.stacks)):
        after = before + (setup.placement.roll_deg if stack == 0 else setup.stacks[1].turn_deg) / 30.0
        svg = turn_view(setup, stack=stack).to_svg()
        (was,) = elements(svg, "path", "line-hidden")
        comes = next(e for e in elements(svg, "path", "line-outline") if "A" not in e.attrib["d"])
        for line, wanted in ((was, before), (comes, after)):
            assert (clock_of_line(line) - wanted + 6.0) % 12.0 == pytest.approx(6.0, abs=0.02)
        before = after


def test_the_arrow_turns_the_way_the_log_is_turned():
    for clock, sweep in ((12.0, "1"), (4.5, "0")):
        row = tally("T-2", 4_000.0, 400.0, 350.0, crown_mm=40.0, crown_clock=clock)
        setup = laid(row, Timber(150.0, 170.0), kit=FAR)
        arc = next(e.attrib["d"] for e in elements(turn_view(setup).to_svg(), "path") if e.attrib["d"].count("A") == 1)
        # From memory: SVG 2, elliptical arcs; sweep 1 is clockwise as seen.
        assert arc.split("A")[1].split()[4] == sweep
        assert (setup.placement.roll_deg > 0.0) == (sweep == "1")
    with pytest.raises(SheetError, match="there is no stack 1"):
        turn_view(sugarhouse(2), stack=1)


# -- readings ----------------------------------------------------------------------------------


@given(st.lists(st.tuples(st.floats(-50.0, 50.0), st.floats(0.5, 30.0)), min_size=1, max_size=8))
@generated(200)
def test_things_kept_apart_do_not_touch_and_stay_where_they_were_if_they_did_not(things):
    things = sorted(things)
    wanted, sizes = [place for place, _ in things], [size for _, size in things]
    places = kept_apart(wanted, sizes, gap_mm=1.5)
    gaps = [b - a - 0.5 * (s + t) for a, b, s, t in zip(places, places[1:], sizes, sizes[1:], strict=False)]
    assert all(gap >= 1.5 - 1e-9 for gap in gaps)
    # They are moved as a whole no more to one side than to the other.
    assert sum(places) == pytest.approx(sum(wanted), abs=1e-6)
    free = [b - a - 0.5 * (s + t) >= 1.5 for a, b, s, t in zip(wanted, wanted[1:], sizes, sizes[1:], strict=False)]
    if all(free):
        assert places == pytest.approx(wanted, abs=1e-9)


@pytest.mark.parametrize(
    ("length", "paper", "scale"), [(431.8, 38.0, 1 / 12), (431.8, 43.2, 1 / 10), (90.0, 90.0, 1.0)]
)
def test_scales_are_customary_in_feet_or_in_meters(length, paper, scale):
    assert scale_for(length, paper) == pytest.approx(scale)


def test_a_reading_is_as_large_as_it_says():
    reading = Reading("6 15/16 in", "up, pass 1")
    assert reading.height_mm > Reading("6 15/16 in").height_mm
    paper = Paper(60.0, 30.0, title="Reading")
    reading.write(paper, (30.0, 15.0))
    boxes = [text_box(text) for text in elements(paper.to_svg(), "text")]
    assert max(box[3] for box in boxes) - min(box[1] for box in boxes) == pytest.approx(reading.height_mm, abs=0.05)
    assert max(box[2] - box[0] for box in boxes) <= reading.width_mm + 0.01
