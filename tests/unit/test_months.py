"""A file of twelve months: what is read, and one sentence with its place for what cannot be."""

from pathlib import Path

import pytest

from pithline.errors import FileError
from pithline.job.months import month_number, months_from_text, read_months
from pithline.wood.air import equilibrium_moisture
from pithline.wood.climate import MONTHS

HEAD = "month,temperature,humidity"
AIR_F = (18, 21, 31, 43, 55, 64, 70, 68, 60, 48, 37, 25)
"""Invented means of twelve months [deg F]."""
STRAIGHT = str.maketrans("\u201c\u201d", '""')


def rows(**changed: str) -> list[str]:
    """A row for each month, some of them written otherwise."""
    return [changed.get(month, f"{month},{warm} F,70 %") for month, warm in zip(MONTHS, AIR_F, strict=True)]


def text(*, head: str = HEAD, **changed: str) -> str:
    return "\n".join([head, *rows(**changed)])


def faults(written: str) -> list[str]:
    with pytest.raises(FileError) as caught:
        months_from_text(written, file="m.csv")
    return [fault.translate(STRAIGHT) for fault in caught.value.faults]


def test_twelve_months_are_read_in_the_order_of_the_year() -> None:
    climate = months_from_text(text(), file="m.csv")
    assert "m.csv" in climate.name
    # Derived apart: (F - 32) / 1.8.
    assert climate.temperature_c == pytest.approx([(f - 32) / 1.8 for f in AIR_F])
    assert climate.emc == pytest.approx(equilibrium_moisture(list(climate.temperature_c), [0.7] * 12))


def test_the_rows_may_stand_in_any_order_and_months_be_named_in_many_ways() -> None:
    names = ("1", "february", "MAR", "April", "5", "june", "Jul", "8", "September", "Oct", "nov", "12")
    mixed = [row.replace(month, name, 1) for row, month, name in zip(rows(), MONTHS, names, strict=True)]
    shuffled = "\n".join([HEAD, *reversed(mixed)])
    assert months_from_text(shuffled, file="m.csv").emc == months_from_text(text(), file="m.csv").emc


def test_units_and_decimal_commas_may_be_mixed() -> None:
    metric = [
        f"{month};{(f - 32) / 1.8:.4f} C;0,7 fraction".replace(".", ",") for month, f in zip(MONTHS, AIR_F, strict=True)
    ]
    climate = months_from_text("\n".join([HEAD.replace(",", ";"), *metric]), file="m.csv")
    assert climate.emc == pytest.approx(months_from_text(text(), file="m.csv").emc, abs=1e-6)


@pytest.mark.parametrize(
    ("lost", "said"),
    [(("Dec",), "Dec"), (("Feb", "Jul"), "Feb, Jul")],
)
def test_months_that_are_missing_are_named(lost: tuple[str, ...], said: str) -> None:
    kept = [row for row in rows() if row[:3] not in lost]
    (fault,) = faults("\n".join([HEAD, *kept]))
    assert f"no row for {said}." in fault


def test_a_month_given_twice_is_told_and_not_missed() -> None:
    (fault,) = faults(text() + "\nmarch,40 F,60 %")
    assert fault.startswith("m.csv row 14, column month: ")
    assert "Mar already" in fault


