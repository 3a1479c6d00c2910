"""Many workbooks graded and written; one that fails never stops the rest."""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import partial
from pathlib import Path

from intake.model.battery import Batch
from intake.model.finding import Finding, Severity
from intake.model.verdict import Grade
from intake.runner.read_many import each_in_order, own_fault, read_many, read_safely
from intake.runner.replace_folder import FolderInTheWay, replace_folder, why_not_written
from intake.runner.run_batch import ReadBatch, grade_batch
from intake.runner.settings import Settings
from intake.runner.write_documents import write_documents


class Ending(StrEnum):
    """How one workbook ended."""

    WRITTEN = "written"
    REJECTED = "rejected"
    NOT_WRITTEN = "not written"


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one workbook."""

    path: Path
    ending: Ending
    findings: tuple[Finding, ...]
    batch: str = ""
    batteries: int = 0
    by_grade: tuple[tuple[str, int], ...] = ()
    folder: Path | None = None
    problem: str = ""
    """Why nothing was written, when ``ending`` is NOT_WRITTEN."""

    @property
    def row_errors(self) -> int:
        """How many error findings the documents were written with."""
        return sum(one.severity is Severity.ERROR and not one.rejects for one in self.findings)


def grade_many(paths: Sequence[Path], out: Path, settings: Settings, *, jobs: int) -> Iterator[Outcome]:
    """Grade each workbook and write its documents below ``out``, yielding outcomes in the order given.

    Two workbooks with the same batch name are both rejected: neither may take the other's place.
    """
    clashing: dict[Path, Finding] = {}
    if len(paths) > 1:
        names = [read.batch.batch if read.batch else "" for read in read_many(paths, settings, jobs=jobs)]
        clashing = _clashes(paths, names)
    yield from each_in_order(partial(_grade_one, out=out, settings=settings, clashing=clashing), paths, jobs)


def _clashes(paths: Sequence[Path], names: Sequence[str]) -> dict[Path, Finding]:
    count = Counter(name.casefold() for name in names if name)
    clashing = {}
    for path, name in zip(paths, names, strict=True):
        if count[name.casefold()] > 1:
            others = [
                str(one) for one, other in zip(paths, names, strict=True) if other == name and one != path
            ]
            clashing[path] = Finding(
                Severity.ERROR,
                f"The batch name {name} stands in another workbook too: {', '.join(others)}.",
                "Give each batch a name of its own on the Batch sheet.",
                sheet="Batch",
                field="Batch",
                rejects=True,
            )
    return clashing


def _grade_one(path: Path, *, out: Path, settings: Settings, clashing: Mapping[Path, Finding]) -> Outcome:
    if path in clashing:
        return Outcome(path, Ending.REJECTED, (clashing[path],))
    read = read_safely(path, settings)
    if read.batch is None:
        return Outcome(path, Ending.REJECTED, read.findings)
    try:
        return _write_one(path, read, read.batch, out, settings)
    except Exception as fault:  # see read_safely
        return Outcome(path, Ending.REJECTED, (*read.findings, own_fault(fault)))


def _write_one(path: Path, read: ReadBatch, batch: Batch, out: Path, settings: Settings) -> Outcome:
    result = grade_batch(read, batch, settings)
    grades = Counter(one.verdict.grade for one in result.graded)
    folder = out / batch.batch
    outcome = Outcome(
        path=path,
        ending=Ending.WRITTEN,
        findings=result.findings,
        batch=batch.batch,
        batteries=len(result.graded),
        by_grade=tuple((grade.value, grades[grade]) for grade in Grade),
        folder=folder,
    )
    try:
        replace_folder(
            folder,
            partial(write_documents, result, policy=settings.policy),
            overwrite=settings.overwrite,
        )
    except (OSError, FolderInTheWay) as problem:
        return replace(outcome, ending=Ending.NOT_WRITTEN, problem=why_not_written(problem, folder))
    return outcome
