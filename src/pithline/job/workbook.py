"""The plan of a yard as a workbook: plan, timbers, pieces and the other plans, a sheet each."""

import io
import math
import xml.etree.ElementTree as ET
import zipfile
import zlib
from collections import Counter
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import xlsxwriter

from pithline.answers.match_pages import gives_text, sums_text
from pithline.answers.match_words import idle_text, nearest_text, needs_text
from pithline.errors import FileError, MatchError
from pithline.job.textfile import shown, write_bytes
from pithline.lengths import MM_PER_INCH, Tape
from pithline.match import Match, Plan

__all__ = ["plan_workbook", "write_workbook"]

_FIXED = datetime(2000, 1, 1, tzinfo=UTC)
"""When each workbook says it was made, so that the same plan gives the same bytes."""

_TITLE = "Plan of a yard"
"""By this, and this alone, a workbook is known as one that may be written over."""

_PROPERTIES = "docProps/core.xml"
_MOST_BYTES = 100_000
_TITLE_TAG = "{http://purl.org/dc/elements/1.1/}title"
_FOOT = 12.0 * MM_PER_INCH

Cell = str | float | int
Rows = list[list[Cell]]


def _units(tape: Tape) -> tuple[str, float, str, float]:
    """Unit of sizes and of lengths, and millimeters in each."""
    return ("in", MM_PER_INCH, "ft", _FOOT) if tape.style == "in" else ("mm", 1.0, "mm", 1.0)


def _plan_rows(plan: Plan, tape: Tape) -> Rows:
    """The logs in the order of work."""
    size, by, far, long = _units(tape)
    head: list[Cell] = [
        "day",
        "log",
        "species",
        f"length [{far}]",
        f"tip [{size}]",
        "saw it for",
        "minutes",
        "chance",
        "tight",
        "locked",
    ]
    rows: Rows = [head]
    for one, day in zip(plan.assignments, plan.days, strict=True):
        log = one.log
        rows.append(
            [
                day,
                log.tag,
                log.species,
                round(log.length_mm / long, 4),
                round(log.diameter_mm(-1) / by, 4),
                gives_text(one),
                round(one.pattern.minutes, 1),
                round(one.chance, 3),
                ", ".join(one.tight),
                "locked" if one.is_locked else "",
            ]
        )
    return rows


def _timber_rows(match: Match, plan: Plan, tape: Tape) -> Rows:
    """What was wanted, and what is missing."""
    missing = {one.name: one for one in plan.unfilled}
    sawn: Counter[str] = Counter()
    for counts in match.wishes.sawn.values():
        sawn.update(counts)
    rows: Rows = [
        ["timber", "wanted", "sawn already", "from this plan", "missing", "need", "comes nearest", "look for"]
    ]
    for item in match.prices.timbers:
        one = missing.get(item.name)
        rows.append(
            [
                item.name,
                "any number" if item.count is None else item.count,
                sawn[item.name],
                plan.filled.get(item.name, 0),
                0 if one is None else one.count,
                "must" if item.is_must else "nice",
                "" if one is None or one.nearest is None else nearest_text(one.nearest, tape=tape),
                "" if one is None or one.needs is None else needs_text(one.needs, tape=tape),
            ]
        )
    return rows


def _piece_rows(plan: Plan, tape: Tape) -> Rows:
    """Every piece of every log."""
    size, by, far, long = _units(tape)
    rows: Rows = [
        [
            "log",
            "piece",
            "kind",
            f"thickness [{size}]",
            f"width [{size}]",
            f"length [{far}]",
            f"from the butt [{far}]",
            "board feet",
        ]
    ]
    for one in plan.assignments:
        for piece in (*one.pattern.timbers, *one.pattern.boards):
            rows.append(
                [
                    one.log.tag,
                    piece.name,
                    piece.kind,
                    round(piece.thickness_mm / by, 4),
                    round(piece.width_mm / by, 4),
                    round(piece.length_mm / long, 4),
                    round(piece.start_mm / long, 4),
                    round(piece.bf, 3),
                ]
            )
    return rows


