"""The order of work and the days: logs with patterns of their own, moved about. All of it is invented."""

import itertools
import random
from dataclasses import replace

import pytest

from match_cases import BOARDS, beam, log
from pithline.errors import MatchError
from pithline.match import Assignment
from pithline.match.order import days_of, haste_of, in_order, why_here
from pithline.patterns import PriceList, best_patterns
from pithline.tables import STATUSES, read_table
from pithline.wood.species import own_species, species_list
from strategies import FOOT, KIT

USUAL, SOON, SLOW = "red spruce", "eastern white pine", "northern white-cedar"


@pytest.fixture(scope="module")
def pattern():
    """One way to saw one log for a post."""
    return best_patterns(log("A1", 9, 8.2), PriceList((beam("post", 6, 6, 8, 1),), BOARDS), kit=KIT).patterns[0]


@pytest.fixture(scope="module")
def made(pattern):
    """Makes an assignment of a tag, the rest as told: its set-up is that of its timber's name."""

    def make(tag, *, species=USUAL, feet=8.0, chance=0.95, gives="", spare=None, lower_mm=0.0, minutes=60.0):
        pieces = tuple(
            replace(piece, end_mm=piece.start_mm + feet * FOOT) if piece.kind == "timber" else piece
            for piece in pattern.pieces
        )
        positions = tuple(
            position
            if position.stand is None
            else replace(position, stand=replace(position.stand, setting_mm=position.stand.setting_mm - lower_mm))
            for position in pattern.positions
        )
        own = replace(pattern.log, tag=tag, species=species)
        moved = replace(pattern, log=own, pieces=pieces, positions=positions, minutes=minutes)
        return Assignment(moved, {gives or tag: 1}, spare or {}, chance, (), False, False)

    return make


def tags(found):
    return [one.log.tag for one in found]


def shuffled(assignments):
    """Every order the logs can come in, or forty of them."""
    if len(assignments) <= 4:
        return [list(order) for order in itertools.permutations(assignments)]
    draw = random.Random(7)
    return [draw.sample(assignments, len(assignments)) for _ in range(40)]


def always(assignments, order, *, own=()):
    """Whether the logs stand in an order whatever order they come in."""
    return all(tags(in_order(each, own=own)) == order for each in shuffled(assignments))


def test_nothing_and_one_log_are_in_order(made):
    assert in_order([]) == ()
    one = made("A")
    assert in_order([one]) == (one,)


def test_what_spoils_soon_is_sawn_first(made):
    logs = [
        made("A", species=SLOW),
        made("B", species=USUAL),
        made("C", species=SOON),
        made("D", species="no such tree"),
    ]
    # A species that nobody knows is taken as usual.
    assert always(logs, ["C", "B", "D", "A"])


def test_haste_comes_before_length_and_length_before_chance(made):
    short_pine = made("A", species=SOON, feet=8.0)
    long_spruce = made("B", feet=16.0)
    tight_spruce = made("C", feet=8.0, chance=0.4)
    sure_spruce = made("D", feet=8.0, chance=0.99)
    assert always([short_pine, long_spruce, tight_spruce, sure_spruce], ["A", "B", "C", "D"])


def test_the_tag_is_last_to_decide(made):
    assert always([made("B"), made("A"), made("C")], ["A", "B", "C"])


def test_the_longest_timber_counts(made):
    short = made("A", feet=9.0)
    both = made("B", feet=8.0)
    timber = both.pattern.timbers[0]
    more = replace(timber, name="rafter", end_mm=timber.start_mm + 12.0 * FOOT)
    both = replace(both, pattern=replace(both.pattern, pieces=(*both.pattern.pieces, more)))
    assert always([short, both], ["B", "A"])


def test_a_log_without_timbers_comes_after_those_with_some(made):
    bare = made("A")
    bare = replace(bare, pattern=replace(bare.pattern, pieces=bare.pattern.boards))
    assert always([bare, made("B")], ["B", "A"])


def test_logs_with_the_same_set_up_stand_at_the_place_of_the_most_urgent(made):
    long_post, short_post = made("P1", feet=16.0, gives="post"), made("P2", feet=8.0, gives="post")
    plate = made("L1", feet=12.0, gives="plate")
    assert always([short_post, plate, long_post], ["P1", "P2", "L1"])


def test_a_set_up_is_the_timbers_and_the_first_setting(made):
    first, plate = made("P1", feet=16.0, gives="post"), made("L1", feet=12.0, gives="plate")
    near = made("P2", gives="post", lower_mm=0.0)
    # Four inches lower at the first pass is another set-up for the same timber.
    far = made("P3", gives="post", lower_mm=102.0)
    assert always([far, near, plate, first], ["P1", "P2", "L1", "P3"])


def test_a_spare_timber_belongs_to_the_set_up_as_any_other(made):
    first, plate = made("P1", feet=16.0, gives="post"), made("L1", feet=12.0, gives="plate")
    spare = replace(made("P2"), counts={}, spare={"post": 1})
    assert always([plate, spare, first], ["P1", "P2", "L1"])


def test_a_set_up_does_not_pull_a_log_that_keeps_before_one_that_stains(made):
    pine_post, spruce_post = made("P1", species=SOON, feet=16.0, gives="post"), made("P2", gives="post")
    pine_plate = made("L1", species=SOON, gives="plate")
    assert always([spruce_post, pine_plate, pine_post], ["P1", "L1", "P2"])


