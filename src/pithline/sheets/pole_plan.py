"""The strips of a story pole, where they stand, and the sheets they are spread over.

A strip for each end counts from the level line through the pith, which is on the log
whatever else is not; a strip for the bearers counts from the flat that each one stands
on. The strips stand side by side, so that one set of sheets carries them all.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pithline.answers.words import line_text, place_text
from pithline.lengths import Tape
from pithline.setup import EndMarks, SetUp, Stack
from pithline.sheets.svg import Box
from pithline.sheets.tiles import Tiling, overlap_mm, sheet_room_mm, tiled

__all__ = [
    "GAP_MM",
    "HEAD_MM",
    "STRIP_MM",
    "Laid",
    "Mark",
    "PolePlan",
    "Strip",
    "plan_pole",
    "spread",
    "station_text",
]

STRIP_MM = 56.0
"""Width of a strip; a batten 2 1/2 in (64 mm) wide carries it."""

GAP_MM = 4.5
"""Paper between two strips and around them."""

HEAD_MM = 25.0
"""The title of a strip at its top."""

_LABEL_STEP_MM = 14.6
_JOINT_CLEAR_MM = 1.0
_FOOT_MM = 6.0
# What stands on a flat needs words at its foot.
_STAND_MM = 9.0
# Ends alike within this share a strip.
_SAME_MM = 0.05


@dataclass(frozen=True, slots=True)
class Mark:
    """One height.

    Attributes: `height_mm` from the strip's zero; `style` of its line; `rows` of
    words, the figure first.
    """

    height_mm: float
    style: str
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Strip:
    """One strip of a pole.

    Attributes: `title`; `notes` under it; `marks` from the lowest up; `kerfs`,
    from and to of what the saw takes; `stands`, whether zero is the strip's foot.
    """

    title: str
    notes: tuple[str, ...]
    marks: tuple[Mark, ...]
    kerfs: tuple[tuple[float, float], ...] = ()
    stands: bool = False

    @property
    def lowest_mm(self) -> float:
        """Lowest height on the strip [mm]."""
        if self.stands:
            return 0.0
        return min([mark.height_mm for mark in self.marks] + [low for low, _ in self.kerfs])


@dataclass(frozen=True, slots=True)
class Laid:
    """A strip in its place.

    Attributes: `strip`; `left_mm`, `foot_mm` and `top_mm`, its frame on the pole's
    paper; `zero_mm`, where its zero stands; `labels_mm`, middles of its labels.
    """

    strip: Strip
    left_mm: float
    foot_mm: float
    top_mm: float
    zero_mm: float
    labels_mm: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class PolePlan:
    """The pole of one stack.

    Attributes: `number` of the stack; `laid`, the strips in their places; `tiling` of the sheets.
    """

    number: int
    laid: tuple[Laid, ...]
    tiling: Tiling

    @property
    def strips(self) -> tuple[Strip, ...]:
        """The strips from the left."""
        return tuple(one.strip for one in self.laid)


def _up_down(end: EndMarks, stack: Stack) -> tuple[float, float]:
    """From the pith up and down to the lines of the timber as it lies for a stack."""
    if stack.turn_deg > 0.0:
        # A quarter turn clockwise brings the left side up.
        return end.left_mm, end.right_mm
    if stack.turn_deg < 0.0:
        return end.right_mm, end.left_mm
    return end.up_mm, end.down_mm


def _end_strip(setup: SetUp, stack: Stack, end: EndMarks, *, title: str, tape: Tape) -> Strip:
    """Heights at one end above the level line through the pith."""
    up, down = _up_down(end, stack)
    kerf, rail = setup.kit.saw.kerf_mm, setup.kit.rail.thickness_mm
    first = stack.passes[0]
    second = stack.passes[1] if len(stack.passes) > 1 else None
    level = "through the pith" if stack.turn_deg == 0.0 else "was the plumb line"

    def row(height: float, style: str, *words: str) -> Mark:
        return Mark(height, style, (line_text(height, "up", tape=tape), *words))

    below = f"{second.face}, pass {second.number}" if second is not None else "not sawn"
    marks = (
        row(-down, "chalk" if second is None else "cut", "lower line", below),
        Mark(0.0, "level", ("0", "level line", level)),
        row(up, "cut", "upper line", f"{first.face}, pass {first.number}"),
        row(up + kerf, "kerf", "top of the kerf", f"of pass {first.number}"),
        row(up + stack.datum_mm, "outline", "bearer tops", f"{tape.show(stack.datum_mm)} over upper line"),
        row(up + stack.datum_mm + rail, "outline", "top of the rail", f"set the mill {tape.show(first.setting_mm)}"),
    )
    kerfs = [(up, up + kerf)] + ([(-down - kerf, -down)] if second is not None else [])
    ordered = tuple(sorted(marks, key=lambda mark: mark.height_mm))
    return Strip(title, ("Hold 0 on the level line", "through the pith."), ordered, tuple(kerfs))


def _bearer_strip(setup: SetUp, stack: Stack, tape: Tape) -> Strip:
    """Heights of the bearers' posts above their flats."""
    marks = [
        Mark(
            bearer.height_mm,
            "outline",
            (
                tape.show(bearer.height_mm),
                f"bearer {number}",
                station_text(setup, bearer.station_mm, tape=tape),
            ),
        )
        for number, bearer in enumerate(stack.bearers, start=1)
    ]
    ordered = tuple(sorted(marks, key=lambda mark: mark.height_mm))
    return Strip("BEARERS", ("Stand the foot on the flat,", "mark the top of the post."), ordered, stands=True)