@pytest.mark.parametrize(
    ("row", "place", "said"),
    [
        ("Apr,43,70 %", "temperature", 'write "70 F" or "21 C"'),
        ("Apr,43 %,70 %", "temperature", "no unit of it"),
        ("Apr,43 in,70 %", "temperature", "no unit of it"),
        ("Apr,-300 C,70 %", "temperature", "nothing is that cold"),
        ("Apr,nan C,70 %", "temperature", "write a number and its unit"),
        ("Apr,,70 %", "temperature", "write a number and its unit"),
        ("Apr,43 F,70", "humidity", 'write "65 %"'),
        ("Apr,43 F,120 %", "humidity", "between 0 and 100 %"),
        ("Apr,43 F,-5 %", "humidity", "between 0 and 100 %"),
        ("Apr,43 F,15 F", "humidity", "no unit of it"),
        ("Apr,43 F,", "humidity", "write a number and its unit"),
        ("13,43 F,70 %", "month", "write 1 to 12, or Jan to Dec"),
        ("0,43 F,70 %", "month", "write 1 to 12, or Jan to Dec"),
        ("4.5,43 F,70 %", "month", "write 1 to 12, or Jan to Dec"),
        ("Ap,43 F,70 %", "month", "write 1 to 12, or Jan to Dec"),
        ("\u0664,43 F,70 %", "month", "write 1 to 12, or Jan to Dec"),
        (f"{'x' * 400},43 F,70 %", "month", "write 1 to 12, or Jan to Dec"),
    ],
)
def test_a_cell_at_fault_is_told_by_its_place(row: str, place: str, said: str) -> None:
    (fault,) = faults(text(Apr=row))
    assert fault.startswith(f"m.csv row 5, column {place}: ")
    assert said in fault
    assert len(fault) < 200


def test_both_cells_of_a_row_are_told_at_once_and_other_rows_with_them() -> None:
    found = faults(text(Feb="Feb,20,x", Nov="Nov,37 F,101 %"))
    assert [fault.split(":")[0] for fault in found] == [
        "m.csv row 3, column temperature",
        "m.csv row 3, column humidity",
        "m.csv row 12, column humidity",
    ]


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("", "no rows"),
        (HEAD, "no row for Jan, Feb, Mar, Apr, May, Jun, Jul, Aug, Sep, Oct, Nov, Dec"),
        ("a,b,c\n1,2,3", "no column head is known"),
        ("\x01\x02\x03", "no column head is known"),
        ("month,temperature\nJan,18 F", "humidity"),
        ("month,humidity\nJan,70 %", "temperature"),
    ],
)
def test_what_is_no_table_of_months_is_refused(written: str, said: str) -> None:
    assert said in "\n".join(faults(written))


@pytest.mark.parametrize("row", ["Apr,60 C,50 %", "Apr,-45 C,70 %", "Apr,43 F,0 %", "Apr,999999999 C,50 %"])
def test_air_that_is_not_found_outdoors_is_refused(row: str) -> None:
    (fault,) = faults(text(Apr=row))
    assert fault.startswith("m.csv")


def test_cold_months_say_that_they_are_stretched() -> None:
    notes = months_from_text(text(), file="m.csv").notes
    # Derived apart: 18, 21 and 25 F lie below the 30 F at which the printed table starts.
    assert len(notes) == 1
    assert "3 months" in notes[0]
    assert (
        months_from_text(text(Jan="Jan,40 F,70 %", Feb="Feb,40 F,70 %", Dec="Dec,40 F,70 %"), file="m.csv").notes == ()
    )


def test_a_file_is_read_with_its_remarks_and_named_after_it(tmp_path: Path) -> None:
    path = tmp_path / "farm.csv"
    path.write_text("# invented\n" + text(head=HEAD + ",notes").replace("%", "%,"), encoding="utf-8-sig")
    climate = read_months(path)
    assert "farm.csv" in climate.name
    assert climate.emc == months_from_text(text(), file="m.csv").emc


@pytest.mark.parametrize("name", ["none.csv", "."])
def test_a_file_that_is_not_there_is_told(tmp_path: Path, name: str) -> None:
    with pytest.raises(FileError):
        read_months(tmp_path / name)


@pytest.mark.parametrize(("written", "number"), [("1", 1), ("12", 12), ("Jan", 1), ("december", 12), ("SEPT", 9)])
def test_months_have_numbers(written: str, number: int) -> None:
    assert month_number(written) == number


@pytest.mark.parametrize("written", ["", "0", "13", "-1", "1.0", "Ja", "xyz", "\u0661", "\u00b2"])
def test_other_words_are_no_month(written: str) -> None:
    assert month_number(written) is None
