"""The lock files: complete, hashed, current, and free of addresses."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from packaging.markers import Marker
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

ROOT = Path(__file__).parent.parent
LOCKS = ROOT / "locks"
PINNED = re.compile(r"(?P<name>[a-z0-9-]+)==(?P<version>[^\s;]+)(?: ; (?P<marker>.*?))? \\$")


def project() -> dict:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def pins(name: str) -> dict[str, list[tuple[str, str]]]:
    """Return the pinned versions of a lock with their markers, by package."""
    found: dict[str, list[tuple[str, str]]] = {}
    for line in (LOCKS / name).read_text(encoding="utf-8").splitlines():
        if line and not line.startswith(("#", "    ")):
            match = PINNED.match(line)
            assert match, f"{name}: not a pinned and hashed package: {line}"
            found.setdefault(match["name"], []).append((match["version"], match["marker"] or ""))
    return found


@pytest.mark.parametrize("name", ["run.txt", "dev.txt"])
def test_each_package_is_pinned_hashed_and_without_an_address(name):
    text = (LOCKS / name).read_text(encoding="utf-8")
    assert "://" not in text
    assert not re.search(r"^-", text, flags=re.MULTILINE), "a lock holds packages, no options"
    blocks = re.split(r"\n(?=\S)", text.strip())[1:]
    assert len(blocks) == sum(len(versions) for versions in pins(name).values())
    for block in blocks:
        assert "--hash=sha256:" in block, block


def test_settings_name_no_registry():
    for path in (ROOT / "pyproject.toml", ROOT / ".npmrc", ROOT / "Makefile", ROOT / ".ci" / "run"):
        if path.exists():
            text = path.read_text(encoding="utf-8")
            assert "://" not in text, f"{path.name} names an address"
            assert "index-url" not in text, f"{path.name} names a registry"


@pytest.mark.parametrize("name", ["run.txt", "dev.txt"])
@pytest.mark.parametrize("python", ["3.11.0", "3.13.0"])
def test_all_that_the_project_needs_is_locked_at_a_version_it_takes(name, python):
    table = project()
    needed = table["build-system"]["requires"] + table["project"]["dependencies"]
    if name == "dev.txt":
        needed += table["project"]["optional-dependencies"]["test"]
    locked = pins(name)
    for requirement in map(Requirement, needed):
        versions = [
            version
            for version, marker in locked.get(canonicalize_name(requirement.name), [])
            if not marker or Marker(marker).evaluate({"python_full_version": python, "python_version": python[:4]})
        ]
        assert len(versions) == 1, f"{requirement.name} is {versions or 'missing'} in {name}"
        assert requirement.specifier.contains(versions[0]), f"{requirement}: {versions[0]}"


def test_to_run_and_to_test_the_same_versions_are_used():
    run, dev = pins("run.txt"), pins("dev.txt")
    assert run.items() <= dev.items()


def test_the_locks_belong_to_this_pyproject():
    command = [sys.executable, str(ROOT / "tools" / "lock.py"), "check"]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
