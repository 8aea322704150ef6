"""Which log makes which timber: ours against two hand methods over 20 yards, the gaps, and speed.

Hand methods, with the same model of time. (a) The longest timber first, into the
smallest log whose small-end circle holds it, one timber a log. (b) The same with two
side by side or four quartered, a kerf between, where that circle holds them
and the list still wants them. What does not lie in the wood, since the log is crooked
or oval, is told apart: it is found out at the log.

Yards: 16 from published ranges (taper 0.83 to 1.25 cm/m; five of six logs with an inch
of sweep or less; pith 5 to 10 mm off center), 4 from the scanned logs of the tests. Lists are invented.
"""

import math
import os
import statistics
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numpy as np

from patterns import KINDS, price_list
from patterns import yard as long_yard
from pithline.fit import Timber, place
from pithline.job import read_kit, read_yard
from pithline.lengths import MM_PER_INCH
from pithline.logs import LogSolid, TallyLog, solid_from_tally
from pithline.match import Match, match_logs
from pithline.patterns import PriceList, WantedTimber
from pithline.setup import Kit

FOOT = 12.0 * MM_PER_INCH
WANE = 0.5 * MM_PER_INCH
REAL = Path(__file__).parent.parent / "tests" / "data" / "real_logs" / "slices.csv"

# Thickness, width [in], length [ft], count, worth of a board foot for logs of 4 m: invented.
SMALL = (
    ("post", 4, 4, 12, 3, 1.6),
    ("girt", 3, 5, 12, 3, 1.5),
    ("rail", 3, 3, 10, 5, 1.3),
    ("stud", 2, 4, 8, 8, 1.1),
    ("brace", 2, 4, 4, 8, 1.3),
)


@dataclass
class Result:
    """What a method comes to: logs sawn, timbers claimed and true, hours."""

    logs: int
    claimed: int
    true: int
    hours: float


def ranged_yard(chance: np.random.Generator, count: int) -> list[LogSolid]:
    """Logs from published ranges of taper, sweep and pith."""
    logs = []
    for number in range(count):
        length = float(chance.choice([10.0, 12.0, 14.0, 16.0, 20.0, 24.0])) * FOOT + float(chance.uniform(20.0, 300.0))
        tip = float(chance.uniform(8.0, 15.0)) * MM_PER_INCH
        butt = tip + float(chance.uniform(8.3, 12.5)) * length / 1000.0
        is_straight = chance.uniform() < 5.0 / 6.0
        crown = float(chance.uniform(0.0, 25.4) if is_straight else chance.uniform(25.4, 60.0))
        oval = float(chance.uniform(1.0, 1.08))
        row = TallyLog(
            f"L{number:03d}",
            "spruce",
            length,
            butt,
            tip,
            butt_2_mm=butt * oval,
            tip_2_mm=tip * oval,
            crown_mm=crown,
            crown_clock=float(chance.uniform(1.0, 12.9)),
            bark_mm=None,
            butt_pith_mm=float(chance.uniform(5.0, 10.0)),
            butt_pith_clock=float(chance.uniform(1.0, 12.9)),
            tip_pith_mm=float(chance.uniform(5.0, 10.0)),
            tip_pith_clock=float(chance.uniform(1.0, 12.9)),
        )
        logs.append(solid_from_tally(row))
    return logs


def listed(chance: np.random.Generator, kinds: Sequence[tuple[Any, ...]], total: int) -> PriceList:
    """About so many timbers of these kinds, in uneven numbers, and the three boards."""
    shares = chance.dirichlet(np.full(len(kinds), 2.0))
    timbers = tuple(
        WantedTimber(
            name,
            Timber(thick * MM_PER_INCH, wide * MM_PER_INCH, long * FOOT, wane_mm=WANE),
            max(1, round(share * total)),
            value,
        )
        for (name, thick, wide, long, _, value), share in zip(kinds, shares, strict=True)
    )
    return PriceList(timbers, price_list().boards)


