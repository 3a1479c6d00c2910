"""Where the workbook of a graded batch lies now, even if it was renamed or its record is damaged."""

from collections.abc import Iterable
from functools import cached_property
from hashlib import sha256
from pathlib import Path

from intake.runner.first_look import first_look
from intake.runner.read_many import find_workbooks
from intake.runner.settings import Settings


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
        same = self._by_digest.get(digest, [])
        named = [path for path in same if path.name == name] or same
        named = named or [path for path in self._paths if path.name == name]
        return next(iter(named), None) or self._by_batch.get(batch)

    @cached_property
    def _by_digest(self) -> dict[str, list[Path]]:
        found: dict[str, list[Path]] = {}
        for path in self._paths:
            try:
                found.setdefault(sha256(path.read_bytes()).hexdigest(), []).append(path)
            except OSError:
                continue  # one that can not be read is none of those looked for
        return found

    @cached_property
    def _by_batch(self) -> dict[str, Path]:
        return {first_look(path, self._settings).batch: path for path in reversed(self._paths)}
