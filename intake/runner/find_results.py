"""The results files below a folder, in a stable order."""

import os
from collections.abc import Iterator
from pathlib import Path

from intake.model.finding import LeftOut

SUFFIX = "-results.json"
EARLIER = "earlier"
"""Folder beside the documents of a batch that holds the revisions before, each under its number."""


def find_results(
    root: Path, *, recursive: bool, suffix: str = SUFFIX
) -> tuple[list[tuple[str, Path]], list[LeftOut]]:
    """Return each results file with its name below ``root``, and the folders that cannot be opened.

    The search covers ``root`` itself and the folders in it; with ``recursive`` everything below. What starts
    with a point is passed over, and so are the earlier revisions of a batch. A folder that can be reached
    in two ways is entered once.
    """
    found: list[tuple[str, Path]] = []
    closed: list[LeftOut] = []
    entered: set[tuple[int, int]] = set()
    waiting = [("", root, 0)]
    while waiting:
        name, folder, depth = waiting.pop()
        try:
            about = folder.stat()
            if (about.st_dev, about.st_ino) in entered:
                continue
            entered.add((about.st_dev, about.st_ino))
            entries = sorted(_entries(folder), key=lambda one: one.name)
        except OSError as problem:
            why = (problem.strerror or str(problem)).lower()
            closed.append(LeftOut(f"{name}/", f"The folder cannot be opened: {why}."))
            continue
        is_set = any(entry.name.endswith(SUFFIX) for entry in entries)
        for entry in entries:
            if is_set and entry.name == EARLIER:
                continue
            inside = f"{name}/{entry.name}".lstrip("/")
            if entry.name.endswith(suffix):
                found.append((inside, entry))
            elif entry.is_dir() and (recursive or depth == 0):
                waiting.append((inside, entry, depth + 1))
    return sorted(found), sorted(closed, key=lambda one: one.file)


def _entries(folder: Path) -> Iterator[Path]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if not entry.name.startswith("."):
                yield folder / entry.name
