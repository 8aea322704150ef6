"""All ways to saw the yard's logs that are known, and the program they make."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from pithline.arrays import Floats, Indices
from pithline.logs.solid import LogSolid
from pithline.match.column import Column, column_of, column_worth, piece_value
from pithline.match.program import Program
from pithline.match.wishes import Weights, Wishes
from pithline.patterns.pattern import Pattern
from pithline.patterns.wanted import PriceList
from pithline.setup.kit import Kit

__all__ = ["Pool", "Stage"]

_MUST = 4.0
"""A must timber counts as many times the cost of a log and its sawing, beside its worth."""

_KEEP = 0.25
"""A log that keeps the timbers of an earlier plan counts this share of what a log costs."""

_SAME_TURN_DEG = 1e-6


@dataclass(frozen=True, eq=False)
class Stage:
    """A program and what it stands for.

    Attributes: `program`; `columns`, number in the pool of each of its ways; `bonus`
    (k,), what a timber counts beside its worth; `values` (k,), its worth at these weights.
    """

    program: Program
    columns: Indices
    bonus: Floats
    values: Floats

    def extra(self, ways: Sequence[int]) -> float:
        """What ways count beside worth, the program's value less that is what the plan is worth.

        Parameters
        ----------
        ways : sequence of int
            Ways of the program.

        Returns
        -------
        float
            In the list's money.

        Source
        ------
        definition
        """
        had = self.program.gives[list(ways)].sum(axis=0)
        return float((self.bonus * np.minimum(had, self.program.wanted)).sum())


@dataclass(eq=False)
class Pool:
    """The yard, the list, the kit, the wishes, and the columns known so far."""

    yard: tuple[LogSolid, ...]
    prices: PriceList
    kit: Kit
    wishes: Wishes
    columns: list[Column] = field(default_factory=list)
    keys: set[tuple[object, ...]] = field(default_factory=set)

    def __post_init__(self) -> None:
        """Work out what stays the same."""
        self.mean_mm3 = float(np.mean([log.volume_mm3() for log in self.yard])) if self.yard else 1.0
        middle = float(np.median([log.length_mm for log in self.yard])) if self.yard else 1.0
        items = self.prices.timbers
        self.worths = np.array(
            [piece_value(self.prices, kind, log_mm=middle) for kind in range(len(items))], dtype=float
        )
        had = [sum(counts.get(item.name, 0) for counts in self.wishes.sawn.values()) for item in items]
        left = [max((item.count or 0) - done, 0) for item, done in zip(items, had, strict=True)]
        self.wanted = np.array(left, dtype=float)
        self.is_must = np.array([item.is_must for item in items], dtype=bool)

    @property
    def log_cost(self) -> float:
        """What felling and bringing a log costs."""
        return self.kit.work.cost_an_hour * self.kit.work.log_min / 60.0

    def add(self, patterns: Iterable[Pattern], number: int) -> int:
        """Take up ways to saw a log.

        Parameters
        ----------
        patterns : iterable of Pattern
            Ways, at whatever prices they were found.
        number : int
            The log's number in the yard.

        Returns
        -------
        int
            How many of them are new.

        Source
        ------
        definition
        """
        new = 0
        for pattern in patterns:
            column = column_of(pattern, number, log=self.yard[number], prices=self.prices, kit=self.kit)
            if column.key not in self.keys:
                self.keys.add(column.key)
                self.columns.append(column)
                new += 1
        return new

    def is_allowed(self, column: Column, wishes: Wishes) -> bool:
        """Whether wishes leave a way open.

        Parameters
        ----------
        column : Column
            The way.
        wishes : Wishes
            What the user decides.

        Returns
        -------
        bool
            False also for a way that gives no timber still wanted: no log is sawn for boards alone.

        Source
        ------
        definition
        """
        tag, gives = self.yard[column.log].tag, dict(zip(self.names, column.gives, strict=True))
        if wishes.held(tag) or not any(gives[name] for name, left in zip(self.names, self.wanted, strict=True) if left):
            return False
        only = wishes.reserved.get(tag)
        if only is not None and any(count for name, count in gives.items() if name != only):
            return False
        turn = wishes.turns_deg.get(tag)
        if turn is not None and any(
            abs((part.roll_deg - turn + 90.0) % 180.0 - 90.0) > _SAME_TURN_DEG for part in column.pattern.parts
        ):
            return False
        return all(gives[name] >= count for name, count in wishes.locked(tag).items())

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the list's timbers."""
        return tuple(item.name for item in self.prices.timbers)

    def bonus(self, weights: Weights) -> Floats:
        """What a timber that the building cannot do without counts beside its worth (k,).

        Parameters
        ----------
        weights : Weights
            What counts how much.

        Returns
        -------
        (k,) float
            More than it saves to leave it out; 0 for the others [the list's money].

        Source
        ------
        definition
        """
        minutes = float(np.mean([column.pattern.minutes for column in self.columns])) if self.columns else 0.0
        hours = weights.hours * minutes * self.kit.work.cost_an_hour / 60.0
        most = max(weights.logs + weights.volume, 1.0) * self.log_cost + hours
        return np.where(self.is_must, _MUST * most + self.worths, 0.0)

    def stage(self, weights: Weights, wishes: Wishes) -> Stage:
        """The program of all ways that wishes leave open.

        Parameters
        ----------
        weights : Weights
            What counts how much.
        wishes : Wishes
            What the user decides.

        Returns
        -------
        Stage
            The program, and what its ways are.

        Source
        ------
        definition
        """
        open_ways = [k for k, column in enumerate(self.columns) if self.is_allowed(column, wishes)]
        ways = [self.columns[k] for k in open_ways]
        kinds = len(self.wanted)
        gives = np.array([column.gives for column in ways], dtype=float).reshape(-1, kinds)
        worth = np.array([self._worth(column, weights, wishes.former) for column in ways], dtype=float)
        bonus = self.bonus(weights)
        values = self.worths * np.where(self.is_must, 1.0, weights.nice)
        kept = np.array([bool(wishes.locked(log.tag)) for log in self.yard], dtype=np.int64)
        program = Program(
            log_of=np.array([column.log for column in ways], dtype=np.int64),
            gives=gives,
            worth=worth,
            value=values + bonus,
            wanted=self.wanted,
            is_kept=kept,
        )
        return Stage(program, np.array(open_ways, dtype=np.int64), bonus, values)

    def _worth(self, column: Column, weights: Weights, former: Mapping[str, Mapping[str, int]]) -> float:
        """What a way counts besides the timbers of the list."""
        worth = column_worth(column, weights, kit=self.kit, mean_mm3=self.mean_mm3)
        return worth + (_KEEP * self.log_cost if self.is_as_before(column, former) else 0.0)

    def is_as_before(self, column: Column, former: Mapping[str, Mapping[str, int]]) -> bool:
        """Whether an earlier plan had the same timbers from a log.

        Parameters
        ----------
        column : Column
            The way.
        former : mapping
            Timbers by log of the earlier plan.

        Returns
        -------
        bool
            False where the log was not in it.

        Source
        ------
        definition
        """
        counts = former.get(self.yard[column.log].tag)
        return counts is not None and all(
            counts.get(name, 0) == count for name, count in zip(self.names, column.gives, strict=True)
        )
