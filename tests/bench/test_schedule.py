"""The plan that ends first: against every order there is, and against its bound."""

from datetime import timedelta
from random import Random

import pytest

from intake.bench.schedule import (
    NeverDone,
    Task,
    from_first_opening,
    solve,
    with_times_that_can_be_kept,
)
from intake.bench.station_work import person_minutes
from intake.bench.timeline import DueReading, Minutes, Score, Work
from tests.bench.exhaustive import best_end
from tests.bench.generated import HOLD, MONDAY, POLICY, generated_task, working_time
from tests.changed import replace

GAP_PERCENT = 3.0


def task_of(lengths, stations=1, *shifts, days="mon-fri", readings=HOLD):
    works = tuple(Work(f"W{place}", (one,) * stations, readings) for place, one in enumerate(lengths))
    return Task(
        works, stations, person_minutes(POLICY), working_time(*(shifts or ("08:00-17:00",)), days=days)
    )


def end_of(task):
    """Return the moment at which the plan ends, on the clock."""
    return task.time.start + timedelta(minutes=solve(task).layout.score.makespan)


def gap_percent(solution):
    return (solution.layout.score.makespan / solution.bound - 1) * 100


def test_nothing_to_do():
    solution = solve(task_of([]))
    assert (solution.bound, solution.layout.score) == (0, Score(0, 0, 0))


@pytest.mark.parametrize(
    ("lengths", "stations", "shift"),
    [
        ([600, 250, 200, 300, 480, 120], 1, "08:00-17:00"),
        ([220, 230, 470, 480, 490, 700], 1, "08:00-17:00"),
        ([240, 245, 250, 700, 900, 1000], 1, "06:00-14:00"),
        ([100, 130, 600, 700, 1500], 2, "08:00-17:00"),
        ([60, 60, 60, 60, 480, 480, 600, 600], 1, "08:00-17:00"),
        ([240, 240, 240, 600, 600, 600], 2, "08:00-17:00"),
        ([200, 200, 200, 200, 500, 500, 500, 500], 1, "10:00-15:00"),
    ],
)
def test_it_ends_as_early_as_the_best_of_all_orders(lengths, stations, shift):
    task = task_of(lengths, stations, shift)
    solution = solve(task)
    assert solution.layout.score.makespan == best_end(task)
    assert solution.bound <= solution.layout.score.makespan


@pytest.mark.parametrize("seed", range(6))
def test_random_work_ends_as_early_as_the_best_of_all_orders(seed):
    random = Random(seed)
    stations = 1 + seed % 2
    lengths = [random.randrange(60, 1200) for _ in range(6 if stations == 1 else 4)]
    task = task_of(lengths, stations)
    assert solve(task).layout.score.makespan == best_end(task)


@pytest.mark.long
@pytest.mark.parametrize("seed", range(3))
def test_eight_different_charges_end_as_early_as_the_best_of_all_orders(seed):
    random = Random(100 + seed)
    task = task_of([random.randrange(60, 1200) for _ in range(8)])
    assert solve(task).layout.score.makespan == best_end(task)


@pytest.mark.parametrize(
    ("seed", "jobs", "stations"),
    [(0, 40, 1), (4, 40, 2), (4, 40, 4), (4, 40, 8), (3, 50, 3), (3, 50, 8), (1, 60, 2), (4, 60, 8)],
)
def test_the_gap_of_generated_work(seed, jobs, stations):
    """Those that want the longest search or the sharpest bound of the generated set, and two plain ones."""
    assert 0 <= gap_percent(solve(generated_task(seed, jobs, stations))) < GAP_PERCENT


@pytest.mark.long
@pytest.mark.parametrize("stations", [1, 2, 3, 4, 6, 8])
@pytest.mark.parametrize("jobs", [40, 50, 60])
def test_the_gap_on_the_generated_set(jobs, stations):
    for seed in range(10):
        assert 0 <= gap_percent(solve(generated_task(seed, jobs, stations))) < GAP_PERCENT


