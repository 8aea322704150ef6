"""Names of pieces on an end, set where no line runs through them."""

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pithline.answers.words import section_text
from pithline.lengths import Tape
from pithline.sheets.end_plan import chord_of
from pithline.sheets.look import size_mm
from pithline.sheets.paper import Paper, Point, TextStyle
from pithline.sheets.pattern_faces import FacePiece, PatternFace
from pithline.sheets.readings import figure_mm, wide_mm
from pithline.sheets.svg import Drawing

__all__ = ["MARKS_MM", "Label", "Rectangle", "label_pieces", "thin_level"]

MARKS_MM = 9.0
"""Paper beside the wood that marks of pieces too thin for words take up."""


_CLEAR_MM = 0.9
_TIGHT_MM = 0.2
"""Paper between the words and the lines around them; above and below a single line it may be less."""

_LINE_MM = 1.2
_SIZES = {"timber": ("lead", "text", "note"), "board": ("note",)}

Rectangle = tuple[float, float, float, float]
_Stroke = tuple[float, float, float]


@dataclass(frozen=True)
class Label:
    """Lines of words of one size, upright or turned a quarter, about a place on paper."""

    rows: tuple[str, ...]
    size: str
    turned: bool
    at: Point
    bold: bool

    @property
    def box(self) -> Rectangle:
        """Left, top, right and bottom of the words on paper [mm]."""
        wide = max(wide_mm(row, self.size, bold=self.bold) for row in self.rows)
        tall = figure_mm(self.size) + _LINE_MM * size_mm(self.size) * (len(self.rows) - 1)
        across, down = (tall, wide) if self.turned else (wide, tall)
        x, y = self.at
        return (x - 0.5 * across, y - 0.5 * down, x + 0.5 * across, y + 0.5 * down)

    def write(self, paper: Paper) -> None:
        """Write the words.

        Parameters
        ----------
        paper : Paper
            The sheet.
        """
        step = _LINE_MM * size_mm(self.size)
        for number, row in enumerate(self.rows):
            shift = (number - 0.5 * (len(self.rows) - 1)) * step
            bold = self.bold and number == 0
            place = (self.at[0] + shift, self.at[1]) if self.turned else (self.at[0], self.at[1] + shift)
            style = TextStyle(self.size, "middle", "ink", bold, 90.0 if self.turned else 0.0, "middle")
            paper.text(place, row, style=style)


def _wordings(piece: FacePiece, alike: Sequence[str], tape: Tape) -> tuple[tuple[str, ...], ...]:
    """Return what may be written in a piece, the fullest first."""
    size = section_text(piece.piece.thickness_mm, piece.piece.width_mm, tape=tape)
    mark = alike[0] if len(alike) == 1 else f"{alike[0]} to {alike[-1]}"
    least = alike[0] if len(alike) == 1 else f"{alike[0]}-{alike[-1][1:]}"
    if piece.piece.kind == "timber":
        name = f"{mark} {piece.piece.name}"
        return (name, size), (mark, size), (f"{mark} {size}",), (name,), (mark,), (least,)
    return (f"{mark} {size}",), (mark,), (least,)


def _lines(drawing: Drawing, face: PatternFace) -> tuple[list[_Stroke], list[_Stroke]]:
    """Return plumb and level strokes on paper that words must keep off: place, and from where to where."""
    plumb: list[_Stroke] = []
    level: list[_Stroke] = []
    half = 1.5 / drawing.scale
    marks = [((0.0, y - half), (0.0, y + half)) for y in chord_of(face.wood, 0, 0.0) or ()]
    marks += [((x - half, 0.0), (x + half, 0.0)) for x in chord_of(face.wood, 1, 0.0) or ()]
    for spots in (*marks, *(spots for cut in face.cuts for spots in (cut.line, cut.kerf))):
        if spots:
            corners = [drawing.on_paper_mm(spot) for spot in spots]
            for a, b in itertools.pairwise(corners):
                if abs(a[0] - b[0]) < 1e-6:
                    plumb.append((a[0], min(a[1], b[1]), max(a[1], b[1])))
                elif abs(a[1] - b[1]) < 1e-6:
                    level.append((a[1], min(a[0], b[0]), max(a[0], b[0])))
    for piece in face.pieces:
        left, top, right, bottom = _on_paper(drawing, piece)
        plumb += [(left, top, bottom), (right, top, bottom)]
        level += [(top, left, right), (bottom, left, right)]
    return plumb, level


def _on_paper(drawing: Drawing, piece: FacePiece) -> Rectangle:
    """Return a piece's rectangle on paper: left, top, right, bottom."""
    box = piece.box
    return (*drawing.on_paper_mm((box.left, box.top)), *drawing.on_paper_mm((box.right, box.bottom)))


def _cells(rectangle: Rectangle, lines: tuple[list[_Stroke], list[_Stroke]]) -> Iterator[Rectangle]:
    """Return the fields that the lines through a rectangle leave of it, the largest first."""
    left, top, right, bottom = rectangle
    plumb, level = lines
    near = 0.05
    xs = {x for x, low, high in plumb if left + near < x < right - near and low < bottom - near and high > top + near}
    ys = {y for y, low, high in level if top + near < y < bottom - near and low < right - near and high > left + near}
    columns = list(itertools.pairwise(sorted({left, right, *xs})))
    rows = list(itertools.pairwise(sorted({top, bottom, *ys})))
    cells = [(a, c, b, d) for a, b in columns for c, d in rows]
    yield from sorted(cells, key=lambda cell: (-(cell[2] - cell[0]) * (cell[3] - cell[1]), cell))


