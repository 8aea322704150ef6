"""What is said of a sawing pattern: counts, times, places, how the wood is laid, and notes that come once."""

from dataclasses import replace
from types import MappingProxyType

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pattern_cases import CROOKED, PRICES
from pithline.answers.pattern_forms import ways_form
from pithline.answers.pattern_pages import pattern_lines, pattern_setup_lines, ways_lines
from pithline.answers.pattern_words import (
    counted,
    hours_text,
    pattern_notes,
    pieces_text,
    position_text,
    rides_text,
    where_text,
)
from pithline.lengths import Tape
from pithline.patterns import Ways, best_patterns
from strategies import FOOT, INCH, KIT, generated

TAPE, METRIC = Tape("in", 16), Tape("mm", 16)


@pytest.fixture(scope="module")
def ways():
    """The ways of one invented log."""
    found = best_patterns(CROOKED, PRICES, kit=KIT)
    assert len(found.patterns) >= 1
    return found


@pytest.fixture(scope="module")
def pattern(ways):
    """The best of them."""
    return ways.patterns[0]


# --- counts and times ---------------------------------------------------------


@pytest.mark.parametrize(
    ("number", "name", "told"),
    [
        (1, "tie", "1 tie"),
        (2, "tie", "2 ties"),
        (3, "thick board", "3 thick boards"),
        (2, "pass", "2 passes"),
        (2, "truss", "2 trusses"),
        (2, "shelf", "2 shelves"),
        (2, "tray", "2 trays"),
        (2, "bay", "2 bays"),
        (2, "story", "2 stories"),
        (2, "notch", "2 notches"),
        (2, "box", "2 boxes"),
        (4, "studs", "4 studs"),
        (0, "board", "0 boards"),
        (2, "B12", "2 of B12"),
        (2, "post 6x6", "2 of post 6x6"),
        (2, "panne nord\u00e9", "2 of panne nord\u00e9"),
        (1, "B12", "1 B12"),
    ],
)
def test_a_count_agrees_with_its_name(number, name, told) -> None:
    assert counted(number, name) == told


@pytest.mark.parametrize(
    ("minutes", "told"),
    [
        (0.2, "0 min"),
        (41.4, "41 min"),
        (59.4, "59 min"),
        (59.6, "1 h 00 min"),
        (62.4, "1 h 00 min"),
        (62.6, "1 h 05 min"),
        (118.0, "2 h 00 min"),
        (205.0, "3 h 25 min"),
        (2470.0, "41 h 10 min"),
    ],
)
def test_a_time_is_told_in_minutes_and_over_an_hour_to_five_of_them(minutes, told) -> None:
    assert hours_text(minutes) == told


@generated(100)
@given(st.floats(0.0, 5e4))
def test_a_time_as_told_is_within_its_rounding(minutes) -> None:
    words = hours_text(minutes).split()
    told = int(words[0]) if words[1] == "min" else 60 * int(words[0]) + int(words[2])
    assert abs(told - minutes) <= (0.5 if minutes < 59.5 else 2.5) + 1e-6


# --- pieces -------------------------------------------------------------------


def test_pieces_are_counted_by_name_timbers_first(pattern) -> None:
    timber, board = pattern.timbers[0], pattern.boards[0]
    several = replace(pattern, pieces=(board, timber, board, replace(timber, name="B12"), replace(board, name="slats")))
    assert pieces_text(several) == "1 sill, 1 B12, 2 planks, 1 slats"
    assert pieces_text(replace(pattern, pieces=())) == "nothing"


def test_where_a_piece_lies_is_told_from_the_butt(pattern) -> None:
    log_mm, piece = pattern.log.length_mm, pattern.pieces[0]
    cases = {
        (0.0, log_mm): "butt to tip",
        (0.4, 10 * FOOT): "butt to 10 ft",
        (2 * FOOT + INCH / 2, log_mm - 0.6): "2 ft 0 1/2 in to tip",
        (3 * INCH, 9 * FOOT + 2 * INCH): "3 in to 9 ft 2 in",
    }
    for (start, end), told in cases.items():
        assert where_text(pattern, replace(piece, start_mm=start, end_mm=end), TAPE) == told
    shown = where_text(pattern, replace(piece, start_mm=250.0, end_mm=3_251.0), METRIC)
    assert shown == "0.250 m to 3.251 m"


