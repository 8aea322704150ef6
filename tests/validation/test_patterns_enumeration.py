"""Small logs sawn in every way there is on a coarse grid, written apart from the search.

Every stack of layers is tried, from every height half an inch apart, top layer first: each timber of the list either
way up, alone, two side by side, two of a kind or of two kinds, four quartered; each board; waste between. A
timber stands everywhere on a grid across its cant, and midway; beside it every row of boards. The log is turned in
steps of 45 degrees from where its crown lies level. A board is the widest straight strip over every pair of
stations, which is a linear program: it is solved exactly at the corners of its dual, and scipy says the same.
Time is reckoned by the kit as the program does. No module of the program's search is used: of its patterns only the
center line and the frame about it are, of the set-up whether bearers and rail stand over a face.

What the program offers first must not be beaten. Kind of all expected values: oracle. All logs are invented.
"""

import itertools
import math
from dataclasses import dataclass, replace
from functools import cache, cached_property

import numpy as np
import pytest
from scipy.optimize import linprog

from conftest import Outside
from pithline.errors import KitError
from pithline.fit import Timber
from pithline.logs import TallyLog, solid_from_tally
from pithline.patterns import PriceList, WantedBoard, WantedTimber, best_patterns
from pithline.patterns.frame import center_line, frame_on
from pithline.setup import stand_rail
from strategies import FOOT, INCH, KIT, altered

BF_MM3 = 144.0 * INCH**3
WOOD = math.cos(math.pi / 72)
"""What lies in an ellipse of this share lies in its polygon of 72 sides, which is what counts as wood."""
WIDTH_STEP_MM = INCH / 16
"""Boards are told in whole sixteenths."""


@dataclass(frozen=True)
class Layer:
    """What one layer may hold: kinds of timber, in columns across and rows, or a board."""

    kinds: tuple[int, ...] = ()
    across_mm: tuple[float, ...] = ()
    up_mm: float = 0.0
    rows: int = 1
    board: int | None = None


@dataclass(frozen=True)
class Case:
    """A log to saw in every way."""

    name: str
    row: TallyLog
    timbers: tuple[WantedTimber, ...] = ()
    boards: tuple[WantedBoard, ...] = ()
    mill_mm: float = 22 * INCH
    hour: float = 6.0
    kerf_mm: float = 0.375 * INCH
    step_mm: float = 0.5 * INCH
    place_mm: float = 0.5 * INCH
    turns: int = 4
    short: float = 0.0
    why: str = ""

    @property
    def kit(self):
        """A kit whose bearers stand on small flats."""
        kit = altered(altered(KIT, "bearers", base_width_mm=60.0), "mill", cut_width_mm=self.mill_mm)
        return altered(altered(kit, "work", cost_an_hour=self.hour), "saw", kerf_mm=self.kerf_mm)

    @property
    def prices(self):
        """Its list."""
        return PriceList(self.timbers, self.boards)

    @cached_property
    def log(self):
        """Its solid."""
        return solid_from_tally(self.row)


@cache
def ours(case):
    """What the program offers first."""
    return best_patterns(case.log, case.prices, kit=case.kit).patterns[0]


def sorts(case):
    """Every layer that a list allows."""
    timbers = [item.timber for item in case.timbers]
    sides = {(kind, t.cut_width_mm, t.cut_thickness_mm) for kind, t in enumerate(timbers)}
    sides |= {(kind, up, across) for kind, across, up in sides if timbers[kind].sawn_faces == 4}
    enough = [math.inf if item.count is None else item.count for item in case.timbers]
    for kind, across, up in sorted(sides):
        yield Layer((kind,), (across,), up)
        if timbers[kind].sawn_faces == 4:
            for rows in (1, 2):
                if enough[kind] >= 2 * rows:
                    yield Layer((kind, kind), (across, across), up, rows)
    for one, other in itertools.permutations(sorted(sides), 2):
        four = all(timbers[kind].sawn_faces == 4 for kind in (one[0], other[0]))
        if one[0] != other[0] and one[2] == other[2] and four:
            yield Layer((one[0], other[0]), (one[1], other[1]), one[2])
    yield from (Layer(up_mm=board.thickness_mm, board=number) for number, board in enumerate(case.boards))


