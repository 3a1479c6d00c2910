"""A lock on an open file that the system lets go when its holder ends, however that happens."""

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from enum import Enum
from pathlib import Path
from typing import IO

_HELD_ELSEWHERE = (errno.EAGAIN, errno.EACCES, errno.EDEADLK)
_FAR_OFF = 1 << 30
"""The byte that is locked where only bytes can be: no content lies there, so content stays readable."""


class Lock(Enum):
    """What asking for a lock came to."""

    TAKEN = "taken"
    HELD_ELSEWHERE = "held elsewhere"
    UNKNOWN = "unknown"
    """There are no locks on this storage."""


def take_lock(file: IO[bytes]) -> Lock:
    """Take the lock of a file that is open for writing, without waiting; closing the file lets it go."""
    try:
        _lock(file, wait=False)
    except OSError as problem:
        return Lock.HELD_ELSEWHERE if problem.errno in _HELD_ELSEWHERE else Lock.UNKNOWN
    return Lock.TAKEN


def wait_for_lock(file: IO[bytes]) -> None:
    """Wait until the lock of a file is free and take it.

    Raises
    ------
    OSError
        There are no locks on this storage.
    """
    _lock(file, wait=True)


@contextmanager
def folder_locked(folder: Path) -> Iterator[None]:
    """Wait for the lock of a folder and hold it; where folders have no locks, go on without."""
    number = None
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
    try:
        if number is not None:
            with suppress(OSError):
                _lock_number(number)
        yield
    finally:
        if number is not None:
            os.close(number)


if sys.platform == "win32":
    import msvcrt

    def _lock(file: IO[bytes], *, wait: bool) -> None:
        place = file.tell()
        file.seek(_FAR_OFF)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_LOCK if wait else msvcrt.LK_NBLCK, 1)
        finally:
            file.seek(place)

    def _lock_number(number: int) -> None:
        raise OSError(errno.ENOTSUP, f"folder {number} has no lock")
else:
    import fcntl

    def _lock(file: IO[bytes], *, wait: bool) -> None:
        fcntl.flock(file.fileno(), fcntl.LOCK_EX | (0 if wait else fcntl.LOCK_NB))

    def _lock_number(number: int) -> None:
        fcntl.flock(number, fcntl.LOCK_EX)
