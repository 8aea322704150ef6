"""From layouts of a log's parts to a pattern: pieces, passes, time, and where all the wood goes."""

import itertools
import math
from collections.abc import Sequence

from pithline.logs.solid import stretch
from pithline.patterns.layout import Layer, Layout
from pithline.patterns.passes import Sawn, positions_of
from pithline.patterns.pattern import Part, Pattern, Piece
from pithline.patterns.pieces import pieces_of
from pithline.patterns.solids import slice_mm3, window_mm3
from pithline.patterns.task import Task

__all__ = ["build_pattern"]

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def _number(count: int) -> str:
    """A number in words as far as nine."""
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def _words(layout: Layout) -> str:
    """How the pieces of a part lie, in the trade's words."""
    found = []
    for layer in layout.layers:
        block = layer.block
        if block is None:
            continue
        count = len(block.cells)
        if count == 1:
            found.append("one timber")
        elif block.rows == 1:
            found.append(f"{_number(count)} side by side" if count == 2 else f"{_number(count)} in a row")
        elif count == 4:
            found.append("four quartered")
        else:
            found.append(f"{_number(count)}, {_number(block.rows)} high and {_number(block.columns)} wide")
    boards = any(layer.board is not None or layer.beside for layer in layout.layers)
    if not found:
        return "boards, through and through"
    if found == ["one timber", "one timber"]:
        words = "two timbers stacked"
    else:
        words = found[0] if len(found) == 1 else f"{', '.join(found)}, stacked from the top down"
    return f"{words}, boards from the slabs" if boards else words


def _kerf_and_slabs(layout: Layout, task: Task, pieces: Sequence[tuple[int, Piece]]) -> tuple[float, float]:
    """Wood of a part that becomes sawdust under the mill, and wood that falls off [mm3]."""
    solid, kerf = layout.frame.solid, task.kit.saw.kerf_mm
    levels: list[tuple[float, float]] = []
    for layer in layout.layers:
        levels += [(layer.low_mm - kerf, layer.low_mm), (layer.high_mm, layer.high_mm + kerf)]
    # Two layers one kerf apart share it.
    cuts: list[tuple[float, float]] = []
    for low, high in sorted(levels):
        if not cuts or low > cuts[-1][0] + 1e-6:
            cuts.append((low, high))
    dust = sum(slice_mm3(solid, (low, high)) for low, high in cuts)
    slabs, below = 0.0, -math.inf
    filled = sorted([*cuts, *((layer.low_mm, layer.high_mm) for layer in layout.layers)])
    for low, high in filled:
        if low > below + 1e-6:
            slabs += slice_mm3(solid, (below, low))
        below = high
    slabs += slice_mm3(solid, (below, math.inf))
    for number, layer in enumerate(layout.layers):
        own = sum(piece.volume_mm3 for at, piece in pieces if at == number)
        between = _between(layer, layout, task)
        dust += between
        slabs += slice_mm3(solid, (layer.low_mm, layer.high_mm)) - between - own
    return dust, slabs


def _between(layer: Layer, layout: Layout, task: Task) -> float:
    """Wood in the kerfs within a layer [mm3]."""
    block = layer.block
    if block is None or block.faces == 2:
        return 0.0
    solid, kerf = layout.frame.solid, task.kit.saw.kerf_mm
    right = layer.left_mm + block.across_mm
    edges = [layer.left_mm - kerf]
    if block.faces == 4:
        edges.append(right)
    edges += [layer.left_mm + cell.left_mm - kerf for cell in block.cells[1 : block.columns]]
    for side in layer.beside:
        thick = task.boards[side.board].thickness_mm
        edges.append(side.left_mm - kerf if side.left_mm < layer.left_mm else side.left_mm + thick)
    total = sum(window_mm3(solid, x_mm=(edge, edge + kerf), y_mm=(layer.low_mm, layer.high_mm)) for edge in edges)
    if block.rows > 1:
        lows = {cell.low_mm for cell in block.cells} - {0.0}
        for cell in block.cells[: block.columns]:
            across = (layer.left_mm + cell.left_mm, layer.left_mm + cell.left_mm + cell.across_mm)
            for low in lows:
                total += window_mm3(solid, x_mm=across, y_mm=(layer.low_mm + low - kerf, layer.low_mm + low))
    return total


def _offcuts(task: Task, layouts: Sequence[Layout]) -> float:
    """Wood of the log before, between and after its parts [mm3]."""
    total, at = 0.0, 0.0
    for start, end in [*((each.frame.start_mm, each.frame.end_mm) for each in layouts), (task.log.length_mm, 0.0)]:
        if start - at > 1.0:
            part = stretch(task.log, at, end_mm=start)
            total += part.volume_mm3()
        at = end
    return total


def _handling(task: Task, layouts: Sequence[Layout], pieces: Sequence[Piece]) -> float:
    """Minutes beside the mill: edging boards, crosscuts of the log and of sticks."""
    work = task.kit.work
    boards = {board.name: board for board in task.boards}
    minutes = sum(task.edging_minutes(boards[piece.name], piece.length_mm) for piece in pieces if piece.kind == "board")
    ends = {0.0, task.log.length_mm}
    cuts = {edge for layout in layouts for edge in (layout.frame.start_mm, layout.frame.end_mm)}
    bucks = sum(all(abs(cut - end) > 1.0 for end in ends) for cut in cuts)
    # Two parts a kerf apart share their crosscut.
    edges = sorted(cuts)
    bucks -= sum(0.0 < after - before <= task.kit.saw.kerf_mm + 1e-6 for before, after in itertools.pairwise(edges))
    # Each timber that ends before its part does is cut off there.
    for number, layout in enumerate(layouts):
        own = [piece for piece in pieces if piece.kind == "timber" and piece.part == number]
        bucks += sum(piece.end_mm < layout.frame.end_mm - 1.0 for piece in own)
    return minutes + work.buck_min * bucks


def build_pattern(task: Task, layouts: Sequence[Layout]) -> Pattern:
    """The pattern that layouts of a log's parts make.

    Parameters
    ----------
    task : Task
        Log, list and kit.
    layouts : sequence of Layout
        One for each part, from butt to tip.

    Returns
    -------
    Pattern
        Every pass checked against the kit.

    Raises
    ------
    KitError
        The kit cannot make one of the passes.

    Source
    ------
    definition
    """
    sawn = Sawn(task)
    pieces: list[Piece] = []
    parts: list[Part] = []
    dust = slabs = 0.0
    for number, layout in enumerate(layouts):
        frame = layout.frame
        own = pieces_of(layout, task, part=number)
        sawn.pieces = [piece for _, piece in own]
        positions_of(layout, sawn, part=number)
        kerf, slab = _kerf_and_slabs(layout, task, own)
        dust, slabs = dust + kerf, slabs + slab
        pieces += [piece for _, piece in own]
        parts.append(
            Part(
                frame.start_mm, frame.end_mm, frame.roll_deg, frame.center_butt_mm, frame.center_tip_mm, _words(layout)
            )
        )
    minutes = _handling(task, layouts, pieces)
    for position in sawn.positions:
        minutes += position.minutes + sum(cut.minutes for cut in position.cuts)
    return Pattern(
        log=task.log,
        kit=task.kit,
        parts=tuple(parts),
        pieces=tuple(pieces),
        positions=tuple(sawn.positions),
        value=math.fsum(piece.value for piece in pieces),
        minutes=minutes,
        cost=task.minute * minutes,
        kerf_mm3=dust,
        slab_mm3=slabs + _offcuts(task, layouts),
        notes=task.prices.notes,
    )
