"""Drawings to scale, in the manner of a carpenter's layout.

A `Drawing` is given points in real millimeters of the thing drawn, x right and y up,
and writes an image whose width and height are millimeters of paper, so that it prints
at the scale it states. The same text serves a page in the browser and a sheet of
paper. Kinds of line follow ISO 128, dimensions ISO 129.
"""

import math
from collections.abc import Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from typing import Literal

from pithline.errors import SheetError
from pithline.sheets.dimensions import TEXT_CLEAR_MM, direction_deg, draw_dimension
from pithline.sheets.look import COLORS, FONT_FAMILY, LINES, TYPE_SIZES_PT, size_mm
from pithline.sheets.paper import (
    Paper,
    Point,
    TextStyle,
    arrow_length_mm,
    hatch_lines,
    plain_number,
)

__all__ = [
    "COLORS",
    "FONT_FAMILY",
    "LINES",
    "TYPE_SIZES_PT",
    "Box",
    "Drawing",
    "Point",
    "TextStyle",
    "fitting_scale",
]

_SHOULDER_MM = 3.0
_NOTE = TextStyle()


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in millimeters of the thing drawn.

    Parameters
    ----------
    left, bottom, right, top : float
        Its sides; right is larger than left, top larger than bottom [mm].

    Raises
    ------
    SheetError
        The box has no width or no height, or a side is not a finite number.
    """

    left: float
    bottom: float
    right: float
    top: float

    def __post_init__(self) -> None:
        sides = (self.left, self.bottom, self.right, self.top)
        if not all(map(math.isfinite, sides)) or self.right <= self.left or self.top <= self.bottom:
            raise SheetError(
                f"a drawing from {self.left:g}, {self.bottom:g} to {self.right:g}, {self.top:g} mm"
                " has no area. Give left below right and bottom below top."
            )


class Drawing:
    """A drawing to scale, built up stroke by stroke and written as SVG.

    Points are (x, y) in real millimeters of the thing drawn, x right and y up.
    Whatever belongs to the paper (widths, text, offsets of dimensions) is in
    millimeters of paper.

    Parameters
    ----------
    box : Box
        What the drawing shows [mm].
    scale : float
        Paper length per real length: 1/10 draws at 1:10.
    title : str
        What is drawn, in a few words; read aloud in place of the image.
    description : str
        More of the same, for who cannot see it.
    margins_mm : tuple of float
        Paper to the left, below, right and above of the box [mm].
    stretch_y : float
        How many times larger heights are drawn than lengths.

    Raises
    ------
    SheetError
        The scale is not above zero, the title is empty, or the paper would be
        larger than 20 m.
    """

    def __init__(
        self,
        box: Box,
        scale: float,
        *,
        title: str,
        description: str = "",
        margins_mm: tuple[float, float, float, float] = (0.0, 0.0, 0.0, 0.0),
        stretch_y: float = 1.0,
    ) -> None:
        if not (0.0 < scale < math.inf and 0.0 < stretch_y < math.inf):
            raise SheetError(f"{title}: a scale of {scale:g} (heights x {stretch_y:g}) draws nothing.")
        self.box = box
        self.scale = scale
        self.title = title
        self._stretch_y = stretch_y
        self._left_mm, below_mm, right_mm, self._above_mm = margins_mm
        self.paper = Paper(
            self._left_mm + (box.right - box.left) * scale + right_mm,
            self._above_mm + (box.top - box.bottom) * scale * stretch_y + below_mm,
            title=title,
            description=description,
        )

    # -- places -----------------------------------------------------------------

    def on_paper_mm(self, point: Point) -> Point:
        """Return where a point of the thing drawn lies on the paper.

        Parameters
        ----------
        point : (float, float)
            x right and y up, real size [mm].

        Returns
        -------
        (float, float)
            x right and y DOWN from the upper left corner of the paper [mm].

        Raises
        ------
        SheetError
            A coordinate is not a finite number.
        """
        x_mm, y_mm = point
        if not (math.isfinite(x_mm) and math.isfinite(y_mm)):
            raise SheetError(f"{self.title}: the point ({x_mm}, {y_mm}) cannot be drawn.")
        return (
            self._left_mm + (x_mm - self.box.left) * self.scale,
            self._above_mm + (self.box.top - y_mm) * self.scale * self._stretch_y,
        )

    @property
    def scale_text(self) -> str:
        """The scale in words: "1:10", or "1:40, heights 1:10"."""
        lengths = _ratio(self.scale)
        if self._stretch_y == 1.0:
            return lengths
        return f"{lengths}, heights {_ratio(self.scale * self._stretch_y)}"

    # -- lines and areas ----------------------------------------------------------

    def line(self, start: Point, end: Point, *, style: str = "outline") -> None:
        """Draw a straight line.

        Parameters
        ----------
        start, end : (float, float)
            Its ends [mm].
        style : str
            Name of a line type in `LINES`.
        """
        self.paper.path([self.on_paper_mm(start), self.on_paper_mm(end)], style=style)

    def polyline(self, points: Sequence[Point], *, style: str = "outline") -> None:
        """Draw straight lines from point to point.

        Parameters
        ----------
        points : sequence of (float, float)
            Two or more points [mm].
        style : str
            Name of a line type in `LINES`.
        """
        self.paper.path([self.on_paper_mm(p) for p in points], style=style)

    def polygon(self, points: Sequence[Point], *, style: str | None = "outline", fill: str | None = None) -> None:
        """Draw a closed outline, its inside filled or open.

        Parameters
        ----------
        points : sequence of (float, float)
            Three or more corners, the first not repeated [mm].
        style : str or None
            Name of a line type in `LINES`; None draws no edge.
        fill : str or None
            Name of a color in `COLORS`; None leaves the inside open.
        """
        on_paper = [self.on_paper_mm(p) for p in points]
        self.paper.path(on_paper, style=style, fill=fill, closed=True)

    def ellipse(
        self,
        center: Point,
        semi_axes_mm: tuple[float, float],
        *,
        angle_deg: float = 0.0,
        style: str | None = "outline",
        fill: str | None = None,
    ) -> None:
        """Draw an ellipse; equal half axes make a circle.

        Parameters
        ----------
        center : (float, float)
            Its center [mm].
        semi_axes_mm : (float, float)
            Half its axes [mm].
        angle_deg : float
            Turn of the first axis from x, counterclockwise [deg].
        style, fill : str or None
            As for `polygon`.
        """
        x_mm, y_mm = self.on_paper_mm(center)
        rx_mm, ry_mm, turn_deg = self._ellipse_on_paper(semi_axes_mm, angle_deg)
        turn = math.radians(turn_deg)
        dx_mm, dy_mm = rx_mm * math.cos(turn), rx_mm * math.sin(turn)
        near, far = _pair(x_mm - dx_mm, y_mm - dy_mm), _pair(x_mm + dx_mm, y_mm + dy_mm)
        half = f"A{_pair(rx_mm, ry_mm)} {plain_number(turn_deg)} 0 1 "
        self.paper.path_data(f"M{near}{half}{far}{half}{near}Z", style=style, fill=fill)

    def hatch(
        self,
        points: Sequence[Point],
        *,
        spacing_mm: float = 1.0,
        angle_deg: float = 45.0,
        style: str = "kerf",
    ) -> None:
        """Fill an outline with parallel lines, each drawn on its own.

        Parameters
        ----------
        points : sequence of (float, float)
            Three or more corners, convex or not [mm].
        spacing_mm : float
            Distance between the lines on paper [mm].
        angle_deg : float
            Their direction from x, counterclockwise on paper [deg].
        style : str
            Name of a line type in `LINES`.
        """
        outline = [self.on_paper_mm(p) for p in points]
        pieces = hatch_lines(outline, spacing_mm=spacing_mm, angle_deg=angle_deg)
        if pieces:
            data = "".join(f"M{_pair(*start)}L{_pair(*end)}" for start, end in pieces)
            self.paper.path_data(data, style=style)

    def arrow(self, start: Point, end: Point, *, style: str = "dimension") -> None:
        """Draw a straight arrow, its head at the end.

        Parameters
        ----------
        start, end : (float, float)
            Tail and head [mm].
        style : str
            Name of a line type in `LINES`.
        """
        tail, tip = self.on_paper_mm(start), self.on_paper_mm(end)
        self.paper.path([tail, tip], style=style)
        self.paper.arrowhead(tip, direction_deg(tail, tip), style=style)

    def turn_arrow(
        self,
        center: Point,
        radius_mm: float,
        *,
        start_deg: float,
        sweep_deg: float,
        style: str = "outline",
    ) -> None:
        """Draw an arc with a head at its end, to show which way a log is turned.

        Parameters
        ----------
        center : (float, float)
            Center of the turn [mm].
        radius_mm : float
            Radius of the arc, real size [mm].
        start_deg : float
            Where it starts, clockwise from straight up [deg].
        sweep_deg : float
            How far it goes, clockwise plus; less than a full turn [deg].
        style : str
            Name of a line type in `LINES`.

        Raises
        ------
        SheetError
            The sweep is nothing, or a full turn or more.
        """
        if not 0.0 < abs(sweep_deg) < 360.0:
            raise SheetError(f"{self.title}: an arrow cannot turn by {sweep_deg:g} degrees.")
        tail, tip = (
            self.on_paper_mm(
                (
                    center[0] + radius_mm * math.sin(math.radians(at_deg)),
                    center[1] + radius_mm * math.cos(math.radians(at_deg)),
                )
            )
            for at_deg in (start_deg, start_deg + sweep_deg)
        )
        radii = _pair(radius_mm * self.scale, radius_mm * self.scale * self._stretch_y)
        flags = f"{int(abs(sweep_deg) > 180.0)} {int(sweep_deg > 0.0)}"
        self.paper.path_data(f"M{_pair(*tail)}A{radii} 0 {flags} {_pair(*tip)}", style=style)
        # The head lies along the chord of its own length, so that it hugs the arc.
        back_deg = math.degrees(arrow_length_mm(style) / (radius_mm * self.scale)) / 2.0
        heading_deg = start_deg + sweep_deg - math.copysign(back_deg, sweep_deg)
        if sweep_deg < 0.0:
            heading_deg += 180.0
        self.paper.arrowhead(tip, heading_deg, style=style)

    # -- words and dimensions -----------------------------------------------------

    def text(
        self,
        at: Point,
        words: str,
        *,
        style: TextStyle = _NOTE,
        shift_mm: Point = (0.0, 0.0),
    ) -> None:
        """Set a line of text; fractions in it come out as true fractions.

        Parameters
        ----------
        at : (float, float)
            Where it stands, real size [mm].
        words : str
            The text as typed.
        style : TextStyle
            Size, face, color, anchor and turn.
        shift_mm : (float, float)
            Move from there on paper, right and up [mm].
        """
        x_mm, y_mm = self.on_paper_mm(at)
        self.paper.text((x_mm + shift_mm[0], y_mm - shift_mm[1]), words, style=style)

    def leader(self, tip: Point, shift_mm: Point, *, words: str, style: TextStyle = _NOTE) -> None:
        """Draw a note: an arrow to a spot, a short shoulder, the text on it.

        Parameters
        ----------
        tip : (float, float)
            The spot that the note is about [mm].
        shift_mm : (float, float)
            From the spot to the knee of the leader on paper, right and up; the
            text stands away from the spot [mm].
        words : str
            The note, as typed; each line break starts a new line below.
        style : TextStyle
            Size, face and color; anchor, level and turn are set here.
        """
        spot = self.on_paper_mm(tip)
        knee = (spot[0] + shift_mm[0], spot[1] - shift_mm[1])
        side = 1.0 if shift_mm[0] >= 0.0 else -1.0
        shoulder = (knee[0] + side * _SHOULDER_MM, knee[1])
        self.paper.path([spot, knee, shoulder], style="dimension")
        self.paper.arrowhead(spot, direction_deg(knee, spot))
        anchor: Literal["start", "end"] = "start" if side > 0.0 else "end"
        set_in = TextStyle(style.size, anchor, style.color, style.bold, 0.0, "middle")
        step_mm = 1.2 * size_mm(style.size)
        for number, row in enumerate(words.splitlines()):
            x_mm = shoulder[0] + side * TEXT_CLEAR_MM
            self.paper.text((x_mm, shoulder[1] + number * step_mm), row, style=set_in)

    def dimension(
        self,
        start: Point,
        end: Point,
        *,
        text: str,
        offset_mm: float = 8.0,
        along: Literal["line", "x", "y"] = "line",
        ends: Literal["arrow", "tick"] = "arrow",
    ) -> None:
        """Draw a dimension: extension lines, dimension line, text above it.

        The text reads from below or from the right. Where it does not fit between
        the ends it stands past the end that is further right or further up; where
        the arrowheads do not fit either, they point inward from outside.

        Parameters
        ----------
        start, end : (float, float)
            The points measured from and to [mm].
        text : str
            The measure with its unit, as typed.
        offset_mm : float
            From the points to the dimension line on paper. Along x, up is plus;
            along y, right is plus, from whichever point lies further that way;
            along the line, plus is to the left of who goes from start to end [mm].
        along : {'line', 'x', 'y'}
            Whether the straight distance is measured, or only across, or only up.
        ends : {'arrow', 'tick'}
            Arrowheads, or oblique ticks for chains of short measures.

        Raises
        ------
        SheetError
            The two points coincide in the direction measured.
        """
        draw_dimension(
            self.paper,
            (self.on_paper_mm(start), self.on_paper_mm(end)),
            text=text,
            offset_mm=offset_mm,
            along=along,
            ends=ends,
        )

    def state_scale(self, *, to_be_measured: bool = False) -> None:
        """Write the scale in the lower left corner of the paper.

        Parameters
        ----------
        to_be_measured : bool
            Whether lengths may be taken from the drawing itself.
        """
        words = f"Scale {self.scale_text}."
        if to_be_measured:
            words += " Made to be measured: check the bars first."
        at = (1.0, self.paper.height_mm - 1.2)
        self.paper.text(at, words, style=TextStyle(color="pencil"))

    # -- parts and output -----------------------------------------------------------

    def group(self, name: str) -> AbstractContextManager[None]:
        """Put what is drawn inside the `with` block into a group of its own.

        Parameters
        ----------
        name : str
            Class of the group, for a page to restyle: "pass-2".

        Returns
        -------
        context manager
            Ends the group.
        """
        return self.paper.group(name)

    def to_svg(self, *, window: Box | None = None) -> str:
        """Return the drawing as SVG text, the whole of it or a window of it.

        Parameters
        ----------
        window : Box or None
            The part wanted, real size; it may reach past the drawing. Tiles of a
            drawing larger than the paper are made so [mm].

        Returns
        -------
        str
            An `svg` element; its width and height are millimeters of paper.
        """
        if window is None:
            return self.paper.to_svg()
        upper_left = self.on_paper_mm((window.left, window.top))
        lower_right = self.on_paper_mm((window.right, window.bottom))
        return self.paper.to_svg(window_mm=(*upper_left, *lower_right))

    # -- inside ---------------------------------------------------------------------

    def _ellipse_on_paper(self, semi_axes_mm: tuple[float, float], angle_deg: float) -> tuple[float, float, float]:
        """Return half axes and turn of an ellipse on paper (y down), heights stretched.

        The ellipse is the image of the unit circle under a matrix; its half axes are
        the singular values of that matrix, its turn that of the left vectors.
        """
        a_mm, b_mm = semi_axes_mm
        if not (0.0 < a_mm < math.inf and 0.0 < b_mm < math.inf):
            raise SheetError(f"{self.title}: an ellipse of {a_mm:g} x {b_mm:g} mm cannot be drawn.")
        cos, sin = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
        sx, sy = self.scale, -self.scale * self._stretch_y
        m00, m01, m10, m11 = sx * a_mm * cos, -sx * b_mm * sin, sy * a_mm * sin, sy * b_mm * cos
        e, f, g, h = (m00 + m11) / 2, (m00 - m11) / 2, (m10 + m01) / 2, (m10 - m01) / 2
        larger, smaller = math.hypot(e, h) + math.hypot(f, g), math.hypot(e, h) - math.hypot(f, g)
        turn = (math.atan2(g, f) + math.atan2(h, e)) / 2.0
        return larger, abs(smaller), math.degrees(turn)


def _pair(x_mm: float, y_mm: float) -> str:
    return f"{plain_number(x_mm)} {plain_number(y_mm)}"


def _ratio(scale: float) -> str:
    return f"{scale:g}:1" if scale > 1.0 else f"1:{round(1.0 / scale, 2):g}"


def fitting_scale(length_mm: float, paper_mm: float) -> float:
    """Return the largest customary scale at which a length fits on the paper.

    Parameters
    ----------
    length_mm : float
        Length of the thing drawn, above zero [mm].
    paper_mm : float
        Room for it on paper, above zero [mm].

    Returns
    -------
    float
        Paper length per real length: 1, 1/1.5, 1/2, 1/2.5, 1/3, 1/4, 1/5, 1/6, 1/8,
        and the same with 10, 100 and 1000 for 1. Never larger than 1.

    Raises
    ------
    SheetError
        A length is not above zero, or no scale down to 1/8000 is small enough.
    """
    if not (length_mm > 0.0 and paper_mm > 0.0):
        raise SheetError(f"no scale sets {length_mm:g} mm on {paper_mm:g} mm of paper: both must be above zero.")
    for power in range(4):
        for mantissa in (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0):
            scale = 1.0 / (mantissa * 10.0**power)
            if length_mm * scale <= paper_mm * (1.0 + 1e-9):
                return scale
    raise SheetError(f"{length_mm:g} mm does not fit on {paper_mm:g} mm of paper at any scale.")
