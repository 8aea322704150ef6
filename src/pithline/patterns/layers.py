"""Layers of a log between level cuts, chosen by dynamic programming over the cuts' heights."""

import math
from collections import deque
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats, Indices

__all__ = ["Choice", "Layering", "best_counted", "best_layers", "chosen"]

Layers = list[tuple[int, int]]
"""Level of each layer's bottom, and the number of its height, from the top down; for waste its steps, negative."""

ANY_WASTE = (0, 1_000_000)
"""Waste of any height."""


@dataclass(frozen=True, eq=False)
class Choice:
    """What may be done at each level of one or more logs.

    Levels are counted in steps upward. Attributes: `cut_cost` (b, m), cost of
    the cut whose kerf ends at a level, inf where the kit cannot make it;
    `may_open` (b, m), whether waste may be cut off below that kerf, so that
    enough is left lying, and `may_close` (b, m), whether that cut may be the
    highest, which rides on the rail; `gain` (b, m, g), worth of the best layer of each
    height that stands on a level, -inf for none; `rise` (g,), steps from a
    layer's bottom to the end of the kerf over it; `kerf`, steps of a kerf;
    `waste`, least and most steps of waste between two kerfs, which the mill is
    set to like any piece.
    """

    cut_cost: Floats
    may_open: Floats
    may_close: Floats
    gain: Floats
    rise: Indices
    kerf: int
    waste: tuple[int, int] = ANY_WASTE


@dataclass(frozen=True, eq=False)
class Layering:
    """Best worth below each level.

    Attributes: `cut` (b, m), where a kerf ends at the level; `waste` (b, m),
    where waste does; `best` (b,), of the whole, and `top` (b,), the level at
    which its highest kerf ends.
    """

    cut: Floats
    waste: Floats
    best: Floats
    top: Indices


def best_layers(choice: Choice) -> Layering:
    """Most worth that layers between level cuts can have, less the cost of the cuts.

    Parameters
    ----------
    choice : Choice
        What may be done.

    Returns
    -------
    Layering
        0 where nothing is worth its cuts.

    Source
    ------
    dynamic programming over the height of the highest cut (definition)
    """
    count, levels = choice.cut_cost.shape
    if count == 1:
        return _one(choice)
    rise, gain = _each_height_once(choice)
    top = int(rise.max(initial=0))
    cut = np.full((count, levels + top), -np.inf)
    cost = np.concatenate([choice.cut_cost, np.full((count, top), np.inf)], axis=1)
    opening = np.where(choice.may_open > 0.0, choice.cut_cost, np.inf)
    waste = np.zeros((count, levels))
    kerf, (least, most) = choice.kerf, choice.waste
    for level in range(levels):
        here = cut[:, level]
        if level >= kerf:
            np.maximum(here, waste[:, level - kerf] - opening[:, level], out=here)
        if level >= least:
            # Seen from the level itself where waste may be of no height at all.
            np.maximum(cut[:, max(0, level - most) : level - least + 1].max(axis=1), 0.0, out=waste[:, level])
        to = level + rise
        cut[:, to] = np.maximum(cut[:, to], here[:, None] + gain[:, level, :] - cost[:, to])
    cut = cut[:, :levels]
    closed = np.where(choice.may_close > 0.0, cut, -np.inf)
    first = closed.argmax(axis=1)
    return Layering(cut, waste, np.maximum(closed[np.arange(count), first], 0.0), first)


def _each_height_once(choice: Choice) -> tuple[Indices, Floats]:
    """The heights of layers, each once, and the best gain of those equally high."""
    order = np.argsort(choice.rise, kind="stable")
    rise, starts = np.unique(choice.rise[order], return_index=True)
    if len(rise) == len(choice.rise):
        return choice.rise, choice.gain
    return rise, np.maximum.reduceat(choice.gain[:, :, order], starts, axis=2)


def _columns(choice: Choice) -> list[tuple[int, int, list[float]]]:
    """Number, rise and gains of every kind of layer that is possible anywhere in the first log."""
    return [
        (number, rise, gain.tolist())
        for number, (rise, gain) in enumerate(zip(choice.rise.tolist(), choice.gain[0].T, strict=True))
        if gain.max(initial=-np.inf) > -np.inf
    ]


