"""The chain of a batch's revisions: the present one, the next one, and where the ones before are kept."""

import os
import shutil
from collections.abc import Collection, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

from intake.model.result import BatchResult
from intake.model.revision import FIRST, Change, Revision
from intake.policy.long_json import Reduce
from intake.register.changes import battery_changes, changes_between, texts_of
from intake.report.json.results import results_document
from intake.runner.find_results import EARLIER
from intake.runner.recorded_results import recorded_file
from intake.runner.replace_folder import FolderInTheWay, WrittenMeanwhile
from intake.runner.results_file import forgotten
from intake.runner.sums import digest_of
from intake.runner.write_documents import results_name

SECOND_READINGS = "second readings"
_CHANGES_NAMED = 3
_CHANGE_KEYS = ("tag", "field", "from", "to")
_REVISIONS_MOST = 1_000_000
DAMAGED = (ValueError, KeyError, TypeError, AttributeError)
"""What comes of taking a record for one of ours that is none."""


class StandingSet(NamedTuple):
    """The set of documents that stands in a batch's folder."""

    sha256: str
    """Of its results.json."""
    revision: Revision
    """Its place in the chain, as its record says; a set from before revisions were kept is the first."""

    @property
    def number(self) -> int:
        """Its revision."""
        return self.revision.number


def standing_set(folder: Path, batch: str) -> StandingSet | None:
    """Return the set that stands in the folder of a batch; None: there is none.

    Raises
    ------
    FolderInTheWay
        Its record cannot be read, so what changed since cannot be told.
    """
    found = _standing(folder, batch, forgotten)
    return found and found[0]


def _standing(folder: Path, batch: str, battery: Reduce) -> tuple[StandingSet, dict[str, Any]] | None:
    """Return the set that stands, and its record with what is kept of each battery."""
    path = folder / results_name(batch)
    if not os.path.lexists(path):
        return None
    try:
        document, digest = recorded_file(path, battery=battery)
        return StandingSet(digest, revision_of(document)), document
    except FileNotFoundError:
        return None
    except (*DAMAGED, OSError) as problem:
        raise _cannot_be_told(folder, batch) from problem


def revision_of(document: Mapping[str, Any]) -> Revision:
    """Return the place in the chain that a record gives; what it says is text, its number counts from 1.

    Raises
    ------
    ValueError, KeyError, TypeError, AttributeError
        It gives another kind of thing.
    """
    number, changes = document.get("revision", 1), document.get("changes", ())
    reason, by, replaces = said = [document.get(key) for key in ("reason", "by", "replaces")]
    told = [one[key] for one in changes for key in _CHANGE_KEYS]
    counts = type(number) is int and 0 < number <= _REVISIONS_MOST
    if not counts or not all(isinstance(one, str | None) for one in said):
        raise ValueError(f"revision {number!r:.40} is none")
    if not all(isinstance(one, str) for one in told):
        raise ValueError("what changed is no text")
    found = tuple(Change(*(one[key] for key in _CHANGE_KEYS)) for one in changes)
    return Revision(number, reason, by, replaces, found)


def _cannot_be_told(folder: Path, batch: str) -> FolderInTheWay:
    return FolderInTheWay(
        f"{folder / results_name(batch)} cannot be read, so what changed since cannot be told. Move {folder}"
        " away first."
    )


class Place(NamedTuple):
    """Where a new result comes in the chain."""

    standing: StandingSet | None
    """The set that stands; None: there is none."""
    revision: Revision
    """That of the new result: the one that stands, or the next."""

    @property
    def replaced(self) -> StandingSet | None:
        """The set that becomes an earlier revision; None: none does."""
        return self.standing if self.standing and self.revision.number > self.standing.number else None


def place_in_chain(result: BatchResult, folder: Path, *, reason: str | None, by: str | None) -> Place:
    """Return the place of a new result in the chain of the sets in the folder of its batch.

    The same batteries with the same cells and grades keep the revision that stands. Anything else is a
    new one and needs a reason. Nothing but what differs is kept of the record that stands.

    Raises
    ------
    FolderInTheWay
        Something differs and no reason is given, or the record of the set that stands is damaged.
    """
    found = _standing(folder, result.batch.batch, texts_of)
    if found is None:
        return Place(None, FIRST)
    standing, document = found
    try:
        changes = changes_between(document, results_document(result, each=texts_of))
    except DAMAGED as problem:
        raise _cannot_be_told(folder, result.batch.batch) from problem
    about_batteries = battery_changes(changes)
    if not about_batteries:
        return Place(standing, standing.revision)
    if reason is None:
        raise FolderInTheWay(_asks_for_a_reason(standing.number, about_batteries, folder))
    by = by or result.batch.inspector
    return Place(standing, Revision(standing.number + 1, reason, by, standing.sha256, changes))


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
        same = digest_of(kept / documents[0]) == standing.sha256
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
