"""Invented logs for timing: tapered, crooked, oval, as awkward as real ones."""

import random

from pithline.fit import Timber
from pithline.logs import LogSolid, TallyLog, solid_from_tally

__all__ = ["random_logs", "random_timber", "yard_csv"]


def _row(chance: random.Random, number: int, length_mm: float) -> TallyLog:
    """One invented log."""
    butt = chance.uniform(280.0, 480.0)
    tip = butt - length_mm * chance.uniform(0.004, 0.016)
    return TallyLog(
        tag=f"R{number:03d}",
        species="invented",
        length_mm=length_mm,
        butt_mm=butt,
        tip_mm=tip,
        butt_2_mm=butt * chance.uniform(0.93, 1.0),
        tip_2_mm=tip * chance.uniform(0.93, 1.0),
        crown_mm=chance.uniform(0.0, 60.0),
        crown_clock=chance.uniform(1.0, 12.9),
        bark_mm=0.0,
    )


def random_logs(count: int, *, length_mm: float = 5_250.0, seed: int = 1) -> list[LogSolid]:
    """Invented logs; 5,250 mm gives 22 stations."""
    chance = random.Random(seed)
    return [solid_from_tally(_row(chance, number, length_mm)) for number in range(count)]


def random_timber(chance: random.Random) -> Timber:
    """An invented timber, 80 to 220 mm on a side."""
    sides = sorted(chance.uniform(80.0, 220.0) for _ in range(2))
    return Timber(sides[0], sides[1])


def yard_csv(count: int, *, seed: int = 2) -> str:
    """A yard of invented logs 20 to 24 ft long, as a file."""
    chance = random.Random(seed)
    lines = ["tag,species,length [mm],butt [mm],tip [mm],butt_2 [mm],tip_2 [mm],crown [mm],crown_clock,bark [mm]"]
    for number in range(count):
        row = _row(chance, number, chance.uniform(6_100.0, 7_300.0))
        lines.append(
            f"{row.tag},{row.species},{row.length_mm:.0f},{row.butt_mm:.0f},{row.tip_mm:.0f},{row.butt_2_mm:.0f},"
            f"{row.tip_2_mm:.0f},{row.crown_mm:.0f},{row.crown_clock:.1f},10"
        )
    return "\n".join(lines) + "\n"
