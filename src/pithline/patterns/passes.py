"""The passes of a layout in order: what each rides on, what it is set to, how wide it cuts."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from pithline.arrays import Floats, frozen
from pithline.errors import KitError
from pithline.lengths import told
from pithline.logs.solid import LogSolid, turned
from pithline.patterns.blocks import Block
from pithline.patterns.frame import Frame
from pithline.patterns.layout import Layer, Layout
from pithline.patterns.levels import levels_of
from pithline.patterns.names import counted
from pithline.patterns.pattern import Cut, Piece, Position
from pithline.patterns.task import Task
from pithline.setup.stand import RailStand, stand_rail

__all__ = ["Sawn", "positions_of"]


@dataclass(frozen=True)
class _Line:
    """A cut to be made: the bottom of its kerf, and what comes off over it.

    For the first: `over_mm`, the stretch under which the piece below it lies,
    and `spare_mm`, how far below the line that piece reaches.
    """

    at_mm: float
    frees: str
    over_mm: tuple[float, float] | None = None
    spare_mm: float = 0.0


@dataclass(eq=False)
class Sawn:
    """What has been sawn so far: `positions` in order, and the number of the last pass; `pieces` that come out."""

    task: Task
    pieces: list[Piece] = field(default_factory=list)
    positions: list[Position] = field(default_factory=list)
    passes: int = 0


@dataclass(frozen=True, eq=False)
class _Body:
    """What lies on the horses.

    Attributes: `name`; `part`; `turn_deg`; `log` as it lies; `within_mm` and
    `over_mm` as in `Position`; `face_of`, number of the pass that left its upper face.
    """

    name: str
    part: int
    turn_deg: float
    log: LogSolid
    within_mm: tuple[float, float] | None
    over_mm: tuple[float | None, float | None]
    face_of: int | None


def _widths(body: _Body, levels_mm: Sequence[float]) -> Floats:
    """Width of the wood at levels (n, m) [mm]."""
    found = levels_of(body.log, np.array(levels_mm), axis=1, share=1.0)
    low, high = found.low_mm, found.high_mm
    if body.within_mm is not None:
        low, high = np.maximum(low, body.within_mm[0]), np.minimum(high, body.within_mm[1])
    return np.maximum(high - low, 0.0)


def _cut(body: _Body, line: _Line, task: Task, *, number: int, rides: tuple[int | None, float]) -> Cut:
    """One pass, its setting and widths checked against the mill.

    `rides` is the pass that left the face ridden on, None for the rail, and the setting.
    """
    kit, kerf = task.kit, task.kit.saw.kerf_mm
    face_of, setting = rides
    width = _widths(body, [line.at_mm, line.at_mm + 0.5 * kerf, line.at_mm + kerf])
    widest = float(width.max())
    most = task.room_mm if body.within_mm is None else kit.mill.cut_width_mm
    if widest > most + 1e-6:
        raise KitError(
            f"mill.cut_width: pass {number} is {told(widest)} wide at its widest and the mill cuts {told(most)} there."
        )
    if not kit.mill.setting_min_mm - 1e-6 <= setting <= kit.mill.setting_max_mm + 1e-6:
        raise KitError(
            f"mill.setting: pass {number} needs {told(setting)} and the mill sets {told(kit.mill.setting_min_mm)} to "
            f"{told(kit.mill.setting_max_mm)}."
        )
    area = float(np.trapezoid(width[:, 1], body.log.z_mm)) / 1e6
    return Cut(
        number=number,
        rides_on="rail" if face_of is None else "face",
        face_of=face_of,
        setting_mm=setting,
        line_mm=line.at_mm,
        z_mm=body.log.z_mm,
        width_mm=frozen(width[:, 1]),
        widest_mm=widest,
        area_m2=area,
        minutes=kit.work.pass_min + area / kit.saw.feed_m2_min,
        frees=line.frees,
    )


def _stand(body: _Body, line: _Line, task: Task) -> RailStand:
    """Bearers and rail over a body, along the middle of a cant."""
    log, within = body.log, None
    if body.within_mm is not None:
        middle = 0.5 * (body.within_mm[0] + body.within_mm[1])
        within = 0.5 * (body.within_mm[1] - body.within_mm[0])
        log = replace(log, center_mm=frozen(log.center_mm - np.array([middle, 0.0])))
    over = line.over_mm or (0.0, log.length_mm)
    stand = stand_rail(task.kit, log, line_mm=line.at_mm, within_mm=within, ends_mm=over)
    top = line.at_mm + stand.datum_mm
    for bearer in stand.bearers:
        flat = top - bearer.height_mm
        if flat < line.at_mm - line.spare_mm - 1e-6:
            raise KitError(
                f"bearers.base_width: {told(bearer.station_mm)} from the butt a bearer's flat would go into the piece "
                f"below. Use a narrower base, or shorter bearers."
            )
    return stand


def _in_turn(lines: list[_Line], kerf_mm: float, most_mm: float, *, slab: str) -> list[_Line]:
    """Cuts in an order that opens opposite faces in turn, as far as the mill sets deep enough.

    Everything rides on the highest face sawn so far, so that a cut lower down
    may come before those above it. Such a cut frees what lies below it, `slab` at first.
    """
    waiting = list(lines)
    ordered = [waiting.pop(0)]
    top, below = ordered[0].at_mm, slab
    low_turn = True
    while waiting:
        reaches = top - (waiting[-1].at_mm + kerf_mm) <= most_mm
        if len(waiting) == 1:
            last = waiting.pop()
            left = "" if below == slab else f"; {below} is left"
            ordered.append(replace(last, frees=f"{last.frees}{left}"))
        elif low_turn and reaches:
            low = waiting.pop()
            ordered.append(replace(low, frees=below))
            below, low_turn = low.frees, False
        else:
            # Where the low face is out of reach the high ones go on until it is not.
            ordered.append(waiting.pop(0))
            top, low_turn = ordered[-1].at_mm, True
    return ordered


def _saw(sawn: Sawn, body: _Body, lines: list[_Line], *, minutes: float, stand: RailStand | None = None) -> Position:
    """All passes of one position; the rail may have been stood already."""
    task = sawn.task
    kerf = task.kit.saw.kerf_mm
    face, top = body.face_of, body.over_mm[1]
    if task.relieve and len(lines) > 2:
        slab = "the bottom slab" if body.within_mm is None else "the other side slab"
        lines = _in_turn(lines, kerf, task.kit.mill.setting_max_mm, slab=slab)
    cuts = []
    for line in lines:
        sawn.passes += 1
        if top is None:
            stand = stand or _stand(body, line, task)
            cut = _cut(body, line, task, number=sawn.passes, rides=(None, stand.setting_mm))
        else:
            cut = _cut(body, line, task, number=sawn.passes, rides=(face, top - (line.at_mm + kerf)))
        cuts.append(cut)
        if all(other.at_mm < line.at_mm for other in lines[len(cuts) :]):
            face, top = sawn.passes, line.at_mm
    position = Position(
        number=len(sawn.positions) + 1,
        part=body.part,
        body=body.name,
        turn_deg=body.turn_deg,
        log=body.log,
        within_mm=body.within_mm,
        over_mm=body.over_mm,
        stand=stand,
        cuts=tuple(cuts),
        minutes=minutes,
    )
    sawn.positions.append(position)
    return position


def _over_board(line: _Line, pieces: Sequence[Piece], face_mm: float, *, case: tuple[Frame, float, int]) -> _Line:
    """The first line of a position whose outermost piece is a board, told how far the board reaches.

    `case` holds the part's frame, the board's thickness with a kerf, and the
    axis across it: 1 where it lies level, 0 where it stands.
    """
    frame, spare, axis = case
    over = (-1.0, -1.0)
    for piece in pieces:
        sides = piece.frame_butt_mm[:, axis]
        if piece.kind == "board" and min(abs(sides.min() - face_mm), abs(sides.max() - face_mm)) < 1e-6:
            over = (piece.start_mm - frame.start_mm - 1.0, piece.end_mm - frame.start_mm + 1.0)
    return replace(line, over_mm=over, spare_mm=spare)


def _contents(layer: Layer, task: Task) -> str:
    """What a layer is called when it comes off."""
    if layer.board is not None:
        return f"{task.boards[layer.board].name}, wane on both edges"
    block = layer.block
    if block is None:
        return "waste"
    names = [task.prices.timbers[cell.kind].name for cell in block.cells]
    if len(names) == 1:
        return names[0] if block.faces == 2 else f"the cant for the {names[0]}"
    return f"the cant for {' and '.join(counted(names.count(name), name) for name in dict.fromkeys(names))}"


def _level_lines(layout: Layout, task: Task) -> list[tuple[_Line, int | None]]:
    """Level cuts from the top down, each with the layer whose upper face it leaves, if any."""
    kerf = task.kit.saw.kerf_mm
    lines: list[tuple[_Line, int | None]] = []
    above = "the top slab"
    for number, layer in enumerate(layout.layers):
        if lines and lines[-1][0].at_mm > layer.high_mm + 1e-6:
            above = "waste"
        if not lines or lines[-1][0].at_mm > layer.high_mm + 1e-6:
            lines.append((_Line(layer.high_mm, above), number))
        else:
            lines[-1] = (lines[-1][0], number)
        lines.append((_Line(layer.low_mm - kerf, _contents(layer, task)), None))
    return lines


def _upright_lines(layer: Layer, block: Block, task: Task) -> list[tuple[float, float, str]]:
    """What stands side by side in a cant, from the left: left face, right face, and what it is."""
    thick = [board.thickness_mm for board in task.boards]
    kerf = task.kit.saw.kerf_mm
    found = [
        (side.left_mm, side.left_mm + thick[side.board], f"{task.boards[side.board].name}, wane on both edges")
        for side in layer.beside
    ]
    left = layer.left_mm
    for column in range(block.columns):
        cells = [cell for cell in block.cells if abs(cell.left_mm - (left - layer.left_mm)) < 1e-6]
        name = task.prices.timbers[cells[0].kind].name
        found.append(
            (left, left + cells[0].across_mm, name if len(cells) == 1 else f"a stick for {counted(len(cells), name)}")
        )
        left += block.cells[column].across_mm + kerf
    return sorted(found)


def _cant_body(sawn: Sawn, frame: Frame, layer: Layer, *, part: int, turn_deg: float) -> _Body:
    """The cant of a layer, rolled a quarter turn."""
    span = (layer.low_mm, layer.high_mm) if turn_deg > 0.0 else (-layer.high_mm, -layer.low_mm)
    return _Body(_cant_name(layer, sawn.task), part, turn_deg, turned(frame.solid, turn_deg), span, (None, None), None)


def _cant_name(layer: Layer, task: Task) -> str:
    """What lies on the horses once the log is opened."""
    return _contents(layer, task)


def _saw_cant(sawn: Sawn, frame: Frame, layer: Layer, block: Block, *, part: int) -> Position:
    """Side cuts of a cant, rolled whichever way the rail can lie lower."""
    task = sawn.task
    work, kerf = task.kit.work, task.kit.saw.kerf_mm
    upright = _upright_lines(layer, block, task)
    ways: list[tuple[float, float, RailStand]] = []
    refused: list[KitError] = []
    # The one side that a timber of three sawn faces has is its left one.
    for turn in (90.0, -90.0) if block.faces == 4 else (90.0,):
        body = _cant_body(sawn, frame, layer, part=part, turn_deg=turn)
        try:
            first = _first_upright(sawn, frame, layer, upright, turn_deg=turn)
            stand = _stand(body, first, task)
            ways.append((stand.datum_mm, turn, stand))
        except KitError as error:
            refused.append(error)
    if not ways:
        raise refused[0]
    _, turn, stand = min(ways, key=lambda way: (way[0], -way[1]))
    body = _cant_body(sawn, frame, layer, part=part, turn_deg=turn)
    spans = [(-right, -left, name) for left, right, name in upright] if turn > 0.0 else upright[::-1]
    lines = [_first_upright(sawn, frame, layer, upright, turn_deg=turn)]
    # With three sawn faces the far side stays as it grew.
    if block.faces == 4:
        lines += [_Line(low - kerf, name) for low, _, name in spans]
    return _saw(sawn, body, lines, minutes=work.turn_min + work.rail_min, stand=stand)


def _first_upright(
    sawn: Sawn, frame: Frame, layer: Layer, upright: list[tuple[float, float, str]], *, turn_deg: float
) -> _Line:
    """The cut that takes the first side slab off a cant."""
    face = upright[0][0] if turn_deg > 0.0 else upright[-1][1]
    line = _Line(-face if turn_deg > 0.0 else face, "the side slab")
    thick = {side.left_mm: sawn.task.boards[side.board].thickness_mm for side in layer.beside}
    for left, own in thick.items():
        if face in {left, left + own}:
            return _over_board(line, sawn.pieces, face, case=(frame, own + sawn.task.kit.saw.kerf_mm, 0))
    return line


def _split_columns(sawn: Sawn, frame: Frame, layer: Layer, block: Block, *, case: tuple[int, int]) -> None:
    """Level cuts through each column of a grid, riding on the face the log's first passes left."""
    part, face_of = case
    task = sawn.task
    kerf = task.kit.saw.kerf_mm
    for column in range(block.columns):
        cells = sorted(
            (cell for cell in block.cells if abs(cell.left_mm - block.cells[column].left_mm) < 1e-6),
            key=lambda cell: -cell.low_mm,
        )
        left = layer.left_mm + cells[0].left_mm
        name = task.prices.timbers[cells[0].kind].name
        body = _Body(
            name=f"the stick for {counted(len(cells), name)}",
            part=part,
            turn_deg=0.0,
            log=frame.solid,
            within_mm=(left, left + cells[0].across_mm),
            over_mm=(layer.low_mm, layer.high_mm),
            face_of=face_of,
        )
        lines = [_Line(layer.low_mm + cell.low_mm - kerf, name) for cell in cells[:-1]]
        _saw(sawn, body, lines, minutes=task.kit.work.turn_min)


