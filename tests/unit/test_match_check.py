"""The check of plans: a plan put together by hand is broken in one place at a time, and it must tell that very fault.

No search of plans is used: the ways are those of single logs. All of it is invented.
"""

import math
from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from match_cases import BOARDS, beam, log
from pithline.arrays import frozen
from pithline.match import Assignment, Idle, Lock, Match, Plan, Unfilled, Wishes, plan_faults
from pithline.patterns import PriceList, best_patterns
from strategies import FOOT, KIT

LONG, SHORT, LEFT, THIN = log("A1", 17, 8.3), log("B2", 9, 8.2), log("C3", 7, 7.0), log("D4", 10, 8.4)
POSTS = 3
LIST = PriceList(
    (
        beam("post", 6, 6, 8, POSTS),
        beam("plate", 8, 8, 30, 1),
        beam("strut", 3, 5, 8, 1, is_must=False),
        beam("peg stock", 3, 3, 8, None),
    ),
    BOARDS,
)
"""Posts, of which two logs give one too many; a plate longer than any log; a strut the building can do without."""

NAMES = ("post", "plate", "strut")
BOUND_OVER = 7.5
SCALE = 90.0


def made(tag_log, *names):
    """A log sawn for some of the list's timbers."""
    items = tuple(item for item in LIST.timbers if item.name in names)
    return best_patterns(tag_log, PriceList(items, BOARDS), kit=KIT).patterns[0]


def had_of(pattern):
    return Counter(piece.name for piece in pattern.timbers if piece.name in NAMES)


def money_by_hand(patterns, spare):
    """Board feet times worth of all that is of use, less hours: written apart from the check."""
    rates = {"post": 1.5, "plate": 1.5, "strut": 1.5, "peg stock": 1.5, "board": 0.6}
    value = math.fsum(
        rates[piece.name] * piece.thickness_mm * piece.width_mm * piece.length_mm / (144.0 * 25.4**3)
        for pattern in patterns
        for piece in pattern.pieces
    )
    unused = math.fsum(count * 1.5 * {"post": 24.0, "strut": 10.0}[name] for name, count in spare.items())
    hours = math.fsum(pattern.minutes + 90.0 for pattern in patterns) / 60.0
    return value - unused - 20.0 * hours


@pytest.fixture(scope="module")
def answer():
    """A sound answer: B2 gives a post, A1 more than are left, D4 a strut and what is taken without number."""
    patterns = made(LONG, "post"), made(SHORT, "post"), made(THIN, "strut", "peg stock")
    left = Counter({"post": POSTS, "strut": 1, "plate": 1})
    assignments, spares = [], Counter()
    for pattern in (patterns[1], patterns[0], patterns[2]):
        had = had_of(pattern)
        counts = had & left
        spares += had - counts
        left -= counts
        assignments.append(Assignment(pattern, dict(counts), dict(had - counts), 0.95, (), False, False))
    assignments.sort(key=lambda one: one.log.tag)
    unfilled = tuple(
        Unfilled(item.name, left[item.name], item.is_must, None, None) for item in LIST.timbers if left[item.name]
    )
    money = money_by_hand(patterns, spares)
    plan = Plan(
        aim="by hand",
        status="stopped",
        assignments=tuple(assignments),
        unfilled=unfilled,
        idle=(Idle("C3", "not needed"),),
        worth=money,
        bound=money + BOUND_OVER,
        gap=BOUND_OVER / SCALE,
        scale=SCALE,
        money=money,
        chance=0.95,
        days=(1, 1, 2),
    )
    return Match("stopped", (plan,), LIST, (LONG, SHORT, LEFT, THIN), KIT, Wishes(), 3, math.inf, {})


def told(answer, plan=None, **changes):
    return list(plan_faults(plan or answer.plans[0], replace(answer, **changes)))


def with_log(plan, number, **changes):
    """The plan with one assignment changed."""
    done = list(plan.assignments)
    done[number] = replace(done[number], **changes)
    return replace(plan, assignments=tuple(done))


def with_pattern(plan, number, **changes):
    """The plan with the pattern of one assignment changed."""
    return with_log(plan, number, pattern=replace(plan.assignments[number].pattern, **changes))


def with_piece(plan, number, of, **changes):
    """The plan with the first piece of a name changed in one of its patterns."""
    pieces = list(plan.assignments[number].pattern.pieces)
    at = next(k for k, piece in enumerate(pieces) if piece.name == of)
    pieces[at] = replace(pieces[at], **changes)
    return with_pattern(plan, number, pieces=tuple(pieces))


def with_tallied(plan, number, **changes):
    """The plan with the log of one pattern changed."""
    return with_pattern(plan, number, log=replace(plan.assignments[number].log, **changes))


