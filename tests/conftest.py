"""What all tests share: the recorder of comparisons with outside sources."""

from collections.abc import Generator
from pathlib import Path
from typing import Any, Protocol

import pytest

from validation_log import Comparison, Record, differences, page

TESTS = Path(__file__).parent
VALIDATION = TESTS / "validation"
PAGE = TESTS.parent / "docs" / "validation.md"
SHOWN = 12

RECORD = pytest.StashKey[Record]()
PASSED = pytest.StashKey[set[str]]()
COLLECTED = pytest.StashKey[set[str]]()


class Outside(Protocol):
    """How a validation test states a comparison."""

    def __call__(
        self,
        *,
        source: str,
        what: str,
        printed: Any,
        ours: Any,
        kind: str,
        unit: str = "",
        within: float | None = None,
        digits: int | None = None,
        why: str = "",
    ) -> None:
        """Assert that ours agrees with the outside value, and keep a row for the page."""


@pytest.fixture
def outside(request: pytest.FixtureRequest) -> Outside:
    """Compare a value of ours with one from outside, and record it for the page.

    `source`: full citation with the table, page or example. `what`: name of the quantity,
    with the case, different in every call for one source. `printed`: the outside value;
    as text ("10.640") it keeps its digits. `kind`: a key of validation_log.KINDS.
    `unit`: of both. `within`: allowed difference; for printed values half of the last
    digit is the default, and anything wider needs `why`. `digits`: places behind the
    point, where `printed` is a number that hides them. Text and bools must be equal.
    """
    if VALIDATION not in request.path.parents:
        pytest.fail("The fixture `outside` belongs to the tests in tests/validation/.")

    def compare(**fields: Any) -> None:
        request.config.stash[RECORD].add(Comparison(**fields).check())

    return compare


class ValidationPage(pytest.Item):
    """The last item of a whole run: docs/validation.md says what the tests found."""

    def runtest(self) -> None:
        """Write the page when asked to, else compare."""
        missing = self.config.stash[COLLECTED] - self.config.stash[PASSED]
        if missing:
            pytest.fail(f"Not compared: {len(missing)} validation tests did not pass.", False)
        new = page(self.config.stash[RECORD].rows)
        if self.config.getoption("write_validation"):
            PAGE.parent.mkdir(exist_ok=True)
            PAGE.write_text(new, encoding="utf-8")
            return
        old = PAGE.read_text(encoding="utf-8") if PAGE.is_file() else ""
        told = differences(old, new)
        if told:
            rest = [f"and {len(told) - SHOWN} more"] if len(told) > SHOWN else []
            lines = "\n  ".join([*told[:SHOWN], *rest])
            pytest.fail(f"docs/validation.md is old; run `make validation`.\n  {lines}", False)

    def reportinfo(self) -> tuple[Path, None, str]:
        """Name the item in reports."""
        return self.path, None, "docs/validation.md is up to date"


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the option that writes the page."""
    parser.addoption(
        "--write-validation",
        action="store_true",
        help="write docs/validation.md from what the tests in tests/validation recorded",
    )


def pytest_configure(config: pytest.Config) -> None:
    """Start with an empty record."""
    config.stash[RECORD] = Record()
    config.stash[PASSED] = set()
    config.stash[COLLECTED] = set()


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection_modifyitems(
    session: pytest.Session, config: pytest.Config, items: list[pytest.Item]
) -> Generator[None]:
    """Add the check of the page where all of tests/validation is about to run."""
    before = _validation_ids(items)
    yield
    after = _validation_ids(items)
    config.stash[COLLECTED] = after
    files = set(VALIDATION.glob("test_*.py"))
    whole = (
        bool(files)
        and files == {item.path for item in items if VALIDATION in item.path.parents}
        and before == after
        and not any("::" in argument for argument in config.args)
    )
    if whole:
        name = PAGE.relative_to(TESTS.parent).as_posix()
        items.append(ValidationPage.from_parent(session, name=name, nodeid=name))
    elif config.getoption("write_validation"):
        raise pytest.UsageError("--write-validation needs a run of the whole of tests/validation.")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Remember which tests passed."""
    report = yield
    if report.when == "call" and report.passed:
        item.config.stash[PASSED].add(item.nodeid)
    elif report.failed:
        item.config.stash[PASSED].discard(item.nodeid)
    return report


def _validation_ids(items: list[pytest.Item]) -> set[str]:
    return {item.nodeid for item in items if VALIDATION in item.path.parents}
