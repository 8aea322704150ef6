"""Whole commands: help, a yard of 200 logs, 100 cards, and peak memory.

Each is a process of its own; the baseline is Python starting and importing
numpy, in the same run, so that a ratio holds on any machine.
"""

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from yards import yard_csv

CARDS = """
import time
from yards import random_logs
from pithline.fit import Timber, place
from pithline.job import read_kit
from pithline.lengths import Tape
from pithline.setup import set_up
from pithline.sheets.card import card_pdf
kit = read_kit(None)
for faces in (2, 4):
    timber = Timber(120.0, 150.0, allowance_mm=3.0, sawn_faces=faces)
    placed = [place(log, timber, roll="crown-side") for log in random_logs(130, length_mm=5_500.0, seed=5)]
    start = time.perf_counter()
    setups = [set_up(placement, kit, may_turn_over=True) for placement in placed if placement.fits][:100]
    middle = time.perf_counter()
    for first in range(0, len(setups), 2):
        card_pdf(setups[first : first + 2], tape=Tape("in", 16), paper="letter")
    end = time.perf_counter()
    print(f"{len(setups)} cards of {faces} faces, 2 to a file:", end=" ")
    print(f"set up in {middle - start:.2f} s, printed in {end - middle:.2f} s")
"""


def timed(words: list[str], *, runs: int = 5) -> tuple[float, str]:
    """Median seconds of a process, and what it printed last."""
    seconds, told = [], ""
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parent)}
    for _ in range(runs):
        start = time.perf_counter()
        told = subprocess.run(words, check=True, capture_output=True, text=True, env=environment).stdout
        seconds.append(time.perf_counter() - start)
    return statistics.median(seconds), told


def main() -> None:
    """Print the figures."""
    python = sys.executable
    base, _ = timed([python, "-c", "import numpy"])
    print(f"baseline, python and numpy: {base:.3f} s")
    helped, _ = timed([python, "-m", "pithline", "--help"])
    print(f"pithline --help: {helped:.3f} s, {helped / base:.1f} x baseline (target under 0.25 s)")
    with tempfile.TemporaryDirectory() as folder:
        yard = Path(folder) / "yard.csv"
        yard.write_text(yard_csv(200), encoding="utf-8")
        words = [python, "-m", "pithline", "fit", str(yard), "--timber", "6 x 8 x 20'", "--allow", "1/8"]
        fitted, told = timed(words, runs=3)
        print(f"pithline fit, 200 logs: {fitted:.2f} s, {fitted / base:.0f} x baseline (target under 3 s)")
        print(f"  {told.splitlines()[0]}")
    _, told = timed([python, "-c", CARDS], runs=1)
    print(f"{told.strip()} (target for 100 cards under 5 s)")
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024.0
    print(f"largest process: {peak:.0f} MB (target under 250 MB)")


if __name__ == "__main__":
    main()
