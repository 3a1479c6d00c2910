"""A bench plan sorted for its documents: the person's days, and what each station holds when."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise

from intake.model.plan import Plan, PlannedBattery, PlannedTask, Station, TaskKind
from intake.model.result import BatchResult, GradedBattery
from intake.report.plan.words import DAYS

STAGES = (
    TaskKind.RECOVER,
    TaskKind.CHARGE,
    TaskKind.EQUALISE,
    TaskKind.BALANCE,
    TaskKind.CAPACITY_TEST,
)
_ON_STATION = (TaskKind.CONNECT, *STAGES, TaskKind.DISCONNECT)
_EVERY_SHIFT = timedelta(days=8)
"""In so many days each shift begins once at least."""
READINGS = (TaskKind.READ_SHORT, TaskKind.READ_LONG, TaskKind.READ_REST)


@dataclass(frozen=True, slots=True)
class Occupation:
    """One battery on one station, from the first hand laid on it to the last."""

    tag: str
    station: str
    start: datetime
    end: datetime
    stages: tuple[PlannedTask, ...]
    """Charging and what goes with it, in time order; afterwards it waits to be taken off."""

    @property
    def ready(self) -> datetime:
        """When its last stage is over at the latest."""
        return max((one.end for one in self.stages), default=self.start)

    @property
    def pauses(self) -> list[tuple[datetime, datetime]]:
        """When its charge is switched off and goes on again, where it is charged within shifts only."""
        ends = ((before.end, after.start) for before, after in pairwise(self.stages))
        return [(stops, goes_on) for stops, goes_on in ends if stops < goes_on]

    def goes_on(self, moment: datetime) -> datetime | None:
        """Return when a charge that is paused at a moment goes on; None where it is not paused then."""
        return next((goes_on for stops, goes_on in self.pauses if stops <= moment <= goes_on), None)


@dataclass(frozen=True, slots=True)
class ChangeOver:
    """A stage that is set by hand, where the station does not change over by itself."""

    tag: str
    station: str
    kind: TaskKind
    start: datetime
    """When the stage before is over and somebody is there."""
    end: datetime
    """The end of that shift."""
    ready: datetime
    """When the last stage is over, with all of them set as late as this."""
    late: bool
    """The stage before ends while nobody is there."""


@dataclass(frozen=True, slots=True)
class BenchDay:
    """What the one person does on one day, and what is on the stations before and after."""

    day: date
    tasks: tuple[PlannedTask, ...]
    before: tuple[Occupation, ...]
    after: tuple[Occupation, ...]
    by_hand: tuple[ChangeOver, ...] = ()
    """What the plan's stations do by themselves at a time when nobody is there."""


@dataclass(frozen=True, slots=True)
class PlanContent:
    """Everything that the documents look up."""

    plan: Plan
    days: tuple[BenchDay, ...]
    """Only those with something to do for the person."""
    occupations: tuple[Occupation, ...]
    """By station, then time."""
    planned: Mapping[str, PlannedBattery]
    graded: Mapping[str, GradedBattery]
    """Of the planned batteries."""
    stations: Mapping[str, Station]

    def on(self, station: str) -> tuple[Occupation, ...]:
        """Return what is on one station, in time order."""
        return tuple(one for one in self.occupations if one.station == station)


def plan_content(plan: Plan, result: BatchResult) -> PlanContent:
    """Sort a plan by days and stations."""
    stations = {one.name: one for one in plan.stations}
    planned = {one.tag: one for one in plan.batteries}
    occupations = tuple(_occupations(plan))
    return PlanContent(
        plan=plan,
        days=tuple(_days(plan, occupations)),
        occupations=occupations,
        planned=planned,
        graded={one.battery.tag: one for one in result.graded if one.battery.tag in planned},
        stations=stations,
    )


def _occupations(plan: Plan) -> Iterator[Occupation]:
    order = [one.name for one in plan.stations]
    at = {one.tag: one.station for one in plan.batteries if one.station is not None}
    by_tag: dict[str, list[PlannedTask]] = {}
    for task in plan.tasks:
        if task.tag in at and task.kind in _ON_STATION:
            by_tag.setdefault(task.tag, []).append(task)
    found = [
        Occupation(
            tag=tag,
            station=at[tag],
            start=min(one.start for one in tasks),
            end=max(one.end for one in tasks),
            stages=tuple(one for one in tasks if one.kind in STAGES),
        )
        for tag, tasks in by_tag.items()
    ]
    yield from sorted(found, key=lambda one: (order.index(one.station), one.start))


def change_overs(stands: Occupation, plan: Plan) -> tuple[ChangeOver, ...]:
    """Return each further stage of an occupation with the time when it can be set by hand."""
    begins: dict[TaskKind, datetime] = {}
    for one in stands.stages:
        begins.setdefault(one.kind, one.start)
    late = timedelta()
    found = []
    for kind, planned in list(begins.items())[1:]:
        moment = planned + late
        start, end = min(shifts_between(plan, moment, moment + _EVERY_SHIFT))
        late = start - planned
        found.append((kind, start, end))
    ready = stands.ready + late
    return tuple(
        ChangeOver(stands.tag, stands.station, kind, start, end, ready, late > timedelta())
        for kind, start, end in found
    )


def _days(plan: Plan, occupations: tuple[Occupation, ...]) -> Iterator[BenchDay]:
    by_day: dict[date, list[PlannedTask]] = {}
    for task in plan.tasks:
        if task.needs_person:
            by_day.setdefault(task.start.date(), []).append(task)
    late = [one for stands in occupations for one in change_overs(stands, plan) if one.late]
    for one in late:
        by_day.setdefault(one.start.date(), [])
    for day, ones in sorted(by_day.items()):
        opens = datetime.combine(day, time())
        closes = opens + timedelta(days=1)
        yield BenchDay(
            day=day,
            tasks=tuple(ones),
            before=tuple(one for one in occupations if one.start < opens < one.end),
            after=tuple(one for one in occupations if one.start < closes < one.end),
            by_hand=tuple(one for one in late if one.start.date() == day),
        )


def shifts_between(plan: Plan, start: datetime, end: datetime) -> list[tuple[datetime, datetime]]:
    """Return when the person is there between two moments; a shift that ends earlier runs over midnight."""
    days = {name[:3].casefold() for name in plan.days}
    found = []
    day = start.date() - timedelta(days=1)
    while day <= end.date():
        if DAYS[day.weekday()][:3].casefold() in days:
            for shift in plan.shifts:
                opens, closes = (
                    datetime.combine(day, time.fromisoformat(one.strip())) for one in shift.split("-")
                )
                if closes <= opens:
                    closes += timedelta(days=1)
                if closes > start and opens < end:
                    found.append((max(opens, start), min(closes, end)))
        day += timedelta(days=1)
    return found
