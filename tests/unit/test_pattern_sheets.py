"""Sheets of a pattern are parsed and measured: kerfs, cut lines, pieces and readings stand where the passes say."""

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
import shapely

from pithline.errors import SheetError
from pithline.fit import Timber
from pithline.logs import rotation, section_at, solid_from_tally, turned
from pithline.patterns.search import best_patterns
from pithline.patterns.wanted import PriceList, WantedBoard, WantedTimber
from pithline.sheets.cautions import said_where
from pithline.sheets.look import print_figures
from pithline.sheets.pattern_card import pattern_card_pdf
from pithline.sheets.pattern_end import pattern_end_view, position_end_view
from pithline.sheets.pattern_pieces import passes_of, piece_marks
from pithline.sheets.pattern_side import pattern_side_view
from pithline.sheets.pattern_strip import names_of, pattern_plan_view
from pithline.sheets.pattern_turns import lying_of, way_of
from printed import MM_PER_POINT, SVG, corners, elements, overlapping, pages, words
from sawn import KIT, bucked, many, simple
from setups import INCHES, METRIC, struck, tally
from strategies import FOOT, INCH

# Numbers are written to the nearest 0.01 mm of paper; two of them make a distance.
WRITTEN_MM = 0.0101
# From memory: letter is 8 1/2 x 11 in; A4 is 210 x 297 mm (ISO 216).
PAPERS = {"letter": (215.9, 279.4), "a4": (210.0, 297.0)}


def searched():
    """What the search makes of an invented log: boards that run askew and end short of the log."""
    row = tally("D-2", 20.5 * FOOT, 16 * INCH, 13 * INCH, crown_mm=2 * INCH, crown_clock=4.0, bark_mm=15.0)
    prices = PriceList(
        (WantedTimber("plate", Timber(6 * INCH, 8 * INCH, length_mm=20 * FOOT), 1, 2.0),),
        (WantedBoard("plank", 2 * INCH, 6 * INCH, 6 * FOOT, 0.9),),
    )
    return best_patterns(solid_from_tally(row), prices, kit=KIT).patterns[0]


CASES = {"simple": simple, "many": many, "many, rolled the other way": lambda: many(90.0), "bucked": bucked}
CASES["searched"] = searched
every_case = pytest.mark.parametrize("case", list(CASES.values()), ids=list(CASES))
both_ends = pytest.mark.parametrize("end", ["butt", "tip"])
both_papers = pytest.mark.parametrize("paper", list(PAPERS))
both_tapes = pytest.mark.parametrize("tape", [INCHES, METRIC], ids=["in", "mm"])


def groups(svg, name):
    """The groups of a drawing of one class, or of several together."""
    wanted = set(name.split())
    return [g for g in ET.fromstring(svg).iter(f"{SVG}g") if wanted <= set((g.get("class") or "").split())]


def only(svg, name):
    (found,) = groups(svg, name)
    return list(found)


def texts(found):
    return [e.text for e in found if e.tag == f"{SVG}text"]


def pith(svg):
    """Middle of the dot, from both ends of the arc it is drawn with."""
    (dot,) = only(svg, "pith")
    start, *arcs = dot.attrib["d"].split("A")
    x, y = (float(n) for n in start.removeprefix("M").split())
    far = [float(n) for n in arcs[0].split()[-2:]]
    return np.array([(x + far[0]) / 2, (y + far[1]) / 2])


def from_pith(svg, scale, spots):
    """Points of a drawing told from its pith, right and up, real size."""
    return (np.array(spots) - pith(svg)) * (1.0, -1.0) / scale


