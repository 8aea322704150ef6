"""The small linear-program solver against two general solvers, and its proofs by hand."""

import highspy
import numpy as np
import pytest
from scipy.optimize import linprog

from pithline.errors import SolverError
from pithline.fit.program import solve

HIGHS_MM = 1e-6
"""Within what the other solvers hold a row: their feasibility tolerance is 1e-7."""


def highs_value(a, b, c):
    """Greatest c.x subject to a x <= b by HiGHS itself; None where there is none."""
    rows, unknowns = a.shape
    model = highspy.HighsLp()
    model.num_col_, model.num_row_ = unknowns, rows
    model.col_cost_ = -c
    model.col_lower_ = np.full(unknowns, -highspy.kHighsInf)
    model.col_upper_ = np.full(unknowns, highspy.kHighsInf)
    model.row_lower_ = np.full(rows, -highspy.kHighsInf)
    model.row_upper_ = b
    model.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    model.a_matrix_.start_ = np.arange(rows + 1) * unknowns
    model.a_matrix_.index_ = np.tile(np.arange(unknowns), rows)
    model.a_matrix_.value_ = a.reshape(-1)
    highs = highspy.Highs()
    highs.setOptionValue("output_flag", False)
    highs.passModel(model)
    highs.run()
    status = highs.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None
    assert status == highspy.HighsModelStatus.kOptimal
    return -highs.getInfo().objective_function_value


def scipy_value(a, b, c):
    """Greatest c.x subject to a x <= b by scipy; None where there is none."""
    answer = linprog(-c, A_ub=a, b_ub=b, bounds=(None, None))
    if answer.status == 2:
        return None
    assert answer.status == 0
    return -answer.fun


def random_program(rng, *, kind):
    """Rows, limits, aim and a basis whose multipliers are not negative."""
    unknowns = int(rng.integers(2, 8))
    rows = int(rng.integers(unknowns + 1, 60))
    if kind == "whole":
        # Whole numbers tie all the time: every vertex is degenerate.
        a = rng.integers(-2, 3, size=(rows, unknowns)).astype(float)
        b = rng.integers(0, 3, size=rows).astype(float)
    else:
        a = rng.normal(size=(rows, unknowns))
        b = rng.normal(loc=1.0 if kind == "open" else -0.25, size=rows)
    if kind == "doubled":
        # Each row twice, the second time a hair or nothing looser.
        a = np.concatenate([a, a])
        b = np.concatenate([b, b + rng.choice([0.0, 1e-12, 1e-3], size=rows)])
    if kind == "one point":
        # Every row passes through one point.
        b = a @ rng.normal(size=unknowns)
    while True:
        basis = rng.choice(len(a), size=unknowns, replace=False)
        if np.linalg.cond(a[basis]) < 1e4:
            break
        a[basis] += rng.normal(scale=0.5, size=(unknowns, unknowns))
    weights = rng.uniform(0.0, 2.0, size=unknowns)
    weights[rng.uniform(size=unknowns) < 0.2] = 0.0
    return a, b, weights @ a[basis], basis


def check_proof(a, b, c, answer):
    """The multipliers prove the answer, with nothing but sums."""
    assert answer.duals.min() >= 0.0
    # Rows are near one, so what is left of the sums is rounding.
    room = 1e-9 * max(1.0, float(answer.duals.max()))
    combined = answer.duals @ a[answer.basis]
    if answer.status == "infeasible":
        assert combined == pytest.approx(np.zeros(a.shape[1]), abs=room)
        assert answer.duals @ b[answer.basis] == pytest.approx(answer.value)
        assert answer.value < 0.0
        return
    assert (a @ answer.x - b).max() <= 2e-9
    assert combined == pytest.approx(c, abs=room)
    assert answer.duals @ b[answer.basis] == pytest.approx(answer.value, abs=10.0 * room)
    assert c @ answer.x == pytest.approx(answer.value, abs=10.0 * room)
    assert len(set(answer.basis.tolist())) == a.shape[1]