def test_the_plan_by_hand_is_sound_and_holds_what_is_broken_below(answer):
    plan = answer.plans[0]
    assert told(answer) == []
    assert plan.filled["post"] == POSTS
    # A spare timber, one that is missing, boards, and timbers without number: else the cases below mean nothing.
    assert [dict(one.counts) for one in plan.assignments] == [{"post": 2}, {"post": 1}, {"strut": 1}]
    assert [dict(one.spare) for one in plan.assignments] == [{"post": 1}, {}, {}]
    assert [one.name for one in plan.unfilled] == ["plate"]
    assert plan.assignments[0].pattern.boards
    assert [piece.name for piece in plan.assignments[2].pattern.timbers].count("peg stock") >= 1


def test_an_empty_plan_of_a_list_that_nothing_fits_is_sound(answer):
    missing = tuple(Unfilled(name, 1 if name != "post" else POSTS, name != "strut", None, None) for name in NAMES)
    idle = tuple(Idle(one.tag, "no timber") for one in answer.yard)
    empty = Plan("by hand", "proven", (), missing, idle, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0)
    assert told(answer, empty) == []


def test_a_log_is_used_once(answer):
    plan = answer.plans[0]
    twice = replace(plan, assignments=(*plan.assignments, plan.assignments[1]), days=(1, 1, 2, 2))
    assert "B2 is sawn 2 times" in told(answer, twice)


def test_a_log_is_of_the_yard(answer):
    assert "Z9 is not in the yard" in told(answer, with_tallied(answer.plans[0], 1, tag="Z9"))


def longer(one):
    return {"z_mm": frozen(one.z_mm * 1.01)}


def thicker(one):
    return {"shape_mm": frozen(one.shape_mm * 1.01)}


def aside(one):
    return {"center_mm": frozen(one.center_mm + 1.0)}


def other_pith(one):
    return {"pith_mm": frozen(one.pith_mm + 1.0)}


def other_wood(_):
    return {"species": "eastern hemlock"}


def one_station_more(one):
    def more(values):
        return frozen(np.concatenate([values[:1], values]))

    return {name: more(getattr(one, name)) for name in ("z_mm", "shape_mm", "center_mm", "pith_mm")}


@pytest.mark.parametrize("change", [longer, thicker, aside, other_pith, other_wood])
def test_a_log_is_the_one_that_was_tallied(answer, change):
    plan = answer.plans[0]
    assert "B2 is not the log of the yard" in told(answer, with_tallied(plan, 1, **change(plan.assignments[1].log)))


def test_a_yard_of_other_stations_is_another_log(answer):
    other = replace(SHORT, **one_station_more(SHORT))
    assert "B2 is not the log of the yard" in told(answer, yard=(LONG, other, LEFT, THIN))


def test_the_same_log_read_anew_is_the_same(answer):
    again = replace(SHORT, **{name: frozen(np.array(getattr(SHORT, name))) for name in ("z_mm", "pith_mm")})
    assert told(answer, yard=(LONG, again, LEFT, THIN)) == []


@pytest.mark.parametrize(
    ("wishes", "fault"),
    [
        (Wishes(forbidden=("B2",)), "B2 is forbidden and sawn"),
        (Wishes(reserved={"B2": None}), "B2 is reserved and sawn"),
        (Wishes(sawn={"B2": {}}), "B2 is sawn already and sawn"),
        (Wishes(reserved={"B2": "plate"}), "B2 is reserved for plate and gives other timbers"),
        (Wishes(locks=(Lock("plate", "B2"),)), "the lock plate=B2 is not kept"),
        (Wishes(locks=(Lock("post", "C3"),)), "the lock post=C3 is not kept"),
        (Wishes(locks=(Lock("post", "B2"), Lock("post", "B2", 9))), "the lock post=B2 is not kept"),
    ],
)
def test_what_the_user_decides_is_kept(answer, wishes, fault):
    assert fault in told(answer, wishes=wishes)


@pytest.mark.parametrize(
    "wishes",
    [
        Wishes(forbidden=("C3",)),
        Wishes(reserved={"C3": None}),
        # Boards beside the one timber are free.
        Wishes(reserved={"B2": "post"}),
        Wishes(locks=(Lock("post", "A1", 2), Lock("post", "B2"))),
    ],
)
def test_what_is_kept_is_no_fault(answer, wishes):
    assert told(answer, wishes=wishes) == []


def test_a_marked_turn_is_kept_upright_or_on_its_head(answer):
    plan = answer.plans[0]
    rolls = [part.roll_deg for part in plan.assignments[1].pattern.parts]
    assert len(set(rolls)) == 1
    for turn in (rolls[0], rolls[0] + 180.0, rolls[0] - 180.0, rolls[0] + 5e-7):
        assert told(answer, wishes=Wishes(turns_deg={"B2": turn})) == []
    for beside in (90.0, 3e-6, -3e-6, 179.0):
        turn = rolls[0] + beside
        fault = f"B2 is turned by {rolls[0]:g} degrees, not {turn:g}"
        assert fault in told(answer, wishes=Wishes(turns_deg={"B2": turn}))