def station_text(setup: SetUp, station_mm: float, *, tape: Tape) -> str:
    """Where a bearer stands along the log.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    station_mm : float
        Distance from the butt [mm].
    tape : Tape
        How lengths are shown.

    Returns
    -------
    str
        As in "at the butt" or "7 ft from the butt".
    """
    words = place_text(setup.placement, station_mm, tape=tape)
    return f"at the {words}" if words in ("butt", "tip") else words


def _strips(setup: SetUp, stack: Stack, tape: Tape) -> tuple[Strip, ...]:
    """One strip an end, or one for both where they are alike, and one for the bearers."""
    butt, tip = setup.ends
    apart = max(abs(a - b) for a, b in zip(_up_down(butt, stack), _up_down(tip, stack), strict=True))
    if apart < _SAME_MM:
        ends: tuple[Strip, ...] = (_end_strip(setup, stack, butt, title="BUTT AND TIP", tape=tape),)
    else:
        ends = (
            _end_strip(setup, stack, butt, title="BUTT", tape=tape),
            _end_strip(setup, stack, tip, title="TIP", tape=tape),
        )
    return (*ends, _bearer_strip(setup, stack, tape))


def spread(
    wanted_mm: Sequence[float],
    *,
    step_mm: float,
    floor_mm: float,
    joints_mm: Sequence[float] = (),
) -> tuple[float, ...]:
    """Heights of labels, each as near to what it names as the others let it stand.

    Labels stay between the joints that what they name lies between, as long as there
    is room; neighbors that are too close share the shift between them.

    Parameters
    ----------
    wanted_mm : sequence of float
        Heights named, from the lowest up [mm].
    step_mm : float
        Least distance between the middles of two labels [mm].
    floor_mm : float
        No label's middle lies lower [mm].
    joints_mm : sequence of float
        Heights that no label may cover [mm].

    Returns
    -------
    tuple of float
        Middles of the labels, in the same order [mm].
    """
    clear = 0.5 * step_mm + _JOINT_CLEAR_MM
    floor, waiting = floor_mm, list(wanted_mm)
    placed: list[float] = []
    for joint in (*sorted(joints_mm), math.inf):
        ceiling = joint - clear
        here = [wanted for wanted in waiting if wanted <= joint]
        if math.isfinite(floor) and math.isfinite(ceiling):
            # What finds no room below a joint goes above it.
            here = here[: max(0, math.floor((ceiling - floor) / step_mm + 1e-9) + 1)]
        waiting = waiting[len(here) :]
        placed += _evened(here, step_mm=step_mm, floor_mm=floor, ceiling_mm=ceiling)
        floor = max(floor_mm, joint + clear)
    return tuple(placed)


