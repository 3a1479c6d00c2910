"""The folder in which a run works beside its target, and what is done about one whose run was killed.

It belongs to the run that holds the lock of the file ``owner`` in it. That file also says on which machine
the run is and which documents it makes, so that whoever clears up can tell these from a user's own files.
"""

import json
import os
import platform
import re
import shutil
import time
from collections.abc import Collection, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, NamedTuple

from intake.runner.file_lock import Lock, take_lock

_NAME = re.compile(r"\.(?P<target>.+)\.[0-9a-f]+\.partial")
_OWNER = "owner"
_RECORD_BYTES_MOST = 64 * 1024
_ATTEMPTS = 5
"""To make a folder that is not cleared away by somebody else before it is signed."""
_OLD_S = 24 * 3600
"""Older than any run, and than any two machines' clocks are apart."""
_PASSING = (".DS_Store", "Thumbs.db", "desktop.ini")
_OFFICE_LOCKS = ("~$", ".~lock.")


class WorkFolder(NamedTuple):
    """The places inside a working folder."""

    path: Path

    @property
    def owner(self) -> Path:
        """The file whose lock the run holds."""
        return self.path / _OWNER

    @property
    def filling(self) -> Path:
        """Where documents are written; half a set at any time."""
        return self.path / "filling"

    @property
    def whole(self) -> Path:
        """A whole set that changes places with the target; afterwards what stood there."""
        return self.path / "whole"

    @property
    def aside(self) -> Path:
        """What stood at the target, where two folders cannot change places in one step."""
        return self.path / "aside"


class _Owner(NamedTuple):
    """What is written of the run that works in a folder."""

    host: str
    locked: bool
    """Whether it could lock the folder: some storage has no locks."""
    documents: tuple[str, ...]


@contextmanager
def work_folder(target: Path, documents: Collection[str]) -> Iterator[WorkFolder]:
    """Make a working folder beside ``target``; whatever happens, no file of a user is lost with it."""
    for attempt in range(_ATTEMPTS):
        work = WorkFolder(target.with_name(f".{target.name}.{os.urandom(8).hex()}.partial"))
        try:
            work.path.mkdir()
            try:
                owner = work.owner.open("xb+")
            except FileNotFoundError:
                if attempt + 1 < _ATTEMPTS:
                    continue
                raise
            with owner as file:
                if not _own(work, file, documents) and attempt + 1 < _ATTEMPTS:
                    shutil.rmtree(work.filling, ignore_errors=True)
                    continue
                try:
                    yield work
                finally:
                    hand_back(work, target, documents)
            return
        finally:
            _remove(work)


def _own(work: WorkFolder, file: IO[bytes], documents: Collection[str]) -> bool:
    """Lock and sign a new working folder; False where it was just cleared away, being empty."""
    lock = take_lock(file)
    file.write(json.dumps([_host(), lock is Lock.TAKEN, *sorted(documents)]).encode())
    file.flush()
    try:
        work.filling.mkdir()
    except FileNotFoundError:
        return False
    return lock is not Lock.HELD_ELSEWHERE and work.owner.exists()


def clear_leftovers(parent: Path) -> tuple[Path, ...]:
    """Clear away the working folders in ``parent`` whose runs were killed; return what they were to become.

    A folder whose lock is held is left alone. One whose lock is free is cleared if it was locked on this
    machine, since locks may not reach from machine to machine; any other only once it is a day old. One in
    which nothing was begun goes at once.
    """
    try:
        entries = list(parent.iterdir())
    except OSError:
        return ()
    cleared = []
    for entry in entries:
        match = _NAME.fullmatch(entry.name)
        if match and entry.is_dir() and not entry.is_symlink():
            with suppress(OSError):
                _clear(WorkFolder(entry), parent / match["target"])
                cleared.append(parent / match["target"])
    return tuple(cleared)


def _clear(work: WorkFolder, target: Path) -> None:
    try:
        file = work.owner.open("rb+")
    except FileNotFoundError:
        work.path.rmdir()  # one that holds anything stays
        return
    with file:
        lock = take_lock(file)
        owner = _owner(file)
        if lock is Lock.HELD_ELSEWHERE:
            return
        if owner is None:
            _remove(work)
            return
        sure = lock is Lock.TAKEN and owner.locked and owner.host == _host()
        if not sure and not _is_old(work.path):
            return
        if work.aside.is_dir() and not os.path.lexists(target):
            work.aside.rename(target)
        hand_back(work, target, owner.documents)
    _remove(work)


def hand_back(work: WorkFolder, target: Path, documents: Collection[str]) -> tuple[str, ...]:
    """Empty a working folder: documents go, what a user had laid beside them goes back to ``target``.

    Returns
    -------
    tuple of str
        The names of what went back; files that systems and office programs leave are not named.
    """
    shutil.rmtree(work.filling, ignore_errors=True)
    carried: list[str] = []
    for left in (work.whole, work.aside):
        for entry in sorted(left.iterdir()) if left.is_dir() else ():
            if entry.name in documents:
                _drop(entry)
            elif target.is_dir():
                entry.rename(_free_place(target, entry.name))
                carried += [] if is_passing(entry.name) else [entry.name]
        with suppress(OSError):
            left.rmdir()
    return tuple(carried)


def is_passing(name: str) -> bool:
    """Say whether a file is one that systems and office programs leave: nobody's document."""
    return name in _PASSING or name.startswith(_OFFICE_LOCKS)


def _drop(entry: Path) -> None:
    if entry.is_dir() and not entry.is_symlink():
        shutil.rmtree(entry)
    else:
        entry.unlink()


def _free_place(folder: Path, name: str) -> Path:
    """Return where a file can go without replacing another."""
    place, number = folder / name, 1
    while os.path.lexists(place):
        number += 1
        place = folder / f"{name} ({number})"
    return place


def _remove(work: WorkFolder) -> None:
    """Remove what is left of an emptied working folder; one that still holds something stays."""
    with suppress(OSError):
        if not any(one.name != _OWNER for one in work.path.iterdir()):
            work.owner.unlink(missing_ok=True)
            work.path.rmdir()


def _owner(file: IO[bytes]) -> _Owner | None:
    try:
        host, locked, *documents = json.loads(file.read(_RECORD_BYTES_MOST))
    except (ValueError, TypeError, RecursionError):
        return None
    return _Owner(str(host), locked is True, tuple(str(one) for one in documents))


def _host() -> str:
    """Name this machine and its start: where both are the same, a lock reaches."""
    try:
        start = Path("/proc/sys/kernel/random/boot_id").read_text(encoding="ascii").strip()
    except OSError:
        start = ""
    return f"{platform.node()} {start}".strip()


def _is_old(folder: Path) -> bool:
    return time.time() - folder.stat().st_mtime > _OLD_S
