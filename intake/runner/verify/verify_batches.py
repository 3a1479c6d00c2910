"""Whether the documents of graded batches still stand: everything is recomputed from the workbooks."""

import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from hashlib import sha256
from itertools import product
from pathlib import Path
from typing import Any, NamedTuple

from intake import __version__
from intake.checks.cells.dates import DateOrder
from intake.model.paper import Paper
from intake.model.result import BatchResult
from intake.policy.grading_policy import GradingPolicy
from intake.report.json.results import results_document
from intake.runner.read_many import process_lost, read_safely
from intake.runner.recorded_results import recorded_results
from intake.runner.run_batch import grade_batch
from intake.runner.settings import Settings
from intake.runner.verify.compare_documents import Comparison, Standing, compare
from intake.runner.verify.compare_judgements import compare_judgements
from intake.runner.verify.kept_workbooks import KeptWorkbooks
from intake.runner.workers import Workers
from intake.runner.write_documents import document_paths, write_documents


@dataclass(frozen=True, slots=True)
class Verification:
    """One graded batch and how each of its documents stands."""

    folder: Path
    workbook: Path | None
    documents: tuple[Comparison, ...]

    @property
    def stands(self) -> bool:
        """Whether no document differs; one that can not be checked is told, but is no difference."""
        return all(one.standing is not Standing.DIFFERS for one in self.documents)


def find_batches(root: Path) -> list[Path]:
    """Return the folders of graded batches: ``root`` itself, or those in it, by name."""
    if _is_batch(root):
        return [root]
    return sorted(entry for entry in root.iterdir() if entry.is_dir() and _is_batch(entry))


def _is_batch(folder: Path) -> bool:
    """A graded batch has a document of its own name, even after another one was lost."""
    return any(folder.glob(f"{_escaped(folder.resolve().name)}-*.*")) and not folder.name.startswith(".")


def _escaped(name: str) -> str:
    return "".join(f"[{sign}]" if sign in "*?[" else sign for sign in name)


class _Task(NamedTuple):
    """One graded batch to be verified."""

    folder: Path
    record: dict[str, Any] | None
    damage: str
    """Why there is no record; empty where there is one."""
    workbook: Path | None


class _Again(NamedTuple):
    """A batch computed again, and how its documents compare."""

    result: BatchResult
    compared: tuple[Comparison, ...]

    @property
    def standing(self) -> int:
        """How many documents stand that carry the digests and the version on their pages."""
        return sum(one.standing is Standing.STANDS and one.name.endswith(".pdf") for one in self.compared)


def verify_batches(
    folders: Sequence[Path], settings: Settings, *, workbooks: Path | None, jobs: int = 1
) -> Iterator[Verification]:
    """Recompute each batch from its workbook and compare every document, in the order given.

    Parameters
    ----------
    workbooks
        a workbook, or a folder to look for them in at any depth; None: beside or above each batch.
    """
    kept = KeptWorkbooks.below(workbooks, settings) if workbooks else None
    tasks = [_task(folder, kept or KeptWorkbooks.beside(folder.resolve(), settings)) for folder in folders]
    with Workers(jobs) as workers:
        yield from workers.each(partial(_verify, settings=settings), tasks, lost=_lost)


def _task(folder: Path, kept: KeptWorkbooks) -> _Task:
    batch = folder.resolve().name
    results = _results(folder)
    try:
        record = recorded_results(results)
    except FileNotFoundError:
        return _Task(folder, None, f"{results.name} is missing", kept.find(name="", digest="", batch=batch))
    except (OSError, ValueError) as problem:
        return _Task(folder, None, str(problem), kept.find(name="", digest="", batch=batch))
    source = record["source"]
    return _Task(folder, record, "", kept.find(name=source["name"], digest=source["sha256"], batch=batch))


def _results(folder: Path) -> Path:
    return document_paths(folder, folder.resolve().name)[0]


def _lost(task: _Task) -> Verification:
    return _all(task, Standing.UNCHECKED, process_lost().message)


