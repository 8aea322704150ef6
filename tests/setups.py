"""Set-ups that the tests of drawings and cards share. All of it is invented."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from functools import cache
from types import MappingProxyType
from typing import Any

import shapely

from pithline.fit import Timber, place
from pithline.lengths import Tape
from pithline.logs import TallyLog, solid_from_tally
from pithline.setup import Kit, SetUp, set_up
from printed import corners, elements, text_box
from strategies import FOOT, INCH, KIT, altered

INCHES, EIGHTHS, METRIC = Tape("in"), Tape("in", 8), Tape("mm")

# Reaches far, so that what is drawn is awkward and the kit is not what stops it.
FAR = altered(
    altered(KIT, "mill", cut_width_mm=45 * INCH, setting_max_mm=45 * INCH),
    "bearers",
    count=12.0,
    height_min_mm=2 * INCH,
    height_max_mm=45 * INCH,
    post_width_mm=9.25 * INCH,
    post_taper_deg=3.0,
)
RECALLED = MappingProxyType(dict.fromkeys(("saw.kerf", "mill.wander", "rail.modulus_mpa"), "recalled"))


def laid(row: TallyLog, timber: Timber, *, roll: Any = "crown-side", kit: Kit = KIT) -> SetUp:
    """A timber placed in a log and set up."""
    return set_up(place(solid_from_tally(row), timber, roll=roll, against_best=False), kit, may_turn_over=True)


def tally(tag: str, length_mm: float, butt_mm: float, tip_mm: float, **more: Any) -> TallyLog:
    """A row of the yard."""
    return TallyLog(tag, "white pine", length_mm, butt_mm, tip_mm, **more)


@cache
def sugarhouse(faces: int = 4) -> SetUp:
    """A crooked log whose pith wanders, so that no two distances agree; kerf recalled."""
    row = tally(
        "A-3",
        21 * FOOT,
        17 * INCH,
        13 * INCH,
        crown_mm=2 * INCH,
        crown_clock=12,
        bark_mm=0.5 * INCH,
        butt_pith_mm=9.0,
        butt_pith_clock=2.0,
        tip_pith_mm=15.0,
        tip_pith_clock=4.0,
    )
    timber = Timber(6 * INCH, 8 * INCH, length_mm=20 * FOOT, allowance_mm=INCH / 8, sawn_faces=faces)
    return laid(row, timber, kit=replace(KIT, origins=RECALLED))


def _very_crooked() -> SetUp:
    row = tally("C-2", 16 * FOOT, 18 * INCH, 16 * INCH, crown_mm=6 * INCH, crown_clock=2.0)
    return laid(row, Timber(5 * INCH, 6 * INCH), roll="best", kit=FAR)


def _nine_meters() -> SetUp:
    oval = {"butt_2_mm": 500.0, "tip_2_mm": 330.0, "oval_clock": 1.5}
    row = tally("L-9", 9_000.0, 560.0, 360.0, crown_mm=80.0, crown_clock=5.5, **oval)
    return laid(row, Timber(8 * INCH, 8.5 * INCH, allowance_mm=3.0), kit=FAR)


def _short() -> SetUp:
    row = tally("S-1", 2_500.0, 230.0, 205.0, crown_mm=12.0, crown_clock=7.0)
    return laid(row, Timber(100.0, 110.0, sawn_faces=3, wane_mm=10.0), roll="best")


def _tiny() -> SetUp:
    kit = altered(altered(FAR, "bearers", base_width_mm=40.0), "mill", footprint_mm=250.0)
    return laid(tally("T-1", 1_200.0, 130.0, 120.0), Timber(40.0, 55.0, sawn_faces=2), kit=kit)


def _oval() -> SetUp:
    row = tally("O-1", 3_700.0, 480.0, 430.0, butt_2_mm=360.0, tip_2_mm=310.0, oval_clock=1.5)
    return laid(row, Timber(150.0, 210.0, sawn_faces=3), roll="best", kit=FAR)


def _pith_far_off() -> SetUp:
    piths = {"butt_pith_mm": 120.0, "butt_pith_clock": 8.0, "tip_pith_mm": 110.0, "tip_pith_clock": 8.5}
    row = tally("P-1", 4_100.0, 500.0, 450.0, crown_mm=25.0, crown_clock=11.0, **piths)
    return laid(row, Timber(120.0, 180.0, sawn_faces=4), kit=FAR)


def _free_of_heart() -> SetUp:
    row = tally("F-1", 12 * FOOT, 26 * INCH, 24 * INCH, butt_pith_mm=40.0, butt_pith_clock=8.0, tip_pith_mm=50.0)
    return laid(row, Timber(4 * INCH, 8 * INCH, heart="free"), roll="best", kit=FAR)


def _shorter_than_its_log() -> SetUp:
    row = tally("N-1", 6_300.0, 330.0, 240.0, crown_mm=70.0, crown_clock=3.0)
    timber = Timber(120.0, 140.0, length_mm=4_000.0, sawn_faces=2)
    return laid(row, timber, roll="crown-up", kit=altered(FAR, "bearers", base_width_mm=60.0))


AWKWARD: Mapping[str, Callable[[], SetUp]] = MappingProxyType(
    {
        "very crooked": cache(_very_crooked),
        "9 m": cache(_nine_meters),
        "2.5 m": cache(_short),
        "tiny": cache(_tiny),
        "oval": cache(_oval),
        "pith far off": cache(_pith_far_off),
        "free of heart": cache(_free_of_heart),
        "shorter than its log": cache(_shorter_than_its_log),
    }
)
"""Set-ups at the edges of what is drawn, under a word for each."""


def struck(svg: str) -> Iterator[tuple[str, str]]:
    """Texts of a drawing that a line runs through, each with the class of the line.

    Kerf hatching and round outlines are left aside; the width of a text is told up to a
    tenth too large, so a little is taken off.
    """
    lines = []
    for path in elements(svg, "path"):
        if path.get("stroke") is None or "A" in path.attrib["d"] or "line-kerf" in path.attrib["class"]:
            continue
        spots = corners(path)
        if path.attrib["d"].endswith("Z"):
            spots.append(spots[0])
        lines.append((path.attrib["class"], shapely.LineString(spots)))
    for text in elements(svg, "text"):
        left, top, right, bottom = text_box(text)
        slack = 0.06 * (right - left)
        inset = {"start": (0.0, slack), "middle": (0.5 * slack, 0.5 * slack), "end": (slack, 0.0)}
        before, after = inset[text.get("text-anchor", "start")]
        box = shapely.box(left + before, top + 0.1, right - after, bottom - 0.05)
        for name, line in lines:
            if line.crosses(box) or line.within(box):
                yield text.text or "", name
