"""What stands on the template of an end, and the sheets it is spread over.

A template is drawn as it is seen by who stands before that end. The butt is seen from
the butt, as everywhere else; who stands at the tip sees left and right changed over, so
the tip's template is mirrored.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pithline.answers.words import line_text
from pithline.arrays import Floats
from pithline.lengths import Tape
from pithline.setup import EndMarks, Pass, SetUp
from pithline.sheets.paper import Point
from pithline.sheets.svg import Box
from pithline.sheets.tiles import Tiling, overlap_mm, sheet_room_mm, tiled

__all__ = ["HEAD_MM", "PAST_MM", "EndPlan", "Face", "plan_end"]

HEAD_MM = 40.0
"""Room for the title on either side of the arrow to 12."""

PAST_MM = 9.0
"""How far lines run on past the wood."""

_MARGIN_MM = 10.0
_TOP_MARGIN_MM = 24.0
_FINER = 4


@dataclass(frozen=True, slots=True)
class Face:
    """One line of the timber.

    Attributes: `name` of the face, left and right as seen from the butt; `start`
    and `end` of the line, the timber to the left of who goes along it; `out`, unit
    vector away from the timber; `sawn`, the pass that saws it, or None; `told`, its
    distance from the pith; `through`, whether the whole log is sawn through along it.
    """

    name: str
    start: Point
    end: Point
    out: Point
    sawn: Pass | None
    told: str
    through: bool


@dataclass(frozen=True, slots=True)
class EndPlan:
    """The template of one end.

    Attributes: `end`; `mirrored`; `outline` of the wood and `corners` of the timber
    from the pith, counterclockwise as drawn; `faces` bottom, right, top, left as
    drawn; `kerf_mm` of the saw; `tiling` of the sheets.
    """

    end: str
    mirrored: bool
    outline: tuple[Point, ...]
    corners: tuple[Point, ...]
    faces: tuple[Face, ...]
    kerf_mm: float
    tiling: Tiling

    @property
    def title(self) -> str:
        """What the template is called on it."""
        return "TIP, MIRRORED" if self.mirrored else "BUTT"

    @property
    def seen(self) -> str:
        """From where it is seen."""
        return f"as you stand at the {self.end}"


def _as_seen(points: Sequence[Sequence[float]], *, mirrored: bool) -> tuple[Point, ...]:
    """Points as who stands before the end sees them, still counterclockwise."""
    seen = [(-float(x) if mirrored else float(x), float(y)) for x, y in points]
    return tuple(reversed(seen)) if mirrored else tuple(seen)


def _finer(outline: Floats) -> Floats:
    """Four times the points on a smooth closed outline; exactly on it where it is an ellipse.

    At true scale the sides of a polygon that does for reckoning show as corners.
    """
    count = len(outline)
    waves = np.fft.fft(outline[:, 0] + 1j * outline[:, 1])
    between = np.zeros((_FINER - 1) * count)
    half = (count + 1) // 2
    points = _FINER * np.fft.ifft(np.concatenate([waves[:half], between, waves[half:]]))
    return np.column_stack([points.real, points.imag])


def _faces(setup: SetUp, marks: EndMarks, corners: Sequence[Point], *, tape: Tape) -> tuple[Face, ...]:
    """The four lines of the timber as drawn, from the corner lowest on the left."""
    sawn = {cut.face: cut for cut in setup.passes}
    side = {"right side": (marks.right_mm, "right"), "left side": (marks.left_mm, "left")}
    names = ["bottom", "right side", "top", "left side"]
    if marks.end == "tip":
        names = ["bottom", "left side", "top", "right side"]
    distance = {"bottom": (marks.down_mm, "down"), "top": (marks.up_mm, "up"), **side}
    outs = ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0))
    return tuple(
        Face(
            name,
            corners[number],
            corners[(number + 1) % 4],
            outs[number],
            sawn.get(name),
            line_text(distance[name][0], distance[name][1], tape=tape),
            # The first two faces are sawn through the log, the others through what is left between them.
            sawn.get(name) in setup.stacks[0].passes,
        )
        for number, name in enumerate(names)
    )


def _from_lower_left(corners: Sequence[Point]) -> tuple[Point, ...]:
    """The corners counterclockwise, begun at the lower left one."""
    first = min(range(len(corners)), key=lambda number: sum(corners[number]))
    return tuple(corners[first:]) + tuple(corners[:first])


def _touches(shape: Sequence[Point], box: Box) -> bool:
    """Whether a convex outline and a box share any point, by the axes that could part them."""
    corners = [(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    edges = zip(shape, [*shape[1:], shape[0]], strict=True)
    axes = [(1.0, 0.0), (0.0, 1.0), *((q[1] - p[1], p[0] - q[0]) for p, q in edges)]
    for ax, ay in axes:
        ours = [ax * x + ay * y for x, y in shape]
        theirs = [ax * x + ay * y for x, y in corners]
        if max(ours) < min(theirs) or min(ours) > max(theirs):
            return False
    return True


def _head_box(outline: Sequence[Point]) -> tuple[Point, ...]:
    """Where the arrow to 12 stands above the wood, and the title on either side of it."""
    top = max(y for _, y in outline)
    return ((-HEAD_MM, top), (HEAD_MM, top), (HEAD_MM, top + _TOP_MARGIN_MM), (-HEAD_MM, top + _TOP_MARGIN_MM))


def plan_end(setup: SetUp, marks: EndMarks, *, tape: Tape, paper: str) -> EndPlan:
    """The template of one end and the sheets it is spread over.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    marks : EndMarks
        One of its ends.
    tape : Tape
        How lengths are shown.
    paper : str
        letter or a4.

    Returns
    -------
    EndPlan
        As seen by who stands before the end; sheets named butt A1, butt A2, ...

    Raises
    ------
    SheetError
        There is no such paper, or the log is too large for sheets lettered A to Z.
    """
    mirrored = marks.end == "tip"
    outline = _as_seen(_finer(marks.outline_mm).tolist(), mirrored=mirrored)
    corners = _from_lower_left(_as_seen(marks.corners_mm.tolist(), mirrored=mirrored))
    head = _head_box(outline)
    kerf = setup.kit.saw.kerf_mm
    (x0, y0), (x1, y1) = corners[0], corners[2]
    points = [*outline, (x0 - kerf, y0 - kerf), (x1 + kerf, y1 + kerf), (0.0, 0.0)]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    box = Box(
        min(min(xs) - _MARGIN_MM, head[0][0]),
        min(ys) - _MARGIN_MM,
        max(max(xs) + _MARGIN_MM, head[1][0]),
        max(*ys, head[2][1]),
    )
    tiling = tiled(
        box,
        room_mm=sheet_room_mm(paper),
        overlap_mm=overlap_mm(tape),
        lines_x_mm=[0.0, x0, x1],
        lines_y_mm=[0.0, y0, y1],
    )
    tiling = tiling.kept(lambda cell: _touches(outline, cell) or _touches(corners, cell) or _touches(head, cell))
    faces = _faces(setup, marks, corners, tape=tape)
    return EndPlan(marks.end, mirrored, outline, corners, faces, kerf, tiling)
