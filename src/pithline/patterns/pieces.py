"""The pieces of a layout: timbers cell by cell, boards as the straight strips that their flitches hold."""

from collections.abc import Iterator

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.logs.recovery import MM3_PER_BF
from pithline.patterns.blocks import Cell, copies_in
from pithline.patterns.frame import Frame
from pithline.patterns.layout import Layer, Layout
from pithline.patterns.levels import STEP_MM, levels_of
from pithline.patterns.pattern import Piece
from pithline.patterns.strips import Strip, best_strip
from pithline.patterns.task import Task

__all__ = ["flitch_limits", "pieces_of"]


def _corners(x: tuple[float, float], y: tuple[float, float]) -> Floats:
    """Corners of an upright rectangle, counterclockwise from lower left."""
    return np.array([[x[0], y[0]], [x[1], y[0]], [x[1], y[1]], [x[0], y[1]]])


def flitch_limits(frame: Frame, faces_mm: tuple[float, float], *, axis: int) -> tuple[Floats, Floats]:
    """Wane edges that hold on both faces of a flitch.

    Parameters
    ----------
    frame : Frame
        The part.
    faces_mm : (float, float)
        Its two faces: heights for axis 1, plumb lines for axis 0 [mm].
    axis : int
        1 for a flitch that lies level, 0 for one that stands.

    Returns
    -------
    (n,) float, (n,) float
        Limits at the stations, the first above the second where there is none [mm].

    Source
    ------
    definition
    """
    found = levels_of(frame.solid, np.array(faces_mm), axis=axis)
    return found.low_mm.max(axis=1), found.high_mm.min(axis=1)


def _timbers(layout: Layout, layer: Layer, cell: Cell, case: tuple[Task, int], *, left: int) -> Iterator[Piece]:
    """Timbers of one stick, from the butt on, no more than `left`."""
    task, part = case
    frame, item = layout.frame, task.prices.timbers[cell.kind]
    kerf = task.kit.saw.kerf_mm
    long = item.timber.length_mm or frame.length_mm
    x0, y0 = layer.left_mm + cell.left_mm, layer.low_mm + cell.low_mm
    corners = frozen(_corners((x0, x0 + cell.across_mm), (y0, y0 + cell.up_mm)))
    number = min(copies_in(frame.length_mm, item.timber.length_mm, kerf_mm=kerf), left)
    for copy in range(number):
        start = copy * (long + kerf)
        end = min(start + long, frame.length_mm)
        yield Piece(
            name=item.name,
            kind="timber",
            thickness_mm=item.timber.cut_thickness_mm,
            width_mm=item.timber.cut_width_mm,
            start_mm=frame.start_mm + start,
            end_mm=frame.start_mm + end,
            part=part,
            corners_butt_mm=frozen(frame.as_tallied(corners, start)),
            corners_tip_mm=frozen(frame.as_tallied(corners, end)),
            frame_butt_mm=corners,
            frame_tip_mm=corners,
            wane_mm=item.timber.wane_mm,
            value=item.worth(end - start),
            bf=item.timber.thickness_mm * item.timber.width_mm * (end - start) / MM3_PER_BF,
        )


def _board(
    layout: Layout,
    number: int,
    faces_mm: tuple[float, float],
    case: tuple[Task, int],
    *,
    within_mm: tuple[float, float] | None,
) -> Piece | None:
    """The best board of a flitch that lies level, or stands within a cant."""
    task, part = case
    frame, board = layout.frame, task.boards[number]
    axis = 1 if within_mm is None else 0
    low, high = flitch_limits(frame, faces_mm, axis=axis)
    if within_mm is not None:
        low, high = np.maximum(low, within_mm[0]), np.minimum(high, within_mm[1])
    rate = task.board_rate(board)
    strip = best_strip(frame.solid.z_mm, (low, high), board=board, value_mm2=rate, step_mm=STEP_MM)
    if strip is None or strip.value <= 0.0:
        return None
    ends = [_board_corners(strip, middle, faces_mm, axis) for middle in (strip.middle_start_mm, strip.middle_end_mm)]
    area = strip.width_mm * (strip.end_mm - strip.start_mm)
    return Piece(
        name=board.name,
        kind="board",
        thickness_mm=board.thickness_mm,
        width_mm=strip.width_mm,
        start_mm=frame.start_mm + strip.start_mm,
        end_mm=frame.start_mm + strip.end_mm,
        part=part,
        corners_butt_mm=frozen(frame.as_tallied(ends[0], strip.start_mm)),
        corners_tip_mm=frozen(frame.as_tallied(ends[1], strip.end_mm)),
        frame_butt_mm=frozen(ends[0]),
        frame_tip_mm=frozen(ends[1]),
        wane_mm=0.0,
        value=strip.value,
        bf=area * board.thickness_mm / MM3_PER_BF,
    )


def _board_corners(strip: Strip, middle_mm: float, faces_mm: tuple[float, float], axis: int) -> Floats:
    """Corners of a board at one of its ends."""
    edges = (middle_mm - 0.5 * strip.width_mm, middle_mm + 0.5 * strip.width_mm)
    return _corners(edges, faces_mm) if axis == 1 else _corners(faces_mm, edges)


def pieces_of(layout: Layout, task: Task, *, part: int) -> list[tuple[int, Piece]]:
    """Everything that comes out of a part.

    Parameters
    ----------
    layout : Layout
        Where its cuts lie.
    task : Task
        List and kit.
    part : int
        Number of the part, from 0.

    Returns
    -------
    list of (int, Piece)
        Number of the layer, from the top, and the piece.

    Source
    ------
    definition
    """
    found: list[tuple[int, Piece]] = []
    left = dict(layout.used)
    for number, layer in enumerate(layout.layers):
        if layer.board is not None:
            board = _board(layout, layer.board, (layer.low_mm, layer.high_mm), (task, part), within_mm=None)
            found += [] if board is None else [(number, board)]
            continue
        if layer.block is None:
            continue
        for cell in layer.block.cells:
            for timber in _timbers(layout, layer, cell, (task, part), left=left[cell.kind]):
                left[cell.kind] -= 1
                found.append((number, timber))
        for side in layer.beside:
            faces = (side.left_mm, side.left_mm + task.boards[side.board].thickness_mm)
            board = _board(layout, side.board, faces, (task, part), within_mm=(layer.low_mm, layer.high_mm))
            found += [] if board is None else [(number, board)]
    return found