class Wood:
    """One end of a part about its center line, found apart from the sheets."""

    def __init__(self, pattern, part, end):
        this = pattern.parts[part]
        turn = rotation(this.roll_deg)
        z = this.start_mm if end == "butt" else this.end_mm
        section = section_at(turned(pattern.log, this.roll_deg), z)
        center = turn @ (this.center_butt_mm if end == "butt" else this.center_tip_mm)
        self.outline = shapely.Polygon(section.outline() - center)
        self.pith = section.pith_mm - center

    def kerf(self, position, cut, kerf_mm):
        """The wood sawn away, as the end was marked, the pith the origin; and where the cut line stands."""
        back = rotation(-position.turn_deg)
        far = 1e4
        left, right = position.within_mm or (-far, far)
        low, high = (
            far_off if limit is None else limit for limit, far_off in zip(position.over_mm, (-far, far), strict=True)
        )
        there = shapely.transform(self.outline, lambda points: points @ rotation(position.turn_deg).T)
        there = there.intersection(shapely.box(left, low, right, high))
        band = there.intersection(shapely.box(-far, cut.line_mm, far, cut.line_mm + kerf_mm))
        line = back @ np.array([0.0, cut.line_mm]) - self.pith
        axis = 1 if abs(position.turn_deg) < 1.0 else 0
        moved = shapely.transform(band, lambda points: points @ back.T - self.pith)
        return moved, axis, float(line[axis])


def cuts_of(pattern, part):
    for index, position in enumerate(pattern.positions):
        if position.part == part:
            for cut in position.cuts:
                yield index, position, cut


@every_case
@both_ends
def test_every_kerf_is_hatched_where_it_is_sawn(case, end):
    pattern = case()
    for part in range(len(pattern.parts)):
        wood = Wood(pattern, part, end)
        drawing = pattern_end_view(pattern, part, end, tape=INCHES)
        svg = drawing.to_svg()
        hatched = 0
        for _, position, cut in cuts_of(pattern, part):
            band, _, _ = wood.kerf(position, cut, pattern.kit.saw.kerf_mm)
            found = groups(svg, f"kerf pass-{cut.number}")
            assert bool(found) == (band.area > 1e-3)
            if not found:
                continue
            hatch, *edge = list(found[0])
            drawn = shapely.Polygon(from_pith(svg, drawing.scale, corners((edge or [hatch])[-1])))
            assert drawn.symmetric_difference(band).area <= WRITTEN_MM / drawing.scale * band.length
            assert "line-kerf" in hatch.attrib["class"]
            if edge:
                hatched += 1
                strokes = from_pith(svg, drawing.scale, corners(hatch))
                assert shapely.MultiPoint(strokes).within(band.buffer(2.0 * WRITTEN_MM / drawing.scale))
        assert hatched >= 1


@every_case
@both_ends
def test_every_cut_line_lies_at_its_distance_from_the_pith_and_says_so(case, end):
    pattern = case()
    for part in range(len(pattern.parts)):
        wood = Wood(pattern, part, end)
        drawing = pattern_end_view(pattern, part, end, tape=INCHES)
        svg = drawing.to_svg()
        for _, position, cut in cuts_of(pattern, part):
            band, axis, wanted = wood.kerf(position, cut, pattern.kit.saw.kerf_mm)
            if band.area <= 1e-3:
                assert groups(svg, f"distance pass-{cut.number}") == []
                continue
            for found in groups(svg, f"line pass-{cut.number}"):
                for spot in from_pith(svg, drawing.scale, corners(found[0])):
                    # A tenth of a millimeter on paper is much; two hundredths is what is written.
                    assert spot[axis] * drawing.scale == pytest.approx(wanted * drawing.scale, abs=2 * WRITTEN_MM)
            told = " ".join(texts(only(svg, f"distance pass-{cut.number}")))
            way = (("left", "right"), ("down", "up"))[axis][wanted >= 0.0]
            assert print_figures(INCHES.show(abs(wanted))) in told
            assert re.search(rf"\b{way}\b", told)
            assert re.search(rf"\b{cut.number}\b", told)


