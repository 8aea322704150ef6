"""The best roll, with proof: branch and bound over the turn of the log.

At one roll the best placement is a linear program. The multipliers that prove
it hold at every other roll as well, since the roll changes only how far the
section reaches along each normal: they bound the answer there by

    v(t) <= (sum of l_r (d_r - f_r(t))) / (sum of l_r g_r(t)).

Between the rolls where a normal stands square to a side of the section f and
g bend downward, so that bound is greatest at the ends of such a piece. Cells
of roll are split until no bound is above the best answer by more than the
tolerance. Heart rules add rows that turn with the log; their part of the bound
is written out in `_heart_part`.
"""

import heapq
import itertools
import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from pithline.arrays import Floats, Indices
from pithline.errors import SolverError
from pithline.fit.program import Solution, solve
from pithline.fit.rows import Rows
from pithline.fit.timber import Growth

__all__ = ["Found", "HeartRule", "RollSearch", "Sample"]

_OBJECTIVE = np.array([0.0, 0.0, 0.0, 0.0, 1.0])

FIRST_SAMPLES = 4
"""Rolls tried before the first cell is split."""


@dataclass(frozen=True)
class HeartRule:
    """Where the pith must lie, as sides of the section: s e.(p - c) <= limit.

    Attributes: `sides`, each an axis (0 width, 1 thickness) and a sign s;
    `limits_mm` for each side; `across_mm` for each side, how far from the
    section's center the pith can lie along the other axis, less the clearance
    for every millimeter of it where `follows_clearance`.
    """

    sides: tuple[tuple[int, float], ...]
    limits_mm: tuple[float, ...]
    across_mm: tuple[float, ...]
    follows_clearance: bool = False

    def rows(self, rows: Rows, roll: float) -> tuple[Floats, Floats]:
        """Rows of the rule at one roll.

        Parameters
        ----------
        rows : Rows
            The wood, for its stations and pith.
        roll : float
            Roll of the log [rad].

        Returns
        -------
        (m, 5) float, (m,) float
            A and b; m = sides x stations, a side's stations together.

        Source
        ------
        definition
        """
        matrices, sides = [], []
        axes = np.array([[math.cos(roll), math.sin(roll)], [-math.sin(roll), math.cos(roll)]])
        weight = rows.along[:, None]
        for (axis, sign), limit in zip(self.sides, self.limits_mm, strict=True):
            normal = -sign * axes[axis]
            nothing = np.zeros((len(rows.along), 1))
            matrices.append(np.concatenate([normal * (1.0 - weight), normal * weight, nothing], axis=1))
            sides.append(limit + rows.pith_mm @ normal)
        return np.concatenate(matrices), np.concatenate(sides)


@dataclass(frozen=True, eq=False)
class Sample:
    """The program solved at one roll.

    Attributes: `value`, -inf where there is no answer; `x`, centers of both
    ends and v; `basis` of the wood's rows alone; `bound` on v over a stretch of
    rolls, for answers better than its third argument.
    """

    roll: float
    value: float
    x: Floats
    basis: Indices
    bound: Callable[[float, float, float], float]


@dataclass(frozen=True, eq=False)
class Found:
    """Outcome of a search.

    Attributes: `best`, None where no roll has an answer; `bound` above which no
    roll can come; `samples`, every roll solved; `proven` False where the search
    stopped at its limit.
    """

    best: Sample | None
    bound: float
    samples: tuple[Sample, ...]
    proven: bool


