"""What the validation tests compared, and the page that tells it.

A test in tests/validation/ calls the fixture `outside` (see conftest.py) for each
comparison with something this program did not make. The call asserts, and
keeps a row. The rows of a whole run make docs/validation.md.

Numbers on the page are rounded, and two pages are compared with patience in the last
digit shown: another processor, or another version of numpy, does not make
the page old.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from typing import Any

__all__ = ["KINDS", "Comparison", "Record", "Row", "differences", "page"]

KINDS = {
    "published": (
        "Printed values",
        "Allowed is half of the last printed digit, unless a note says otherwise.",
    ),
    "analytic": ("Closed forms", "What geometry or mechanics gives with pencil and paper."),
    "oracle": (
        "Second programs",
        "The same question, put to a general library that knows nothing of our code.",
    ),
    "measured": ("Open measurements", "Real logs and trees; the difference is the result."),
    "common practice": (
        "Common practice",
        "What people who do the work expect. No source in print stands behind it.",
    ),
    "from memory": (
        "From memory",
        "Recalled values, not yet held against print. Trust these least.",
    ),
}
"""Kinds of sources in the order of the page, each with its heading and a remark."""

COMPUTED = ("analytic", "oracle", "measured")
"""Kinds whose expected value is itself computed, and so carries floating-point noise."""

DIGITS = 6
NOISE = 1e-9

INTRO = """\
# Validation

Numbers that a builder acts on, held against something outside this program. The tests
in `tests/validation/` make each comparison and this page; `make validation` writes it
again, and a run of the tests fails while it is out of date. Differences are ours less
the printed value.
"""


@dataclass(frozen=True)
class Row:
    """One comparison as the page shows it."""

    kind: str
    source: str
    what: str
    printed: str
    ours: str
    difference: str
    allowed: str
    why: str = ""

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells this row from every other."""
        return self.kind, self.source, self.what


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """One value of ours beside a value from outside."""

    source: str
    what: str
    printed: Any
    ours: Any
    kind: str
    unit: str = ""
    within: float | None = None
    digits: int | None = None
    why: str = ""

    def check(self) -> Row:
        """Return the row for the page, or raise AssertionError where the two differ."""
        for name in ("source", "what"):
            if not getattr(self, name).strip():
                raise ValueError(f"outside(): {name} is empty.")
        if self.kind not in KINDS:
            raise ValueError(f"outside(): kind {self.kind!r} is none of {', '.join(KINDS)}.")
        printed, ours = _plain(self.printed), _plain(self.ours)
        if isinstance(printed, str) and isinstance(ours, float):
            printed = _number(printed)
        if isinstance(printed, float) and isinstance(ours, float):
            return self._check_numbers(printed, ours)
        if type(printed) is not type(ours):
            raise TypeError(f"outside(): can not compare {self.printed!r} with {self.ours!r}.")
        if self.within is not None or self.digits is not None:
            raise ValueError("outside(): text and yes-or-no are compared exactly.")
        assert ours == printed, self._message("the same")
        return self._row(_shown(printed), _shown(ours), "none", "none")

    def _check_numbers(self, printed: float, ours: float) -> Row:
        half = self._half_last_digit()
        within = self.within
        if within is None:
            if self.kind in COMPUTED or half is None:
                raise ValueError(f"outside(): a number of kind {self.kind!r} needs within=.")
            within = half
        wide = self.kind == "published" and half is not None and within > half * (1 + NOISE)
        if wide and not self.why.strip():
            raise ValueError(
                f"outside(): within={within:g} is wider than {half:g}, half of the last "
                f"digit of {self.printed}: say why=."
            )
        difference = ours - printed
        # Half a digit is seldom a whole number in binary, hence the hair.
        assert abs(difference) <= within * (1 + NOISE), self._message(f"within {within:g}")
        text = "0"
        if abs(difference) > NOISE * max(1.0, abs(printed)):
            text = f"{difference:+.2g}"
        return self._row(self._printed_text(printed), _shown(ours), text, f"{within:.6g}")

    def _half_last_digit(self) -> float | None:
        """Half of the last digit as written, `digits` counting places behind the point."""
        if self.digits is not None:
            return 0.5 * 10.0**-self.digits
        if self.kind in COMPUTED:
            return None
        written = self.printed.item() if hasattr(self.printed, "item") else self.printed
        if isinstance(written, float) and written.is_integer():
            return 0.5
        exponent = Decimal(str(written).replace(",", "").strip()).as_tuple().exponent
        return 0.5 * 10.0**exponent if isinstance(exponent, int) else None

    def _printed_text(self, printed: float) -> str:
        if isinstance(self.printed, str):
            return self.printed.strip()
        if self.digits is not None:
            return f"{printed:.{max(self.digits, 0)}f}"
        return _shown(printed) if self.kind in COMPUTED else f"{printed:.12g}"

    def _row(self, printed: str, ours: str, difference: str, allowed: str) -> Row:
        what = f"{self.what} [{self.unit}]" if self.unit else self.what
        texts = (self.source, what, printed, ours, difference, allowed, self.why)
        return Row(self.kind, *(" ".join(text.split()) for text in texts))

    def _message(self, wanted: str) -> str:
        unit = f" {self.unit}" if self.unit else ""
        return (
            f"{self.what}: ours {self.ours}{unit}, outside {self.printed}{unit}, "
            f"should be {wanted}. Source ({self.kind}): {self.source}"
        )


