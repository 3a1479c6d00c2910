"""The bench plan of one graded batch: what each battery needs, laid out in time, with a bound beside it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from intake.bench.jobs import BenchJob, bench_need
from intake.bench.planned_tasks import planned_battery, planned_tasks
from intake.bench.schedule import Task, from_first_opening, solve
from intake.bench.station_work import StationWork, person_minutes, station_work
from intake.bench.timeline import Minutes
from intake.bench.working_minutes import OpenMinutes
from intake.bench.working_time import DAY_NAMES, WorkingTime
from intake.model.plan import HeldBack, Plan, PlannedTask, Station, TaskKind
from intake.model.result import BatchResult
from intake.model.units import PERCENT
from intake.policy.grading_policy import GradingPolicy

_HOLD_READINGS = (TaskKind.READ_SHORT, TaskKind.READ_LONG)


@dataclass(frozen=True, slots=True)
class BenchSettings:
    """Stations, working time, and who stands at the bench."""

    stations: tuple[Station, ...]
    time: WorkingTime
    """Nothing begins before its start; the shifts do not overlap (see `working_time.merged`)."""
    start_was_given: bool
    qualified: bool
    """A qualified person is there, so suspect lithium may be worked on."""
    drawn: frozenset[str] = frozenset()
    """Tags drawn for a capacity test."""


def plan_batch(
    result: BatchResult, settings: BenchSettings, *, policy: GradingPolicy, worth: Mapping[str, str]
) -> Plan:
    """Plan what every battery of a graded batch still needs.

    Parameters
    ----------
    result
        The graded batch. The order of its batteries changes nothing.
    settings
        Stations and working time.
    policy
        The policy it was graded by.
    worth
        By tag, a remark on whether a battery is worth the work; printed with the battery's own remarks.

    Raises
    ------
    NeverDone
        The work does not fit the working time. ``str()`` says why.
    """
    minutes = person_minutes(policy)
    time = from_first_opening(settings.time)
    start = time.start
    works, held_back = _works(result, settings, policy, start)
    solution = solve(Task(tuple(one.work for one in works), len(settings.stations), minutes, time))
    opened = OpenMinutes(time.closed(solution.layout.score.makespan))
    placed = sorted(solution.layout.placed, key=lambda one: one.work)
    tasks = [
        task
        for one in placed
        for task in planned_tasks(
            works[one.work], one, settings.stations, minutes, start, opened, policy=policy
        )
    ]
    batteries = tuple(
        planned_battery(works[one.work], one, settings.stations, start, worth) for one in placed
    )
    late = [
        task.start - task.due
        for task in tasks
        if task.kind in _HOLD_READINGS and task.due is not None and task.start > task.due
    ]
    finished = [one.finished - start for one in batteries]
    end = max((one.finished for one in batteries), default=start)
    bound = start + timedelta(minutes=solution.bound)
    return Plan(
        version=result.version,
        batch=result.batch.batch,
        source_name=result.source_name,
        source_sha256=result.source_sha256,
        policy_name=result.policy_name,
        policy_sha256=result.policy_sha256,
        start=start,
        start_was_given=settings.start_was_given,
        shifts=tuple(one.text for one in time.shifts),
        days=tuple(name for day, name in enumerate(DAY_NAMES) if day in time.days),
        stations=settings.stations,
        qualified=settings.qualified,
        tasks=tuple(sorted(tasks, key=_in_time_order)),
        batteries=batteries,
        held_back=held_back,
        end=end,
        bound=bound,
        gap_percent=_gap_percent(start, end, bound),
        mean_finished_h=_hours(sum(finished, timedelta())) / len(finished) if finished else 0.0,
        late_readings=len(late),
        latest_reading_h=_hours(max(late, default=timedelta())),
        notes=_notes(minutes),
    )


def _works(
    result: BatchResult, settings: BenchSettings, policy: GradingPolicy, start: datetime
) -> tuple[list[StationWork], tuple[HeldBack, ...]]:
    """Sort the batteries, by tag, into those with work and those held back."""
    works: list[StationWork] = []
    held_back: list[HeldBack] = []
    for one in sorted(result.graded, key=lambda one: (one.battery.tag, one.battery.row)):
        need = bench_need(
            one.battery,
            one.verdict,
            qualified=settings.qualified,
            policy=policy,
            begins=start,
            read_on=result.batch.read_on,
            drawn=one.battery.tag in settings.drawn,
        )
        found = station_work(need, settings.stations, policy=policy) if isinstance(need, BenchJob) else need
        if isinstance(found, StationWork):
            works.append(found)
        else:
            held_back.append(found)
    return works, tuple(held_back)


def _in_time_order(task: PlannedTask) -> tuple[datetime, datetime, str, str]:
    return task.start, task.end, task.tag, task.kind.value


def _gap_percent(start: datetime, end: datetime, bound: datetime) -> float:
    return (end - bound) / (bound - start) * PERCENT if bound > start else 0.0


def _hours(span: timedelta) -> float:
    return span / timedelta(hours=1)


def _notes(minutes: Minutes) -> tuple[str, ...]:
    """Say what every plan takes for granted."""
    return (
        (
            f"One person connects ({minutes.connect} min), disconnects ({minutes.disconnect} min) and reads "
            f"({minutes.reading} min), one battery at a time and inside a shift; charging runs on overnight "
            "and over a weekend, that of a suspect or dented battery, or of one with a cell that may be "
            "down, only inside a shift."
        ),
        (
            "A station is taken to change over from one stage to the next by itself, and to end the charge "
            "by itself: a full battery stays on it until somebody is there. Without automatic change-over "
            "the Connect line says when to set it, a line of its own where that has to wait for the next "
            "shift, and what follows is later than planned. A station that does not end the charge is for "
            "use within a shift only."
        ),
        "A charge is planned with the longest time that the readings allow, so it is often full earlier.",
        "A hold begins with the disconnecting. A reading may be taken later than planned, never earlier.",
        (
            "Hold readings that are in the workbook count as done. What is left is counted from the last one "
            "where the workbook says when it was taken, else from the plan's start."
        ),
        "Times are the local clock without a change to or from summer time.",
    )
