"""The best ways to saw a log: sound, the same in a mirror and however it was tallied, and never more than is wanted."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import BOARD, BRACE, CROOKED, LONG_LIST, PLANK, PRICES, ROW, SILL
from pithline.errors import KitError
from pithline.fit import Timber, place
from pithline.logs import solid_from_tally, stretch
from pithline.patterns import PriceList, WantedBoard, WantedTimber, best_patterns, list_for, pattern_faults
from pithline.patterns.search import AIMS
from strategies import INCH, KIT, altered, generated, mirrored, round_log, tally_logs

LONG = CROOKED.length_mm

SEEN_ALIKE = 0.03
"""Share of the net by which a log in a mirror, or tallied another way up, may come out differently: cuts lie on a
grid, which opens from the top, and turns go by steps of 15 degrees over half a turn."""


def nets(ways):
    return [pattern.net for pattern in ways.patterns]


@st.composite
def jobs(draw):
    """A crooked log, timbers of odd sizes and lengths, boards or none, an odd kerf or that of the kit."""
    row = draw(tally_logs(crown=0.15))
    log = solid_from_tally(row)
    tip = float(2.0 * np.linalg.eigvalsh(log.shape_mm[-1])[0])
    timbers = []
    for k in range(draw(st.integers(1, 4))):
        thick, wide = (max(30.0, tip * draw(st.floats(0.12, 0.6))) for _ in range(2))
        timbers.append(
            WantedTimber(
                f"timber {k}",
                Timber(
                    thick,
                    wide,
                    draw(st.none() | st.floats(0.2, 1.05).map(lambda share: max(100.0, share * row.length_mm))),
                    sawn_faces=draw(st.sampled_from([4, 4, 3, 2])),
                    allowance_mm=draw(st.sampled_from([0.0, 3.175])),
                    wane_mm=draw(st.sampled_from([0.0, 0.08])) * min(thick, wide),
                    heart=draw(st.sampled_from(["any", "any", "boxed", "free"])),
                    heart_margin_mm=draw(st.sampled_from([0.0, 4.0])),
                ),
                count=draw(st.none() | st.integers(1, 7)),
                value_bf=draw(st.floats(1.0, 6.0)),
            )
        )
    boards = draw(st.sampled_from([(), (PLANK,), (BOARD, PLANK)]))
    kit = altered(KIT, "saw", kerf_mm=draw(st.sampled_from([KIT.saw.kerf_mm, 7.3])))
    return log, PriceList(tuple(timbers), boards), kit, draw(st.booleans())


def heart_is_kept(pattern, item, piece):
    """Whether the pith stays inside a boxed timber and outside a free one, at every station of the log along it."""
    part = stretch(pattern.log, piece.start_mm, end_mm=piece.end_mm)
    share = (part.z_mm - piece.start_mm) / piece.length_mm
    for u, pith in zip(share, part.pith_mm, strict=True):
        corners = (1.0 - u) * piece.corners_butt_mm + u * piece.corners_tip_mm
        edges = np.roll(corners, -1, axis=0) - corners
        normal = np.column_stack([edges[:, 1], -edges[:, 0]]) / np.linalg.norm(edges, axis=1)[:, None]
        out = float(np.einsum("ki,ki->k", normal, pith - corners).max())
        margin = item.timber.heart_margin_mm
        if item.timber.heart == "boxed" and out > -margin + 1e-3:
            return False
        if item.timber.heart == "free" and out < margin - 1e-3:
            return False
    return True


@generated(25)
@given(jobs())
def test_every_way_is_sound(made):
    log, prices, kit, relieve = made
    ways = best_patterns(log, prices, kit=kit, relieve=relieve)
    assert ways.log is log
    assert bool(ways.patterns) != bool(ways.why)
    items = {item.name: item for item in prices.timbers}
    for pattern in ways.patterns:
        assert list(pattern_faults(pattern, prices)) == []
        assert pattern.pieces
        assert min(pattern.kerf_mm3, pattern.slab_mm3) >= 0.0
        assert pattern.net == pytest.approx(math.fsum(piece.value for piece in pattern.pieces) - pattern.cost)
        assert pattern.cost == pytest.approx(pattern.minutes / 60.0 * kit.work.cost_an_hour)
        for piece in pattern.timbers:
            item = items[piece.name]
            sizes = (item.timber.cut_thickness_mm, item.timber.cut_width_mm)
            assert (piece.thickness_mm, piece.width_mm) == pytest.approx(sizes)
            part = pattern.parts[piece.part]
            asked = item.timber.length_mm or part.end_mm - part.start_mm
            assert asked - 0.51 <= piece.length_mm <= asked + 1e-6
            assert piece.value == pytest.approx(item.worth(piece.length_mm))
            assert heart_is_kept(pattern, item, piece)
        for name, item in items.items():
            number = sum(piece.name == name for piece in pattern.pieces)
            assert item.count is None or number <= item.count
    assert nets(ways) == sorted(nets(ways), reverse=True)


@generated(4)
@given(jobs())
def test_the_same_log_is_sawn_the_same_way_twice(made):
    log, prices, kit, relieve = made
    first, again = (best_patterns(log, prices, kit=kit, relieve=relieve) for _ in range(2))
    assert nets(first) == nets(again)
    assert first.why == again.why
    for one, other in zip(first.patterns, again.patterns, strict=True):
        assert (one.why, one.gives_up, one.minutes) == (other.why, other.gives_up, other.minutes)
        assert [cut.setting_mm for cut in one.cuts] == [cut.setting_mm for cut in other.cuts]
        for mine, theirs in zip(one.pieces, other.pieces, strict=True):
            assert mine.name == theirs.name
            assert (mine.corners_butt_mm == theirs.corners_butt_mm).all()


LISTS = [
    PRICES,
    PriceList((SILL,), ()),
    PriceList((), (PLANK, BOARD)),
    PriceList((WantedTimber("tie", Timber(127.0, 190.5, heart="free", heart_margin_mm=6.0), value_bf=2.1),), (BOARD,)),
]


@pytest.mark.parametrize("prices", LISTS)
def test_a_log_in_a_mirror_brings_the_same(prices):
    ours = best_patterns(CROOKED, prices, kit=KIT)
    theirs = best_patterns(solid_from_tally(mirrored(ROW)), prices, kit=KIT)
    assert theirs.patterns[0].net == pytest.approx(ours.patterns[0].net, rel=SEEN_ALIKE)


@pytest.mark.parametrize("hours", [0.7, 3.0, 6.0])
@pytest.mark.parametrize("prices", LISTS[:2])
def test_a_log_tallied_another_way_up_brings_the_same(prices, hours):
    def later(clock):
        return (clock - 1.0 + hours) % 12.0 + 1.0

    row = replace(
        ROW,
        crown_clock=later(ROW.crown_clock),
        oval_clock=later(ROW.oval_clock),
        butt_pith_clock=later(ROW.butt_pith_clock),
        tip_pith_clock=later(ROW.tip_pith_clock),
    )
    ours = best_patterns(CROOKED, prices, kit=KIT)
    theirs = best_patterns(solid_from_tally(row), prices, kit=KIT)
    assert theirs.patterns[0].net == pytest.approx(ours.patterns[0].net, rel=SEEN_ALIKE)


def test_a_larger_list_and_dearer_timbers_bring_no_less():
    few = best_patterns(CROOKED, PriceList((SILL,), (PLANK,)), kit=KIT).patterns[0]
    more = best_patterns(CROOKED, PRICES, kit=KIT).patterns[0]
    dear = PriceList((replace(SILL, value_bf=3.0),), (PLANK,))
    assert more.net >= few.net * (1.0 - SEEN_ALIKE)
    assert best_patterns(CROOKED, dear, kit=KIT).patterns[0].net > few.net


def test_a_log_that_grows_brings_more():
    thin, thick = (
        round_log(d, 3_000.0, tip_mm=d - 30.0, crown_mm=11.0, crown_clock=4.0, butt_pith_mm=4.0, butt_pith_clock=8.0)
        for d in (350.0, 420.0)
    )
    prices = PriceList((replace(BRACE, count=None),), (PLANK, BOARD))
    assert best_patterns(thick, prices, kit=KIT).patterns[0].net > best_patterns(thin, prices, kit=KIT).patterns[0].net


# --- counts ----------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5])
def test_no_more_come_out_than_are_wanted_where_the_log_would_hold_more(count):
    log = round_log(395.0, 3_000.0, tip_mm=380.0, crown_mm=8.0, crown_clock=2.0)
    prices = PriceList((WantedTimber("rail", Timber(50.8, 4 * INCH), count=count, value_bf=8.0),), (BOARD,))
    for pattern in best_patterns(log, prices, kit=KIT).patterns:
        assert len(pattern.timbers) <= count
    # Dear as they are, all of them are worth their passes.
    assert len(best_patterns(log, prices, kit=KIT).patterns[0].timbers) == count


@pytest.mark.parametrize("count", [1, 2, 3, 5, 7, 11])
def test_counts_are_kept_over_several_parts(count):
    log = round_log(330.0, 7_300.0, tip_mm=262.0, crown_mm=19.0, crown_clock=7.7)
    beam = WantedTimber("beam", Timber(150.0, 180.0, 3_100.0), count=1, value_bf=4.0)
    post = WantedTimber("post", Timber(80.0, 110.0, 2_000.0), count=count, value_bf=3.0)
    ways = best_patterns(log, PriceList((beam, post), (PLANK,)), kit=KIT)
    assert len(ways.patterns[0].parts) >= 2
    for pattern in ways.patterns:
        assert sum(piece.name == "post" for piece in pattern.pieces) <= count
        assert sum(piece.name == "beam" for piece in pattern.pieces) <= 1
        # No part is sawn for timbers that nobody wants any more.
        for number in range(len(pattern.parts)):
            assert any(piece.part == number for piece in pattern.pieces)


def test_what_is_wanted_zero_times_never_comes():
    prices = PriceList((replace(SILL, count=0), BRACE), (PLANK,))
    ways = best_patterns(CROOKED, prices, kit=KIT)
    assert all(piece.name != "sill" for pattern in ways.patterns for piece in pattern.pieces)


# --- kinds of timber ----------------------------------------------------------------------------------


def test_a_timber_of_two_faces_keeps_its_bark_at_the_sides():
    girt = WantedTimber("girt", Timber(150.0, 200.0, sawn_faces=2, wane_mm=20.0), count=1, value_bf=2.5)
    pattern = best_patterns(CROOKED, PriceList((girt,)), kit=KIT).patterns[0]
    (piece,) = pattern.timbers
    # Two passes, nothing is rolled on its side.
    assert [len(position.cuts) for position in pattern.positions] == [2]
    assert pattern.cuts[1].setting_mm == pytest.approx(150.0)
    assert (piece.start_mm, piece.end_mm) == (0.0, LONG)


def test_a_timber_without_length_is_as_long_as_the_log():
    beam = WantedTimber("beam", Timber(150.0, 190.0), count=1, value_bf=2.5)
    pattern = best_patterns(CROOKED, PriceList((beam,), (BOARD,)), kit=KIT).patterns[0]
    (piece,) = pattern.timbers
    assert (piece.start_mm, piece.end_mm) == (0.0, LONG)
    assert len(pattern.parts) == 1


@pytest.mark.parametrize("heart", ["boxed", "free"])
def test_the_heart_rule_is_kept(heart):
    timber = Timber(100.0, 150.0, heart=heart, heart_margin_mm=15.0)
    item = WantedTimber("post", timber, count=2, value_bf=3.0)
    ways = best_patterns(CROOKED, PriceList((item,)), kit=KIT)
    assert ways.patterns[0].timbers
    for pattern in ways.patterns:
        assert all(heart_is_kept(pattern, item, piece) for piece in pattern.timbers)
    # Of two posts only one can hold the pith. The flat cant is too slender for this thick a log, on edge it stands.
    assert len(ways.patterns[0].timbers) == (1 if heart == "boxed" else 2)


@pytest.mark.parametrize(
    ("diameters", "size", "kerf", "faces"),
    [
        ((332.0, 320.0), (86.0, 134.0), 8.7, 2),
        ((336.0, 321.0), (83.4, 143.0), 7.3, 4),
        ((344.0, 327.0), (82.6, 141.0), 9.525, 2),
        ((329.0, 327.0), (85.9, 123.0), 9.525, 2),
    ],
)
def test_a_timber_pushed_to_bark_by_its_heart_rule_stays_in_the_wood(diameters, size, kerf, faces):
    # Three lie on each other, their heights no whole sixteenths; the middle one keeps clear of the pith.
    log = round_log(
        diameters[0],
        2_794.0,
        tip_mm=diameters[1],
        butt_pith_mm=10.0,
        butt_pith_clock=4.0,
        tip_pith_mm=8.0,
        tip_pith_clock=2.0,
    )
    timber = Timber(*size, sawn_faces=faces, heart="free", heart_margin_mm=5.0)
    prices = PriceList((WantedTimber("rail", timber, value_bf=5.0),))
    ways = best_patterns(log, prices, kit=altered(KIT, "saw", kerf_mm=kerf))
    assert ways.patterns[0].timbers
    assert list(pattern_faults(ways.patterns[0], prices)) == []


@pytest.mark.parametrize("cut_width", [520.0, 530.0, 540.0])
def test_a_log_wider_than_the_mill_gives_boards_or_names_the_mill(cut_width):
    # Near its middle a pass is wider than the mill, and the waste left there is deeper than the mill sets. A mill
    # 10 mm wider takes boards from above and from below that waste in one position.
    log = round_log(640.0, 3_000.0, tip_mm=610.0)
    prices = PriceList((), (WantedBoard("board", 25.4, 100.0, 900.0, 0.9),))
    ways = best_patterns(log, prices, kit=altered(KIT, "mill", cut_width_mm=cut_width))
    assert ways.patterns or "mill.cut_width" in ways.why
    assert best_patterns(log, prices, kit=altered(KIT, "mill", cut_width_mm=550.0)).patterns[0].boards


def test_waste_that_must_come_off_first_is_a_pass_of_its_own():
    # The mill does not reach from the rail to the face of a timber this deep: waste over it comes off before.
    kit = altered(altered(KIT, "mill", setting_max_mm=250.0), "bearers", height_min_mm=15.0)
    log = round_log(500.0, 3_000.0, tip_mm=492.0)
    timber = Timber(3 * INCH, 10 * INCH, sawn_faces=2, heart="boxed", heart_margin_mm=10.0)
    prices = PriceList((WantedTimber("beam", timber, count=1, value_bf=9.0),))
    first = best_patterns(log, prices, kit=kit).patterns[0]
    assert [cut.frees for cut in first.cuts] == ["the top slab", "waste", "beam"]
    assert list(pattern_faults(first, prices)) == []


def test_a_timber_that_only_just_fits_is_found():
    # The largest of its shape that the log holds at the turn it is best at, and 1 % less.
    row = replace(ROW, crown_mm=9.0, oval_clock=3.0, crown_clock=3.0)
    log = solid_from_tally(row)
    largest = 0.0
    for side in np.arange(200.0, 300.0, 2.0):
        if place(log, Timber(0.8 * side, side), roll="best", wanted_clearance_mm=0.0, against_best=False).fits:
            largest = side
    beam = WantedTimber("beam", Timber(0.8 * 0.99 * largest, 0.99 * largest), count=1, value_bf=4.0)
    ways = best_patterns(log, PriceList((beam,)), kit=KIT)
    assert [piece.name for piece in ways.patterns[0].timbers] == ["beam"]


@pytest.mark.parametrize("kerf", [6.35, 7.3, 8.0, 9.525, 10.9])
def test_layers_of_any_kerf_can_be_sawn(kerf):
    kit = altered(KIT, "saw", kerf_mm=kerf)
    prices = PriceList((BRACE,), (WantedBoard("siding", 23.0, 90.0, 900.0, 1.3), PLANK))
    ways = best_patterns(CROOKED, prices, kit=kit)
    assert ways.patterns
    for pattern in ways.patterns:
        assert all(cut.setting_mm >= kit.mill.setting_min_mm - 1e-6 for cut in pattern.cuts)


# --- nothing, and what is offered ------------------------------------------------------------------------


@pytest.mark.parametrize(
    "prices",
    [
        PriceList(),
        PriceList((WantedTimber("beam", Timber(300.0, 400.0), value_bf=9.0),)),
        PriceList((WantedTimber("purlin", Timber(60.0, 90.0, 4_312.0), value_bf=9.0),)),
        PriceList((), (WantedBoard("board", 25.0, 600.0, 900.0, 9.0),)),
        PriceList((replace(SILL, species=("red oak",)),)),
        PriceList((replace(SILL, count=0),)),
    ],
)
def test_a_list_with_nothing_that_fits_says_why(prices):
    ways = best_patterns(CROOKED, prices, kit=KIT)
    assert ways.patterns == ()
    assert ways.why.startswith("crooked: ")
    assert ways.why.endswith(".")


def test_a_timber_that_is_not_worth_its_sawing_is_offered_at_a_loss_and_says_so():
    gift = WantedTimber("gift", Timber(60.0, 90.0), count=1, value_bf=0.0)
    ways = best_patterns(CROOKED, PriceList((gift,)), kit=KIT)
    for pattern in ways.patterns:
        assert [piece.name for piece in pattern.pieces] == ["gift"]
        assert pattern.net < 0.0
        assert "at a loss" in pattern.why
    # A board that is not worth its sawing is not asked for by any building.
    board = WantedBoard("board", 25.4, 90.0, 900.0, 0.0)
    assert best_patterns(CROOKED, PriceList((), (board,)), kit=KIT).patterns == ()


@generated(15)
@given(jobs())
def test_a_way_says_at_a_loss_where_it_is_one(made):
    log, prices, kit, relieve = made
    for pattern in best_patterns(log, prices, kit=kit, relieve=relieve).patterns:
        assert ("at a loss" in pattern.why) == (pattern.net < 0.0)


def test_a_kit_that_cannot_saw_says_why():
    weak = altered(KIT, "mill", cut_width_mm=240.0)
    ways = best_patterns(CROOKED, PriceList((SILL,)), kit=weak)
    assert ways.patterns == ()
    assert ways.why.startswith("crooked: ")


def test_a_kit_that_is_not_sound_is_refused():
    with pytest.raises(KitError, match=r"work.slender"):
        best_patterns(CROOKED, PRICES, kit=altered(KIT, "work", slender=0.1))


def test_ways_are_told_apart_and_notes_come_along():
    ways = best_patterns(CROOKED, LONG_LIST, kit=KIT)
    assert ways.why == ""
    assert 1 <= len(ways.patterns) <= 5
    for pattern in ways.patterns:
        assert pattern.notes == list_for(CROOKED, LONG_LIST).notes
        assert pattern.why
    assert ways.patterns[0].gives_up == ""
    assert all(pattern.gives_up for pattern in ways.patterns[1:])
    assert [aim.name for aim in AIMS] == ["most value", "least sawing", "most timber"]


def test_opening_faces_in_turn_brings_the_same_pieces():
    plain, turned = (best_patterns(CROOKED, PRICES, kit=KIT, relieve=relieve) for relieve in (False, True))
    assert nets(turned) == pytest.approx(nets(plain))
    first, second = plain.patterns[0], turned.patterns[0]
    assert [piece.name for piece in first.pieces] == [piece.name for piece in second.pieces]
    assert sorted(cut.line_mm for cut in first.cuts) == pytest.approx(sorted(cut.line_mm for cut in second.cuts))
