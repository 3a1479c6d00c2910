"""A folder of documents that is replaced as a whole or not at all."""

import ctypes
import errno
import os
import sys
from collections.abc import Callable, Collection
from contextlib import suppress
from pathlib import Path

from intake.runner.file_lock import folder_locked
from intake.runner.work_folder import WorkFolder, clear_leftovers, hand_back, work_folder

_AT_FDCWD = -100
_RENAME_EXCHANGE = 2
ON_WINDOWS = os.name == "nt"
_DEVICES = {
    "con",
    "prn",
    "aux",
    "nul",
    *(f"{port}{number}" for port in ("com", "lpt") for number in "123456789"),
}
"""Names that stand for a device in any folder, whatever follows behind a point (Microsoft's "Naming files,
paths, and namespaces", from memory)."""


class FolderInTheWay(Exception):
    """The target stands already and may not be replaced. ``str()`` says why and what to do."""


class WrittenMeanwhile(FolderInTheWay):
    """Another run has replaced the documents that the new ones were made to replace."""

    def __init__(self, target: Path) -> None:
        super().__init__(f"{target} was written by another run meanwhile; its documents stay. Try again.")


def replace_folder(
    target: Path,
    fill: Callable[[Path], object],
    *,
    overwrite: bool,
    documents: Collection[str],
    never_beside: Collection[str] = (),
    source: Path | None = None,
    expected: Callable[[Path], bool] = lambda _: True,
    settle: Callable[[], None] = lambda: None,
) -> tuple[str, ...]:
    """Fill a folder beside ``target``, then put it in its place in one step.

    A crash at any instant leaves the old documents or the new ones. What an earlier crash left beside them
    is cleared first. Whatever else lies in ``target`` is carried over into the new folder.

    Parameters
    ----------
    target
        The folder.
    fill
        Writes documents, and nothing but those named in ``documents``, into an empty folder. It may write a
        folder of that name; an older one is then replaced with all that is in it.
    overwrite
        Whether older documents may be replaced.
    documents
        The names that may be replaced. No other file is ever removed.
    never_beside
        Names by which a set of another kind is known: where one stands, the folder belongs to that.
    source
        What the documents are made from: refused if it is itself one of those to be replaced.
    expected
        Whether a folder is the one that the new documents were made to replace: asked of the folder there
        before it is replaced, and, for storage without locks, of what was replaced.
    settle
        What is to be done once the folder has its name, before another run may replace it.

    Returns
    -------
    tuple of str
        The names of what was carried over.

    Raises
    ------
    FolderInTheWay
        Documents are there without ``overwrite``, or what is there cannot be replaced; on Windows, no folder
        can have that name.
    OSError
        It could not be written; nothing half-written is left.
    """
    if ON_WINDOWS:
        _refuse_what_windows_cannot_hold(target.name)
    target.parent.mkdir(parents=True, exist_ok=True)
    clear_leftovers(target.parent)
    for name in never_beside:
        if os.path.lexists(target / name):
            raise FolderInTheWay(f"{target} holds documents of another kind ({name}). Choose another --out.")
    _refuse_if_in_the_way(target, overwrite, documents, source)
    with work_folder(target, documents) as work:
        fill(work.filling)
        for folder, _, files in os.walk(work.filling):
            for file in files:
                _flush(Path(folder, file))
        work.filling.rename(work.whole)
        with folder_locked(target.parent):
            _refuse_if_in_the_way(target, overwrite, documents, source)
            if target.is_dir() and not expected(target):
                raise WrittenMeanwhile(target)
            _put_in_place(work, target, overwrite, documents, expected)
            _flush_folder(target.parent)
            settle()
        return hand_back(work, target, documents)


def _refuse_what_windows_cannot_hold(name: str) -> None:
    """Refuse a name that would lead to a device, or to the folder of another name."""
    if name.partition(".")[0].casefold() in _DEVICES:
        why = "is the name of a device on Windows, so no folder can be called that"
    elif name.endswith((".", " ")):
        why = "ends in a point or a blank, which Windows leaves out of a folder's name"
    else:
        return
    raise FolderInTheWay(f'"{name}" {why}. Change the name in the workbook.')


