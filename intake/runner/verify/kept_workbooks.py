"""Where the workbook of a graded batch lies now, even if it was renamed or its record is damaged."""

from collections.abc import Iterable
from functools import cached_property
from pathlib import Path

from intake.runner.first_look import first_look
from intake.runner.read_many import find_workbooks
from intake.runner.settings import Settings
from intake.runner.sums import digest_of


class KeptWorkbooks:
    """The workbooks that are kept in some folders."""

    def __init__(self, paths: Iterable[Path], settings: Settings) -> None:
        self._paths = list(dict.fromkeys(paths))
        self._settings = settings

    @classmethod
    def below(cls, path: Path, settings: Settings) -> "KeptWorkbooks":
        """Return a workbook, or those in a folder at any depth."""
        return cls(find_workbooks(path, recursive=True), settings)

    @classmethod
    def beside(cls, folder: Path, settings: Settings) -> "KeptWorkbooks":
        """Return the workbooks beside the documents in a folder, and one and two folders above."""
        return cls(
            (
                book
                for place in (folder, folder.parent, folder.parent.parent)
                for book in find_workbooks(place)
            ),
            settings,
        )

    def find(self, *, name: str, digest: str, batch: str) -> Path | None:
        """Return the workbook of this digest, else one of this name, else one that gives this batch name."""
        named = self._by_name.get(name, [])
        same = [path for path in named if digest_of(path) == digest]  # the rest is read only where this fails
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
        return {digest_of(path): path for path in reversed(self._paths)}

    @cached_property
    def _by_batch(self) -> dict[str, Path]:
        return {first_look(path, self._settings).batch: path for path in reversed(self._paths)}