@pytest.mark.parametrize("kind", ["open", "tight", "whole", "doubled", "one point"])
def test_random_programs_agree_with_two_other_solvers_and_prove_themselves(kind):
    rng = np.random.default_rng([20, *kind.encode()])
    seen = {"best": 0, "infeasible": 0}
    for number in range(250):
        a, b, c, basis = random_program(rng, kind=kind)
        answer = solve(a, b, c=c, basis=basis)
        seen[answer.status] += 1
        check_proof(a, b, c, answer)
        theirs = [highs_value(a, b, c)]
        if number % 4 == 0:
            theirs.append(scipy_value(a, b, c))
        for value in theirs:
            if answer.status == "infeasible":
                # A contradiction smaller than their tolerance is none to them.
                assert value is None or answer.value > -HIGHS_MM * answer.duals.sum()
            else:
                assert value == pytest.approx(answer.value, abs=HIGHS_MM * (1.0 + answer.duals.sum()))
    assert seen["best"] >= 20
    if kind in {"tight", "doubled"}:
        assert seen["infeasible"] >= 20


def test_the_start_does_not_matter():
    rng = np.random.default_rng(7)
    for _ in range(60):
        a, b, c, basis = random_program(rng, kind="open")
        first = solve(a, b, c=c, basis=basis)
        if first.status != "best":
            continue
        again = solve(a, b, c=c, basis=first.basis)
        assert again.value == pytest.approx(first.value, abs=1e-9)
        assert again.x == pytest.approx(first.x, abs=1e-9)


def test_when_only_the_limits_change_the_old_basis_serves():
    rng = np.random.default_rng(8)
    for _ in range(60):
        a, b, c, basis = random_program(rng, kind="open")
        first = solve(a, b, c=c, basis=basis)
        if first.status != "best":
            continue
        moved = b + rng.uniform(0.0, 0.3, size=len(b))
        warm = solve(a, moved, c=c, basis=first.basis)
        assert warm.value == pytest.approx(solve(a, moved, c=c, basis=basis).value, abs=1e-9)
        # More room is never worse.
        assert warm.value >= first.value - 1e-9


def test_a_program_that_ties_everywhere_does_not_run_in_circles():
    # A cone of 400 rows through one point: every basis gives the same corner.
    angle = np.linspace(0.0, 2.0 * np.pi, 400, endpoint=False)
    a = np.column_stack([np.cos(angle), np.sin(angle), np.ones(400)])
    b = np.zeros(400)
    answer = solve(a, b, c=np.array([0.0, 0.0, 1.0]), basis=np.array([0, 130, 260]))
    assert answer.value == pytest.approx(0.0, abs=1e-12)
    assert answer.x == pytest.approx([0.0, 0.0, 0.0], abs=1e-9)


def test_inputs_are_left_as_they_were():
    rng = np.random.default_rng(9)
    a, b, c, basis = random_program(rng, kind="open")
    before = [array.copy() for array in (a, b, c, basis)]
    solve(a, b, c=c, basis=basis)
    for array, copy in zip((a, b, c, basis), before, strict=True):
        assert np.array_equal(array, copy)


def test_two_walls_that_overlap_leave_no_room_and_say_which():
    # x <= -1 and x >= 1; y is held by two rows that are no part of the trouble.
    a = np.array([[1.0, 0.0], [-1.0, 0.0], [0.0, 1.0], [0.0, -1.0]])
    b = np.array([-1.0, -1.0, 5.0, 5.0])
    answer = solve(a, b, c=np.array([1.0, 1.0]), basis=np.array([0, 2]))
    assert answer.status == "infeasible"
    assert sorted(answer.basis.tolist()) == [0, 1]
    assert answer.value == pytest.approx(-2.0)


def test_a_start_that_cannot_serve_is_refused():
    a = np.array([[1.0, 0.0], [2.0, 0.0], [0.0, 1.0], [-1.0, 0.0]])
    b = np.ones(4)
    with pytest.raises(SolverError, match="singular"):
        solve(a, b, c=np.array([1.0, 1.0]), basis=np.array([0, 1]))
    with pytest.raises(SolverError, match="negative multiplier"):
        solve(a, b, c=np.array([1.0, 1.0]), basis=np.array([3, 2]))
