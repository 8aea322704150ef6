"""Text files are read with care and written whole; what cannot be done is told in a sentence."""

import errno
import os
import time
from pathlib import Path

import pytest

from pithline.errors import FileError
from pithline.job import demo_files, read_kit, read_text, write_bytes, write_demo, write_text

# Ample for a busy machine; what is guarded against takes minutes or never ends.
SOON_S = 5.0
HEAD = "tag,species,length [ft],butt [in],tip [in]"
ROW = "B7,red spruce,19 1/2,13 1/4,10 3/8"


def refusal_of(path, read=read_text):
    with pytest.raises(FileError) as caught:
        read(path)
    assert len(caught.value.faults) == 1
    return caught.value.faults[0]


# --- reading -----------------------------------------------------------------


def test_a_missing_file_is_named_with_what_to_check(tmp_path):
    path = tmp_path / "yerd.csv"
    assert refusal_of(path) == f"{path} is not there: check the name and the folder."


def test_a_folder_is_no_file(tmp_path):
    assert refusal_of(tmp_path) == f"{tmp_path} is a folder: name a file in it."


def test_a_file_is_no_folder(tmp_path):
    (tmp_path / "yard").write_text("x")
    assert "a part of its path is a file" in refusal_of(tmp_path / "yard" / "yard.csv")


def test_a_pipe_is_refused_and_not_waited_for(tmp_path):
    path = tmp_path / "pipe"
    os.mkfifo(path)
    assert "is not a plain file" in refusal_of(path)


def test_a_device_without_end_is_refused():
    assert refusal_of("/dev/zero").startswith("/dev/zero is not a plain file")


def test_a_closed_file_is_named_with_what_to_do(tmp_path, monkeypatch):
    # Raised by hand, since the tests may run as root, who may read everything.
    def closed(*_arguments, **_options):
        raise PermissionError(errno.EACCES, "Permission denied")

    path = tmp_path / "yard.csv"
    path.write_text(HEAD)
    monkeypatch.setattr(Path, "open", closed)
    assert refusal_of(path) == (f"{path} may not be read: change its permissions, or copy it to a folder of your own.")


@pytest.mark.parametrize("name", ["a\0b.csv", "x" * 5000], ids=["NUL", "long"])
def test_a_name_that_no_file_can_have_is_refused(name):
    assert "cannot be read" in refusal_of(name)


def test_a_name_that_cannot_be_printed_is_told_with_escapes(tmp_path):
    assert r"y\x1b[31m\udcff.csv is not there" in refusal_of(tmp_path / "y\x1b[31m\udcff.csv")


@pytest.mark.parametrize(
    ("count", "said"),
    [(50_000_000, "holds 50.00 MB"), (8_000_001, "holds 8.01 MB")],
    ids=["50 MB", "a byte over"],
)
def test_a_file_that_is_too_large_is_refused_unread(tmp_path, monkeypatch, count, said):
    path = tmp_path / "scan.csv"
    with path.open("wb") as file:
        file.truncate(count)
    monkeypatch.setattr(Path, "open", lambda *_: pytest.fail("the file was opened"))
    start = time.perf_counter()
    text = refusal_of(path)
    assert time.perf_counter() - start < SOON_S
    assert said in text
    assert "no more than 8 MB is read: check that it is the right file, or split it." in text


def test_a_file_of_the_greatest_size_is_read(tmp_path):
    path = tmp_path / "yard.csv"
    path.write_bytes(b"#" * 8_000_000)
    assert len(read_text(path)) == 8_000_000


def test_a_kit_has_a_smaller_limit(tmp_path):
    path = tmp_path / "kit.toml"
    path.write_bytes(b"#" * 200_001)
    assert "holds 200,001 bytes, and no more than 0.2 MB is read" in refusal_of(path, read_kit)


@pytest.mark.parametrize("data", [b"", b"\xef\xbb\xbf", b" \r\n\t\n"], ids=["none", "BOM", "blank"])
def test_an_empty_file_is_refused(tmp_path, data):
    path = tmp_path / "yard.csv"
    path.write_bytes(data)
    assert refusal_of(path) == f"{path} is empty: check that it was saved."


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "BOM"])
@pytest.mark.parametrize("end", [b"\n", b"\r\n", b"\r"], ids=["LF", "CRLF", "CR"])
def test_a_byte_that_is_not_utf_8_is_found_on_its_line(tmp_path, mark, end):
    path = tmp_path / "yard.csv"
    path.write_bytes(mark + HEAD.encode() + end + ROW.encode() + end + "épinette".encode("latin-1"))
    assert refusal_of(path) == (
        f"{path} line 3 has the byte 0xe9, which is not UTF-8. Save it again as UTF-8 (from a spreadsheet: CSV UTF-8)."
    )


