"""Text read from a file with care, and files written whole or not at all."""

import contextlib
import errno
import os
import re
import secrets
import stat
from pathlib import Path
from typing import Final

from pithline.errors import FileError

__all__ = ["MOST_BYTES", "make_folder", "read_text", "shown", "write_bytes", "write_pdf", "write_svg", "write_text"]

MOST_BYTES: Final = 8_000_000
"""Largest file that is read."""

_BOM: Final = b"\xef\xbb\xbf"
_UTF_16: Final = (b"\xff\xfe", b"\xfe\xff")
_PACKED: Final = b"PK\x03\x04"
_SAMPLE: Final = 4_000
# A declaration and comments may stand before the mark of a form.
_HEAD: Final = 400
_BREAKS: Final = re.compile(rb"\r\n|\r|\n")
_SAVE: Final = "Save it again as UTF-8 (from a spreadsheet: CSV UTF-8)."
_FULL: Final = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


def shown(path: str | Path) -> str:
    """Path in a form that can be printed anywhere.

    Parameters
    ----------
    path : str or Path
        Of any characters.

    Returns
    -------
    str
        As given, with what cannot be printed written as escapes.

    Source
    ------
    definition
    """
    return "".join(mark if mark.isprintable() else mark.encode("unicode_escape").decode("ascii") for mark in str(path))


def read_text(path: str | Path, *, most_bytes: int = MOST_BYTES) -> str:
    """Text of a UTF-8 file, without the mark that may stand at its start.

    Parameters
    ----------
    path : str or Path
        A plain file.
    most_bytes : int, default 8,000,000
        Larger files are refused before they are read.

    Returns
    -------
    str
        Never empty, without NUL; line ends are left as they are.

    Raises
    ------
    FileError
        The file is missing, no plain file, closed to the reader, too large, empty or not UTF-8.

    Source
    ------
    definition
    """
    name = shown(path)
    try:
        found = Path(path).stat()
        if stat.S_ISDIR(found.st_mode):
            raise FileError([f"{name} is a folder: name a file in it."])
        # A pipe or device could keep the reader waiting without end.
        if not stat.S_ISREG(found.st_mode):
            raise FileError([f"{name} is not a plain file: save its contents to one and name that."])
        if found.st_size > most_bytes:
            raise _too_large(name, found.st_size, most_bytes)
        with Path(path).open("rb") as file:
            data = file.read(most_bytes + 1)
    except (OSError, ValueError) as error:
        if isinstance(error, FileError):
            raise
        raise FileError([_why_not_read(name, error)]) from error
    if len(data) > most_bytes:
        raise _too_large(name, len(data), most_bytes)
    return _decoded(data, name)


