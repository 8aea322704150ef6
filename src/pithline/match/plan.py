"""A plan: which log gives which timbers, what is left unfilled, and what the plan trades."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from pithline.logs.solid import LogSolid
from pithline.match.wishes import Wishes
from pithline.patterns.pattern import Pattern
from pithline.patterns.wanted import PriceList
from pithline.setup.kit import Kit

__all__ = ["Assignment", "Cost", "Idle", "Match", "Nearest", "Needs", "Plan", "Progress", "Status", "Unfilled"]

Status = Literal["proven", "stopped", "none"]
"""Within the gap asked for, found but stopped before, or no plan keeps the locks."""


@dataclass(frozen=True)
class Progress:
    """What is told as the search runs.

    Attributes: `step` in words; `ways` known; `logs_done` of `logs_asked`; `bound`; `gap` as a share.
    """

    step: str
    ways: int = 0
    logs_done: int = 0
    logs_asked: int = 0
    bound: float = math.inf
    gap: float = math.inf


@dataclass(frozen=True, eq=False)
class Assignment:
    """One log and what it is sawn for.

    Attributes: `pattern`; `counts`, timbers by name that the list still wanted;
    `spare`, timbers more than that; `chance` of all its timbers coming out,
    `tight`, the names of those that are less than sure; `is_locked`; `is_as_before`,
    whether an earlier plan had the same timbers here.
    """

    pattern: Pattern
    counts: Mapping[str, int]
    spare: Mapping[str, int]
    chance: float
    tight: tuple[str, ...]
    is_locked: bool
    is_as_before: bool

    @property
    def log(self) -> LogSolid:
        """The log as tallied."""
        return self.pattern.log


@dataclass(frozen=True)
class Nearest:
    """The log that comes nearest to a timber, and what it lacks.

    Attributes: `tag`; `lacks`, "length", "wood", "heart", "species", "kit" or "nothing", where it does fit;
    `short_mm` it is too short by; `missing_mm` of wood at the place that binds, `station_mm`
    from its butt and `clock` there; `larger_tip_mm`, tip diameter that would do;
    `crown_takes_mm`, by how much more room there were if the log were straight; `used_for`, what the
    plan saws of it instead; `why` the kit cannot.
    """

    tag: str
    lacks: Literal["length", "wood", "heart", "species", "kit", "nothing"]
    short_mm: float = 0.0
    missing_mm: float = 0.0
    station_mm: float = 0.0
    clock: float = 12.0
    tip_mm: float = 0.0
    larger_tip_mm: float = 0.0
    crown_takes_mm: float = 0.0
    used_for: str = ""
    why: str = ""


@dataclass(frozen=True)
class Needs:
    """The smallest log that would do.

    Attributes: `length_mm`; `tip_diameter_mm` inside bark, NaN where no log of that shape does; `butt_diameter_mm`;
    `taper_mm_m` and `crown_mm` it is reckoned with, those usual in the yard; `species` that will do.
    """

    length_mm: float
    tip_diameter_mm: float
    butt_diameter_mm: float
    taper_mm_m: float
    crown_mm: float
    species: tuple[str, ...]


@dataclass(frozen=True)
class Unfilled:
    """Timbers that no log gives.

    Attributes: `name`, `count`, `is_must`; the `nearest` log,
    None in an empty yard; what it `needs`; both None where the search was ended by hand.
    """

    name: str
    count: int
    is_must: bool
    nearest: Nearest | None
    needs: Needs | None


@dataclass(frozen=True)
class Idle:
    """A log that is not sawn.

    Attributes: `tag`; `why`, "forbidden", "reserved", "sawn already", "not
    needed", "no timber", "not worth it", or "not looked at", where the search
    was ended by hand; `timber` that comes nearest, and what is lacking for it,
    `nearest`, where none fits; `could`, the most it could give.
    """

    tag: str
    why: str
    timber: str = ""
    nearest: Nearest | None = None
    could: Mapping[str, int] | None = None


@dataclass(frozen=True, eq=False)
class Plan:
    """One way to fill the list.

    Attributes: `aim` in words; `status`; `assignments` in the order of work; `unfilled`; `idle` logs;
    `worth`, of what comes out less what it costs, in the list's money, at the weights of this plan's aim;
    `bound`, which no plan from the same ways comes above, and `gap`, how far it lies above as a share of
    `scale`, what logs and sawing cost at those weights less what side lumber pays of it; `money`, the same
    worth at money's weights; `chance` that every must timber which the plan gives comes out; `log_min`,
    minutes of felling and bringing a log; `trades`, against the first plan, in words; `days`, for each log
    the day it is begun, from 1.
    """

    aim: str
    status: Status
    assignments: tuple[Assignment, ...]
    unfilled: tuple[Unfilled, ...]
    idle: tuple[Idle, ...]
    worth: float
    bound: float
    gap: float
    scale: float
    money: float
    chance: float
    trades: str = ""
    days: tuple[int, ...] = ()

    @property
    def minutes(self) -> float:
        """Sawing and handling of all logs [min]."""
        return math.fsum(one.pattern.minutes for one in self.assignments)

    @property
    def log_mm3(self) -> float:
        """Volume of the logs used, inside bark [mm3]."""
        return math.fsum(one.log.volume_mm3() for one in self.assignments)

    @property
    def recovery(self) -> float:
        """Share of the logs used that comes out as cut, 0 where none is used."""
        whole = self.log_mm3
        return (
            math.fsum(one.pattern.recovery * one.log.volume_mm3() for one in self.assignments) / whole if whole else 0.0
        )

    @property
    def boards_bf(self) -> float:
        """Board feet of side lumber."""
        return math.fsum(piece.bf for one in self.assignments for piece in one.pattern.boards)

    @property
    def filled(self) -> dict[str, int]:
        """Timbers of the list that come out, by name."""
        total: dict[str, int] = {}
        for one in self.assignments:
            for name, count in one.counts.items():
                total[name] = total.get(name, 0) + count
        return total


@dataclass(frozen=True)
class Cost:
    """What one thing the user decided costs.

    Attributes: `worth` that the plan without it has more, negative where that
    plan spends it on timbers that must be had; `musts`, how many more of those it gives;
    `counted`, both together as the search weighs them, never negative.
    """

    worth: float
    musts: int
    counted: float


@dataclass(frozen=True, eq=False)
class Match:
    """The answer: which log makes which timber.

    Attributes: `status` of the first plan, "none" where no plan keeps the
    locks; `plans`, the first as weighed, each other better at something;
    `prices`, the list; `yard`; `kit`; `wishes`; `ways`, how many ways to saw a
    log were weighed; `any_bound`, which no plan comes above from any way the
    search finds at its first prices, infinite where not all logs were asked;
    `lock_costs`, what each thing the user decided costs; `why` there is no
    plan, and `misses`, what locked logs lack for the timbers named; `is_cancelled`, ended by hand; `notes`.
    """

    status: Status
    plans: tuple[Plan, ...]
    prices: PriceList
    yard: tuple[LogSolid, ...]
    kit: Kit
    wishes: Wishes
    ways: int
    any_bound: float
    lock_costs: Mapping[str, Cost]
    why: str = ""
    misses: tuple[tuple[str, Nearest], ...] = ()
    is_cancelled: bool = False
    notes: tuple[str, ...] = ()
