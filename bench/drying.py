"""The drying forecast of one timber over five years, slow, middle and fast, with and without a grid twice as fine."""

import statistics
import time
from collections.abc import Callable

from pithline.wood.climate import Climate
from pithline.wood.diffusion import Section, Stretch, dry_section
from pithline.wood.diffusion_law import Potential
from pithline.wood.drying import DryingJob, drying_forecast
from pithline.wood.species import find_species

ROUNDS = 15
MONTHS = 60
SECTIONS_MM = ((25.4, 203.2), (101.6, 152.4), (203.2, 254.0))
CLIMATE = Climate(
    "invented",
    (0.15, 0.147, 0.14, 0.131, 0.126, 0.129, 0.134, 0.141, 0.149, 0.146, 0.155, 0.158),
    (-9.0, -7.5, -1.0, 6.0, 12.5, 17.5, 20.0, 19.0, 14.5, 8.5, 2.0, -5.5),
)


def median_ms(work: Callable[[], object]) -> float:
    """Milliseconds of some work, the median of several rounds after a first that is not counted."""
    work()
    seconds = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        work()
        seconds.append(time.perf_counter() - start)
    return 1e3 * statistics.median(seconds)


def main() -> None:
    """Print the figures."""
    print(f"drying forecast, {MONTHS} months, three coefficients, bare ends (target 50 ms, limit 200 ms):")
    for name in ("eastern white pine", "northern red oak"):
        species = find_species(name)
        for thickness, width in SECTIONS_MM:
            job = DryingJob(thickness, width, 4_900.0, 4, MONTHS, end_coat=False)
            spent = median_ms(lambda job=job, species=species: drying_forecast(species, job, climate=CLIMATE))
            print(f"  {name}, {thickness:g} x {width:g} mm: {spent:.1f} ms")
    section = Section(203.2, 254.0, (1.2, 2.5, 5.0), (0.0, 3.3, 11.0))
    months = [Stretch(15.0, 0.14, 10)] * MONTHS
    for cells in (20, 40):
        spent = median_ms(
            lambda cells=cells: dry_section(section, Potential(1.15, 0.3), start=0.8, stretches=months, cells=cells)
        )
        print(f"  the section alone, {cells} x {cells} cells, {10 * MONTHS} steps: {spent:.1f} ms")


if __name__ == "__main__":
    main()
