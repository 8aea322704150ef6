"""The integer program of a plan and its linear relaxation, solved by HiGHS.

Columns are ways to saw a log, rows the logs and the timbers wanted:

    most   sum w_p x_p + sum v_k f_k
    with   low_l <= sum of x_p of log l <= 1            each log l
           f_k <= sum a_kp x_p,  0 <= f_k <= d_k        each kind k
           x_p 0 or 1
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import highspy
import numpy as np

from pithline.arrays import Floats, Indices
from pithline.errors import SolverError

__all__ = ["Chosen", "Duals", "Program", "solve_program", "solve_relaxation"]


@dataclass(frozen=True, eq=False)
class Program:
    """A plan as an integer program.

    Attributes: `log_of` (p,), the log of each way; `gives` (p, k), how many of
    each kind it gives; `worth` (p,), what it is worth besides them; `value` (k,)
    of one of a kind and `wanted` (k,), how many; `is_kept` (l,), logs of which
    one way must be chosen.
    """

    log_of: Indices
    gives: Floats
    worth: Floats
    value: Floats
    wanted: Floats
    is_kept: Indices


@dataclass(frozen=True, eq=False)
class Duals:
    """The relaxation.

    Attributes: its `value`; `of_log` (l,) and `of_kind` (k,), what one more
    would add; `share` (p,) of each way.
    """

    value: float
    of_log: Floats
    of_kind: Floats
    share: Floats


@dataclass(frozen=True, eq=False)
class Chosen:
    """A plan found.

    Attributes: `status`, within the gap asked for, stopped before, or none that
    keeps all rows; `ways` chosen, in order; `value`; `bound`, which no plan of these ways
    comes above; `nodes` searched.
    """

    status: Literal["proven", "stopped", "none"]
    ways: tuple[int, ...]
    value: float
    bound: float
    nodes: int


class _Quiet(highspy.Highs):
    """HiGHS that never prints: it would as soon as its callbacks are switched on, in the midst of an answer."""

    def enableCallbacks(self) -> None:  # noqa: N802 - the library's own name
        """Switch callbacks on, printing off first."""
        self.silent()
        highspy.Highs.enableCallbacks(self)


def _model(program: Program, *, whole: bool) -> highspy.HighsLp:
    """The program as HiGHS takes it, least cost instead of most worth."""
    ways, kinds = program.gives.shape
    logs = len(program.is_kept)
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = ways + kinds, logs + kinds
    model.col_cost_ = -np.concatenate([program.worth, program.value])
    model.col_lower_ = np.zeros(ways + kinds)
    most = np.ones(ways) if whole else np.full(ways, highspy.kHighsInf)
    model.col_upper_ = np.concatenate([most, program.wanted])
    model.row_lower_ = np.concatenate([program.is_kept.astype(float), np.full(kinds, -highspy.kHighsInf)])
    model.row_upper_ = np.concatenate([np.ones(logs), np.zeros(kinds)])
    starts, index, value = [0], [], []
    for way in range(ways):
        given = np.flatnonzero(program.gives[way])
        index += [int(program.log_of[way]), *(logs + given).tolist()]
        value += [1.0, *(-program.gives[way, given]).tolist()]
        starts.append(len(index))
    for kind in range(kinds):
        index.append(logs + kind)
        value.append(1.0)
        starts.append(len(index))
    model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
    model.a_matrix_.start_ = np.array(starts, dtype=np.int32)
    model.a_matrix_.index_ = np.array(index, dtype=np.int32)
    model.a_matrix_.value_ = np.array(value)
    if whole:
        integer, free = highspy.HighsVarType.kInteger, highspy.HighsVarType.kContinuous
        model.integrality_ = [integer] * ways + [free] * kinds
    return model


def _solver(program: Program, *, whole: bool) -> highspy.Highs:
    """HiGHS with the program, the same steps on every machine."""
    solver = _Quiet()
    for name, value in (("threads", 1), ("random_seed", 1), ("parallel", "off")):
        solver.setOptionValue(name, value)
    if solver.passModel(_model(program, whole=whole)) == highspy.HighsStatus.kError:
        raise SolverError("the plan's program was refused by its solver.")
    return solver


def solve_relaxation(program: Program) -> Duals | None:
    """The plan with ways that may be taken in part, and what one more log or timber would add.

    Parameters
    ----------
    program : Program
        Ways, logs and timbers.

    Returns
    -------
    Duals or None
        None where a log that must be sawn has no way.

    Raises
    ------
    SolverError
        The solver ended without an answer.

    Source
    ------
    definition: linear programming duality
    """
    solver = _solver(program, whole=False)
    solver.run()
    status = solver.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    if status != highspy.HighsModelStatus.kOptimal:
        raise SolverError(f"the plan's relaxation ended without an answer: {solver.modelStatusToString(status)}.")
    answer = solver.getSolution()
    logs, ways = len(program.is_kept), len(program.log_of)
    dual = -np.array(answer.row_dual)
    # Solving least cost, a row's dual tells by how much the cost falls.
    return Duals(
        value=-solver.getInfo().objective_function_value,
        of_log=dual[:logs],
        of_kind=np.maximum(dual[logs:], 0.0),
        share=np.array(answer.col_value)[:ways],
    )


def solve_program(
    program: Program,
    *,
    gap: float,
    nodes: int,
    start: tuple[int, ...] = (),
    is_going: Callable[[float, float], bool] | None = None,
) -> Chosen:
    """The plan of most worth.

    Parameters
    ----------
    program : Program
        Ways, logs and timbers.
    gap : float
        The search ends where the bound lies no further above, in the program's money.
    nodes : int
        The search ends after as many nodes.
    start : tuple of int
        Ways of a plan that is known: the answer where the search finds none better.
    is_going : callable
        Told value and bound as the search runs; False stops it.

    Returns
    -------
    Chosen
        Ways, value and bound.

    Raises
    ------
    SolverError
        The solver ended without an answer.

    Source
    ------
    definition: branch and bound, stopped by gap and nodes so that every
    machine finds the same
    """
    solver = _solver(program, whole=True)
    for name, value in (("mip_rel_gap", 0.0), ("mip_abs_gap", max(gap, 1e-6)), ("mip_max_nodes", nodes)):
        solver.setOptionValue(name, value)

    # The plan that is known is not handed to the solver: begun with one, and presolving, it has told that as the best.
    def heed(event: highspy.HighsCallbackEvent) -> None:
        data = event.data_out
        if is_going is not None and not is_going(-data.mip_primal_bound, -data.mip_dual_bound):
            event.interrupt()

    solver.cbMipInterrupt += heed
    solver.run()
    status, states = solver.getModelStatus(), highspy.HighsModelStatus
    info = solver.getInfo()
    if status == states.kInfeasible:
        return Chosen("none", (), -np.inf, -np.inf, 0)
    stopped = (states.kSolutionLimit, states.kInterrupt, states.kTimeLimit, states.kIterationLimit)
    if status != states.kOptimal and status not in stopped:
        raise SolverError(f"the plan's solver ended without an answer: {solver.modelStatusToString(status)}.")
    share = np.array(solver.getSolution().col_value)[: len(program.log_of)]
    if not np.isfinite(info.objective_function_value) or info.objective_function_value > 1e29 or not len(share):
        share = _as_solution_share(program, start)
    chosen = tuple(int(way) for way in np.flatnonzero(share > 0.5))
    worth = value_of(program, chosen)
    if start and value_of(program, start) > worth:
        chosen, worth = tuple(sorted(start)), value_of(program, start)
    bound = max(-info.mip_dual_bound, worth)
    done = bound - worth <= gap + 1e-5
    return Chosen("proven" if done else "stopped", chosen, worth, bound, int(info.mip_node_count))


def value_of(program: Program, ways: tuple[int, ...]) -> float:
    """What ways are worth together.

    Parameters
    ----------
    program : Program
        Ways, logs and timbers.
    ways : tuple of int
        Ways chosen.

    Returns
    -------
    float
        Their worth and that of the timbers that count.

    Source
    ------
    definition
    """
    had = program.gives[list(ways)].sum(axis=0)
    return float(program.worth[list(ways)].sum() + (program.value * np.minimum(had, program.wanted)).sum())


def _as_solution_share(program: Program, ways: tuple[int, ...]) -> Floats:
    """Which ways are chosen, as numbers."""
    share = np.zeros(len(program.log_of))
    share[list(ways)] = 1.0
    return share
