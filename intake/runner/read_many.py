"""Workbooks found, read and checked, one after another or on several processes."""

from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from typing import TypeVar

from intake.model.finding import Finding, Severity
from intake.runner.run_batch import ReadBatch, read_batch
from intake.runner.settings import Settings

Work = TypeVar("Work")


def find_workbooks(path: Path) -> list[Path]:
    """Return the workbooks that a path stands for: itself, or those in the folder by name.

    Lock and temporary files of spreadsheet programs are left out.
    """
    if not path.is_dir():
        return [path]
    return sorted(
        entry
        for entry in path.iterdir()
        if entry.suffix.lower() in (".xlsx", ".xlsm") and not entry.name.startswith(("~$", ".~", "."))
    )


def read_many(paths: Sequence[Path], settings: Settings, *, jobs: int) -> Iterator[ReadBatch]:
    """Read and check each workbook, in the order given."""
    yield from each_in_order(partial(read_safely, settings=settings), paths, jobs)


def each_in_order(work: Callable[[Path], Work], paths: Sequence[Path], jobs: int) -> Iterator[Work]:
    """Do the work for each path, yielding in the order given, on so many processes."""
    if jobs == 1 or len(paths) == 1:
        yield from map(work, paths)
        return
    with ProcessPoolExecutor(max_workers=min(jobs, len(paths))) as pool:
        yield from pool.map(work, paths)


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