def _diagonal(timber: Timber, across: int, up: int, kerf_mm: float) -> float:
    """Diameter of the circle that holds a block of timbers, wane allowed at its corners."""
    wide = across * timber.width_mm + (across - 1) * kerf_mm
    high = up * timber.thickness_mm + (up - 1) * kerf_mm
    cut = timber.wane_mm
    return max(math.hypot(wide - 2.0 * cut, high), math.hypot(wide, high - 2.0 * cut))


def by_hand(yard: Sequence[LogSolid], prices: PriceList, kit: Kit, *, blocks: Sequence[tuple[int, int]]) -> Result:
    """A hand method: blocks of timbers across and up that may come from one log, the largest first."""
    free = sorted(yard, key=lambda log: float(np.linalg.eigvalsh(log.shape_mm[-1])[0]))
    left = {item.name: item.count or 0 for item in prices.timbers}
    result = Result(0, 0, 0, 0.0)
    order = sorted(prices.timbers, key=lambda item: (-(item.timber.length_mm or 0.0), -item.timber.thickness_mm))
    for item in order:
        timber = item.timber
        while left[item.name]:
            found = None
            for across, up in blocks:
                if across * up > left[item.name]:
                    continue
                need = _diagonal(timber, across, up, kit.saw.kerf_mm)
                for log in free:
                    circle = 2.0 * float(np.linalg.eigvalsh(log.shape_mm[-1])[0])
                    if log.length_mm >= (timber.length_mm or 0.0) and circle >= need:
                        found = (log, across, up)
                        break
                if found:
                    break
            if found is None:
                break
            log, across, up = found
            free = [other for other in free if other is not log]
            count = across * up
            left[item.name] -= count
            result.logs += 1
            result.claimed += count
            result.hours += _hours(timber, across, up, kit)
            result.true += count if _is_true(log, timber, across, up, kit) else 0
    return result


def _hours(timber: Timber, across: int, up: int, kit: Kit) -> float:
    """Sawing and handling of a block from one log, as the patterns reckon it."""
    work, long = kit.work, (timber.length_mm or 0.0) / 1000.0
    wide, high = across * timber.width_mm / 1000.0, up * timber.thickness_mm / 1000.0
    passes = (up + 1) + (across + 1)
    area = long * ((up + 1) * wide + (across + 1) * high)
    minutes = 2.0 * (work.turn_min + work.rail_min) + passes * work.pass_min + area / kit.saw.feed_m2_min
    return (minutes + work.buck_min) / 60.0


def _is_true(log: LogSolid, timber: Timber, across: int, up: int, kit: Kit) -> bool:
    """Whether the block lies in the wood at its best turn."""
    block = Timber(
        up * timber.thickness_mm + (up - 1) * kit.saw.kerf_mm,
        across * timber.width_mm + (across - 1) * kit.saw.kerf_mm,
        timber.length_mm,
        wane_mm=timber.wane_mm,
    )
    return place(log, block, against_best=False).fits


def ours(pool: ProcessPoolExecutor, yard: Sequence[LogSolid], prices: PriceList, kit: Kit) -> tuple[Match, float]:
    """Our plans, and the seconds they took."""
    run: Callable[[Any, Iterable[Any]], Iterable[Any]] = pool.map
    start = time.perf_counter()
    answer = match_logs(yard, prices, kit=kit, drive=(run, lambda _: True))
    return answer, time.perf_counter() - start


def figures(answer: Match) -> Result:
    """The first plan's figures."""
    plan = answer.plans[0]
    filled = sum(plan.filled.values())
    return Result(len(plan.assignments), filled, filled, plan.minutes / 60.0)