class Record:
    """The rows of one run of the tests."""

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self._keys: set[tuple[str, str, str]] = set()

    def add(self, row: Row) -> None:
        """Keep a row; two rows can not have the same source and name."""
        if row.key in self._keys:
            raise ValueError(f"outside(): recorded twice: {row.what}. Source: {row.source}")
        self._keys.add(row.key)
        self.rows.append(row)


def page(rows: Iterable[Row]) -> str:
    """Return the validation page in Markdown."""
    rows = list(rows)
    recalled = sum(row.kind == "from memory" for row in rows)
    counts = (
        f"{len(rows) - recalled} comparisons with a source outside this program, "
        f"and {recalled} with values from memory.\n"
    )
    parts = [INTRO, counts, "| kind | comparisons |\n|---|---:|"]
    for kind, (heading, _) in KINDS.items():
        parts.append(f"| {heading} | {sum(row.kind == kind for row in rows)} |")
    parts.extend(_by_source(rows))
    for kind, (heading, remark) in KINDS.items():
        chosen = [row for row in rows if row.kind == kind]
        if chosen:
            parts.append(f"\n## {heading}\n\n{remark}")
        for source in sorted({row.source for row in chosen}):
            parts.extend(_table(source, [row for row in chosen if row.source == source]))
    return "\n".join(parts) + "\n"


def _by_source(rows: list[Row]) -> Iterator[str]:
    """Return a table with a line a source: how many checks, and the largest deviation among them."""
    yield "\n## By source\n\nThe largest deviation is the one that uses up most of what is allowed."
    yield "Reasons are given below for checks where more than half of the last printed digit is allowed.\n"
    yield "| source | kind | checks | with a reason | largest deviation | of what is allowed |"
    yield "|---|---|---:|---:|---|---:|"
    for kind, (heading, _) in KINDS.items():
        chosen = [row for row in rows if row.kind == kind]
        for source in sorted({row.source for row in chosen}):
            held = [row for row in chosen if row.source == source]
            worst = max(held, key=_used)
            deviation = f"{worst.difference} at {worst.what}" if _used(worst) > 0.0 else "none"
            told = sum(bool(row.why) for row in held)
            cells = (source, heading.lower(), str(len(held)), str(told), deviation, f"{100 * _used(worst):.0f} %")
            yield "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"


def _used(row: Row) -> float:
    """Share of what is allowed that a row's difference takes, 0 for text."""
    difference, allowed = _number(row.difference), _number(row.allowed)
    if isinstance(difference, str) or isinstance(allowed, str) or allowed == 0.0:
        return 0.0
    return abs(difference) / allowed


