"""First orders and small changes: each is a whole order of work, none is worse than its start."""

import pytest

from intake.bench.search import Bench, bettered, first_layouts, station_layouts
from intake.bench.timeline import HorizonTooShort, Minutes, Turn, Work
from intake.bench.working_minutes import OpenMinutes
from tests.bench.generated import HOLD, generated_task

MINUTES = Minutes(5, 5, 3)
ORDER = (0, 1)
OPEN = OpenMinutes((bytes(540) + b"\1" * 900) * 5)


def bench_of(seed, jobs=12, stations=2, days=40, **fields):
    task = generated_task(seed, jobs, stations, **fields)
    return Bench(task.works, stations, task.minutes, OpenMinutes(task.time.closed(days * 1440)))


def is_whole(layout, bench):
    """Every battery has one turn, on a station that takes it, or on none where it needs none."""
    for turn in layout.turns:
        lengths = bench.works[turn.work].station_min
        assert (lengths[turn.station] is not None) if lengths else (turn.station == -1)
    return sorted(one.work for one in layout.turns) == list(range(len(bench.works)))


@pytest.mark.parametrize("seed", range(4))
def test_every_order_is_whole(seed):
    bench = bench_of(seed, currents_a=(10, 6))
    first = first_layouts(bench)
    assert [one.score for one in first] == sorted(one.score for one in first)
    by_station = station_layouts(
        first[0], bench, one_after_another=0.5, margin_min=8, changes=300, aim=0, seed=0, in_this_order=ORDER
    )
    last = bettered(first[0], bench, changes=60, aim=0, seed=0)
    assert all(is_whole(one, bench) for one in (*first, *by_station, last))


@pytest.mark.parametrize("seed", range(4))
def test_changes_never_make_it_worse(seed):
    bench = bench_of(seed)
    worst = first_layouts(bench)[-1]
    few = bettered(worst, bench, changes=20, aim=0, seed=0)
    many = bettered(worst, bench, changes=200, aim=0, seed=0)
    assert many.score <= few.score <= worst.score


def test_a_bad_order_is_bettered():
    bench = bench_of(3, jobs=16)
    worst = first_layouts(bench)[-1]
    found = min(
        station_layouts(
            worst, bench, one_after_another=1, margin_min=0, changes=4000, aim=0, seed=0, in_this_order=ORDER
        ),
        key=lambda one: one.score,
    )
    assert found.score.makespan < worst.score.makespan
    assert bettered(worst, bench, changes=400, aim=0, seed=0).score < worst.score


def test_the_same_work_gives_the_same_order():
    first, second = (
        bettered(first_layouts(bench)[0], bench, changes=50, aim=0, seed=0)
        for bench in (bench_of(7), bench_of(7))
    )
    assert first == second


def test_changes_beyond_the_horizon_are_passed_over():
    """So little time is laid out that most changes do not fit."""
    wide = bench_of(2, jobs=14)
    first = first_layouts(wide)[0]
    days = first.score.makespan // 1440 + 1
    tight = bench_of(2, jobs=14, days=days)
    assert bettered(first, tight, changes=100, aim=0, seed=0).score <= first.score
    for one in station_layouts(
        first, tight, one_after_another=1, margin_min=0, changes=300, aim=0, seed=0, in_this_order=ORDER
    ):
        assert one.score.makespan <= days * 1440


def test_too_short_a_horizon_is_told():
    with pytest.raises(HorizonTooShort):
        first_layouts(bench_of(1, days=1))


@pytest.mark.parametrize("jobs", [1, 2])
def test_little_work(jobs):
    bench = bench_of(1, jobs=jobs)
    first = first_layouts(bench)[0]
    assert is_whole(first, bench)
    assert all(
        is_whole(one, bench)
        for one in station_layouts(
            first, bench, one_after_another=1, margin_min=0, changes=50, aim=0, seed=0, in_this_order=ORDER
        )
    )


def test_only_readings():
    bench = bench_of(1, jobs=6)
    works = tuple(one._replace(station_min=(), readings=one.readings[-1:]) for one in bench.works)
    bench = Bench(works, 2, bench.minutes, bench.opened)
    first = first_layouts(bench)[0]
    assert first.turns == tuple(Turn(place, -1) for place in range(6))
    assert is_whole(
        station_layouts(
            first, bench, one_after_another=1, margin_min=0, changes=50, aim=0, seed=0, in_this_order=ORDER
        )[0],
        bench,
    )


@pytest.mark.parametrize("order", [(0, 1, 2), (2, 0, 1)])
def test_stations_open_in_the_order_that_is_asked_for(order):
    """Three alike stations with a battery each: the second and third are connected so much later."""
    bench = Bench(tuple(Work(f"W{place}", (100,) * 3, HOLD) for place in range(3)), 3, MINUTES, OPEN)
    start = first_layouts(bench)[0]
    found = station_layouts(
        start,
        bench,
        one_after_another=1,
        margin_min=0,
        changes=0,
        aim=0,
        seed=0,
        in_this_order=order,
    )[-1]
    assert tuple(one.station for one in found.turns) == order
