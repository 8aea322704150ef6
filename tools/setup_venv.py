"""Make or refresh the virtual environment from the lock files.

Called by the Makefile as `python3 tools/setup_venv.py run|dev VENV`. It runs on the
Python that the machine has, before anything is installed, so it uses the
standard library only and a syntax that old Pythons can read: they get a
sentence, not a syntax error.

A stamp in the environment holds a digest of the lock, of pyproject.toml and of
the Python used. While the digest is the same, nothing is installed again.
"""

import hashlib
import importlib.util
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
NEEDED = (3, 11)
ARGUMENTS = 3
APT_LINE = "apt-get install python3-venv"


def main():
    """Set up the environment named on the command line, if it is not up to date."""
    if len(sys.argv) != ARGUMENTS or sys.argv[1] not in ("run", "dev"):
        sys.exit("Use: python3 tools/setup_venv.py run|dev FOLDER")
    kind, venv = sys.argv[1], ROOT / sys.argv[2]
    _check_python()
    key = _key(kind)
    # The dev lock holds all of the run lock at the same versions, so an
    # environment made for tests serves to run as well.
    if _stamped(venv, kind, key) or (kind == "run" and _stamped(venv, "dev", _key("dev"))):
        return
    _make(venv)
    _install(venv, kind)
    _stamp(venv, kind).write_text(key + "\n")


def _check_python():
    """Stop with one sentence when this Python can not do it."""
    if sys.version_info < NEEDED:
        sys.exit(
            f"Pithline needs Python 3.11 or newer, and {sys.executable} is older: "
            "say which to use, for example `make demo PYTHON=python3.13`."
        )
    if importlib.util.find_spec("venv") is None or importlib.util.find_spec("ensurepip") is None:
        sys.exit(
            f"This Python ({sys.executable}) can not make a virtual environment; "
            f"on Debian and its kin, run `{APT_LINE}` as root, then the same command again."
        )


def _key(kind):
    digest = hashlib.sha256()
    for path in (ROOT / "locks" / (kind + ".txt"), ROOT / "pyproject.toml", Path(__file__)):
        digest.update(path.read_bytes())
    digest.update(repr((sys.version_info[:3], str(ROOT))).encode())
    return digest.hexdigest()


def _stamp(venv, kind):
    return venv / ("pithline-" + kind + ".stamp")


def _stamped(venv, kind, key):
    stamp = _stamp(venv, kind)
    return stamp.is_file() and stamp.read_text().strip() == key


def _python(venv):
    return venv / ("Scripts" if sys.platform == "win32" else "bin") / "python"


def _make(venv):
    """Make the environment, or make it anew when it belongs to another Python."""
    wanted = "{}.{}".format(*sys.version_info[:2])
    code = "import sys, pip; print('{}.{}'.format(*sys.version_info[:2]))"
    if _python(venv).exists():
        have = subprocess.run([str(_python(venv)), "-c", code], capture_output=True, text=True, check=False)
        if have.returncode == 0 and have.stdout.strip() == wanted:
            return
    print(f"Making {venv.name} with Python {wanted} ...", flush=True)
    subprocess.run([sys.executable, "-m", "venv", "--clear", str(venv)], check=True)


def _install(venv, kind):
    """Install exactly what the lock says, then this package itself without its dependencies."""
    print(f"Installing what locks/{kind}.txt lists ...", flush=True)
    pip = [str(_python(venv)), "-m", "pip", "install", "-qq", "--disable-pip-version-check"]
    pip.append("--no-input")
    lock = str(ROOT / "locks" / (kind + ".txt"))
    steps = (
        [*pip, "--require-hashes", "-r", lock],
        [*pip, "--no-deps", "--no-build-isolation", "-e", str(ROOT)],
    )
    for step in steps:
        done = subprocess.run(step, check=False)
        if done.returncode != 0:
            sys.exit(f"Could not install what locks/{kind}.txt lists; pip says why above.")


if __name__ == "__main__":
    main()
