"""Workbooks found, read and checked, one after another or on several processes."""

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

from intake.model.finding import Finding, Severity
from intake.model.raw_workbook import WORKBOOK_ENDINGS
from intake.runner.run_batch import ReadBatch, read_batch
from intake.runner.settings import Settings
from intake.runner.workers.in_order import Workers
from intake.runner.workers.workplace import Workplace

_LOCK_OR_TEMPORARY = ("~$", ".~", ".", "~")
_OTHER_ENDINGS = (".xls", ".xlsb", ".ods", ".csv", ".numbers")
"""Of files in which people keep a workbook too, and which are not read."""


def find_workbooks(path: Path, *, recursive: bool = False, leave_out: Path | None = None) -> list[Path]:
    """Return the workbooks that a path stands for: itself, or those in the folder by name.

    Lock and temporary files of spreadsheet programs are left out; below ``path`` so are hidden folders
    and the workbooks that an earlier run has written. A folder that cannot be opened stands for itself, so
    that reading it says so. A folder that can be reached in two ways is entered once.

    Parameters
    ----------
    recursive
        look into the folders below as well, each folder's own workbooks first.
    leave_out
        a folder that is not looked into: the one that the documents go to.
    """
    if not is_folder(path):
        return [path]
    shut = leave_out.resolve() if leave_out else None
    found: list[Path] = []
    entered: set[tuple[int, int]] = set()
    waiting = [path]
    while waiting:
        folder = waiting.pop()
        try:
            about = folder.stat()
            if (about.st_dev, about.st_ino) in entered:
                continue
            entered.add((about.st_dev, about.st_ino))
            names = sorted(entry.name for entry in folder.iterdir())
        except OSError:
            found.append(folder)
            continue
        books = _ending_with(WORKBOOK_ENDINGS, folder, names)
        found += [book for book in books if not (recursive and _was_written(book))]
        if recursive:
            inner = [folder / name for name in names if not name.startswith(".")]
            waiting += [one for one in reversed(inner) if is_folder(one) and one.resolve() != shut]
    return found


def other_spreadsheets(path: Path) -> list[Path]:
    """Return what a folder holds that people take for workbooks, by name; nothing of a path that is none."""
    try:
        names = sorted(entry.name for entry in path.iterdir())
    except (OSError, ValueError):
        return []
    return _ending_with(_OTHER_ENDINGS, path, names)


def is_folder(path: Path) -> bool:
    """Say whether a path leads to a folder, as far as the system tells."""
    try:
        return path.is_dir()
    except (OSError, ValueError):  # no right to look at it, or no name that the system accepts
        return False


def _ending_with(endings: tuple[str, ...], folder: Path, names: Iterable[str]) -> list[Path]:
    return [
        folder / name
        for name in sorted(names)
        if name.lower().endswith(endings) and not name.startswith(_LOCK_OR_TEMPORARY)
    ]


def _was_written(book: Path) -> bool:
    """Say whether a workbook stands where this tool puts its results, plans and registers."""
    folder = book.parent.name
    return (
        book.name == f"{folder}-results.xlsx"
        or (folder.endswith("-plan") and book.name == f"{folder}.xlsx")
        or (folder.startswith("register-") and book.name == "register.xlsx")
    )


def read_many(paths: Sequence[Path], settings: Settings, *, at: Workplace | None) -> Iterator[ReadBatch]:
    """Read and check each workbook, in the order given."""
    with Workers(at) as workers:
        yield from workers.each(partial(read_safely, settings=settings), paths, lost=_lost)


def read_safely(path: Path, settings: Settings) -> ReadBatch:
    """Read and check one workbook; a fault of our own becomes a finding, so that the others go on."""
    try:
        return read_batch(path, settings)
    except Exception as fault:  # the one place around each workbook: a defect here must not stop the rest
        return ReadBatch(path.name, "", None, (own_fault(fault),))


def own_fault(fault: Exception) -> Finding:
    """Return the finding that tells a defect of ours."""
    return Finding(
        Severity.ERROR,
        f"intake itself failed on this workbook ({type(fault).__name__}: {fault}).",
        "This is a defect of intake, not of your workbook. Please report it with the workbook.",
        rejects=True,
    )


def process_lost() -> Finding:
    """Return the finding that tells that the system ended the process at work on a workbook."""
    return Finding(
        Severity.ERROR,
        "The system ended the process that worked on this workbook, most likely for want of memory.",
        "Close other programs and run again. If it happens again, split the batch.",
        rejects=True,
    )


def _lost(path: Path) -> ReadBatch:
    return ReadBatch(path.name, "", None, (process_lost(),))
