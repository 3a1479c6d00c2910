"""The plan that ends first: searched until it is near its bound, which is sharpened where it is not reached.

What is tried is counted, not timed, so that the same work gives the same plan on any machine.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import timedelta
from enum import Enum
from random import Random

from intake.bench.bounds.bound import lower_bound
from intake.bench.bounds.station_bound import bound_beyond, sharper_bound
from intake.bench.floor import Kind
from intake.bench.refilling import refilled
from intake.bench.search import Bench, bettered, first_layouts, rank_of, station_layouts
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


_FIRST_SHARE, _FIRST_MARGIN_MIN = 1 / 2, 2
_SHARES = (0, 1 / 4, 0, 1 / 2)
"""By what share of the person's minutes for a station they are reckoned to come after one another at an
opening: in the first search, where charges are reckoned so much longer as well, and in the later ones in
turn."""
_AIMS = (_Aim.SOON, _Aim.NEAR, _Aim.SHIFT)
"""What the later searches aim at, in turn."""
_EXACT_FROM, _EXACT_TO = 2, 80
"""Before this search, and up to so many batteries, it is asked if a plan could be so much better."""
_FEW = 66
"""More batteries are searched by filling alone, once the first search is done."""
_SEARCHES_OF_MANY = 5
_MOST_SEARCHES, _BATTERIES_SEARCHED = 8, 200
"""How many searches there are at most, and batteries in all of them, where there are few."""
_TO_THE_MINUTE = 12
"""Up to so many batteries the search goes on for minutes, not for days alone."""
_STATION_CHANGES = 30_000
_STATION_CHANGES_EACH = 2_000
_TURNS_LAID_OUT = 60_000
_WORKS_TRIED = 2_200_000
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
    return _searched(bench, first)


def _searched(bench: Bench, first: Layout) -> Solution:
    """Search until the plan ends near the bound, once at least; where once is too few, sharpen the bound."""
    count, until = len(bench.works), first.score.makespan
    bound = lower_bound(bench.works, bench.stations, bench.minutes, bench.opened, until=until, enough=until)
    start = _by_station(bench, first, _FIRST_SHARE, _FIRST_MARGIN_MIN, aim=bound, seed=0)
    best = _bettered(bench, start, aim=bound, seed=0)
    weights: Mapping[Kind, int] = {}
    if not _done(best, bound, _Aim.SOON, bench):
        bound, weights = _sharper(bench, bound, best)
    few = count <= _FEW
    for seed in range(1, min(_MOST_SEARCHES, _BATTERIES_SEARCHED // count) if few else _SEARCHES_OF_MANY):
        if count <= _EXACT_TO and seed == _EXACT_FROM and not _done(best, bound, _Aim.NEAR, bench):
            bound = _exact(bench, bound, best)
        aim = _AIMS[seed % len(_AIMS)]
        if aim is _Aim.SHIFT and best.score.makespan <= bench.opened.closing(bound):
            aim = _Aim.NEAR
        if _done(best, bound, aim, bench):
            break
        best = min(best, _refilled(bench, first, weights, bound, seed), key=lambda one: one.score)
        if not few:
            continue
        if _done(best, bound, aim, bench):
            break
        found = _searched_again(bench, first, aim=_aim(aim, bound, bench), seed=seed)
        best = min(best, found, key=lambda one: one.score)
    return Solution(best, bound)


def _refilled(bench: Bench, first: Layout, weights: Mapping[Kind, int], bound: int, seed: int) -> Layout:
    """Fill the stations by weight, so that all is read within the shift of the bound, and near it."""
    aim = _aim(_Aim.NEAR, bound, bench) + NEAR_MIN - 1
    try:
        return refilled(bench, weights, aim=aim, most_tried=_WORKS_TRIED, seed=seed)
    except HorizonTooShort:
        return first


def _searched_again(bench: Bench, first: Layout, *, aim: int, seed: int) -> Layout:
    """Search station by station; go on for minutes where there are few batteries."""
    start = _by_station(bench, first, _SHARES[seed % len(_SHARES)], 0, aim=aim, seed=seed)
    return _bettered(bench, start, aim=aim, seed=seed) if len(bench.works) <= _TO_THE_MINUTE else start


def _by_station(bench: Bench, first: Layout, share: float, margin_min: int, *, aim: int, seed: int) -> Layout:
    """Search station by station once, the stations in an order that is drawn from the seed."""
    laid = station_layouts(
        first,
        bench,
        one_after_another=share,
        margin_min=margin_min,
        changes=min(_STATION_CHANGES, _STATION_CHANGES_EACH * len(bench.works)),
        aim=aim,
        seed=seed,
        in_this_order=Random(seed).sample(range(bench.stations), bench.stations),
    )
    return min(first, *laid, key=lambda one: rank_of(one, aim))


def _bettered(bench: Bench, start: Layout, *, aim: int, seed: int) -> Layout:
    count = len(bench.works)
    changes = min(_CHANGES, _CHANGES_EACH * count, _TURNS_LAID_OUT // count)
    return bettered(start, bench, changes=changes, aim=aim, seed=seed)


def _done(best: Layout, bound: int, aim: _Aim, bench: Bench) -> bool:
    """Say whether a plan ends by what a search would aim at."""
    if len(bench.works) <= _TO_THE_MINUTE:
        return best.score.makespan <= bound
    return best.score.makespan < _aim(aim, bound, bench) + NEAR_MIN


def _sharper(bench: Bench, bound: int, best: Layout) -> tuple[int, Mapping[Kind, int]]:
    return sharper_bound(bench.works, bench.minutes, bench.opened, least=bound, until=best.score.makespan)


def _exact(bench: Bench, bound: int, best: Layout) -> int:
    """Ask whether a plan could be so much better that this one is not near it."""
    until = best.score.makespan
    near = int(until / _NEAR)
    return bound_beyond(near, bench.works, bench.minutes, bench.opened, least=bound, until=until)


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
