"""What the user decides about a plan, held against yard and list: a sentence for each thing that cannot be."""

import math

import pytest

from match_cases import BOARDS, LIST, YARD, beam, log
from pithline.match import Lock, Wishes
from pithline.match.wishes import wish_faults
from pithline.patterns import PriceList

# The yard holds L1 to L4; the list wants 2 posts, 1 plate and 2 purlins.
TAGS = "there are L1, L2, L3, L4."
NAMES = "there are post, plate, purlin."


def faults(yard=YARD, prices=LIST, **wishes):
    return wish_faults(Wishes(**wishes), yard, prices=prices)


SOUND = {
    "nothing": {},
    "locks up to the count": {"locks": (Lock("post", "L1", 2), Lock("plate", "L2"))},
    "a lock on a log kept for it": {"locks": (Lock("post", "L1"),), "reserved": {"L1": "post"}},
    "held back twice": {"forbidden": ("L4",), "reserved": {"L4": None}},
    "turned as far as may be": {"turns_deg": {"L1": 360.0, "L2": -360.0, "L3": 0.0}},
    # What is sawn may be gone from the yard.
    "sawn and gone": {"sawn": {"L9": {"post": 1}}},
    "sawn and lost": {"sawn": {"L1": {}, "L2": {"plate": 0}}},
    "sawn more than was wanted": {"sawn": {"L1": {"plate": 5}}},
    "sawn, the others locked": {"sawn": {"L1": {"post": 1}}, "locks": (Lock("post", "L2"),)},
    # An earlier plan of another list is no fault: it is kept to where it can be.
    "an earlier plan of anything": {"former": {"Z9": {"beam": 3}}},
}


@pytest.mark.parametrize("wishes", SOUND.values(), ids=SOUND)
def test_wishes_that_can_be_have_no_fault(wishes) -> None:
    assert faults(**wishes) == ()


BAD = {
    "lock, no such log": ({"locks": (Lock("post", "Z9"),)}, f'lock: log: no "Z9"; {TAGS}'),
    "forbid, no such log": ({"forbidden": ("l1",)}, f'forbid: log: no "l1"; {TAGS}'),
    "reserve, no such log": ({"reserved": {"Z9": None}}, f'reserve: log: no "Z9"; {TAGS}'),
    "turn, no such log": ({"turns_deg": {"Z9": 90.0}}, f'turn: log: no "Z9"; {TAGS}'),
    "lock, no such timber": ({"locks": (Lock("beam", "L1"),)}, f'lock: timber: no "beam"; {NAMES}'),
    "reserve, no such timber": ({"reserved": {"L1": "beam"}}, f'reserve: timber: no "beam"; {NAMES}'),
    "sawn, no such timber": ({"sawn": {"L1": {"beam": 1}}}, f'sawn: timber: no "beam"; {NAMES}'),
    "a board is no timber": ({"sawn": {"L1": {"board": 1}}}, f'sawn: timber: no "board"; {NAMES}'),
    "lock and forbid": (
        {"locks": (Lock("post", "L1"),), "forbidden": ("L1",)},
        "lock: L1 is locked to a timber and forbidden; drop one of the two.",
    ),
    "lock and reserve": (
        {"locks": (Lock("post", "L1"),), "reserved": {"L1": None}},
        "lock: L1 is locked to a timber and reserved; drop one of the two.",
    ),
    "lock and sawn": (
        {"locks": (Lock("post", "L1"),), "sawn": {"L1": {}}},
        "lock: L1 is locked to a timber and sawn already; drop one of the two.",
    ),
    "lock and kept for another": (
        {"locks": (Lock("post", "L1"), Lock("plate", "L1")), "reserved": {"L1": "post"}},
        "lock: L1 is reserved for post and locked to another timber; drop one of the two.",
    ),
    "sawn and forbidden": (
        {"sawn": {"L1": {}}, "forbidden": ("L1",)},
        "sawn: L1 is sawn and forbidden; drop one of the two.",
    ),
    "more locks than wanted": (
        {"locks": (Lock("post", "L1", 2), Lock("post", "L2"))},
        "lock: 3 of post are locked to logs; the list wants 2.",
    ),
    "more locks than are left to saw": (
        {"locks": (Lock("post", "L2"), Lock("post", "L3")), "sawn": {"L1": {"post": 1}}},
        "lock: 2 of post are locked to logs; the list wants 2, 1 of them sawn.",
    ),
    "a lock for none": ({"locks": (Lock("post", "L1", 0),)}, "lock: post=L1: 0 of them; give 1 or more."),
    "sawn less than none": ({"sawn": {"L1": {"post": -1}}}, "sawn: L1: -1 of post; give 0 or more."),
    "turned too far": (
        {"turns_deg": {"L1": 360.5}},
        "turn: L1: 360.5 is no turn; give degrees, clockwise seen from the butt.",
    ),
    "turned by no number": (
        {"turns_deg": {"L1": math.nan}},
        "turn: L1: nan is no turn; give degrees, clockwise seen from the butt.",
    ),
    "turned without end": (
        {"turns_deg": {"L1": -math.inf}},
        "turn: L1: -inf is no turn; give degrees, clockwise seen from the butt.",
    ),
}


