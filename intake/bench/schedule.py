"""The plan that ends first: searched until it is near its bound, which is sharpened where it is not reached.

What is tried is counted, not timed, so that the same work gives the same plan on any machine.
"""

from dataclasses import dataclass, replace
from datetime import timedelta

from intake.bench.bound import lower_bound
from intake.bench.search import Bench, bettered, first_layouts, near, station_layouts
from intake.bench.station_bound import sharper_bound
from intake.bench.timeline import (
    HorizonTooShort,
    Layout,
    Minutes,
    Score,
    Work,
    earliest_disconnect,
    first_free,
)
from intake.bench.working_minutes import OpenMinutes
from intake.bench.working_time import MINUTES_PER_DAY, WorkingTime

_FIRST_DAYS = 28
_MOST_DAYS = 7_200
_SPARE_DAYS = 14
_SLACK = ((1 / 2, 2), (0, 0), (1 / 2, 0), (1, 1), (0, 2), (1 / 2, 4))
"""What each search, from a seed of its own, reckons with: by what share of the person's minutes for a station
they come after one another at an opening, and how many minutes longer each charge is."""
_TO_THE_MINUTE = 12
"""Up to so many batteries the search goes on for minutes, not for days alone."""
_STATION_CHANGES = 60_000
_STATION_CHANGES_EACH = 2_000
_TURNS_LAID_OUT = 60_000
_CHANGES = 3_000
_CHANGES_EACH = 100
"""What each search may try: changes judged station by station, at most and for each battery; turns laid
out in whole layouts, and changes judged by them, at most and for each battery."""


class NeverDone(Exception):
    """The work does not fit the working time, however long it goes on. ``str()`` says why."""


@dataclass(frozen=True, slots=True)
class Task:
    """Work, stations and working time: all that a plan depends on."""

    works: tuple[Work, ...]
    stations: int
    minutes: Minutes
    time: WorkingTime


@dataclass(frozen=True, slots=True)
class Solution:
    """A plan with the minute before which none can end."""

    layout: Layout
    bound: int


def solve(task: Task) -> Solution:
    """Return the best plan found and its bound. Deterministic.

    Raises
    ------
    NeverDone
        No shift is long enough for one of the person's tasks, or the work would last for decades.
    """
    if not task.works:
        return Solution(Layout((), (), Score(0, 0, 0)), 0)
    task = with_times_that_can_be_kept(task)
    bench, first = _ready(task)
    return _searched(bench, first)


def _searched(bench: Bench, first: Layout) -> Solution:
    """Search until the plan ends near the bound, once at least; where once is too few, sharpen the bound."""
    best = first
    count = len(bench.works)
    until = first.score.makespan
    bound = lower_bound(bench.works, bench.stations, bench.minutes, bench.opened, until=until, enough=until)
    changes = min(_CHANGES, _CHANGES_EACH * count, _TURNS_LAID_OUT // count)
    station_changes = min(_STATION_CHANGES, _STATION_CHANGES_EACH * count)
    for seed, (share, margin_min) in enumerate(_SLACK):
        if seed == 1 and not _done(best, bound, count):
            bound = sharper_bound(
                bench.works, bench.minutes, bench.opened, least=bound, until=best.score.makespan
            )
        if seed and _done(best, bound, count):
            break
        others = station_layouts(
            first,
            bench,
            one_after_another=share,
            margin_min=margin_min,
            changes=station_changes,
            bound=bound,
            seed=seed,
        )
        start = min(first, *others, key=lambda one: one.score)
        found = bettered(start, bench, changes=changes, bound=bound, seed=seed)
        best = min(best, found, key=lambda one: one.score)
    return Solution(best, bound)


def _done(layout: Layout, bound: int, count: int) -> bool:
    return layout.score.makespan <= bound if count <= _TO_THE_MINUTE else near(layout, bound)


def from_first_opening(time: WorkingTime) -> WorkingTime:
    """Return the same working time from the first minute at which the person is there.

    Raises
    ------
    NeverDone
        There is none.
    """
    first = time.closed(_FIRST_DAYS * MINUTES_PER_DAY).find(0)
    if first < 0:
        raise NeverDone("the bench is never open")
    return replace(time, start=time.start + timedelta(minutes=first))


def with_times_that_can_be_kept(task: Task) -> Task:
    """Return the task, without the latest times of readings where no shift is long enough to keep them."""
    if _times_can_be_kept(task):
        return task
    loose = tuple(
        work._replace(readings=tuple(one._replace(latest_min=None) for one in work.readings))
        for work in task.works
    )
    return replace(task, works=loose)


def _times_can_be_kept(task: Task) -> bool:
    """Say whether every task fits a shift, and a reading that may not be late the one it follows from."""
    closed = task.time.closed(_FIRST_DAYS * MINUTES_PER_DAY)
    try:
        first_free(closed, 0, max(task.minutes))
        for readings in {work.readings for work in task.works if work.station_min}:
            earliest_disconnect(0, readings, task.minutes, closed)
    except HorizonTooShort:
        return False
    return True


def _ready(task: Task) -> tuple[Bench, Layout]:
    """Lay out the working time far enough for the plain rules, with two weeks to spare."""
    if task.time.closed(_FIRST_DAYS * MINUTES_PER_DAY).find(bytes(max(1, *task.minutes))) < 0:
        raise NeverDone("no shift is long enough to connect, disconnect or read one battery in")
    days = _FIRST_DAYS
    while days <= _MOST_DAYS:
        bench = _bench(task, days * MINUTES_PER_DAY)
        try:
            first = first_layouts(bench)[0]
        except HorizonTooShort:
            days += days
            continue
        return _bench(task, first.score.makespan + _SPARE_DAYS * MINUTES_PER_DAY), first
    raise NeverDone("the work would last for decades")


def _bench(task: Task, horizon_min: int) -> Bench:
    return Bench(task.works, task.stations, task.minutes, OpenMinutes(task.time.closed(horizon_min)))