@dataclass(frozen=True)
class _Cut:
    """Multipliers of one program, as a bound at every other roll."""

    growth: Growth
    roll: float
    wood: tuple[tuple[float, float, float], ...]
    breaks: tuple[float, ...]
    total: float
    heart: tuple[tuple[float, float, float], ...]
    follows_clearance: bool
    is_ray: bool

    def at(self, roll: float) -> float:
        """Bound on v at a roll; for a ray, negative where nothing fits."""
        shape = self.growth
        width, rise, wane = shape.half_width_mm, shape.half_thickness_mm, shape.wane_mm
        turn_cos, turn_sin = math.cos(roll), math.sin(roll)
        top, bottom = self.total, 0.0
        for x, y, weight in self.wood:
            cos = abs(x * turn_cos + y * turn_sin)
            sin = abs(y * turn_cos - x * turn_sin)
            reach = width * cos + rise * sin
            if wane > 0.0:
                reach -= wane * min(cos, sin)
            top -= weight * reach
            if shape.clear != 1.0:
                bottom += weight * (shape.clear + shape.grow_width * cos + shape.grow_thickness * sin)
        # The weights of the wood add up to one where v is the clearance.
        if self.is_ray or shape.clear == 1.0:
            return top
        if bottom <= 1e-12:
            # No row grows with v here: the section at v = 0 fits, or no v will do.
            return math.inf if top >= 0.0 else -math.inf
        return top / bottom

    def over(self, low: float, high: float, held: float) -> float:
        """Greatest bound over a stretch of rolls, -inf where a ray rules all of it out.

        It holds for answers better than `held`.
        """
        most = max(self.at(low), self.at(high)) if high > low else self.at(low)
        quarter = self.growth.break_rad
        for angle in self.breaks:
            at = angle + math.ceil((low - angle) / quarter) * quarter
            while at < high:
                most = max(most, self.at(at))
                at += quarter
        most += self._heart_part(low, high, held)
        if self.is_ray:
            return -math.inf if most < -1e-9 else math.inf
        return most

    def _heart_part(self, low: float, high: float, held: float) -> float:
        """What the heart rows add over a stretch: weight (limit cos d + across |sin d|), d the turn.

        The rows turn by d against the ones the multipliers were found for. The
        pith lies within the rule's box, so the mismatch is at most this sum;
        `total` holds its value without the cosine term at d = 0.
        """
        if not self.heart:
            return 0.0
        near = 0.0 if low <= self.roll <= high else min(abs(low - self.roll), abs(high - self.roll))
        far = max(abs(low - self.roll), abs(high - self.roll))
        if far >= 0.5 * math.pi:
            return math.inf
        part = 0.0
        for weight, limit, reach in self.heart:
            across = max(reach - held, 0.0) if self.follows_clearance else reach
            if across == math.inf:
                return math.inf
            peak = math.atan2(across, limit)
            turn = min(max(peak, near), far)
            part += weight * (limit * math.cos(turn) + across * math.sin(turn))
        return part