def _evened(wanted_mm: Sequence[float], *, step_mm: float, floor_mm: float, ceiling_mm: float) -> list[float]:
    """Heights a step or more apart, as near as can be to those wanted."""
    # With the steps taken off they only have to keep their order: pool those that do not.
    pools: list[list[float]] = []
    for number, wanted in enumerate(wanted_mm):
        pools.append([wanted - number * step_mm])
        while len(pools) > 1 and _mean(pools[-1]) < _mean(pools[-2]):
            pools[-2:] = [pools[-2] + pools[-1]]
    highest = ceiling_mm - (len(wanted_mm) - 1) * step_mm
    evened = [min(max(_mean(pool), floor_mm), highest) for pool in pools for _ in pool]
    return [middle + number * step_mm for number, middle in enumerate(evened)]


def _mean(values: Sequence[float]) -> float:
    return sum(values) / len(values)


def _lay(strip: Strip, number: int, joints_mm: Sequence[float]) -> Laid:
    """Put a strip in its place among the others, its labels clear of each other and of the joints."""
    heights = [mark.height_mm for mark in strip.marks]
    half = 0.5 * _LABEL_STEP_MM
    low = _STAND_MM if strip.stands else -math.inf
    free = spread(heights, step_mm=_LABEL_STEP_MM, floor_mm=low + half)
    foot = 0.0 if strip.stands else min(strip.lowest_mm, free[0] - half) - _FOOT_MM
    zero = GAP_MM - foot
    labels = spread(
        [height + zero for height in heights],
        step_mm=_LABEL_STEP_MM,
        floor_mm=low + zero + half,
        joints_mm=joints_mm,
    )
    top = max(heights[-1] + zero, labels[-1] + half) + HEAD_MM
    for joint in sorted(joints_mm):
        # A joint through the strip's title would leave neither half of it legible.
        if top - HEAD_MM - _JOINT_CLEAR_MM < joint < top + _JOINT_CLEAR_MM:
            top = joint + _JOINT_CLEAR_MM + HEAD_MM
    return Laid(strip, GAP_MM + number * (STRIP_MM + GAP_MM), foot + zero, top, zero, labels)


def plan_pole(setup: SetUp, stack: Stack, *, tape: Tape, paper: str) -> PolePlan:
    """The strips of one stack's pole, where they stand, and the sheets they are spread over.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    stack : Stack
        One of its stacks.
    tape : Tape
        How lengths are shown.
    paper : str
        letter or a4.

    Returns
    -------
    PolePlan
        Strips, places and sheets. Sheets are named 1A, 1B, ...: the number of the
        stack, and a letter from the top.

    Raises
    ------
    SheetError
        There is no such paper, or the pole would take more sheets than there are letters.
    """
    strips = _strips(setup, stack, tape)
    room = sheet_room_mm(paper)
    wide = GAP_MM + len(strips) * (STRIP_MM + GAP_MM)
    number = setup.stacks.index(stack) + 1
    tall = 0.0
    joints: tuple[float, ...] = ()
    while True:
        laid = tuple(_lay(strip, place, joints) for place, strip in enumerate(strips))
        # Where the joints lie depends on how tall the pole is, and labels that get out of their
        # way may make it taller; it never gets shorter again, so that this comes to an end.
        tall = max(tall, *(one.top_mm + GAP_MM for one in laid))
        lines = [one.zero_mm + mark.height_mm for one in laid for mark in one.strip.marks]
        box = Box(0.0, 0.0, wide, tall)
        tiling = tiled(box, room_mm=room, overlap_mm=overlap_mm(tape), lines_y_mm=lines)
        if tiling.joints_y_mm == joints:
            tiles = tuple(replace(tile, name=f"{number}{tile.name[0]}") for tile in tiling.tiles)
            return PolePlan(number, laid, replace(tiling, tiles=tiles))
        joints = tiling.joints_y_mm