def _other_rows(match: Match) -> Rows:
    """All plans, a row each."""
    rows: Rows = [
        [
            "plan",
            "aim",
            "logs",
            "timbers",
            "sawing hours",
            "side lumber [board feet]",
            "chance",
            "gap",
            "status",
            "against the first",
        ]
    ]
    rows += [
        [
            number,
            plan.aim,
            len(plan.assignments),
            sum(plan.filled.values()),
            round(plan.minutes / 60.0, 2),
            round(plan.boards_bf, 1),
            round(plan.chance, 3),
            round(plan.gap, 5) if math.isfinite(plan.gap) else "unknown",
            plan.status,
            plan.trades,
        ]
        for number, plan in enumerate(match.plans, 1)
    ]
    return rows


def _single(words: Sequence[str]) -> Rows:
    """Words in one column."""
    return [[word] for word in words]


def plan_workbook(match: Match, number: int = 1, *, tape: Tape) -> bytes:
    """A plan as a workbook.

    Parameters
    ----------
    match : Match
        The plans of a yard, one or more.
    number : int
        Which plan, from 1.
    tape : Tape
        Its units; numbers are decimal.

    Returns
    -------
    bytes
        An XLSX file; the same for the same input.

    Raises
    ------
    MatchError
        There is no such plan.

    Source
    ------
    definition
    """
    if not 1 <= number <= len(match.plans):
        raise MatchError(f"there is no plan {number} to make a workbook of.")
    plan = match.plans[number - 1]
    sheets: dict[str, Rows] = {
        "Plan": _plan_rows(plan, tape),
        "Timbers": _timber_rows(match, plan, tape),
        "Pieces": _piece_rows(plan, tape),
        "All plans": _other_rows(match),
        "Left over": [["log"], *_single([idle_text(idle, tape=tape) for idle in plan.idle])],
        "Sums": [["what it comes to"], *_single(sums_text(match, plan))],
    }
    data = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(data, options) as book:
        book.set_properties({"title": _TITLE, "created": _FIXED})
        bold = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        plain = book.add_format({"valign": "top"})
        for name, rows in sheets.items():
            _fill(book.add_worksheet(name), rows, bold=bold, plain=plain)
    return data.getvalue()


def _fill(sheet: xlsxwriter.worksheet.Worksheet, rows: Rows, *, bold: object, plain: object) -> None:
    """Write rows under a head that stays in sight."""
    for at, row in enumerate(rows):
        for column, cell in enumerate(row):
            if isinstance(cell, str):
                sheet.write_string(at, column, cell, bold if at == 0 else plain)
            else:
                sheet.write_number(at, column, cell, plain)
    for column, width in enumerate(_widths(rows)):
        sheet.set_column(column, column, width)
    sheet.freeze_panes(1, 0)


def _widths(rows: Sequence[Sequence[Cell]]) -> list[float]:
    """Width of each column, as wide as its longest cell within limits."""
    return [min(max(len(str(row[k])) for row in rows if k < len(row)) + 2.0, 60.0) for k in range(len(rows[0]))]


def write_workbook(path: str | Path, data: bytes) -> None:
    """Write a workbook, and nothing over a file that is not the workbook of a plan.

    Parameters
    ----------
    path : str or Path
        Where to; its name ends in .xlsx.
    data : bytes
        The workbook.

    Raises
    ------
    FileError
        The name does not end in .xlsx, another file stands there, a workbook of the user's own too, or as for
        `write_bytes`.

    Source
    ------
    definition
    """
    if Path(path).suffix.lower() != ".xlsx":
        raise FileError([f"{shown(path)} does not end in .xlsx: give the workbook a name that does."])
    if not _may_replace(Path(path)):
        raise FileError([f"{shown(path)} is there and no workbook of a plan: give another name."])
    write_bytes(path, data)


def _may_replace(path: Path) -> bool:
    """Whether nothing stands there, or the workbook of a plan."""
    try:
        # A pipe would keep its reader waiting: writing refuses all but plain files.
        if not path.is_file() or not path.stat().st_size:
            return True
        with zipfile.ZipFile(path) as book:
            if book.getinfo(_PROPERTIES).file_size > _MOST_BYTES:
                return False
            told = ET.fromstring(book.read(_PROPERTIES))
    except OSError:
        # Nothing there, or nothing that can be read: writing tells what is wrong, if anything is.
        return True
    except (ValueError, KeyError, RuntimeError, NotImplementedError, zipfile.BadZipFile, zlib.error, ET.ParseError):
        return False
    return told.findtext(_TITLE_TAG) == _TITLE
