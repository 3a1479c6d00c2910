"""Whether the documents of graded batches still stand: everything is recomputed from the workbooks."""

import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

from intake import __version__
from intake.checks.cells.dates import DateOrder
from intake.model.paper import Paper, PaperDocument
from intake.model.result import BatchResult
from intake.policy.grading_policy import GradingPolicy
from intake.runner.find_results import EARLIER
from intake.runner.read_many import own_fault, process_lost, read_safely
from intake.runner.recorded_results import printing_of, recorded_results
from intake.runner.run_batch import grade_batch, plain_name
from intake.runner.season_list import SeasonLine
from intake.runner.settings import Settings
from intake.runner.sums import SUMS, digest_of
from intake.runner.verify.check_revisions import check_earlier, of_earlier, revision_again
from intake.runner.verify.check_seals import (
    beside,
    by_digests,
    by_season,
    documents_of,
    look_around,
    season_of,
)
from intake.runner.verify.compare_documents import Comparison, Standing, compare
from intake.runner.verify.compare_judgements import compare_judgements
from intake.runner.verify.find_batches import BatchFolder
from intake.runner.verify.kept_workbooks import KeptWorkbooks, Shelves
from intake.runner.workers.in_order import Workers
from intake.runner.workers.workplace import Workplace
from intake.runner.write_documents import (
    document_names,
    manifest_name,
    names_under_seal,
    results_name,
    write_sealed_manifest,
    write_sums,
    write_under_seal,
)

_ELSEWHERE = "; if that one lies elsewhere, say where with --workbooks FOLDER"


@dataclass(frozen=True, slots=True)
class Verification:
    """One graded batch, or the season's list, and how each document stands."""

    folder: Path
    workbook: Path | None
    documents: tuple[Comparison, ...]

    @property
    def stands(self) -> bool:
        """Whether no document differs; one that cannot be checked is reported, but is no difference."""
        return all(one.standing is not Standing.DIFFERS for one in self.documents)

    @property
    def checked(self) -> bool:
        """Whether anything was found to stand or to differ; that an earlier set is whole tells nothing."""
        kept = f"{EARLIER}/"
        return any(
            one.standing is Standing.DIFFERS
            or (one.standing is Standing.STANDS and not one.name.startswith(kept))
            for one in self.documents
        )


class _Task(NamedTuple):
    """One graded batch to be verified."""

    folder: BatchFolder
    workbook: Path | None
    lines: Sequence[SeasonLine] | None
    """What the season's list holds of it; None: there is no list."""
    searched: bool = False
    """Whether the workbook is what a search around the documents came upon, and nobody named it."""


class _Again(NamedTuple):
    """A batch computed again, and how its documents compare."""

    result: BatchResult
    compared: tuple[Comparison, ...]

    @property
    def standing(self) -> int:
        """How many documents stand that carry the digests and the version on their pages."""
        return sum(one.standing is Standing.STANDS and one.name.endswith(".pdf") for one in self.compared)


class _Record(NamedTuple):
    """What a batch's record says, or why it says nothing."""

    content: dict[str, Any] | None
    damage: str = ""


def verify_season(out: Path, folders: Sequence[BatchFolder]) -> Verification | None:
    """Say how the season's list of a folder of documents stands; None where the folder is that of a batch."""
    if any(one.path == out for one in folders):
        return None
    named = [one.batch for one in folders]
    return Verification(out, None, tuple(look_around(out, season_of(out), named)))


