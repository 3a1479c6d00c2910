"""A file is read whole or in pieces, up to a size, and nothing that is no file."""

import os
from pathlib import Path

import pytest

from intake.policy import regular_file as module
from intake.policy.regular_file import Unreadable, read_regular_file, regular_file_pieces


def in_pieces(path: Path, *, most_bytes: int) -> bytes:
    return b"".join(regular_file_pieces(path, most_bytes=most_bytes))


@pytest.mark.parametrize("read", [read_regular_file, in_pieces])
def test_a_file_of_the_size_that_is_read_is_read_and_one_byte_more_is_not(tmp_path, monkeypatch, read):
    monkeypatch.setattr(module, "_PIECE_BYTES", 3)
    path = tmp_path / "file"
    path.write_bytes(b"0123456789")
    assert read(path, most_bytes=10) == b"0123456789"
    with pytest.raises(Unreadable, match="it is larger than"):
        read(path, most_bytes=9)


@pytest.mark.parametrize("read", [read_regular_file, in_pieces])
@pytest.mark.parametrize("make", [os.mkfifo, Path.mkdir, lambda path: path.symlink_to("/dev/zero")])
def test_what_is_no_file_is_not_read(tmp_path, read, make):
    make(tmp_path / "it")
    with pytest.raises(Unreadable, match="a folder, a pipe or a device"):
        read(tmp_path / "it", most_bytes=10)


@pytest.mark.parametrize("read", [read_regular_file, in_pieces])
def test_a_name_that_the_system_does_not_accept(read):
    with pytest.raises(Unreadable, match="does not accept its name"):
        read(Path("a\0b"), most_bytes=10)


def test_a_file_that_grows_while_it_is_read_is_read_no_further(tmp_path, monkeypatch):
    monkeypatch.setattr(module, "_PIECE_BYTES", 5)
    path = tmp_path / "file"
    path.write_bytes(b"01234")
    pieces = regular_file_pieces(path, most_bytes=9)
    assert next(pieces) == b"01234"
    with path.open("ab") as file:
        file.write(b"56789")
    with pytest.raises(Unreadable, match="it is larger than"):
        next(pieces)
