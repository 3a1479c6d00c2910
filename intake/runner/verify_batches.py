"""Whether the documents of graded batches still stand: everything is recomputed from the workbooks."""

import tempfile
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from hashlib import sha256
from pathlib import Path
from typing import Any, NamedTuple

from intake import __version__
from intake.checks.dates import DateOrder
from intake.model.paper import Paper
from intake.report.results_json import results_document
from intake.runner.compare_documents import Comparison, Standing, compare
from intake.runner.read_many import process_lost, read_safely
from intake.runner.recorded_results import recorded_results
from intake.runner.run_batch import grade_batch
from intake.runner.settings import Settings
from intake.runner.workers import Workers
from intake.runner.write_documents import write_documents

_RESULTS = "-results.json"


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
    places: tuple[Path, ...]
    """Where a workbook of the right name may lie."""


def verify_batches(
    folders: Sequence[Path], settings: Settings, *, workbooks: Path | None, jobs: int = 1
) -> Iterator[Verification]:
    """Recompute each batch from its workbook and compare every document, in the order given.

    Parameters
    ----------
    workbooks
        a workbook, or a folder to look for them in at any depth; None: beside or above each batch.
    """
    if workbooks is not None and workbooks.is_file():
        tasks = [_Task(folder, (workbooks,)) for folder in folders]
    else:
        kept = _kept_by_name(workbooks) if workbooks else None
        tasks = [_Task(folder, _places(folder, kept)) for folder in folders]
    with Workers(jobs) as workers:
        yield from workers.each(partial(_verify, settings=settings), tasks, lost=_lost)


def _kept_by_name(workbooks: Path) -> dict[str, list[Path]]:
    kept: dict[str, list[Path]] = {}
    for path in sorted(workbooks.rglob("*")):
        kept.setdefault(path.name, []).append(path)
    return kept


def _places(folder: Path, kept: Mapping[str, Sequence[Path]] | None) -> tuple[Path, ...]:
    try:
        name = recorded_results(_record_of(folder))["source"]["name"]
    except (OSError, ValueError):
        return ()  # told when its turn comes
    if kept is not None:
        return tuple(kept.get(name, ()))
    home = folder.resolve()
    return tuple(place / name for place in (home, home.parent, home.parent.parent))


def _record_of(folder: Path) -> Path:
    return folder / f"{folder.resolve().name}{_RESULTS}"


def _lost(task: _Task) -> Verification:
    names = sorted(entry.name for entry in task.folder.iterdir())
    return Verification(task.folder, None, _all(names, Standing.UNCHECKED, process_lost().message))


def _verify(task: _Task, *, settings: Settings) -> Verification:
    folder = task.folder
    name = folder.resolve().name
    results = _record_of(folder)
    written = sorted(entry.name for entry in folder.iterdir())
    try:
        document = recorded_results(results)
    except FileNotFoundError:
        return Verification(
            folder, None, _all(written, Standing.DIFFERS, f"{results.name} is missing", results.name)
        )
    except ValueError as problem:
        return Verification(folder, None, _all(written, Standing.DIFFERS, str(problem), results.name))
    workbook = _workbook_among(task.places, document["source"]["sha256"])
    if workbook is None:
        remark = f"its workbook {document['source']['name']} is not found; say where with --workbooks"
        return Verification(folder, None, _all(written, Standing.UNCHECKED, remark))
    if sha256(workbook.read_bytes()).hexdigest() != document["source"]["sha256"]:
        remark = f"the workbook {workbook} is not the one that was graded"
        return Verification(folder, workbook, _all(written, Standing.DIFFERS, remark))
    if document["policy"]["sha256"] != settings.policy.sha256:
        remark = (
            f"graded by policy {document['policy']['name']!r}, not the one in force; give it with --policy"
        )
        return Verification(folder, workbook, _all(written, Standing.UNCHECKED, remark))
    return Verification(folder, workbook, tuple(_compare_all(folder, name, workbook, document, settings)))


def _workbook_among(places: Sequence[Path], digest: str) -> Path | None:
    """Return the workbook that was graded, else one of its name, else None."""
    found = [place for place in places if place.is_file()]
    same = [place for place in found if sha256(place.read_bytes()).hexdigest() == digest]
    return next(iter(same or found), None)


def _compare_all(
    folder: Path, name: str, workbook: Path, document: dict[str, Any], settings: Settings
) -> Iterator[Comparison]:
    run = document["run"]
    order = run["date_order"]
    again = replace(settings, paper=Paper(run["paper"]), date_order=DateOrder(order) if order else None)
    read = read_safely(workbook, again)
    batch = read.batch
    if batch is None:
        yield Comparison(name, Standing.DIFFERS, "the workbook is rejected today")
        return
    read = replace(read, source_name=document["source"]["name"])  # it may have been renamed since
    result = grade_batch(read, batch, again)
    if document["version"] != __version__:
        yield from _compare_judgements(folder, name, document, results_document(result))
        return
    with tempfile.TemporaryDirectory() as scratch:
        write_documents(result, Path(scratch), policy=again.policy)
        expected = sorted(Path(scratch).iterdir())
        for file in expected:
            yield compare(folder / file.name, file)
        known = {file.name for file in expected}
        for extra in sorted(entry.name for entry in folder.iterdir() if entry.name not in known):
            yield Comparison(extra, Standing.UNCHECKED, "it is no document of this batch")


def _compare_judgements(
    folder: Path, name: str, old: dict[str, Any], new: dict[str, Any]
) -> Iterator[Comparison]:
    """Compare what another version of intake judged; its documents can not be written again."""
    by = f"written by version {old['version']}"
    changed = [key for key in ("batch", "totals") if old.get(key) != new[key]]
    changed += [tag for tag, judged in _judgements(new).items() if _judgements(old).get(tag) != judged]
    if changed or len(_judgements(old)) != len(_judgements(new)):
        yield Comparison(
            f"{name}{_RESULTS}", Standing.DIFFERS, f"{by}; judged otherwise today: {', '.join(changed)}"
        )
    else:
        yield Comparison(
            f"{name}{_RESULTS}", Standing.STANDS, f"{by}; every grade and total is the same today"
        )
    for entry in sorted(folder.iterdir()):
        if entry.name != f"{name}{_RESULTS}":
            yield Comparison(entry.name, Standing.UNCHECKED, by)


def _judgements(document: dict[str, Any]) -> dict[str, tuple[Any, ...]]:
    batteries = document.get("batteries")
    return {
        f"{one.get('tag')} (row {one.get('row')})": tuple(
            one.get(key) for key in ("grade", "evidence", "handling", "stream", "mass_kg")
        )
        for one in (batteries if isinstance(batteries, list) else [])
        if isinstance(one, dict)
    }


def _all(names: list[str], standing: Standing, remark: str, first: str = "") -> tuple[Comparison, ...]:
    """Say the same of every document, naming a missing one too."""
    return tuple(
        Comparison(name, standing, remark) for name in dict.fromkeys((*filter(None, [first]), *names))
    )
