"""The tables of printed values in tests/data/published, each with its provenance beside it."""

import csv
from pathlib import Path

FOLDER = Path(__file__).parent / "data" / "published"


def table(name: str) -> list[dict[str, str]]:
    """The rows of a table, as written; a table without a word on where it comes from is refused."""
    provenance = FOLDER / f"{name}.md"
    if not provenance.is_file():
        raise FileNotFoundError(f"{name}.csv has no {provenance.name} that says where it comes from.")
    with (FOLDER / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
