"""The recorder behind docs/validation.md: what passes, what fails, and when the page is old."""

import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from validation_log import KINDS, Comparison, Record, Row, differences, page

HERE = Path(__file__).parent
QUIET = ["-p", "no:cacheprovider", "-p", "no:hypothesispytest", "-p", "no:timeout"]


def compare(**fields: Any) -> Row:
    """Check a comparison of which a test names only what matters to it."""
    given = {"source": "A book, table 3", "what": "width", "kind": "published", **fields}
    return Comparison(**given).check()


@pytest.mark.parametrize(
    ("printed", "digits", "allowed"),
    [
        ("10.640", None, "0.0005"),
        ("10.6", None, "0.05"),
        ("1,200", None, "0.5"),
        ("2.5e-3", None, "5e-05"),
        (10.647, None, "0.0005"),
        (10.64, 3, "0.0005"),
        (12, None, "0.5"),
        (12.0, None, "0.5"),
        (1200, -2, "50"),
    ],
)
def test_half_of_the_last_printed_digit_is_allowed(printed, digits, allowed):
    row = compare(printed=printed, digits=digits, ours=float(str(printed).replace(",", "")))
    assert row.allowed == allowed
    assert row.difference == "0"


def test_the_ends_of_the_allowed_range_pass_and_a_hair_more_fails():
    assert compare(printed="0.5", ours=0.45).difference == "-0.05"
    assert compare(printed="0.5", ours=0.55).difference == "+0.05"
    with pytest.raises(AssertionError, match=r"width: ours 0\.5501, outside 0\.5, .* A book"):
        compare(printed="0.5", ours=0.5501)


def test_not_a_number_never_agrees():
    with pytest.raises(AssertionError, match="ours nan"):
        compare(printed="0.5", ours=float("nan"))


def test_a_wider_range_for_a_printed_value_needs_its_reason():
    with pytest.raises(ValueError, match=r"within=0\.2 is wider than 0\.05.*say why="):
        compare(printed="7.1", ours=7.2, within=0.2)
    assert compare(printed="7.1", ours=7.2, within=0.2, why="read off a chart").why


@pytest.mark.parametrize("kind", ["analytic", "oracle", "measured"])
def test_a_computed_value_needs_its_tolerance(kind):
    with pytest.raises(ValueError, match="needs within="):
        compare(printed=7.0, ours=7.0, kind=kind)
    assert compare(printed=7.0, ours=7.0, kind=kind, within=1e-6).allowed == "1e-06"


def test_facts_are_equal_or_not():
    assert compare(printed="7 ft", ours="7 ft").difference == "none"
    assert compare(printed=True, ours=True).ours == "yes"
    with pytest.raises(AssertionError, match="should be the same"):
        compare(printed="7 ft", ours="6 ft")
    with pytest.raises(AssertionError, match="should be the same"):
        compare(printed=True, ours=False)
    with pytest.raises(TypeError, match="can not compare"):
        compare(printed="seven", ours=7.0)
    with pytest.raises(ValueError, match="compared exactly"):
        compare(printed="7 ft", ours="7 ft", within=1.0)


def test_a_comparison_names_its_kind_its_source_and_itself_once():
    with pytest.raises(ValueError, match="kind 'hearsay' is none of published"):
        compare(printed="1", ours=1.0, kind="hearsay")
    with pytest.raises(ValueError, match="source is empty"):
        compare(printed="1", ours=1.0, source=" ")
    record = Record()
    record.add(compare(printed="1", ours=1.0))
    with pytest.raises(ValueError, match="recorded twice: width"):
        record.add(compare(printed="2", ours=2.0))


def sample(ours: float = 10.6472, **fields: Any) -> list[Row]:
    """Return a row of each kind, the first of them with the value given."""
    rows = [compare(printed="10.647", ours=ours, unit="ft3", what="a | b")]
    rows += [
        compare(printed=2.0, ours=2.0 + 3e-8, kind=kind, within=1e-4, why="a reason")
        for kind in KINDS
        if kind != "published"
    ]
    return rows + ([compare(printed="1", ours=1.0, **fields)] if fields else [])


def test_the_page_counts_kinds_and_sets_memory_apart():
    text = page(sample())
    assert "5 comparisons with a source outside this program, and 1 with values from memory" in text
    assert "| a \\| b [ft3] | 10.647 | 10.6472 | +0.0002 | 0.0005 |" in text
    assert text.count("### A book, table 3") == len(KINDS)
    assert differences(text, text) == []


