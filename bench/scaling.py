"""Ten thousand logs scaled at once, against one by one: three log rules, sweep, exact and formula volumes."""

import time

import numpy as np

from pithline.logs import LogSolid, TallyLog, solid_from_tally
from pithline.logs.scaling import scale_log, scale_logs

LOGS = 10_000
ONE_BY_ONE = 500
ROUNDS = 5


def logs(count: int) -> list[LogSolid]:
    """Round crooked logs of 8 to 30 ft."""
    chance = np.random.default_rng(1)
    found = []
    for number in range(count):
        tip = float(chance.uniform(180.0, 330.0))
        length = float(chance.uniform(2_500.0, 9_000.0))
        crown = float(chance.uniform(0.0, 80.0))
        row = TallyLog(f"L{number}", "any", length, tip + 0.011 * length, tip, crown_mm=crown, bark_mm=10.0)
        found.append(solid_from_tally(row))
    return found


def main() -> None:
    """Print the figures."""
    yard = logs(LOGS)
    spent = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        scale_logs(yard)
        spent.append(time.perf_counter() - start)
    start = time.perf_counter()
    for log in yard[:ONE_BY_ONE]:
        scale_log(log)
    alone = (time.perf_counter() - start) * LOGS / ONE_BY_ONE
    print(
        f"{LOGS:,} logs scaled (limit 2 s): {min(spent):.2f} to {max(spent):.2f} s at once, {alone:.1f} s one by one,"
    )
    print(f"{alone / min(spent):.1f} times as long")


if __name__ == "__main__":
    main()