def write_bytes(path: str | Path, data: bytes) -> None:
    """Write a file whole: under another name in the same folder, then put in place.

    Parameters
    ----------
    path : str or Path
        Where to; a file that is there is replaced, and keeps its permissions.
    data : bytes
        All that the file will hold.

    Raises
    ------
    FileError
        The folder is missing or closed, the disk is full, or something other than a plain file
        stands there. What was there before is then unharmed.

    Source
    ------
    definition
    """
    name = shown(path)
    spare: Path | None = None
    try:
        # A link is followed, so that what it points to is replaced and not the link.
        target = Path(os.path.realpath(path))
        mode = _mode_of(target, name)
        spare = target.parent / f".pithline-{secrets.token_hex(8)}"
        with os.fdopen(os.open(spare, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if mode is not None:
            spare.chmod(mode)
        spare.replace(target)
    except (OSError, ValueError) as error:
        if spare is not None:
            with contextlib.suppress(OSError):
                spare.unlink(missing_ok=True)
        if isinstance(error, FileError):
            raise
        raise FileError([_why_not_written(name, error)]) from error


def make_folder(path: str | Path) -> None:
    """Make a folder, and those above it.

    Parameters
    ----------
    path : str or Path
        Where; one that is there is left as it is.

    Raises
    ------
    FileError
        A file stands there, or the folder above is closed.

    Source
    ------
    definition
    """
    try:
        Path(path).mkdir(parents=True, exist_ok=True)
    except (OSError, ValueError) as error:
        raise FileError([_why_not_written(shown(path), error)]) from error


def write_pdf(path: str | Path, data: bytes) -> None:
    """Write a sheet, and nothing over a file that is none.

    Parameters
    ----------
    path : str or Path
        Where to; its name ends in .pdf.
    data : bytes
        The sheet.

    Raises
    ------
    FileError
        The name does not end in .pdf, a file that is no PDF stands there, or as for `write_bytes`.

    Source
    ------
    definition
    """
    _write_form(path, data, ending=".pdf", mark=b"%PDF", within=4)


def write_svg(path: str | Path, text: str) -> None:
    """Write a drawing, and nothing over a file that is none.

    Parameters
    ----------
    path : str or Path
        Where to; its name ends in .svg.
    text : str
        The drawing.

    Raises
    ------
    FileError
        The name does not end in .svg, a file that is no SVG stands there, or as for `write_bytes`.

    Source
    ------
    definition
    """
    _write_form(path, text.encode("utf-8"), ending=".svg", mark=b"<svg", within=_HEAD)


def _write_form(path: str | Path, data: bytes, *, ending: str, mark: bytes, within: int) -> None:
    """Write bytes of one form, and nothing over a file that does not have its mark within its first bytes."""
    name, word = shown(path), "sheet" if ending == ".pdf" else "drawing"
    if Path(path).suffix.lower() != ending:
        raise FileError([f"{name} does not end in {ending}: give the {word} a name that does."])
    try:
        with Path(path).open("rb") as file:
            there = file.read(within)
    except OSError:
        # Nothing there, or nothing that can be read: writing tells what is wrong, if anything is.
        there = b""
    if there and mark not in there:
        raise FileError(
            [f"{name} is there and is no {ending[1:].upper()}: choose another name, so that nothing is lost."]
        )
    write_bytes(path, data)


def write_text(path: str | Path, text: str) -> None:
    """Write a UTF-8 text file whole, its line ends as they are in the text.

    Parameters
    ----------
    path : str or Path
        Where to, as in `write_bytes`.
    text : str
        All that the file will hold.

    Raises
    ------
    FileError
        As `write_bytes` does.

    Source
    ------
    definition
    """
    write_bytes(path, text.encode("utf-8"))


def _mode_of(target: Path, name: str) -> int | None:
    """Permissions of a file that is to be replaced, None where there is none yet."""
    try:
        found = target.stat()
    except FileNotFoundError:
        return None
    if stat.S_ISDIR(found.st_mode):
        raise FileError([f"{name} is a folder: give the name of a file to write in it."])
    # Replacing would do away with the device or pipe itself.
    if not stat.S_ISREG(found.st_mode):
        raise FileError([f"{name} is not a plain file, so nothing was written: name another."])
    return stat.S_IMODE(found.st_mode)


def _size(count: int) -> str:
    """Size of a file, rounded up so that it never reads as the limit that it breaks."""
    return f"{-(-count // 10_000) / 100:.2f} MB" if count >= 1_000_000 else f"{count:,} bytes"


def _too_large(name: str, count: int, most: int) -> FileError:
    return FileError(
        [
            f"{name} holds {_size(count)}, and no more than {most / 1e6:g} MB is read: "
            "check that it is the right file, or split it."
        ]
    )


def _why_not_read(name: str, error: OSError | ValueError) -> str:
    """Sentence for an error of the system on reading."""
    if isinstance(error, FileNotFoundError):
        return f"{name} is not there: check the name and the folder."
    if isinstance(error, NotADirectoryError):
        return f"{name} is not there, since a part of its path is a file: check the name."
    if isinstance(error, PermissionError):
        return f"{name} may not be read: change its permissions, or copy it to a folder of your own."
    return f"{name} cannot be read ({_reason(error)}): check the name, or copy it to another place."


def _why_not_written(name: str, error: OSError | ValueError) -> str:
    """Sentence for an error of the system on writing."""
    folder = shown(Path(name).parent)
    if isinstance(error, FileNotFoundError):
        return f"{name} cannot be written, since the folder {folder} is not there: make it first."
    if isinstance(error, NotADirectoryError | FileExistsError):
        return f"{name} cannot be written, since {folder} is not a folder: name another."
    code = error.errno if isinstance(error, OSError) else None
    if isinstance(error, PermissionError) or code == errno.EROFS:
        return f"{name} cannot be written, since {folder} is read-only: choose another folder."
    if code in _FULL:
        return f"{name} cannot be written, since the disk is full: make room, or choose another."
    return f"{name} cannot be written ({_reason(error)}): choose another name or folder."


def _reason(error: OSError | ValueError) -> str:
    """What the system says, in its words."""
    said = error.strerror if isinstance(error, OSError) else None
    return (said or str(error)).lower()


def _line_of(data: bytes, at: int) -> int:
    """Number of the line that a byte stands in, from 1."""
    return 1 + sum(1 for _ in _BREAKS.finditer(data, 0, at))


def _decoded(data: bytes, name: str) -> str:
    """Text of a file's bytes."""
    if not data.removeprefix(_BOM).strip():
        raise FileError([f"{name} is empty: check that it was saved."])
    if data.startswith(_PACKED):
        raise FileError([f"{name} is a spreadsheet or another packed file, not text. {_SAVE}"])
    sample = data[:_SAMPLE]
    nul = data.find(b"\0")
    if data.startswith(_UTF_16) or (nul >= 0 and 4 * sample.count(b"\0") > len(sample)):
        raise FileError([f"{name} looks like UTF-16, and UTF-8 is read here. {_SAVE}"])
    if nul >= 0:
        line = _line_of(data, nul)
        raise FileError([f"{name} line {line} has a NUL byte, so this is not a text file. {_SAVE}"])
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        # Positions in the error count from behind the mark at the start.
        at = error.start + (len(_BOM) if data.startswith(_BOM) else 0)
        line = _line_of(data, at)
        what = f"{name} line {line} has the byte 0x{data[at]:02x}, which is not UTF-8. {_SAVE}"
        raise FileError([what]) from error
