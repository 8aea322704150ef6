"""What lies on the horses in a position, seen from the side: its edges, and the pieces in their bands."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats
from pithline.lengths import Tape
from pithline.patterns.pattern import Pattern, Position
from pithline.sheets.paper import TextStyle
from pithline.sheets.pattern_faces import FacePiece
from pithline.sheets.pattern_labels import Rectangle
from pithline.sheets.pattern_pieces import NEAR_MM, passes_of, piece_marks, turned_points
from pithline.sheets.readings import figure_mm, wide_mm
from pithline.sheets.side_plan import (
    edges_of,
)
from pithline.sheets.svg import Drawing

__all__ = ["LyingBody", "draw_bands", "lying_body"]

_PITH_MM = 0.7
_BAND_MM = 0.45
"""Paper between words in a band and the pith, and the band's faces."""


@dataclass(frozen=True)
class LyingBody:
    """What lies on the horses, seen from 9 o'clock: stations, edges and pith, heights from `middle_mm` up.

    `pieces` that the passes of the position leave a level face of, as they lie.
    """

    position: Position
    z_mm: Floats
    lower_mm: Floats
    upper_mm: Floats
    pith_mm: Floats
    middle_mm: float
    pieces: tuple[FacePiece, ...]

    @property
    def length_mm(self) -> float:
        return float(self.z_mm[-1])

    def at_mm(self, line_mm: float) -> float:
        """Height in the drawing of a height about the center line."""
        return line_mm - self.middle_mm


def lying_body(pattern: Pattern, position: Position) -> LyingBody:
    """Return what lies on the horses in a position.

    Parameters
    ----------
    pattern : Pattern
        The pattern.
    position : Position
        One of its positions.

    Returns
    -------
    LyingBody
        Heights from midway between the first face, or the highest wood, and the lowest wood.
    """
    log = position.log
    lower, upper = edges_of(log, position.within_mm)
    low, high = position.over_mm
    lower = lower if low is None else np.maximum(lower, low)
    upper = upper if high is None else np.minimum(upper, high)
    top = position.stand.line_mm if position.stand is not None else float(upper.max())
    middle = 0.5 * (top + float(lower.min()))
    return LyingBody(
        position=position,
        z_mm=log.z_mm,
        lower_mm=lower - middle,
        upper_mm=upper - middle,
        pith_mm=log.pith_mm[:, 1] - middle,
        middle_mm=middle,
        pieces=_level_pieces(pattern, position),
    )


def _level_pieces(pattern: Pattern, position: Position) -> tuple[FacePiece, ...]:
    """Return pieces that have a level face from a pass of a position, turned as they lie in it."""
    numbers = {cut.number for cut in position.cuts}
    return tuple(
        FacePiece(mark, piece, tuple(turned_points(piece.frame_butt_mm, position.turn_deg)), reaches=True)
        for mark, piece in zip(piece_marks(pattern), pattern.pieces, strict=True)
        if piece.part == position.part and numbers & set(passes_of(pattern, piece))
    )