def test_every_pattern_is_checked_too(answer):
    slow = with_pattern(answer.plans[0], 1, cost=answer.plans[0].assignments[1].pattern.cost + 1.0)
    assert any(fault.startswith("B2: ") and " min cost " in fault for fault in told(answer, slow))


@pytest.mark.parametrize(
    "change",
    [
        {"counts": {}},
        {"counts": {"post": 1, "plate": 1}},
        {"spare": {"post": 7}},
        {"counts": {"post": 1, "strut": -1}},
        {"counts": {"post": 1, "peg stock": 1}},
    ],
)
def test_counts_are_those_of_the_pieces(answer, change):
    # The same number less than none on either side must not cancel out.
    assert answer.plans[0].assignments[1].pattern.timbers
    assert "B2: its counts are not those of its pieces" in told(answer, with_log(answer.plans[0], 1, **change))


def test_no_more_is_counted_than_is_wanted(answer):
    plan = answer.plans[0]
    done = Wishes(sawn={"gone": {"post": 1}})
    assert f"post: {POSTS} filled and 0 missing of {POSTS - 1} wanted" in told(answer, wishes=done)
    overfull = Unfilled("post", -1, True, None, None)
    found = told(answer, replace(plan, unfilled=(*plan.unfilled, overfull)), wishes=done)
    # Three filled and one too many missing the other way round make two: only the number itself can tell it.
    assert found == ["a timber is told as missing that nobody wants"]


def test_more_sawn_than_was_wanted_leaves_none_wanted(answer):
    found = told(answer, wishes=Wishes(sawn={"gone": {"plate": 5}}))
    assert "plate: 0 filled and 1 missing of 0 wanted" in found


def without(plan, name):
    return tuple(one for one in plan.unfilled if one.name != name)


def test_nothing_is_dropped_silently(answer):
    plan = answer.plans[0]
    dropped = replace(plan, unfilled=without(plan, "plate"))
    assert told(answer, dropped) == ["plate: 0 filled and 0 missing of 1 wanted"]


@pytest.mark.parametrize(
    ("more", "fault"),
    [
        (Unfilled("plate", 1, True, None, None), "a timber is told twice as missing"),
        (Unfilled("rafter", 1, True, None, None), "a timber is told as missing that nobody wants"),
        (Unfilled("peg stock", 1, True, None, None), "a timber is told as missing that nobody wants"),
        (Unfilled("post", 0, True, None, None), "a timber is told as missing that nobody wants"),
    ],
)
def test_what_is_missing_is_told_once_and_wanted(answer, more, fault):
    plan = answer.plans[0]
    assert told(answer, replace(plan, unfilled=(*plan.unfilled, more))) == [fault]


def test_must_and_nice_are_told_right(answer):
    plan = answer.plans[0]
    wrong = replace(plan, unfilled=(*without(plan, "plate"), Unfilled("plate", 1, False, None, None)))
    assert told(answer, wrong) == ["plate: must or nice is told wrong"]


def test_a_timber_is_not_spare_where_one_is_missing(answer):
    plan = answer.plans[0]
    missing = (*plan.unfilled, Unfilled("post", 1, True, None, None))
    wrong = replace(with_log(plan, 0, counts={"post": 1}, spare={"post": 2}), unfilled=missing)
    assert "post: told as spare and as missing" in told(answer, wrong)


def test_every_log_is_told_of_once(answer):
    plan = answer.plans[0]
    assert told(answer, replace(plan, idle=())) == ["not every log is told of"]
    assert told(answer, replace(plan, idle=(*plan.idle, Idle("Z9", "")))) == ["not every log is told of"]
    both = replace(plan, idle=(*plan.idle, Idle("A1", "not needed")))
    assert told(answer, both) == ["A1 is sawn and told as left over"]
    assert told(answer, replace(plan, idle=plan.idle * 2)) == ["C3 is told as left over 2 times"]


@pytest.mark.parametrize("change", [{"thickness_mm": 152.0}, {"width_mm": 153.0}])
def test_a_timber_has_the_section_of_the_list(answer, change):
    found = told(answer, with_piece(answer.plans[0], 1, "post", **change))
    assert "B2: post is not cut to the size of the list" in found


@pytest.mark.parametrize(
    ("beside_mm", "is_told"), [(-2.0, True), (-0.6, True), (-0.4, False), (0.1, True), (2.0, True)]
)
def test_a_timber_has_the_length_of_the_list(answer, beside_mm, is_told):
    # Half a millimeter may be lacking, where the log ends.
    plan = answer.plans[0]
    post = plan.assignments[1].pattern.timbers[0]
    changed = with_piece(plan, 1, "post", end_mm=post.start_mm + 8.0 * FOOT + beside_mm)
    assert ("B2: post is not cut to the size of the list" in told(answer, changed)) == is_told