@dataclass(frozen=True, eq=False)
class RollSearch:
    """Solves the placement program of one timber in one log at any roll.

    Attributes: `rows`, the wood; `growth`, the family of sections; `heart`, a
    rule or None.
    """

    rows: Rows
    growth: Growth
    heart: HeartRule | None = None

    def at(self, roll: float, *, near: Sample | None = None) -> Sample:
        """Solve the program at one roll.

        Parameters
        ----------
        roll : float
            Roll of the log [rad].
        near : Sample or None
            A roll already solved; from its basis this one takes few steps.

        Returns
        -------
        Sample
            Best placement there, with the bound it gives elsewhere.

        Source
        ------
        definition
        """
        matrix, right = self.rows.program(self.growth, roll)
        answer = self._wood(matrix, right, near)
        basis = answer.basis
        if answer.status != "best":
            if self.growth.clear > 0.0:
                raise SolverError("the wood's sections are not closed")
            # The given thickness alone is more than the log holds at this roll.
            return Sample(roll, -math.inf, answer.x, self.rows.start, self._cut(answer, right, roll).over)
        if self.heart is not None:
            more, more_right = self.heart.rows(self.rows, roll)
            right = np.concatenate([right, more_right])
            answer = solve(np.concatenate([matrix, more]), right, c=_OBJECTIVE, basis=answer.basis)
        cut = self._cut(answer, right, roll)
        value = answer.value if answer.status == "best" else -math.inf
        return Sample(roll, value, answer.x, basis, cut.over)

    def _wood(self, matrix: Floats, right: Floats, near: Sample | None) -> Solution:
        """The program of the wood's rows alone, from a near basis or else from the first."""
        if near is not None:
            try:
                return solve(matrix, right, c=_OBJECTIVE, basis=near.basis)
            except SolverError:
                # A basis near singular at this roll; the first one never is.
                pass
        return solve(matrix, right, c=_OBJECTIVE, basis=self.rows.start)

    def _cut(self, answer: Solution, right: Floats, roll: float) -> _Cut:
        """Turn multipliers into a bound on the answer at other rolls."""
        count = len(self.rows.angle)
        wood, breaks, heart, total = [], [], [], 0.0
        for row, weight in zip(answer.basis.tolist(), answer.duals.tolist(), strict=True):
            if weight <= 0.0:
                continue
            if row < count:
                x, y = self.rows.normal[row].tolist()
                wood.append((x, y, weight))
                breaks.append(float(self.rows.angle[row]))
                total += weight * float(self.rows.distance_mm[row])
            elif self.heart is not None:
                side = (row - count) // len(self.rows.along)
                limit = self.heart.limits_mm[side]
                heart.append((weight, limit, self.heart.across_mm[side]))
                total += weight * (float(right[row]) - limit)
        follows = self.heart is not None and self.heart.follows_clearance
        return _Cut(
            self.growth, roll, tuple(wood), tuple(breaks), total, tuple(heart), follows, answer.status != "best"
        )

    def best(self, period: float, *, tolerance: float, floor: float = -math.inf, limit: int) -> Found:
        """Search a whole period of rolls.

        Parameters
        ----------
        period : float
            Turn after which everything repeats [rad].
        tolerance : float
            How far the bound may stay above the best answer [mm].
        floor : float
            An answer already held; rolls that cannot beat it are left alone [mm].
        limit : int
            Programs solved before the search stops unproven.

        Returns
        -------
        Found
            Best sample, bound, and all samples.

        Source
        ------
        Branch and bound; the cuts are weak duality of linear programs (definition).
        """
        samples = [self.at(0.0)]
        for k in range(1, FIRST_SAMPLES + 1):
            samples.append(self.at(period * k / FIRST_SAMPLES, near=samples[-1]))
        held = max(floor, *(sample.value for sample in samples))
        cells: list[_Cell] = []
        serial = itertools.count()
        for left, right in itertools.pairwise(samples):
            _push(cells, next(serial), (left, right), held)
        while cells and -cells[0][0] > held + tolerance and len(samples) < limit:
            _, _, left, right, middle = heapq.heappop(cells)
            sample = self.at(middle, near=left if middle - left.roll < right.roll - middle else right)
            samples.append(sample)
            held = max(held, sample.value)
            _push(cells, next(serial), (left, sample), held)
            _push(cells, next(serial), (sample, right), held)
        bound = max(held, -cells[0][0]) if cells else held
        best = max(samples, key=lambda sample: sample.value)
        return Found(
            best=best if best.value > -math.inf else None,
            bound=bound,
            samples=tuple(samples),
            proven=bound <= held + tolerance,
        )


NARROWEST = 1e-7
"""Cells narrower than this are taken as one roll [rad]."""


_Cell = tuple[float, int, Sample, Sample, float]


def _push(cells: list[_Cell], serial: int, pair: tuple[Sample, Sample], held: float) -> None:
    """Bound the cell between two samples and queue it, greatest bound first."""
    left, right = pair
    if right.roll - left.roll < NARROWEST:
        return
    bound = min(left.bound(left.roll, right.roll, held), right.bound(left.roll, right.roll, held))
    middle = 0.5 * (left.roll + right.roll)
    if bound > held:
        middle = _crossing(left, right, held)
        split = max(_half(left, right, (left.roll, middle), held), _half(right, left, (middle, right.roll), held))
        bound = min(bound, split)
    if bound > -math.inf:
        heapq.heappush(cells, (-bound, serial, left, right, middle))


def _half(own: Sample, other: Sample, part: tuple[float, float], held: float) -> float:
    """Bound over one part of a cell, by its own sample or else by the other."""
    bound = own.bound(*part, held)
    return min(bound, other.bound(*part, held)) if bound == math.inf else bound


def _crossing(left: Sample, right: Sample, held: float) -> float:
    """Roll between two samples where their bounds are about equal."""
    low, high = left.roll, right.roll
    for _ in range(4):
        middle = 0.5 * (low + high)
        if left.bound(middle, middle, held) < right.bound(middle, middle, held):
            low = middle
        else:
            high = middle
    middle = 0.5 * (low + high)
    width = right.roll - left.roll
    return min(max(middle, left.roll + 0.05 * width), right.roll - 0.05 * width)