@pytest.mark.parametrize("noise", [1e-9, -1e-9, 4e-5, -4e-5])
def test_noise_does_not_make_the_page_old(noise):
    # Six digits are shown, and 10.64725 lies between two of them: the noise tips
    # the rounding to either side.
    texts = {page(sample(10.64725 + sign * noise)) for sign in (-1, 1)}
    assert len(texts) == 2
    assert differences(*texts) == []


def test_a_changed_added_or_removed_comparison_makes_the_page_old():
    old = page(sample())
    (told,) = differences(old, page(sample(10.6469)))
    assert "a | b [ft3]" in told
    assert "10.6472" in told
    (told,) = differences(old, page(sample(what="depth")))
    assert told.startswith("missing:")
    (told,) = differences(page(sample(what="depth")), old)
    assert told.startswith("no longer tested:")
    assert differences(old.replace("Trust these least", "Trust these"), old)
    assert differences(old.replace("a reason", "no reason"), old)
    assert differences("", old)


def test_the_order_of_the_tests_does_not_make_the_page_old():
    rows = sample(what="depth")
    assert differences(page(rows), page(rows[::-1])) == []


def test_a_second_solver_may_move_within_what_is_allowed_and_a_formula_may_not():
    def one(kind: str, ours: float) -> str:
        return page([compare(printed=3.0, ours=ours, kind=kind, within=0.01)])

    assert differences(one("oracle", 3.001), one("oracle", 3.009)) == []
    assert differences(one("analytic", 3.001), one("analytic", 3.009))


@pytest.fixture
def project(tmp_path: Path) -> Path:
    """A project of two validation tests with this recorder."""
    folder = tmp_path / "tests" / "validation"
    folder.mkdir(parents=True)
    for name in ("conftest.py", "validation_log.py"):
        shutil.copy(HERE / name, tmp_path / "tests" / name)
    (tmp_path / "pytest.ini").write_text("[pytest]\npythonpath = tests\naddopts = --import-mode=importlib\n")
    for name, value in (("one", 1.5), ("two", 2.5)):
        (folder / f"test_{name}.py").write_text(
            f"def test_{name}(outside):\n"
            f"    outside(source='Book', what='{name}', printed='{value}', ours={value}, "
            "kind='published')\n"
        )
    return tmp_path


def run(project: Path, *arguments: str) -> tuple[int, str]:
    """Run pytest in a project, and return its exit code and output."""
    command = [sys.executable, "-m", "pytest", "-q", *QUIET, *arguments]
    done = subprocess.run(command, cwd=project, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout + done.stderr


def test_a_whole_run_fails_until_the_page_is_written(project):
    code, output = run(project)
    assert code == 1
    assert "docs/validation.md is old; run `make validation`" in output
    assert "missing: Printed values / Book / one" in output
    assert run(project, "tests/validation", "--write-validation")[0] == 0
    written = (project / "docs" / "validation.md").read_text()
    assert written.count("| 0 | 0.05 |") == 2
    code, output = run(project)
    assert code == 0
    assert "3 passed" in output
    (project / "docs" / "validation.md").write_text(written.replace("| 2.5 |", "| 2.4 |"))
    assert run(project)[0] == 1


@pytest.mark.parametrize("arguments", [["-k", "one"], ["tests/validation/test_one.py"], ["--deselect", "x"]])
def test_a_part_run_neither_checks_nor_writes(project, arguments):
    if arguments[0] == "--deselect":
        arguments = ["--deselect", "tests/validation/test_two.py::test_two"]
    code, output = run(project, *arguments)
    assert code == 0
    assert "1 passed" in output
    code, output = run(project, *arguments, "--write-validation")
    assert code == 4
    assert "needs a run of the whole" in output
    assert not (project / "docs").exists()


def test_a_failed_comparison_leaves_the_page_alone(project):
    test = project / "tests" / "validation" / "test_one.py"
    test.write_text(test.read_text().replace("ours=1.5", "ours=1.6"))
    code, output = run(project, "--write-validation")
    assert code == 1
    assert "one: ours 1.6, outside 1.5, should be within 0.05" in output
    assert "Not compared: 1 validation tests did not pass" in output
    assert not (project / "docs").exists()


def test_the_fixture_stays_in_its_folder(project):
    source = project / "tests" / "validation" / "test_one.py"
    shutil.move(source, project / "tests" / "test_one.py")
    code, output = run(project, "tests/test_one.py")
    assert code == 1
    assert "belongs to the tests in tests/validation/" in output
