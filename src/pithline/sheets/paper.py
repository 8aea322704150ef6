"""Strokes, areas and words on a sheet of paper, written as SVG.

A `Paper` knows millimeters of paper, x right and y DOWN from its upper left corner,
and nothing of what is drawn; `svg.Drawing` stands on it. Everything is explicit: no
ids (two drawings may stand in one page), no patterns, clips or markers. Looks are
presentation attributes, because the typesetter reads no style sheet; every element
also has a class (`line-cut`, `fill-wood`, `ink-crayon`), so that a page can restyle it.
"""

import math
import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Literal

from pithline.errors import SheetError
from pithline.sheets.look import FONT_FAMILY, color_code, line_style, print_figures, size_mm, text_width_mm

__all__ = ["Paper", "Point", "TextStyle", "arrow_length_mm", "hatch_lines", "plain_number"]

Point = tuple[float, float]

_ARROW_LENGTH_MM = 2.6
# Half the width of an arrowhead, as a share of its length.
_ARROW_HALF_WIDTH = 0.18
# Lines wider than this get larger arrowheads, in proportion.
_ARROW_LINE_MM = 0.25
_LARGEST_PAPER_MM = 20_000.0
# A stroke may lie on the edge itself.
_EDGE_MM = 0.1
# Share of the type size that the figures of the face are tall.
_FIGURE_HEIGHT = 0.65
_NOT_IN_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True, slots=True)
class TextStyle:
    """How a piece of text is set in a drawing.

    Parameters
    ----------
    size : str
        Name of a size in `TYPE_SIZES_PT`.
    anchor : {'start', 'middle', 'end'}
        Which part of the text stands at the point.
    color : str
        Name of a color in `COLORS`.
    bold : bool
        Whether the bold face is used.
    angle_deg : float
        Turn of the text, counterclockwise [deg].
    level : {'baseline', 'middle', 'top'}
        Which height of the figures stands at the point.
    """

    size: str = "note"
    anchor: Literal["start", "middle", "end"] = "start"
    color: str = "ink"
    bold: bool = False
    angle_deg: float = 0.0
    level: Literal["baseline", "middle", "top"] = "baseline"


_NOTE = TextStyle()