def compare(pool: ProcessPoolExecutor, kit: Kit) -> None:
    """20 yards: ours, and both hand methods."""
    real = [log for log in read_yard(REAL) if not log.tag.startswith("buttressed")]
    print("yard        wanted | ours: logs filled hours gap % | (a): logs claimed true hours | (b): the same")
    every: list[tuple[int, Result, Result, Result]] = []
    gaps = []
    for number in range(20):
        chance = np.random.default_rng(100 + number)
        if number < 16:
            yard, prices = ranged_yard(chance, 24), listed(chance, KINDS, 40)
        else:
            tags = [replace(log, tag=f"{log.tag}-{k}") for k, log in enumerate(real)]
            yard, prices = [tags[k] for k in chance.permutation(len(tags))[:12]], listed(chance, SMALL, 16)
        answer, _ = ours(pool, yard, prices, kit)
        single = by_hand(yard, prices, kit, blocks=[(1, 1)])
        several = by_hand(yard, prices, kit, blocks=[(2, 2), (2, 1), (1, 2), (1, 1)])
        wanted, own = sum(item.count or 0 for item in prices.timbers), figures(answer)
        gaps += [plan.gap for plan in answer.plans]
        every.append((wanted, own, single, several))
        print(
            f"{'ranges' if number < 16 else 'scans'} {number + 1:<4} {wanted:>7} |"
            f"      {own.logs:>5} {own.claimed:>6} {own.hours:>5.0f} {100 * answer.plans[0].gap:>5.2f} |"
            f"     {single.logs:>5} {single.claimed:>6} {single.true:>5} {single.hours:>5.0f} |"
            f"     {several.logs:>5} {several.claimed:>6} {several.true:>5} {several.hours:>5.0f}"
        )
    for name, pick in (("ours", 1), ("(a)", 2), ("(b)", 3)):
        rows: list[Result] = [row[pick] for row in every]  # type: ignore[misc]
        true = sum(row.true for row in rows)
        print(
            f"{name}: {sum(row.logs for row in rows)} logs, {true} of {sum(row[0] for row in every)} timbers, "
            f"{sum(row.hours for row in rows):.0f} h; {true / max(sum(r.logs for r in rows), 1):.2f} timbers a log, "
            f"{60 * sum(r.hours for r in rows) / max(true, 1):.0f} min a timber"
        )
    middle, most = 100 * statistics.median(gaps), 100 * max(gaps)
    print(f"Gaps of {len(gaps)} plans: median {middle:.2f} %, largest {most:.2f} % (limit 1)")


def speed(pool: ProcessPoolExecutor, kit: Kit) -> None:
    """Time by logs and by kinds, and the largest yards asked for."""
    cases = [(25, 40, 12), (50, 40, 12), (100, 60, 3), (100, 60, 6), (100, 60, 12), (500, 300, 12)]
    for logs, timbers, kinds in cases:
        if logs == 500 and "--short" in sys.argv:
            continue
        base = price_list()
        total = sum(item.count or 0 for item in base.timbers[:kinds])
        own = tuple(
            replace(
                item,
                count=max(1, round((item.count or 0) * timbers / total)),
                timber=replace(item.timber, wane_mm=WANE),
            )
            for item in base.timbers[:kinds]
        )
        answer, took = ours(pool, long_yard(logs), PriceList(own, base.boards), kit)
        plan = answer.plans[0]
        wanted = sum(item.count or 0 for item in own)
        limit = {(100, 12): ", limit 20 s", (500, 12): ", limit 180 s"}.get((logs, kinds), "")
        print(
            f"{logs} logs x {wanted} timbers of {kinds} kinds: {took:.1f} s on two cores{limit}; {answer.ways} ways, "
            f"{sum(plan.filled.values())} filled from {len(plan.assignments)} logs, gap {100 * plan.gap:.2f} %"
        )


def main() -> None:
    """Print the figures."""
    kit = read_kit(None)
    with ProcessPoolExecutor(min(2, os.cpu_count() or 1), mp_context=get_context("spawn")) as pool:
        ours(pool, ranged_yard(np.random.default_rng(1), 4), listed(np.random.default_rng(1), SMALL, 6), kit)
        speed(pool, kit)
        compare(pool, kit)


if __name__ == "__main__":
    main()
