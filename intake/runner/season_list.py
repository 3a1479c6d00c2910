"""The season's list at the top of the folder of documents: each set that was written, in order.

A line holds a batch, its revision, and the SHA-256 of the set's ``SHA256SUMS``. A set that is written anew
with other bytes but the same batteries and grades (on other paper, say) keeps its revision, and has a line.
Lines are only ever added, so a copy of the list that is kept elsewhere tells whether one was changed.
"""

import os
import re
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from intake.policy.regular_file import Unreadable, read_regular_file
from intake.runner.file_lock import wait_for_lock
from intake.runner.sums import SUMS, digest_of

SEASON_LIST = "SEASON-SHA256SUMS"
_LINE = re.compile(r"([^\t\n]+)\t([1-9][0-9]*)\t([0-9a-f]{64})")
_BYTES_MOST = 64 * 1024 * 1024


class SeasonLine(NamedTuple):
    """One set that was written."""

    batch: str
    revision: int
    digest: str


class SeasonList(NamedTuple):
    """What the list holds."""

    by_batch: dict[str, list[SeasonLine]]
    faults: tuple[str, ...]
    """Lines that cannot be read, and numbers that do not follow one another: lines were changed."""


def add_to_season(out: Path, batch: str, revision: int, digest: str) -> None:
    """Add the set of this digest if it stands in the batch's folder and is not the batch's last one already.

    Raises
    ------
    OSError
        The list cannot be written.
    """
    number = os.open(
        out / SEASON_LIST, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o666
    )
    with os.fdopen(number, "rb+") as file:
        with suppress(OSError):  # storage without locks: a line is added in one step all the same
            wait_for_lock(file)
        held = file.read()
        earlier = _parsed(held.decode(errors="replace")).by_batch.get(batch, [])
        if earlier and earlier[-1].digest == digest:
            return
        if digest_of(out / batch / SUMS) != digest:
            return  # another run was quicker; it adds its own
        begin = "" if not held or held.endswith(b"\n") else "\n"
        file.write(f"{begin}{batch}\t{revision}\t{digest}\n".encode())
        file.flush()
        os.fsync(file.fileno())


def read_season(out: Path) -> SeasonList:
    """Return what the list holds.

    Raises
    ------
    FileNotFoundError
        There is none.
    ValueError
        It is no file that is read. ``str()`` says why.
    OSError
        It cannot be read.
    """
    try:
        content = read_regular_file(out / SEASON_LIST, most_bytes=_BYTES_MOST)
    except Unreadable as problem:
        raise ValueError(str(problem)) from problem
    return _parsed(content.decode(errors="replace"))


def _parsed(text: str) -> SeasonList:
    by_batch: dict[str, list[SeasonLine]] = {}
    faults = []
    for number, line in enumerate(text.removesuffix("\n").split("\n") if text else (), start=1):
        match = _LINE.fullmatch(line)
        if match is None:
            faults.append(f"line {number} is not batch, revision and digest")
            continue
        found = SeasonLine(match[1], int(match[2]), match[3])
        lines = by_batch.setdefault(found.batch, [])
        before = lines[-1].revision if lines else 0
        lines.append(found)
        if found.revision - before not in (0, 1):
            faults.append(
                f"line {number}: revision {found.revision} of {found.batch} follows {before or 'none'}"
            )
    return SeasonList(by_batch, tuple(faults))