class Paper:
    """A sheet to draw on, in millimeters of paper, y down.

    Parameters
    ----------
    width_mm, height_mm : float
        Size of the sheet [mm].
    title : str
        What is drawn, in a few words; read aloud in place of the image.
    description : str
        More of the same, for who cannot see it.

    Raises
    ------
    SheetError
        The title is empty, or the sheet has no size or is larger than 20 m.
    """

    def __init__(self, width_mm: float, height_mm: float, *, title: str, description: str = "") -> None:
        if not title.strip():
            raise SheetError("a drawing needs a title, to be read aloud in place of the image.")
        if not all(0.0 < side_mm <= _LARGEST_PAPER_MM for side_mm in (width_mm, height_mm)):
            raise SheetError(f"{title}: the paper would be {width_mm:g} x {height_mm:g} mm. Choose another scale.")
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.title = _legal(title)
        self._description = _legal(description)
        self._body = ET.Element("g", {"class": "drawing"})
        self._open = self._body
        # Least and greatest x and y that anything with corners has reached so far.
        self._reach_mm = (0.0, 0.0, width_mm, height_mm)

    @contextmanager
    def group(self, name: str) -> Iterator[None]:
        """Put what is drawn inside the `with` block into a group of its own.

        Parameters
        ----------
        name : str
            Class of the group, for a page to restyle: "pass-2".
        """
        outer = self._open
        self._open = ET.SubElement(outer, "g", {"class": name})
        try:
            yield
        finally:
            self._open = outer

    def path(
        self,
        points: Sequence[Point],
        *,
        style: str | None = "outline",
        fill: str | None = None,
        closed: bool = False,
    ) -> None:
        """Draw straight lines from point to point.

        Parameters
        ----------
        points : sequence of (float, float)
            Two or more points, three or more of a closed outline [mm].
        style : str or None
            Name of a kind of line in `look.LINES`; None draws no line.
        fill : str or None
            Name of a color in `look.COLORS`; None leaves the inside open.
        closed : bool
            Whether the last point is joined to the first.

        Raises
        ------
        SheetError
            There are too few points.
        """
        if len(points) < (3 if closed else 2):
            raise SheetError(f"{self.title}: {len(points)} points make no line or outline.")
        self._stretch_reach(points)
        data = "M" + "L".join(f"{plain_number(x)} {plain_number(y)}" for x, y in points)
        self.path_data(data + ("Z" if closed else ""), style=style, fill=fill)

    def path_data(self, data: str, *, style: str | None, fill: str | None = None) -> None:
        """Draw a path given in the path language of SVG.

        Parameters
        ----------
        data : str
            Moves, lines and arcs in millimeters of paper.
        style, fill : str or None
            As for `path`.
        """
        classes = []
        attributes = {"d": data, "fill": "none" if fill is None else color_code(fill)}
        if style is not None:
            line = line_style(style)
            classes.append(f"line-{style}")
            attributes["stroke"] = color_code(line.color)
            attributes["stroke-width"] = plain_number(line.width_mm)
            if line.dashes_mm:
                attributes["stroke-dasharray"] = " ".join(map(plain_number, line.dashes_mm))
        if fill is not None:
            classes.append(f"fill-{fill}")
        if classes:
            attributes["class"] = " ".join(classes)
        ET.SubElement(self._open, "path", attributes)

    def arrowhead(self, tip: Point, angle_deg: float, *, style: str = "dimension") -> None:
        """Draw a slender filled arrowhead.

        Parameters
        ----------
        tip : (float, float)
            Its point [mm].
        angle_deg : float
            Where it points, from x right toward y down [deg].
        style : str
            Name of the kind of line that it ends; it takes the color.
        """
        cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        length_mm = arrow_length_mm(style)
        half_mm = _ARROW_HALF_WIDTH * length_mm
        feet = [
            (tip[0] - length_mm * cos + side_mm * sin, tip[1] - length_mm * sin - side_mm * cos)
            for side_mm in (half_mm, -half_mm)
        ]
        self.path([tip, *feet], style=None, fill=line_style(style).color, closed=True)

    def text(self, at: Point, words: str, *, style: TextStyle = _NOTE) -> None:
        """Set a line of text; fractions in it come out as true fractions.

        Parameters
        ----------
        at : (float, float)
            Where it stands [mm].
        words : str
            The text as typed.
        style : TextStyle
            Size, face, color, anchor and turn.

        Raises
        ------
        SheetError
            The text holds a control character.
        """
        em_mm = size_mm(style.size)
        drop_em = {"baseline": 0.0, "middle": _FIGURE_HEIGHT / 2.0, "top": _FIGURE_HEIGHT}
        drop_mm = drop_em[style.level] * em_mm
        turn = math.radians(style.angle_deg)
        x = plain_number(at[0] + drop_mm * math.sin(turn))
        y = plain_number(at[1] + drop_mm * math.cos(turn))
        attributes = {
            "x": x,
            "y": y,
            "font-size": plain_number(em_mm),
            "fill": color_code(style.color),
            "class": f"text-{style.size} ink-{style.color}",
        }
        if style.anchor != "start":
            attributes["text-anchor"] = style.anchor
        if style.bold:
            attributes["font-weight"] = "700"
        if style.angle_deg:
            attributes["transform"] = f"rotate({plain_number(-style.angle_deg)} {x} {y})"
        ET.SubElement(self._open, "text", attributes).text = print_figures(_legal(words))
        self._stretch_reach(_text_corners((float(x), float(y)), words, style))

    def to_svg(self, *, window_mm: tuple[float, float, float, float] | None = None) -> str:
        """Return the sheet as SVG text, the whole of it or a window of it.

        Parameters
        ----------
        window_mm : (float, float, float, float) or None
            Left, top, right and bottom of the part wanted, on the sheet; it may
            reach past the sheet [mm].

        Returns
        -------
        str
            An `svg` element; its width and height are millimeters of paper.

        Raises
        ------
        SheetError
            A line or text reaches past the edge of the sheet, where it would be cut
            off; or the window has no width or no height.
        """
        self._refuse_overflow()
        left, top, right, bottom = window_mm or (0.0, 0.0, self.width_mm, self.height_mm)
        if not (right > left and bottom > top):
            raise SheetError(f"{self.title}: a window of {right - left:g} x {bottom - top:g} mm.")
        width, height = plain_number(right - left), plain_number(bottom - top)
        root = ET.Element(
            "svg",
            {
                "xmlns": "http://www.w3.org/2000/svg",
                "class": "pithline-drawing",
                "role": "img",
                "aria-label": self.title,
                "width": f"{width}mm",
                "height": f"{height}mm",
                "viewBox": f"{plain_number(left)} {plain_number(top)} {width} {height}",
                "font-family": f"{FONT_FAMILY}, sans-serif",
                "stroke-linejoin": "round",
            },
        )
        ET.SubElement(root, "title").text = self.title
        if self._description:
            ET.SubElement(root, "desc").text = self._description
        root.append(self._body)
        return ET.tostring(root, encoding="unicode")

    def _stretch_reach(self, points: Sequence[Point]) -> None:
        left, top, right, bottom = self._reach_mm
        xs, ys = zip(*points, strict=True)
        self._reach_mm = (min(left, *xs), min(top, *ys), max(right, *xs), max(bottom, *ys))

    def _refuse_overflow(self) -> None:
        """Raise where something was drawn past an edge: half a number is a wrong number."""
        left, top, right, bottom = self._reach_mm
        past_mm = {
            "left": -left,
            "top": -top,
            "right": right - self.width_mm,
            "bottom": bottom - self.height_mm,
        }
        told = [f"{mm:.1f} mm past its {edge} edge" for edge, mm in past_mm.items() if mm > _EDGE_MM]
        if told:
            raise SheetError(f"{self.title}: the drawing reaches {', '.join(told)}. Widen the margin.")


