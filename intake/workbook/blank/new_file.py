"""A finished file put in its place in one step, never half-written and never over another unasked."""

import errno
import os
import re
import secrets
import sys
from pathlib import Path

_PASSING = re.compile(r"\.intake-(?P<process>\d+)-[0-9a-f]{12}\.tmp")


def write_new_file(path: Path, content: bytes, *, overwrite: bool = False) -> None:
    """Write a file under a passing name in the same folder, then give it its own name.

    What a killed run left under such a passing name is cleared first.

    Raises
    ------
    FileExistsError
        something of that name is there and ``overwrite`` is not set; it is left as it is.
    OSError
        the folder is missing, read-only or full; nothing is left there.
    """
    _clear_leftovers(path.parent)
    passing = path.with_name(f".intake-{os.getpid()}-{secrets.token_hex(6)}.tmp")
    try:
        with passing.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        if overwrite:
            passing.replace(path)
        else:
            _put_in_place(passing, path)
    finally:
        passing.unlink(missing_ok=True)


def refuse_existing(path: Path) -> None:
    """Raise ``FileExistsError`` if anything has that name, a link that leads nowhere among it."""
    if os.path.lexists(path):
        raise _exists(path)


def _exists(path: Path) -> FileExistsError:
    return FileExistsError(errno.EEXIST, "a file of this name is there already", str(path))


def _put_in_place(passing: Path, path: Path) -> None:
    """Give the finished file its name, never over another."""
    try:
        os.link(passing, path)
    except FileExistsError as error:
        raise _exists(path) from error
    except OSError as error:
        if os.path.lexists(path):
            raise _exists(path) from error
        passing.rename(path)


def _clear_leftovers(folder: Path) -> None:
    for entry in folder.iterdir():
        match = _PASSING.fullmatch(entry.name)
        if match and not _is_running(int(match["process"])):
            entry.unlink(missing_ok=True)


def _is_running(process: int) -> bool:
    """Say whether the run that owns a passing file may still be at it."""
    if sys.platform == "win32":  # there, asking after a process would end it
        return True
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except OSError:
        return True
    return True
