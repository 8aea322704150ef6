"""Small linear programs, solved exactly by the dual simplex method.

maximize c.x subject to A x <= b, with few unknowns (4 to 7) and many rows.
A basis of as many rows as unknowns, whose multipliers are not negative, is
kept; the most violated row enters until none is violated. When only b changes
a basis stays valid, so the next program of a family takes a few steps.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from pithline.arrays import Floats, Indices
from pithline.errors import SolverError

__all__ = ["Solution", "solve"]

_FEASIBLE = 1e-9
"""Violation that counts as none [unit of b]; rows are scaled near one."""

_PIVOT = 1e-9
"""Entries of the pivot row below this are taken as zero."""

_SLACK = 1e-11
"""Multipliers this far under zero are let pass within a step, and taken as zero."""

_NEGATIVE = 1e-7
"""A multiplier further under zero than this is no start."""

_PATIENCE = 60
"""Steps by the greatest violation before the rule that cannot cycle is used."""

_LIMIT = 2_000
"""Steps after which the solver gives up."""


@dataclass(frozen=True, eq=False)
class Solution:
    """Answer to one program, with what proves it.

    Attributes: `status`, `best` or `infeasible`; `x` (k,); `basis` (k,) row
    numbers; `duals` (k,) multipliers of the basis rows, not negative, whose
    combination of rows equals c; `value` c.x. Where the program is infeasible,
    `basis` and `duals` hold rows whose combination reads 0 <= `value` < 0.
    """

    status: Literal["best", "infeasible"]
    x: Floats
    basis: Indices
    duals: Floats
    value: float


def _ray(entering: int, basis: Indices, row: Floats, b: Floats) -> Solution:
    """Rows that together cannot be satisfied: the entering one and the basis."""
    rows = np.append(basis, entering)
    weights = np.append(np.maximum(-row, 0.0), 1.0)
    keep = weights > 0.0
    rows, weights = rows[keep], weights[keep]
    return Solution("infeasible", np.empty(0), rows, weights, float(weights @ b[rows]))


def _leaving(duals: list[float], row: list[float], basis: Indices, *, careful: bool) -> int:
    """Position in the basis that leaves, or -1 where none can.

    Among multipliers that run out first, within a hair, the one with the
    largest pivot leaves, which keeps the basis far from singular.
    """
    least = min(
        ((dual + _SLACK) / entry for dual, entry in zip(duals, row, strict=True) if entry > _PIVOT), default=math.inf
    )
    best = -1
    for k, (dual, entry) in enumerate(zip(duals, row, strict=True)):
        if entry <= _PIVOT or dual / entry > least:
            continue
        if best < 0 or (basis[k] < basis[best] if careful else entry > row[best]):
            best = k
    return best


def _start(a: Floats, c: Floats, basis: Indices) -> tuple[Floats, Floats]:
    """Inverse and multipliers of a start basis."""
    try:
        inverse: Floats = np.asarray(np.linalg.inv(a[basis]), dtype=np.float64)
    except np.linalg.LinAlgError as error:
        raise SolverError("the basis is singular") from error
    duals = c @ inverse
    if not duals.min() >= -_NEGATIVE:
        raise SolverError("the start basis has a negative multiplier")
    return inverse, np.maximum(duals, 0.0)


def solve(a: Floats, b: Floats, *, c: Floats, basis: Indices) -> Solution:
    """Best x of: maximize c.x subject to a x <= b.

    Parameters
    ----------
    a : (m, k) float
        Rows, scaled near one.
    b : (m,) float
        Right-hand sides.
    c : (k,) float
        What to maximize.
    basis : (k,) int
        Rows to start from; c must be a combination of them with no negative
        weight.

    Returns
    -------
    Solution
        Exact to rounding, or infeasible with the rows that contradict.

    Raises
    ------
    SolverError
        The start basis does not serve, or no end was found in 2,000 steps.

    Source
    ------
    Lemke, C. E. (1954), The dual method of solving the linear programming
    problem, Naval Res. Logist. Q. 1 (from memory); the rule against cycling is
    Bland's (1977, from memory).
    """
    basis = np.array(basis, dtype=np.int64)
    inverse, duals = _start(a, c, basis)
    # Long rows, one for each unknown, are walked twice as fast as short ones.
    columns = np.ascontiguousarray(a.T)
    over = np.empty(len(b))
    for step in range(_LIMIT):
        x = inverse @ b[basis]
        np.dot(x, columns, out=over)
        np.subtract(over, b, out=over)
        careful = step >= _PATIENCE
        entering = int(over.argmax())
        if careful and over[entering] > _FEASIBLE:
            entering = int(np.flatnonzero(over > _FEASIBLE)[0])
        if over[entering] <= _FEASIBLE:
            return Solution("best", x, basis, duals, float(c @ x))
        row = columns[:, entering] @ inverse
        k = _leaving(duals.tolist(), row.tolist(), basis, careful=careful)
        if k < 0:
            return _ray(entering, basis, row, b)
        share = duals[k] / row[k]
        duals -= share * row
        duals[k] = share
        np.maximum(duals, 0.0, out=duals)
        column = inverse[:, k] / row[k]
        row[k] -= 1.0
        inverse -= column[:, None] * row
        basis[k] = entering
        if step % 25 == 24:
            inverse, duals = _start(a, c, basis)
    raise SolverError(f"no best placement found in {_LIMIT} steps of the linear program")
