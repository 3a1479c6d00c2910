"""Stations filled by weight: one person can keep the plan, and it fits in what plain rules leave over."""

from itertools import pairwise

import pytest

from intake.bench.bounds.station_bound import sharper_bound
from intake.bench.floor import kind_of
from intake.bench.refilling import refilled
from intake.bench.schedule import from_first_opening
from intake.bench.search import Bench, first_layouts
from intake.bench.timeline import Minutes, Work
from intake.bench.working_minutes import OpenMinutes
from tests.bench.generated import HOLD, unlike_task

DAYS = OpenMinutes((bytes(540) + b"\1" * 900) * 30)
MINUTES = Minutes(5, 5, 3)


def bench_of(works, stations):
    return Bench(tuple(works), stations, MINUTES, DAYS)


def unlike_bench(seed):
    task = unlike_task(seed)
    time = from_first_opening(task.time)
    return Bench(task.works, task.stations, task.minutes, OpenMinutes(time.closed(60 * 1440)))


def by_length(bench):
    return {
        kind_of(work): max(one or 0 for one in work.station_min) for work in bench.works if work.station_min
    }


def assert_can_be_kept(layout, bench):
    """Each battery once, one task of the person at a time and while they are there, one battery a station."""
    assert sorted(one.work for one in layout.placed) == list(range(len(bench.works)))
    tasks, stays = [], {place: [] for place in range(bench.stations)}
    for one in layout.placed:
        work = bench.works[one.work]
        assert len(one.readings) == len(work.readings)
        tasks += [(start, bench.minutes.reading) for start in one.readings]
        ready = 0
        if work.station_min:
            length = work.station_min[one.station]
            tasks += [(one.connect, bench.minutes.connect), (one.disconnect, bench.minutes.disconnect)]
            ready = one.disconnect + bench.minutes.disconnect
            assert one.connect + bench.minutes.connect + length <= one.charged <= one.disconnect
            stays[one.station].append((one.connect, one.finished if work.stays else ready))
        for start, (after_min, latest_min) in zip(one.readings, work.readings, strict=True):
            assert ready + after_min <= start
            assert latest_min is None or start <= ready + latest_min
    for start, length in tasks:
        assert not any(bench.opened.closed[start : start + length])
    for (start, length), (following, _) in pairwise(sorted(tasks)):
        assert start + length <= following
    for some in stays.values():
        for (_, ends), (following, _) in pairwise(sorted(some)):
            assert ends <= following


@pytest.mark.parametrize("seed", range(12))
def test_one_person_can_keep_it(seed):
    bench = unlike_bench(seed)
    layout = refilled(bench, by_length(bench), aim=5 * 1440, most_tried=10_000, seed=seed)
    assert_can_be_kept(layout, bench)


def test_the_same_seed_gives_the_same():
    bench = unlike_bench(3)
    first, again = (
        refilled(bench, by_length(bench), aim=5 * 1440, most_tried=50_000, seed=7) for _ in range(2)
    )
    assert first == again


def test_pairs_that_fill_a_day_are_found():
    """Four days with a long charge and a short one each: longest first or shortest first take five."""
    works = [Work(f"L{place}", (300 + place,), HOLD) for place in range(4)]
    works += [Work(f"S{place}", (205 - place,), HOLD) for place in range(4)]
    bench = bench_of(works, 1)
    assert (
        refilled(bench, by_length(bench), aim=5 * 1440, most_tried=10**6, seed=0).score.makespan <= 5 * 1440
    )


def test_what_is_left_over_comes_last():
    """Three charges of a night on two stations: on the third morning one is taken off, then two are read."""
    bench = bench_of([Work(f"W{place}", (600, 600), HOLD) for place in range(3)], 2)
    layout = refilled(bench, by_length(bench), aim=2 * 1440 + 60, most_tried=10_000, seed=0)
    assert_can_be_kept(layout, bench)
    assert sorted(one.finished for one in layout.placed) == [2 * 1440 + 8, 2 * 1440 + 11, 3 * 1440 + 3]


def test_what_is_left_over_goes_to_the_station_that_is_free_first():
    """The long one holds the first station until noon of the second day, the other is free in the morning."""
    works = [Work("L", (1900, None), HOLD), *(Work(f"N{place}", (600, 600), HOLD) for place in range(2))]
    bench = bench_of(works, 2)
    layout = refilled(bench, by_length(bench), aim=2 * 1440 + 60, most_tried=10_000, seed=0)
    assert_can_be_kept(layout, bench)
    assert [one.station for one in layout.turns if one.work] == [1, 1]


def test_readings_alone_need_no_station():
    bench = bench_of([Work("R", (), (HOLD[1],))], 2)
    layout = refilled(bench, {}, aim=1440, most_tried=1000, seed=0)
    assert layout.score.makespan == 1443


def test_it_fits_in_what_every_plain_rule_leaves_over():
    """Fifty batteries on six unlike stations, whose plan by plain rules ends days later."""
    bench = unlike_bench(173)
    until = first_layouts(bench)[0].score.makespan
    bound, weights = sharper_bound(bench.works, bench.minutes, bench.opened, least=0, until=until)
    layout = refilled(bench, weights, aim=int(bound * 1.03), most_tried=2_000_000, seed=0)
    assert layout.score.makespan <= bound * 1.03 < until
