"""Where the workbook of a graded batch lies now, even if it was renamed or its record is damaged."""

from collections.abc import Iterable
from functools import cache, cached_property
from pathlib import Path

from intake.runner.first_look import first_look
from intake.runner.read_many import find_workbooks
from intake.runner.settings import Settings
from intake.runner.sums import digest_of


class Shelves:
    """The folders in which workbooks are kept: each is listed once, and each workbook is read once."""

    def __init__(self, settings: Settings) -> None:
        self.workbooks = cache(lambda folder: find_workbooks(folder))
        self.digest = cache(lambda book: digest_of(book))
        self.batch = cache(lambda book: first_look(book, settings).batch)

    def below(self, path: Path) -> "KeptWorkbooks":
        """Return a workbook, or those in a folder at any depth."""
        return KeptWorkbooks(find_workbooks(path, recursive=True), self)

    def beside(self, folder: Path) -> "KeptWorkbooks":
        """Return the workbooks beside the documents in a folder, and one and two folders above."""
        places = (folder, folder.parent, folder.parent.parent)
        return KeptWorkbooks((book for place in places for book in self.workbooks(place)), self)


class KeptWorkbooks:
    """The workbooks among which one is looked for."""

    def __init__(self, paths: Iterable[Path], shelves: Shelves) -> None:
        self._paths = list(dict.fromkeys(paths))
        self._shelves = shelves

    def find(self, *, name: str, digest: str, batch: str) -> Path | None:
        """Return the workbook of this digest, else one of this name, else one that gives this batch name."""
        named = self._by_name.get(name, [])
        # the rest is read only where this fails
        same = [path for path in named if self._shelves.digest(path) == digest]
        found = same or ([self._by_digest[digest]] if digest and digest in self._by_digest else named)
        return next(iter(found), None) or self._by_batch.get(batch)

    def with_digest(self, digest: str) -> Path | None:
        """Return the workbook of this digest."""
        return self._by_digest.get(digest)

    @cached_property
    def _by_name(self) -> dict[str, list[Path]]:
        by_name: dict[str, list[Path]] = {}
        for path in self._paths:
            by_name.setdefault(path.name, []).append(path)
        return by_name

    @cached_property
    def _by_digest(self) -> dict[str, Path]:
        return {self._shelves.digest(path): path for path in reversed(self._paths)}

    @cached_property
    def _by_batch(self) -> dict[str, Path]:
        return {self._shelves.batch(path): path for path in reversed(self._paths)}
