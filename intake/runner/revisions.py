"""The chain of a batch's revisions: the present one, the next one, and where the ones before are kept."""

import os
import shutil
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Any

from intake.model.result import BatchResult
from intake.model.revision import FIRST, Change, Revision
from intake.register.changes import battery_changes, changes_between
from intake.report.json.results import results_document
from intake.runner.find_results import EARLIER
from intake.runner.recorded_results import recorded_results
from intake.runner.replace_folder import FolderInTheWay, WrittenMeanwhile
from intake.runner.write_documents import results_name

SECOND_READINGS = "second readings"
_CHANGES_NAMED = 3


@dataclass(frozen=True, slots=True)
class StandingSet:
    """The set of documents that stands in a batch's folder."""

    document: dict[str, Any]
    sha256: str
    """Of its results.json."""

    @property
    def number(self) -> int:
        """Its revision; a set from before revisions were kept is the first."""
        number = self.document.get("revision", 1)
        return number if isinstance(number, int) else 1

    @property
    def revision(self) -> Revision:
        """Its place in the chain, as its record says."""
        return Revision(
            number=self.number,
            reason=self.document.get("reason"),
            by=self.document.get("by"),
            replaces=self.document.get("replaces"),
            changes=tuple(
                Change(one["tag"], one["field"], one["from"], one["to"])
                for one in self.document.get("changes", ())
            ),
        )


def standing_set(folder: Path, batch: str) -> StandingSet | None:
    """Return the set that stands in the folder of a batch; None: there is none.

    Raises
    ------
    FolderInTheWay
        Its record cannot be read, so what changed since cannot be told.
    """
    path = folder / results_name(batch)
    if not os.path.lexists(path):
        return None
    try:
        document = recorded_results(path)
        return StandingSet(document, sha256(path.read_bytes()).hexdigest())
    except FileNotFoundError:
        return None
    except (ValueError, OSError) as problem:
        raise FolderInTheWay(
            f"{path} cannot be read, so what changed since cannot be told. Move {folder} away first."
        ) from problem


def next_revision(
    standing: StandingSet | None, result: BatchResult, folder: Path, *, reason: str | None, by: str | None
) -> Revision:
    """Return the place of a new result in the chain.

    The same batteries with the same cells and grades keep the revision that stands. Anything else is a
    new one and needs a reason.

    Raises
    ------
    FolderInTheWay
        Something differs and no reason is given.
    """
    if standing is None:
        return FIRST
    changes = changes_between(standing.document, results_document(result))
    about_batteries = battery_changes(changes)
    if not about_batteries:
        return standing.revision
    if reason is None:
        raise FolderInTheWay(_asks_for_a_reason(standing.number, about_batteries, folder))
    return Revision(standing.number + 1, reason, by or result.batch.inspector, standing.sha256, changes)


def _asks_for_a_reason(number: int, changes: Collection[Change], folder: Path) -> str:
    named = [
        f"{one.tag} {one.field}: {one.before or 'blank'} → {one.after or 'blank'}"
        for one in list(changes)[:_CHANGES_NAMED]
    ]
    more = len(changes) - len(named)
    told = "; ".join([*named, *([f"and {more} more"] if more else [])])
    return (
        f"{folder} holds revision {number} of this batch, and the new one differs ({told}). Say why: with"
        f' --reason "{SECOND_READINGS}" revision {number} is kept under {EARLIER}/{number} and revision'
        f" {number + 1} takes its place."
    )


def keep_earlier(
    folder: Path, target: Path, documents: Sequence[str], *, standing: StandingSet | None
) -> None:
    """Put the revisions before into a new set: those kept already, and the one that stands if it is given.

    Parameters
    ----------
    folder
        Where the set stands that is being replaced.
    target
        The folder of the new set, still being filled.
    documents
        The names of a batch's documents, its results.json first.

    Raises
    ------
    WrittenMeanwhile
        What is kept is not the set that was examined before.
    OSError
        It could not be copied.
    """
    try:
        if (folder / EARLIER).is_dir():
            shutil.copytree(folder / EARLIER, target / EARLIER, copy_function=_link)
        if standing is None:
            return
        kept = target / EARLIER / str(standing.number)
        kept.mkdir(parents=True)
        for name in documents:
            if (folder / name).is_file():
                _link(folder / name, kept / name)
        same = sha256((kept / documents[0]).read_bytes()).hexdigest() == standing.sha256
    except (FileExistsError, FileNotFoundError, shutil.Error) as problem:
        raise WrittenMeanwhile(folder) from problem
    if not same:
        raise WrittenMeanwhile(folder)


def _link(source: str | os.PathLike[str], target: str | os.PathLike[str]) -> None:
    """Give a file a second name, or copy it where the storage has no links."""
    try:
        os.link(source, target)
    except OSError:
        shutil.copy2(source, target)