def _steps_up(choice: Choice) -> list[list[tuple[int, float]]]:
    """From each level of a single log the levels that a layer leads to, and what it gains, its cut paid."""
    cost, count = choice.cut_cost[0], choice.cut_cost.shape[1]
    steps: list[list[tuple[int, float]]] = [[] for _ in range(count)]
    for rise, gain in zip(choice.rise.tolist(), choice.gain[0].T, strict=True):
        if rise >= count:
            continue
        net = gain[: count - rise] - cost[rise:]
        for level in np.flatnonzero(net > -np.inf).tolist():
            steps[level].append((level + rise, float(net[level])))
    return steps


def _one(choice: Choice) -> Layering:
    """The same for a single log, number by number, which is faster than short arrays."""
    cost, opens = choice.cut_cost[0].tolist(), choice.may_open[0].tolist()
    levels, kerf, (least, most) = len(cost), choice.kerf, choice.waste
    steps = _steps_up(choice)
    cut, waste = [-math.inf] * levels, [0.0] * levels
    # Levels of falling worth that waste may lie on, the best first.
    held: deque[int] = deque()
    for level in range(levels):
        here = cut[level]
        if level >= kerf and opens[level] > 0.0 and waste[level - kerf] - cost[level] > here:
            here = cut[level] = waste[level - kerf] - cost[level]
        if level >= least:
            while held and cut[held[-1]] <= cut[level - least]:
                held.pop()
            held.append(level - least)
            while held[0] < level - most:
                held.popleft()
            waste[level] = max(cut[held[0]], 0.0)
        if here == -math.inf:
            continue
        for to, gain in steps[level]:
            cut[to] = max(cut[to], here + gain)
    row = np.array([cut])
    closed = np.where(choice.may_close > 0.0, row, -np.inf)
    top = closed.argmax(axis=1)
    return Layering(row, np.array([waste]), np.maximum(closed[:, top[0]], 0.0), top)


def chosen(choice: Choice, layering: Layering, *, of: int = 0, with_waste: bool = False) -> Layers:
    """The layers of the best way, from the top down.

    Parameters
    ----------
    choice : Choice
        What may be done.
    layering : Layering
        Its best worths.
    of : int
        Which of the logs.
    with_waste : bool
        Tell waste between two kerfs too.

    Returns
    -------
    list of (int, int)
        Level of each layer's bottom, and the number of its height in `rise`;
        for waste its height in steps, negative.

    Source
    ------
    definition
    """
    if layering.best[of] <= 0.0:
        return []
    cut, waste = layering.cut[of], layering.waste[of]
    cost, gain = choice.cut_cost[of], choice.gain[of]
    layers: Layers = []
    level = int(layering.top[of])
    while True:
        below = _below(level, choice, cut=cut, gain=gain, cost=cost)
        while below is not None:
            layers.append(below)
            level = below[0]
            below = _below(level, choice, cut=cut, gain=gain, cost=cost)
        # Under the kerf that ends here there is waste, down to a kerf with something under it or to bark.
        level -= choice.kerf
        if waste[level] <= 0.0:
            return layers
        lowest = max(0, level - choice.waste[1])
        under = lowest + int(cut[lowest : level - choice.waste[0] + 1].argmax())
        if with_waste and under < level:
            layers.append((under, under - level))
        level = under


def _below(level: int, choice: Choice, *, cut: Floats, gain: Floats, cost: Floats) -> tuple[int, int] | None:
    """The layer under a kerf that ends at a level, None where there is waste."""
    starts = level - choice.rise
    good = starts >= 0
    if not good.any():
        return None
    from_there = np.full(len(starts), -np.inf)
    from_there[good] = cut[starts[good]] + gain[starts[good], np.flatnonzero(good)] - cost[level]
    pick = int(from_there.argmax())
    if from_there[pick] < cut[level] - 1e-9 or from_there[pick] == -np.inf:
        return None
    return int(starts[pick]), pick