@pytest.mark.parametrize(("wishes", "told"), BAD.values(), ids=BAD)
def test_a_wish_that_cannot_be_gets_one_sentence(wishes, told) -> None:
    assert faults(**wishes) == (told,)


def test_a_name_asked_for_twice_is_told_once_for_each_wish() -> None:
    told = faults(locks=(Lock("post", "Z9"), Lock("plate", "Z9")), turns_deg={"Z9": 90.0})
    assert told == (f'lock: log: no "Z9"; {TAGS}', f'turn: log: no "Z9"; {TAGS}')


def test_all_faults_are_told_at_once() -> None:
    told = faults(
        locks=(Lock("beam", "L1"), Lock("plate", "L2", 2)),
        forbidden=("L2", "Z9"),
        turns_deg={"L3": 999.0},
        sawn={"L4": {"post": -2}},
    )
    starts = ("forbid: log", "lock: timber", "lock: L2 is", "lock: 2 of plate", "sawn: L4", "turn: L3")
    assert len(told) == len(starts)
    for start in starts:
        assert sum(fault.startswith(start) for fault in told) == 1, start


def test_tags_and_names_stand_once() -> None:
    assert faults((*YARD, log("L2", 10, 12), log("L2", 11, 12))) == (
        "yard: L2 stands there 3 times; give each log a tag of its own.",
    )
    prices = PriceList((*LIST.timbers, beam("post", 4, 4, 8, 1)), BOARDS)
    assert faults(prices=prices) == ("list: post stands there 2 times; give each timber a name.",)


def test_of_many_names_eight_are_shown_and_the_rest_counted() -> None:
    yard = tuple(log(f"L{number}", 9, 12) for number in range(1, 12))
    (told,) = faults(yard, forbidden=("Z9",))
    assert told == 'forbid: log: no "Z9"; there are L1, L2, L3, L4, L5, L6, L7, L8 and 3 more.'
    (told,) = faults(yard[:1], forbidden=("Z9",))
    assert told == 'forbid: log: no "Z9"; there is L1.'
    (told,) = faults((), forbidden=("Z9",))
    assert told == 'forbid: log: no "Z9"; there are none.'


def test_a_timber_wanted_in_any_number_may_be_locked_as_often_as_one_likes() -> None:
    prices = PriceList((*LIST.timbers, beam("stud", 3, 4, 8, None, is_must=False)), BOARDS)
    assert faults(prices=prices, locks=(Lock("stud", "L1", 9),)) == ()


def test_locks_of_one_log_add_up() -> None:
    wishes = Wishes(locks=(Lock("post", "L1"), Lock("post", "L1", 2), Lock("plate", "L1"), Lock("plate", "L2")))
    assert wishes.locked("L1") == {"post": 3, "plate": 1}
    assert wishes.locked("L3") == {}


def test_a_log_is_held_for_the_first_reason_there_is() -> None:
    wishes = Wishes(
        sawn={"L1": {}},
        forbidden=("L1", "L2"),
        reserved={"L2": None, "L3": None, "L4": "post"},
    )
    held = [wishes.held(tag) for tag in ("L1", "L2", "L3", "L4", "L5")]
    assert held == ["sawn already", "forbidden", "reserved", "", ""]