@pytest.mark.parametrize("code", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_recognized(tmp_path, code):
    path = tmp_path / "yard.csv"
    path.write_bytes(f"{HEAD}\n{ROW}\n".encode(code))
    text = refusal_of(path)
    assert "looks like UTF-16" in text
    assert "CSV UTF-8" in text


def test_a_stray_nul_is_found_on_its_line(tmp_path):
    path = tmp_path / "yard.csv"
    path.write_bytes(f"{HEAD}\n{ROW}\n{ROW}\0\n".encode())
    assert "line 3 has a NUL byte" in refusal_of(path)


def test_a_spreadsheet_is_recognized(tmp_path):
    path = tmp_path / "yard.csv"
    path.write_bytes(b"PK\x03\x04\x14\x00\x06\x00")
    assert "is a spreadsheet or another packed file, not text" in refusal_of(path)


def test_the_mark_at_the_start_of_utf_8_is_not_part_of_the_text(tmp_path):
    path = tmp_path / "yard.csv"
    path.write_bytes(b"\xef\xbb\xbf" + HEAD.encode())
    assert read_text(path) == HEAD


# --- writing -----------------------------------------------------------------


def test_a_file_is_written_whole_and_replaced_with_its_permissions(tmp_path):
    path = tmp_path / "card.pdf"
    write_bytes(path, b"one")
    path.chmod(0o640)
    write_bytes(path, b"two\r\n\0")
    assert path.read_bytes() == b"two\r\n\0"
    assert path.stat().st_mode & 0o777 == 0o640
    assert [item.name for item in tmp_path.iterdir()] == ["card.pdf"]


def test_text_is_written_as_utf_8_with_its_own_line_ends(tmp_path):
    write_text(tmp_path / "note.txt", "6 ¼ in\r\nab\n")
    assert (tmp_path / "note.txt").read_bytes() == b"6 \xc2\xbc in\r\nab\n"


def test_what_a_link_points_to_is_written(tmp_path):
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to(tmp_path / "real.txt")
    write_text(tmp_path / "link.txt", "new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda place: place / "none" / "card.pdf", "is not there: make it first."),
        (lambda place: place, "is a folder: give the name of a file to write in it."),
        (lambda place: place / ("x" * 300), "choose another name or folder."),
        (lambda _: Path("/dev/null"), "/dev/null is not a plain file, so nothing was written: name another."),
    ],
    ids=["no folder", "a folder", "long name", "device"],
)
def test_what_cannot_be_written_is_told(tmp_path, make, said):
    with pytest.raises(FileError) as caught:
        write_bytes(make(tmp_path), b"x")
    assert len(caught.value.faults) == 1
    assert said in str(caught.value)


def test_a_file_in_the_place_of_a_folder_is_told(tmp_path):
    (tmp_path / "cards").write_text("x")
    with pytest.raises(FileError, match="is not a folder: name another"):
        write_bytes(tmp_path / "cards" / "card.pdf", b"x")


@pytest.mark.parametrize(
    ("code", "said"),
    [
        (errno.ENOSPC, "cannot be written, since the disk is full: make room, or choose another."),
        (errno.EROFS, "is read-only: choose another folder."),
        (errno.EACCES, "is read-only: choose another folder."),
        (errno.EIO, "cannot be written (input/output error): choose another name or folder."),
    ],
)
@pytest.mark.parametrize("step", ["open", "fsync"])
def test_a_write_that_fails_leaves_the_old_file_and_no_other(tmp_path, monkeypatch, code, said, step):
    # Raised by hand: a full or read-only disk cannot be had in every place where tests run.
    def fails(*_arguments, **_options):
        raise OSError(code, os.strerror(code))

    path = tmp_path / "card.pdf"
    path.write_bytes(b"old")
    monkeypatch.setattr(os, step, fails)
    with pytest.raises(FileError) as caught:
        write_bytes(path, b"new")
    monkeypatch.undo()
    assert said in str(caught.value)
    assert path.read_bytes() == b"old"
    assert [item.name for item in tmp_path.iterdir()] == ["card.pdf"]


# --- the demo ----------------------------------------------------------------


def test_the_demo_is_written_and_written_again_without_harm(tmp_path):
    folder = tmp_path / "a" / "demo"
    paths = write_demo(folder)
    assert sorted(path.name for path in paths) == ["README.txt", "kit.toml", "months.csv", "timbers.csv", "yard.csv"]
    times = [path.stat().st_mtime_ns for path in paths]
    assert write_demo(folder) == paths
    assert [path.stat().st_mtime_ns for path in paths] == times
    assert {path.name: path.read_text(encoding="utf-8") for path in paths} == dict(demo_files())


def test_the_demo_never_overwrites_what_differs(tmp_path):
    (tmp_path / "yard.csv").write_text("mine")
    (tmp_path / "kit.toml").mkdir()
    with pytest.raises(FileError) as caught:
        write_demo(tmp_path)
    assert caught.value.faults == tuple(
        f"{tmp_path / name} is there already and is not the demo's file: choose another folder, or move the file away."
        for name in ("yard.csv", "kit.toml")
    )
    assert (tmp_path / "yard.csv").read_text() == "mine"
    assert not (tmp_path / "README.txt").exists()


def test_the_demo_needs_a_folder(tmp_path):
    (tmp_path / "demo").write_text("x")
    with pytest.raises(FileError, match="cannot be used as a folder"):
        write_demo(tmp_path / "demo")


def test_the_demo_says_that_it_is_invented():
    files = demo_files()
    assert all("invented" in text.splitlines()[0].lower() for text in files.values())
