"""A coarse look at one part, all turns of the log at once: which blocks, at which turn, look best."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Flags, Floats, Indices
from pithline.logs.recovery import MM3_PER_BF
from pithline.logs.solid import rotation
from pithline.patterns.blocks import Block
from pithline.patterns.frame import Frame
from pithline.patterns.heart import heart_rules, places_for
from pithline.patterns.layers import Choice, best_layers, chosen
from pithline.patterns.levels import INSCRIBED, NOWHERE_MM, STEP_MM, chord_limits, half_widest
from pithline.patterns.opening import rail_range
from pithline.patterns.strips import SLANT_MM, strip_values
from pithline.patterns.task import Aim, Task

__all__ = ["Look", "Promise", "look_at"]

_STATIONS = 7
"""Stations at which boards are looked at."""

_KEPT = 4
"""Turns whose promises are kept."""

_SURE = 0.8
"""Share of a full board's worth that a side board is taken to have."""


@dataclass(frozen=True, eq=False)
class Promise:
    """What a turn promises.

    Attributes: `turn`, number of the turn; `worth` about; `blocks`, numbers of
    the blocks and about the heights of their bottoms [mm].
    """

    turn: int
    worth: float
    blocks: tuple[tuple[int, float], ...]


@dataclass(frozen=True, eq=False)
class Look:
    """A part as seen coarsely.

    Attributes: `frame`, turned by 0; `turns_deg`; `blocks` that any turn may
    hold; `promises`, for each aim those of the best turns, most worth first;
    `fits` (blocks,), whether each does at some turn and level; `short_mm`
    (blocks,), the least by which a block misses the wood, over all
    turns and levels, 0 where it fits, and `short_turn` where that is.
    """

    frame: Frame
    turns_deg: tuple[float, ...]
    blocks: tuple[Block, ...]
    promises: tuple[tuple[Promise, ...], ...]
    fits: Flags
    short_mm: Floats
    short_turn: tuple[int, ...]


@dataclass(frozen=True, eq=False)
class _Sight:
    """The part at every turn.

    Attributes: `z_mm` (n,), a few stations; `at_mm` (m,) levels, `step_mm`
    apart; `give_mm` by which a block may miss and still count; `low_mm`,
    `high_mm` (t, n, m), the wood's limits there; `in_low_mm`, `in_high_mm`
    (t, m), limits that hold at all stations; `widest_mm` (t, m); `pith_mm` (4, t, 1); `lowest_mm`
    (t,), the wood's lowest height in the mean; `rail_mm`, between which heights
    the first face can lie; `slants` (k, t) of boards that are tried.
    """

    z_mm: Floats
    at_mm: Floats
    step_mm: float
    give_mm: float
    low_mm: Floats
    high_mm: Floats
    in_low_mm: Floats
    in_high_mm: Floats
    widest_mm: Floats
    pith_mm: Floats
    lowest_mm: Floats
    rail_mm: tuple[Floats, Floats]
    slants: Floats


def _sight(frame: Frame, turns_deg: Sequence[float], task: Task, *, step_mm: float, give_mm: float) -> _Sight:
    """Limits of the wood at every turn."""
    solid = frame.solid
    count = len(solid.z_mm)
    picks = np.unique(np.round(np.linspace(0, count - 1, min(_STATIONS, count))).astype(np.int64))
    turn = np.stack([rotation(deg) for deg in turns_deg])
    center = np.einsum("tij,nj->tni", turn, solid.center_mm)
    shape = INSCRIBED * solid.shape_mm
    gram = np.einsum("tij,njk,tlk->tnil", turn, shape @ shape, turn, optimize=True)
    pith = np.einsum("tij,nj->tni", turn, solid.pith_mm)
    reach = float((np.linalg.norm(solid.center_mm, axis=1) + half_widest(solid.shape_mm)).max())
    half = math.ceil(reach / step_mm)
    at = np.asarray(step_mm * np.arange(-half, half + 1), dtype=np.float64)
    low, high = chord_limits(center, gram, at_mm=at, axis=1)
    x, y = pith[..., 0], pith[..., 1]
    return _Sight(
        z_mm=solid.z_mm[picks],
        at_mm=at,
        step_mm=step_mm,
        give_mm=give_mm,
        low_mm=low[:, picks],
        high_mm=high[:, picks],
        in_low_mm=low.max(axis=1),
        in_high_mm=high.min(axis=1),
        widest_mm=np.maximum(high - low, 0.0).max(axis=1),
        pith_mm=np.stack([x.min(axis=1), x.max(axis=1), y.min(axis=1), y.max(axis=1)])[:, :, None],
        lowest_mm=(center[..., 1] - np.sqrt(gram[..., 1, 1])).mean(axis=1),
        rail_mm=rail_range(center, gram, task=task),
        slants=_slants(solid.z_mm, center[..., 0])[: 3 if give_mm < step_mm else 1],
    )