def not_written(problem: OSError, path: Path) -> str:
    """Say in plain words what kept a file or folder from being written."""
    return f"{path} could not be written: {(problem.strerror or str(problem)).lower()}."


def why_not_written(problem: Exception, folder: Path) -> str:
    """Say in plain words what kept `replace_folder` from writing."""
    if isinstance(problem, OSError):
        left = "What stood there is unchanged." if os.path.isdir(folder) else "Nothing was left there."
        return f"{not_written(problem, folder)} {left}"
    return str(problem)


def _refuse_if_in_the_way(
    target: Path, overwrite: bool, documents: Collection[str], source: Path | None
) -> None:
    if not os.path.lexists(target):
        return
    if not target.is_dir() or target.is_symlink():
        raise FolderInTheWay(f"{target} is no folder. Move it away, or choose another --out.")
    for entry in target.iterdir():
        if entry.name not in documents:
            continue
        if not overwrite:
            raise FolderInTheWay(f"{target} exists already. Add --overwrite to replace its documents.")
        if source is not None and source.exists() and entry.exists() and entry.samefile(source):
            raise FolderInTheWay(
                f"{entry} is the workbook itself and would be replaced. Give it another name, or choose "
                "another --out."
            )


def _put_in_place(
    work: WorkFolder,
    target: Path,
    overwrite: bool,
    documents: Collection[str],
    expected: Callable[[Path], bool],
) -> None:
    """Give the filled folder its name, even where another run has just taken it."""
    for entry in target.iterdir() if target.is_dir() else ():
        if entry.is_dir() and entry.name in documents and not (work.whole / entry.name).is_dir():
            raise FolderInTheWay(f"{entry} is a folder. Move it away first.")
    if not os.path.lexists(target):
        try:
            work.whole.rename(target)
        except OSError as problem:
            if problem.errno not in (errno.ENOTEMPTY, errno.EEXIST):
                raise
            _refuse_if_in_the_way(target, overwrite, documents, None)
        else:
            return
    _exchange(work, target)
    if not overwrite and any(one.name in documents for one in _replaced(work)):
        _exchange(work, target)  # another run was quicker: its documents stay
        _refuse_if_in_the_way(target, overwrite, documents, None)
    elif not all(expected(left) for left in (work.whole, work.aside) if left.is_dir()):
        _exchange(work, target)
        raise WrittenMeanwhile(target)


def _replaced(work: WorkFolder) -> list[Path]:
    return [one for left in (work.whole, work.aside) if left.is_dir() for one in left.iterdir()]


def _exchange(work: WorkFolder, target: Path) -> None:
    """Let the new folder and the old one change places, in one step where the system can."""
    if _swap_names(work.whole, target):
        return
    if work.aside.exists():
        target.rename(work.whole)
        work.aside.rename(target)
        return
    target.rename(work.aside)
    try:
        work.whole.rename(target)
    except OSError:
        work.aside.rename(target)
        raise


def _swap_names(first: Path, second: Path) -> bool:
    """Exchange two names in one system call; False where there is none."""
    if not sys.platform.startswith("linux"):
        return False
    rename = getattr(ctypes.CDLL(None), "renameat2", None)
    if rename is None:
        return False
    return bool(rename(_AT_FDCWD, os.fsencode(first), _AT_FDCWD, os.fsencode(second), _RENAME_EXCHANGE) == 0)


def _flush(file: Path) -> None:
    """Let a file reach the disk; one that is protected from writing was kept from before, and is there."""
    with suppress(PermissionError), file.open("rb+") as stream:
        os.fsync(stream.fileno())


def _flush_folder(folder: Path) -> None:
    """Let a change of names reach the disk, where a folder can be told to."""
    with suppress(OSError):
        number = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(number)
        finally:
            os.close(number)
