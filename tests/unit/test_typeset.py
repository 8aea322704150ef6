"""Sheets are set, read back and measured with a PDF reader that knows nothing of them."""

import ctypes
import hashlib
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c
import pytest

from pithline.errors import SheetError
from pithline.sheets import typeset
from pithline.sheets.look import COLORS, text_width_mm
from pithline.sheets.svg import Box, Drawing
from pithline.sheets.typeset import compile_pdf, compile_source, font_folder

MM_PER_POINT = 25.4 / 72.0
# Printed lengths are asked to be true to a tenth of a millimeter.
TRUE_MM = 0.1
RENDER_DPI = 200

HEAD = """#import "base.typ": *
#show: sheet.with(paper: data.paper, tag: data.tag, title: "First cut", footer: "Invented data.")
"""
DATA = {"paper": "letter", "tag": "A-3", "settings": ["11 3/4 in", "6 1/16 in", "15/16 in"]}
SAMPLE = (
    HEAD
    + """
= Settings
#ruled-table(columns: (auto, 1fr), head: ("Pass", "Set the mill to"),
  ..data.settings.enumerate(start: 1).map(((n, s)) => (str(n), length-text(s))).flatten())
#prose("Line 3 7/8 in above the pith, give or take 1/8; 21' 6 1/4\\" from the butt.")
#caution-box("Stand clear of the bar's tip.")
#drawing("bar")
#pagebreak()
#big-setting("11 13/16 in", "300 mm")
#check-bars()
"""
)


def bar() -> str:
    """Return a drawing with one line of 100 mm and a fraction, at true scale."""
    d = Drawing(Box(0.0, 0.0, 120.0, 30.0), 1.0, title="Bar", description="A line, 100 mm long")
    d.line((7.0, 20.0), (107.0, 20.0), style="cut")
    d.text((7.0, 5.0), "6 5/8 in")
    return d.to_svg()


def sample(paper: str = "letter") -> pdfium.PdfDocument:
    pdf = compile_source(SAMPLE, {**DATA, "paper": paper}, drawings={"bar": bar()})
    return pdfium.PdfDocument(pdf)


def words(page: pdfium.PdfPage) -> str:
    """Return a page's text as copied, each kind of space a plain one."""
    return re.sub(r"\s", " ", page.get_textpage().get_text_range())


def boxes_mm(page: pdfium.PdfPage, text: str) -> list[tuple[float, float, float, float]]:
    """Return left, bottom, right, top of each character of a text on a page."""
    found = page.get_textpage()
    at = words(page).index(text)
    # The reader counts characters as they stand on the page, so one by one.
    count = found.count_chars()
    assert count >= at + len(text)
    boxes = [found.get_charbox(at + number) for number in range(len(text))]
    return [tuple(side * MM_PER_POINT for side in box) for box in boxes]


def lines_mm(page: pdfium.PdfPage) -> list[tuple[float, float]]:
    """Return how wide and how tall each path on a page is, without its stroke."""
    found = []
    for item in page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_PATH]):
        matrix = item.get_matrix()
        corners = []
        for number in range(pdfium_c.FPDFPath_CountSegments(item)):
            segment = pdfium_c.FPDFPath_GetPathSegment(item, number)
            x, y = ctypes.c_float(), ctypes.c_float()
            pdfium_c.FPDFPathSegment_GetPoint(segment, x, y)
            corners.append(matrix.on_point(x.value, y.value))
        sides = [max(values) - min(values) for values in zip(*corners, strict=True)]
        found.append(tuple(side * MM_PER_POINT for side in sides))
    return found


def alternatives(page: pdfium.PdfPage) -> Iterator[str]:
    """Yield the texts that stand for images on a tagged page."""
    tree = pdfium_c.FPDF_StructTree_GetForPage(page)
    count = pdfium_c.FPDF_StructTree_CountChildren(tree)
    waiting = [pdfium_c.FPDF_StructTree_GetChildAtIndex(tree, n) for n in range(count)]
    while waiting:
        element = waiting.pop()
        if not element:
            continue
        size = pdfium_c.FPDF_StructElement_GetAltText(element, None, 0)
        if size:
            buffer = ctypes.create_string_buffer(size)
            pdfium_c.FPDF_StructElement_GetAltText(element, buffer, size)
            yield buffer.raw.decode("utf-16-le").rstrip("\0")
        waiting += [
            pdfium_c.FPDF_StructElement_GetChildAtIndex(element, n)
            for n in range(pdfium_c.FPDF_StructElement_CountChildren(element))
        ]
    pdfium_c.FPDF_StructTree_Close(tree)


