"""The integer program of a plan: small ones by hand, stopped ones, and silence. All numbers are invented."""

import itertools
import math

import numpy as np
import pytest

from pithline.match.program import Program, solve_program, solve_relaxation, value_of

LOGS, KINDS, WAYS = 14, 6, 9


def program(log_of, gives, worth, *, value, wanted, kept):
    """A program from plain lists."""
    return Program(
        log_of=np.array(log_of, dtype=np.int64),
        gives=np.array(gives, dtype=float).reshape(-1, len(value)),
        worth=np.array(worth, dtype=float),
        value=np.array(value, dtype=float),
        wanted=np.array(wanted, dtype=float),
        is_kept=np.array(kept, dtype=np.int64),
    )


def hard(*, kept=()):
    """A program whose relaxation is not whole, and which takes nodes."""
    rng = np.random.default_rng(11)
    gives = rng.integers(0, 4, (LOGS * WAYS, KINDS)) * (rng.random((LOGS * WAYS, KINDS)) < 0.45)
    return program(
        np.repeat(np.arange(LOGS), WAYS),
        gives,
        -rng.uniform(15.0, 40.0, LOGS * WAYS) - 3.0 * gives.sum(axis=1),
        value=rng.uniform(14.0, 26.0, KINDS),
        wanted=rng.integers(5, 9, KINDS),
        kept=[number in kept for number in range(LOGS)],
    )


HARD = hard()
BEST = solve_program(HARD, gap=0.0, nodes=100_000)


def by_hand(*, kept=(0, 0)):
    """Two logs: one gives two plates or a post, the other a post and a plate."""
    gives = [(2, 0), (0, 1), (1, 1)]
    return program([0, 0, 1], gives, [-9.0, -5.0, -8.0], value=[10.0, 7.0], wanted=[2, 1], kept=kept)


def test_the_best_ways_are_those_found_by_hand():
    # Derived apart: ways 0 and 2 give three plates of which two count, 20 + 7 - 9 - 8 = 10; way 0 alone 20 - 9 = 11;
    # ways 1 and 2 10 + 7 - 13 = 4; way 2 alone 17 - 8 = 9; way 1 alone 2.
    found = solve_program(by_hand(), gap=0.0, nodes=100)
    assert (found.status, found.ways) == ("proven", (0,))
    assert found.value == pytest.approx(11.0)
    assert found.bound == pytest.approx(11.0, abs=1e-5)


def test_a_log_that_is_kept_is_sawn_though_it_loses():
    found = solve_program(by_hand(kept=(0, 1)), gap=0.0, nodes=100)
    assert (found.status, found.ways) == ("proven", (0, 2))
    assert found.value == pytest.approx(10.0)


def test_the_value_of_ways_counts_no_timber_beyond_what_is_wanted():
    assert value_of(by_hand(), (0, 2)) == pytest.approx(10.0)
    assert value_of(by_hand(), (1, 2)) == pytest.approx(4.0)
    assert value_of(by_hand(), ()) == 0.0


def test_a_kept_log_without_a_way_leaves_no_plan():
    bare = program([0, 0], [(1, 0), (0, 1)], [-1.0, -1.0], value=[5.0, 5.0], wanted=[1, 1], kept=[0, 1])
    assert solve_relaxation(bare) is None
    found = solve_program(bare, gap=0.0, nodes=100)
    assert vars(found) == {"status": "none", "ways": (), "value": -math.inf, "bound": -math.inf, "nodes": 0}


def test_without_any_way_nothing_is_chosen_and_nothing_worth():
    empty = program([], [], [], value=[5.0, 6.0], wanted=[1, 2], kept=[0, 0, 0])
    duals = solve_relaxation(empty)
    assert duals is not None
    assert duals.value == pytest.approx(0.0)
    assert duals.share.shape == (0,)
    assert (duals.of_kind >= np.array([5.0, 6.0]) - 1e-9).all(), "one more timber would add its worth"
    found = solve_program(empty, gap=0.0, nodes=100)
    assert (found.status, found.ways, found.value) == ("proven", (), 0.0)
    assert found.bound == pytest.approx(0.0, abs=1e-6)


