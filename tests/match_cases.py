"""A small yard and list for the tests of plans. All of it is invented."""

from dataclasses import replace

from pithline.fit import Timber
from pithline.logs import LogSolid
from pithline.patterns import PriceList, WantedBoard, WantedTimber
from strategies import FOOT, INCH, round_log

BOARDS = (WantedBoard("board", INCH, 4 * INCH, 4 * FOOT, 0.6),)


def beam(name: str, thick: float, wide: float, long: float, count: int, **more: object) -> WantedTimber:
    """A timber: inches, feet, half an inch of wane."""
    timber = Timber(thick * INCH, wide * INCH, long * FOOT, wane_mm=0.5 * INCH)
    return WantedTimber(name, timber, count, more.pop("value", 1.5), **more)


def log(tag: str, tip: float, long: float, *, species: str = "spruce", crown: float = 0.5) -> LogSolid:
    """A round log: tip in inches, length in feet, a tenth of an inch of taper a foot."""
    return replace(
        round_log((tip + 0.1 * long) * INCH, long * FOOT, tip_mm=tip * INCH, crown_mm=crown * INCH),
        tag=tag,
        species=species,
    )


YARD = (log("L1", 9, 12.3), log("L2", 13, 16.4), log("L3", 11, 16.2, species="eastern white pine"), log("L4", 8, 9.0))
LIST = PriceList(
    (beam("post", 6, 6, 12, 2), beam("plate", 6, 8, 16, 1), beam("purlin", 3, 4, 8, 2, is_must=False)), BOARDS
)