def positions_of(layout: Layout, sawn: Sawn, *, part: int) -> None:
    """Saw one part: the log in the round, then each cant, then each column of a grid.

    Parameters
    ----------
    layout : Layout
        Where the cuts lie.
    sawn : Sawn
        Takes the positions.
    part : int
        Number of the part, from 0.

    Raises
    ------
    KitError
        The kit cannot make one of the passes; the message says which.

    Source
    ------
    common practice: the first pass of a round face rides on the rail, every
    other on the highest face sawn; the log is rolled once a stack
    """
    frame, task = layout.frame, sawn.task
    work = task.kit.work
    lines = _level_lines(layout, task)
    name = (
        f"log {task.log.tag}"
        if frame.length_mm > task.log.length_mm - 1.0
        else f"part {part + 1} of log {task.log.tag}"
    )
    body = _Body(name, part, 0.0, frame.solid, None, (None, None), None)
    top = layout.layers[0]
    if top.block is None and top.board is None:
        # Bearers' flats may go into waste.
        spare = top.high_mm - top.low_mm + task.kit.saw.kerf_mm
        lines[0] = (replace(lines[0][0], over_mm=(-1.0, -1.0), spare_mm=spare), lines[0][1])
    if top.board is not None:
        spare = top.high_mm - top.low_mm + task.kit.saw.kerf_mm
        first = _over_board(lines[0][0], sawn.pieces, top.high_mm, case=(frame, spare, 1))
        lines[0] = (first, lines[0][1])
    position = _saw(sawn, body, [line for line, _ in lines], minutes=work.turn_min + work.rail_min)
    for number, layer in enumerate(layout.layers):
        block = layer.block
        if block is None or block.faces == 2:
            continue
        _saw_cant(sawn, frame, layer, block, part=part)
        if block.rows > 1:
            opened = next(line.at_mm for line, below in lines if below == number)
            face_of = next(cut.number for cut in position.cuts if abs(cut.line_mm - opened) < 1e-6)
            _split_columns(sawn, frame, layer, block, case=(part, face_of))
