"""The rules of the house that a machine can hold: layers, purity, sizes, names in `__all__`."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "src" / "pithline"
CORE = ("errors", "arrays", "lengths", "wood", "logs", "fit", "patterns", "match", "setup")
IMPURE = {"breakpoint", "eval", "exec", "globals", "input", "open", "print"}
LONGEST_FILE = 600
LONGEST_BODY = 60
MOST_ARGUMENTS = 6
MOST_BY_POSITION = 2

Function = ast.FunctionDef | ast.AsyncFunctionDef

FILES = sorted(PACKAGE.rglob("*.py"))


def name_of(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def functions(tree: ast.AST) -> Iterator[Function]:
    return (node for node in ast.walk(tree) if isinstance(node, Function))


def layer(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def test_imports_run_downhill_and_the_core_is_pure():
    command = [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def exported(tree: ast.Module) -> list[str] | None:
    """Return the names in `__all__`, or None where a module has none."""
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return list(ast.literal_eval(node.value))
    return None


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_files_and_functions_keep_to_their_sizes(path):
    text = path.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= LONGEST_FILE
    told = []
    for node in functions(ast.parse(text)):
        body = node.body[1:] if ast.get_docstring(node) else node.body
        lines = (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0
        if lines > LONGEST_BODY:
            told.append(f"{node.name}: {lines} lines")
    assert not told


@pytest.mark.parametrize("path", [path for path in FILES if layer(path) in CORE], ids=name_of)
def test_the_core_touches_nothing_outside_its_arguments(path):
    told = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            if node.func.id in IMPURE:
                told.append(f"line {node.lineno} calls {node.func.id}")
        elif isinstance(node, ast.Global):
            told.append(f"line {node.lineno}: global")
    assert not told


@pytest.mark.parametrize("path", [path for path in FILES if layer(path) in CORE], ids=name_of)
def test_no_call_is_a_row_of_bare_numbers(path):
    """At most six arguments, and by position at most two of a public function."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    public = exported(tree) or []
    told = []
    for node in functions(tree):
        given = [a.arg for a in (*node.args.posonlyargs, *node.args.args)]
        by_position = [name for name in given if name not in {"self", "cls"}]
        count = len(by_position) + len(node.args.kwonlyargs)
        if count > MOST_ARGUMENTS:
            told.append(f"{node.name}: {count} arguments")
        if node.name in public and len(by_position) > MOST_BY_POSITION:
            told.append(f"{node.name}: {len(by_position)} arguments by position")
    assert not told


@pytest.mark.parametrize("path", FILES, ids=name_of)
def test_a_module_says_what_it_is_and_what_is_public(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), "no docstring"
    only_a_docstring = len(tree.body) == 1
    if path.name != "__main__.py" and not only_a_docstring:
        assert exported(tree) is not None, "no __all__"


def test_the_layers_of_the_contract_are_all_there_is():
    """The purity of a layer is held from the day it is there, not from the day it is listed."""
    settings = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    for name in {layer(path) for path in FILES} & set(CORE):
        assert f'"pithline.{name}"' in settings, f"{name} is missing in the contract `pure`"


def test_validation_files_are_ones_that_pytest_collects():
    for path in (ROOT / "tests" / "validation").glob("*.py"):
        assert path.name.startswith(("test_", "_")), f"{path.name} would not run"
