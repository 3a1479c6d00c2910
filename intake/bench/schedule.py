"""The plan that ends first: searched until it is near its bound, which is sharpened where it is not reached.

What is tried is counted, not timed, so that the same work gives the same plan on any machine.
"""

from dataclasses import dataclass, replace
from datetime import timedelta
from enum import Enum
from typing import NamedTuple

from intake.bench.bound import lower_bound
from intake.bench.search import Bench, bettered, first_layouts, station_layouts
from intake.bench.station_bound import sharper_bound
from intake.bench.station_search import NEAR_MIN
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
_NEAR = 1.03


class _Aim(Enum):
    """By when a search is to have all done."""

    SOON = "at the bound"
    NEAR = "within its shift, and near it"
    SHIFT = "within its shift"


class _Search(NamedTuple):
    """What a search, from a seed of its own, reckons with and aims at."""

    share: float
    """By what share of the person's minutes for a station they come after one another at an opening."""
    margin_min: int
    """How many minutes longer each charge is."""
    aim: _Aim
    goes_on: bool
    """It begins with the best plan so far, not with that of the plain rules."""


_SEARCHES = (
    _Search(1 / 2, 2, _Aim.SOON, goes_on=False),
    _Search(0, 0, _Aim.SOON, goes_on=False),
    _Search(1 / 2, 0, _Aim.SOON, goes_on=False),
    _Search(1 / 2, 2, _Aim.NEAR, goes_on=False),
    _Search(1 / 2, 0, _Aim.NEAR, goes_on=False),
    _Search(1, 1, _Aim.NEAR, goes_on=True),
    _Search(0, 2, _Aim.SHIFT, goes_on=True),
)
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
    for seed, search in enumerate(_SEARCHES):
        if seed == 1 and not _done(best, bound, search, bench):
            bound = _sharper(bench, bound, best, to_the_minute=count <= _TO_THE_MINUTE)
        if seed and _done(best, bound, search, bench):
            break
        aim = _aim(search.aim, bound, bench)
        others = station_layouts(
            best if search.goes_on else first,
            bench,
            one_after_another=search.share,
            margin_min=search.margin_min,
            changes=station_changes,
            aim=aim,
            seed=seed,
        )
        start = min(first, *others, key=lambda one: one.score)
        found = bettered(start, bench, changes=changes, aim=aim, seed=seed)
        best = min(best, found, key=lambda one: one.score)
    if best.score.makespan > bound * _NEAR:
        bound = _sharper(bench, bound, best, to_the_minute=True)
    return Solution(best, bound)


def _done(best: Layout, bound: int, search: _Search, bench: Bench) -> bool:
    """Say whether a plan ends by what the next search would aim at."""
    if len(bench.works) <= _TO_THE_MINUTE:
        return best.score.makespan <= bound
    return best.score.makespan < _aim(search.aim, bound, bench) + NEAR_MIN


def _sharper(bench: Bench, bound: int, best: Layout, *, to_the_minute: bool) -> int:
    return sharper_bound(
        bench.works,
        bench.minutes,
        bench.opened,
        least=bound,
        until=best.score.makespan,
        to_the_minute=to_the_minute,
    )


def _aim(aim: _Aim, bound: int, bench: Bench) -> int:
    """Return the minute by which a search is to have all done; it has an hour of grace."""
    closing = bench.opened.closing(bound)
    latest = {_Aim.SOON: bound, _Aim.NEAR: min(closing, int(bound * _NEAR)), _Aim.SHIFT: closing}[aim]
    return max(bound, latest - NEAR_MIN)


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
