"""The bytes of a regular file of a size that is read: no pipe, no device, nothing without end."""

import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

_MIB = 1024 * 1024
_PIECE_BYTES = 256 * 1024


class Unreadable(Exception):
    """The path leads to something that is not read. ``str()`` says why, as the second half of a sentence."""


def read_regular_file(path: Path, *, most_bytes: int) -> bytes:
    """Return the bytes of a file.

    Raises
    ------
    Unreadable
        It is a folder, a pipe or a device, or holds more than ``most_bytes``.
    OSError
        The system refuses to read it.
    """
    with _opened(path, most_bytes) as file:
        content = file.read(most_bytes + 1)
    if len(content) > most_bytes:
        raise _too_large(most_bytes)
    return content


def regular_file_pieces(path: Path, *, most_bytes: int) -> Iterator[bytes]:
    """Yield the bytes of a file piece by piece, so that it never lies in memory whole.

    Raises
    ------
    Unreadable, OSError
        as `read_regular_file`, on the way to the piece that is asked for.
    """
    with _opened(path, most_bytes) as file:
        left = most_bytes
        while piece := file.read(_PIECE_BYTES):
            left -= len(piece)
            if left < 0:
                raise _too_large(most_bytes)
            yield piece


def _opened(path: Path, most_bytes: int) -> BinaryIO:
    try:
        number = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except ValueError as problem:
        raise Unreadable("the system does not accept its name") from problem
    about = os.fstat(number)
    if stat.S_ISREG(about.st_mode) and about.st_size <= most_bytes:
        return os.fdopen(number, "rb")
    os.close(number)
    if stat.S_ISREG(about.st_mode):
        raise _too_large(most_bytes)
    raise Unreadable("it is a folder, a pipe or a device, not a file")


def _too_large(most_bytes: int) -> Unreadable:
    return Unreadable(f"it is larger than {most_bytes / _MIB:,.0f} MiB")
