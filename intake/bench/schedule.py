"""The plan that ends first: searched, bounded, and compared with the plans of a smaller bench.

More stations or a longer shift can mislead a search. So where the bound is not reached, the plans of a
smaller bench are tried as well, and those of benches that are smaller still: one station, one day or one
shift less, or a shift shorter by half an hour. Each of them can be carried out as it stands on the larger
bench. Most fall to their own bound at once; how many are tried is counted, not timed.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta

from intake.bench.bound import lower_bound
from intake.bench.search import Bench, bettered, first_layouts, near, station_layouts
from intake.bench.timeline import (
    HorizonTooShort,
    Layout,
    Minutes,
    Score,
    Work,
    begun_later,
    earliest_disconnect,
    first_free,
)
from intake.bench.working_minutes import OpenMinutes
from intake.bench.working_time import MINUTES_PER_DAY, Shift, WorkingTime

_FIRST_DAYS = 28
_MOST_DAYS = 7_200
_SPARE_DAYS = 14
_STEP_MIN = 30
"""By how much a shift is shortened at a time."""
_MOST_LOOKED_AT = 12
_MOST_SEARCHED = 3
"""How many smaller benches are bounded, and how many of those that may end earlier are searched."""
_MARGINS_MIN = (3, 0, 2, 2, 3, 1)
"""Each search reckons with so many minutes of slack for a charge; each begins from another seed."""
_FOR_SMALLER = 1
"""Only so many of them where a smaller bench is tried."""
_TO_THE_MINUTE = 12
"""Up to so many batteries the search goes on for minutes, not for days alone."""
_STATION_CHANGES = 20_000
_STATION_CHANGES_EACH = 1_000
_TURNS_LAID_OUT = 60_000
_CHANGES = 1_500
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
    bound = _bound(bench, first, first.score.makespan)
    best = _searched(bench, first, bound, whole=True)
    return Solution(_no_later_than_smaller(task, best, bound), bound)


def _no_later_than_smaller(task: Task, best: Layout, bound: int) -> Layout:
    """Return ``best``, or the plan of a smaller bench that ends earlier; nothing ends before ``bound``."""
    waiting, met = deque(_smaller(task)), {task}
    looked_at = searched = 0
    while waiting and best.score.makespan > bound and looked_at < _MOST_LOOKED_AT:
        smaller = waiting.popleft()
        if smaller in met:
            continue
        met.add(smaller)
        looked_at += 1
        begins = (smaller.time.start - task.time.start) // timedelta(minutes=1)
        bench, first = _ready(smaller)
        end = best.score.makespan - begins
        own_bound = _bound(bench, first, end)
        if own_bound >= end or searched == _MOST_SEARCHED:
            continue
        searched += 1
        found = _searched(bench, first, own_bound, whole=False)
        if found.score.makespan < end:
            best = begun_later(found, begins, task.works, task.minutes)
        waiting.extend(_smaller(smaller))
    return best


def _searched(bench: Bench, first: Layout, bound: int, *, whole: bool) -> Layout:
    """Search until the plan ends near the bound; if ``whole``, more often, and once to the end."""
    best = first
    count = len(bench.works)
    changes = min(_CHANGES, _CHANGES_EACH * count, _TURNS_LAID_OUT // count)
    station_changes = min(_STATION_CHANGES, _STATION_CHANGES_EACH * count)
    for seed, margin_min in enumerate(_MARGINS_MIN if whole else _MARGINS_MIN[:_FOR_SMALLER]):
        done = best.score.makespan <= bound if count <= _TO_THE_MINUTE else near(best, bound)
        if done and not (whole and best is first):
            break
        others = station_layouts(
            first, bench, margin_min=margin_min, changes=station_changes, bound=bound, seed=seed
        )
        start = min(first, *others, key=lambda one: one.score)
        found = bettered(start, bench, changes=changes, bound=bound, whole=whole, seed=seed)
        best = min(best, found, key=lambda one: one.score)
    return best


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


def _bound(bench: Bench, first: Layout, enough: int) -> int:
    until = first.score.makespan
    return lower_bound(bench.works, bench.stations, bench.minutes, bench.opened, until=until, enough=enough)


def _smaller(task: Task) -> Iterator[Task]:
    """Yield the task with one station, one day or one shift less, and with each shift shorter at an end."""
    if task.stations > 1 and _can_do_without_last(task):
        fewer = tuple(work._replace(station_min=work.station_min[:-1]) for work in task.works)
        yield replace(task, works=fewer, stations=task.stations - 1)
    time, shifts = task.time, task.time.shifts
    times = [replace(time, shifts=shifts[:place] + shifts[place + 1 :]) for place in range(len(shifts))]
    times += [replace(time, days=time.days - {day}) for day in sorted(time.days)]
    for place, one in enumerate(shifts):
        for shorter in (
            Shift(one.open_min, one.close_min - _STEP_MIN),
            Shift(one.open_min + _STEP_MIN, one.close_min),
        ):
            if shorter.open_min < shorter.close_min:
                times.append(replace(time, shifts=(*shifts[:place], shorter, *shifts[place + 1 :])))
    for less in times:
        if less.shifts and less.days:
            smaller = replace(task, time=from_first_opening(less))
            if _times_can_be_kept(smaller):
                yield smaller


def _can_do_without_last(task: Task) -> bool:
    """Say whether every battery still has a station when the last one is taken away."""
    return all(
        any(one is not None for one in work.station_min[:-1]) for work in task.works if work.station_min
    )