def verify_batches(
    folders: Sequence[BatchFolder], settings: Settings, *, workbooks: Path | None, at: Workplace | None = None
) -> Iterator[Verification]:
    """Recompute each batch from its workbook and compare every document, in the order given.

    The day on which this is done changes nothing.

    Parameters
    ----------
    workbooks
        a workbook, or a folder to look for them in at any depth; None: beside or above each batch.
    at
        where it is done; None: in this process.
    """
    timeless = settings._replace(today=date.max)
    shelves = Shelves(timeless)
    kept = shelves.below(workbooks) if workbooks else None
    seasons = {out: season_of(out) for out in {one.path.resolve().parent for one in folders}}
    tasks = []
    for one in folders:
        by_batch = seasons[one.path.resolve().parent].by_batch
        lines = None if by_batch is None else by_batch.get(one.batch, ())
        if one.problem or one.moved:
            tasks.append(_Task(one, None, lines))
            continue
        books = kept or shelves.beside(one.path.resolve())
        tasks.append(_Task(one, _workbook(one, books), lines, searched=kept is None))
    with Workers(at) as workers:
        yield from workers.each(partial(_verify, settings=timeless), tasks, lost=_lost)


def _record(folder: BatchFolder) -> _Record:
    results = folder.path / results_name(folder.batch)
    try:
        return _Record(recorded_results(results))
    except FileNotFoundError:
        return _Record(None, "the file is missing")
    except OSError as problem:
        return _Record(None, f"it cannot be read: {(problem.strerror or str(problem)).lower()}")
    except ValueError as problem:
        return _Record(None, str(problem))


def _workbook(folder: BatchFolder, kept: KeptWorkbooks) -> Path | None:
    record = _record(folder).content
    source = record["source"] if record else {"name": "", "sha256": ""}
    return kept.find(name=source["name"], digest=source["sha256"], batch=folder.batch)


def _lost(task: _Task) -> Verification:
    path = task.folder.path
    return Verification(path, None, (Comparison(path.name, Standing.UNCHECKED, process_lost().message),))


def _verify(task: _Task, *, settings: Settings) -> Verification:
    folder, path = task.folder, task.folder.path
    if folder.problem:
        return Verification(path, None, (Comparison(path.name, Standing.UNCHECKED, folder.problem),))
    if folder.moved:
        remark = f"it holds documents of {', '.join(folder.holds)}: the folder was renamed, copied or moved"
        return Verification(path, None, (Comparison(path.name, Standing.DIFFERS, remark),))
    record = _record(folder)
    try:
        documents = _by_computing(task, record, settings)
    except Exception as fault:  # see read_safely
        documents = _unchecked(task, _why_not_computed(fault))
    if record.damage and any(one.standing is Standing.UNCHECKED for one in documents):
        told = Comparison(results_name(folder.batch), Standing.DIFFERS, record.damage)
        documents = [told if one.name == told.name else one for one in documents]
    earlier = check_earlier(path, folder.batch, record.content, task.lines)
    return Verification(path, task.workbook, (*by_season(path, documents, task.lines), *earlier))


def _why_not_computed(fault: Exception) -> str:
    if isinstance(fault, OSError):
        return f"it could not be computed again: {(fault.strerror or str(fault)).lower()}"
    return own_fault(fault).message


def _by_computing(task: _Task, record: _Record, settings: Settings) -> list[Comparison]:
    """Write the documents again as they may have been written, and keep the way that most of them stand by.

    The record says how, but it may be what was changed; so it has the last word only where no
    document bears it out.
    """
    if task.workbook is None:
        which = record.content["source"]["name"] if record.content else "one of this batch name"
        remark = f"its workbook ({which}) is not found; say where with --workbooks"
        return _unchecked(task, remark)
    tried: list[_Again] = []
    for again, name in product(_choices(record.content, settings), _names(record.content, task.workbook)):
        read = read_safely(task.workbook, again)
        if read.batch is None:
            continue
        result = grade_batch(read._replace(source_name=name), read.batch, again)
        revision = revision_again(task.folder.path, record.content, result)
        result = result._replace(revision=revision)
        tried.append(_Again(result, tuple(_compare_all(task.folder.path, result, again.policy))))
        if all(one.standing is Standing.STANDS for one in tried[-1].compared):
            break
    best = max(tried, key=lambda again: again.standing, default=None)
    if best and best.standing:
        return list(best.compared)
    return _by_its_record(task, record.content, task.workbook, settings, best)