def test_without_any_way_a_kept_log_leaves_no_plan():
    empty = program([], [], [], value=[5.0], wanted=[1], kept=[0, 1])
    assert solve_relaxation(empty) is None
    assert solve_program(empty, gap=0.0, nodes=100).status == "none"


def test_ways_that_all_lose_are_left():
    dear = program([0, 1], [(1,), (1,)], [-6.0, -7.0], value=[5.0], wanted=[2], kept=[0, 0])
    found = solve_program(dear, gap=0.0, nodes=100)
    assert (found.status, found.ways, found.value) == ("proven", (), 0.0)


def test_the_hard_one_takes_nodes():
    # Else the tests of stopping would prove nothing.
    duals = solve_relaxation(HARD)
    assert BEST.status == "proven"
    assert BEST.nodes > 1
    assert duals.value > BEST.value + 1.0
    assert BEST.bound == pytest.approx(BEST.value, abs=1e-5)


def test_stopped_at_once_it_has_a_bound_and_at_least_the_plan_it_began_with():
    calls = []

    def never(value, bound):
        calls.append((value, bound))
        return False

    start = (1, 12, 20)
    found = solve_program(HARD, gap=0.0, nodes=100_000, start=start, is_going=never)
    assert calls, "it is asked"
    assert found.status == "stopped"
    assert found.value >= value_of(HARD, start) - 1e-9
    assert found.value == pytest.approx(value_of(HARD, found.ways))
    assert found.bound >= BEST.value - 1e-6


def test_stopped_at_the_best_plan_it_keeps_it():
    found = solve_program(HARD, gap=0.0, nodes=100_000, start=BEST.ways, is_going=lambda *_: False)
    assert found.status == "stopped"
    assert set(found.ways) == set(BEST.ways)
    assert found.value == pytest.approx(BEST.value)


def test_what_it_is_told_while_it_runs_brackets_the_best():
    told = []
    found = solve_program(
        HARD, gap=0.0, nodes=100_000, start=(1, 12, 20), is_going=lambda *pair: bool(told.append(pair)) or True
    )
    assert found.value == pytest.approx(BEST.value)
    assert told
    for value, bound in told:
        assert value <= BEST.value + 1e-6
        assert bound >= BEST.value - 1e-6


@pytest.mark.parametrize("nodes", [1, 2, 5])
def test_at_the_limit_of_nodes_it_stops_with_a_plan_and_a_bound(nodes):
    found = solve_program(HARD, gap=0.0, nodes=nodes, start=(1, 12, 20))
    assert found.nodes <= nodes
    assert found.value >= value_of(HARD, (1, 12, 20)) - 1e-9
    assert found.value <= BEST.value + 1e-6 <= found.bound + 2e-6
    assert found.status == ("proven" if found.bound - found.value <= 1e-6 else "stopped")


@pytest.mark.parametrize("gap", [5.0, 20.0, 60.0])
def test_within_the_gap_asked_for_it_is_proven(gap):
    found = solve_program(HARD, gap=gap, nodes=100_000)
    assert found.status == "proven"
    assert BEST.value - gap - 1e-6 <= found.value <= BEST.value + 1e-6
    assert found.value <= found.bound <= found.value + gap + 2e-6
    assert found.bound >= BEST.value - 1e-6


def test_at_most_one_way_of_a_log_and_one_of_each_kept():
    kept = (3, 7, 8)
    found = solve_program(hard(kept=kept), gap=0.0, nodes=100_000)
    logs = [int(HARD.log_of[way]) for way in found.ways]
    assert len(set(logs)) == len(logs)
    assert set(kept) <= set(logs)
    assert found.value <= BEST.value + 1e-6


