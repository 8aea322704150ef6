"""Plans of small yards: what they keep to, how they are checked, ordered and told apart. All yards are invented."""

from dataclasses import replace

import pytest

from match_cases import BOARDS, LIST, YARD, beam
from pithline.answers.match_words import none_text
from pithline.errors import KitError, MatchError
from pithline.lengths import Tape
from pithline.match import Effort, Lock, Weights, Wishes, match_logs, plan_faults
from pithline.match.front import AIMS, distinct
from pithline.match.order import days_of, haste_of, in_order, why_here
from pithline.patterns import PriceList
from strategies import FOOT, KIT, altered

BRIEF = Effort(rounds=1)


@pytest.fixture(scope="module")
def plain():
    return match_logs(YARD, LIST, kit=KIT, effort=BRIEF)


def timbers(plan):
    return {one.log.tag: {**one.counts} for one in plan.assignments}


def test_a_plan_fills_the_list_and_passes_the_check(plain):
    plan = plain.plans[0]
    assert plain.status == plan.status == "proven"
    assert plan.filled["plate"] == 1
    assert plan.filled["post"] == 2
    assert all(plan_faults(one, plain) == () for one in plain.plans)
    assert plan.bound >= plan.worth - 1e-9
    assert 0.0 <= plan.gap <= 0.01
    assert plan.chance <= min(one.chance for one in plan.assignments)


def test_nothing_is_dropped(plain):
    for plan in plain.plans:
        missing = {one.name: one.count for one in plan.unfilled}
        for item in LIST.timbers:
            assert plan.filled.get(item.name, 0) + missing.get(item.name, 0) == item.count
        assert {one.log.tag for one in plan.assignments} | {idle.tag for idle in plan.idle} == {one.tag for one in YARD}


SPOILED = [
    ("twice", lambda plan: replace(plan, assignments=plan.assignments * 2, days=plan.days * 2), "sawn 2 times"),
    ("money", lambda plan: replace(plan, money=plan.money + 1.0), "money:"),
    ("bound", lambda plan: replace(plan, bound=plan.worth - 1.0), "bound:"),
    ("gap", lambda plan: replace(plan, gap=plan.gap + 0.5), "gap:"),
    ("chance", lambda plan: replace(plan, chance=1.5), "chance: 1.5"),
    ("days", lambda plan: replace(plan, days=()), "days:"),
    ("a log untold", lambda plan: replace(plan, assignments=plan.assignments[1:], days=plan.days[1:]), "not every log"),
    ("a timber untold", lambda plan: replace(plan, assignments=(), days=()), "post: 0 filled and"),
    (
        "counts",
        lambda plan: replace(plan, assignments=(replace(plan.assignments[0], counts={}), *plan.assignments[1:])),
        "its counts are not those of its pieces",
    ),
    (
        "another log",
        lambda plan: replace(
            plan,
            assignments=(
                replace(
                    plan.assignments[0],
                    pattern=replace(plan.assignments[0].pattern, log=replace(plan.assignments[0].log, tag="X9")),
                ),
                *plan.assignments[1:],
            ),
        ),
        "X9 is not in the yard",
    ),
]


@pytest.mark.parametrize(("spoil", "said"), [case[1:] for case in SPOILED], ids=[case[0] for case in SPOILED])
def test_the_check_finds_a_spoiled_plan(plain, spoil, said):
    assert any(said in fault for fault in plan_faults(spoil(plain.plans[0]), plain))


@pytest.mark.parametrize(
    ("wishes", "said"),
    [
        (Wishes(forbidden=("L2",)), "L2 is forbidden and sawn"),
        (Wishes(reserved={"L2": None}), "L2 is reserved and sawn"),
        (Wishes(reserved={"L2": "purlin"}), "reserved for purlin and gives other timbers"),
        (Wishes(locks=(Lock("purlin", "L4", 2),)), "the lock purlin=L4 is not kept"),
        (Wishes(turns_deg={"L2": 7.0}), "L2 is turned by"),
        (Wishes(sawn={"L1": {"post": 2}}), "post:"),
    ],
)
def test_the_check_finds_a_wish_that_is_not_kept(plain, wishes, said):
    assert any(said in fault for fault in plan_faults(plain.plans[0], replace(plain, wishes=wishes)))


