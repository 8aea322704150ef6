"""The invented yard, list of timbers, kit and climate of a sugarhouse job, to try everything on."""

from collections.abc import Mapping
from importlib import resources
from pathlib import Path
from types import MappingProxyType
from typing import Final

from pithline.errors import FileError
from pithline.job.textfile import shown, write_text

__all__ = ["demo_files", "write_demo"]

_NAMES: Final = ("yard.csv", "timbers.csv", "kit.toml", "months.csv", "README.txt")


def demo_files() -> Mapping[str, str]:
    """Texts of the demo files under their names.

    Returns
    -------
    mapping of str to str
        A yard, a list of timbers, a kit, twelve months of air and a note, all of it invented.

    Source
    ------
    invented
    """
    folder = resources.files("pithline.job.demo")
    return MappingProxyType({name: (folder / name).read_text(encoding="utf-8") for name in _NAMES})


def write_demo(folder: str | Path) -> list[Path]:
    """Write the demo files to a folder, which is made where it is not there.

    Parameters
    ----------
    folder : str or Path
        Where to.

    Returns
    -------
    list of Path
        The files, whether written now or there before with the same text.

    Raises
    ------
    FileError
        A file of the same name is there and differs, and nothing was written; or the folder
        cannot be made or written to.

    Source
    ------
    definition
    """
    place = Path(folder)
    try:
        place.mkdir(parents=True, exist_ok=True)
        faults = [
            f"{shown(place / name)} is there already and is not the demo's file: "
            "choose another folder, or move the file away."
            for name, text in demo_files().items()
            if _differs(place / name, text.encode("utf-8"))
        ]
    except (OSError, ValueError) as error:
        said = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        what = f"{shown(place)} cannot be used as a folder ({said.lower()}): choose another."
        raise FileError([what]) from error
    if faults:
        raise FileError(faults)
    paths = []
    for name, text in demo_files().items():
        path = place / name
        if not path.exists():
            write_text(path, text)
        paths.append(path)
    return paths


def _differs(path: Path, data: bytes) -> bool:
    """Whether something else than the data stands at a path."""
    if not path.exists() and not path.is_symlink():
        return False
    if not path.is_file() or path.stat().st_size != len(data):
        return True
    return path.read_bytes() != data