def _fitting(rows: Sequence[str], size: str, cell: Rectangle, *, bold: bool) -> Label | None:
    """Return the words set in the middle of a field, None where they do not fit."""
    wide = max(wide_mm(row, size, bold=bold) for row in rows) + 2.0 * _CLEAR_MM
    tall = figure_mm(size) + _LINE_MM * size_mm(size) * (len(rows) - 1)
    tall += 2.0 * (_TIGHT_MM if len(rows) == 1 else _CLEAR_MM)
    across, down = cell[2] - cell[0], cell[3] - cell[1]
    at = (0.5 * (cell[0] + cell[2]), 0.5 * (cell[1] + cell[3]))
    if wide <= across and tall <= down:
        return Label(tuple(rows), size, turned=False, at=at, bold=bold)
    if wide <= down and tall <= across:
        return Label(tuple(rows), size, turned=True, at=at, bold=bold)
    return None


def _overlaps(a: Rectangle, b: Rectangle) -> bool:
    return a[0] < b[2] - 0.05 and b[0] < a[2] - 0.05 and a[1] < b[3] - 0.05 and b[1] < a[3] - 0.05


def label_pieces(drawing: Drawing, face: PatternFace, tape: Tape) -> dict[str, Label]:
    """Return a label for each piece that has room for one.

    Pieces that lie one behind the other in one place share a label; where they only
    overlap, the one that reaches the end is named.

    Parameters
    ----------
    drawing : Drawing
        The drawing of the end.
    face : PatternFace
        The end.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    dict of str to Label
        By the marks of the pieces.
    """
    plumb, level = _lines(drawing, face)
    zero, far = drawing.on_paper_mm((0.0, 0.0)), 1e4
    upright, across = (zero[0], -far, far), (zero[1], -far, far)
    # Words lie clear of both center lines, or else one of them is broken for them.
    ways = (([*plumb, upright], [*level, across]), (plumb, [*level, across]), ([*plumb, upright], level))
    wood = [drawing.on_paper_mm(spot) for spot in face.wood]
    labels: dict[str, Label] = {}
    taken: list[Rectangle] = []
    for piece in sorted(face.pieces, key=lambda piece: not piece.reaches):
        rectangle = _on_paper(drawing, piece)
        if any(_overlaps(rectangle, other) for other in taken):
            continue
        taken.append(rectangle)
        alike = [other.mark for other in face.pieces if _same(_on_paper(drawing, other), rectangle)]
        label = _label(piece, alike, [list(_cells(rectangle, lines)) for lines in ways], wood, tape)
        if label is not None:
            labels[piece.mark] = label
    return labels


def _same(a: Rectangle, b: Rectangle) -> bool:
    return all(abs(one - other) < 0.05 for one, other in zip(a, b, strict=True))


def _label(
    piece: FacePiece, alike: Sequence[str], ways: Sequence[Sequence[Rectangle]], wood: Sequence[Point], tape: Tape
) -> Label | None:
    """Return the fullest wording that fits a field of a piece in the wood, in the largest type."""
    bold = piece.piece.kind == "timber"
    for rows in _wordings(piece, alike, tape):
        for size in _SIZES[piece.piece.kind]:
            for cell in (cell for cells in ways for cell in cells):
                label = _fitting(rows, size, cell, bold=bold)
                if label is not None and _is_in(label.box, wood):
                    return label
    return None


def _is_in(rectangle: Rectangle, outline: Sequence[Point]) -> bool:
    """Return whether a rectangle lies within a convex outline on paper, which runs clockwise as y points down."""
    left, top, right, bottom = rectangle
    pairs = list(zip(outline, [*outline[1:], *outline[:1]], strict=True))
    return all(
        (b[0] - a[0]) * (y - a[1]) <= (b[1] - a[1]) * (x - a[0]) + 1e-9
        for x in (left, right)
        for y in (top, bottom)
        for a, b in pairs
    )


def thin_level(drawing: Drawing, face: PatternFace, labels: dict[str, Label]) -> list[FacePiece]:
    """Return the level pieces too thin for words that are to be seen, from the top down.

    Parameters
    ----------
    drawing : Drawing
        The drawing of the end.
    face : PatternFace
        The end.
    labels : dict of str to Label
        What was written.

    Returns
    -------
    list of FacePiece
        Pieces that no named piece hides. Thin plumb ones are named where the cant lies on its
        side, and level.
    """
    named = [_on_paper(drawing, piece) for piece in face.pieces if piece.mark in labels]
    left = [piece for piece in face.pieces if piece.mark not in labels]
    left = [piece for piece in left if not any(_overlaps(_on_paper(drawing, piece), other) for other in named)]
    level = [piece for piece in left if piece.box.right - piece.box.left > piece.box.top - piece.box.bottom]
    return sorted(level, key=lambda piece: -piece.box.top)