def test_a_lock_is_kept_and_told_with_its_cost():
    answer = match_logs(YARD, LIST, kit=KIT, wishes=Wishes(locks=(Lock("post", "L2"),)), effort=BRIEF)
    assert timbers(answer.plans[0])["L2"]["post"] >= 1
    assert next(one for one in answer.plans[0].assignments if one.log.tag == "L2").is_locked
    assert set(answer.lock_costs) == {"lock post=L2"}
    # L2 is one of the two logs that hold the plate: a post from it is no gain.
    cost = answer.lock_costs["lock post=L2"]
    assert cost.counted >= 0.0
    assert cost.musts == 0


def test_a_lock_that_no_wood_keeps_is_no_plan_and_says_so():
    answer = match_logs(YARD, LIST, kit=KIT, wishes=Wishes(locks=(Lock("plate", "L4"),)), effort=BRIEF)
    assert (answer.status, answer.plans) == ("none", ())
    assert answer.why == ("No plan keeps the locks: L4 does not give 1 plate. Drop the lock, or lock another log.")
    ((name, nearest),) = answer.misses
    assert (name, nearest.tag, nearest.lacks) == ("plate", "L4", "length")
    assert nearest.short_mm == pytest.approx(7.0 * FOOT)
    assert none_text(answer, tape=Tape("in")).endswith("L4, plate: too short by 7 ft.")


def test_a_turn_is_kept():
    answer = match_logs(YARD, LIST, kit=KIT, wishes=Wishes(turns_deg={"L2": 20.0}), effort=BRIEF)
    for one in answer.plans[0].assignments:
        if one.log.tag == "L2":
            assert all((part.roll_deg - 20.0) % 180.0 == pytest.approx(0.0, abs=1e-6) for part in one.pattern.parts)


def test_what_is_sawn_is_neither_planned_again_nor_shuffled(plain):
    before = timbers(plain.plans[0])
    done = next(iter(before))
    wishes = Wishes(sawn={done: before[done]}, former=before)
    after = match_logs(YARD, LIST, kit=KIT, wishes=wishes, effort=BRIEF)
    assert timbers(after.plans[0]) == {tag: counts for tag, counts in before.items() if tag != done}
    assert all(one.is_as_before for one in after.plans[0].assignments)


def test_a_log_that_was_lost_leaves_its_timbers_wanted(plain):
    before = timbers(plain.plans[0])
    after = match_logs(YARD, LIST, kit=KIT, wishes=Wishes(sawn={"L2": {}}, former=before), effort=BRIEF)
    plan = after.plans[0]
    assert plan.filled["plate"] + sum(one.count for one in plan.unfilled if one.name == "plate") == 1
    assert next(idle for idle in plan.idle if idle.tag == "L2").why == "sawn already"


def test_a_search_that_is_ended_gives_the_best_plan_so_far():
    told = []

    def watch(progress):
        told.append(progress.step)
        return len(told) < 4

    answer = match_logs(YARD, LIST, kit=KIT, effort=BRIEF, drive=(map, watch))
    assert answer.is_cancelled
    assert answer.status == answer.plans[0].status == "stopped"
    assert all(plan_faults(plan, answer) == () for plan in answer.plans)
    assert answer.plans[0].assignments


@pytest.mark.parametrize(
    ("yard", "prices"),
    [
        ((), LIST),
        (YARD, PriceList((beam("tie", 8, 8, 40, 1),), BOARDS)),
        (YARD, PriceList((beam("sill", 6, 6, 8, 2, species=("white oak",)),), BOARDS)),
    ],
    ids=["no logs", "too long for any", "no such species"],
)
def test_where_nothing_fits_the_plan_is_empty_and_says_why(yard, prices):
    answer = match_logs(yard, prices, kit=KIT, effort=BRIEF)
    plan = answer.plans[0]
    assert plan.assignments == ()
    assert sum(one.count for one in plan.unfilled) == sum(item.count for item in prices.timbers)
    for one in plan.unfilled:
        assert (one.nearest is None) == (not yard)
        assert one.needs.length_mm > 0.0


