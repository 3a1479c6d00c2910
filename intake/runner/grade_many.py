"""Many workbooks graded and written; one that fails never stops the rest."""

import os
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from enum import StrEnum
from functools import partial
from pathlib import Path
from typing import NamedTuple

from intake.model.battery import Batch
from intake.model.finding import Finding, Severity
from intake.model.result import BatchResult
from intake.model.verdict import Grade
from intake.report.words.revision import missing_in_words
from intake.runner.file_lock import folder_locked
from intake.runner.find_results import EARLIER
from intake.runner.first_look import FirstLook, first_look
from intake.runner.own_results import impossible_results
from intake.runner.read_many import own_fault, process_lost, read_safely
from intake.runner.recorded_results import graded_already
from intake.runner.replace_folder import FolderInTheWay, replace_folder, why_not_written
from intake.runner.revisions import StandingSet, keep_earlier, place_in_chain, standing_set
from intake.runner.run_batch import ReadBatch, grade_batch
from intake.runner.season_list import SEASON_LIST, add_to_season
from intake.runner.settings import Settings
from intake.runner.sums import SUMS, digest_of, read_sums, standing_by
from intake.runner.work_folder import clear_leftovers
from intake.runner.workers.in_order import Workers
from intake.runner.workers.workplace import Workplace
from intake.runner.write_documents import document_names, write_documents


class Ending(StrEnum):
    """How one workbook ended."""

    WRITTEN = "written"
    GRADED_ALREADY = "graded already"
    """The same bytes, policy, version and choices: its documents were left as they stand."""
    SAME_AS_ANOTHER = "same as another"
    """The same bytes as another workbook of the run, which is graded: ``problem`` says which."""
    REJECTED = "rejected"
    NOT_WRITTEN = "not written"


class Outcome(NamedTuple):
    """What became of one workbook."""

    path: Path
    ending: Ending
    findings: tuple[Finding, ...]
    batch: str = ""
    batteries: int = 0
    by_grade: tuple[tuple[str, int], ...] = ()
    """Every grade and its count; empty for a workbook that was not graded."""
    folder: Path | None = None
    problem: str = ""
    """Why nothing was written, when ``ending`` is NOT_WRITTEN."""
    carried: tuple[str, ...] = ()
    """Names of the files beside the documents that are none of them and were left as they are."""
    missing: str = ""
    """What of the revision before is not in this one, as a sentence; empty: nothing."""
    of_today: tuple[Finding, ...] = ()
    """Warnings that hold on the day of the run alone: for the screen, in no document."""

    @property
    def row_errors(self) -> int:
        """How many error findings the documents were written with."""
        return sum(one.severity is Severity.ERROR and not one.rejects for one in self.findings)


class _Look(NamedTuple):
    """What is known of a workbook, and of its folder, before the first is graded."""

    book: FirstLook
    stood: str = ""
    """The SHA-256 of the file of digests in its folder; empty: none."""


class _Task(NamedTuple):
    """One workbook to be graded."""

    path: Path
    clash: Finding | None
    """Why it is rejected unread."""
    look: _Look | None
    """What tells whether it was graded before; None: nobody has looked."""
    resume: bool
    """Whether one that was graded before is left alone."""
    same_as: Path | None = None
    """Another workbook of the run that has the same bytes, and is graded."""


class _NotListed(FolderInTheWay):
    """The documents stand, and the season's list does not hold them."""


def grade_many(
    paths: Sequence[Path],
    out: Path,
    settings: Settings,
    *,
    at: Workplace | None = None,
    resume: bool = False,
) -> Iterator[Outcome]:
    """Grade each workbook and write its documents below ``out``, yielding outcomes in the order given.

    Two workbooks with the same batch name are both rejected: neither may take the other's place.

    Parameters
    ----------
    at
        where it is done; None: in this process.
    resume
        leave a batch alone that was graded before from the same bytes, by the same policy and version.

    Raises
    ------
    WorkplaceLost
        The place where it is done is gone. What was written stands, and nothing is half-written.
    """
    resume = resume and not settings.overwrite
    for folder in clear_leftovers(out):
        _settle_season(out, folder)
    with Workers(at) as workers:
        looks: dict[Path, _Look] = {}
        if len(paths) > 1 or resume:
            look = partial(_look, out=out, settings=settings)
            unseen = _Look(FirstLook())
            looks = dict(zip(paths, workers.each(look, paths, lost=lambda _: unseen), strict=True))
        books = {path: look.book for path, look in looks.items()}
        copies = _copies(books)
        clashing = _clashes(
            workers, {one: book for one, book in books.items() if one not in copies}, settings
        )
        tasks = [_Task(path, clashing.get(path), looks.get(path), resume, copies.get(path)) for path in paths]
        try:
            yield from workers.each(partial(_grade_one, out=out, settings=settings), tasks, lost=_lost)
        finally:
            clear_leftovers(out)