# From memory: letter is 8 1/2 x 11 in; A4 is 210 x 297 mm (ISO 216).
@pytest.mark.parametrize(("paper", "size_mm"), [("letter", (215.9, 279.4)), ("a4", (210.0, 297.0))])
def test_the_page_has_the_size_of_its_paper(paper, size_mm):
    for page in sample(paper):
        assert [side * MM_PER_POINT for side in page.get_size()] == pytest.approx(size_mm, abs=0.01)


def test_copied_text_keeps_whole_number_and_fraction_apart():
    first, second = sample()
    for length in ("11 3/4 in", "6 1/16 in", "15/16 in", "3 7/8 in", "give or take 1/8"):
        assert length in words(first)
    assert "21\u2032 6 1/4\u2033 from the butt" in words(first)
    assert "the bar\u2019s tip" in words(first)
    assert "11 13/16 in" in words(second)


@pytest.mark.parametrize("length", ["11 3/4 in", "6 1/16 in", "15/16 in"])
def test_a_fraction_is_a_true_one_and_the_whole_number_stays_whole(length):
    page = sample()[0]
    whole, _, fraction = length.removesuffix(" in").rpartition(" ")
    over, _, under = fraction.partition("/")
    boxes = boxes_mm(page, length)
    digits = dict(enumerate(length))
    start = len(whole) + 1 if whole else 0
    above = [boxes[n] for n in digits if start <= n < start + len(over)]
    below = [boxes[n] for n in digits if start + len(over) < n < start + len(fraction)]
    # The numerator stands higher, and both are about half as tall as a full figure.
    feet_above, feet_below = min(b[1] for b in above), min(b[1] for b in below)
    full_mm = 0.65 * 11.0 * MM_PER_POINT
    assert feet_above - feet_below > 0.3 * full_mm
    for box in above + below:
        assert 0.45 * full_mm < box[3] - box[1] < 0.75 * full_mm
    for number in range(len(whole)):
        assert boxes[number][3] - boxes[number][1] == pytest.approx(full_mm, rel=0.06)
    assert len(under) == len(below)


def test_the_number_to_set_is_at_least_20_mm_tall_on_paper():
    page = sample()[1]
    left, bottom, right, top = boxes_mm(page, "11 13/16")[0]
    pixels_per_mm = RENDER_DPI / 25.4
    image = page.render(scale=RENDER_DPI / 72.0, grayscale=True).to_numpy()
    page_mm = page.get_height() * MM_PER_POINT
    columns = slice(round(left * pixels_per_mm), round(right * pixels_per_mm))
    above, below = page_mm - top - 3.0, page_mm - bottom + 1.5
    rows = slice(round(above * pixels_per_mm), round(below * pixels_per_mm))
    dark = (image[rows, columns] < 128).any(axis=1).nonzero()[0]
    tall_mm = (dark[-1] - dark[0] + 1) / pixels_per_mm
    # One pixel of the picture is 0.13 mm.
    assert 20.0 <= tall_mm <= 22.0
    # It was the whole figure that was measured: clear paper above and below it.
    assert dark[0] > 2
    assert dark[-1] < image[rows, columns].shape[0] - 3


def test_a_large_fraction_spans_the_height_of_the_whole_number():
    whole, *_, under = boxes_mm(sample()[1], "11 13/16")
    over = boxes_mm(sample()[1], "11 13/16")[3]
    assert over[3] == pytest.approx(whole[3], abs=1.0)
    assert under[1] == pytest.approx(whole[1], abs=1.0)


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_check_bars_are_100_mm_and_4_in_long(paper):
    page = sample(paper)[1]
    flat = [wide for wide, tall in lines_mm(page) if tall == 0.0]
    assert sum(abs(w - 100.0) < TRUE_MM for w in flat) == 2
    assert sum(abs(w - 101.6) < TRUE_MM for w in flat) == 2


