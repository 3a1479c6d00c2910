"""What runs on a worker of a cluster: first whether it can do the work at all, then one item at a time."""

import os
import pickle
import platform
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from threading import Lock as Mutex
from typing import Any, NamedTuple

from intake import __version__
from intake.policy.rule_data import load_rules
from intake.runner.file_lock import Lock, take_lock
from intake.runner.sums import digest_of

_LIBRARIES = ("openpyxl", "reportlab", "XlsxWriter", "python-dateutil")
"""Those that what is read and the bytes that are written depend on."""
PATIENCE_S = 60.0
"""How long network storage may take to show every machine what one of them has written."""
_PAUSE_S = 0.5


class Ticket(NamedTuple):
    """What a worker has to agree with before it takes work of a run."""

    run: str
    """Names the run."""
    versions: tuple[tuple[str, str], ...]
    folder: str
    """The current folder of the command, from which relative paths lead."""
    seen: tuple[tuple[str, str], ...]
    """Paths as the command gives them, and the SHA-256 of what lies there."""
    locked: str | None
    """A file whose lock the command holds."""


class Unfit(NamedTuple):
    """Why a worker cannot be used."""

    sentence: str
    passing: bool
    """Whether it may be otherwise in a moment."""


class WorkerUnfit(Exception):
    """A worker cannot be used. ``str()`` says which and why."""


def ticket_for(seen: Sequence[Path], *, locked: Path | None) -> bytes:
    """Return the ticket of a new run, as workers are given it."""
    digests = tuple((str(path), digest_of(path)) for path in seen)
    held = str(locked.absolute()) if locked else None
    ticket = Ticket(os.urandom(8).hex(), own_versions(), os.getcwd(), digests, held)
    return pickle.dumps(ticket)


@cache
def own_versions() -> tuple[tuple[str, str], ...]:
    """Return the versions that decide what is written here."""
    return (("intake", __version__), *((name, _version(name)) for name in _LIBRARIES))


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "none"


def why_unfit(packed: bytes) -> Unfit | None:
    """Say why this worker cannot take work of a run; None where it can."""
    ticket: Ticket = pickle.loads(packed)
    here = f"The worker on {platform.node()}"
    for (name, wanted), (_, found) in zip(ticket.versions, own_versions(), strict=True):
        if wanted != found:
            text = f"{here} has {name} {found}, this command {wanted}. Install the same on every machine."
            return Unfit(text, passing=False)
    with _in_folder(ticket.folder):
        for path, digest in ticket.seen:
            if digest_of(Path(path)) != digest:
                return Unfit(_unseen(here, path), passing=True)
        return _why_unlocked(here, Path(ticket.locked)) if ticket.locked else None


def _unseen(here: str, path: str) -> str:
    return (
        f"{here} does not see {path} as this command does. Workbooks and documents have to lie on storage"
        " that every machine has at the same path."
    )


def _why_unlocked(here: str, path: Path) -> Unfit | None:
    """Try a lock that the command holds: two runs would lose each other's lines where it does not reach."""
    try:
        with path.open("rb+") as file:
            lock = take_lock(file)
    except FileNotFoundError:
        return Unfit(_unseen(here, str(path.parent.parent)), passing=True)
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        return Unfit(f"{here} may not write in {path.parent.parent}: {why}.", passing=False)
    if lock is Lock.HELD_ELSEWHERE:
        return None
    text = f"File locks in {path.parent.parent} do not reach {here[0].lower()}{here[1:]}."
    return Unfit(f"{text} Mount the storage with locks that every machine sees (NFS 4, say).", passing=False)


class _Desk:
    """The one place of work in this process: the libraries that draw are not made for several threads."""

    def __init__(self) -> None:
        self.mutex = Mutex()
        self.fit_for = ""


_desk = _Desk()


def do(packed_ticket: bytes, packed_work: bytes) -> tuple[bool, Any]:
    """Do a piece of work; return whether it ended well, and what it gave or raised.

    Raises
    ------
    WorkerUnfit
        This worker cannot do work of that run.
    """
    ticket: Ticket = pickle.loads(packed_ticket)
    with _desk.mutex:
        if _desk.fit_for != ticket.run:
            _become_fit(packed_ticket)
            _desk.fit_for = ticket.run
        with _in_folder(ticket.folder):
            work = pickle.loads(packed_work)
            try:
                return True, work()
            except Exception as fault:
                return False, fault


def _become_fit(packed: bytes) -> None:
    load_rules.cache_clear()  # this process may be months old, and a site's rule data newer
    until = time.monotonic() + PATIENCE_S
    while unfit := why_unfit(packed):
        if not unfit.passing or time.monotonic() > until:
            raise WorkerUnfit(unfit.sentence)
        time.sleep(_PAUSE_S)


@contextmanager
def _in_folder(folder: str) -> Iterator[None]:
    """Work where the command was started, so that paths and messages are the same as there."""
    before = os.getcwd()
    with suppress(OSError):  # a folder of that machine alone: then only whole paths lead anywhere
        os.chdir(folder)
    try:
        yield
    finally:
        with suppress(OSError):
            os.chdir(before)
