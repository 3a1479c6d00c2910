"""The bytes of a regular file of a size that is read: no pipe, no device, nothing without end."""

import os
import stat
from pathlib import Path

_MIB = 1024 * 1024


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
    try:
        number = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except ValueError as problem:
        raise Unreadable("the system does not accept its name") from problem
    about = os.fstat(number)
    if not stat.S_ISREG(about.st_mode):
        os.close(number)
        raise Unreadable("it is a folder, a pipe or a device, not a file")
    with os.fdopen(number, "rb") as file:
        content = b"" if about.st_size > most_bytes else file.read(most_bytes + 1)
        if about.st_size > most_bytes or len(content) > most_bytes:
            raise Unreadable(f"it is larger than {most_bytes / _MIB:,.0f} MiB")
        return content