def _verify(task: _Task, *, settings: Settings) -> Verification:
    """Write the documents again as they may have been written, and keep the way that most of them stand by.

    The record says how, but it may be what was changed; so it has the last word only where no
    document bears it out.
    """
    if task.workbook is None:
        which = task.record["source"]["name"] if task.record else "one of this batch name"
        remark = f"its workbook ({which}) is not found; say where with --workbooks"
        return _all(task, Standing.UNCHECKED, remark)
    tried: list[_Again] = []
    for again, name in product(_choices(task.record, settings), _names(task.record, task.workbook)):
        read = read_safely(task.workbook, again)
        if read.batch is None:
            continue
        result = grade_batch(replace(read, source_name=name), read.batch, again)
        tried.append(_Again(result, tuple(_compare_all(task.folder, result, again.policy))))
        if all(one.standing is Standing.STANDS for one in tried[-1].compared):
            break
    best = max(tried, key=lambda again: again.standing, default=None)
    if best and best.standing:
        return Verification(task.folder, task.workbook, best.compared)
    return _by_its_record(task, task.workbook, settings, best)


def _choices(record: dict[str, Any] | None, settings: Settings) -> list[Settings]:
    """Return the settings that a batch may have been graded with: what its record says, else all."""
    if record is None:
        choices = product(Paper, (None, *DateOrder))
        return [replace(settings, paper=paper, date_order=order) for paper, order in choices]
    paper, order = record["run"]["paper"], record["run"]["date_order"]
    return [replace(settings, paper=Paper(paper), date_order=DateOrder(order) if order else None)]


def _names(record: dict[str, Any] | None, workbook: Path) -> list[str]:
    """Return what the workbook may have been called when it was graded."""
    recorded = [record["source"]["name"]] if record else []
    return list(dict.fromkeys([*recorded, workbook.name]))


def _by_its_record(task: _Task, workbook: Path, settings: Settings, again: _Again | None) -> Verification:
    """Say why no document stands, by what the record gives as its workbook, policy and version."""
    if task.record is None:
        return _all(task, Standing.UNCHECKED, "without its record it can not be told how it was graded")
    source, policy = task.record["source"], task.record["policy"]
    if sha256(workbook.read_bytes()).hexdigest() != source["sha256"]:
        return _all(task, Standing.DIFFERS, f"the workbook {workbook} is not the one that was graded")
    if policy["sha256"] != settings.policy.sha256:
        remark = f"graded by policy {policy['name']!r}, not the one in force; give it with --policy"
        return _all(task, Standing.UNCHECKED, remark)
    if again is None:
        return _all(task, Standing.DIFFERS, "the workbook is rejected today")
    if task.record["version"] == __version__:
        return Verification(task.folder, workbook, again.compared)
    judged = compare_judgements(_results(task.folder).name, task.record, results_document(again.result))
    others = _all(task, Standing.UNCHECKED, f"written by version {task.record['version']}").documents
    return Verification(task.folder, workbook, (judged, *(one for one in others if one.name != judged.name)))


def _compare_all(folder: Path, result: BatchResult, policy: GradingPolicy) -> Iterator[Comparison]:
    with tempfile.TemporaryDirectory() as scratch:
        write_documents(result, Path(scratch), policy=policy)
        expected = sorted(Path(scratch).iterdir())
        for file in expected:
            yield compare(folder / file.name, file)
        known = {file.name for file in expected}
        for extra in sorted(entry.name for entry in folder.iterdir() if entry.name not in known):
            yield Comparison(extra, Standing.UNCHECKED, "it is no document of this batch")


def _all(task: _Task, standing: Standing, remark: str) -> Verification:
    """Say the same of every document; a record that is damaged or missing is no longer the one written."""
    results = _results(task.folder).name
    said = {entry.name: Comparison(entry.name, standing, remark) for entry in sorted(task.folder.iterdir())}
    if task.damage:
        said[results] = Comparison(results, Standing.DIFFERS, task.damage)
    return Verification(task.folder, task.workbook, tuple(said.values()))
