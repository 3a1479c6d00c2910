"""One workbook to its bench plan: read, check, grade, plan, write."""

from dataclasses import dataclass, replace
from datetime import datetime, time
from functools import partial
from pathlib import Path

from intake.bench.plan_batch import BenchSettings, plan_batch
from intake.bench.schedule import NeverDone
from intake.bench.working_time import Shift, WorkingTime
from intake.grading.lot import lot_of
from intake.model.battery import Batch
from intake.model.finding import Finding, Severity
from intake.model.plan import Plan, Station
from intake.model.result import BatchResult
from intake.model.units import PERCENT
from intake.policy.grading_policy import GradingPolicy
from intake.policy.second_look import not_apart
from intake.report.json.plan import plan_bytes
from intake.report.plan.write import write_plan
from intake.report.xlsx.plan import write_plan_workbook
from intake.runner.grade_many import Ending
from intake.runner.read_many import own_fault, read_safely
from intake.runner.replace_folder import FolderInTheWay, replace_folder, why_not_written
from intake.runner.run_batch import ReadBatch, grade_batch
from intake.runner.settings import Settings


@dataclass(frozen=True, slots=True)
class BenchOptions:
    """The bench as a run is given it."""

    stations: tuple[Station, ...]
    shifts: tuple[Shift, ...]
    days: frozenset[int]
    """Days of the week, Monday 0."""
    start: datetime | None = None
    """None: the latest day that is written of a reading."""
    qualified: bool = False
    most_unfit_percent: float | None = None
    """Plan the capacity tests of a draw that shows no more than this unfit; None: plan none."""


@dataclass(frozen=True, slots=True)
class PlanOutcome:
    """What became of one workbook."""

    path: Path
    ending: Ending
    findings: tuple[Finding, ...]
    plan: Plan | None = None
    """None unless ``ending`` is WRITTEN."""
    folder: Path | None = None
    problem: str = ""
    """Why nothing was written, when ``ending`` is NOT_WRITTEN."""
    carried: tuple[str, ...] = ()
    """Names of the files beside the documents that are none of them and were left as they are."""

    @property
    def row_errors(self) -> int:
        """How many error findings the plan was made with."""
        return sum(one.severity is Severity.ERROR and not one.rejects for one in self.findings)


def plan_bench(path: Path, out: Path, settings: Settings, bench: BenchOptions) -> PlanOutcome:
    """Plan the bench for one workbook and write the plan's documents below ``out``.

    Raises
    ------
    NeverDone
        The work does not fit the working time. ``str()`` says why.
    """
    read = read_safely(path, settings)
    if read.batch is None:
        return PlanOutcome(path, Ending.REJECTED, read.findings)
    try:
        return _write(path, read, read.batch, out, settings, bench)
    except NeverDone:
        raise
    except Exception as fault:  # see read_safely
        return PlanOutcome(path, Ending.REJECTED, (*read.findings, own_fault(fault)))


def _write(
    path: Path, read: ReadBatch, batch: Batch, out: Path, settings: Settings, bench: BenchOptions
) -> PlanOutcome:
    result = grade_batch(read, batch, settings)
    plan = plan_batch(
        result, _settings(bench, batch, result, settings.policy), policy=settings.policy, worth=_worth(result)
    )
    folder = out / f"{batch.batch}-plan"

    try:
        carried = replace_folder(
            folder,
            partial(_write_documents, plan, result, name=folder.name),
            overwrite=settings.overwrite,
            documents=[f"{folder.name}.{kind}" for kind in ("json", "xlsx", "pdf")],
            never_beside=(f"{folder.name}-results.json",),  # of a batch of that name
            source=path,
        )
    except (OSError, FolderInTheWay) as problem:
        why = why_not_written(problem, folder)
        return PlanOutcome(path, Ending.NOT_WRITTEN, result.findings, problem=why)
    return PlanOutcome(path, Ending.WRITTEN, result.findings, plan=plan, folder=folder, carried=carried)


def _settings(bench: BenchOptions, batch: Batch, result: BatchResult, policy: GradingPolicy) -> BenchSettings:
    start = bench.start or datetime.combine(batch.last_written_day, time())
    return BenchSettings(
        stations=bench.stations,
        time=WorkingTime(start, bench.shifts, bench.days),
        start_was_given=bench.start is not None,
        qualified=bench.qualified,
        drawn=_drawn(bench.most_unfit_percent, result, policy),
    )


def _drawn(most_unfit_percent: float | None, result: BatchResult, policy: GradingPolicy) -> frozenset[str]:
    """Return the tags of each kind's draw for a most unfit share."""
    if most_unfit_percent is None:
        return frozenset()
    share = replace(policy.lot.most_unfit_share, value=most_unfit_percent / PERCENT)
    asked = policy._replace(lot=policy.lot._replace(most_unfit_share=share))
    lot = lot_of(result.batch.batch, not_apart(result.graded), policy=asked)
    return frozenset(tag for one in lot.sampled for tag in one.draw)


def _worth(result: BatchResult) -> dict[str, str]:
    """Return by tag what the prices say where the bench work is not worth it, or may not be."""
    if result.value is None:
        return {}
    values = result.value.by_row
    return {one.battery.tag: values[one.battery.row].advice for one in result.graded}


def _write_documents(plan: Plan, result: BatchResult, folder: Path, *, name: str) -> None:
    (folder / f"{name}.json").write_bytes(plan_bytes(plan, result))
    write_plan_workbook(plan, result, folder / f"{name}.xlsx")
    write_plan(plan, result, folder / f"{name}.pdf")
