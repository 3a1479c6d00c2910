"""The folders of graded batches, those that were renamed or cannot be opened among them."""

from pathlib import Path
from typing import NamedTuple

from intake.runner.write_documents import ENDINGS


class BatchFolder(NamedTuple):
    """A folder that holds documents of a batch, or may."""

    path: Path
    holds: tuple[str, ...]
    """The batches of which it holds documents."""
    problem: str = ""
    """Why it cannot be looked into."""

    @property
    def batch(self) -> str:
        """The batch whose folder it is by its name."""
        return self.path.resolve().name

    @property
    def moved(self) -> bool:
        """Whether its documents are all of other batches than its name says."""
        return self.batch not in self.holds


def find_batches(root: Path) -> list[BatchFolder]:
    """Return ``root`` itself if it holds documents of its own name, else the folders in it, by name."""
    own = look_into(root)
    if own.problem or (own.holds and not own.moved):
        return [own]
    folders = sorted(one for one in root.iterdir() if not one.name.startswith(".") and _is_folder(one))
    found = [one for one in map(look_into, folders) if one.holds or one.problem]
    return found or ([own] if own.holds else [])


def _is_folder(path: Path) -> bool:
    try:
        return path.is_dir()
    except OSError:
        return True


def look_into(folder: Path) -> BatchFolder:
    """Return what a folder holds."""
    try:
        names = [entry.name for entry in folder.iterdir()]
    except OSError as problem:
        why = (problem.strerror or str(problem)).lower()
        return BatchFolder(folder, (), f"the folder cannot be opened: {why}")
    batches = {name.removesuffix(end) for name in names for end in ENDINGS if name.endswith(end)}
    return BatchFolder(folder, tuple(sorted(batches - {""})))