def _look(path: Path, *, out: Path, settings: Settings) -> _Look:
    book = first_look(path, settings)
    return _Look(book, digest_of(out / book.batch / SUMS) if book.batch else "")


def _settle_season(out: Path, folder: Path) -> None:
    """Add a set to the season's list whose run was killed before it could."""
    with suppress(OSError, ValueError, FolderInTheWay), folder_locked(out):
        found = standing_set(folder, folder.name)
        if found and all(standing_by(folder, read_sums(folder)).values()):
            add_to_season(out, folder.name, found.number, digest_of(folder / SUMS))


def _lost(task: _Task) -> Outcome:
    return Outcome(task.path, Ending.REJECTED, (process_lost(),))


def _copies(looks: Mapping[Path, FirstLook]) -> dict[Path, Path]:
    """Return for each workbook that has the same bytes as one before it that one."""
    first: dict[str, Path] = {}
    for path, look in looks.items():
        if look.source_sha256:
            first.setdefault(look.source_sha256, path)
    return {
        path: first[look.source_sha256]
        for path, look in looks.items()
        if look.source_sha256 and first[look.source_sha256] != path
    }


def _clashes(workers: Workers, looks: Mapping[Path, FirstLook], settings: Settings) -> dict[Path, Finding]:
    """Return a finding for each workbook whose batch name stands in another one that could be graded too."""
    alike = [path for same in _by_name(looks, looks) for path in same]
    sound = workers.each(partial(_is_sound, settings=settings), alike, lost=lambda _: False)
    graded = [path for path, is_sound in zip(alike, sound, strict=True) if is_sound]
    return {
        path: Finding(
            Severity.ERROR,
            f"The batch name {looks[path].batch} stands in another workbook too: "
            f"{', '.join(str(one) for one in same if one != path)}.",
            "Give each batch a name of its own on the Batch sheet.",
            sheet="Batch",
            field="Batch",
            rejects=True,
        )
        for same in _by_name(looks, graded)
        for path in same
    }


def _by_name(looks: Mapping[Path, FirstLook], paths: Iterable[Path]) -> list[list[Path]]:
    """Return the workbooks that share a batch name, in groups of two or more."""
    bearers: dict[str, list[Path]] = {}
    for path in paths:
        if looks[path].batch:
            bearers.setdefault(looks[path].batch.casefold(), []).append(path)
    return [same for same in bearers.values() if len(same) > 1]


def _is_sound(path: Path, *, settings: Settings) -> bool:
    return read_safely(path, settings).batch is not None


def _grade_one(task: _Task, *, out: Path, settings: Settings) -> Outcome:
    path = task.path
    if task.same_as:
        same = f"the same bytes as {task.same_as}; graded once"
        return Outcome(path, Ending.SAME_AS_ANOTHER, (), problem=same)
    if task.clash:
        return Outcome(path, Ending.REJECTED, (task.clash,))
    if done := _done_before(task, out, settings):
        return done
    read = read_safely(path, settings)
    if read.batch is None:
        return Outcome(path, Ending.REJECTED, read.findings)
    try:
        return _write_one(task, read, read.batch, out, settings)
    except Exception as fault:  # see read_safely
        return Outcome(path, Ending.REJECTED, (*read.findings, own_fault(fault)))


