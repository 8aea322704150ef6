"""The best way to saw one part with its center line and turn given: exact in the heights of its cuts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from pithline.arrays import Floats
from pithline.logs.recovery import MM3_PER_BF
from pithline.patterns.beside import Cant, SideBoard, Sides, SideTables, side_tables, sides_of
from pithline.patterns.blocks import Block
from pithline.patterns.frame import Frame
from pithline.patterns.heart import block_limits, heart_rules, places_for
from pithline.patterns.layers import Choice, Layers, best_counted, best_layers, chosen
from pithline.patterns.layout import Layer, Layout
from pithline.patterns.levels import INSCRIBED, Levels, levels_of
from pithline.patterns.opening import rail_range
from pithline.patterns.strips import slanted_values, slants_of
from pithline.patterns.task import Aim, Task

__all__ = ["saw_part"]

_MOST_STEPS = 120
"""Rounds of choosing and working out before what is left open is given up."""

HAIR_MM = 0.05
"""How much wider a cut may be within its kerf than at both of its edges."""

_LOOK_BACK = 3
"""After so many rounds what is known is compared with the bound."""

_CLOSE = 0.001
"""Share of the bound by which the answer may lie under it."""


@dataclass(frozen=True, eq=False)
class _Stand:
    """A block on one level: where its left face is, and what that is worth with the boards beside it."""

    left_mm: float
    worth: float
    sides: Sides | None


@dataclass(eq=False)
class _Bench:
    """All that is known of a part while it is laid out."""

    frame: Frame
    task: Task
    aim: Aim
    share: float
    at_mm: Floats
    levels: Levels
    pith_mm: Floats
    cut_cost: Floats
    may_close: Floats
    stands: dict[tuple[int, int], _Stand | None] = field(default_factory=dict)

    @cached_property
    def side_tables(self) -> SideTables:
        """The wood on plumb lines, worked out where side boards are asked for."""
        return side_tables(self.frame, self.task, at_mm=_plumb_lines(self.frame, self.task.step_mm))

    @property
    def kerf_mm(self) -> float:
        """Of the saw [mm]."""
        return self.task.kit.saw.kerf_mm

    def limits(self, block: Block, levels: Floats) -> tuple[Floats, Floats]:
        """Limits left and right for a block on levels, that hold over the whole part."""
        wane = block.wane_mm
        ways = [levels, levels + block.up_mm, levels + wane, levels + block.up_mm - wane]
        found = [levels_of(self.frame.solid, at, axis=1, share=self.share) for at in ways[: 4 if wane > 0.0 else 2]]
        if wane == 0.0:
            found = [*found, *found]
        low = np.stack([one.low_mm.max(axis=0) for one in found])
        high = np.stack([one.high_mm.min(axis=0) for one in found])
        return block_limits(low, high, wane_mm=wane)


def _pith_range(frame: Frame) -> Floats:
    """Least and greatest x, least and greatest y of the pith about the center line [mm]."""
    pith = frame.solid.pith_mm
    return np.array([pith[:, 0].min(), pith[:, 0].max(), pith[:, 1].min(), pith[:, 1].max()])


def _levels_at(frame: Frame, through_mm: float, step_mm: float) -> Floats:
    """Levels a step apart over the whole part, one of them through a given height."""
    solid = frame.solid
    reach = np.sqrt((solid.shape_mm @ solid.shape_mm)[:, 1, 1])
    low = float((solid.center_mm[:, 1] - reach).min())
    high = float((solid.center_mm[:, 1] + reach).max())
    first = math.floor((low - through_mm) / step_mm)
    last = math.ceil((high - through_mm) / step_mm)
    return np.asarray(through_mm + step_mm * np.arange(first, last + 1), dtype=np.float64)


def _cut_costs(levels: Levels, task: Task) -> Floats:
    """Cost of a cut whose kerf ends at each level, inf where it is too wide for the mill or finds no wood."""
    kerf = task.kit.saw.kerf_mm
    width = levels.width_mm
    below = max(1, round(kerf / levels.step_mm))
    lower = np.concatenate([np.zeros((len(width), below)), width[:, :-below]], axis=1)
    widest = np.maximum(width, lower).max(axis=0)
    area = np.trapezoid(0.5 * (width + lower), levels.z_mm, axis=0)
    cost = task.minute * (task.kit.work.pass_min + area / (task.kit.saw.feed_m2_min * 1e6))
    # Sections are taken as the polygons within them; the cut goes through all of the wood.
    return np.where((widest > 0.0) & (widest / INSCRIBED + HAIR_MM <= task.room_mm), cost, np.inf)


def _may_open(levels: Levels, frame: Frame, task: Task) -> Floats:
    """Whether enough wood is left lying under a cut whose kerf ends at each level, as a mean along the part."""
    solid = frame.solid
    lowest = solid.center_mm[:, 1] - np.sqrt((solid.shape_mm @ solid.shape_mm)[:, 1, 1])
    depth = levels.at_mm[None, :] - task.kit.saw.kerf_mm - lowest[:, None]
    return np.asarray((depth.mean(axis=0) >= task.kit.work.rest_mm).astype(np.float64))


def _board_gains(bench: _Bench) -> list[Floats]:
    """Worth of a board of each thickness on each level, edging paid, -inf for none."""
    task, levels = bench.task, bench.levels
    gains = []
    slants = slants_of(levels.z_mm, bench.frame.solid.center_mm[:, 0])
    for board in task.boards:
        far = levels_of(bench.frame.solid, bench.at_mm + board.thickness_mm, axis=1, share=INSCRIBED)
        low, high = np.maximum(levels.low_mm, far.low_mm), np.minimum(levels.high_mm, far.high_mm)
        found = slanted_values(
            levels.z_mm,
            (low, high),
            slants=slants,
            terms=task.terms(board),
        )
        gains.append(np.where(found > 0.0, found - task.edging_start, -np.inf))
    return gains


def _own(bench: _Bench, block: Block) -> float:
    """Worth of a block by itself, what is done to its cant paid."""
    return block.value + bench.aim.bonus_bf * block.wood_mm3 / MM3_PER_BF - bench.task.minute * block.minutes


def _has_sides(bench: _Bench, block: Block) -> bool:
    """Whether boards may come from beside a block."""
    return bench.aim.with_boards and block.faces == 4 and len(bench.task.boards) > 0


def _stand(bench: _Bench, block: Block, at_mm: float) -> _Stand | None:
    """A block at a height, its left face where block and side boards are worth most."""
    low_mm = np.array([at_mm])
    limits = bench.limits(block, low_mm)
    rules = heart_rules(block, [item.timber for item in bench.task.prices.timbers])
    left, allowed = places_for(block, limits, rules=rules, pith_mm=bench.pith_mm, level_mm=low_mm)
    places = left[:, 0][allowed[:, 0]]
    if len(places) == 0:
        return None
    if not _has_sides(bench, block):
        return _Stand(float(places[0]), _own(bench, block), None)
    low, edges = float(low_mm[0]), (float(limits[0][0]), float(limits[1][0]))
    most = edges[1] - block.across_mm
    inner = (max(most, edges[0]), edges[0] + block.across_mm)
    sides = sides_of(bench.side_tables, bench.task, cant=Cant(low, low + block.up_mm, block.up_mm, inner))
    grid = sides.at_mm[(sides.at_mm >= edges[0]) & (sides.at_mm <= most)]
    if rules and len(grid):
        # On the grid every place is both limits' midpoint, so that only the rules decide.
        spot = (grid, grid + block.across_mm)
        _, good = places_for(block, spot, rules=rules, pith_mm=bench.pith_mm, level_mm=np.full(len(grid), low))
        grid = grid[good[0]]
    tried = np.concatenate([places, grid])
    worth = sides.worth(tried, tried + block.across_mm)
    # Among equals the place nearest the middle leaves the same room to bark on both sides.
    away = np.abs(tried - 0.5 * (edges[0] + most))
    pick = int(np.lexsort((away, -np.round(worth, 9)))[0])
    return _Stand(float(tried[pick]), _own(bench, block) + float(worth[pick]), sides)


def _bounds(bench: _Bench, block: Block, able: Floats, limits: tuple[Floats, Floats]) -> Floats:
    """What a block is worth at most on each level it can stand on, -inf elsewhere."""
    bound = np.full(len(bench.at_mm), -np.inf)
    bound[able] = _own(bench, block)
    if not _has_sides(bench, block) or not able.any():
        return bound
    levels = np.flatnonzero(able)
    low, most = limits[0][levels], limits[1][levels] - block.across_mm
    cant = Cant(
        low_mm=float(bench.at_mm[levels[0]]),
        high_mm=float(bench.at_mm[levels[-1]]) + block.up_mm + 1e-3,
        up_mm=block.up_mm,
        inner_mm=(float(most.max()), float(low.min()) + block.across_mm),
    )
    sides = sides_of(bench.side_tables, bench.task, cant=cant)
    worth = sides.worth(sides.at_mm, sides.at_mm + block.across_mm)
    first = np.clip(np.floor((low - sides.at_mm[0]) / bench.task.step_mm).astype(np.int64), 0, len(worth) - 1)
    last = np.clip(np.ceil((most - sides.at_mm[0]) / bench.task.step_mm).astype(np.int64), 0, len(worth) - 1)
    for level, i, j in zip(levels.tolist(), first.tolist(), last.tolist(), strict=True):
        bound[level] += float(worth[i : max(i, j) + 1].max())
    return bound


def _plumb_lines(frame: Frame, step_mm: float) -> Floats:
    """Plumb lines a step apart over the whole part."""
    solid = frame.solid
    reach = np.sqrt((solid.shape_mm @ solid.shape_mm)[:, 0, 0])
    low = float((solid.center_mm[:, 0] - reach).min())
    high = float((solid.center_mm[:, 0] + reach).max())
    return np.asarray(step_mm * np.arange(math.floor(low / step_mm), math.ceil(high / step_mm) + 1), dtype=np.float64)


def _feasible(bench: _Bench, block: Block, limits: tuple[Floats, Floats]) -> Floats:
    """On which levels a block can stand."""
    rules = heart_rules(block, [item.timber for item in bench.task.prices.timbers])
    _, allowed = places_for(block, limits, rules=rules, pith_mm=bench.pith_mm, level_mm=bench.at_mm)
    able = allowed.any(axis=0)
    if block.faces != 2:
        widest = bench.levels.width_mm.max(axis=0)
        over = np.minimum(np.arange(len(widest)) + max(1, round(block.up_mm / bench.task.step_mm)), len(widest) - 1)
        able &= np.maximum(widest, widest[over]) <= bench.task.kit.work.slender * block.up_mm
    return np.asarray(able)


def _choice(bench: _Bench, blocks: Sequence[Block], boards: list[Floats], gains: list[Floats]) -> Choice:
    """What may be done at each level."""
    kerf = bench.kerf_mm
    ups = [board.thickness_mm for board in bench.task.boards] if bench.aim.with_boards else []
    ups += [block.up_mm for block in blocks]
    every = [*boards, *gains]
    return Choice(
        cut_cost=bench.cut_cost[None],
        may_open=_may_open(bench.levels, bench.frame, bench.task)[None],
        may_close=bench.may_close[None],
        gain=np.stack(every, axis=1)[None] if every else np.full((1, len(bench.at_mm), 0), -np.inf),
        rise=np.array([math.ceil((up + kerf) / bench.task.step_mm - 1e-9) for up in ups], dtype=np.int64),
        kerf=math.ceil(kerf / bench.task.step_mm - 1e-9),
        waste=bench.task.waste_steps(bench.task.step_mm),
    )


def _bench(frame: Frame, task: Task, aim: Aim, *, through_mm: float, share: float) -> _Bench:
    """All that is known of a part before it is laid out."""
    at = _levels_at(frame, through_mm, task.step_mm)
    levels = levels_of(frame.solid, at, axis=1)
    solid = frame.solid
    low, high = rail_range(solid.center_mm, solid.shape_mm @ solid.shape_mm, task=task)
    face = at - task.kit.saw.kerf_mm
    close = ((face >= low) & (face <= high)).astype(np.float64)
    return _Bench(frame, task, aim, share, at, levels, _pith_range(frame), _cut_costs(levels, task), close)


def saw_part(
    frame: Frame, blocks: Sequence[Block], *, task: Task, aim: Aim, through_mm: float = 0.0, share: float = INSCRIBED
) -> Layout | None:
    """The best layers of a part, out of a few blocks and all boards.

    Side boards are worked out for a block only on levels where they may
    matter: elsewhere a bound stands for them, and what is chosen by its bound
    is worked out and chosen again, so that the answer is the best on the grid
    of levels.

    Parameters
    ----------
    frame : Frame
        The part about its center line.
    blocks : sequence of Block
        Blocks that may lie in it.
    task : Task
        List and kit.
    aim : Aim
        What counts.
    through_mm : float
        A height that shall be one of the levels [mm].
    share : float
        Share of the sections that counts as wood for timbers.

    Returns
    -------
    Layout or None
        None where nothing is worth its cuts. `bound` is what no other choice
        of these blocks and levels comes above.

    Source
    ------
    dynamic programming over cut depths 1/16 in apart (definition); it stops
    within a thousandth of the bound
    """
    bench = _bench(frame, task, aim, through_mm=through_mm, share=share)
    boards = _board_gains(bench) if aim.with_boards else []
    gains = []
    for block in blocks:
        limits = bench.limits(block, bench.at_mm)
        gains.append(_bounds(bench, block, _feasible(bench, block, limits), limits))
    layers, worth, bound = _settled(bench, blocks, boards, gains)
    return _laid_out(bench, blocks, layers, worth=(worth, bound)) if layers else None


def _settled(
    bench: _Bench, blocks: Sequence[Block], boards: list[Floats], gains: list[Floats]
) -> tuple[Layers, float, float]:
    """The best layers that take no more of any timber than is wanted, their worth, and a bound on it.

    Timbers are counted only where they would come out too often otherwise.
    """
    counted: tuple[int, ...] = ()
    while True:
        layers, worth, bound = _best(bench, blocks, boards, (gains, counted))
        own = [number - len(boards) for _, number in layers if number >= len(boards)]
        more = _too_often(bench, blocks, own)
        if not more:
            return layers, worth, bound
        counted = (*counted, *more)


def _too_often(bench: _Bench, blocks: Sequence[Block], own: list[int]) -> list[int]:
    """Timbers of which more come out of some blocks than are wanted."""
    used: dict[int, int] = {}
    for which in own:
        for kind, number in blocks[which].used:
            used[kind] = used.get(kind, 0) + number
    counts = {kind: bench.task.prices.timbers[kind].count for kind in used}
    return [kind for kind, number in used.items() if (most := counts[kind]) is not None and number > most]


_Case = tuple[list[Floats], tuple[int, ...]]
"""Gains of the blocks, and the timbers that are counted."""


def _layered(bench: _Bench, blocks: Sequence[Block], boards: list[Floats], case: _Case) -> tuple[Layers, float]:
    """The best layers with the gains as they stand, and their worth."""
    gains, counted = case
    choice = _choice(bench, blocks, boards, gains)
    if not counted:
        layering = best_layers(choice)
        return chosen(choice, layering, with_waste=True), float(layering.best[0])
    none = tuple(0 for _ in counted)
    uses = [none for _ in boards] + [tuple(dict(block.used).get(kind, 0) for kind in counted) for block in blocks]
    most = tuple(bench.task.prices.timbers[kind].count or 0 for kind in counted)
    return best_counted(choice, uses, most=most, with_waste=True)


def _best(bench: _Bench, blocks: Sequence[Block], boards: list[Floats], case: _Case) -> tuple[Layers, float, float]:
    """The best layers, their worth, and a bound on it."""
    gains, counted = case
    bound = math.inf
    for step in range(1, _MOST_STEPS + 1):
        layers, worth = _layered(bench, blocks, boards, case)
        bound = min(bound, worth)
        picks = [(number - len(boards), level) for level, number in layers if number >= len(boards)]
        if not _worked_out(bench, blocks, gains, picks):
            return layers, worth, bound
        if step % _LOOK_BACK == 0:
            layers, worth = _layered(bench, blocks, boards, (_known(bench, gains), counted))
            if worth >= bound - _CLOSE * abs(bound):
                return layers, worth, bound
    # What is left open is given up, and the bound tells what that may cost.
    return *_layered(bench, blocks, boards, (_known(bench, gains), counted)), bound


def _known(bench: _Bench, gains: list[Floats]) -> list[Floats]:
    """Worths of blocks where they are true ones."""
    return [_known_only(bench, gain, which) for which, gain in enumerate(gains)]


def _worked_out(bench: _Bench, blocks: Sequence[Block], gains: list[Floats], picks: list[tuple[int, int]]) -> bool:
    """Put true worths where blocks were chosen by a bound; whether there were any."""
    news = False
    for which, level in picks:
        if (which, level) not in bench.stands:
            stand = _stand(bench, blocks[which], float(bench.at_mm[level]))
            bench.stands[which, level] = stand
        stand = bench.stands[which, level]
        true = -math.inf if stand is None else stand.worth
        news = news or gains[which][level] != true
        gains[which][level] = true
    return news


def _known_only(bench: _Bench, gain: Floats, which: int) -> Floats:
    """Worths of a block where they are true ones."""
    known = np.full_like(gain, -np.inf)
    for (number, level), stand in bench.stands.items():
        if number == which and stand is not None and gain[level] > -np.inf:
            known[level] = stand.worth
    return known


def _spans(bench: _Bench, layers: Layers, ups: list[float], anchor: int) -> list[tuple[float, float]]:
    """Lower face and height of each layer: one kerf apart wherever they are neighbors.

    Heights on the grid may leave a hair over a kerf. It is taken out toward
    one layer, the anchor, which stays where it is.
    """
    kerf, step = bench.kerf_mm, bench.task.step_mm
    lows = [float(bench.at_mm[level]) for level, _ in layers]
    gaps = [lows[k] - lows[k + 1] - ups[k + 1] for k in range(len(lows) - 1)]
    gaps = [kerf if gap < kerf + step - 1e-6 else gap for gap in gaps]
    for k in range(anchor - 1, -1, -1):
        lows[k] = lows[k + 1] + ups[k + 1] + gaps[k]
    for k in range(anchor + 1, len(lows)):
        lows[k] = lows[k - 1] - gaps[k - 1] - ups[k]
    return list(zip(lows, ups, strict=True))


def _laid_out(bench: _Bench, blocks: Sequence[Block], layers: Layers, *, worth: tuple[float, float]) -> Layout | None:
    """The layers at their true heights, None where a block fits only on the grid."""
    boards = len(bench.task.boards) if bench.aim.with_boards else 0
    thick = [board.thickness_mm for board in bench.task.boards]
    ups = []
    for _, number in layers:
        if number < 0:
            ups.append(-number * bench.task.step_mm)
        else:
            ups.append(thick[number] if number < boards else blocks[number - boards].up_mm)
    # The largest block first: toward it the log is wider.
    anchors = sorted(range(len(layers)), key=lambda k: (layers[k][1] < boards, -ups[k]))
    for anchor in anchors:
        laid = _laid_at(bench, blocks, layers, _spans(bench, layers, ups, anchor))
        if laid is not None:
            return Layout(bench.frame, tuple(laid), *worth)
    return None


def _laid_at(
    bench: _Bench, blocks: Sequence[Block], layers: Layers, spans: list[tuple[float, float]]
) -> list[Layer] | None:
    """Layers with these faces, each block where it fits there; None where one does not."""
    task, kerf = bench.task, bench.kerf_mm
    boards = len(task.boards) if bench.aim.with_boards else 0
    thick = [board.thickness_mm for board in task.boards]
    laid = []
    for (level, number), (low, up) in zip(layers, spans, strict=True):
        if number < boards:
            laid.append(Layer(low, low + up, board=number if number >= 0 else None))
            continue
        block, stand = blocks[number - boards], bench.stands[number - boards, level]
        if abs(low - bench.at_mm[level]) > 1e-6:
            stand = _stand(bench, block, low)
        if stand is None:
            return None
        beside: tuple[SideBoard, ...] = ()
        if stand.sides is not None:
            beside = stand.sides.boards(stand.left_mm, stand.left_mm + block.across_mm, kerf_mm=kerf, thick_mm=thick)
        laid.append(Layer(low, low + up, block=block, left_mm=stand.left_mm, beside=beside))
    return laid
