"""What tests read back from drawings and printed sheets, with readers that know nothing of them."""

import ctypes
import itertools
import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pypdfium2.raw as pdfium_c

from pithline.sheets.look import text_width_mm

MM_PER_POINT = 25.4 / 72.0
SVG = "{http://www.w3.org/2000/svg}"

Box = tuple[float, float, float, float]
Point = tuple[float, float]


def pages(pdf: bytes) -> list[pdfium.PdfPage]:
    """The pages of a PDF."""
    return list(pdfium.PdfDocument(pdf))


def words(page: pdfium.PdfPage) -> str:
    """A page's text as copied, each kind of space a plain one."""
    return re.sub(r"\s+", " ", page.get_textpage().get_text_range())


def flat_lines_mm(page: pdfium.PdfPage) -> list[float]:
    """How wide each level line on a page is, without its stroke."""
    found = []
    for item in page.get_objects(filter=[pdfium_c.FPDF_PAGEOBJ_PATH]):
        matrix = item.get_matrix()
        corners = []
        for number in range(pdfium_c.FPDFPath_CountSegments(item)):
            segment = pdfium_c.FPDFPath_GetPathSegment(item, number)
            x, y = ctypes.c_float(), ctypes.c_float()
            pdfium_c.FPDFPathSegment_GetPoint(segment, x, y)
            corners.append(matrix.on_point(x.value, y.value))
        xs, ys = zip(*corners, strict=True)
        if max(ys) - min(ys) < 1e-3:
            found.append((max(xs) - min(xs)) * MM_PER_POINT)
    return found


def picture(page: pdfium.PdfPage, dpi: float) -> np.ndarray[Any, Any]:
    """A page as red, green and blue, row by row from the top."""
    image = page.render(scale=dpi / 72.0, rev_byteorder=True).to_numpy()
    return np.asarray(image[:, :, :3], dtype=np.int16)


def runs(dark: np.ndarray[Any, Any]) -> list[float]:
    """Middles of the unbroken stretches of a row or column, in pixels."""
    at = np.flatnonzero(dark)
    if not len(at):
        return []
    parts = np.split(at, np.flatnonzero(np.diff(at) > 1) + 1)
    return [0.5 * float(part[0] + part[-1]) for part in parts]


def elements(svg: str, tag: str, css_class: str = "") -> list[ET.Element]:
    """The elements of a drawing of one kind, or of one kind and class."""
    found = ET.fromstring(svg).iter(f"{SVG}{tag}")
    return [e for e in found if not css_class or css_class in (e.get("class") or "").split()]


def corners(path: ET.Element) -> list[Point]:
    """The corners of a path made of straight lines."""
    numbers = [float(n) for n in re.findall(r"-?[\d.]+", path.attrib["d"])]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def text_box(text: ET.Element) -> Box:
    """Left, top, right and bottom of a text on paper, y down; its width is an estimate."""
    em = float(text.attrib["font-size"])
    size = {"3.17": "note", "3.18": "note", "3.88": "text", "5.29": "lead", "7.76": "head"}[text.attrib["font-size"]]
    wide = text_width_mm(text.text or "", size)
    x, y = float(text.attrib["x"]), float(text.attrib["y"])
    start = {"start": 0.0, "middle": -0.5 * wide, "end": -wide}[text.get("text-anchor", "start")]
    found = re.match(r"rotate\((-?[\d.]+)", text.get("transform", ""))
    turn = math.radians(float(found[1])) if found else 0.0
    spots = [
        (x + run * math.cos(turn) - down * math.sin(turn), y + run * math.sin(turn) + down * math.cos(turn))
        for run in (start, start + wide)
        for down in (-0.65 * em, 0.0)
    ]
    xs, ys = zip(*spots, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def overlapping(texts: list[ET.Element]) -> Iterator[tuple[str, str]]:
    """Pairs of texts that lie over each other."""
    boxes = [(text.text or "", text_box(text)) for text in texts]
    for (first, a), (second, b) in itertools.combinations(boxes, 2):
        if a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]:
            yield first, second
