"""The checks and cautions that stand on a card, from the table cautions.csv."""

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from pithline.errors import SheetError
from pithline.lengths import Tape
from pithline.setup import Bearer, Kit, RailPosition, SetUp
from pithline.sheets.side_plan import rail_letter

__all__ = ["TABLE", "Caution", "Lying", "RailOver", "cautions", "said", "said_where"]

TABLE = Path(__file__).with_name("cautions.csv")
"""The table; cautions.md beside it tells where each line is from."""

_COLUMNS = ("id", "kind", "stack", "when", "text", "source", "status")
_ALLOWED = {
    "kind": ("check", "caution"),
    "stack": ("first", "second", "all"),
    "when": ("always", "between", "moves", "rail", "face"),
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
    rail = RailOver(stack.bearers, stack.rail, stack.rail_top_mm, setup.placement.log.length_mm)
    return said_where(setup.kit, Lying(index > 0, stack.passes[0].setting_mm, rail), kind=kind, tape=tape)


@dataclass(frozen=True)
class RailOver:
    """The rail over what is sawn: `bearers`, `positions`, height `top_mm` over ground, and `length_mm` of the log."""

    bearers: tuple[Bearer, ...]
    positions: tuple[RailPosition, ...]
    top_mm: float
    length_mm: float


@dataclass(frozen=True)
class Lying:
    """What lies on the horses: whether it `is_cant`, the first `setting_mm`, the `rail` or None where there is none."""

    is_cant: bool
    setting_mm: float
    rail: RailOver | None


def said_where(kit: Kit, lying: Lying, *, kind: Literal["check", "caution"], tape: Tape) -> tuple[str, ...]:
    """Return the checks or cautions for what lies on the horses, their numbers filled in.

    Parameters
    ----------
    kit : Kit
        What is at the log.
    lying : Lying
        Log or cant, and the rail over it.
    kind : {'check', 'caution'}
        Which of them.
    tape : Tape
        How lengths are shown.

    Returns
    -------
    tuple of str
        Sentences in the order of the table.
    """
    rail = lying.rail
    holds = {
        "always": True,
        "rail": rail is not None,
        "between": rail is not None and len(rail.bearers) > 2,
        "moves": rail is not None and len(rail.positions) > 1,
        "face": rail is None,
    }
    values = _values(kit, lying, tape)
    return tuple(
        row.text.format_map(values)
        for row in cautions()
        if row.kind == kind and row.stack in ("all", "second" if lying.is_cant else "first") and holds[row.when]
    )


def _values(kit: Kit, lying: Lying, tape: Tape) -> dict[str, str]:
    """Return what the names in braces of the table stand for."""
    kerf = tape.show(kit.saw.kerf_mm)
    recalled = not {"saw.kerf", "saw.kerf_mm"}.isdisjoint(kit.recalled)
    values = {
        "setting": tape.show(lying.setting_mm),
        "kerf": f"{kerf} is recalled, not measured: measure one cut first" if recalled else f"{kerf} on this chain",
    }
    if lying.rail is None:
        return values
    rail = lying.rail
    sag = max(bearer.string_sag_mm for bearer in rail.bearers)
    return values | {
        "string": f"up to {tape.show(sag)} above it" if tape.round(sag) > 0.0 else "just touch it",
        "overhang": tape.show(rail.positions[-1].end_mm - rail.length_mm),
        "rail_top": tape.show(rail.top_mm),
        "last_position": rail_letter(len(rail.positions) - 1),
    }