@every_case
@both_ends
def test_the_arrow_of_a_distance_ends_at_its_line(case, end):
    pattern = case()
    wood = Wood(pattern, 0, end)
    drawing = pattern_end_view(pattern, 0, end, tape=METRIC, room_mm=(190.0, 112.0))
    svg = drawing.to_svg()
    for _, position, cut in cuts_of(pattern, 0):
        band, axis, wanted = wood.kerf(position, cut, pattern.kit.saw.kerf_mm)
        if band.area <= 1e-3 or abs(wanted) * drawing.scale < 4.0:
            continue
        head = next(e for e in only(svg, f"distance pass-{cut.number}") if "fill-ink" in (e.get("class") or ""))
        tip = from_pith(svg, drawing.scale, [corners(head)[0]])[0]
        assert tip[axis] * drawing.scale == pytest.approx(wanted * drawing.scale, abs=2 * WRITTEN_MM)


@every_case
@both_ends
def test_pieces_are_drawn_in_place_and_dashed_where_they_end_before(case, end):
    pattern = case()
    dashed = 0
    for part, this in enumerate(pattern.parts):
        wood = Wood(pattern, part, end)
        drawing = pattern_end_view(pattern, part, end, tape=INCHES)
        svg = drawing.to_svg()
        for mark, piece in zip(piece_marks(pattern), pattern.pieces, strict=True):
            found = groups(svg, f"piece {mark}")
            assert len(found) == (piece.part == part)
            if not found:
                continue
            frame = piece.frame_butt_mm if end == "butt" else piece.frame_tip_mm
            short = abs(piece.start_mm - this.start_mm if end == "butt" else piece.end_mm - this.end_mm)
            drawn = from_pith(svg, drawing.scale, corners(found[0][0]))
            assert drawn == pytest.approx(frame - wood.pith, abs=2 * WRITTEN_MM / drawing.scale)
            style = "line-hidden" if short > 1.0 else {"timber": "line-sawn", "board": "line-outline"}[piece.kind]
            assert style in found[0][0].attrib["class"]
            dashed += short > 1.0
    if case is simple:
        # Its upper board runs 11 ft of 20 from the butt.
        assert dashed == (1 if end == "tip" else 0)


@every_case
@both_ends
def test_timbers_are_named_and_told_inside_their_sides(case, end):
    pattern = case()
    svg = pattern_end_view(pattern, 0, end, tape=INCHES, room_mm=(190.0, 112.0)).to_svg()
    for mark, piece in zip(piece_marks(pattern), pattern.pieces, strict=True):
        if piece.kind == "timber" and piece.part == 0:
            told = " ".join(texts(only(svg, f"name {mark}")))
            assert mark in told
            box = shapely.Polygon(corners(groups(svg, f"piece {mark}")[0][0]))
            for text in only(svg, f"name {mark}"):
                assert box.contains(shapely.Point(float(text.attrib["x"]), float(text.attrib["y"])))


@every_case
@both_ends
def test_of_one_position_only_its_own_lines_are_red_and_told(case, end):
    pattern = case()
    for index, position in enumerate(pattern.positions):
        own = {cut.number for cut in position.cuts}
        svg = pattern_end_view(pattern, position.part, end, tape=INCHES, position=index).to_svg()
        for _, _, cut in cuts_of(pattern, position.part):
            told = groups(svg, f"distance pass-{cut.number}")
            assert not told or cut.number in own
            for line in groups(svg, f"line pass-{cut.number}"):
                assert ("line-cut" in line[0].attrib["class"]) == (cut.number in own)
        assert any(groups(svg, f"distance pass-{number}") for number in own)


@every_case
@both_ends
def test_as_it_lies_every_line_of_the_position_is_level(case, end):
    pattern = case()
    for index, position in enumerate(pattern.positions):
        drawing = position_end_view(pattern, index, end, tape=INCHES)
        svg = drawing.to_svg()
        wood = Wood(pattern, position.part, end)
        here = rotation(position.turn_deg) @ wood.pith
        for cut in position.cuts:
            for line in groups(svg, f"line pass-{cut.number}"):
                ys = from_pith(svg, drawing.scale, corners(line[0]))[:, 1] * drawing.scale
                assert ys == pytest.approx((cut.line_mm - here[1]) * drawing.scale, abs=2 * WRITTEN_MM)
        (left,) = elements(svg, "path", "fill-wood")
        xs = from_pith(svg, drawing.scale, corners(left))[:, 0] + here[0]
        if position.within_mm is not None:
            assert min(xs) >= position.within_mm[0] - 0.2
            assert max(xs) <= position.within_mm[1] + 0.2


