"""One way to saw one log, as a column of the plan: what it gives, costs and risks."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from pithline.arrays import Floats
from pithline.logs.recovery import MM3_PER_BF
from pithline.logs.solid import LogSolid
from pithline.match.chances import Chance, chance_of
from pithline.match.wishes import Weights
from pithline.patterns.pattern import Pattern
from pithline.patterns.wanted import PriceList
from pithline.setup.kit import Kit

__all__ = ["Column", "column_of", "column_worth", "money_of", "piece_bf", "piece_value"]

_SIDE_PAYS = 0.9
"""Most of a log's cost that its side lumber may pay: no log is sawn for that alone."""

_BEYOND = 0.02
"""Share of the side lumber beyond that which still counts."""


@dataclass(frozen=True, eq=False)
class Column:
    """A way to saw a log.

    Attributes: `log`, its number in the yard; `pattern`, priced by the list;
    `gives`, how many of each timber of the list; `side`, worth of boards and of
    timbers that are taken without number; `chances` of its timbers in their order;
    `risk`, what is lost on average by timbers that do not come out.
    """

    log: int
    pattern: Pattern
    gives: tuple[int, ...]
    side: float
    chances: tuple[Chance, ...]
    risk: float

    @property
    def chance(self) -> float:
        """That all its timbers come out: timbers of a log share its errors, so it is that of the least sure."""
        return min((one.share for one in self.chances), default=1.0)

    @property
    def key(self) -> tuple[object, ...]:
        """Two columns with the same key are the same to a plan."""
        return self.log, self.gives, round(self.pattern.minutes), round(self.side, 1), round(self.chance, 2)


def _as_listed(pattern: Pattern, log: LogSolid, *, prices: PriceList, kit: Kit) -> Pattern:
    """A pattern that was found at other prices, at those of the list."""
    rates = {item.name: item.value_bf for item in prices.timbers}
    rates |= {board.name: board.value_bf for board in prices.boards}
    pieces = tuple(replace(piece, value=piece.bf * rates[piece.name]) for piece in pattern.pieces)
    cost = kit.work.cost_an_hour * pattern.minutes / 60.0
    return replace(
        pattern,
        log=log,
        kit=kit,
        pieces=pieces,
        value=sum(piece.value for piece in pieces),
        cost=cost,
        why="",
        gives_up="",
    )


def column_of(pattern: Pattern, number: int, *, log: LogSolid, prices: PriceList, kit: Kit) -> Column:
    """The column that a pattern makes.

    Parameters
    ----------
    pattern : Pattern
        A way to saw a log, at whatever prices it was found.
    number : int
        The log's number in the yard.
    log : LogSolid
        The log as tallied.
    prices : PriceList
        The list.
    kit : Kit
        The kit.

    Returns
    -------
    Column
        At the list's prices.

    Source
    ------
    definition: what is lost on average is the chance that a timber does not
    come out, times its worth and the cost of another log
    """
    listed = _as_listed(pattern, log, prices=prices, kit=kit)
    had = Counter(piece.name for piece in listed.timbers)
    counted = {item.name for item in prices.timbers if item.count is not None}
    side = sum(piece.value for piece in listed.pieces if piece.name not in counted or piece.kind == "board")
    chances = tuple(chance_of(listed, piece) for piece in listed.timbers)
    another = kit.work.cost_an_hour * kit.work.log_min / 60.0
    risk = sum(
        (1.0 - chance.share) * (piece.value + another)
        for piece, chance in zip(listed.timbers, chances, strict=True)
        if piece.name in counted
    )
    gives = tuple(had[item.name] if item.count is not None else 0 for item in prices.timbers)
    return Column(number, listed, gives, side, chances, risk)


def column_worth(column: Column, weights: Weights, *, kit: Kit, mean_mm3: float) -> float:
    """What a way adds to a plan besides the timbers of the list, always less than nothing.

    Parameters
    ----------
    column : Column
        The way.
    weights : Weights
        What counts how much.
    kit : Kit
        What an hour costs.
    mean_mm3 : float
        Mean volume of the yard's logs [mm3].

    Returns
    -------
    float
        In the list's money; side lumber pays nine tenths of the costs at most.

    Source
    ------
    definition
    """
    hour = kit.work.cost_an_hour / 60.0
    of_log = weights.logs + weights.volume * column.pattern.log.volume_mm3() / mean_mm3
    cost = hour * (of_log * kit.work.log_min + weights.hours * column.pattern.minutes) + column.risk
    side, most = weights.boards * column.side, _SIDE_PAYS * cost
    return min(min(side, most) - cost + _BEYOND * max(side - most, 0.0), -1e-3 * cost)


def money_of(columns: Sequence[Column], values: Floats, *, wanted: Floats, kit: Kit) -> float:
    """What a plan comes to in the list's money: all that comes out of use, less hours and logs.

    Parameters
    ----------
    columns : sequence of Column
        The ways of a plan.
    values : (k,) float
        Worth of one timber of each kind.
    wanted : (k,) float
        How many are wanted; more are worth nothing.
    kit : Kit
        What an hour costs.

    Returns
    -------
    float
        In the list's money.

    Source
    ------
    definition
    """
    if not columns:
        return 0.0
    had = np.array([column.gives for column in columns], dtype=float).sum(axis=0)
    hours = sum(column.pattern.minutes + kit.work.log_min for column in columns) / 60.0
    return float(
        (values * np.minimum(had, wanted)).sum() + sum(c.side for c in columns) - kit.work.cost_an_hour * hours
    )


def piece_value(prices: PriceList, kind: int, *, log_mm: float) -> float:
    """Worth of one timber of the list.

    Parameters
    ----------
    prices : PriceList
        The list.
    kind : int
        Its number in the list.
    log_mm : float
        Length of one that is as long as its log [mm].

    Returns
    -------
    float
        In the list's money.

    Source
    ------
    definition
    """
    item = prices.timbers[kind]
    return item.worth(item.timber.length_mm or log_mm)


def piece_bf(prices: PriceList, kind: int, *, log_mm: float) -> float:
    """Board feet that one timber of the list is paid for.

    Parameters
    ----------
    prices : PriceList
        The list.
    kind : int
        Its number in the list.
    log_mm : float
        Length of one that is as long as its log [mm].

    Returns
    -------
    float
        Board feet.

    Source
    ------
    definition: a board foot is 144 in3
    """
    timber = prices.timbers[kind].timber
    return timber.thickness_mm * timber.width_mm * (timber.length_mm or log_mm) / MM3_PER_BF
