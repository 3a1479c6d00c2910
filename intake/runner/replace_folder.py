"""A folder of documents that is replaced as a whole or not at all."""

import ctypes
import errno
import os
import re
import shutil
import sys
import time
from collections.abc import Callable, Collection
from pathlib import Path

_LEFTOVER = re.compile(r"\.(?P<name>.+)\.(?P<process>\d+)\.(?P<kind>partial|previous)")
_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
_LONGEST_RUN_S = 3600


class FolderInTheWay(Exception):
    """The target stands already and may not be replaced. ``str()`` says why and what to do."""


def replace_folder(
    target: Path, fill: Callable[[Path], None], *, overwrite: bool, documents: Collection[str] = ()
) -> None:
    """Fill a folder beside ``target``, then put it in its place in one step.

    A crash at any instant leaves the old folder or the new one. What an earlier crash left beside
    it is cleared first.

    Parameters
    ----------
    target
        The folder.
    fill
        Writes the documents into an empty folder.
    overwrite
        Whether an older set of documents may be replaced.
    documents
        The names that may be replaced; none: all that start with the folder's own name and a hyphen.

    Raises
    ------
    FolderInTheWay
        ``target`` exists without ``overwrite``, or holds files that are not its documents.
    OSError
        It could not be written; nothing half-written is left.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    clear_leftovers(target.parent)
    _refuse_if_in_the_way(target, overwrite, documents)
    staging = target.with_name(f".{target.name}.{os.getpid()}.partial")
    try:
        staging.mkdir()
        fill(staging)
        for file in staging.iterdir():
            _flush(file)
        _refuse_if_in_the_way(target, overwrite, documents)
        _put_in_place(staging, target, overwrite)
    finally:
        shutil.rmtree(staging, ignore_errors=True)


def why_not_written(problem: Exception, folder: Path) -> str:
    """Say in plain words what kept `replace_folder` from writing."""
    if isinstance(problem, OSError):
        why = (problem.strerror or str(problem)).lower()
        return f"{folder} could not be written: {why}. Nothing was left there."
    return str(problem)


def clear_leftovers(parent: Path) -> None:
    """Remove what a killed run left in ``parent``, and put back an old folder it had moved aside."""
    for entry in parent.iterdir():
        match = _LEFTOVER.fullmatch(entry.name)
        if match is None or not entry.is_dir() or _is_running(int(match["process"]), entry):
            continue
        home = parent / match["name"]
        if match["kind"] == "previous" and not home.exists():
            entry.rename(home)
        else:
            shutil.rmtree(entry, ignore_errors=True)


def _refuse_if_in_the_way(target: Path, overwrite: bool, documents: Collection[str]) -> None:
    if not os.path.lexists(target):
        return
    if not target.is_dir() or target.is_symlink():
        raise FolderInTheWay(f"{target} is no folder. Move it away, or choose another --out.")
    if not overwrite:
        raise _exists(target)
    own = f"{target.name}-"
    names = sorted(entry.name for entry in target.iterdir())
    foreign = [one for one in names if (one not in documents if documents else not one.startswith(own))]
    if foreign:
        raise FolderInTheWay(
            f"{target} holds files that are not its documents ({', '.join(foreign[:3])}). "
            "Move them away first."
        )


def _exists(target: Path) -> FolderInTheWay:
    return FolderInTheWay(f"{target} exists already. Add --overwrite to replace its documents.")


def _put_in_place(staging: Path, target: Path, overwrite: bool) -> None:
    """Give the filled folder its name, even where another run has just taken it."""
    if overwrite and target.exists():
        _exchange(staging, target)
        return
    try:
        staging.rename(target)
    except OSError as problem:
        if problem.errno not in (errno.ENOTEMPTY, errno.EEXIST):
            raise
        if not overwrite:
            raise _exists(target) from problem
        _exchange(staging, target)


def _is_running(process: int, folder: Path) -> bool:
    """Say whether the run that owns a working folder is still at it."""
    if process == os.getpid():
        return False
    if sys.platform == "win32":  # there, asking after a process would end it: go by the folder's age
        return time.time() - folder.stat().st_mtime < _LONGEST_RUN_S
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except OSError:
        return True
    return True


def _flush(file: Path) -> None:
    with file.open("rb+") as stream:
        os.fsync(stream.fileno())


def _exchange(new: Path, old: Path) -> None:
    """Swap two folders, atomically where the system can."""
    if _swap_names(new, old):
        return
    aside = old.with_name(f".{old.name}.{os.getpid()}.previous")
    old.rename(aside)
    try:
        new.rename(old)
    except OSError:
        aside.rename(old)
        raise
    shutil.rmtree(aside, ignore_errors=True)


def _swap_names(first: Path, second: Path) -> bool:
    """Exchange two names in one system call; False where there is none."""
    if not sys.platform.startswith("linux"):
        return False
    rename = getattr(ctypes.CDLL(None), "renameat2", None)
    if rename is None:
        return False
    return bool(rename(_AT_FDCWD, os.fsencode(first), _AT_FDCWD, os.fsencode(second), _RENAME_EXCHANGE) == 0)
