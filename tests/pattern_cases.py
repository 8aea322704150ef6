"""Logs, lists and tasks for the tests of patterns: unequal and awkward, all of it invented."""

import math
from dataclasses import replace
from typing import Any

import numpy as np
import shapely
from hypothesis import strategies as st

from pithline.arrays import Floats
from pithline.fit import Timber
from pithline.logs import LogSolid, TallyLog, solid_from_tally
from pithline.patterns import PriceList, WantedBoard, WantedTimber
from pithline.patterns.beside import SideBoard
from pithline.patterns.blocks import Block, blocks_for
from pithline.patterns.frame import Frame, center_line, frame_on
from pithline.patterns.layout import Layer, Layout
from pithline.patterns.levels import STEP_MM
from pithline.patterns.task import Aim, Task
from strategies import INCH, KIT, solids

BF_MM3 = 144.0 * INCH**3

VALUE = Aim("most value")
PLAIN = Aim("least sawing", with_boards=False)

ROW = TallyLog(
    tag="crooked",
    species="eastern white pine",
    length_mm=4_310.0,
    butt_mm=462.0,
    tip_mm=391.0,
    butt_2_mm=437.0,
    tip_2_mm=379.0,
    oval_clock=1.6,
    bark_mm=11.0,
    crown_mm=27.0,
    crown_clock=10.2,
    butt_pith_mm=12.0,
    butt_pith_clock=4.4,
    tip_pith_mm=7.0,
    tip_pith_clock=1.7,
)

CROOKED = solid_from_tally(ROW)

SILL = WantedTimber("sill", Timber(6 * INCH, 8 * INCH, 3_950.0, allowance_mm=INCH / 8), count=1, value_bf=1.5)
BRACE = WantedTimber("brace", Timber(3 * INCH, 4.25 * INCH, 1_190.0, wane_mm=6.0), count=7, value_bf=1.1)
PLANK = WantedBoard("plank", 1.5 * INCH, 5.5 * INCH, 1_500.0, 0.8)
BOARD = WantedBoard("board", INCH, 4 * INCH, 900.0, 0.7)

PRICES = PriceList((SILL, BRACE), (PLANK, BOARD))


def task_of(log: LogSolid, prices: PriceList = PRICES, kit: Any = KIT, **more: Any) -> Task:
    """A task for a log."""
    return Task(log, prices, kit, **more)


def frame_of(log: LogSolid, ends: tuple[float, float] | None = None, *, roll: float = 0.0) -> Frame:
    """A part of a log, turned, about its own center line."""
    ends = ends or (0.0, log.length_mm)
    line = center_line(log, ends[0], end_mm=ends[1])
    return frame_on(log, ends, roll_deg=roll, centers_mm=line)


def section_of(solid: LogSolid, station: int, *, sides: int = 1_440) -> shapely.Polygon:
    """The section at a station as a fine polygon."""
    angle = np.arange(sides) * (2.0 * math.pi / sides)
    circle = np.column_stack([np.cos(angle), np.sin(angle)])
    return shapely.Polygon(solid.center_mm[station] + circle @ solid.shape_mm[station])


def sections_of(solid: LogSolid, *, sides: int = 720) -> list[shapely.Polygon]:
    """All sections of a log."""
    return [section_of(solid, k, sides=sides) for k in range(len(solid.z_mm))]


def waned(left: float, low: float, across: float, up: float, wane: float) -> shapely.Polygon:
    """A rectangle less what may be missing at its corners."""
    right, high, m = left + across, low + up, wane
    if m == 0.0:
        return shapely.box(left, low, right, high)
    points = [(left + m, low), (right - m, low), (right, low + m), (right, high - m)]
    points += [(right - m, high), (left + m, high), (left, high - m), (left, low + m)]
    return shapely.Polygon(points)


@st.composite
def frames(draw: st.DrawFn, **options: Any) -> Frame:
    """A part of a generated log, at any turn."""
    log = draw(solids(**options))
    start = draw(st.just(0.0) | st.floats(0.02, 0.3)) * log.length_mm
    end = draw(st.just(1.0) | st.floats(0.6, 0.97)) * log.length_mm
    return frame_of(log, (start, end), roll=draw(st.floats(-90.0, 90.0)))


def grid(low: float, high: float, *, step: float = STEP_MM) -> Floats:
    """Levels over a range, one of them zero."""
    return np.asarray(step * np.arange(math.floor(low / step), math.ceil(high / step) + 1), dtype=np.float64)


POST = WantedTimber("post", Timber(70.0, 95.0, 2_000.0), count=9, value_bf=0.9)
GIRT = WantedTimber("girt", Timber(60.0, 150.0, sawn_faces=2, wane_mm=10.0), value_bf=0.6)
LEDGER = WantedTimber("ledger", Timber(66.0, 130.0, sawn_faces=3), value_bf=0.6)

LONG_LIST = PriceList((SILL, BRACE, POST, GIRT, LEDGER), (PLANK, BOARD), notes=("all values are invented",))

KERF = KIT.saw.kerf_mm

WASTE_MM = 15.0


def block_like(task: Task, length: float, kinds: tuple[int, ...], *, columns: int, up: float) -> Block:
    """The block of a list with these timbers in it."""
    found = blocks_for(task.prices, length, kit=task.kit, most_mm=2_000.0)
    return next(
        block
        for block in found
        if tuple(cell.kind for cell in block.cells) == kinds
        and block.columns == columns
        and abs(block.up_mm - up) < 0.1
    )


def laid_by_hand(*, roll: float = 20.0, log: LogSolid = CROOKED, kit: Any = KIT, **more: Any) -> tuple[Task, Layout]:
    """A part with a plank, two braces between boards, waste, a girt of two faces and a plank, from the top."""
    task = task_of(log, LONG_LIST, kit, **more)
    frame = frame_of(log, roll=roll)
    kerf = kit.saw.kerf_mm
    pair = block_like(task, frame.length_mm, (1, 1), columns=2, up=4.25 * INCH)
    girt = block_like(task, frame.length_mm, (3,), columns=1, up=60.0)
    high, layers = 150.0, []
    for up, gap, what in (
        (PLANK.thickness_mm, kerf, {"board": 0}),
        (pair.up_mm, 2.0 * kerf + WASTE_MM, {"block": pair, "left_mm": -90.0}),
        (girt.up_mm, kerf, {"block": girt, "left_mm": -71.0}),
        (PLANK.thickness_mm, 0.0, {"board": 0}),
    ):
        layers.append(Layer(high - up, high, **what))
        high -= up + gap
    right = -90.0 + pair.across_mm
    sides = (SideBoard(1, -90.0 - kerf - BOARD.thickness_mm), SideBoard(1, right + kerf))
    layers[1] = replace(layers[1], beside=sides)
    return task, Layout(frame, tuple(layers), worth=0.0, bound=0.0)


def grid_by_hand(**more: Any) -> tuple[Task, Layout]:
    """A part with a grid of posts, two wide and two high, and a ledger of three faces under it."""
    task = task_of(CROOKED, LONG_LIST, **more)
    frame = frame_of(CROOKED, roll=-35.0)
    grid_of = block_like(task, frame.length_mm, (2, 2, 2, 2), columns=2, up=140.0 + KERF)
    ledger = block_like(task, frame.length_mm, (4,), columns=1, up=66.0)
    low = -40.0
    layers = (
        Layer(low, low + grid_of.up_mm, block=grid_of, left_mm=-104.0),
        Layer(low - KERF - ledger.up_mm, low - KERF, block=ledger, left_mm=-61.0),
    )
    return task, Layout(frame, layers, worth=0.0, bound=0.0)
