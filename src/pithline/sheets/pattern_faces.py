"""One end of a part of a sawn-up log: its wood, its pieces, its kerfs and its cut lines, the pith the origin."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from pithline.arrays import Floats
from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.logs.solid import section_at
from pithline.patterns.pattern import Cut, Pattern, Piece, Position
from pithline.sheets.end_plan import End, Towards, chord_of, clipped
from pithline.sheets.paper import Point
from pithline.sheets.pattern_pieces import NEAR_MM, part_solid, piece_marks, turned_points
from pithline.sheets.svg import Box

__all__ = ["FaceCut", "FacePiece", "PatternFace", "pattern_face"]


@dataclass(frozen=True)
class FaceCut:
    """One pass where it crosses an end.

    Attributes: `number`; `axis`, 1 for a level line and 0 for a plumb one; `at_mm`, where
    the cut line stands, plus up or right; `kerf`, corners of the wood sawn away; `line`,
    ends of the cut line in the wood, empty where only the kerf's far side meets it; `now`, whether it
    is told in this drawing.
    """

    number: int
    axis: int
    at_mm: float
    kerf: tuple[Point, ...]
    line: tuple[Point, ...]
    now: bool

    @property
    def towards(self) -> Towards:
        """Which way from the pith the line lies."""
        ways: tuple[Towards, Towards] = ("up", "down") if self.axis == 1 else ("right", "left")
        return ways[0] if self.at_mm >= 0.0 else ways[1]

    def number_text(self, tape: Tape) -> str:
        """Distance from the pith as the tape shows it, without its sign."""
        return tape.show(abs(self.at_mm))


@dataclass(frozen=True)
class FacePiece:
    """A piece on an end: its `mark` on the sheet, its `corners`, and whether it `reaches` the end."""

    mark: str
    piece: Piece
    corners: tuple[Point, ...]
    reaches: bool

    @property
    def box(self) -> Box:
        """The rectangle around it [mm]."""
        xs, ys = zip(*self.corners, strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


@dataclass(frozen=True)
class PatternFace:
    """One end of a part, the pith at the origin.

    Attributes: `outline` inside bark; `wood`, what of it is there; `pieces`; `cuts` that
    meet the wood, in the order of sawing; `missed`, numbers of told passes that do not;
    `crown_clock`, where the log bulges, None for a straight one.
    """

    outline: tuple[Point, ...]
    wood: tuple[Point, ...]
    pieces: tuple[FacePiece, ...]
    cuts: tuple[FaceCut, ...]
    missed: tuple[int, ...]
    crown_clock: float | None

    @property
    def told(self) -> tuple[FaceCut, ...]:
        """The cuts whose lines are told in this drawing."""
        return tuple(cut for cut in self.cuts if cut.now)

    @cached_property
    def box(self) -> Box:
        """All that is drawn, the pith too [mm]."""
        lines = [(cut.at_mm, 0.0) if cut.axis == 0 else (0.0, cut.at_mm) for cut in self.told]
        corners = [corner for piece in self.pieces for corner in piece.corners]
        xs, ys = zip(*self.wood, *corners, *lines, (0.0, 0.0), strict=True)
        return Box(min(xs), min(ys), max(xs), max(ys))


def _body(outline: Sequence[Point], position: Position) -> list[Point]:
    """Return what of an end lies on the horses in a position; outline and answer as it lies there."""
    body = turned_points(outline, position.turn_deg)
    sides = position.within_mm or (None, None)
    for axis, (low, high) in ((0, sides), (1, position.over_mm)):
        body = body if low is None else clipped(body, axis, low, below=False)
        body = body if high is None else clipped(body, axis, high, below=True)
    return body


def _line_across(body: Sequence[Point], at_mm: float) -> list[Point]:
    """Return both ends of a level line in a convex outline, empty where it misses."""
    chord = chord_of(body, 1, at_mm) if len(body) >= 3 else None
    if chord is None or chord[1] - chord[0] < 1e-6:
        return []
    return [(chord[0], at_mm), (chord[1], at_mm)]


def _face_cut(cut: Cut, body: Sequence[Point], *, kerf_mm: float, moved: "_Moved", now: bool) -> FaceCut | None:
    """Return a pass where it crosses an end, None where it passes the wood by."""
    band = clipped(body, 1, cut.line_mm, below=False)
    band = clipped(band, 1, cut.line_mm + kerf_mm, below=True)
    tall = max((y for _, y in band), default=0.0) - min((y for _, y in band), default=0.0)
    if len(band) < 3 or tall < 1e-6:
        return None
    axis = 1 if round(moved.turn_deg / 90.0) % 2 == 0 else 0
    at = moved([(0.0, cut.line_mm)])[0][axis]
    return FaceCut(cut.number, axis, at, tuple(moved(band)), tuple(moved(_line_across(body, cut.line_mm))), now)


@dataclass(frozen=True)
class _Moved:
    """Points about a center line, turned, then told from the pith."""

    turn_deg: float
    pith: Point

    def __call__(self, points: Sequence[Point] | Floats) -> list[Point]:
        turned = turned_points(points, self.turn_deg) if len(points) else []
        return [(x - self.pith[0], y - self.pith[1]) for x, y in turned]


def _is_inside(point: Point, outline: Sequence[Point]) -> bool:
    """Return whether a point lies in a convex outline that runs counterclockwise."""
    pairs = zip(outline, [*outline[1:], *outline[:1]], strict=True)
    return all((b[0] - a[0]) * (point[1] - a[1]) >= (b[1] - a[1]) * (point[0] - a[0]) - 1e-9 for a, b in pairs)


def _middle(points: Sequence[Point] | Floats) -> Point:
    x, y = np.asarray(points).mean(axis=0)
    return float(x), float(y)


def pattern_face(
    pattern: Pattern, part: int, *, end: End, position: int | None = None, as_it_lies: bool = False
) -> PatternFace:
    """Return one end of a part.

    Parameters
    ----------
    pattern : Pattern
        What comes out of the log.
    part : int
        Number of the part, from 0.
    end : {'butt', 'tip'}
        Which end of it.
    position : int or None
        Number of the position whose lines are told, from 0; None tells all of the part.
    as_it_lies : bool
        Whether the end is drawn turned as it lies in that position, without what is off by then;
        else turned for the first pass, and whole.

    Returns
    -------
    PatternFace
        Wood, pieces and cuts.

    Raises
    ------
    SheetError
        There is no such part, or no such position of it.
    """
    tag = pattern.log.tag
    if not 0 <= part < len(pattern.parts):
        raise SheetError(f"{tag}: there is no part {part} in this pattern.")
    if position is not None and not (
        0 <= position < len(pattern.positions) and pattern.positions[position].part == part
    ):
        raise SheetError(f"{tag}: there is no position {position} of part {part} in this pattern.")
    lies = pattern.positions[position] if position is not None and as_it_lies else None
    solid = part_solid(pattern, pattern.parts[part])
    section = section_at(solid, 0.0 if end == "butt" else solid.length_mm)
    outline = [(float(x), float(y)) for x, y in section.outline()]
    turn = lies.turn_deg if lies is not None else 0.0
    moved = _Moved(turn, turned_points([(float(section.pith_mm[0]), float(section.pith_mm[1]))], turn)[0])
    whole = moved(outline)
    wood = moved(turned_points(_body(outline, lies), -turn)) if lies is not None else whole
    if len(wood) < 3:
        raise SheetError(f"{tag}: nothing of the {end} of part {part + 1} is left to draw in this position.")
    cuts, missed = _cuts(pattern, part, outline=outline, moved=moved, told=position)
    if lies is not None:
        later = {cut.number for cut in lies.cuts}
        first = min(later, default=0)
        cuts = [
            cut for cut in cuts if cut.number in later or (cut.number > first and _is_inside(_middle(cut.kerf), wood))
        ]
    pieces = _pieces(pattern, part, end=end, moved=moved)
    if lies is not None:
        pieces = [piece for piece in pieces if _is_inside(_middle(piece.corners), wood)]
    clock = solid.crown_clock
    return PatternFace(
        outline=tuple(whole),
        wood=tuple(wood),
        pieces=tuple(pieces),
        cuts=tuple(cuts),
        missed=tuple(missed),
        crown_clock=None if clock is None else (clock + turn / 30.0) % 12.0,
    )


def _cuts(
    pattern: Pattern, part: int, *, outline: Sequence[Point], moved: _Moved, told: int | None
) -> tuple[list[FaceCut], list[int]]:
    """Return the passes that cross an end, and the numbers of the told ones that pass it by."""
    found: list[FaceCut] = []
    missed: list[int] = []
    for index, position in enumerate(pattern.positions):
        if position.part != part:
            continue
        body = _body(outline, position)
        now = told is None or told == index
        back = _Moved(moved.turn_deg - position.turn_deg, moved.pith)
        for cut in position.cuts:
            face = _face_cut(cut, body, kerf_mm=pattern.kit.saw.kerf_mm, moved=back, now=now)
            if face is not None:
                found.append(face)
            elif now:
                missed.append(cut.number)
    return found, missed


def _pieces(pattern: Pattern, part: int, *, end: End, moved: _Moved) -> list[FacePiece]:
    """Return the pieces of a part where they lie on an end."""
    edge = pattern.parts[part].start_mm if end == "butt" else pattern.parts[part].end_mm
    found = []
    for mark, piece in zip(piece_marks(pattern), pattern.pieces, strict=True):
        if piece.part == part:
            corners, own = (
                (piece.frame_butt_mm, piece.start_mm) if end == "butt" else (piece.frame_tip_mm, piece.end_mm)
            )
            found.append(FacePiece(mark, piece, tuple(moved(corners)), abs(own - edge) <= NEAR_MM))
    return found
