"""The docs name what there is: commands, options, columns, keys; and their links lead somewhere."""

import re
import shlex
from dataclasses import fields
from pathlib import Path

import pytest
from click.testing import CliRunner

from pithline.cli import main
from pithline.job import demo_files
from pithline.setup import Kit
from pithline.tables import read_table

ROOT = Path(__file__).parents[2]
PAGES = sorted([ROOT / "README.md", ROOT / "CONTRIBUTING.md", *(ROOT / "docs").glob("*.md")])


def test_every_command_is_named_in_the_readme_or_the_first_hour():
    told = (ROOT / "README.md").read_text() + (ROOT / "docs" / "first-hour.md").read_text()
    for name in main.commands:
        assert f"pithline {name}" in told, name


@pytest.mark.parametrize("name", sorted(main.commands))
def test_every_command_has_help_with_an_example_and_helped_options(name):
    command = main.commands[name]
    assert command.help
    assert f"pithline {name}" in (command.epilog or "")
    for option in command.params:
        if option.param_type_name == "option":
            assert option.help, option.name


def test_every_value_of_the_kit_is_in_the_files_page():
    told = (ROOT / "docs" / "files.md").read_text()
    for part in fields(Kit):
        if part.name in {"name", "origins", "datum_step_mm", "species"}:
            continue
        row = re.search(rf"`\[{part.name}\]` \| (.*) \|", told)
        assert row, part.name
        assert isinstance(part.type, type)
        held = {field.name.removesuffix("_mm") for field in fields(part.type)}
        named = set(re.findall(r"`(\w+)`", row.group(1)))
        assert named == held or {n.removesuffix("_mm") for n in named} == held, part.name


def test_every_value_of_a_species_is_in_the_files_page():
    told = (ROOT / "docs" / "files.md").read_text()
    row = re.search(r'`\[species\."NAME"\]` \| (.*) \|', told)
    assert row
    for limit in read_table("pithline.wood", "species_limits").rows:
        assert f"`{limit['property']}`" in row.group(1), limit["property"]


@pytest.mark.parametrize("path", sorted((ROOT / "docs" / "schema").glob("*.json")), ids=lambda path: path.stem)
def test_every_schema_has_its_chapter(path):
    told = (ROOT / "docs" / "json.md").read_text()
    assert re.search(rf"^## (\w+, )?{path.stem}\b", told, re.MULTILINE)


def test_every_command_that_answers_as_json_has_its_chapter():
    told = (ROOT / "docs" / "json.md").read_text()
    for name, command in main.commands.items():
        if any(option.name == "as_json" for option in command.params):
            assert re.search(rf"^## (\w+, )?{name}\b", told, re.MULTILINE), name


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_links_lead_to_files_that_exist(page):
    for target in re.findall(r"\]\(([^)#:]+)\)", page.read_text()):
        assert (page.parent / target).exists(), target


def examples():
    """Every command shown in the docs and in the help."""
    texts = [page.read_text() for page in PAGES] + [command.epilog or "" for command in main.commands.values()]
    found = re.findall(r"^ {2,4}(?:\.venv/bin/)?pithline (.+)$", "\n".join(texts), re.MULTILINE)
    return sorted({re.sub(r"\s+[>#].*$", "", line) for line in found})


@pytest.mark.parametrize("line", examples())
def test_every_command_shown_runs_on_the_demo(tmp_path, monkeypatch, line):
    monkeypatch.chdir(tmp_path)
    Path("demo-out").mkdir()
    for name, text in demo_files().items():
        Path(name).write_text(text, encoding="utf-8")
        (Path("demo-out") / name).write_text(text, encoding="utf-8")
    result = CliRunner().invoke(main, shlex.split(line))
    assert result.exit_code == 0, result.output


def test_examples_are_found():
    assert len(examples()) > 10


def test_the_readme_opens_with_the_job():
    first = (ROOT / "README.md").read_text().split("\n\n")[1]
    for word in ("timbers", "chainsaw", "rail", "log", "set"):
        assert word in first
