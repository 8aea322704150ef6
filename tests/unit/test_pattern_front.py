"""The front of good ways: none of it is dispensable, none beaten, and the words say what is given up."""

import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import CROOKED
from pithline.arrays import frozen
from pithline.patterns import Pattern, Piece
from pithline.patterns.front import front_of
from strategies import KIT, generated

WHOLE = CROOKED.volume_mm3()

ALIKE = 0.02
"""Ways within 2 % of the first one's worth, time or log are taken as one: the function's own promise."""


def way(net, minutes, share):
    """A way of so much worth after cost, so many minutes, and a share of the log in one timber."""
    corners = frozen([[0.0, 0.0]] * 4)
    timber = Piece(
        name="timber",
        kind="timber",
        thickness_mm=share * WHOLE / 1e6,
        width_mm=1_000.0,
        start_mm=0.0,
        end_mm=1_000.0,
        part=0,
        corners_butt_mm=corners,
        corners_tip_mm=corners,
        frame_butt_mm=corners,
        frame_tip_mm=corners,
        wane_mm=0.0,
        value=net + minutes / 3.0,
        bf=1.0,
    )
    return Pattern(
        log=CROOKED,
        kit=KIT,
        parts=(),
        pieces=(timber,),
        positions=(),
        value=net + minutes / 3.0,
        minutes=minutes,
        cost=minutes / 3.0,
        kerf_mm3=0.0,
        slab_mm3=0.0,
    )


ways = st.tuples(
    st.sampled_from([31.0, 55.0, 58.0, 90.0]) | st.floats(5.0, 120.0),
    st.sampled_from([100.0, 101.0, 180.0]) | st.floats(60.0, 300.0),
    st.sampled_from([0.2, 0.21, 0.4]) | st.floats(0.0, 0.6),
)


def scores(pattern):
    return pattern.net, -pattern.minutes, pattern.timber_mm3


def beats(one, other):
    """Whether a way is as good in everything and clearly better in something."""
    pairs = list(zip(scores(one), scores(other), strict=True))
    return all(a >= b - 1e-9 * abs(b) for a, b in pairs) and any(a > b + 1e-6 * abs(b) + 1e-9 for a, b in pairs)


def adds_nothing(one, other, first):
    """Whether a way is nowhere better than another by more than 2 % of the first, or of the log for timber."""
    return (
        one.net <= other.net + ALIKE * first.net + 1e-9
        and other.minutes <= one.minutes + ALIKE * first.minutes + 1e-9
        and one.timber_mm3 <= other.timber_mm3 + ALIKE * WHOLE + 1e-3
    )


@generated(150)
@given(st.lists(ways, min_size=1, max_size=6))
def test_no_way_of_the_front_beats_another_and_none_is_left_out_for_nothing(drawn):
    patterns = [way(*one) for one in drawn]
    front = front_of(patterns)
    assert 1 <= len(front) <= 5
    best = max(patterns, key=lambda one: one.net)
    assert front[0].net == pytest.approx(best.net, abs=1e-6)
    assert [one.net for one in front] == pytest.approx(sorted((one.net for one in front), reverse=True), abs=1e-6)
    for one in front:
        assert not any(beats(other, one) for other in front)
    if len(front) < 5:
        for pattern in patterns:
            assert any(scores(one) == scores(pattern) or adds_nothing(pattern, one, front[0]) for one in front)


@generated(60)
@given(st.lists(ways, min_size=1, max_size=5))
def test_labels_go_to_the_best_at_each(drawn):
    front = front_of([way(*one) for one in drawn])
    named = [name for one in front for name in one.why.split(", ") if name != "between the others"]
    assert all(("at a loss" in one.why) == (one.net < 0.0) for one in front)
    named = [name for name in named if name != "at a loss"]
    if len(front) == 1:
        assert named == ["the only way"]
        return
    # Every label stands once.
    assert sorted(named) == ["least sawing", "most timber", "most value"]
    assert "most value" in front[0].why
    for one in front:
        if "least sawing" in one.why:
            assert one.minutes == pytest.approx(min(other.minutes for other in front))
        if "most timber" in one.why:
            assert one.timber_mm3 == pytest.approx(max(other.timber_mm3 for other in front))


def test_what_is_given_up_by_hand():
    first, second = front_of([way(40.0, 70.0, 0.31), way(57.0, 120.0, 0.35)])
    assert (first.net, first.gives_up, first.why) == (pytest.approx(57.0), "", "most value, most timber")
    assert second.why == "least sawing"
    worth, work, timber = second.gives_up.split("; ")
    assert worth == "net 17.00 lower"
    assert work == "50 min less work"
    assert timber == "4 % of the log less in timbers"


def test_more_work_for_more_timber_is_told_as_such():
    _, second = front_of([way(57.0, 120.0, 0.31), way(56.8, 150.0, 0.44)])
    assert second.gives_up.startswith("net 0.20 lower; ")
    assert second.gives_up.endswith("; 30 min more work; 13 % of the log more in timbers")
    assert re.search("most timber", second.why)


def test_a_way_that_is_as_good_in_two_things_and_better_in_the_third_stands_alone():
    for patterns in ([way(57.0, 120.0, 0.2), way(57.0, 120.0, 0.4)], [way(57.0, 120.0, 0.4), way(57.0, 120.0, 0.2)]):
        (only,) = front_of(patterns)
        assert only.timber_mm3 == pytest.approx(0.4 * WHOLE)


def test_a_loss_is_weighed_too():
    one, other = way(-9.0, 60.0, 0.3), way(-20.0, 45.0, 0.1)
    front = front_of([other, one])
    assert [round(pattern.net) for pattern in front] == [-9, -20]
    assert front[1].gives_up.startswith("net 11.00 lower; ")


def test_the_same_way_twice_is_one_way():
    one = way(57.0, 120.0, 0.4)
    assert len(front_of([one, replace(one)])) == 1