def test_the_same_program_is_solved_the_same_way_twice():
    one, other = (solve_program(hard(), gap=0.0, nodes=100_000) for _ in range(2))
    assert vars(one) == vars(other)
    first, second = solve_relaxation(hard()), solve_relaxation(hard())
    assert first.value == second.value
    for name in ("of_log", "of_kind", "share"):
        assert np.array_equal(getattr(first, name), getattr(second, name))


def best_of_all(one):
    """The best of every choice of one way or none a log, None where kept logs have no way."""
    choices = []
    for number, kept in enumerate(one.is_kept):
        own = np.flatnonzero(one.log_of == number).tolist()
        choices.append([[way] for way in own] + ([] if kept else [[]]))
    values = []
    for choice in itertools.product(*choices):
        ways = [way for own in choice for way in own]
        counted = np.minimum(one.gives[ways].sum(axis=0), one.wanted)
        values.append(float(one.worth[ways].sum() + counted @ one.value))
    return max(values, default=None)


def random_program(rng):
    """A small one: up to five logs, four ways each, three kinds, some logs kept."""
    logs, kinds = int(rng.integers(1, 6)), int(rng.integers(1, 4))
    log_of = np.sort(rng.integers(0, logs, int(rng.integers(1, 4 * logs))))
    return program(
        log_of,
        rng.integers(0, 3, (len(log_of), kinds)),
        -rng.integers(1, 9, len(log_of)).astype(float),
        value=rng.integers(3, 12, kinds),
        wanted=rng.integers(1, 4, kinds),
        kept=(rng.random(logs) < 0.1) & np.isin(np.arange(logs), log_of),
    )


def test_whatever_plan_it_begins_with_it_finds_the_best():
    rng = np.random.default_rng(4)
    for _ in range(80):
        one = random_program(rng)
        best = best_of_all(one)
        kept = [int(np.flatnonzero(one.log_of == log)[0]) for log in np.flatnonzero(one.is_kept)]
        starts = [tuple(kept)] if kept else [(), *((way,) for way in range(len(one.log_of)))]
        for start in starts[:8]:
            found = solve_program(one, gap=0.0, nodes=1_000, start=start)
            assert found.status == "proven"
            assert found.value == pytest.approx(best, abs=1e-6), (start, vars(one))
            assert found.bound == pytest.approx(best, abs=1e-4)
            assert found.value == pytest.approx(value_of(one, found.ways))


def test_the_duals_of_logs_and_kinds_add_up_to_the_value():
    # Derived apart: one log with one way, a timber of 10 for 3; a second timber would add its 10.
    one = program([0], [(1,)], [-3.0], value=[10.0], wanted=[2], kept=[0])
    duals = solve_relaxation(one)
    assert duals.value == pytest.approx(7.0)
    assert duals.of_kind == pytest.approx([10.0])
    assert duals.of_log == pytest.approx([7.0]), "one more log like it adds all of it"
    rng = np.random.default_rng(9)
    for _ in range(100):
        one = random_program(rng)
        duals = solve_relaxation(one)
        above = float((one.wanted * np.maximum(one.value - duals.of_kind, 0.0)).sum())
        assert duals.value == pytest.approx(above + duals.of_log.sum(), abs=1e-6)
        assert duals.value >= best_of_all(one) - 1e-6
        assert (one.worth + one.gives @ duals.of_kind <= duals.of_log[one.log_of] + 1e-6).all()


def test_nothing_is_ever_printed(capfd):
    bare = program([0], [(1,)], [-1.0], value=[5.0], wanted=[1], kept=[0, 1])
    for one in (HARD, by_hand(), bare):
        solve_relaxation(one)
        solve_program(one, gap=0.0, nodes=100_000)
        solve_program(one, gap=0.0, nodes=1, is_going=lambda *_: True)
    solve_program(HARD, gap=0.0, nodes=100, start=BEST.ways, is_going=lambda *_: False)
    assert capfd.readouterr() == ("", "")
