"""`match` as a user runs it: plans, JSON that keeps its schema, five outcomes, planning again, sentences for bad input.

The yard and the list are invented, and so is every price.
"""

import functools
import io
import itertools
import json
import os
import re
import signal
from pathlib import Path

import jsonschema
import openpyxl
import pytest
from click.testing import CliRunner

import pithline.match
from pithline.cli import main
from pithline.errors import SolverError
from pithline.job import demo_files, read_kit, read_timbers, read_yard
from pithline.match import Effort, Lock, Wishes, match_logs, plan_faults
from pithline.setup import thickness_spread_mm

ROOT = Path(__file__).parents[2]

YARD = """tag,species,length,butt [in],tip [in],crown [in],crown_clock
P1,eastern white pine,16' 3,15 1/4,12 3/4,,
S2,red spruce,12' 3,13,11 1/2,1 1/4,4
S3,red spruce,10' 6,11 1/2,10,1/2,9
N4,eastern hemlock,4' 2,8,7 1/2,,
"""

LIST = """name,kind,count,thickness [in],width [in],length,value,heart,wane [in],need
plate,timber,1,6,8,14',1.60,any,1/4,must
strut,timber,3,4,5,8',1.30,any,1/4,must
brace,timber,2,3,4,4',1.10,any,1/4,nice
plank,board,,2,4 1/2,4',0.70,,,
"""

WANTED = {"plate": 1, "strut": 3, "brace": 2}
BRIEF = Effort(rounds=1)


@pytest.fixture(autouse=True)
def _brief(monkeypatch):
    """One process and one round of prices: the same paths, in less time."""
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    monkeypatch.setattr(pithline.match, "Effort", functools.partial(Effort, rounds=1))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """The yard and the list above, and the demo's kit."""
    path = tmp_path_factory.mktemp("match")
    for name, text in {"yard.csv": YARD, "timbers.csv": LIST, "kit.toml": demo_files()["kit.toml"]}.items():
        (path / name).write_text(text, encoding="utf-8")
    return path


def run(*words, code=0):
    """Run the command; its stdout and stderr."""
    result = CliRunner().invoke(main, [str(word) for word in words])
    assert result.exit_code == code, result.output
    assert not result.exception or isinstance(result.exception, SystemExit)
    assert "Traceback" not in result.output
    return result


def matched(folder, *words, code=0, yard="yard.csv", timbers="timbers.csv", kit="kit.toml"):
    """Run `match` on files of the folder."""
    return run("match", folder / yard, folder / timbers, "--kit", folder / kit, *words, code=code)


def schema():
    return json.loads((ROOT / "docs" / "schema" / "match.json").read_text(encoding="utf-8"))


def answer_of(result):
    """The JSON on stdout, held to its schema."""
    answer = json.loads(result.stdout)
    jsonschema.validate(answer, schema())
    return answer


def gives(plan):
    """Timbers by log."""
    return {one["tag"]: {**one["counts"]} for one in plan["assignments"]}


@pytest.fixture(scope="module")
def inputs(folder):
    """Yard, list and kit as the command reads them."""
    kit = read_kit(folder / "kit.toml")
    prices = read_timbers(folder / "timbers.csv", spread_mm=thickness_spread_mm(kit), own=kit.species)
    return read_yard(folder / "yard.csv"), prices, kit


@pytest.fixture(scope="module")
def found(inputs):
    """The answer of the core, nothing decided."""
    yard, prices, kit = inputs
    return match_logs(yard, prices, kit=kit, effort=BRIEF)


@pytest.fixture
def known(monkeypatch, found):
    """The command answers at once with what the core found."""
    monkeypatch.setattr(pithline.match, "match_logs", lambda *_, **__: found)
    return found


