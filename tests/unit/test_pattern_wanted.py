"""The price list: what can come from a log of a species, at which cut size, and what is refused."""

import math
from dataclasses import replace

import pytest

from pattern_cases import BF_MM3, CROOKED
from pithline.errors import TimberError
from pithline.fit import Timber
from pithline.patterns import PriceList, WantedBoard, WantedTimber, list_for
from pithline.wood.cutsize import Wanted, cut_size
from pithline.wood.species import find_species, own_species

WHITE_PINE = CROOKED
STRANGE = replace(CROOKED, species="driftwood of no name")


def named(prices, log=CROOKED, own=()):
    return [item.name for item in list_for(log, prices, own=own).timbers]


def test_worth_is_board_feet_of_the_finished_size_by_hand():
    # 6 x 8 in, 10 ft: 40 board feet, whatever is added for planing.
    sill = WantedTimber("sill", Timber(152.4, 203.2, allowance_mm=4.0), value_bf=1.25)
    assert sill.worth(3_048.0) == pytest.approx(50.0)
    assert sill.worth(1_000.0) == pytest.approx(1.25 * 152.4 * 203.2 * 1_000.0 / BF_MM3)
    assert WantedTimber("gift", sill.timber, value_bf=0.0).worth(3_048.0) == 0.0


@pytest.mark.parametrize(
    ("species", "kept"),
    [
        ((), True),
        (("eastern white pine",), True),
        (("Eastern White Pine ",), True),
        (("Weymouth pine",), True),
        (("Pinus strobus",), True),
        (("red oak", "northern white pine"), True),
        (("red pine",), False),
        (("driftwood of no name",), False),
    ],
)
def test_a_species_goes_by_all_its_names(species, kept):
    prices = PriceList((WantedTimber("tie", Timber(90.0, 140.0), species=species),))
    assert named(prices) == (["tie"] if kept else [])


def test_a_species_that_no_table_knows_goes_by_its_own_name():
    prices = PriceList(
        (
            WantedTimber("tie", Timber(90.0, 140.0), species=("Driftwood of no name",)),
            WantedTimber("plate", Timber(90.0, 140.0), species=("red pine",)),
            WantedTimber("stud", Timber(40.0, 90.0)),
        )
    )
    assert named(prices, STRANGE) == ["tie", "stud"]


def test_what_is_had_already_is_not_asked_for():
    prices = PriceList(
        (
            WantedTimber("none", Timber(90.0, 140.0), count=0),
            WantedTimber("some", Timber(90.0, 140.0), count=3),
            WantedTimber("any", Timber(90.0, 140.0)),
        ),
        boards=(WantedBoard("board", 25.0, 90.0, 900.0, 0.4),),
        notes=("values are invented",),
    )
    found = list_for(CROOKED, prices)
    assert [(item.name, item.count) for item in found.timbers] == [("some", 3), ("any", None)]
    assert found.boards == prices.boards
    assert found.notes == prices.notes


FINISHED = Wanted(140.0, 180.0, moisture=0.12, allowance_mm=3.0, sawn_faces=3, spread_mm=1.2, step_mm=1.5875)
RULES = {"length_mm": 2_900.0, "wane_mm": 9.0, "heart": "boxed", "heart_margin_mm": 17.0}


def finished():
    timber = Timber(140.0, 180.0, sawn_faces=3, allowance_mm=3.0, **RULES)
    return WantedTimber("post", timber, count=4, value_bf=1.9, wanted=FINISHED, is_must=False, role="corner")


def test_a_finished_size_becomes_the_cut_size_of_the_species():
    (item,) = list_for(WHITE_PINE, PriceList((finished(),))).timbers
    cut = cut_size(FINISHED, find_species("eastern white pine"))
    assert (item.timber.cut_thickness_mm, item.timber.cut_width_mm) == (cut.thickness.cut_mm, cut.width.cut_mm)
    assert item.timber.cut_thickness_mm > 140.0 + 2 * 3.0
    for name, value in RULES.items():
        assert getattr(item.timber, name) == value
    assert (item.timber.sawn_faces, item.timber.thickness_mm, item.timber.width_mm) == (3, 140.0, 180.0)
    # All else is as it was asked.
    assert replace(item, timber=finished().timber) == finished()
    assert item.worth(2_900.0) == finished().worth(2_900.0)


def test_a_finished_size_shrinks_by_the_species():
    oak = replace(CROOKED, species="northern red oak")
    pine = list_for(WHITE_PINE, PriceList((finished(),))).timbers[0]
    more = list_for(oak, PriceList((finished(),))).timbers[0]
    # Oak shrinks more than white pine.
    assert more.timber.cut_width_mm > pine.timber.cut_width_mm


def test_a_finished_size_of_an_unknown_species_is_left_out_with_a_note():
    cut = WantedTimber("stud", Timber(40.0, 90.0))
    found = list_for(STRANGE, PriceList((finished(), cut), notes=("first",)))
    assert [item.name for item in found.timbers] == ["stud"]
    assert found.notes[0] == "first"
    (note,) = found.notes[1:]
    assert note.startswith("post is left out: ")
    assert "driftwood of no name" in note


def test_what_the_kit_tells_of_a_species_counts():
    own = (own_species("driftwood of no name", {"shrinkage_radial": 0.03, "shrinkage_tangential": 0.07}),)
    found = list_for(STRANGE, PriceList((finished(),)), own=own)
    assert [item.name for item in found.timbers] == ["post"]
    assert not found.notes


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"count": -1}, r"^post: count -1; write how many are wanted"),
        ({"value_bf": -0.5}, r"^post: value -0.5 a board foot; give zero or more"),
        ({"value_bf": math.nan}, r"^post: value nan"),
        ({"value_bf": 2e6}, r"^post: value 2e\+06"),
    ],
)
def test_a_timber_that_cannot_be_priced_is_refused(changes, told):
    with pytest.raises(TimberError, match=told):
        replace(finished(), **changes)


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"thickness_mm": 5.0}, r"^siding: a board .*5 mm\) thick; it must lie between"),
        ({"thickness_mm": 201.0}, r"^siding: a board"),
        ({"thickness_mm": math.inf}, r"^siding: a board"),
        ({"least_width_mm": 9.0}, r"^siding: least width .* give 10 mm to 2 m, and 100 mm to 40 m"),
        ({"least_length_mm": 90.0}, r"^siding: least width"),
        ({"least_length_mm": 41_000.0}, r"^siding: least width"),
        ({"value_bf": -1.0}, r"^siding: value -1 a board foot"),
    ],
)
def test_a_board_that_is_none_is_refused(changes, told):
    with pytest.raises(TimberError, match=told):
        replace(WantedBoard("siding", 25.0, 90.0, 900.0, 0.4), **changes)
