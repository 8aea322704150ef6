"""Rows of text set in columns."""

from collections.abc import Sequence

__all__ = ["columns"]


def columns(rows: Sequence[Sequence[str]], *, indent: str = "") -> list[str]:
    """Rows of text set in columns, two spaces between.

    Parameters
    ----------
    rows : sequence of sequence of str
        Cells; every row has as many.
    indent : str
        What every line starts with.

    Returns
    -------
    list of str
        One line a row, without trailing spaces.

    Source
    ------
    definition
    """
    widths = [max(len(row[k]) for row in rows) for k in range(len(rows[0]))] if rows else []
    return [
        (indent + "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True))).rstrip()
        for row in rows
    ]
