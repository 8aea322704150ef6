"""Write the lock files, or check that they belong to this pyproject.toml.

`python tools/lock.py write [--upgrade]` asks the package registry through uv and
writes locks/run.txt (to run) and locks/dev.txt (to test as well). Versions
already locked stay unless `--upgrade` is given. One lock serves every Python
and system: where versions differ, markers tell them apart.

`python tools/lock.py check` needs no network: the first line of each lock holds a
digest of everything in pyproject.toml that decides what is installed.
"""

import hashlib
import json
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
LOCKS = ("run", "dev")
OLDEST = "3.11"


def wanted() -> dict[str, Any]:
    """Return the parts of pyproject.toml that decide what is installed."""
    table = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    project = table["project"]
    return {
        "python": project["requires-python"],
        "build": sorted(table["build-system"]["requires"]),
        "run": sorted(project["dependencies"]),
        "test": sorted(project["optional-dependencies"]["test"]),
    }


def first_line() -> str:
    """Return the line that ties a lock to pyproject.toml."""
    digest = hashlib.sha256(json.dumps(wanted(), sort_keys=True).encode()).hexdigest()
    return f"# Made by `make lock` from pyproject.toml, digest {digest[:16]}\n"


def stale() -> list[str]:
    """Return the names of the locks that do not belong to this pyproject.toml."""
    names = []
    for name in LOCKS:
        path = ROOT / "locks" / f"{name}.txt"
        if not path.is_file() or not path.read_text(encoding="utf-8").startswith(first_line()):
            names.append(path.name)
    return names


def write(*, upgrade: bool) -> None:
    """Resolve and write both locks, the larger one held to the smaller."""
    folder = ROOT / "locks"
    folder.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        build = Path(scratch) / "build-system.txt"
        build.write_text("\n".join(wanted()["build"]) + "\n", encoding="utf-8")
        for name in LOCKS:
            path = folder / f"{name}.txt"
            command = [sys.executable, "-m", "uv", "pip", "compile", "pyproject.toml", str(build)]
            command += ["--universal", "--python-version", OLDEST, "--generate-hashes"]
            command += ["--no-header", "--no-annotate", "--no-emit-index-url"]
            command += ["--no-emit-find-links", "--quiet", "--output-file", str(path)]
            if upgrade:
                command.append("--upgrade")
            if name == "dev":
                command += ["--extra", "test", "--constraint", "locks/run.txt"]
            subprocess.run(command, cwd=ROOT, check=True)
            path.write_text(first_line() + path.read_text(encoding="utf-8"), encoding="utf-8")


def main() -> None:
    """Do what the command line asks."""
    arguments = sys.argv[1:]
    if arguments[:1] == ["write"]:
        write(upgrade="--upgrade" in arguments)
    elif arguments == ["check"]:
        names = stale()
        if names:
            sys.exit(f"{', '.join(names)} in locks/ is older than pyproject.toml: run `make lock`.")
        print("The locks belong to pyproject.toml.")
    else:
        sys.exit("Use: python tools/lock.py write [--upgrade] | check")


if __name__ == "__main__":
    main()