def _choices(record: dict[str, Any] | None, settings: Settings) -> list[Settings]:
    """Return the settings that a batch may have been graded with: what its record says, else all."""
    if record is None:
        choices = product(Paper, (None, *DateOrder))
        return [settings._replace(paper=paper, date_order=order) for paper, order in choices]
    paper, order = record["run"]["paper"], record["run"]["date_order"]
    again = settings._replace(paper=Paper(paper), printing=printing_of(record["run"]))
    return [again._replace(date_order=DateOrder(order) if order else None)]


def _names(record: dict[str, Any] | None, workbook: Path) -> list[str]:
    """Return what the workbook may have been called when it was graded."""
    recorded = [record["source"]["name"]] if record else []
    return list(dict.fromkeys([*recorded, plain_name(workbook)]))


def _by_its_record(
    task: _Task, record: dict[str, Any] | None, workbook: Path, settings: Settings, again: _Again | None
) -> list[Comparison]:
    """Say why no document stands, by what the record gives as its workbook, policy and version."""
    if record is None:
        return _unchecked(task, "without its record it cannot be told how it was graded")
    source, policy = record["source"], record["policy"]
    digest = digest_of(workbook)
    if digest != source["sha256"]:
        found = of_earlier(task.folder.path, task.folder.batch, digest) if task.searched else None
        if found is not None:
            return _unchecked(
                task,
                f"its workbook ({source['name']}) is not found; {workbook} is the one of revision {found}; "
                "say where the later one is with --workbooks FOLDER",
            )
        return _fallen(
            task,
            f"the workbook {workbook} is not the one that was graded{_ELSEWHERE if task.searched else ''}",
        )
    if policy["sha256"] != settings.policy.sha256:
        return _unchecked(
            task, f"graded by policy {policy['name']!r}, not the one in force; give it with --policy"
        )
    if again is None:
        return _fallen(task, "the workbook is rejected now")
    rules = again.result.compliance.rule_data
    recorded = (record.get("rule_data") or {}).get("sha256")
    if rules and recorded not in (None, rules.sha256):
        remark = f"written with rule data {recorded[:12]}, not the {rules.sha256[:12]} of today"
        return _unchecked(task, f"{remark}; give a site's own with --rules")
    if record["version"] == __version__:
        return list(again.compared)
    name = results_name(task.folder.batch)
    judged = compare_judgements(task.folder.path / name, again.result)
    others = documents_of(
        task.folder.path, task.folder.batch, Standing.UNCHECKED, f"written by version {record['version']}"
    )
    documents = [judged if one.name == name else one for one in others]
    return by_digests(task.folder.path, documents, task.lines, sealed=True)


def _unchecked(task: _Task, remark: str) -> list[Comparison]:
    documents = documents_of(task.folder.path, task.folder.batch, Standing.UNCHECKED, remark)
    return by_digests(task.folder.path, documents, task.lines, sealed=False)


def _fallen(task: _Task, remark: str) -> list[Comparison]:
    return documents_of(task.folder.path, task.folder.batch, Standing.DIFFERS, remark)


def _compare_all(folder: Path, result: BatchResult, policy: GradingPolicy) -> Iterator[Comparison]:
    """Write each document anew and compare it.

    What the manifest and the file of digests say of a document that stands is the digest of the very bytes
    there, which another compression library may have packed.
    """
    batch = result.batch.batch
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        digests: dict[str, str] = {}

        def compared(document: str) -> Comparison:
            found = compare(folder / document, scratch / document)
            stands = found.standing is Standing.STANDS
            digests[document] = digest_of((folder if stands else scratch) / document)
            return found

        write_under_seal(result, scratch, policy=policy)
        yield from [compared(document) for document in names_under_seal(batch, result.printing)]
        sealed = dict(digests)
        if PaperDocument.MANIFEST in result.printing.documents:
            write_sealed_manifest(result, scratch, sealed, policy=policy)
            yield compared(manifest_name(batch))
        write_sums(scratch, digests)
        yield compared(SUMS)
    yield from beside(
        sorted(entry.name for entry in folder.iterdir()), document_names(batch, result.printing)
    )
