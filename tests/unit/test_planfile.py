"""Words and plan files that `match` reads back: what they mean, and a sentence for each that means nothing."""

import json
import math
import re

import pytest

from pithline.errors import FileError, MatchError
from pithline.job.planfile import (
    read_plan,
    sawn_of,
    words_to_locks,
    words_to_pairs,
    words_to_turns,
    words_to_weights,
)
from pithline.match import Lock, Weights


def plan_of(*assignments):
    """An answer that holds no more of a plan than is read back."""
    return {"plans": [{"assignments": list(assignments)}]}


def one(tag, counts, spare=None):
    return {"tag": tag, "counts": counts, "spare": spare or {}}


@pytest.fixture
def written(tmp_path):
    """Writes an answer; the path it was written to."""

    def write(answer):
        path = tmp_path / "plan.json"
        path.write_text(answer if isinstance(answer, str) else json.dumps(answer), encoding="utf-8")
        return path

    return write


# --- plan files ---------------------------------------------------------------


def test_a_plan_gives_timbers_by_log_and_spare_ones_are_timbers_too(written) -> None:
    answer = plan_of(one("A03", {"plate": 1, "strut": 2}, {"strut": 1, "brace": 4}), one("Ä7", {}))
    assert read_plan(written(answer)) == {"A03": {"plate": 1, "strut": 3, "brace": 4}, "Ä7": {}}


def test_a_plan_of_no_logs_is_a_plan(written) -> None:
    assert read_plan(str(written(plan_of()))) == {}


def test_the_first_of_the_plans_is_kept_to(written) -> None:
    answer = {"plans": [{"assignments": [one("A1", {"plate": 1})]}, {"assignments": [one("A2", {"plate": 1})]}]}
    assert read_plan(written(answer)) == {"A1": {"plate": 1}}


@pytest.mark.parametrize("text", ["tag,species\n", "{", "[" * 50_000, '{"plans": [}'], ids=lambda text: text[:10])
def test_what_is_no_json_is_told_by_its_name(written, text) -> None:
    with pytest.raises(FileError) as caught:
        read_plan(written(text))
    assert caught.value.faults == ("plan.json: is no JSON; give the file that `pithline match --json` wrote.",)


@pytest.mark.parametrize(
    "answer",
    [
        [],
        {},
        "NaN",
        {"plans": []},
        {"plans": None},
        {"plans": [{}]},
        {"plans": [{"assignments": None}]},
        {"plans": [{"assignments": "A03"}]},
        {"plans": [{"assignments": [{"tag": "A03", "counts": {}}]}]},
        {"plans": [{"assignments": [{"counts": {}, "spare": {}}]}]},
        plan_of(one("A03", ["plate"])),
        plan_of(one("A03", {"plate": -1})),
        plan_of(one("A03", {"plate": 1.0})),
        plan_of(one("A03", {"plate": True})),
        plan_of(one("A03", {"plate": "1"})),
        plan_of(one("A03", {}, {"plate": None})),
    ],
    ids=str,
)
def test_json_of_another_form_holds_no_plan(written, answer) -> None:
    with pytest.raises(FileError) as caught:
        read_plan(written(answer))
    assert caught.value.faults == ("plan.json: holds no plan; give the file that `pithline match --json` wrote.",)


def test_a_file_that_cannot_be_read_says_why(tmp_path) -> None:
    with pytest.raises(FileError, match=r"none\.json is not there: check the name and the folder"):
        read_plan(tmp_path / "none.json")
    with pytest.raises(FileError, match="is a folder: name a file in it"):
        read_plan(tmp_path)
    path = tmp_path / "wide.json"
    path.write_bytes('{"plans": []}'.encode("utf-16"))
    with pytest.raises(FileError, match="looks like UTF-16, and UTF-8 is read here"):
        read_plan(path)
    path.write_text("")
    with pytest.raises(FileError, match="is empty: check that it was saved"):
        read_plan(path)


# --- pairs, locks, turns ------------------------------------------------------


def test_pairs_are_parted_at_the_last_equals_sign() -> None:
    assert words_to_pairs(["plate=A03", " 6 = 8 tie = A 4 "], "--lock") == (("plate", "A03"), ("6 = 8 tie", "A 4"))
    assert words_to_pairs(["A03", "A12=ridge"], "--reserve", is_right_needed=False) == (("A03", ""), ("A12", "ridge"))
    assert words_to_pairs([], "--lock") == ()


@pytest.mark.parametrize(
    ("word", "option", "example"),
    [
        ("plate", "--lock", "plate=A03"),
        ("", "--lock", "plate=A03"),
        ("=A03", "--lock", "plate=A03"),
        ("plate= ", "--lock", "plate=A03"),
        ("A03", "--turn", "A03=90"),
        (" =90", "--turn", "A03=90"),
    ],
)
def test_a_word_with_a_side_missing_is_shown_an_example(word, option, example) -> None:
    with pytest.raises(MatchError, match=re.escape(f'{option}: read "{word}"; write as "{example}".')):
        words_to_pairs([word], option)


@pytest.mark.parametrize("word", ["", " ", "=ridge", "A03="])
def test_a_reserve_without_a_log_or_a_timber_is_shown_an_example(word) -> None:
    with pytest.raises(MatchError, match=re.escape(f'--reserve: read "{word}"; write as "A03=plate".')):
        words_to_pairs([word], "--reserve", is_right_needed=False)


def test_a_lock_given_twice_is_for_two_of_them() -> None:
    locks = words_to_locks(["strut=A1", "plate=A1", "strut=A1", "strut=A2"])
    assert locks == (Lock("strut", "A1", 2), Lock("plate", "A1", 1), Lock("strut", "A2", 1))