def _text_corners(at: Point, words: str, style: TextStyle) -> list[Point]:
    """Return the corners of a text on paper; its width is a low estimate."""
    em_mm = size_mm(style.size)
    wide_mm = 0.9 * text_width_mm(words, style.size)
    start_mm = {"start": 0.0, "middle": -wide_mm / 2.0, "end": -wide_mm}[style.anchor]
    cos, sin = math.cos(math.radians(style.angle_deg)), math.sin(math.radians(style.angle_deg))
    return [
        (at[0] + run_mm * cos - up_mm * sin, at[1] - run_mm * sin - up_mm * cos)
        for run_mm in (start_mm, start_mm + wide_mm)
        for up_mm in (0.0, _FIGURE_HEIGHT * em_mm)
    ]


def arrow_length_mm(style: str) -> float:
    """Return how long the arrowhead on a kind of line is.

    Parameters
    ----------
    style : str
        Name of a kind of line in `look.LINES`.

    Returns
    -------
    float
        Length of the head on paper, larger on thick lines [mm].
    """
    return _ARROW_LENGTH_MM * max(1.0, line_style(style).width_mm / _ARROW_LINE_MM)


def hatch_lines(outline: Sequence[Point], *, spacing_mm: float, angle_deg: float) -> list[tuple[Point, Point]]:
    """Return the pieces of parallel lines that lie inside an outline.

    The outline is turned so that the lines lie flat; each flat line is cut where
    it crosses an edge, and its pieces lie between odd and even crossings.

    Parameters
    ----------
    outline : sequence of (float, float)
        Corners on paper, y down, convex or not [mm].
    spacing_mm : float
        Distance between the lines, above zero [mm].
    angle_deg : float
        Their direction from x, counterclockwise as seen [deg].

    Returns
    -------
    list of ((float, float), (float, float))
        Both ends of every piece; empty where the outline is thinner than the
        spacing and falls between two lines [mm].

    Raises
    ------
    SheetError
        The spacing is not above zero.
    """
    if not spacing_mm > 0.0:
        raise SheetError(f"hatching cannot be {spacing_mm:g} mm apart: give more than zero.")
    turn = math.radians(angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    flat = [(x * cos - y * sin, x * sin + y * cos) for x, y in outline]
    edges = list(zip(flat, [*flat[1:], flat[0]], strict=True))
    lowest, highest = min(v for _, v in flat), max(v for _, v in flat)
    lines = []
    for number in range(math.ceil(lowest / spacing_mm), math.floor(highest / spacing_mm) + 1):
        v = number * spacing_mm
        crossings = sorted(
            u0 + (v - v0) / (v1 - v0) * (u1 - u0) for (u0, v0), (u1, v1) in edges if (v0 <= v) != (v1 <= v)
        )
        for u0, u1 in zip(crossings[::2], crossings[1::2], strict=True):
            start = (u0 * cos + v * sin, -u0 * sin + v * cos)
            lines.append((start, (u1 * cos + v * sin, -u1 * sin + v * cos)))
    return lines


def plain_number(number: float) -> str:
    """Return a number with at most two decimals, without zeros that say nothing.

    Parameters
    ----------
    number : float
        Any finite number.

    Returns
    -------
    str
        The number, rounded to the nearest hundredth.

    Raises
    ------
    SheetError
        The number is not finite.
    """
    if not math.isfinite(number):
        raise SheetError(f"a drawing cannot hold the number {number}.")
    text = f"{number:.2f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _legal(words: str) -> str:
    """Return the words; refuse characters that no drawing file may hold."""
    found = _NOT_IN_XML.search(words)
    if found is not None:
        raise SheetError(
            f"{words!r} holds the character U+{ord(found.group()):04X}, which cannot be printed. Take it out."
        )
    return words