def _slants(z_mm: Floats, middle_mm: Floats) -> Floats:
    """No slant, and where the log is crooked those of its two halves, at every turn (k, t)."""
    half = 0.5 * float(z_mm[-1])
    at = int(np.clip(np.searchsorted(z_mm, half) - 1, 0, len(z_mm) - 2))
    share = (half - z_mm[at]) / (z_mm[at + 1] - z_mm[at])
    between = (1.0 - share) * middle_mm[:, at] + share * middle_mm[:, at + 1]
    first, last = (between - middle_mm[:, 0]) / half, (middle_mm[:, -1] - between) / half
    every = np.stack([np.zeros_like(first), first, last])
    return every if np.abs(every).max() * half >= SLANT_MM else every[:1]


def _raised(values: Floats, rise: float, fill: float) -> Floats:
    """Values at levels so many steps higher, evenly between steps, `fill` beyond the last.

    The wood's limits bend inward, so that what lies evenly between is inside.
    """
    whole = math.floor(rise + 1e-9)
    share = rise - whole
    moved = _moved(values, whole, fill)
    if share <= 1e-9:
        return moved
    return np.asarray((1.0 - share) * moved + share * _moved(values, whole + 1, fill))


def _moved(values: Floats, steps: int, fill: float) -> Floats:
    """Values at levels so many whole steps higher, `fill` beyond the last."""
    if steps == 0:
        return values
    moved = np.full_like(values, fill)
    if steps < values.shape[-1]:
        moved[..., :-steps] = values[..., steps:]
    return moved


def _board_gains(sight: _Sight, task: Task) -> list[tuple[Floats, int]]:
    """Worth of each board on each level at each turn (t, m), and its rise in steps."""
    turns, stations, levels = sight.low_mm.shape
    lean = sight.slants[:, :, None, None] * sight.z_mm[:, None]
    gains = []
    for board in task.boards:
        up = board.thickness_mm / sight.step_mm
        low = np.maximum(sight.low_mm, _raised(sight.low_mm, up, NOWHERE_MM))
        high = np.minimum(sight.high_mm, _raised(sight.high_mm, up, -NOWHERE_MM))
        both = []
        for limits, narrower in ((low - lean, np.maximum), (high - lean, np.minimum)):
            spans = narrower(limits[:, :, :-1], limits[:, :, 1:])
            both.append(spans.transpose(2, 0, 1, 3).reshape(stations - 1, -1))
        worth = strip_values(
            sight.z_mm,
            (both[0], both[1]),
            terms=task.terms(board),
        )
        worth = worth.reshape(len(sight.slants), turns, levels).max(axis=0)
        worth = np.where(worth > 0.0, worth - task.edging_start, -np.inf)
        rise = _steps(board.thickness_mm + task.kit.saw.kerf_mm, sight.step_mm)
        gains.append((worth, rise))
    return gains


def _cut_costs(sight: _Sight, task: Task) -> Floats:
    """Cost of a cut at each level at each turn, inf where the mill cannot make it."""
    width = np.maximum(sight.high_mm - sight.low_mm, 0.0)
    widest = width.max(axis=1)
    area = np.trapezoid(width, sight.z_mm, axis=1)
    cost = task.minute * (task.kit.work.pass_min + area / (task.kit.saw.feed_m2_min * 1e6))
    # One step is let pass: the exact look decides.
    return np.where((widest > 0.0) & (widest <= task.room_mm + sight.step_mm), cost, np.inf)


@dataclass(frozen=True, eq=False)
class _Rooms:
    """Where blocks fit, at every turn and level (t, b, m).

    Attributes: `fits`; `beside`, about what boards beside a block are worth;
    `short_mm`, by how much it misses.
    """

    fits: Flags
    beside: Floats
    short_mm: Floats


def _higher(values: Floats, rise: Floats, fill: float) -> Floats:
    """Values (t, m) at levels so many steps higher for each block (t, b, m), evenly between steps."""
    levels = values.shape[-1]
    rise, own = np.unique(np.round(rise, 9), return_inverse=True)
    whole = np.floor(rise).astype(np.int64)
    share = (rise - whole)[:, None]
    index = np.arange(levels) + whole[:, None]
    at = np.minimum(index, levels - 2)
    found = values[:, at]
    if share.any():
        found = (1.0 - share) * found + share * values[:, at + 1]
    found[:, index >= levels - 1] = fill
    return np.asarray(found[:, own])