def views(pattern, tape):
    """All drawings of a pattern, in rooms as they have them on a card."""
    for part in range(len(pattern.parts)):
        for end in ("butt", "tip"):
            yield pattern_end_view(pattern, part, end, tape=tape)
            yield pattern_end_view(pattern, part, end, tape=tape, room_mm=(186.0, 112.0))
    for index, position in enumerate(pattern.positions):
        for end in ("butt", "tip"):
            yield position_end_view(pattern, index, end, tape=tape, room_mm=(92.0, 56.0))
            yield pattern_end_view(pattern, position.part, end, tape=tape, position=index)
        yield pattern_side_view(pattern, index, tape=tape)
    yield pattern_plan_view(pattern, tape=tape)


@every_case
@both_tapes
def test_no_text_lies_on_another_or_on_a_line_and_every_drawing_states_its_scale(case, tape):
    for drawing in views(case(), tape):
        svg = drawing.to_svg()
        assert list(overlapping(elements(svg, "text"))) == [], drawing.title
        assert list(struck(svg)) == [], drawing.title
        assert any(drawing.scale_text in (text.text or "") for text in elements(svg, "text"))


def test_twelve_level_and_eight_plumb_lines_can_be_read():
    pattern = many()
    assert [len(position.cuts) for position in pattern.positions] == [11, 8]
    svg = pattern_end_view(pattern, 0, "butt", tape=INCHES, room_mm=(190.0, 112.0)).to_svg()
    sizes = [float(text.attrib["font-size"]) for text in elements(svg, "text")]
    # No smaller than the note of the type scale, 9 pt.
    assert min(sizes) >= 9.0 * MM_PER_POINT - 0.01
    assert sum(bool(groups(svg, f"distance pass-{number}")) for number in range(1, 20)) == 19


@every_case
def test_both_ends_have_one_scale_and_one_size(case):
    pattern = case()
    butt, tip = (pattern_end_view(pattern, 0, end, tape=INCHES) for end in ("butt", "tip"))
    assert butt.scale == tip.scale
    sizes = [(drawing.paper.width_mm, drawing.paper.height_mm) for drawing in (butt, tip)]
    assert sizes[0] == pytest.approx(sizes[1])


# -- from the side and as a strip ----------------------------------------------------------


@every_case
def test_from_the_side_passes_lie_as_far_apart_as_they_are_sawn(case):
    pattern = case()
    for index, position in enumerate(pattern.positions):
        drawing = pattern_side_view(pattern, index, tape=INCHES)
        svg = drawing.to_svg()
        upright = abs(drawing.on_paper_mm((0.0, 1.0))[1] - drawing.on_paper_mm((0.0, 0.0))[1])
        spots = {cut.number: corners(only(svg, f"cut pass-{cut.number}")[0]) for cut in position.cuts}
        first = position.cuts[0]
        for cut in position.cuts:
            (x0, y0), (x1, y1) = spots[cut.number]
            assert y0 == y1
            assert x1 - x0 >= position.log.length_mm * drawing.scale
            down = (first.line_mm - cut.line_mm) * upright
            assert y0 - spots[first.number][0][1] == pytest.approx(down, abs=2 * WRITTEN_MM)
            assert f"pass {cut.number}" in texts(only(svg, f"number pass-{cut.number}"))
        bearers = re.findall(r'class="(bearer-\d+)"', svg)
        assert len(bearers) == (0 if position.stand is None else len(position.stand.bearers))
        if position.stand is not None:
            for bearer in position.stand.bearers:
                assert print_figures(INCHES.show(bearer.height_mm)) in svg
            assert print_figures(f"{INCHES.show(position.stand.datum_mm)}") in svg