def test_more_stations_never_lengthen_the_plan():
    ends = [end_of(generated_task(1, 12, stations, currents_a=(10, 6))) for stations in (1, 2, 3, 4)]
    assert ends == sorted(ends, reverse=True)


@pytest.mark.parametrize(
    "shifts",
    [
        [("08:00-12:00",), ("08:00-12:30",), ("08:00-14:00",), ("08:00-17:00",)],
        [("12:00-17:00",), ("10:30-17:00",), ("08:00-18:00",)],
        [("08:00-12:00",), ("08:00-12:00", "13:00-17:00"), ("08:00-12:00", "12:00-17:00")],
    ],
)
def test_a_longer_shift_never_lengthens_the_plan(shifts):
    task = generated_task(0, 12, 2)
    times = [working_time(*one, start=MONDAY.replace(hour=0)) for one in shifts]
    ends = [end_of(replace(task, time=from_first_opening(one))) for one in times]
    assert ends == sorted(ends, reverse=True)


def test_more_days_never_lengthen_the_plan():
    task = generated_task(4, 14, 2)
    ends = [
        end_of(replace(task, time=from_first_opening(working_time("08:00-17:00", days=days))))
        for days in ("wed", "mon,wed", "mon-fri", "mon-sat", "mon-sun")
    ]
    assert ends == sorted(ends, reverse=True)


def test_the_first_opening():
    assert from_first_opening(working_time("08:00-17:00", start=MONDAY.replace(hour=3))).start == MONDAY
    monday = working_time("08:00-17:00", start=MONDAY.replace(hour=11))
    assert from_first_opening(monday) == monday
    assert from_first_opening(working_time("08:00-17:00", start=MONDAY.replace(hour=17))).start == (
        MONDAY + timedelta(days=1)
    )


def test_never_open():
    with pytest.raises(NeverDone, match="the bench is never open"):
        from_first_opening(replace(working_time("08:00-17:00"), days=frozenset()))


def test_a_shift_that_is_too_short_for_any_task():
    with pytest.raises(NeverDone, match="no shift is long enough"):
        solve(task_of([100], 1, "08:00-08:04"))


def test_work_for_decades():
    task = replace(task_of([100]), works=(Work("W", (30 * 365 * 1440,), HOLD),))
    with pytest.raises(NeverDone, match="decades"):
        solve(task)


def test_a_shift_too_short_to_keep_the_first_reading_lets_it_wait():
    """Half an hour: disconnecting and a reading half an hour later do not fit one shift."""
    short = task_of([100], 1, "08:00-08:30")
    assert with_times_that_can_be_kept(short).works[0].readings == (
        DueReading(30, None),
        DueReading(720, None),
    )
    (placed,) = solve(short).layout.placed
    assert placed.readings[0] - placed.disconnect > 60
    enough = task_of([100], 1, "08:00-08:38")
    assert with_times_that_can_be_kept(enough) == enough
    (placed,) = solve(enough).layout.placed
    assert placed.readings[0] - placed.disconnect == 35


def test_far_work_is_laid_out_far_enough():
    task = task_of([2_000] * 8, 1, "08:00-17:00", days="wed")
    assert solve(task).layout.score.makespan > 8 * 7 * 1440 - 3 * 1440


def test_minutes_of_a_person_may_be_none():
    task = replace(task_of([100]), minutes=Minutes(0, 0, 0))
    (placed,) = solve(task).layout.placed
    assert (placed.connect, placed.disconnect, placed.readings[0]) == (0, 100, 130)


def test_a_pallet_of_many_is_asked_about_the_mornings_as_well():
    """Seventy jobs, three stations: but for the person's mornings a plan a day sooner is not excluded."""
    solution = solve(generated_task(8, 70, 3, currents_a=(10, 20)))
    assert solution.layout.score.makespan == solution.bound