def _limits(sight: _Sight, blocks: Sequence[Block]) -> tuple[Floats, Floats]:
    """Limits left and right of every block, at every turn and level (t, b, m)."""
    up = np.array([block.up_mm for block in blocks]) / sight.step_mm
    wane = np.array([block.wane_mm for block in blocks]) / sight.step_mm
    rises = [np.zeros_like(up), up] if not wane.any() else [np.zeros_like(up), up, wane, up - wane]
    low = [_higher(sight.in_low_mm, rise, NOWHERE_MM) for rise in rises]
    high = [_higher(sight.in_high_mm, rise, -NOWHERE_MM) for rise in rises]
    wane_mm = (wane * sight.step_mm)[:, None]
    left = np.maximum(low[0], low[1]) - wane_mm
    right = np.minimum(high[0], high[1]) + wane_mm
    if len(rises) == 4:
        left = np.maximum(left, np.maximum(low[2], low[3]))
        right = np.minimum(right, np.minimum(high[2], high[3]))
    return left, right


def _beside(spare_mm: Floats, up_mm: Floats, task: Task, length_mm: float) -> Floats:
    """About what side boards add, by the wood left and right of blocks (t, b, m) so high (b,)."""
    kit = task.kit
    best = np.zeros_like(spare_mm)
    room = np.maximum(spare_mm, 0.0)
    for board in task.boards:
        cut = kit.work.pass_min + up_mm * length_mm / (kit.saw.feed_m2_min * 1e6)
        one = _SURE * task.board_rate(board) * up_mm * length_mm - task.minute * cut - task.edging_start
        one = one - task.edging_rate(board) * length_mm
        one = np.where((up_mm >= board.least_width_mm) & (length_mm >= board.least_length_mm), one, 0.0)
        best = np.maximum(best, np.maximum(one, 0.0)[:, None] * room / (board.thickness_mm + kit.saw.kerf_mm))
    return best


def _stands(sight: _Sight, blocks: Sequence[Block], up_mm: Floats, task: Task) -> Flags:
    """Whether the cant of each block is not too slender to stand on edge (t, b, m)."""
    if not blocks:
        return np.ones((len(sight.low_mm), 0, len(sight.at_mm)), dtype=np.bool_)
    widest = sight.widest_mm
    either = np.maximum(widest[:, None], _higher(widest, up_mm / sight.step_mm, 0.0))
    upright = np.array([block.faces != 2 for block in blocks])[:, None]
    return np.asarray(~upright | (either <= task.kit.work.slender * up_mm[:, None] + sight.give_mm))


def _rooms(sight: _Sight, blocks: Sequence[Block], task: Task, *, length_mm: float) -> _Rooms:
    """Where the blocks fit, at every turn and level."""
    left, right = _limits(sight, blocks)
    across = np.array([block.across_mm for block in blocks])[:, None]
    up = np.array([block.up_mm for block in blocks])
    short = across - (right - left)
    fits = (short <= sight.give_mm) & _stands(sight, blocks, up, task)
    timbers = [item.timber for item in task.prices.timbers]
    for number, block in enumerate(blocks):
        rules = heart_rules(block, timbers)
        if rules and fits[:, number].any():
            sides = (left[:, number], right[:, number] + sight.give_mm)
            allowed = places_for(block, sides, rules=rules, pith_mm=sight.pith_mm, level_mm=sight.at_mm)[1]
            fits[:, number] &= allowed.any(axis=0)
    middle = np.maximum(sight.high_mm - sight.low_mm, 0.0).mean(axis=1)
    wood = np.minimum(middle[:, None], _higher(middle, up / sight.step_mm, 0.0))
    beside = _beside(wood - across - 2.0 * task.kit.saw.kerf_mm, up, task, length_mm)
    beside[:, [block.faces != 4 for block in blocks]] = 0.0
    return _Rooms(fits, beside, np.maximum(short, 0.0))


def _choice(sight: _Sight, task: Task, gain: Floats, rise: Indices) -> Choice:
    """What may be done at every turn, each height of layer a column; aims stand one behind the other."""
    times = len(gain) // len(sight.low_mm)
    kerf = task.kit.saw.kerf_mm
    face = sight.at_mm[None, :] - kerf
    opening = face - sight.lowest_mm[:, None] >= task.kit.work.rest_mm
    close = (face >= sight.rail_mm[0][:, None]) & (face <= sight.rail_mm[1][:, None])
    return Choice(
        cut_cost=np.tile(_cut_costs(sight, task), (times, 1)),
        may_open=np.tile(opening.astype(np.float64), (times, 1)),
        may_close=np.tile(close.astype(np.float64), (times, 1)),
        gain=gain,
        rise=rise,
        kerf=max(1, round(kerf / sight.step_mm)),
        waste=task.waste_steps(sight.step_mm),
    )