def test_a_short_board_ends_in_the_side_view_where_it_is_cut_off():
    pattern = simple()
    drawing = pattern_side_view(pattern, 0, tape=INCHES)
    svg = drawing.to_svg()
    (line,) = groups(svg, "end B1")
    (x0, y0), (x1, y1) = corners(line[0])
    assert x0 == x1 == pytest.approx(drawing.on_paper_mm((11 * FOOT, 0.0))[0], abs=WRITTEN_MM)
    tall = abs(drawing.on_paper_mm((0.0, 1.125 * INCH))[1] - drawing.on_paper_mm((0.0, 0.0))[1])
    assert abs(y1 - y0) == pytest.approx(tall, abs=2 * WRITTEN_MM)


def test_the_strip_tells_where_the_log_is_cut_and_what_comes_from_each_part():
    pattern = bucked()
    drawing = pattern_plan_view(pattern, tape=INCHES)
    svg = drawing.to_svg()
    told = [text.text for text in elements(svg, "text")]
    for wanted in ("part 1", "part 2", "12 ft", "21 ft", "T1 post", "T2 brace; B1, B2 board"):
        assert print_figures(wanted) in told
    cuts = elements(svg, "path", "line-cut")
    xs = sorted(corners(cut)[0][0] for cut in cuts)
    wanted = [drawing.on_paper_mm((z, 0.0))[0] for z in (12 * FOOT, 12 * FOOT + KIT.saw.kerf_mm)]
    assert xs == pytest.approx(wanted, abs=WRITTEN_MM)


def test_marks_and_passes_of_pieces_are_found():
    pattern = many()
    marks = piece_marks(pattern)
    assert sorted(marks) == sorted([f"T{n}" for n in (1, 2)] + [f"B{n}" for n in range(1, 15)])
    assert names_of(pattern, 0) == ("T1 plate", "T2 purlin", "B1 to B3 siding", "B4, B5 plank", "B6 to B14 siding")
    found = dict(zip(marks, (passes_of(pattern, piece) for piece in pattern.pieces), strict=True))
    # Derived apart: the cant lies between passes 5 and 6, the plate under the third pass of the second position.
    assert found["B1"] == (1, 2)
    assert found["T1"] == (5, 6, 14, 15)
    assert found["B14"] == (5, 6, 18, 19)


# -- the card ------------------------------------------------------------------------------


def plain(text):
    """Text as typed: plain spaces, marks and fractions."""
    text = re.sub(r"\s+", " ", text)
    for printed, typed in {"\u2019": "'", "\u2212": "-", "\u2044": "/", "\u2032": "'", "\u2033": '"'}.items():
        text = text.replace(printed, typed)
    return text


def read(page):
    return plain(words(page))


def character_boxes(page):
    """Each character of a page with left, right and height of its ink [mm]."""
    found = page.get_textpage()
    text = found.get_text_range()
    for number in range(min(found.count_chars(), len(text))):
        left, bottom, right, top = found.get_charbox(number)
        yield text[number], left * MM_PER_POINT, right * MM_PER_POINT, (top - bottom) * MM_PER_POINT


def sheets_of(pattern, found):
    """The pages of each sheet: the first of what comes out, then one of each position; told by their heads."""
    tag = re.escape(pattern.log.tag)
    sheets = [[] for _ in range(1 + len(pattern.positions))]
    order = []
    for number, page in enumerate(found, start=1):
        head = re.match(rf"{tag} .*?(?:, position (\d+) of (\d+))? page (\d+) of (\d+) ", read(page))
        assert (int(head[3]), int(head[4])) == (number, len(found))
        assert head[2] is None or int(head[2]) == len(pattern.positions)
        order.append(int(head[1] or 0))
        sheets[order[-1]].append(page)
    assert order == sorted(order)
    return sheets


