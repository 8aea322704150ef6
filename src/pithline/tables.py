"""The one loader of data tables: a CSV with a row of units, and a file beside it that says where it is from."""

import csv
import io
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType

from pithline.errors import TableError

__all__ = ["STATUSES", "Table", "read_table", "table_of"]

STATUSES = ("seen", "memory", "computed", "common practice")
"""How a row came here: read in retrieved text, recalled, worked out from other rows, or what the trade expects."""


@dataclass(frozen=True)
class Table:
    """A table of text as its file has it.

    Attributes: `name` for messages; `units`, what the row under the heads says
    of each column; `rows`, cells under their heads, empty where nothing is known.
    """

    name: str
    units: Mapping[str, str]
    rows: tuple[Mapping[str, str], ...]


@cache
def read_table(package: str, name: str) -> Table:
    """Return a data table that is shipped with the package.

    Parameters
    ----------
    package : str
        The package it lies in, as `pithline.wood`.
    name : str
        File name without `.csv`.

    Returns
    -------
    Table
        Read once, then kept.

    Raises
    ------
    TableError
        There is no such table, it has no provenance file beside it, a row has
        another number of cells than there are heads, or a `status` is none of `STATUSES`.

    Source
    ------
    definition
    """
    folder = resources.files(package)
    file, provenance = folder / f"{name}.csv", folder / f"{name}.md"
    if not file.is_file():
        raise TableError(f"{package}: there is no table {name}.csv.")
    if not provenance.is_file():
        raise TableError(f"{name}.csv has no {name}.md beside it that says where it is from.")
    return table_of(name, file.read_text(encoding="utf-8"))


def table_of(name: str, text: str) -> Table:
    """Return the table that a CSV text holds.

    Parameters
    ----------
    name : str
        Name for messages.
    text : str
        Heads, a row of units, then the rows.

    Returns
    -------
    Table
        The rows as text.

    Raises
    ------
    TableError
        As for `read_table`.

    Source
    ------
    definition
    """
    try:
        lines = [row for row in csv.reader(io.StringIO(text), strict=True) if row]
    except csv.Error as error:
        raise TableError(f"{name}.csv cannot be read as a table ({error}).") from error
    if len(lines) < 2:
        raise TableError(f"{name}.csv has no row of units under its heads.")
    heads, units, rows = lines[0], lines[1], lines[2:]
    if len(set(heads)) < len(heads):
        raise TableError(f"{name}.csv has two columns of one name.")
    for number, row in enumerate(rows, start=1):
        if len(row) != len(heads):
            raise TableError(f"{name}.csv row {number} under its units has {len(row)} cells under {len(heads)} heads.")
    held = tuple(MappingProxyType(dict(zip(heads, row, strict=True))) for row in rows)
    for cells in held:
        if cells.get("status", "seen") not in STATUSES:
            raise TableError(f"{name}.csv: status {cells['status']!r} is none of {', '.join(STATUSES)}.")
    return Table(name, MappingProxyType(dict(zip(heads, units, strict=True))), held)