def test_turns_are_degrees_by_tag() -> None:
    assert words_to_turns(["A03=90", "A04=-12.5"]) == {"A03": 90.0, "A04": -12.5}


@pytest.mark.parametrize("number", ["up", "90deg", "nan", "inf", "1e999"])
def test_a_turn_that_is_no_number_is_told(number) -> None:
    with pytest.raises(MatchError, match=re.escape(f'--turn A03: read "{number}"; give a number.')):
        words_to_turns([f"A03={number}"])


def test_a_log_is_turned_once() -> None:
    with pytest.raises(MatchError, match=r"^--turn: A03 is given twice\.$"):
        words_to_turns(["A03=90", "A03=90"])


# --- weights ------------------------------------------------------------------


def test_weights_are_told_in_one_word_or_several() -> None:
    assert words_to_weights([]) == Weights()
    assert words_to_weights(["logs=2,hours=0.5"]) == Weights(logs=2.0, hours=0.5)
    assert words_to_weights([" Volume = 3", "NICE=0 , boards=1e1"]) == Weights(volume=3.0, nice=0.0, boards=10.0)


@pytest.mark.parametrize("word", ["", "log=2", "2", "logs=1,", "logs:1"])
def test_a_weight_of_nothing_known_is_told_what_there_is(word) -> None:
    with pytest.raises(
        MatchError, match=r'--weigh: read ".*"; write as "logs=2", of logs, volume, hours, boards, nice'
    ):
        words_to_weights([word])


@pytest.mark.parametrize(("word", "read"), [("logs", ""), ("logs=", ""), ("logs=dear", "dear"), ("logs=nan", "nan")])
def test_a_weight_that_is_no_number_is_told(word, read) -> None:
    with pytest.raises(MatchError, match=re.escape(f'--weigh logs: read "{read}"; give a number.')):
        words_to_weights([word])


@pytest.mark.parametrize("words", [["logs=1,logs=2"], ["logs=1", "LOGS=1"]])
def test_a_weight_is_given_once(words) -> None:
    with pytest.raises(MatchError, match=r"^--weigh: logs is given twice\.$"):
        words_to_weights(words)


@pytest.mark.parametrize("number", ["-0.1", "100.1", "1e300"])
def test_a_weight_beyond_all_sense_is_refused(number) -> None:
    told = re.escape(f"weigh boards: {float(number):g}; give 0 to 100, 1 is its money's worth.")
    with pytest.raises(MatchError, match=told):
        words_to_weights([f"boards={number}"])


@pytest.mark.parametrize("value", [math.nan, math.inf, -1.0, 101.0])
def test_weights_are_held_wherever_they_come_from(value) -> None:
    with pytest.raises(MatchError, match=r"weigh hours: .*; give 0 to 100"):
        Weights(hours=value)
    assert (Weights(hours=0.0).hours, Weights(hours=100.0).hours) == (0.0, 100.0)


# --- what is sawn -------------------------------------------------------------

FORMER = {"A03": {"plate": 1, "strut": 2}, "A04": {"strut": 1}}


def test_a_log_that_is_sawn_gave_what_was_planned_where_nothing_else_is_told() -> None:
    assert sawn_of(["A03"], FORMER) == {"A03": {"plate": 1, "strut": 2}}
    assert sawn_of([" A04 "], FORMER) == {"A04": {"strut": 1}}
    assert sawn_of([], FORMER) == {}


def test_what_came_out_is_told_in_counts() -> None:
    words = ["A03=plate:1,strut:2,plate:1", "A09 = long: tie :3", "A04=strut:0"]
    assert sawn_of(words, FORMER) == {"A03": {"plate": 2, "strut": 2}, "A09": {"long: tie": 3}, "A04": {"strut": 0}}


@pytest.mark.parametrize("word", ["A03=nothing", "A03= NOTHING"])
def test_a_log_that_was_lost_gave_nothing(word) -> None:
    assert sawn_of([word], FORMER) == {"A03": {}}


def test_the_earlier_plan_is_not_changed_by_what_is_sawn() -> None:
    former = {"A03": {"plate": 1}}
    sawn_of(["A03"], former)["A03"]["plate"] = 7
    assert former == {"A03": {"plate": 1}}


@pytest.mark.parametrize("word", ["", " ", "=plate:1", "A03=", "A03= "])
def test_a_word_that_tells_nothing_sawn_is_shown_an_example(word) -> None:
    told = re.escape(f'--sawn: read "{word}"; write as "A03", or "A03=plate:1,joist:2".')
    with pytest.raises(MatchError, match=told):
        sawn_of([word], FORMER)


@pytest.mark.parametrize("part", ["plate", "plate:", ":1", "plate:x", "plate:-1", "plate:1.0", "plate:٣", "plate:²"])
def test_a_part_that_is_no_count_is_shown_an_example(part) -> None:
    with pytest.raises(MatchError, match=re.escape(f'--sawn A03: read "{part}"; write as "plate:1".')):
        sawn_of([f"A03=strut:1,{part}"], FORMER)


def test_a_log_is_sawn_once() -> None:
    with pytest.raises(MatchError, match=r"^--sawn: A03 is given twice\.$"):
        sawn_of(["A03", "A03=nothing"], FORMER)


def test_a_log_that_no_plan_had_must_be_told_what_came_out() -> None:
    told = r'^--sawn A09: no earlier plan has it; tell what came out, as "A09=plate:1", or "A09=nothing"\.$'
    for former in (FORMER, {}):
        with pytest.raises(MatchError, match=told):
            sawn_of(["A09"], former)
