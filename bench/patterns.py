"""The best ways to saw one log: time a log, growth with logs, and worth against a hand method.

The hand method, in the same run: the timber of most worth whose corners lie
within the circle of the small end, one a log, no boards, the same time model.
"""

import math
import statistics
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context

import numpy as np

from pithline.fit import Timber
from pithline.job import read_kit
from pithline.lengths import MM_PER_INCH
from pithline.logs import LogSolid, TallyLog, solid_from_tally
from pithline.patterns import PriceList, WantedBoard, WantedTimber, best_patterns
from pithline.setup import Kit

LOGS = 100
FOOT = 12.0 * MM_PER_INCH

# Thickness, width and length [in, in, ft], count, worth of a board foot: invented.
KINDS = (
    ("plate", 6, 8, 20, 2, 1.6),
    ("tie", 7, 9, 24, 1, 1.8),
    ("sill", 8, 8, 20, 2, 1.6),
    ("beam", 8, 10, 16, 1, 1.8),
    ("post", 6, 6, 14, 6, 1.5),
    ("joist", 3, 7, 14, 8, 1.3),
    ("rafter", 4, 5, 16, 8, 1.3),
    ("girt", 4, 6, 12, 4, 1.4),
    ("purlin", 4, 4, 12, 6, 1.2),
    ("collar", 3, 6, 10, 5, 1.2),
    ("stud", 3, 4, 8, 20, 1.0),
    ("brace", 3, 5, 4, 12, 1.3),
)


def price_list() -> PriceList:
    """Twelve kinds of timber and three boards."""
    hearts = {"post": "boxed", "rafter": "free"}
    timbers = tuple(
        WantedTimber(
            name,
            Timber(thick * MM_PER_INCH, wide * MM_PER_INCH, long * FOOT, heart=hearts.get(name, "any")),
            count,
            value,
        )
        for name, thick, wide, long, count, value in KINDS
    )
    boards = tuple(
        WantedBoard(f"{inches:g} in board", inches * MM_PER_INCH, 4.0 * MM_PER_INCH, 4.0 * FOOT, 0.8)
        for inches in (1.0, 1.5, 2.0)
    )
    return PriceList(timbers, boards)


def yard(count: int) -> list[LogSolid]:
    """Tallied logs of 9 to 25 ft, tips of 8 to 15 in, oval, tapered and crooked."""
    chance = np.random.default_rng(7)
    logs = []
    for number in range(count):
        tip, length = float(chance.uniform(8.0, 15.0)) * MM_PER_INCH, float(chance.uniform(9.0, 25.0)) * FOOT
        butt = tip + float(chance.uniform(0.006, 0.014)) * length
        row = TallyLog(
            f"L{number}",
            "spruce",
            length,
            butt,
            tip,
            butt_2_mm=butt * float(chance.uniform(0.95, 1.05)),
            tip_2_mm=tip * float(chance.uniform(0.95, 1.05)),
            crown_mm=float(chance.uniform(0.0, 50.0)),
            crown_clock=float(chance.uniform(1.0, 12.9)),
            bark_mm=10.0,
        )
        logs.append(solid_from_tally(row))
    return logs


def by_hand(log: LogSolid, prices: PriceList, kit: Kit) -> float:
    """What the hand method leaves of a log's worth once its sawing is paid."""
    work, circle = kit.work, float(np.linalg.eigvalsh(log.shape_mm[-1])[0])
    best = 0.0
    for item in prices.timbers:
        thick, wide, long = item.timber.thickness_mm, item.timber.width_mm, item.timber.length_mm or 0.0
        if long > log.length_mm or math.hypot(thick, wide) > 2.0 * circle:
            continue
        area = 2.0 * long * (wide + thick) / 1e6
        minutes = (
            2.0 * (work.turn_min + work.rail_min) + 4.0 * work.pass_min + area / kit.saw.feed_m2_min + work.buck_min
        )
        best = max(best, item.worth(long) - work.cost_an_hour * minutes / 60.0)
    return best


def main() -> None:
    """Print the figures."""
    kit, prices, logs = read_kit(None), price_list(), yard(LOGS)
    best_patterns(logs[0], prices, kit=kit)
    spent, nets, hands = [], [], []
    for log in logs:
        start = time.perf_counter()
        ways = best_patterns(log, prices, kit=kit)
        spent.append(1000.0 * (time.perf_counter() - start))
        nets.append(max(ways.patterns[0].net, 0.0) if ways.patterns else 0.0)
        hands.append(by_hand(log, prices, kit))
    print(
        f"One log, {len(prices.timbers)} kinds of timber and {len(prices.boards)} boards, one core: median "
        f"{statistics.median(spent):.0f} ms (limit 150), 9 in 10 under {np.quantile(spent, 0.9):.0f} ms"
    )
    print(
        f"Worth less cost: {sum(nets):.0f} against {sum(hands):.0f} by hand, {sum(nets) / sum(hands):.2f} times as much"
    )
    work = partial(best_patterns, prices=prices, kit=kit)
    for count in (LOGS // 4, LOGS // 2, LOGS):
        start = time.perf_counter()
        with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
            list(pool.map(work, logs[:count], chunksize=4))
        took = time.perf_counter() - start
        print(f"{count} logs on two cores (limit 15 s for 100): {took:.1f} s, {1000.0 * took / count:.0f} ms a log")


if __name__ == "__main__":
    main()
