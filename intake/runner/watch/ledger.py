"""What a watched folder's workbooks came to: remembered over a crash, and a log that people read."""

import json
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

from intake.model.printable import printable

LOG_NAME = "intake-watch.log"
_RECORD_NAME = ".intake-watch.jsonl"
_LONGEST_LINE = 4096


class Done(NamedTuple):
    """One workbook that need not be graded again."""

    sha256: str
    batch: str
    """Empty where nothing was graded."""
    origin: str
    ours: bool = False
    """Whether the tool wrote it: a marked copy that nobody has saved since."""
    name: str = ""
    """Of the file; empty in a record from before names were kept."""


class Ledger:
    """One line for each workbook, in a record for the program and in a log for people.

    Both are appended to only. A line that a crash cut short is left out when the record is read.
    """

    def __init__(self, folder: Path) -> None:
        self._record, self._log = folder / _RECORD_NAME, folder / LOG_NAME
        self._done: dict[str, Done] = {}
        self._batches: dict[str, str] = {}
        self._last: dict[str, str] = {}
        """The bytes that each file had last."""
        for one in _read(self._record):
            self._remember(one)

    def knows(self, sha256: str) -> bool:
        """Return whether a workbook of these bytes has had its turn."""
        return sha256 in self._done

    def came_back(self, sha256: str, name: str) -> bool:
        """Return whether a file has bytes again that had their turn, after others; true once."""
        back = self.knows(sha256) and self._last.get(name, sha256) != sha256
        if back:
            self.add(self._done[sha256]._replace(name=name))
        return back

    def wrote(self, sha256: str) -> bool:
        """Return whether a file of these bytes is a marked copy as the tool wrote it."""
        return sha256 in self._done and self._done[sha256].ours

    def origin_of(self, batch: str) -> str | None:
        """Return which workbook a batch was graded from; None: none yet."""
        return self._batches.get(batch.casefold())

    def add(self, done: Done) -> None:
        """Remember a workbook; on a full disk at least until the program ends."""
        self._remember(done)
        with suppress(OSError):
            _append(self._record, json.dumps(done._asdict(), ensure_ascii=False))

    def log(self, text: str, *, at: datetime) -> str:
        """Write one line of the log, and return it."""
        line = f"{at:%Y-%m-%d %H:%M:%S}  {printable(' '.join(text.split()))}"[:_LONGEST_LINE]
        with suppress(OSError):
            _append(self._log, line)
        return line

    def _remember(self, done: Done) -> None:
        self._done[done.sha256] = done
        self._last[done.name] = done.sha256
        if done.batch:
            self._batches[done.batch.casefold()] = done.origin


def _append(path: Path, line: str) -> None:
    with path.open("a", encoding="utf-8", errors="replace") as file:
        file.write(f"{line}\n")


def _read(path: Path) -> list[Done]:
    found = []
    try:
        lines = path.read_text(encoding="utf-8", errors="replace").splitlines()
    except OSError:
        return []
    for line in lines:
        with suppress(ValueError, TypeError, KeyError, RecursionError):
            entry: Mapping[str, object] = json.loads(line)
            sha256, batch, origin = (str(entry[key]) for key in ("sha256", "batch", "origin"))
            found.append(Done(sha256, batch, origin, entry["ours"] is True, str(entry.get("name", ""))))
    return found