def test_a_check_bar_is_100_mm_in_the_picture_too():
    page = sample()[1]
    pixels_per_mm = RENDER_DPI / 25.4
    image = page.render(scale=RENDER_DPI / 72.0, grayscale=True).to_numpy()
    label_top_mm = boxes_mm(page, "100 mm from end")[0][3]
    row = round((page.get_height() * MM_PER_POINT - label_top_mm - 2.5) * pixels_per_mm)
    # Through the bar's middle the row is dark at its left end and dark again at the
    # mark on its right end.
    dark = (image[row - 2] < 200).nonzero()[0]
    assert (dark[-1] - dark[0]) / pixels_per_mm == pytest.approx(100.0, abs=2 * 25.4 / RENDER_DPI)


def test_a_drawing_is_printed_at_the_scale_it_states():
    flat = [wide for wide, tall in lines_mm(sample()[0]) if tall == 0.0 and wide < 150.0]
    assert flat == pytest.approx([100.0], abs=TRUE_MM)


def test_fractions_in_a_drawing_are_true_fractions():
    # The typesetter shapes text in drawings by the fraction slash alone.
    page = sample()[0]
    six, _, five, _, eight, *_ = boxes_mm(page, "6 5\u20448")
    assert five[1] - eight[1] > 0.25 * (six[3] - six[1])
    assert five[3] - five[1] < 0.75 * (six[3] - six[1])


def test_the_estimate_of_a_text_is_wide_enough_and_not_by_much():
    texts = ["21' 6 1/4\"", "11 13/16 in", "right of center", "Scale 1:40.", "MILL 12 W", "iljt.:"]
    d = Drawing(Box(0.0, 0.0, 150.0, 100.0), 1.0, title="Words")
    for number, text in enumerate(texts):
        d.text((0.0, 90.0 - 10.0 * number), text)
    source = HEAD + '#drawing("words")'
    page = pdfium.PdfDocument(compile_source(source, DATA, drawings={"words": d.to_svg()}))[0]
    reader = page.get_textpage()
    rows: dict[int, list[float]] = {}
    for number in range(reader.count_chars()):
        left, bottom, right, _ = (v * MM_PER_POINT for v in reader.get_charbox(number))
        if right > left:
            origin = next((n for n in range(len(texts)) if abs(_baseline_mm(n) - bottom) < 3.0), None)
            if origin is not None:
                rows.setdefault(origin, []).extend((left, right))
    for number, text in enumerate(texts):
        real_mm = max(rows[number]) - min(rows[number])
        assert 0.95 * real_mm < text_width_mm(text, "note") < 1.25 * real_mm + 1.0


def _baseline_mm(row: int) -> float:
    """Return where row n of the drawing stands above the foot of a letter page."""
    return 279.4 - 19.0 - 10.0 - 10.0 * row


def test_every_drawing_is_read_aloud_by_its_title_and_description():
    assert "Bar. A line, 100 mm long." in list(alternatives(sample()[0]))


def test_only_the_fonts_of_the_font_package_are_used():
    pdf = compile_source(SAMPLE, DATA, drawings={"bar": bar()})
    names = set(re.findall(rb"/BaseFont/(?:[A-Z]{6}\+)?([A-Za-z]+)", pdf))
    assert names == {b"SourceSansPro"}
    assert len(list(font_folder().iterdir())) == 3


def test_the_header_tells_tag_and_page():
    pages = [words(page) for page in sample()]
    assert [f"page {n} of 2" in text for n, text in enumerate(pages, 1)] == [True, True]
    assert all("A-3" in text and "Invented data." in text for text in pages)


def test_equal_input_gives_equal_bytes_in_another_process_too(tmp_path):
    here = compile_source(SAMPLE, DATA, drawings={"bar": bar()})
    assert compile_source(SAMPLE, DATA, drawings={"bar": bar()}) == here
    (tmp_path / "bar.svg").write_text(bar(), "utf-8")
    (tmp_path / "sheet.typ").write_text(SAMPLE, "utf-8")
    script = (
        "import hashlib, pathlib, sys\n"
        "from pithline.sheets.typeset import compile_source\n"
        f"data = {DATA!r}\n"
        "at = pathlib.Path(sys.argv[1])\n"
        "bar = (at / 'bar.svg').read_text('utf-8')\n"
        "pdf = compile_source((at / 'sheet.typ').read_text('utf-8'), data, drawings={'bar': bar})\n"
        "print(hashlib.sha256(pdf).hexdigest())\n"
    )
    other = tmp_path / "other"
    other.mkdir()
    source = str(Path(typeset.__file__).parents[2])
    elsewhere = {
        "TMPDIR": str(other),
        "PYTHONHASHSEED": "7",
        "TZ": "Asia/Tokyo",
        "PYTHONPATH": source,
    }
    done = subprocess.run(
        [sys.executable, "-c", script, str(tmp_path)],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **elsewhere},
    )
    assert done.stdout.strip() == hashlib.sha256(here).hexdigest()
    # The fonts laid out for that run went with it.
    assert list(other.iterdir()) == []


