"""Best roll with proof against a general global optimizer, in one run.

The baseline is scipy's differential evolution over roll and both centers, on
the same sections: what one would reach for without a method of one's own.
"""

import random
import statistics
import time

import numpy as np
from scipy.optimize import differential_evolution

from pithline.fit import Placement, Timber, place
from pithline.fit.rows import wood_rows
from pithline.fit.timber import timber_growth
from pithline.logs import LogSolid
from yards import random_logs, random_timber

LOGS = 60
COMPARED = 3


def evolved(log: LogSolid, timber: Timber, seed: int) -> tuple[float, float]:
    """Clearance and seconds of differential evolution with its defaults."""
    rows, growth = wood_rows(log), timber_growth(timber)

    def shortfall(guess: np.ndarray) -> float:
        matrix, right = rows.program(growth, float(guess[0]))
        return -float((right - matrix[:, :4] @ guess[1:]).min())

    start = time.perf_counter()
    answer = differential_evolution(shortfall, [(0.0, np.pi), *[(-120.0, 120.0)] * 4], seed=seed, tol=1e-8)
    return -float(answer.fun), time.perf_counter() - start


def timed(log: LogSolid, timber: Timber) -> tuple[Placement, float]:
    """Our answer and its seconds, the median of five."""
    seconds = []
    for _ in range(5):
        start = time.perf_counter()
        placement = place(log, timber)
        seconds.append(time.perf_counter() - start)
    return placement, statistics.median(seconds)


def main() -> None:
    """Print the figures."""
    chance = random.Random(3)
    pairs = [(log, random_timber(chance)) for log in random_logs(LOGS)]
    stations = len(pairs[0][0].z_mm)
    ours = [timed(log, timber) for log, timber in pairs]
    seconds = sorted(second for _, second in ours)
    gaps = [placement.bound_mm - placement.clearance_mm for placement, _ in ours]
    print(f"best roll with proof, {LOGS} logs, {stations} stations x 72 faces:")
    print(f"  median {1e3 * statistics.median(seconds):.2f} ms, worst {1e3 * seconds[-1]:.2f} ms (target median 5 ms)")
    print(f"  proven within {max(gaps):.3f} mm; {statistics.median(p.programs for p, _ in ours):.0f} programs a log")
    for (log, timber), (placement, second) in list(zip(pairs, ours, strict=True))[:COMPARED]:
        best, spent = evolved(log, timber, seed=1)
        print(
            f"  {log.tag}: differential evolution {best:.3f} mm in {spent:.2f} s, ours {placement.clearance_mm:.3f} mm "
            f"(bound {placement.bound_mm:.3f}): {spent / second:.0f} times faster"
        )


if __name__ == "__main__":
    main()
