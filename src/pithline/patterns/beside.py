"""Boards from both sides of a cant, beside the timbers that lie in it."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats
from pithline.patterns.frame import Frame
from pithline.patterns.levels import INSCRIBED, STEP_MM, Levels, levels_of
from pithline.patterns.strips import Terms, slanted_values, slants_of
from pithline.patterns.task import Task

__all__ = ["Cant", "SideBoard", "SideTables", "Sides", "side_tables", "sides_of"]


@dataclass(frozen=True)
class SideBoard:
    """A board beside a block: `board`, its number in the list, and `left_mm`, its left face."""

    board: int
    left_mm: float


@dataclass(frozen=True, eq=False)
class SideTables:
    """The wood on plumb lines of a part.

    Attributes: `faces` at the plumb lines; `low_mm`, `high_mm` (n, b, m), for
    each board of the list the limits between a plumb line and another its
    thickness further right; `slants` of boards that are tried.
    """

    faces: Levels
    low_mm: Floats
    high_mm: Floats
    slants: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Sides:
    """Best worth of the wood left and right of a block, by where the block's faces are.

    Attributes: `at_mm` (m,) plumb lines; `left` and `right` (m,), worth of the
    wood left of a face there, and right of one.
    """

    at_mm: Floats
    left: Floats
    right: Floats
    _right_of: tuple[tuple[int, int], ...]
    _left_of: tuple[tuple[int, int], ...]

    @property
    def step_mm(self) -> float:
        """Distance of the plumb lines [mm]."""
        return float(self.at_mm[1] - self.at_mm[0])

    def worth(self, left_mm: Floats, right_mm: Floats) -> Floats:
        """Worth of both sides of blocks.

        Parameters
        ----------
        left_mm, right_mm : (c,) float
            Their faces [mm].

        Returns
        -------
        (c,) float
            In the list's money.

        Source
        ------
        definition; a face between two plumb lines counts as the one further out
        """
        most = len(self.at_mm) - 1
        first = np.floor((left_mm - self.at_mm[0]) / self.step_mm + 1e-6).astype(np.int64)
        last = np.ceil((right_mm - self.at_mm[0]) / self.step_mm - 1e-6).astype(np.int64)
        return np.asarray(self.left[np.clip(first, 0, most)] + self.right[np.clip(last, 0, most)])

    def boards(
        self, left_mm: float, right_mm: float, *, kerf_mm: float, thick_mm: Sequence[float]
    ) -> tuple[SideBoard, ...]:
        """The boards of the best way beside one block, the outermost left one first.

        Parameters
        ----------
        left_mm, right_mm : float
            Its faces [mm].
        kerf_mm : float
            Lost between any two pieces [mm].
        thick_mm : sequence of float
            Thickness of each board of the list [mm].

        Returns
        -------
        tuple of SideBoard
            Set one kerf apart, from the block's faces outward.

        Source
        ------
        definition
        """
        most = len(self.at_mm) - 1
        at = min(max(math.floor((left_mm - self.at_mm[0]) / self.step_mm + 1e-6), 0), most)
        boards: list[SideBoard] = []
        face = left_mm
        while self._left_of[at][0] >= 0:
            board, at = self._left_of[at]
            face -= kerf_mm + thick_mm[board]
            boards.insert(0, SideBoard(board, face))
        at = min(max(math.ceil((right_mm - self.at_mm[0]) / self.step_mm - 1e-6), 0), most)
        face = right_mm
        while self._right_of[at][0] >= 0:
            board, at = self._right_of[at]
            boards.append(SideBoard(board, face + kerf_mm))
            face += kerf_mm + thick_mm[board]
        return tuple(boards)


def side_tables(frame: Frame, task: Task, *, at_mm: Floats) -> SideTables:
    """The wood of a part on plumb lines.

    Parameters
    ----------
    frame : Frame
        The part.
    task : Task
        Boards that are taken.
    at_mm : (m,) float
        Plumb lines, a step apart [mm].

    Returns
    -------
    SideTables
        Limits at them.

    Source
    ------
    definition
    """
    faces = levels_of(frame.solid, at_mm, axis=0)
    low: list[Floats] = []
    high: list[Floats] = []
    for board in task.boards:
        far = levels_of(frame.solid, at_mm + board.thickness_mm, axis=0, share=INSCRIBED)
        low.append(np.maximum(faces.low_mm, far.low_mm))
        high.append(np.minimum(faces.high_mm, far.high_mm))
    slants = slants_of(frame.solid.z_mm, frame.solid.center_mm[:, 1])
    if not low:
        nothing = np.zeros((len(faces.z_mm), 0, len(at_mm)))
        return SideTables(faces, nothing, nothing, slants)
    return SideTables(faces, np.stack(low, axis=1), np.stack(high, axis=1), slants)


@dataclass(frozen=True)
class Cant:
    """What the boards beside a block are limited by.

    Attributes: `low_mm`, `high_mm`, lowest and highest place of its faces;
    `up_mm` between its two faces; `inner_mm`, the block's left face goes no
    further right than the first, its right face no further left than the
    second. Where `high_mm` - `low_mm` is more than `up_mm`, the faces may be
    anywhere between, and what is told of the sides is a bound.
    """

    low_mm: float
    high_mm: float
    up_mm: float
    inner_mm: tuple[float, float]


def _worths(tables: SideTables, task: Task, cant: Cant, columns: Floats) -> list[Floats]:
    """Worth of each board standing at each plumb line, edging paid, -inf for none."""
    count = len(tables.faces.at_mm)
    z = tables.faces.z_mm
    kept = np.flatnonzero(columns)
    low = np.maximum(tables.low_mm[:, :, kept], cant.low_mm)
    high = np.minimum(tables.high_mm[:, :, kept], cant.high_mm)
    per = len(kept)
    wide = np.array([board.least_width_mm for board in task.boards])[:, None]
    # Most lines have no board: where the wood is wide enough at too few stations nothing is worked out.
    lines = np.flatnonzero(np.trapezoid(high - low >= wide, z, axis=0).ravel() > 0.0)
    which = lines // per
    found = np.zeros(len(task.boards) * per)
    found[lines] = slanted_values(
        z,
        (low.reshape(len(z), -1)[:, lines], high.reshape(len(z), -1)[:, lines]),
        slants=tables.slants,
        terms=Terms(
            least_width_mm=wide[which, 0],
            least_length_mm=np.array([board.least_length_mm for board in task.boards])[which],
            value_mm2=np.array([task.board_rate(board) for board in task.boards])[which],
            edging_mm=np.array([task.edging_rate(board) for board in task.boards])[which],
            most_mm=cant.up_mm,
            step_mm=STEP_MM,
        ),
    )
    worths = []
    for own in found.reshape(len(task.boards), per):
        worth = np.full(count, -np.inf)
        worth[kept] = np.where(own > 0.0, own - task.edging_start, -np.inf)
        worths.append(worth)
    return worths


def _outward(
    worths: list[Floats], cost: Floats, pitch: list[int], *, kerf: int, from_line: int
) -> tuple[list[float], list[tuple[int, int]]]:
    """Best worth of the wood right of a face at each plumb line from one on, and the board taken there."""
    count = len(cost)
    best, taken = [0.0] * count, [(-1, 0)] * count
    lists, costs = [worth.tolist() for worth in worths], cost.tolist()
    for at in range(count - 1, from_line - 1, -1):
        for board, rise in enumerate(pitch):
            face = at + rise
            if face + kerf >= count:
                continue
            worth = lists[board][at + kerf] - costs[face] + best[face]
            if worth > best[at] + 1e-9:
                best[at], taken[at] = worth, (board, face)
    return best, taken


def _cut_area(faces: Levels, low_mm: float, high_mm: float) -> Floats:
    """Area of a plumb cut at every line through a cant between two faces [mm2]."""
    chord = np.maximum(np.minimum(faces.high_mm, high_mm) - np.maximum(faces.low_mm, low_mm), 0.0)
    return np.asarray(np.trapezoid(chord, faces.z_mm, axis=0))


def sides_of(tables: SideTables, task: Task, *, cant: Cant) -> Sides:
    """Best boards from both sides of a cant.

    Parameters
    ----------
    tables : SideTables
        The wood on plumb lines.
    task : Task
        Boards and kit.
    cant : Cant
        Its faces.

    Returns
    -------
    Sides
        For every place of the block.

    Source
    ------
    dynamic programming from the outside in (definition)
    """
    faces = tables.faces
    at, kerf_mm = faces.at_mm, task.kit.saw.kerf_mm
    step = task.step_mm
    kerf = math.ceil(kerf_mm / step - 1e-9)
    pitch = [math.ceil((board.thickness_mm + kerf_mm) / step - 1e-9) for board in task.boards]
    thickest = max((board.thickness_mm for board in task.boards), default=0.0)
    columns = (at <= cant.inner_mm[0] + step - kerf_mm) | (at >= cant.inner_mm[1] - step)
    worths = _worths(tables, task, cant, columns & (at <= at[-1] - thickest))
    work = task.kit.work
    # A cut is least where the cant lies furthest to one side: there a bound reckons it.
    area = np.minimum(
        _cut_area(faces, cant.low_mm, cant.low_mm + cant.up_mm),
        _cut_area(faces, cant.high_mm - cant.up_mm, cant.high_mm),
    )
    cost = task.minute * (work.pass_min + area / (task.kit.saw.feed_m2_min * 1e6))
    last = len(at) - 1
    first = int(np.searchsorted(at, cant.inner_mm[1] - step))
    right, right_of = _outward(worths, cost, pitch, kerf=kerf, from_line=first)
    # Seen from behind, left is right: a board that starts at a line ends at its mirror image.
    mirrored = []
    for worth, board in zip(worths, task.boards, strict=True):
        shift = math.ceil(board.thickness_mm / step - 1e-9)
        moved = np.full(len(worth), -np.inf)
        moved[shift:] = worth[: len(worth) - shift]
        mirrored.append(moved[::-1])
    first = last - int(np.searchsorted(at, cant.inner_mm[0] + step, side="right"))
    left, left_of = _outward(mirrored, cost[::-1], pitch, kerf=kerf, from_line=max(first, 0))
    turned = tuple((board, last - face) for board, face in left_of)
    return Sides(at, np.array(left[::-1]), np.array(right), tuple(right_of), turned[::-1])