@both_papers
@both_tapes
@every_case
def test_a_pattern_has_a_sheet_for_all_and_one_for_each_position(paper, tape, case):
    pattern = case()
    found = pages(pattern_card_pdf([pattern], tape=tape, paper=paper))
    sheets = sheets_of(pattern, found)
    # How many passes the searched way has is the search's affair; a sheet runs on to one more page and no further.
    assert all(1 <= len(sheet) <= 2 for sheet in sheets)
    for sheet, position in zip(sheets[1:], pattern.positions, strict=True):
        assert plain(way_of(pattern, position)) in read(sheet[0])
        # What runs on is the table of passes, its head said again.
        assert all("Pass Set the mill to or riding on" in read(page) for page in sheet[1:])
    for page in found:
        assert [side * MM_PER_POINT for side in page.get_size()] == pytest.approx(PAPERS[paper], abs=0.01)
        for mark, left, right, _ in character_boxes(page):
            assert mark.isspace() or (left > 10.0 and right < PAPERS[paper][0] - 10.0), mark


@both_papers
@both_tapes
@pytest.mark.parametrize(("case", "counts"), [(simple, [1, 1, 1]), (bucked, [1, 1, 1, 1]), (many, [2, 2, 2])])
def test_a_sheet_takes_one_page_and_many_lines_or_passes_a_second(paper, tape, case, counts):
    pattern = case()
    found = pages(pattern_card_pdf([pattern], tape=tape, paper=paper))
    # The many lines need a page of their own on both ends, the many passes a second page each.
    assert [len(sheet) for sheet in sheets_of(pattern, found)] == counts


@both_papers
@both_tapes
@every_case
def test_the_first_page_tells_what_comes_out_and_what_it_is_worth(paper, tape, case):
    pattern = case()
    page = read(pages(pattern_card_pdf([pattern], tape=tape, paper=paper))[0])
    for mark, piece in zip(piece_marks(pattern), pattern.pieces, strict=True):
        section = f"{tape.number(piece.thickness_mm)} x {tape.show(piece.width_mm)}"
        assert f"{mark} {piece.name} {section} {tape.show_long(piece.length_mm, 'down')}" in page
        numbers = passes_of(pattern, piece)
        assert numbers
        assert ", ".join(map(str, numbers)) in page
    assert f"{100 * pattern.recovery:.0f} %" in page
    assert f"{pattern.minutes / 60:.1f}" in page
    assert f"net: value {pattern.value:.0f}, less {pattern.cost:.0f} for the time" in page
    for sentence in (pattern.gives_up, *pattern.notes):
        assert plain(sentence).rstrip(".") in page


@both_papers
@both_tapes
@every_case
def test_every_pass_tells_its_setting_what_it_rides_on_and_what_comes_off(paper, tape, case):
    pattern = case()
    found = " ".join(read(page) for page in pages(pattern_card_pdf([pattern], tape=tape, paper=paper)))
    for position in pattern.positions:
        assert plain(way_of(pattern, position)) in found
        for kind in ("check", "caution"):
            for sentence in said_where(pattern.kit, lying_of(position), kind=kind, tape=tape):
                assert plain(sentence) in found
        for cut in position.cuts:
            setting = tape.show(cut.setting_mm)
            if cut.rides_on == "rail":
                assert f"Pass {cut.number}, mill on the rail" in found
                assert f"Comes off: {cut.frees}. Up to {tape.show(cut.widest_mm)} wide" in found
            else:
                other, widest = tape.other(cut.setting_mm), tape.show(cut.widest_mm)
                told = rf"{cut.number} {setting} {other} the face of pass {cut.face_of} {re.escape(cut.frees)} {widest}"
                assert re.search(told, found)


@both_papers
@both_tapes
@every_case
def test_the_first_number_is_20_mm_tall_and_the_others_9(paper, tape, case):
    pattern = case()
    tall = [
        (mark, high)
        for page in pages(pattern_card_pdf([pattern], tape=tape, paper=paper))
        for mark, _, _, high in character_boxes(page)
        if mark.isdigit() and high > 8.0
    ]
    rails = [cut for cut in pattern.cuts if cut.rides_on == "rail"]
    rest = [cut for cut in pattern.cuts if cut.rides_on != "rail"]
    # Whole numbers of the first passes are 20 mm tall; the figures of a fraction are smaller than its number.
    huge = "".join(mark for mark, high in tall if high >= 20.0)
    assert huge == "".join(str(tape.parts(cut.setting_mm).whole) for cut in rails)
    large = "".join(mark for mark, high in tall if 9.0 <= high < 11.0)
    whole = [tape.parts(cut.setting_mm) for cut in rest]
    assert large == "".join(str(parts.whole) for parts in whole if parts.whole or not parts.numerator)