def differences(old: str, new: str) -> list[str]:
    """Return what the old page tells otherwise than the new one, noise left aside."""
    old_rows, new_rows = _read(old), _read(new)
    told = [f"missing: {name}" for name in new_rows if name not in old_rows]
    told += [f"no longer tested: {name}" for name in old_rows if name not in new_rows]
    for name, cells in new_rows.items():
        if name in old_rows and not _same_row(name, old_rows[name], cells):
            told.append(f"{name}: the page has {old_rows[name]}, the tests give {cells}")
    if not told and _prose(old) != _prose(new):
        told.append("the text around the tables has changed")
    return told


def _plain(value: Any) -> float | str | bool:
    """Return a float, text or bool, also from a scalar of numpy."""
    if hasattr(value, "item"):
        value = value.item()
    return value if isinstance(value, bool | str) else float(value)


def _number(text: str) -> float | str:
    try:
        return float(Decimal(text.replace(",", "").strip()))
    except InvalidOperation:
        return text


def _shown(value: float | str | bool) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str):
        return value
    return "0" if abs(value) < NOISE else f"{value:.{DIGITS}g}"


def _table(source: str, rows: list[Row]) -> Iterator[str]:
    yield f"\n### {source}\n"
    yield "| what | printed | ours | difference | allowed |\n|---|---:|---:|---:|---:|"
    for row in rows:
        cells = (row.what, row.printed, row.ours, row.difference, row.allowed)
        yield "| " + " | ".join(cell.replace("|", "\\|") for cell in cells) + " |"
    notes = [f"- {row.what}: {row.why}" for row in rows if row.why]
    if notes:
        yield "\n" + "\n".join(notes)


def _read(text: str) -> dict[str, list[str]]:
    """Return the cells of every row of a page, under its headings and name."""
    rows = {}
    kind = source = ""
    for line in text.splitlines():
        if line.startswith("## "):
            kind, source = line[3:], ""
        elif line.startswith("### "):
            source = line[4:]
        elif line.startswith("| ") and source and not line.startswith("| what |"):
            what, *cells = line[2:-2].replace("\\|", "\0").split(" | ")
            rows[f"{kind} / {source} / {what}".replace("\0", "|")] = cells
    return rows


def _prose(text: str) -> list[str]:
    """Return the lines outside the tables of comparisons, in an order of their own.

    Which file ran first is no change, so the lines are sorted.
    """
    head, *sections = text.split("\n## ")
    lines = [line for section in sections for line in section.splitlines() if line[:1] != "|"]
    return [*head.splitlines(), *sorted(lines)]


def _same_row(name: str, old: list[str], new: list[str]) -> bool:
    """Whether two rows agree; the difference follows from the rest and is not compared."""
    headings = {KINDS[kind][0]: kind for kind in KINDS}
    kind = headings[name.split(" / ", maxsplit=1)[0]]
    old_printed, old_ours, _, old_allowed = old
    printed, ours, _, allowed = new
    if old_allowed != allowed:
        return False
    # Another release of a solver may answer anything the comparison allows.
    patience = _number(allowed) if kind == "oracle" else 0.0
    patience = patience if isinstance(patience, float) else 0.0
    same_printed = old_printed == printed or (kind in COMPUTED and _near(old_printed, printed, patience))
    return same_printed and _near(old_ours, ours, patience)


def _near(old: str, new: str, patience: float) -> bool:
    """Whether two shown values differ by one in the last of the digits shown, or less."""
    if old == new:
        return True
    a, b = _number(old), _number(new)
    if isinstance(a, str) or isinstance(b, str):
        return False
    largest = max(abs(a), abs(b))
    last = 10.0 ** (math.floor(math.log10(largest)) - DIGITS + 1) if largest > 0 else 0.0
    return abs(a - b) <= max(1.01 * last, 2 * NOISE, 2 * patience)