@pytest.fixture(scope="module")
def plain(folder):
    """The whole run, with JSON, workbook and cards."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "cpu_count", lambda: 1)
        patch.setattr(pithline.match, "Effort", functools.partial(Effort, rounds=1))
        return matched(folder, "--json", "--xlsx", folder / "plan.xlsx", "--cards", folder / "cards" / "new")


@pytest.fixture(scope="module")
def answer(plain):
    return answer_of(plain)


@pytest.fixture(scope="module")
def saved(folder, plain):
    """The JSON kept in a file, as a user keeps it."""
    path = folder / "plan.json"
    path.write_text(plain.stdout, encoding="utf-8")
    return path


# --- JSON ---------------------------------------------------------------------


def test_json_keeps_its_schema(answer) -> None:
    assert answer["status"] == answer["plans"][0]["status"] == "proven"
    assert (answer["why"], answer["cancelled"], answer["misses"], answer["costs"]) == ("", False, [], {})
    assert answer["gap"] == answer["plans"][0]["gap"]
    assert answer["plans"][0]["aim"] == "as weighed"


def test_the_schema_closes_every_object_and_refuses_a_spoiled_key(answer) -> None:
    held = schema()
    for name, part in {"answer": held, **held["$defs"]}.items():
        assert part["additionalProperties"] is False, name
        assert set(part["required"]) == set(part["properties"]), name
    plan = answer["plans"][0]
    log = plan["assignments"][0]
    for spoiled in (
        {**answer, "extra": 1},
        {key: answer[key] for key in answer if key != "misses"},
        {**answer, "status": "done"},
        {**answer, "ways": -1},
        {**answer, "plans": [{**plan, "chance": 1.5}]},
        {**answer, "plans": [{key: plan[key] for key in plan if key != "idle"}]},
        {**answer, "plans": [{**plan, "assignments": [{**log, "day": 0}]}]},
        {**answer, "plans": [{**plan, "assignments": [{**log, "counts": {"plate": -1}}]}]},
        {**answer, "plans": [{**plan, "idle": [{**plan["idle"][0], "why": "lost"}]}]},
    ):
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate(spoiled, held)


def test_every_key_is_told_in_the_docs() -> None:
    told = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    chapters = {
        name: re.search(rf"^## {name}\n(.*?)^## ", told, re.MULTILINE | re.DOTALL)[1] for name in ("match", "pieces")
    }
    named = set(re.findall(r"`(\w+)`", chapters["match"]))
    # Parts, pieces, positions and passes are told with `pieces`; so is what an assignment has from there.
    beyond = named | set(re.findall(r"`(\w+)`", chapters["pieces"]))
    held = schema()
    assert set(held["properties"]) <= named
    for name, part in held["$defs"].items():
        own = named if name in {"plan", "unfilled", "idle", "nearest", "needs"} else beyond
        assert set(part["properties"]) <= own, name


def test_nothing_on_the_list_and_in_the_yard_is_dropped(answer) -> None:
    for plan in answer["plans"]:
        missing = {one["name"]: one["count"] for one in plan["unfilled"]}
        for name, count in WANTED.items():
            assert plan["filled"].get(name, 0) + missing.get(name, 0) == count
            assert plan["filled"].get(name, 0) == sum(one["counts"].get(name, 0) for one in plan["assignments"])
        used, idle = plan["logs_used"], [one["tag"] for one in plan["idle"]]
        assert sorted(used + idle) == ["N4", "P1", "S2", "S3"]
        assert used == [one["tag"] for one in plan["assignments"]]
        for one in plan["assignments"]:
            had = [piece["name"] for piece in one["pieces"] if piece["kind"] == "timber"]
            assert {name: had.count(name) for name in had} == {
                name: one["counts"].get(name, 0) + one["spare"].get(name, 0) for name in {*one["counts"], *one["spare"]}
            }


def test_the_sums_of_a_plan_are_those_of_its_logs(answer) -> None:
    # The demo's kit: 20 an hour, 90 min to fell and bring a log.
    values = {"plate": 1.60, "strut": 1.30, "brace": 1.10, "plank": 0.70}
    for plan in answer["plans"]:
        logs = plan["assignments"]
        minutes = sum(one["sawing_minutes"] for one in logs)
        assert plan["sawing_minutes"] == pytest.approx(minutes, abs=0.02)
        assert plan["days"] == max(one["day"] for one in logs)
        worth = 0.0
        for one in logs:
            left = {**one["counts"]}
            for piece in one["pieces"]:
                if piece["kind"] == "timber":
                    left[piece["name"]] = left.get(piece["name"], 0) - 1
                if left.get(piece["name"], 0) >= 0:
                    worth += values[piece["name"]] * piece["board_feet"]
        assert plan["money"] == pytest.approx(worth - 20 * (minutes + 90 * len(logs)) / 60, abs=0.05)
        assert plan["gap"] == pytest.approx((plan["bound"] - plan["worth"]) / plan["gap_base"], abs=1e-4)
        assert plan["chance"] <= 1.0


def test_the_command_answers_what_the_core_does(answer, found) -> None:
    assert [plan["aim"] for plan in answer["plans"]] == [plan.aim for plan in found.plans]
    assert [gives(plan) for plan in answer["plans"]] == [
        {one.log.tag: {**one.counts} for one in plan.assignments} for plan in found.plans
    ]


def test_several_processes_answer_the_same(folder, plain, monkeypatch) -> None:
    monkeypatch.setattr(os, "cpu_count", lambda: 2)
    assert matched(folder, "--json", "--quiet").stdout == plain.stdout


# --- text, sheets, workbook ---------------------------------------------------


@pytest.mark.usefixtures("known")
def test_the_text_tells_sums_work_and_logs_left(folder, answer) -> None:
    told = matched(folder).stdout
    plan = answer["plans"][0]
    filled = sum(plan["filled"].values())
    assert told.startswith(f"{filled} of 6 timbers from {len(plan['logs_used'])} of 4 logs. ")
    head = told.index("Order of work:")
    for one in plan["assignments"]:
        row = re.search(rf"^{one['day']} +{one['tag']} +.*$", told[head:], re.MULTILINE)
        assert row, one["tag"]
        for name, count in one["counts"].items():
            assert f"{count} {name}" in row[0]
    for idle in plan["idle"]:
        assert f"\n  {idle['tag']}: " in told
    assert f"1: {plan['aim']} (shown)" in told
    assert told.count("A chainsaw mill can maim") == 1


@pytest.mark.usefixtures("known")
def test_another_plan_is_shown_where_asked(folder, answer) -> None:
    count = len(answer["plans"])
    assert count >= 2
    told = matched(folder, "--plan", count).stdout
    assert f"{count}: {answer['plans'][-1]['aim']} (shown)" in told
    assert "1: as weighed (shown)" not in told
    for tag in answer["plans"][-1]["logs_used"]:
        assert re.search(rf"^\d +{tag} ", told, re.MULTILINE)


@pytest.mark.usefixtures("known")
def test_metric_text_holds_no_feet_and_inches(folder) -> None:
    told = matched(folder, "--units", "mm").stdout
    assert not re.search(r"\d (in|ft)\b", told)
    assert re.search(r"\d mm\b", told)


def test_sheet_cards_and_workbook_are_written_and_named(folder, plain, answer) -> None:
    cards = folder / "cards" / "new"
    tags = answer["plans"][0]["logs_used"]
    names = ["plan.pdf", *(f"{place:02d}-{tag}.pdf" for place, tag in enumerate(tags, 1))]
    assert sorted(path.name for path in cards.iterdir()) == sorted(names)
    for name in names:
        assert (cards / name).read_bytes().startswith(b"%PDF")
        assert f"Wrote {cards / name}" in plain.stderr
    assert f"Wrote {folder / 'plan.xlsx'}" in plain.stderr
    book = openpyxl.load_workbook(io.BytesIO((folder / "plan.xlsx").read_bytes()))
    assert [row[1].value for row in book["Plan"].iter_rows(min_row=2)] == tags


@pytest.mark.usefixtures("known")
def test_a_workbook_over_something_else_leaves_it_as_it_is(folder, tmp_path) -> None:
    mine = tmp_path / "mine.xlsx"
    mine.write_text("my notes")
    told = matched(folder, "--xlsx", mine, code=2)
    assert "mine.xlsx is there and no workbook of a plan: give another name." in told.stderr
    assert mine.read_text() == "my notes"
    assert "the folder" in matched(folder, "--xlsx", tmp_path / "no" / "plan.xlsx", code=2).stderr


@pytest.mark.usefixtures("known")
def test_cards_over_something_else_leave_it_as_it_is(folder, tmp_path) -> None:
    (tmp_path / "plan.pdf").write_text("my notes")
    assert "plan.pdf is there and is no PDF" in matched(folder, "--cards", tmp_path, code=2).stderr
    assert (tmp_path / "plan.pdf").read_text() == "my notes"


def test_names_of_every_kind_stay_words_and_make_safe_files(folder, tmp_path) -> None:
    (tmp_path / "yard.csv").write_text(YARD.splitlines()[0] + "\n../P#1,eastern white pine,10' 3,12,11,,\n")
    (tmp_path / "timbers.csv").write_text(LIST.splitlines()[0] + "\nSäule=2,timber,1,5,5,8',1.6,any,1/4,must\n")
    words = ("--xlsx", tmp_path / "plan.xlsx", "--cards", tmp_path / "in" / "cards", "--kit", folder / "kit.toml")
    files = (tmp_path / "yard.csv", tmp_path / "timbers.csv")
    assert 'lock: log: no "日本"' in run("match", *files, "--lock", "Säule=2=日本", *words, code=2).stderr
    # The last equals sign parts the name from the tag.
    run("match", *files, *words, "--lock", "Säule=2=../P#1")
    assert sorted(path.name for path in (tmp_path / "in" / "cards").iterdir()) == ["01----P-1.pdf", "plan.pdf"]
    book = openpyxl.load_workbook(tmp_path / "plan.xlsx")
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert all(cell.data_type != "f" for cell in cells)
    assert {"../P#1", "Säule=2"} <= {cell.value for cell in cells}


# --- what the user decides ----------------------------------------------------


@pytest.fixture(scope="module")
def decided(folder):
    """A lock, a log forbidden, one kept, and a turn."""
    words = ("--lock", "strut=S2", "--lock", "strut=S2", "--forbid", "S3", "--reserve", "N4", "--turn", "P1=30")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "cpu_count", lambda: 1)
        patch.setattr(pithline.match, "Effort", functools.partial(Effort, rounds=1))
        return answer_of(matched(folder, *words, "--quiet", "--json"))


def test_locks_are_kept_in_every_plan(decided) -> None:
    assert len(decided["plans"]) >= 1
    for plan in decided["plans"]:
        logs = {one["tag"]: one for one in plan["assignments"]}
        had = [piece["name"] for piece in logs["S2"]["pieces"]]
        assert had.count("strut") >= 2
        assert [tag for tag, one in logs.items() if one["locked"]] == ["S2"]


def test_logs_held_back_are_left_and_told_so(decided) -> None:
    for plan in decided["plans"]:
        why = {one["tag"]: one["why"] for one in plan["idle"]}
        assert (why["S3"], why["N4"]) == ("forbidden", "reserved")
        assert not {"S3", "N4"} & set(plan["logs_used"])


def test_a_turn_is_kept_in_every_plan(decided) -> None:
    turned = [
        part for plan in decided["plans"] for one in plan["assignments"] if one["tag"] == "P1" for part in one["parts"]
    ]
    assert turned
    assert all(part["roll_deg"] % 180 == pytest.approx(30.0, abs=1e-3) for part in turned)


def test_each_decision_is_told_with_its_cost(decided) -> None:
    assert list(decided["costs"]) == ["lock strut=S2", "forbid S3", "reserve N4", "turn P1=30"]
    for cost in decided["costs"].values():
        assert cost["musts"] >= 0
        assert cost["worth"] >= 0.0 or cost["musts"] > 0


def test_a_log_kept_for_one_timber_gives_no_other(folder) -> None:
    told = answer_of(matched(folder, "--reserve", "P1=strut", "--json", "--quiet"))
    assert list(told["costs"]) == ["reserve P1=strut"]
    # P1 alone holds the plate.
    assert told["costs"]["reserve P1=strut"]["musts"] == 1
    for plan in told["plans"]:
        assert [(one["name"], one["count"], one["must"]) for one in plan["unfilled"] if one["must"]] == [
            ("plate", 1, True)
        ]
        for one in plan["assignments"]:
            if one["tag"] == "P1":
                assert {piece["name"] for piece in one["pieces"] if piece["kind"] == "timber"} == {"strut"}


# --- five outcomes ------------------------------------------------------------

LOCKED = ("--lock", "plate=S3")
NONE = "No plan keeps the locks: S3 does not give 1 plate. Drop the lock, or lock another log."


def test_a_lock_the_wood_cannot_keep_is_no_plan(folder, tmp_path) -> None:
    told = matched(folder, *LOCKED, "--quiet", "--xlsx", tmp_path / "plan.xlsx", "--cards", tmp_path / "new", code=1)
    assert told.stdout == ""
    # 14 ft are asked of a log of 10 ft 6 in.
    assert told.stderr == f"{NONE} S3, plate: too short by 3 ft 6 in.\n"
    assert list(tmp_path.iterdir()) == []


def test_no_plan_is_json_too(folder) -> None:
    told = matched(folder, *LOCKED, "--quiet", "--json", code=1)
    answer = answer_of(told)
    assert (answer["status"], answer["why"], answer["plans"], answer["gap"]) == ("none", NONE, [], None)
    ((name, near),) = [(miss["name"], miss["nearest"]) for miss in answer["misses"]]
    assert (name, near["tag"], near["lacks"]) == ("plate", "S3", "length")
    assert near["short_mm"] == pytest.approx(3.5 * 304.8, abs=0.01)
    assert told.stderr.startswith(NONE)


def test_what_is_badly_posed_is_json_with_exit_code_2(folder) -> None:
    words = ("--lock", "strut=S2", "--forbid", "S2", "--reserve", "Z9")
    told = matched(folder, *words, "--json", code=2)
    answer = answer_of(told)
    assert (answer["status"], answer["plans"], answer["misses"]) == ("badly posed", [], [])
    assert answer["why"] == told.stderr.rstrip("\n")
    assert answer["why"].splitlines() == [
        'reserve: log: no "Z9"; there are P1, S2, S3, N4.',
        "lock: S2 is locked to a timber and forbidden; drop one of the two.",
    ]
    plain = matched(folder, *words, code=2)
    assert (plain.stdout, plain.stderr) == ("", told.stderr)


def test_a_solver_that_fails_has_exit_code_3_in_json(folder, monkeypatch) -> None:
    def fail(*_, **__):
        raise SolverError("the solver gave no answer")

    monkeypatch.setattr(pithline.match, "match_logs", fail)
    told = matched(folder, "--json", code=3)
    answer = answer_of(told)
    assert (answer["status"], answer["why"], answer["plans"]) == ("failed", "the solver gave no answer", [])
    assert told.stderr == "the solver gave no answer\n"


def test_a_check_that_refuses_a_plan_is_a_failure(folder, monkeypatch) -> None:
    monkeypatch.setattr("pithline.match.search.plan_faults", lambda *_: ("S2 is sawn 2 times",))
    answer = answer_of(matched(folder, "--json", "--quiet", "--forbid", "P1", "--forbid", "S2", code=3))
    assert (answer["status"], answer["plans"]) == ("failed", [])
    assert answer["why"] == "the check refuses a plan: S2 is sawn 2 times"


# --- stopping -----------------------------------------------------------------


@pytest.mark.parametrize("calls", [1, 3, 7])
def test_a_watch_that_says_no_ends_with_the_best_plan_so_far(inputs, calls) -> None:
    yard, prices, kit = inputs
    steps = []

    def watch(progress):
        steps.append(progress.step)
        return len(steps) < calls

    answer = match_logs(yard, prices, kit=kit, effort=BRIEF, drive=(map, watch))
    assert len(steps) == calls
    assert (answer.is_cancelled, answer.status, len(answer.plans)) == (True, "stopped", 1)
    (plan,) = answer.plans
    assert plan.status == "stopped"
    assert plan_faults(plan, answer) == ()
    # At the first call there is no way to saw any log yet, at the seventh there is.
    assert bool(plan.assignments) == (calls > 1)
    # No reasons are worked out: a log is not looked at, or was and is not in this plan.
    assert {idle.why for idle in plan.idle} <= {"not looked at", "not needed", "not worth it"}
    assert all(idle.nearest is None for idle in plan.idle)


def test_a_lock_not_yet_looked_at_is_no_plan_that_ignores_it(inputs) -> None:
    yard, prices, kit = inputs
    wishes = Wishes(locks=(Lock("plate", "P1"),))
    answer = match_logs(yard, prices, kit=kit, wishes=wishes, effort=BRIEF, drive=(map, lambda _: False))
    assert answer.is_cancelled
    assert all(plan_faults(plan, answer) == () for plan in answer.plans)


@pytest.fixture
def interrupted(monkeypatch):
    """Ctrl-C so many times, from the moment the search has told a few steps."""

    def set_times(times):
        def asked(*words, drive, **more):
            go, watch = drive
            left = iter([False] * 6 + [True] * times)

            def pressing(progress):
                if next(left, False):
                    signal.raise_signal(signal.SIGINT)
                return watch(progress) if times == 1 else bool(watch(progress)) or True

            return match_logs(*words, drive=(go, pressing), **more)

        monkeypatch.setattr(pithline.match, "match_logs", asked)

    return set_times


def test_ctrl_c_ends_with_the_best_plan_so_far_and_says_so(folder, interrupted) -> None:
    interrupted(1)
    before = signal.getsignal(signal.SIGINT)
    told = matched(folder, "--quiet")
    assert told.stderr == "Stopping with the best plan so far ...\n"
    assert told.stdout.startswith("Stopped by hand: this is the best plan so far, not the best there is.\n")
    assert "Order of work:" in told.stdout
    assert "Proven" not in told.stdout
    assert signal.getsignal(signal.SIGINT) is before


def test_ctrl_c_leaves_the_json_whole(folder, interrupted) -> None:
    interrupted(1)
    told = matched(folder, "--quiet", "--json")
    answer = answer_of(told)
    assert (answer["status"], answer["cancelled"]) == ("stopped", True)
    assert [plan["status"] for plan in answer["plans"]] == ["stopped"]
    assert "Stopping with the best plan so far" in told.stderr


def test_a_second_ctrl_c_ends_the_command(folder, interrupted) -> None:
    interrupted(2)
    before = signal.getsignal(signal.SIGINT)
    told = matched(folder, "--quiet", code=130)
    assert told.stdout == ""
    assert told.stderr.splitlines() == ["Stopping with the best plan so far ...", "Stopped."]
    assert signal.getsignal(signal.SIGINT) is before


# --- progress -----------------------------------------------------------------


def test_steps_are_told_on_stderr_each_once_in_a_row(plain) -> None:
    steps = re.findall(r"^(.+): (\d+) ways so far$", plain.stderr, re.MULTILINE)
    words = [step for step, _ in steps]
    assert words[0] == "ways to saw each log"
    assert "ways at the plan's prices, round 1" in words
    assert "as weighed" in words
    assert all(one != other for one, other in itertools.pairwise(words))
    counts = [int(ways) for _, ways in steps]
    assert counts == sorted(counts)
    assert counts[0] == 0 < counts[-1]


def test_quiet_is_silent(folder) -> None:
    told = matched(folder, "--quiet", "--forbid", "P1", "--forbid", "S2")
    assert told.stderr == ""
    assert told.stdout


# --- planning again -----------------------------------------------------------


def test_a_plan_kept_to_does_not_shuffle(folder, saved, answer) -> None:
    first = answer["plans"][0]
    done = first["logs_used"][0]
    again = answer_of(matched(folder, "--after", saved, "--sawn", done, "--json", "--quiet"))["plans"][0]
    kept = {tag: counts for tag, counts in gives(first).items() if tag != done}
    moved = [tag for tag in kept.keys() | gives(again).keys() if kept.get(tag) != gives(again).get(tag)]
    assert all(one["as_before"] == (one["tag"] not in moved) for one in again["assignments"])
    if moved:
        # Logs change places only where that gains more than a quarter of what bringing a log costs: 20 an hour, 90 min.
        before = sum(one["net"] for one in first["assignments"] if one["tag"] in kept)
        after = sum(one["net"] for one in again["assignments"])
        fewer = len(kept) - len(gives(again))
        assert after - before + 30.0 * fewer > 7.5
    assert next(idle["why"] for idle in again["idle"] if idle["tag"] == done) == "sawn already"
    # What was sawn is neither planned again nor told as missing.
    left = {name: count - gives(first)[done].get(name, 0) for name, count in WANTED.items()}
    missing = {one["name"]: one["count"] for one in again["unfilled"]}
    for name, count in left.items():
        assert again["filled"].get(name, 0) + missing.get(name, 0) == max(count, 0)


def test_a_log_that_was_lost_puts_its_timbers_back_on_the_list(folder, saved, answer) -> None:
    assert gives(answer["plans"][0])["P1"]["plate"] == 1
    again = answer_of(matched(folder, "--after", saved, "--sawn", "P1=nothing", "--json", "--quiet"))["plans"][0]
    # P1 alone holds the plate: it is wanted again, and missing.
    assert ("plate", 1) in [(one["name"], one["count"]) for one in again["unfilled"]]
    assert "P1" not in again["logs_used"]
    missing = {one["name"]: one["count"] for one in again["unfilled"]}
    for name, count in WANTED.items():
        assert again["filled"].get(name, 0) + missing.get(name, 0) == count


def test_what_came_out_is_off_the_list_though_the_log_is_gone(folder, tmp_path, saved) -> None:
    rows = [row for row in YARD.splitlines() if not row.startswith("P1")]
    (tmp_path / "yard.csv").write_text("\n".join(rows) + "\n")
    words = ("--after", saved, "--sawn", "P1=plate:1,strut:1,brace:2", "--json", "--quiet")
    told = run("match", tmp_path / "yard.csv", folder / "timbers.csv", "--kit", folder / "kit.toml", *words)
    plan = answer_of(told)["plans"][0]
    missing = {one["name"]: one["count"] for one in plan["unfilled"]}
    left = {name: plan["filled"].get(name, 0) + missing.get(name, 0) for name in WANTED}
    assert left == {"plate": 0, "strut": 2, "brace": 0}


# --- bad input ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--lock", "strut"], '--lock: read "strut"; write as "plate=A03".'),
        (["--lock", "strut=Z9"], 'lock: log: no "Z9"; there are P1, S2, S3, N4.'),
        (["--lock", "beam=P1"], 'lock: timber: no "beam"; there are plate, strut, brace.'),
        (["--lock", "plank=P1"], 'lock: timber: no "plank"; there are plate, strut, brace.'),
        (["--lock", "plate=P1", "--lock", "plate=S2"], "lock: 2 of plate are locked to logs; the list wants 1."),
        (
            ["--lock", "plate=P1", "--reserve", "P1"],
            "lock: P1 is locked to a timber and reserved; drop one of the two.",
        ),
        (["--forbid", "z"], 'forbid: log: no "z"; there are P1, S2, S3, N4.'),
        (["--reserve", "P1=beam"], 'reserve: timber: no "beam"; there are plate, strut, brace.'),
        (["--turn", "P1"], '--turn: read "P1"; write as "A03=90".'),
        (["--turn", "P1=up"], '--turn P1: read "up"; give a number.'),
        (["--turn", "P1=361"], "turn: P1: 361 is no turn; give degrees, clockwise seen from the butt."),
        (["--weigh", "logs=nan"], '--weigh logs: read "nan"; give a number.'),
        (["--weigh", "logs=101"], "weigh logs: 101; give 0 to 100, 1 is its money's worth."),
        (["--weigh", "logs=1", "--weigh", "logs=2"], "--weigh: logs is given twice."),
        (["--weigh", "speed=1"], '--weigh: read "speed=1"; write as "logs=2", of logs, volume, hours, boards, nice.'),
        (["--hours", "0"], "hours: 0 a day; give 0.5 to 24."),
        (["--hours", "nan"], "hours: nan a day; give 0.5 to 24."),
        (["--after", "none.json"], "none.json is not there: check the name and the folder."),
        (["--after", "notes.txt"], "notes.txt: is no JSON; give the file that `pithline match --json` wrote."),
        (["--after", "other.json"], "other.json: holds no plan; give the file that `pithline match --json` wrote."),
        (
            ["--sawn", "P1"],
            '--sawn P1: no earlier plan has it; tell what came out, as "P1=plate:1", or "P1=nothing".',
        ),
        (["--sawn", "P1=plate"], '--sawn P1: read "plate"; write as "plate:1".'),
        (["--sawn", "P1=beam:1"], 'sawn: timber: no "beam"; there are plate, strut, brace.'),
        (["--sawn", "P1=plate:1", "--forbid", "P1"], "sawn: P1 is sawn and forbidden; drop one of the two."),
        (["--xlsx", "plan.txt"], '--xlsx: "plan.txt" does not end in .xlsx: give the workbook a name that does.'),
        (["--cards", "notes.txt"], '--cards: "notes.txt" is a file: name a folder.'),
    ],
    ids=lambda value: " ".join(value) if isinstance(value, list) else "",
)
def test_a_bad_option_gets_a_sentence_and_no_answer(folder, tmp_path, monkeypatch, words, told) -> None:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "notes.txt").write_text("my notes")
    (tmp_path / "other.json").write_text('{"plans": []}')
    result = matched(folder, *words, code=2)
    assert (result.stdout, result.stderr) == ("", f"{told}\n")
    assert sorted(path.name for path in tmp_path.iterdir()) == ["notes.txt", "other.json"]


@pytest.mark.parametrize(
    "words", [["--gap", "-1"], ["--gap", "51"], ["--plan", "0"], ["--plan", "10"], ["--paper", "a3"]]
)
def test_a_choice_that_there_is_not_is_refused(folder, words) -> None:
    assert words[0] in matched(folder, *words, code=2).stderr


@pytest.mark.usefixtures("known")
def test_a_plan_that_there_is_not_is_refused(folder, tmp_path, answer) -> None:
    told = f"--plan: read 9; there are {len(answer['plans'])} plans.\n"
    words = ("--plan", "9", "--xlsx", tmp_path / "plan.xlsx")
    result = matched(folder, *words, code=2)
    assert (result.stdout, result.stderr) == ("", told)
    result = matched(folder, *words, "--json", code=2)
    assert answer_of(result)["status"] == "badly posed"
    assert result.stderr == told
    assert list(tmp_path.iterdir()) == []


BAD_FILES = {
    "yard, heads only": ("yard.csv", YARD.splitlines()[0] + "\n", "yard.csv has column heads and no rows"),
    "yard, a tag twice": ("yard.csv", YARD + YARD.splitlines()[1] + "\n", "the same tag stands in row 2"),
    "list, heads only": ("timbers.csv", LIST.splitlines()[0] + "\n", "timbers.csv has column heads and no rows"),
    "list, a name twice": ("timbers.csv", LIST + LIST.splitlines()[1] + "\n", "the same name stands in row 2"),
    "list, boards alone": (
        "timbers.csv",
        "\n".join(LIST.splitlines()[:1] + LIST.splitlines()[-1:]) + "\n",
        "list: no timber with a count of 1 or more; boards alone need no plan.",
    ),
    "list, none wanted": (
        "timbers.csv",
        "\n".join(LIST.splitlines()[:2]).replace("timber,1", "timber,0") + "\n",
        "list: no timber with a count of 1 or more; boards alone need no plan.",
    ),
    "kit, a word misspelled": ("kit.toml", '[work]\nslendr = "4"\n', "slender"),
}


@pytest.mark.parametrize(("name", "text", "told"), BAD_FILES.values(), ids=BAD_FILES)
def test_a_file_that_cannot_be_used_says_why_in_text_and_json(folder, tmp_path, name, text, told) -> None:
    (tmp_path / name).write_text(text, encoding="utf-8")
    paths = [tmp_path / each if each == name else folder / each for each in ("yard.csv", "timbers.csv", "kit.toml")]
    words = ("match", *paths[:2], "--kit", paths[2])
    plain = run(*words, code=2)
    assert plain.stdout == ""
    assert told in plain.stderr
    answer = answer_of(run(*words, "--json", code=2))
    assert answer["status"] == "badly posed"
    assert answer["why"] == plain.stderr.rstrip("\n")


def test_a_kit_that_cannot_saw_says_so_of_each_timber(folder, tmp_path) -> None:
    (tmp_path / "kit.toml").write_text('[mill]\ncut_width = "5 in"\n')
    words = ("match", folder / "yard.csv", folder / "timbers.csv", "--kit", tmp_path / "kit.toml", "--json", "--quiet")
    (plan,) = answer_of(run(*words))["plans"]
    assert plan["assignments"] == []
    assert {one["name"]: one["count"] for one in plan["unfilled"]} == WANTED
    for one in plan["unfilled"]:
        assert one["nearest"]["lacks"] == "kit"
        assert "mill.cut_width is 5 in" in one["nearest"]["why"]


@pytest.mark.parametrize("value", ["nan", "NaN"])
def test_a_gap_that_is_no_number_is_refused(folder, value) -> None:
    assert "--gap" in matched(folder, "--gap", value, code=2).stderr


@pytest.mark.parametrize("digits", [400, 5000])
def test_a_count_beyond_all_sense_is_refused(folder, tmp_path, digits) -> None:
    number = "9" * digits
    assert "--sawn P1" in matched(folder, "--sawn", f"P1=plate:{number}", code=2).stderr
    path = tmp_path / "plan.json"
    path.write_text('{"plans":[{"assignments":[{"tag":"P1","counts":{"plate":' + number + '},"spare":{}}]}]}')
    assert "plan.json" in matched(folder, "--after", path, code=2).stderr


def test_ctrl_c_is_told_though_the_last_plans_are_being_made(folder, monkeypatch) -> None:
    def asked(*words, drive, **more):
        go, watch = drive
        left = iter([True])

        def pressing(progress):
            if progress.step == "as weighed" and next(left, False):
                signal.raise_signal(signal.SIGINT)
            return watch(progress)

        return match_logs(*words, drive=(go, pressing), **more)

    monkeypatch.setattr(pithline.match, "match_logs", asked)
    told = matched(folder, "--quiet", "--json")
    assert "Stopping with the best plan so far" in told.stderr
    assert answer_of(told)["cancelled"]