def _worths(blocks: Sequence[Block], rooms: _Rooms, task: Task, aim: Aim) -> Floats:
    """Worth of each block at each turn and level, what is done to its cant paid (t, b, m)."""
    own = [block.value + aim.bonus_bf * block.wood_mm3 / MM3_PER_BF - task.minute * block.minutes for block in blocks]
    worth = np.array(own)[:, None] + (rooms.beside if aim.with_boards else 0.0)
    return np.where(rooms.fits, worth, -np.inf)


def _promises(
    sight: _Sight, task: Task, aims: Sequence[Aim], *, blocks: Sequence[Block], rooms: _Rooms
) -> list[tuple[Promise, ...]]:
    """What every turn promises by each aim, most worth first; blocks stand in the order of their height."""
    rises = np.array([_steps(block.up_mm + task.kit.saw.kerf_mm, sight.step_mm) for block in blocks], dtype=np.int64)
    groups, starts = np.unique(rises, return_index=True)
    ends = [*starts[1:].tolist(), len(blocks)]
    boards = _board_gains(sight, task)
    nothing = np.full((len(sight.low_mm), len(sight.at_mm)), -np.inf)
    worths, gains = [], []
    for aim in aims:
        worth = _worths(blocks, rooms, task, aim)
        columns = [gain if aim.with_boards else nothing for gain, _ in boards]
        if len(blocks):
            columns += list(np.maximum.reduceat(worth, starts, axis=1).transpose(1, 0, 2))
        gains.append(np.stack(columns, axis=2) if columns else np.full((*nothing.shape, 0), -np.inf))
        worths.append(worth)
    rise = np.array([*(rise for _, rise in boards), *groups], dtype=np.int64)
    choice = _choice(sight, task, np.concatenate(gains), rise)
    layering = best_layers(choice)
    turns, first = len(sight.low_mm), len(boards)
    found = []
    for number, worth in enumerate(worths):
        rows = number * turns + np.argsort(-layering.best[number * turns : (number + 1) * turns], kind="stable")
        own = []
        for row in rows[:_KEPT].tolist():
            picks = []
            for level, column in chosen(choice, layering, of=row):
                if column >= first:
                    group = column - first
                    best = starts[group] + int(worth[row % turns, starts[group] : ends[group], level].argmax())
                    picks.append((int(best), float(sight.at_mm[level])))
            own.append(Promise(row % turns, float(layering.best[row]), tuple(picks)))
        found.append(tuple(own))
    return found


def _steps(rise_mm: float, step_mm: float) -> int:
    """Whole steps that hold a rise."""
    return math.ceil(rise_mm / step_mm - 1e-9)


def look_at(
    task: Task,
    frame: Frame,
    *,
    blocks: Sequence[Block],
    turns_deg: tuple[float, ...],
    aims: Sequence[Aim],
    is_exact: bool = True,
) -> Look:
    """What each turn of a part promises.

    Parameters
    ----------
    task : Task
        Log, list and kit.
    frame : Frame
        The part, turned by 0.
    blocks : sequence of Block
        Blocks that its length allows.
    turns_deg : tuple of float
        Turns to try [deg].
    aims : sequence of Aim
        What may count.
    is_exact : bool
        Levels 1/8 in apart, and only what fits counts; otherwise they lie 1/4 in
        apart, and what misses by no more counts too.

    Returns
    -------
    Look
        Promises for each aim.

    Source
    ------
    definition
    """
    step_mm = (2.0 if is_exact else 4.0) * STEP_MM
    sight = _sight(frame, turns_deg, task, step_mm=step_mm, give_mm=1e-6 if is_exact else step_mm)
    widest = float(np.maximum(sight.in_high_mm - sight.in_low_mm, 0.0).max()) + 2.0 * step_mm
    able = sorted(
        (block for block in blocks if _diagonal(block) <= widest), key=lambda block: (block.up_mm, block.across_mm)
    )
    rooms = _rooms(sight, able, task, length_mm=frame.length_mm)
    least = rooms.short_mm.min(axis=2) if able else np.zeros((len(turns_deg), 0))
    return Look(
        frame=frame,
        turns_deg=turns_deg,
        blocks=tuple(able),
        promises=tuple(_promises(sight, task, aims, blocks=able, rooms=rooms)),
        fits=np.asarray(rooms.fits.any(axis=(0, 2))),
        short_mm=least.min(axis=0),
        short_turn=tuple(int(turn) for turn in least.argmin(axis=0)),
    )


def _diagonal(block: Block) -> float:
    """Distance between opposite corners of a block, its wane cut off [mm]."""
    return math.hypot(block.across_mm - 2.0 * block.wane_mm, block.up_mm - 2.0 * block.wane_mm)