def test_every_log_comes_back_once(made):
    kinds = itertools.product((SOON, USUAL, SLOW), (8.0, 16.0), (0.5, 0.99), ("post", "plate"))
    logs = [
        made(f"L{number}", species=species, feet=feet, chance=chance, gives=gives)
        for number, (species, feet, chance, gives) in enumerate(kinds)
    ]
    order = tags(in_order(logs))
    assert sorted(order) == sorted(tags(logs))
    assert always(logs, order)


def test_the_names_of_the_kit_are_known(made):
    own = (own_species("hill pine", {"specific_gravity_green": 0.35}),)
    # A species of the kit's own that no table ranks is as usual; a table's species by another name keeps its rank.
    assert haste_of("hill pine", own=own) == 2
    assert haste_of("northern white pine", own=own) == 1
    assert haste_of("Pinus strobus") == 1
    renamed = (
        replace(own_species("eastern white pine", {"specific_gravity_green": 0.34}), also_called=("yard pine",)),
    )
    assert haste_of("yard pine") == 2
    assert haste_of("yard pine", own=renamed) == 1
    logs = [made("A", species="red spruce"), made("B", species="yard pine")]
    assert always(logs, ["B", "A"], own=renamed)
    assert always(logs, ["A", "B"])
    assert why_here(logs[1], own=renamed) == "stains or checks soon"
    assert why_here(logs[1]) == ""


def test_why_a_log_stands_where_it_does(made):
    assert why_here(made("A")) == ""
    assert why_here(made("A", species=SLOW)) == ""
    assert why_here(made("A", species=SOON)) == "stains or checks soon"
    assert why_here(made("A", feet=20.0)) == "long"
    assert why_here(made("A", chance=0.5)) == "tight"
    assert why_here(made("A", chance=0.9)) == ""
    assert why_here(made("A", species=SOON, feet=20.0, chance=0.5)) == "stains or checks soon, long, tight"


def on_days(made, minutes, hours):
    return days_of([made(f"L{number}", minutes=each) for number, each in enumerate(minutes)], hours)


@pytest.mark.parametrize(
    ("minutes", "hours", "days"),
    [
        ((), 6.0, ()),
        ((60.0,), 6.0, (1,)),
        # To the minute a day is full, and a minute more begins the next.
        ((180.0, 180.0, 1.0), 6.0, (1, 1, 2)),
        ((180.0, 181.0), 6.0, (1, 2)),
        # A whole day to the minute is no more than a day.
        ((360.0, 360.0), 6.0, (1, 2)),
        # More than a day begins one of its own and runs over; what is left of its last day is used.
        ((10.0, 361.0, 300.0), 6.0, (1, 2, 3)),
        ((361.0, 359.0, 1.0), 6.0, (1, 2, 3)),
        ((361.0, 360.0), 6.0, (1, 3)),
        ((800.0, 281.0, 280.0), 6.0, (1, 4, 5)),
        # Two whole days to the minute leave nothing of the second.
        ((720.0, 1.0), 6.0, (1, 3)),
        ((29.0, 2.0, 28.0), 0.5, (1, 2, 2)),
        ((1440.0, 1.0), 24.0, (1, 2)),
    ],
)
def test_a_log_is_begun_where_it_can_be_finished(made, minutes, hours, days):
    assert on_days(made, minutes, hours) == days


def test_no_day_holds_more_than_its_hours(made):
    draw = random.Random(11)
    for _ in range(50):
        minutes = [draw.uniform(5.0, 300.0) for _ in range(12)]
        days = on_days(made, minutes, 5.0)
        assert list(days) == sorted(days)
        assert set(days) == set(range(1, days[-1] + 1))
        for day in set(days):
            of_day = [each for each, on in zip(minutes, days, strict=True) if on == day]
            assert sum(of_day) <= 300.0 + 1e-6
            after = next((each for each, on in zip(minutes, days, strict=True) if on == day + 1), None)
            # The next day is begun only because its first log had no room.
            assert after is None or sum(of_day) + after > 300.0


@pytest.mark.parametrize("hours", [0.0, 0.49, 24.01, -6.0, float("inf"), float("nan")])
def test_hours_that_are_no_day_are_refused(made, hours):
    with pytest.raises(MatchError, match=rf"^hours: {hours:g} a day; give 0\.5 to 24\.$"):
        days_of([made("A")], hours)


def test_the_table_ranks_species_that_are_known_once_each():
    table = read_table("pithline.match", "haste")
    names = [row["species"] for row in table.rows]
    assert len(set(names)) == len(names)
    assert set(names) <= {species.name for species in species_list()}
    for row in table.rows:
        assert row["haste"] in ("1", "2", "3")
        assert row["reason"]
        assert row["status"] in STATUSES
        # What was read names where, what is common practice has no source.
        assert (row["status"] == "seen") == bool(row["source"])
        assert haste_of(row["species"]) == int(row["haste"])


@pytest.mark.parametrize(
    ("sooner", "later"),
    [
        # Published: pine logs are soon spoiled in warm weather, ponderosa within days ("Storage of Softwood Logs",
        # Forest Products Laboratory); spruce logs 14 days after a summer harvest (Silva Fennica 57(3), 23054).
        ("ponderosa pine", "Norway spruce"),
        # Common practice: cedar keeps longer than a wood that is not ranked.
        ("balsam fir", "western redcedar"),
    ],
)
def test_ranks_follow_what_was_read(sooner, later):
    assert haste_of(sooner) < haste_of(later)