def draw_bands(
    drawing: Drawing, lying: LyingBody, *, start_mm: float, tape: Tape, occupied: Sequence[Rectangle] = ()
) -> None:
    """Draw where pieces end that are shorter than what lies there; name pieces and ends where there is room.

    Parameters
    ----------
    drawing : Drawing
        The drawing.
    lying : LyingBody
        What lies on the horses.
    start_mm : float
        Where its part starts, from the butt of the log as tallied [mm].
    tape : Tape
        How lengths are shown.
    occupied : sequence of (float, float, float, float)
        Left, top, right and bottom of what words must keep off, on paper [mm].
    """
    taken = list(occupied)
    spans = [(piece.piece.start_mm - start_mm, piece.piece.end_mm - start_mm) for piece in lying.pieces]
    for piece, span in zip(lying.pieces, spans, strict=True):
        for z, is_short in zip(span, _is_short(span, lying), strict=True):
            if is_short:
                ends = [(z, lying.at_mm(piece.box.bottom)), (z, lying.at_mm(piece.box.top))]
                with drawing.group(f"end {piece.mark}"):
                    drawing.line(ends[0], ends[1], style="outline")
                spots = [drawing.on_paper_mm(end) for end in ends]
                taken.append((spots[0][0] - 0.4, spots[1][1] + 0.4, spots[0][0] + 0.4, spots[0][1] - 0.4))
    for piece, span in zip(lying.pieces, spans, strict=True):
        # Pieces that lie behind one another have no band of their own.
        if not any(_behind(piece, other) for other in lying.pieces if other is not piece):
            words = f"{piece.mark} {piece.piece.name}"
            wide = 0.5 * wide_mm(words, "note") / drawing.scale
            middle = 0.5 * (span[0] + span[1])
            _write_in_band(drawing, lying, piece, ((middle - wide, middle + wide), words), taken=taken)
    for piece, span in zip(lying.pieces, spans, strict=True):
        gap = 1.2 / drawing.scale
        for z, is_short, words in zip(span, _is_short(span, lying), ("from", "to"), strict=True):
            if is_short:
                told = f"{piece.mark} {words} {tape.show_long(z)}"
                wide = wide_mm(told, "note") / drawing.scale
                reach = (z - gap - wide, z - gap) if words == "from" else (z + gap, z + gap + wide)
                _write_in_band(drawing, lying, piece, (reach, told), taken=taken)


def _is_short(span: tuple[float, float], lying: LyingBody) -> tuple[bool, bool]:
    return span[0] > NEAR_MM, span[1] < lying.length_mm - NEAR_MM


def _behind(one: FacePiece, other: FacePiece) -> bool:
    """Return whether two pieces overlap as seen from the side."""
    along = min(one.piece.end_mm, other.piece.end_mm) - max(one.piece.start_mm, other.piece.start_mm)
    upright = min(one.box.top, other.box.top) - max(one.box.bottom, other.box.bottom)
    return along > NEAR_MM and upright > NEAR_MM


def _write_in_band(
    drawing: Drawing,
    lying: LyingBody,
    piece: FacePiece,
    told: tuple[tuple[float, float], str],
    *,
    taken: list[Rectangle],
) -> None:
    """Write words over a stretch of a piece's band, if they lie in the wood, clear of the pith and of other words."""
    (begin, stop), words = told
    half = 0.5 * figure_mm("note")
    x, top = drawing.on_paper_mm((begin, lying.at_mm(piece.box.top)))
    right, bottom = drawing.on_paper_mm((stop, lying.at_mm(piece.box.bottom)))
    heights = np.interp([begin, stop], lying.z_mm, lying.pith_mm)
    pith = [drawing.on_paper_mm((0.0, float(height)))[1] for height in heights]
    level = 0.5 * (top + bottom)
    if min(pith) - _PITH_MM - half < level < max(pith) + _PITH_MM + half:
        above, below = min(pith) - _PITH_MM - half, max(pith) + _PITH_MM + half
        level = above if above - half - _BAND_MM >= top else below
    box = (x, level - half, right, level + half)
    places = np.linspace(begin, stop, 9)
    roof = drawing.on_paper_mm((0.0, float(np.interp(places, lying.z_mm, lying.upper_mm).min())))[1]
    floor = drawing.on_paper_mm((0.0, float(np.interp(places, lying.z_mm, lying.lower_mm).max())))[1]
    inside = begin >= 0.0 and stop <= lying.length_mm
    inside = inside and box[1] >= max(top, roof) + _BAND_MM and box[3] <= min(bottom, floor) - _BAND_MM
    if not inside or any(_touch(box, other) for other in taken):
        return
    taken.append(box)
    with drawing.group(f"name {piece.mark}"):
        drawing.paper.text((0.5 * (x + right), level), words, style=TextStyle(anchor="middle", level="middle"))


def _touch(a: Rectangle, b: Rectangle) -> bool:
    return a[0] < b[2] + 0.8 and b[0] < a[2] + 0.8 and a[1] < b[3] and b[1] < a[3]