def test_what_a_pass_rides_on(pattern) -> None:
    first, second = pattern.cuts[:2]
    assert rides_text(first) == "the rail"
    assert rides_text(second) == "the face of pass 1"


# --- positions ----------------------------------------------------------------


def test_the_log_is_turned_before_it_is_marked_and_the_crown_told(pattern) -> None:
    # The crown of the log stands at 10.2 o'clock; 30 degrees are an hour.
    first = pattern.positions[0]
    for roll, told in (
        (24.0, "Turn the log crooked 24° clockwise, seen from the butt: the crown goes from 10 o'clock to 11 o'clock."),
        (
            -36.0,
            "Turn the log crooked 36° counterclockwise, seen from the butt: "
            "the crown goes from 10 o'clock to 9 o'clock.",
        ),
        (0.0, "Leave the log crooked as it lies, the crown at 10 o'clock."),
    ):
        turned = replace(pattern, parts=(replace(pattern.parts[0], roll_deg=roll),))
        lying = replace(first, part=0, body="the log crooked", within_mm=None)
        assert position_text(turned, lying) == told
    straight = replace(pattern, log=replace(pattern.log, crown_clock=None))
    assert "crown" not in position_text(straight, replace(first, within_mm=None))


@pytest.mark.parametrize(
    ("turn", "told"),
    [
        (90.0, "Roll the cant a quarter turn clockwise, seen from the butt: its left side comes up."),
        (-90.0, "Roll the cant a quarter turn counterclockwise, seen from the butt: its right side comes up."),
        (0.0, "Lay the cant as it lay in the log, its upper face up."),
    ],
)
def test_a_cant_is_rolled_and_the_side_that_comes_up_told(pattern, turn, told) -> None:
    position = replace(pattern.positions[0], body="the cant", turn_deg=turn, within_mm=(-80.0, 90.0))
    assert position_text(pattern, position) == told


# --- notes --------------------------------------------------------------------


def test_notes_come_once_and_name_the_values_of_work_that_were_recalled(pattern) -> None:
    kit = replace(KIT, origins=MappingProxyType({"work.rail_min": "recalled", "work.cost_an_hour": "recalled"}))
    noted = replace(pattern, kit=kit, notes=("twice", "once", "twice"), log=replace(pattern.log, notes=("once", "log")))
    notes = pattern_notes(noted)
    assert notes[:3] == ("twice", "once", "log")
    assert len(notes) == len(set(notes))
    assert notes[-1].endswith("were recalled, not measured: cost an hour, rail.")
    measured = replace(noted, kit=replace(kit, origins=MappingProxyType({})))
    assert not any("recalled" in note for note in pattern_notes(measured))
    told = "\n".join(ways_lines([Ways(noted.log, (noted,)), Ways(noted.log, (noted,))], tape=TAPE))
    assert [told.count(f"Note: {word}\n") for word in ("twice", "once", "log")] == [1, 1, 1]


# --- pages --------------------------------------------------------------------


def test_a_yard_of_one_log_is_told_in_full(ways) -> None:
    assert ways_lines([ways], tape=TAPE) == pattern_lines(ways, 1, tape=TAPE)


def test_a_log_that_gives_nothing_is_told_why(ways) -> None:
    none = Ways(ways.log, (), f"{ways.log.tag}: no reason.")
    assert ways_lines([none], tape=TAPE)[0] == f"{ways.log.tag}: no reason."
    told = ways_lines([none, none], tape=TAPE)
    assert told[0] == "0 of 2 logs are worth sawing for this list."
    assert told.count(f"{ways.log.tag}: no reason.") == 2
    assert ways_form(none)["way"] == 0


