"""Which workbooks of a watched folder are complete, and have stood unchanged for a moment."""

import errno
import zipfile
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from intake.runner.read_many import find_workbooks, other_spreadsheets

MARKED = "-marked"
"""Ends the name of a marked copy that stands beside its workbook."""
_PATIENCE = 15
"""How many moments a file that is no whole archive is waited for before it is taken as it is."""


class Stamp(NamedTuple):
    """What changes when a file is written to."""

    size: int
    changed_ns: int
    inode: int


@dataclass(slots=True)
class _Seen:
    stamp: Stamp
    since_s: float


@dataclass(slots=True)
class Inbox:
    """A folder that is checked again and again. A file has to stand unchanged for ``moment_s`` seconds."""

    folder: Path
    moment_s: float
    _seen: dict[Path, _Seen] = field(default_factory=dict)
    _taken: dict[Path, Stamp] = field(default_factory=dict)

    def settled(self, now_s: float) -> list[Path]:
        """Return the workbooks that are complete and were not taken as they stand, by name.

        Other spreadsheets are among them: whoever saves one is to read why it gets no papers.

        Raises
        ------
        OSError
            the folder cannot be looked into just now.
        """
        if not self.folder.is_dir():
            raise FileNotFoundError(errno.ENOENT, "the folder is not there", str(self.folder))
        found = []
        saved = (*find_workbooks(self.folder), *other_spreadsheets(self.folder))
        there = {path: stamp for path in saved if (stamp := _stamp(path))}
        self._seen = {path: seen for path, seen in self._seen.items() if path in there}
        self._taken = {path: stamp for path, stamp in self._taken.items() if path in there}
        for path, stamp in there.items():
            if self._taken.get(path) == stamp:
                continue
            seen = self._seen.get(path)
            if seen is None or seen.stamp != stamp:
                self._seen[path] = _Seen(stamp, now_s)
            elif self._is_complete(path, now_s - seen.since_s):
                found.append(path)
        return found

    def take(self, path: Path) -> None:
        """Leave a workbook alone until it is saved again, as it was when last checked."""
        if path in self._seen:
            self._taken[path] = self._seen[path].stamp

    @property
    def waiting(self) -> frozenset[Path]:
        """The workbooks that were seen and not yet taken."""
        return frozenset(path for path, seen in self._seen.items() if self._taken.get(path) != seen.stamp)

    def _is_complete(self, path: Path, still_s: float) -> bool:
        if still_s < self.moment_s:
            return False
        return still_s >= _PATIENCE * self.moment_s or _is_whole(path)


def origin(path: Path) -> str:
    """Return the name of the workbook that a marked copy was made of, without its ending; else its own."""
    stem, mark, number = path.stem.rpartition(MARKED)
    made = mark and (not number or (number[0] == "-" and number[1:].isdigit()))
    return (stem if made else path.stem).casefold()


def marked_beside(path: Path) -> Path:
    """Return the place of a workbook's marked copy; for a marked copy that of the next one."""
    stem, mark, number = path.stem.rpartition(MARKED)
    if not mark or (number and not number[1:].isdigit()):
        return path.with_name(f"{path.stem}{MARKED}.xlsx")
    return path.with_name(f"{stem}{MARKED}-{int(number[1:] or 1) + 1}.xlsx")


def _stamp(path: Path) -> Stamp | None:
    try:
        status = path.stat()
    except OSError:
        return None
    return Stamp(status.st_size, status.st_mtime_ns, status.st_ino)


def _is_whole(path: Path) -> bool:
    """Return whether the list at the end of an archive is there; a file still being copied has none."""
    try:
        return zipfile.is_zipfile(path)
    except OSError:
        return False