def test_a_template_of_the_package_is_found_by_its_name(tmp_path, monkeypatch):
    shutil.copy(Path(typeset.__file__).parent / "base.typ", tmp_path)
    (tmp_path / "first.typ").write_text(HEAD + "#prose(data.line)", "utf-8")
    monkeypatch.setattr(typeset, "_TEMPLATES", tmp_path)
    pdf = compile_pdf("first.typ", {**DATA, "line": "Set *it* to #6 3/8 in_"})
    # Data is never read as markup.
    assert "Set *it* to #6 3/8 in_" in words(pdfium.PdfDocument(pdf)[0])


def test_no_template_takes_anything_from_outside():
    templates = list(Path(typeset.__file__).parent.glob("*.typ"))
    assert templates
    for template in templates:
        assert '"@' not in template.read_text("utf-8")


def test_the_colors_of_a_sheet_are_those_of_the_drawings():
    source = HEAD + "#for (name, code) in colors [#name #code.to-hex() ]"
    text = words(pdfium.PdfDocument(compile_source(source, DATA))[0])
    for name, code in COLORS.items():
        assert f"{name} {code}" in text


@pytest.mark.parametrize(
    ("source", "message"),
    [
        (HEAD + '#drawing("side")', 'there is no drawing "side"'),
        (HEAD + '#box(width: 50mm, drawing("bar"))', "is 120 x 30 mm and does not fit in 50"),
        (HEAD + '#box(width: 60mm, big-setting("11 13/16 in", "300 mm"))', "mm wide and has 60"),
        (HEAD.replace("data.paper", '"legal"'), "choose letter or a4"),
        (HEAD + "#no-such-thing", "unknown variable: no-such-thing"),
        (HEAD + "#prose(", "unclosed delimiter"),
        ('#import "base.typ": *\n#show: sheet.with()\nx', "missing document title"),
        (HEAD + '#image("../../errors.py")', "escape"),
        (HEAD + '#text(font: "No Such Type")[x]', "set with a fault: unknown font family"),
    ],
)
def test_a_sheet_that_cannot_be_set_says_why(source, message):
    with pytest.raises(SheetError, match=re.escape(message)):
        compile_source(source, DATA, drawings={"bar": bar()})


def test_a_sign_that_the_letters_lack_is_named_and_never_left_out():
    with pytest.raises(SheetError, match="no sign for '\u677e'"):
        compile_source(HEAD, {**DATA, "tag": "\u677e-1"})


@pytest.mark.parametrize("value", [float("nan"), object(), {1, 2}])
def test_data_that_is_no_json_is_refused(value):
    with pytest.raises(SheetError, match="the data for the sheet cannot be written"):
        compile_source(HEAD, {**DATA, "value": value})


@pytest.mark.parametrize("name", ["missing.typ", "../errors.py", "svg.py", ""])
def test_a_template_that_is_not_there_is_named_with_those_that_are(name):
    with pytest.raises(SheetError, match=r"there is no template .*there are .*base\.typ"):
        compile_pdf(name, DATA)


@pytest.mark.parametrize(
    ("svg", "message"),
    [
        ("<svg", "is not SVG with width and height in mm"),
        ("<svg xmlns='http://www.w3.org/2000/svg'/>", "is not SVG with width and height in mm"),
        (
            "<svg xmlns='http://www.w3.org/2000/svg' width='9in' height='9mm'/>",
            "is not SVG with width and height in mm",
        ),
        (
            "<svg xmlns='http://www.w3.org/2000/svg' width='9mm' height='9mm'/>",
            "has no title to be read aloud",
        ),
    ],
)
def test_a_drawing_without_size_or_title_is_refused(svg, message):
    with pytest.raises(SheetError, match=f"the drawing 'bar' {message}"):
        compile_source(HEAD, DATA, drawings={"bar": svg})


def test_missing_fonts_are_told_with_what_to_install(monkeypatch):
    monkeypatch.setattr(typeset, "_FONT_PACKAGE", "no_such_font_package")
    with pytest.raises(SheetError, match="install the Python package font-source-sans-pro"):
        font_folder.__wrapped__()