def _done_before(task: _Task, out: Path, settings: Settings) -> Outcome | None:
    """Return what became of a workbook that needs no grading now; None: it does.

    A set from the same bytes and choices that was not there when the run began is its own: the process that
    wrote it ended before it could say so, or the cluster gave the workbook to two workers.
    """
    if task.look is None or not task.look.book.batch:
        return None
    folder = out / task.look.book.batch
    appeared = digest_of(folder / SUMS) != task.look.stood
    if not appeared and not task.resume:
        return None
    done = _graded_already(task.path, folder, task.look.book, settings)
    if done is None or not appeared:
        return done
    _settle_season(out, folder)
    return done._replace(ending=Ending.WRITTEN)


def _graded_already(path: Path, folder: Path, look: FirstLook, settings: Settings) -> Outcome | None:
    recorded = graded_already(folder, look.batch, look.source_sha256, settings)
    if recorded is None:
        return None
    return Outcome(
        path=path,
        ending=Ending.GRADED_ALREADY,
        findings=recorded.findings,
        batch=look.batch,
        batteries=sum(count for _, count in recorded.by_grade),
        by_grade=recorded.by_grade,
        folder=folder,
    )


def _write_one(task: _Task, read: ReadBatch, batch: Batch, out: Path, settings: Settings) -> Outcome:
    path = task.path
    result = grade_batch(read, batch, settings)
    impossible = impossible_results(result)
    if impossible:
        return Outcome(path, Ending.REJECTED, (*read.findings, impossible))
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
        of_today=read.of_today,
    )
    written: list[str] = []

    def settle() -> None:
        try:
            add_to_season(out, batch.batch, result.revision.number, written[-1])
        except OSError as problem:
            why = (problem.strerror or str(problem)).lower()
            raise _NotListed(
                f"The documents stand in {folder}, but {out / SEASON_LIST} could not be added to: {why}. "
                "Mend that and grade again with --overwrite."
            ) from problem

    try:
        _refuse_like_names(out, batch.batch)
        place = place_in_chain(result, folder, reason=settings.reason, by=settings.by)
        result = result._replace(revision=place.revision)
        kept = place.replaced
        same = place.standing is not None and kept is None
        carried = replace_folder(
            folder,
            lambda filling: written.append(_fill(result, folder, settings, kept, filling)),
            overwrite=settings.overwrite or kept is not None or (same and settings.renew),
            documents=(*document_names(batch.batch), EARLIER),
            never_beside=(f"{batch.batch}.json", "register.json"),  # of a plan, of a register
            source=path,
            expected=partial(_still_stands, place.standing, batch.batch),
            settle=settle,
        )
    except (OSError, FolderInTheWay) as problem:
        in_the_way = isinstance(problem, FolderInTheWay) and not isinstance(problem, _NotListed)
        if in_the_way and (done := _done_before(task._replace(resume=False), out, settings)):
            return done
        return outcome._replace(ending=Ending.NOT_WRITTEN, problem=why_not_written(problem, folder))
    missing = missing_in_words(result.revision) if kept else ""
    return outcome._replace(carried=carried, missing=missing)


def _refuse_like_names(out: Path, batch: str) -> None:
    """Refuse a batch name that another system, or the register, would take for one that is there."""
    remedy = "Give this batch a name of its own on the Batch sheet."
    if batch.casefold() == SEASON_LIST.casefold():
        raise FolderInTheWay(f"{batch} is the name of the list of all sets. {remedy}")
    for name in sorted(os.listdir(out)) if out.is_dir() else ():
        if name != batch and name.casefold() == batch.casefold():
            raise FolderInTheWay(
                f"{out} holds {name} already, which differs from the batch name {batch} in capitals only."
                f" {remedy}"
            )


def _fill(
    result: BatchResult, folder: Path, settings: Settings, kept: StandingSet | None, filling: Path
) -> str:
    """Write the documents of a batch, beside them the revisions before it; ``kept`` is the last of these.

    Returns
    -------
    str
        The SHA-256 of the file of digests.
    """
    digest = write_documents(result, filling, policy=settings.policy)
    stood = [name for name in document_names(result.batch.batch) if (folder / name).is_file()]
    keep_earlier(folder, filling, stood, standing=kept)
    return digest


def _still_stands(standing: StandingSet | None, batch: str, folder: Path) -> bool:
    """Whether a folder that was just replaced held the set that was examined before."""
    found = standing_set(folder, batch)
    return found is None or (standing is not None and found.sha256 == standing.sha256)