def test_a_timber_longer_than_its_log_is_short(answer):
    # The whole log was sawn, and the list asks for two feet more than it has.
    longer_list = replace(LIST, timbers=(beam("post", 6, 6, 10, POSTS), *LIST.timbers[1:]))
    assert "B2: post is not cut to the size of the list" in told(answer, prices=longer_list)


def test_a_timber_on_its_side_has_the_size_of_the_list(answer):
    plan = answer.plans[0]
    strut = next(piece for piece in plan.assignments[2].pattern.pieces if piece.name == "strut")
    assert strut.thickness_mm != strut.width_mm
    turned = with_piece(plan, 2, "strut", thickness_mm=strut.width_mm, width_mm=strut.thickness_mm)
    assert "D4: strut is not cut to the size of the list" not in told(answer, turned)


def test_a_timber_comes_from_a_species_that_will_do(answer):
    oak = replace(LIST, timbers=(replace(LIST.timbers[0], species=("white oak",)), *LIST.timbers[1:]))
    assert "B2: post may not come from spruce" in told(answer, prices=oak)


@pytest.mark.parametrize("of", ["post", "board"])
def test_a_piece_is_of_the_list(answer, of):
    assert "A1: shelf is not of the list" in told(answer, with_piece(answer.plans[0], 0, of, name="shelf"))


@pytest.mark.parametrize("off", [1.0, -1.0, 1e-3, math.nan])
def test_money_is_what_comes_out_less_what_it_costs(answer, off):
    plan = answer.plans[0]
    wrong = replace(plan, money=plan.money + off)
    assert told(answer, wrong) == [f"money: {wrong.money:.4f} is told, {plan.money:.4f} comes out"]


def test_a_spare_timber_is_worth_nothing(answer):
    plan = answer.plans[0]
    # Six by six inches by eight feet are 24 board feet at 1.5.
    dear = replace(plan, money=plan.money + 36.0)
    assert told(answer, dear) == [f"money: {dear.money:.4f} is told, {plan.money:.4f} comes out"]


def test_money_is_held_where_a_timber_without_number_is_as_long_as_its_log(answer):
    free = replace(LIST.timbers[3], timber=replace(LIST.timbers[3].timber, length_mm=None))
    prices = replace(LIST, timbers=(*LIST.timbers[:3], free))
    plan = answer.plans[0]
    wrong = replace(plan, money=plan.money + 1.0)
    assert any(fault.startswith("money: ") for fault in told(answer, wrong, prices=prices))
    assert not any(fault.startswith("money: ") for fault in told(answer, prices=prices))


def test_a_plan_is_worth_no_more_than_its_bound(answer):
    plan = answer.plans[0]
    low = replace(plan, bound=plan.worth - 1.0, gap=0.0)
    assert told(answer, low) == [f"bound: {low.bound:.4f} lies under the plan's worth, {plan.worth:.4f}"]
    none = replace(plan, bound=math.nan, gap=0.0)
    assert f"bound: nan lies under the plan's worth, {plan.worth:.4f}" in told(answer, none)
    even = replace(plan, bound=plan.worth - 1e-9, gap=0.0)
    assert told(answer, even) == []


def test_the_gap_is_that_of_the_bound(answer):
    plan = answer.plans[0]
    assert plan.gap == pytest.approx(0.083333, abs=1e-6)
    assert told(answer, replace(plan, gap=0.02)) == ["gap: 0.020000 is told, 0.083333 comes out"]
    assert told(answer, replace(plan, scale=0.0, gap=0.0)) == []


@pytest.mark.parametrize("chance", [-0.1, 1.1, math.nan])
def test_a_chance_is_a_share(answer, chance):
    plan = answer.plans[0]
    assert told(answer, replace(plan, chance=chance)) == [f"chance: {chance:g}"]
    assert told(answer, with_log(plan, 0, chance=chance)) == [f"A1: chance {chance:g}"]


@pytest.mark.parametrize("days", [(), (1, 2), (1, 1, 2, 3), (2, 1, 2), (0, 1, 1)])
def test_days_are_one_for_each_log_in_order(answer, days):
    assert told(answer, replace(answer.plans[0], days=days)) == ["days: not one for each log, in order"]


def test_two_logs_may_be_begun_on_a_day(answer):
    assert told(answer, replace(answer.plans[0], days=(3, 3, 4))) == []


def test_pieces_are_counted_and_not_believed(answer):
    plan = answer.plans[0]
    lost = with_pattern(plan, 1, pieces=plan.assignments[1].pattern.boards)
    assert "B2: its counts are not those of its pieces" in told(answer, lost)
