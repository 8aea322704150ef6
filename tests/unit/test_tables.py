"""The loader of data tables: it refuses a table that does not say what it is or where it is from."""

import re
from importlib import resources
from pathlib import Path

import pytest

import pithline
from pithline.errors import TableError
from pithline.tables import STATUSES, read_table, table_of

ROOT = Path(str(resources.files(pithline)))
SHIPPED = sorted(ROOT.rglob("*.csv"))
TEXT = 'name,size,status\ntext,mm,text\n"oak, white",12.5,seen\npine,,memory\n'


def test_a_table_has_units_and_rows_under_its_heads() -> None:
    table = table_of("woods", TEXT)
    assert table.name == "woods"
    assert dict(table.units) == {"name": "text", "size": "mm", "status": "text"}
    assert [dict(row) for row in table.rows] == [
        {"name": "oak, white", "size": "12.5", "status": "seen"},
        {"name": "pine", "size": "", "status": "memory"},
    ]


def test_a_table_cannot_be_written_to() -> None:
    table = table_of("woods", TEXT)
    with pytest.raises(TypeError):
        table.rows[0]["size"] = "13"
    with pytest.raises(TypeError):
        table.units["size"] = "in"
    with pytest.raises(AttributeError):
        table.name = "other"


def test_a_table_with_no_rows_and_one_without_a_status_are_tables() -> None:
    assert table_of("empty", "name,size\ntext,mm\n").rows == ()
    assert table_of("plain", "size\nmm\n7\n\n8\n").rows == ({"size": "7"}, {"size": "8"})


@pytest.mark.parametrize("text", ["", "\n", "name,size\n"])
def test_a_table_without_a_row_of_units_is_refused(text: str) -> None:
    with pytest.raises(TableError, match=r"^woods\.csv has no row of units under its heads\.$"):
        table_of("woods", text)


@pytest.mark.parametrize(("row", "count"), [("oak,1,seen,more", 4), ("oak,1", 2)])
def test_a_row_of_another_length_is_refused(row: str, count: int) -> None:
    with pytest.raises(TableError, match=rf"^woods\.csv row 3 under its units has {count} cells under 3 heads\.$"):
        table_of("woods", TEXT + row + "\n")


@pytest.mark.parametrize("status", ["", "Seen", "guessed"])
def test_a_status_that_is_none_is_refused(status: str) -> None:
    message = f"woods.csv: status {status!r} is none of seen, memory, computed, common practice."
    with pytest.raises(TableError, match=f"^{re.escape(message)}$"):
        table_of("woods", TEXT + f"elm,3,{status}\n")


def test_a_table_that_is_not_there_is_refused() -> None:
    with pytest.raises(TableError, match=r"^pithline\.wood: there is no table of_nothing\.csv\.$"):
        read_table("pithline.wood", "of_nothing")


def test_a_table_without_its_provenance_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "tables_of_a_test"
    folder.mkdir()
    (folder / "__init__.py").write_text("", encoding="utf-8")
    (folder / "woods.csv").write_text(TEXT, encoding="utf-8")
    monkeypatch.syspath_prepend(str(tmp_path))
    with pytest.raises(TableError, match=r"^woods\.csv has no woods\.md beside it that says where it is from\.$"):
        read_table("tables_of_a_test", "woods")
    (folder / "woods.md").write_text("Invented for a test.", encoding="utf-8")
    table = read_table("tables_of_a_test", "woods")
    assert len(table.rows) == 2
    assert read_table("tables_of_a_test", "woods") is table, "read once, then kept"


def package_of(path: Path) -> str:
    return ".".join(("pithline", *path.parent.relative_to(ROOT).parts))


@pytest.mark.parametrize("path", [path for path in SHIPPED if path.parent.name == "wood"], ids=lambda path: path.stem)
def test_every_table_of_wood_has_units_and_says_where_it_is_from(path: Path) -> None:
    table = read_table(package_of(path), path.stem)
    assert table.rows
    assert all(unit.strip() for unit in table.units.values())
    assert all(row.get("status", STATUSES[0]) in STATUSES for row in table.rows)
    assert path.with_suffix(".md").read_text(encoding="utf-8").startswith(f"# {path.name}\n")