_Had = tuple[int, ...]
"""How many of each counted thing lie below a level."""

_Best = dict[_Had, tuple[float, tuple[int, _Had, int] | None]]
"""Best worth by what is had, and the level, what is had there, and the layer it came by (-1 for waste)."""


def best_counted(choice: Choice, uses: Sequence[_Had], *, most: _Had, with_waste: bool = False) -> tuple[Layers, float]:
    """The best layers of one log that take no more of some things than there is want of.

    Parameters
    ----------
    choice : Choice
        What may be done, for a single log.
    uses : sequence of tuple of int
        For each kind of layer how many it takes of each counted thing.
    most : tuple of int
        How many may be taken in all.
    with_waste : bool
        Tell waste between two kerfs too.

    Returns
    -------
    list of (int, int), float
        Layers as `chosen` gives them, and their worth, 0 for none.

    Source
    ------
    dynamic programming over the height of the highest cut and what is had
    below it (definition)
    """
    cost, opens = choice.cut_cost[0].tolist(), choice.may_open[0].tolist()
    closes = choice.may_close[0].tolist()
    columns = _columns(choice)
    nothing = tuple(0 for _ in most)
    cuts: list[_Best] = [{} for _ in cost]
    best: tuple[float, int, _Had] = (0.0, -1, nothing)
    below = _Below(cuts, choice)
    for level in range(len(cost)):
        if opens[level] > 0.0 and cost[level] < math.inf and level >= choice.kerf:
            _keep(cuts[level], nothing, -cost[level], None)
            for had, (worth, other) in below.best(level - choice.kerf).items():
                if worth > 0.0:
                    _keep(cuts[level], had, worth - cost[level], (other, had, -1))
        for had, (worth, _) in cuts[level].items():
            if closes[level] > 0.0 and worth > best[0]:
                best = (worth, level, had)
            for number, rise, gain in columns:
                to = level + rise
                if to >= len(cost) or gain[level] == -math.inf:
                    continue
                more = tuple(a + b for a, b in zip(had, uses[number], strict=True))
                if all(a <= b for a, b in zip(more, most, strict=True)):
                    _keep(cuts[to], more, worth + gain[level] - cost[to], (level, had, number))
    layers = _traced(cuts, best[1], best[2], kerf=choice.kerf)
    return [layer for layer in layers if with_waste or layer[1] >= 0], best[0]


def _keep(cut: _Best, had: _Had, worth: float, by: tuple[int, _Had, int] | None) -> None:
    """Put a worth down where it is the best so far."""
    if worth > -math.inf and (had not in cut or worth > cut[had][0]):
        cut[had] = (worth, by)


class _Below:
    """The best kerfs that may lie under waste: most worth by what is had, and the level of the lowest that has it."""

    def __init__(self, cuts: list[_Best], choice: Choice) -> None:
        """Begin with none."""
        self._cuts, self._waste = cuts, choice.waste
        self._found: dict[_Had, tuple[float, int]] = {}
        self._next = 0

    def best(self, under: int) -> dict[_Had, tuple[float, int]]:
        """Kerfs whose waste reaches up to `under`; asked for at rising levels, whose lower ones are done."""
        least, most = self._waste
        if under > most:
            # The lowest kerfs are out of reach by now: look at those in reach afresh.
            self._found = {}
            self._next = under - most
        for level in range(self._next, under - least + 1):
            for had, (worth, _) in self._cuts[level].items():
                if had not in self._found or worth > self._found[had][0]:
                    self._found[had] = (worth, level)
        self._next = max(self._next, under - least + 1)
        return self._found


def _traced(cuts: list[_Best], level: int, had: _Had, *, kerf: int) -> Layers:
    """The layers of the way that leads to a kerf, from the top down, and the waste between two kerfs."""
    layers: Layers = []
    while level >= 0:
        by = cuts[level][had][1]
        if by is None:
            break
        if by[2] >= 0:
            layers.append((by[0], by[2]))
        elif by[0] < level - kerf:
            layers.append((by[0], by[0] - (level - kerf)))
        level, had = by[0], by[1]
    return layers
