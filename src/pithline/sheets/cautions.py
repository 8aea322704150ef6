"""The checks and cautions that stand on a card, from the table cautions.csv."""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.setup import SetUp
from pithline.sheets.side_plan import rail_letter

__all__ = ["TABLE", "Caution", "cautions", "said"]

TABLE = Path(__file__).with_name("cautions.csv")
"""The table; cautions.md beside it tells where each line is from."""

_COLUMNS = ("id", "kind", "stack", "when", "text", "source", "status")
_ALLOWED = {
    "kind": ("check", "caution"),
    "stack": ("first", "second", "all"),
    "when": ("always", "between", "moves"),
    "status": ("seen", "memory", "common practice"),
}


@dataclass(frozen=True)
class Caution:
    """One line of the card: a check before the saw runs, or a caution.

    Attributes are the columns of cautions.csv, which cautions.md explains.
    """

    id: str
    kind: str
    stack: str
    when: str
    text: str
    source: str
    status: str


@cache
def cautions(path: Path = TABLE) -> tuple[Caution, ...]:
    """Return the checks and cautions of the card, from their table.

    Parameters
    ----------
    path : Path
        The table; a file of the same name that ends in .md must tell where it is from.

    Returns
    -------
    tuple of Caution
        In the order of the table.

    Raises
    ------
    SheetError
        The table has no provenance file, other columns, or a row that does not keep to them.
    """
    told = path.with_suffix(".md")
    if not told.is_file():
        raise SheetError(f"{path.name} has no {told.name} beside it that tells where it is from.")
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.DictReader(file, strict=True)
        if tuple(reader.fieldnames or ()) != _COLUMNS:
            raise SheetError(f"{path.name}: the columns must be {', '.join(_COLUMNS)}.")
        # The first row tells what each column may hold.
        rows = [Caution(**row) for row in reader][1:]
    for row in rows:
        for column, allowed in _ALLOWED.items():
            if getattr(row, column) not in allowed:
                raise SheetError(f"{path.name}, {row.id}: {column} must be one of {', '.join(allowed)}.")
        if row.status == "seen" and not row.source:
            raise SheetError(f"{path.name}, {row.id}: what was seen must name its source.")
    return tuple(rows)


def said(setup: SetUp, index: int, *, kind: Literal["check", "caution"], tape: Tape) -> tuple[str, ...]:
    """Return the checks or cautions of one stack, their numbers filled in.

    Parameters
    ----------
    setup : SetUp
        The set-up.
    index : int
        Number of the stack, from 0.
    kind : {'check', 'caution'}
        Which of them.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    tuple of str
        Sentences in the order of the table.
    """
    stack = setup.stacks[index]
    holds = {"always": True, "between": len(stack.bearers) > 2, "moves": len(stack.rail) > 1}
    values = _values(setup, index, tape)
    return tuple(
        row.text.format_map(values)
        for row in cautions()
        if row.kind == kind and row.stack in ("all", "second" if index else "first") and holds[row.when]
    )


def _values(setup: SetUp, index: int, tape: Tape) -> dict[str, str]:
    """Return what the names in braces of the table stand for."""
    stack = setup.stacks[index]
    sag = max(bearer.string_sag_mm for bearer in stack.bearers)
    kerf = tape.show(setup.kit.saw.kerf_mm)
    recalled = not {"saw.kerf", "saw.kerf_mm"}.isdisjoint(setup.kit.recalled)
    return {
        "string": f"up to {tape.show(sag)} above it" if tape.round(sag) > 0.0 else "just touch it",
        "overhang": tape.show(stack.rail[-1].end_mm - setup.placement.log.length_mm),
        "rail_top": tape.show(stack.rail_top_mm),
        "setting": tape.show(stack.passes[0].setting_mm),
        "kerf": f"{kerf} is recalled, not measured: measure one cut first" if recalled else f"{kerf} on this chain",
        "last_position": rail_letter(len(stack.rail) - 1),
    }
