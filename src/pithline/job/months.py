"""Twelve months of air, as the user measured or looked them up."""

import re
from collections.abc import Callable
from pathlib import Path
from typing import Final

from pithline.errors import FileError, WoodError
from pithline.job.cells import Cells
from pithline.job.faults import FaultList
from pithline.job.table import Form, Row, columns_of, read_sheet
from pithline.job.textfile import read_text, shown
from pithline.wood.climate import MONTHS, Climate
from pithline.wood.reading import parse_humidity, parse_temperature
from pithline.wood.service import climate_of_air

__all__ = ["FORM", "month_number", "months_from_text", "read_months"]

FORM: Final = Form(
    kinds={"month": "text", "temperature": "text", "humidity": "text", "notes": "text"},
    required=("month", "temperature", "humidity"),
    example="month, temperature, humidity",
)
"""The columns of a file of months."""

_NAMES: Final = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)


def read_months(path: str | Path) -> Climate:
    """The climate of a file of twelve months.

    Parameters
    ----------
    path : str or Path
        A CSV file with columns month, temperature and humidity, each value with its unit.

    Returns
    -------
    Climate
        Named after the file.

    Raises
    ------
    FileError
        The file cannot be read, or has faults; it tells all of them.

    Source
    ------
    definition
    """
    return months_from_text(read_text(path), file=shown(Path(path).name))


def months_from_text(text: str, *, file: str) -> Climate:
    """The climate of a table of twelve months.

    Parameters
    ----------
    text : str
        The table.
    file : str
        Name for messages and for the climate.

    Returns
    -------
    Climate
        January first.

    Raises
    ------
    FileError
        The table has faults; it tells all of them.

    Source
    ------
    definition
    """
    faults = FaultList(file)
    sheet = read_sheet(text, file, faults=faults, most_rows=100)
    temperatures: dict[int, float] = {}
    humidities: dict[int, float] = {}
    if sheet is not None:
        cells = Cells(file, columns_of(sheet, FORM, faults=faults), faults)
        if all(name in cells.columns for name in FORM.required):
            for row in sheet.rows:
                _read_row(cells, row, temperatures, humidities)
            missing = [MONTHS[number - 1] for number in range(1, 13) if number not in temperatures]
            if missing and not faults.count:
                faults.add(f"{file}: there is no row for {', '.join(missing)}. A year has twelve; write them all.")
    faults.raise_if_any()
    in_order = range(1, 13)
    name = f"the air of {file}"
    try:
        return climate_of_air(
            name,
            tuple(temperatures[number] for number in in_order),
            humidity=tuple(humidities[number] for number in in_order),
        )
    except WoodError as error:
        raise FileError([f"{file}: {str(error).removeprefix(f'{name}: ').removeprefix(f'{name}, ')}"]) from error


def _read_row(cells: Cells, row: Row, temperatures: dict[int, float], humidities: dict[int, float]) -> None:
    """One month."""
    number = month_number(cells.raw(row, "month"))
    if number is None:
        cells.fault(row, "month", "write 1 to 12, or Jan to Dec.")
        return
    if number in temperatures:
        cells.fault(row, "month", f"there is a row for {MONTHS[number - 1]} already. Keep one.")
    # A month at fault is not missing as well.
    temperatures[number] = humidities[number] = 0.0
    temperature = _read(cells, row, "temperature", parse_temperature)
    humidity = _read(cells, row, "humidity", parse_humidity)
    if temperature is not None and humidity is not None:
        temperatures[number], humidities[number] = temperature, humidity


def _read(cells: Cells, row: Row, name: str, parse: Callable[[str], float]) -> float | None:
    """One value with its unit."""
    try:
        return parse(cells.raw(row, name))
    except WoodError as error:
        # The cell is told once, by its place.
        cells.fault(row, name, str(error).partition("; ")[2] or str(error))
        return None


def month_number(written: str) -> int | None:
    """Number of a month.

    Parameters
    ----------
    written : str
        1 to 12, or a name of which the first three letters are enough.

    Returns
    -------
    int or None
        1 to 12, None where it is no month.

    Source
    ------
    definition
    """
    if re.fullmatch("0?[1-9]|1[0-2]", written):
        return int(written)
    word = written.lower().removesuffix(".")
    for number, name in enumerate(_NAMES, start=1):
        if len(word) >= 3 and name.startswith(word):
            return number
    return None