def test_too_long_is_told_to_the_millimeter():
    answer = match_logs(YARD, PriceList((beam("tie", 6, 6, 18, 1),)), kit=KIT, effort=BRIEF)
    (one,) = answer.plans[0].unfilled
    assert one.nearest.lacks == "length"
    assert one.nearest.tag == "L2"
    assert one.nearest.short_mm == pytest.approx((18.0 - 16.4) * FOOT)


def test_boards_alone_are_no_list():
    with pytest.raises(MatchError, match="no timber with a count of 1 or more; boards alone need no plan"):
        match_logs(YARD, PriceList((), BOARDS), kit=KIT)
    with pytest.raises(MatchError, match="no timber with a count"):
        match_logs(YARD, PriceList((beam("post", 6, 6, 8, 0),)), kit=KIT)


def test_an_unsound_kit_is_refused():
    with pytest.raises(KitError, match="setting_min"):
        match_logs(YARD, LIST, kit=altered(KIT, "mill", setting_min_mm=900.0))


def test_no_log_is_sawn_for_boards_alone():
    # Boards worth a fortune, and one small timber wanted: one log will do.
    rich = PriceList((beam("brace", 3, 4, 6, 1),), (replace(BOARDS[0], value_bf=50.0),))
    answer = match_logs(YARD, rich, kit=KIT, effort=BRIEF)
    assert all(len(plan.assignments) == 1 for plan in answer.plans)


@pytest.mark.parametrize("aim", AIMS, ids=[aim.name for aim in AIMS])
def test_weights_lean_toward_an_aim_and_stay_within_what_is_taken(aim):
    leaned = aim.weights(Weights(logs=90.0, hours=90.0, boards=90.0, volume=99.0, nice=2.0))
    assert max(leaned.logs, leaned.volume, leaned.hours, leaned.boards) <= 100.0
    assert leaned.nice == 2.0


def test_plans_alike_are_one_and_others_are_better_at_what_they_are_named_for(plain):
    first = plain.plans[0]
    assert distinct([first, replace(first, aim="fewest logs")]) == (first,)
    fewer = replace(first, aim="fewest logs", assignments=first.assignments[:-1], days=first.days[:-1])
    both = distinct([first, fewer])
    assert len(both) == 2
    assert "1 log fewer" in both[1].trades


def test_days_hold_what_a_crew_saws(plain):
    one = plain.plans[0].assignments[0]

    def of(minutes):
        return replace(one, pattern=replace(one.pattern, minutes=minutes))

    assert days_of([of(200.0), of(160.0), of(10.0)], 6.0) == (1, 1, 2)
    # One that takes more than a day begins a day of its own and runs on.
    assert days_of([of(100.0), of(800.0), of(100.0), of(180.0)], 6.0) == (1, 2, 4, 4)
    assert days_of([], 6.0) == ()
    for hours in (0.0, 25.0, float("nan")):
        with pytest.raises(MatchError, match=r"give 0\.5 to 24"):
            days_of([], hours)


def test_pine_comes_before_spruce_and_long_before_short(plain):
    # Common practice: pines stain soon, spruce does not press, cedar keeps.
    assert [
        haste_of(name) for name in ("eastern white pine", "red spruce", "northern white-cedar", "no such tree")
    ] == [
        1,
        2,
        3,
        2,
    ]
    one = plain.plans[0].assignments[0]

    def of(tag, species, chance=0.95):
        moved = replace(one.pattern, log=replace(one.log, tag=tag, species=species))
        return replace(one, pattern=moved, chance=chance, counts={tag: 1})

    spruce, tight, pine = of("S", "red spruce"), of("T", "red spruce", 0.5), of("P", "eastern white pine")
    assert [each.log.tag for each in in_order([spruce, tight, pine])] == ["P", "T", "S"]
    assert "stains" in why_here(pine)
    assert why_here(tight).endswith("tight")