def widest_strips(z, low, high):
    """Width (n, n) of the widest straight strip from one station to another, exact.

    For a slope b it is min(high - b z) - max(low - b z), which is concave in b and bends only where two of the
    stations lie on one edge: at the slopes between them.
    """
    first, last = np.triu_indices(len(z), 1)
    rise = z[last] - z[first]
    slopes = np.concatenate([(edge[last] - edge[first]) / rise for edge in (low, high)])
    right, left = (edge[:, None] - z[:, None] * slopes for edge in (high, low))
    found = np.full((len(z), len(z)), -np.inf)
    for i in range(len(z)):
        width = np.minimum.accumulate(right[i:]) - np.maximum.accumulate(left[i:])
        found[i, i:] = width.max(axis=1)
    return found


class Sawyer:
    """Saws one log at one turn in every way."""

    def __init__(self, case, turn_deg, line=None):
        self.case, self.kit, log = case, case.kit, case.log
        line = line or center_line(log, 0.0, end_mm=log.length_mm)
        self.solid = frame_on(log, (0.0, log.length_mm), roll_deg=turn_deg, centers_mm=line).solid
        self.z, self.long = self.solid.z_mm, log.length_mm
        self.kerf, self.minute = self.kit.saw.kerf_mm, self.kit.work.cost_an_hour / 60.0
        inverse = np.linalg.inv(self.solid.shape_mm)
        self.form = np.einsum("nki,nkj->nij", inverse, inverse)
        pith = self.solid.pith_mm
        self.pith = [(float(pith[:, axis].min()), float(pith[:, axis].max())) for axis in (0, 1)]
        self.tables = {}
        self.best, self.tried, self.stack = 0.0, 0, []
        self.sorts = list(sorts(case))

    def known(self, name, *key):
        """A method's answer, worked out once."""
        if (name, *key) not in self.tables:
            self.tables[name, *key] = getattr(self, name)(*key)
        return self.tables[name, *key]

    def chord(self, at, axis, share):
        """Limits along a line at a height (axis 1) or a plumb one (axis 0), the first above the second for none."""
        own, other = axis, 1 - axis
        away = at - self.solid.center_mm[:, own]
        a, b = self.form[:, other, other], self.form[:, own, other] * away
        c = self.form[:, own, own] * away**2 - share**2
        root = b**2 - a * c
        half, middle = np.sqrt(np.maximum(root, 0.0)) / a, self.solid.center_mm[:, other] - b / a
        none = root < 0.0
        return np.where(none, 1e6, middle - half), np.where(none, -1e6, middle + half)

    def wood(self, at, axis):
        """What counts as wood on a line."""
        return self.known("chord", round(at, 6), axis, WOOD)

    def pass_cost(self, line, axis, band):
        """Cost of a pass whose kerf has its lower side at a line, within a band of a cant; inf if the mill cannot."""
        work, mill = self.kit.work, self.kit.mill
        widths = []
        for at in (line, line + 0.5 * self.kerf, line + self.kerf):
            low, high = self.chord(at, axis, 1.0)
            if band is not None:
                low, high = np.maximum(low, band[0]), np.minimum(high, band[1])
            widths.append(np.maximum(high - low, 0.0))
        most = mill.cut_width_mm - (2.0 * self.solid.bark_mm if band is None else 0.0)
        if np.max(widths) > most:
            return math.inf
        area = float(np.sum(0.5 * (widths[1][1:] + widths[1][:-1]) * np.diff(self.z)))
        return self.minute * (work.pass_min + area / (self.kit.saw.feed_m2_min * 1e6))

    def board(self, number, start, axis, band):
        """Worth of the best board with a face at a place, edging paid, and where along the log it lies."""
        board, work = self.case.boards[number], self.kit.work
        near, far = self.wood(start, axis), self.wood(start + board.thickness_mm, axis)
        low, high = np.maximum(near[0], far[0]), np.minimum(near[1], far[1])
        if band is not None:
            low, high = np.maximum(low, band[0]), np.minimum(high, band[1])
        # A board lies where the wood is wide enough.
        (wide,) = np.nonzero(high - low >= board.least_width_mm)
        if len(wide) < 2 or self.z[wide[-1]] - self.z[wide[0]] < board.least_length_mm:
            return 0.0, None
        there = slice(wide[0], wide[-1] + 1)
        z = self.z[there]
        width = np.floor(widest_strips(z, low[there], high[there]) / WIDTH_STEP_MM + 1e-9) * WIDTH_STEP_MM
        length = z[None, :] - z[:, None]
        good = (width >= board.least_width_mm - 1e-6) & (length >= board.least_length_mm - 1e-6)
        worth = board.value_bf * board.thickness_mm * width * length / BF_MM3
        worth -= self.minute * (work.edge_min + 2.0 * board.thickness_mm * length / (self.kit.saw.feed_m2_min * 1e6))
        worth = np.where(good, worth, 0.0)
        pick = np.unravel_index(int(worth.argmax()), worth.shape)
        return (float(worth[pick]), (float(z[pick[0]]), float(z[pick[1]]))) if worth[pick] > 0.0 else (0.0, None)

    def beside(self, face, sign, band):
        """Best worth of every row of boards outward from a block's face, their passes paid, and the outermost board."""
        best = (0.0, None)
        for number, board in enumerate(self.case.boards):
            inner = face + sign * self.kerf
            outer = inner + sign * board.thickness_mm
            worth, span = self.known("board", number, round(min(inner, outer), 6), 0, band)
            if span is None:
                continue
            cost = self.known("pass_cost", round(outer - (self.kerf if sign < 0 else 0.0), 6), 0, band)
            more, last = self.known("beside", round(outer, 6), sign, band)
            if worth - cost + more > best[0]:
                best = (worth - cost + more, last or (outer, span, board.thickness_mm))
        return best

    def timbers_of(self, layer):
        """Worth of a layer's timbers, crosscuts paid, and how many of each kind."""
        used, worth = {}, 0.0
        for kind in layer.kinds * layer.rows:
            item = self.case.timbers[kind]
            long = item.timber.length_mm or self.long
            copies = int((self.long + self.kerf + 0.5) // (long + self.kerf))
            size = item.timber.thickness_mm * item.timber.width_mm * min(long, self.long)
            worth += copies * item.value_bf * size / BF_MM3 - self.minute * self.kit.work.buck_min * (copies - 1)
            used[kind] = used.get(kind, 0) + copies
        return worth, used

    def hearts_held(self, layer, left, low):
        """Whether the pith keeps to the heart rules of a layer's timbers."""
        at = left
        for column, kind in enumerate(layer.kinds):
            timber = self.case.timbers[kind].timber
            for row in range(layer.rows):
                box = (
                    (at, at + layer.across_mm[column]),
                    (low + row * (layer.up_mm + self.kerf), low + row * (layer.up_mm + self.kerf) + layer.up_mm),
                )
                m = timber.heart_margin_mm
                pairs = list(zip(box, self.pith, strict=True))
                if timber.heart == "boxed" and not all(a + m <= p and q <= b - m for (a, b), (p, q) in pairs):
                    return False
                if timber.heart == "free" and not any(q <= a - m or p >= b + m for (a, b), (p, q) in pairs):
                    return False
            at += layer.across_mm[column] + self.kerf
        return True

    def layer(self, number, low):
        """Best worth of a layer standing at a height, all but its level passes paid; what it uses; how it is opened."""
        layer = self.sorts[number]
        if layer.board is not None:
            worth, span = self.board(layer.board, low, 1, None)
            return None if span is None else (worth, {}, ("board", span, layer.up_mm))
        case, work, kerf = self.case, self.kit.work, self.kerf
        faces = case.timbers[layer.kinds[0]].timber.sawn_faces if len(layer.kinds) == 1 else 4
        across = sum(layer.across_mm) + kerf * (len(layer.across_mm) - 1)
        up = layer.up_mm * layer.rows + kerf * (layer.rows - 1)
        wane = min(case.timbers[kind].timber.wane_mm for kind in layer.kinds)
        lines = [self.wood(at, 1) for at in (low, low + up, low + wane, low + up - wane)]
        # Of a corner with wane both ends of its chamfer lie in the wood.
        reach = [(float(line[0].max()), float(line[1].min())) for line in lines]
        left = max([least - wane for least, _ in reach[:2]] + [least for least, _ in reach[2:]])
        right = min([most + wane for _, most in reach[:2]] + [most for _, most in reach[2:]])
        if right - left < across:
            return None
        widest = max(float((line[1] - line[0]).max()) for line in lines[:2])
        if faces != 2 and widest > work.slender * up:
            return None
        own, used = self.timbers_of(layer)
        band, best = (low, low + up), None
        step = case.place_mm
        for x in (0.5 * (left + right - across), *np.arange(math.ceil(left / step) * step, right - across, step)):
            found = self.placed(layer, float(x), band, (across, faces))
            if found is not None and (best is None or own + found[0] > best[0]):
                best = (own + found[0], used, found[1])
        return best

    def placed(self, layer, x, band, size):
        """A cant with its block at a place: worth of the boards beside it less all cost, and how it is opened."""
        work, kerf = self.kit.work, self.kerf
        across, faces = size
        if not self.hearts_held(layer, x, band[0]):
            return None
        if faces == 2:
            return 0.0, None
        cost = self.minute * (work.turn_min + work.rail_min)
        if faces == 3:
            # The side that stays as it grew may be either; the program saws the left one, seen as the log lies.
            return -cost - self.known("pass_cost", round(x - kerf, 6), 0, band), ("cant", x, x + across, None, None)
        edges = [x - kerf, x + across]
        at = x
        for wide in layer.across_mm[:-1]:
            at += wide
            edges.append(at)
            at += kerf
        cost += sum(self.known("pass_cost", round(edge, 6), 0, band) for edge in edges)
        if layer.rows > 1:
            at = x
            for wide in layer.across_mm:
                cost += self.minute * work.turn_min
                # A level pass through one column.
                cost += self.pass_cost(band[0] + layer.up_mm, 1, (at, at + wide))
                at += wide + kerf
        west, east = (self.known("beside", round(face, 6), sign, band) for face, sign in ((x, -1), (x + across, 1)))
        return west[0] + east[0] - cost, ("cant", x, x + across, west[1], east[1])

    def stands(self, solid, line, within, board):
        """Whether bearers and rail stand over a face, and leave the piece below whole."""
        log, half = solid, None
        if within is not None:
            half = 0.5 * (within[1] - within[0])
            log = replace(log, center_mm=log.center_mm - np.array([0.5 * (within[0] + within[1]), 0.0]))
        ends, spare = (0.0, self.long), 0.0
        if board is not None:
            ends, spare = (board[0][0] - 1.0, board[0][1] + 1.0), board[1] + self.kerf
        try:
            stand = stand_rail(self.kit, log, line_mm=line, within_mm=half, ends_mm=ends)
        except KitError:
            return False
        mill = self.kit.mill
        if not mill.setting_min_mm - 1e-6 <= stand.setting_mm <= mill.setting_max_mm + 1e-6:
            return False
        return all(line + stand.datum_mm - bearer.height_mm >= line - spare - 1e-6 for bearer in stand.bearers)

    def quarter(self, sign):
        """The log rolled a quarter turn, clockwise for +1."""
        turn = np.array([[0.0, sign], [-sign, 0.0]])
        solid = self.solid
        return replace(
            solid,
            center_mm=solid.center_mm @ turn.T,
            shape_mm=turn @ solid.shape_mm @ turn.T,
            pith_mm=solid.pith_mm @ turn.T,
        )

    def can_be_sawn(self, stack):
        """Whether the log and every cant can be opened."""
        low, (_, _, opening) = stack[0][1], stack[0][2]
        top = low + self.height(self.sorts[stack[0][0]])
        over = opening[1:] if opening is not None and opening[0] == "board" else None
        if not self.stands(self.solid, top, None, over):
            return False
        for number, low, (_, _, opening) in stack:
            if opening is None or opening[0] == "board":
                continue
            band = (low, low + self.height(self.sorts[number]))
            left, right, west, east = opening[1:]
            ways = [(1, -(west[0] if west else left), west), (-1, east[0] if east else right, east)]
            for sign, line, side in ways:
                within = band if sign > 0 else (-band[1], -band[0])
                if self.stands(self.quarter(sign), line, within, side[1:] if side else None):
                    break
            else:
                return False
        return True

    def height(self, layer):
        """Of a layer."""
        return layer.up_mm * layer.rows + self.kerf * (layer.rows - 1)

    def may_lie(self, line):
        """Whether enough wood is left lying under a pass, as a mean along the log."""
        gram = self.solid.shape_mm @ self.solid.shape_mm
        lowest = self.solid.center_mm[:, 1] - np.sqrt(gram[:, 1, 1])
        return float((line - lowest).mean()) >= self.kit.work.rest_mm

    def below(self, line, worth, left, stack):
        """Put every layer under a face that is sawn already, its pass paid; count what is finished."""
        mill = self.kit.mill
        for number, layer in enumerate(self.sorts):
            up = self.height(layer)
            if not mill.setting_min_mm <= up <= mill.setting_max_mm:
                continue
            found = self.known("layer", number, round(line - up, 6))
            if found is None or any(left[kind] < many for kind, many in found[1].items()):
                continue
            face = line - up - self.kerf
            now = worth + found[0] - self.known("pass_cost", round(face, 6), 1, None)
            if now == -math.inf:
                continue
            rest = list(left)
            for kind, many in found[1].items():
                rest[kind] -= many
            whole = [*stack, (number, line - up, found)]
            self.tried += 1
            if now > self.best + 1e-9 and self.known("may_lie", round(face, 6)) and self.can_be_sawn(whole):
                self.best, self.stack = now, whole
            self.below(face, now, rest, whole)
            self.over_waste(face, now, rest, whole)

    def over_waste(self, line, worth, left, stack):
        """The same with waste between: one more pass."""
        if sum(1 for _ in stack) > 1:
            return
        least = self.kerf + self.kit.mill.setting_min_mm
        for gap in np.arange(1, 5) * self.case.step_mm:
            if gap >= least:
                cost = self.known("pass_cost", round(line - gap, 6), 1, None)
                if cost < math.inf:
                    self.below(line - float(gap), worth - cost, left, stack)

    def all_ways(self):
        """The best of all, value less cost."""
        work, step = self.kit.work, self.case.step_mm
        gram = self.solid.shape_mm @ self.solid.shape_mm
        top = float((self.solid.center_mm[:, 1] + np.sqrt(gram[:, 1, 1])).max())
        start = self.minute * (work.turn_min + work.rail_min)
        left = [math.inf if item.count is None else item.count for item in self.case.timbers]
        for face in np.arange(math.floor(-top / step), math.ceil(top / step)) * step:
            cost = self.known("pass_cost", round(float(face), 6), 1, None)
            if cost < math.inf:
                self.below(float(face), -start - cost, left, [])
        return self.best


def timber(name, across, up, *, count=None, value=1.5, **rules):
    """A timber of a list, sizes in inches."""
    return WantedTimber(name, Timber(up * INCH, across * INCH, **rules), count=count, value_bf=value)


def log(length, butt, tip, **more):
    """A row of the yard, its length in feet, its diameters in inches."""
    inside = {"bark_mm": 0.0} | more
    return TallyLog("small", "spruce", length * FOOT, butt * INCH, tip * INCH, **inside)


INCH_BOARD = WantedBoard("board", INCH, 4 * INCH, 4 * FOOT, 0.7)
PLANK = WantedBoard("plank", 1.75 * INCH, 5 * INCH, 5 * FOOT, 0.8)
POST = timber("post", 5, 5, count=2, value=1.6, wane_mm=8.0)
JOIST = timber("joist", 6, 3, count=2, value=1.5)
SILL = timber("sill", 7, 5.5, count=1, value=1.8, heart="boxed", heart_margin_mm=15.0)
STUD = timber("stud", 3.5, 2, count=4, value=1.3, length_mm=8 * FOOT)
RAFTER = timber("rafter", 5, 2.5, count=2, value=1.5, heart="free", heart_margin_mm=3.0)
BENT = {"crown_mm": 1.6 * INCH, "crown_clock": 10.3}
OVAL = {"butt_2_mm": 12.5 * INCH, "tip_2_mm": 11.25 * INCH, "oval_clock": 1.7}
PITHS = {"butt_pith_mm": 14.0, "butt_pith_clock": 2.2, "tip_pith_mm": 9.0, "tip_pith_clock": 8.8}

CASES = (
    Case("straight, loose", log(8, 11, 10.5), (POST, JOIST), (INCH_BOARD,)),
    Case("straight, tight", log(8, 9.25, 9), (SILL, JOIST), (INCH_BOARD,), step_mm=0.25 * INCH),
    Case("straight, no boards", log(8, 12, 11.5), (POST, JOIST)),
    Case("straight, boards only", log(8, 10, 9.5), (), (INCH_BOARD, PLANK)),
    Case("crowned", log(9, 11.5, 10.5, **BENT), (POST, STUD), (INCH_BOARD,), place_mm=INCH),
    Case("crowned, tight", log(9, 11, 10, **BENT), (SILL, RAFTER), (INCH_BOARD,)),
    Case("crowned, boards only", log(10, 10.5, 9, **BENT), (), (INCH_BOARD, PLANK)),
    Case("oval, pith aside", log(8, 10, 9.25, **OVAL, **PITHS), (SILL, RAFTER), (INCH_BOARD,)),
    Case("tapered", log(9, 14, 9.5), (JOIST, STUD), (PLANK,)),
    Case("tapered, boards only", log(9, 13, 8), (), (INCH_BOARD, PLANK)),
    Case("narrow mill", log(8, 12, 11.5), (JOIST, STUD), (INCH_BOARD,), mill_mm=10.75 * INCH),
    Case("dear hours", log(8, 11.5, 11, **PITHS), (RAFTER, POST), (INCH_BOARD,), hour=14.0),
    Case("cheap hours, fine", log(8, 9.5, 9), (STUD,), (INCH_BOARD,), hour=2.0, step_mm=0.25 * INCH),
    Case("on edge or flat", log(9, 12.25, 11.25), (SILL, POST), (PLANK,), hour=12.0, place_mm=INCH),
    Case("planks or boards beside", log(7, 11.375, 11), (STUD, RAFTER), (INCH_BOARD, PLANK), hour=2.0, place_mm=INCH),
    Case("two sides or top", log(9, 10.875, 9), (STUD, SILL), (INCH_BOARD,), place_mm=INCH),
    Case(
        "thin kerf",
        log(8, 10.5, 10, crown_mm=11.0, crown_clock=4.1),
        (STUD, POST),
        (PLANK,),
        kerf_mm=9 * INCH / 32,
        short=0.003,
        why="Turns of a crooked log are compared by boards at three slants; the slant of the best may tell between "
        "turns that are alike otherwise.",
    ),
)


def best_of_all(case):
    """The best of every way at every turn, and how many stacks were tried."""
    clock = case.log.crown_clock
    base = 0.0 if clock is None else (3.0 - clock) * 30.0
    sawyers = [Sawyer(case, base + 45.0 * k) for k in range(case.turns)]
    return max(sawyer.all_ways() for sawyer in sawyers), sum(sawyer.tried for sawyer in sawyers)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_no_way_on_the_grid_beats_the_first_offered(outside: Outside, case: Case) -> None:
    best, tried = best_of_all(case)
    assert tried > 100
    assert best > 0.0
    # Minutes are reckoned from areas that agree to a few parts in a million.
    outside(
        source="Full enumeration of layers, places, side boards and turns on a coarse grid",
        what=f"{case.name}: our first way is worth as much as any of the grid, less {case.short:.1%}",
        printed=True,
        ours=ours(case).net >= best * (1.0 - case.short - 1e-5),
        kind="oracle",
        why=case.why,
    )


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_both_reckon_time_alike(case: Case) -> None:
    # Else one could win by cheap minutes: the first way's cost, from its passes, as the enumeration reckons them.
    way = ours(case)
    assert [(part.start_mm, part.end_mm) for part in way.parts] == [(0.0, case.log.length_mm)]
    part, work = way.parts[0], case.kit.work
    sawyer = Sawyer(case, part.roll_deg, (part.center_butt_mm, part.center_tip_mm))
    minutes = 0.0
    for position in way.positions:
        minutes += work.turn_min + (work.rail_min if position.stand is not None else 0.0)
        for cut in position.cuts:
            line, axis, band = cut.line_mm, 1, position.within_mm
            if position.turn_deg == 90.0:
                line, axis = -cut.line_mm - sawyer.kerf, 0
            elif position.turn_deg == -90.0:
                axis, band = 0, (-band[1], -band[0])
            minutes += sawyer.pass_cost(line, axis, band) / sawyer.minute
    for board in way.boards:
        minutes += work.edge_min + 2.0 * board.thickness_mm * board.length_mm / (case.kit.saw.feed_m2_min * 1e6)
    minutes += work.buck_min * sum(piece.start_mm > 1.0 for piece in way.timbers)
    assert way.cost == pytest.approx(minutes * sawyer.minute, rel=1e-6)
    assert way.net == pytest.approx(sum(piece.value for piece in way.pieces) - way.cost)


def test_the_widest_strip_is_the_one_a_linear_program_finds(outside: Outside) -> None:
    rng = np.random.default_rng(5)
    z = np.cumsum(rng.uniform(120.0, 400.0, 9))
    for number in range(6):
        bend = rng.uniform(-1.0, 1.0) * 90.0 * ((z - z.mean()) / np.ptp(z)) ** 2
        low, high = bend - rng.uniform(60.0, 110.0, 9), bend + rng.uniform(60.0, 110.0, 9)
        found = widest_strips(z, low, high)
        first, last = sorted(rng.choice(9, 2, replace=False))
        there = slice(first, last + 1)
        # Unknowns: place, slope, width; the strip's two edges stay within the limits.
        one, zero = np.ones_like(z[there]), np.zeros_like(z[there])
        rows = np.vstack([np.column_stack([one, z[there], one]), np.column_stack([-one, -z[there], zero])])
        answer = linprog(
            [0.0, 0.0, -1.0], A_ub=rows, b_ub=np.concatenate([high[there], -low[there]]), bounds=(None, None)
        )
        outside(
            source="scipy.optimize.linprog, the widest straight strip between two wane edges",
            what=f"flitch {number}, stations {first} to {last}, as the enumeration has it",
            printed=-answer.fun,
            ours=found[first, last],
            unit="mm",
            within=1e-6,
            kind="oracle",
        )
