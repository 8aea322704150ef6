"""Ways to saw a log that are worth most at given prices of the timbers still wanted."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from pithline.arrays import Floats
from pithline.logs.solid import LogSolid
from pithline.match.chances import narrowed
from pithline.match.column import piece_bf
from pithline.match.wishes import Weights
from pithline.patterns.pattern import Pattern
from pithline.patterns.search import AIMS, ways_for
from pithline.patterns.task import Task
from pithline.patterns.wanted import PriceList, list_for
from pithline.setup.kit import Kit

__all__ = ["Request", "find_ways", "priced", "weighed"]

_LEAST = 1e-6


@dataclass(frozen=True, eq=False)
class Request:
    """What is asked of one log.

    Attributes: `number` of the log in the yard; `log`; `prices`; `kit`;
    `turn_deg` it is marked at, None for the best; `is_safe`, whether wood is
    left around the timbers for errors; `is_full`, whether other aims than most value are looked at;
    `is_brief`, whether only what promises most is worked out.
    """

    number: int
    log: LogSolid
    prices: PriceList
    kit: Kit
    turn_deg: float | None = None
    is_safe: bool = False
    is_full: bool = False
    is_brief: bool = False


def find_ways(request: Request) -> tuple[Pattern, ...]:
    """The best ways to saw a log at a request's prices.

    Parameters
    ----------
    request : Request
        What is asked.

    Returns
    -------
    tuple of Pattern
        The one of most value less cost first; empty where nothing comes out.

    Source
    ------
    definition
    """
    log, kit = request.log, request.kit
    whole = log if request.is_safe else None
    if request.is_safe:
        log = narrowed(log, kit)
    wanted = list_for(log, request.prices, own=kit.species)
    if not wanted.timbers:
        return ()
    task = Task(log, wanted, kit, turn_deg=request.turn_deg, whole=whole)
    return ways_for(task, aims=AIMS if request.is_full else (), is_brief=request.is_brief).patterns


def priced(prices: PriceList, each: Floats, *, counts: Sequence[float], log: LogSolid, boards: float) -> PriceList:
    """The list at other prices.

    Parameters
    ----------
    prices : PriceList
        The list.
    each : (k,) float
        What one timber of each kind shall be worth; kinds worth nothing are left out.
    counts : sequence of float
        How many of each kind at most; kinds taken without number keep their price.
    log : LogSolid
        Its length is that of timbers as long as the log.
    boards : float
        By how much the worth of boards is multiplied.

    Returns
    -------
    PriceList
        The list for this log.

    Source
    ------
    definition
    """
    timbers = []
    for kind, item in enumerate(prices.timbers):
        if item.count is None:
            timbers.append(replace(item, value_bf=item.value_bf * boards))
            continue
        most = int(counts[kind]) if each[kind] > _LEAST else 0
        rate = max(float(each[kind]), 0.0) / piece_bf(prices, kind, log_mm=log.length_mm)
        timbers.append(replace(item, count=most, value_bf=min(rate, 9e5)))
    sides = tuple(replace(board, value_bf=board.value_bf * boards) for board in prices.boards)
    return PriceList(tuple(timbers), sides, prices.notes)


def weighed(kit: Kit, weights: Weights) -> Kit:
    """A kit whose hour costs what the weights say.

    Parameters
    ----------
    kit : Kit
        The kit.
    weights : Weights
        What counts how much.

    Returns
    -------
    Kit
        The same but for the cost of an hour.

    Source
    ------
    definition
    """
    return replace(kit, work=replace(kit.work, cost_an_hour=kit.work.cost_an_hour * weights.hours))