def test_the_same_patterns_are_the_same_bytes():
    asked = {"tape": METRIC, "paper": "a4"}
    assert pattern_card_pdf([simple(), bucked()], **asked) == pattern_card_pdf([simple(), bucked()], **asked)


def test_a_cant_that_rides_on_a_sawn_face_is_told_so():
    position = many().positions[1]
    assert position.stand is None
    checks = " ".join(said_where(KIT, lying_of(position), kind="check", tape=INCHES))
    assert "Face the mill rides on swept clean" in checks
    assert "Rail fixed" not in checks
    assert "String tight" not in checks
    assert "Cant blocked" in checks
    first = " ".join(said_where(KIT, lying_of(many().positions[0]), kind="check", tape=INCHES))
    assert "Rail fixed" in first
    assert "swept clean" not in first
    assert "Log blocked" in first


@pytest.mark.parametrize(
    ("turn", "wanted"),
    [
        (90.0, "Roll the cant a quarter turn clockwise, seen from the butt: its left side comes up."),
        (-90.0, "Roll the cant a quarter turn counterclockwise, seen from the butt: its right side comes up."),
        (0.0, "Lay the cant as it lay in the log, its upper face up."),
    ],
)
def test_how_a_cant_is_laid_is_told_from_how_it_was_marked(turn, wanted):
    pattern = simple()
    assert way_of(pattern, replace(pattern.positions[1], turn_deg=turn)) == wanted


def test_how_a_log_is_turned_is_told_by_its_crown():
    # Derived apart: 15 degrees clockwise are half an hour of the clock.
    told = plain(way_of(simple(), simple().positions[0]))
    named = simple().positions[0].body
    assert told == f"Turn {named} 15° clockwise, seen from the butt: the crown goes from half past 2 to 3 o'clock."
    second = plain(way_of(bucked(), bucked().positions[2]))
    named = bucked().positions[2].body
    assert second.startswith(f"Turn {named} 60° clockwise, seen from the butt: the crown goes from 4 o'clock")


def test_what_cannot_be_drawn_is_refused_in_a_sentence():
    pattern = simple()
    with pytest.raises(SheetError, match="A-3: there is no part 1 in this pattern"):
        pattern_end_view(pattern, 1, "butt", tape=INCHES)
    with pytest.raises(SheetError, match="A-3: there is no position 2 of part 0 in this pattern"):
        pattern_end_view(pattern, 0, "butt", tape=INCHES, position=2)
    with pytest.raises(SheetError, match="A-3: there is no position 2 in this pattern"):
        position_end_view(pattern, 2, "butt", tape=INCHES)
    with pytest.raises(SheetError, match="A-3: there is no position -1 in this pattern"):
        pattern_side_view(pattern, -1, tape=INCHES)
    with pytest.raises(SheetError, match="give it more room"):
        pattern_end_view(pattern, 0, "butt", tape=INCHES, room_mm=(30.0, 20.0))
    with pytest.raises(SheetError, match=r"[Gg]ive it more room"):
        pattern_side_view(many(), 1, tape=INCHES, room_mm=(186.0, 20.0))
    with pytest.raises(SheetError, match="give it more room"):
        pattern_plan_view(pattern, tape=INCHES, room_mm=(186.0, 20.0))
    with pytest.raises(SheetError, match="no log has a pattern to print a card of"):
        pattern_card_pdf([], tape=INCHES, paper="letter")
    with pytest.raises(SheetError, match="paper 'legal': choose letter or a4"):
        pattern_card_pdf([pattern], tape=INCHES, paper="legal")