def test_a_way_at_a_loss_is_not_counted_among_those_worth_sawing(ways, pattern) -> None:
    loss = replace(pattern, cost=pattern.value + 7.0)
    first = ways_lines([ways, Ways(ways.log, (loss,))], tape=TAPE)[0]
    assert first.startswith("1 of 2 logs is worth sawing for this list: ")
    assert first.endswith(f"net {pattern.net:,.0f}.")


def test_the_time_is_told_with_what_it_is_made_of(ways, pattern) -> None:
    told = "\n".join(pattern_lines(ways, 1, tape=TAPE))
    passes = sum(cut.minutes for cut in pattern.cuts)
    moving = sum(position.minutes for position in pattern.positions)
    assert f"less {pattern.cost:.2f} for {hours_text(pattern.minutes)} of work" in told
    assert f"{len(pattern.cuts)} passes {hours_text(passes)}; turning, bearers and rail {hours_text(moving)}; " in told
    assert f"crosscuts {hours_text(pattern.minutes - passes - moving)}." in told
    for position in pattern.positions:
        assert f"bout {hours_text(position.minutes)} with bearers and rail." in told


def test_a_log_in_parts_is_cut_first_and_its_parts_are_told(ways, pattern) -> None:
    half = 0.5 * pattern.log.length_mm
    low, high = (replace(pattern.parts[0], start_mm=start, end_mm=start + half - 5.0) for start in (0.0, half + 5.0))
    parted = replace(
        pattern,
        parts=(low, high),
        positions=tuple(replace(position, part=number % 2) for number, position in enumerate(pattern.positions)),
    )
    told = pattern_setup_lines(Ways(ways.log, (parted,)), 1, tape=METRIC)
    at = told.index("Cut these parts off the log first:")
    assert told[at + 1].startswith("Part 1, butt to 2.150 m: ")
    assert told[at + 2].startswith("Part 2, 2.160 m to tip: ")
    assert any(line.startswith("Lines on the ends of part 2, ") for line in told)
    single = pattern_lines(Ways(ways.log, (replace(pattern, parts=(low,)),)), 1, tape=METRIC)
    assert "Cut this part off the log first:" in single
    assert pattern_lines(ways, 1, tape=METRIC)[4].startswith(("The whole log: ", "Cut "))


def test_what_is_edged_and_cut_to_length_is_said_where_there_is_any(ways, pattern) -> None:
    part = pattern.parts[0]
    whole = tuple(replace(piece, start_mm=part.start_mm, end_mm=part.end_mm) for piece in pattern.timbers)
    plain = "\n".join(pattern_lines(Ways(ways.log, (replace(pattern, pieces=whole),)), 1, tape=TAPE))
    assert "edge them" not in plain
    assert "cut to the lengths" not in plain
    short = (replace(whole[0], end_mm=part.end_mm - 40.0),)
    told = "\n".join(pattern_lines(Ways(ways.log, (replace(pattern, pieces=short),)), 1, tape=TAPE))
    assert "cut to the lengths above" in told
    assert "edge them to the widths above" in "\n".join(pattern_lines(ways, 1, tape=TAPE))


def test_lines_on_the_ends_are_measured_from_the_pith_of_each_end(ways, pattern) -> None:
    told = pattern_setup_lines(ways, 1, tape=METRIC)
    at = next(number for number, line in enumerate(told) if line.startswith("Lines on the ends"))
    first = pattern.positions[0]
    for row, end, station in ((at + 2, "butt", 0), (at + 3, "tip", -1)):
        words = told[row].split()
        assert words[0] == end
        marks = [int(mm) * (1 if way == "up" else -1) for mm, way in zip(words[1::3], words[3::3], strict=True)]
        pith = float(first.log.pith_mm[station, 1])
        assert marks == pytest.approx([cut.line_mm - pith for cut in first.cuts], abs=0.501)


def test_both_pages_end_with_notes_and_the_set_up_with_cautions(ways) -> None:
    assert any("chainsaw mill can maim" in line for line in pattern_setup_lines(ways, 1, tape=TAPE))
    assert not any("chainsaw mill can maim" in line for line in pattern_lines(ways, 1, tape=TAPE))
