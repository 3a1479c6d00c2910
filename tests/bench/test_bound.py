"""Bounds worked out by hand, and never above any plan."""

from random import Random

import pytest

from intake.bench.bounds.bound import lower_bound
from intake.bench.bounds.station_bound import bound_beyond, sharper_bound, stations_bound
from intake.bench.floor import kind_of
from intake.bench.layout import Later, lay_out
from intake.bench.schedule import Task
from intake.bench.timeline import DueReading, Minutes, Turn, Work
from intake.bench.working_minutes import OpenMinutes
from tests.bench.exhaustive import best_end
from tests.bench.generated import HOLD, generated_task, working_time

MINUTES = Minutes(5, 5, 3)
DAYS = OpenMinutes((bytes(540) + b"\1" * 900) * 30)
"""Thirty days of nine hours, the first minute open."""
MORNING = 1440


def works(*lengths, readings=HOLD):
    return [Work(f"W{place}", tuple(one), readings) for place, one in enumerate(lengths)]


def bound(some, stations=1, *, enough=10**9, until=28 * MORNING):
    return lower_bound(some, stations, MINUTES, DAYS, until=until, enough=enough)


def test_nothing_to_do():
    assert bound([]) == 0


def test_one_battery_alone():
    assert bound(works([100])) == MORNING + 3


def test_the_best_of_its_stations_counts():
    assert bound(works([2000, 100]), 2) == MORNING + 3
    # full at 2005, which is after the second day's end: off on the third morning, read on the fourth
    assert bound(works([2000, None]), 2) == 3 * MORNING + 3


def test_readings_one_after_another():
    """Ten batteries that are only read, all due at once: 30 minutes."""
    assert bound(works(*[()] * 10, readings=(DueReading(60, None),))) == 60 + 30


def test_all_the_persons_minutes():
    """Forty short charges on forty stations: 40 x 16 minutes do not fit one day of 540."""
    found = bound(works(*[[10] * 40] * 40), 40)
    assert found >= MORNING + 100


def test_only_the_night_is_long_enough():
    """Three charges of 600 minutes on one station take three nights; the last is read a day later."""
    assert bound(works([600], [600], [600])) == 4 * MORNING + 3


def test_short_ones_do_not_hide_the_nights():
    """The night takes one long charge each, whatever goes on by day."""
    assert bound(works([600], [600], [600], [60], [60], [60], [60])) == 4 * MORNING + 3


def test_two_stations_share_the_nights():
    assert bound(works([600, 600], [600, 600], [600, 600], [600, 600]), 2) == 3 * MORNING + 6


def test_one_station_is_left_to_the_long_ones():
    """The second station may not take them: three nights on the first."""
    assert bound(works([600, None], [600, None], [600, None], [60, 60]), 2) == 4 * MORNING + 3


def test_one_person_opens_one_station_after_another():
    """Connected at 5 it is full at 502 and read at 537, the last minutes; one minute more takes the night."""
    assert bound(works([492, 492], [492, 492]), 2) == MORNING + 6
    assert bound(works([493, 493], [493, 493]), 2) == 2 * MORNING + 3
    assert bound(works([497, 497], [60, 60]), 2) == MORNING + 6


def test_no_station_work_bounds_nothing():
    some = works((), readings=(DueReading(0, None),))
    assert stations_bound(some, MINUTES, DAYS, least=7, until=28 * MORNING, enough=10**9) == 7


def test_no_station_work_is_not_sharpened():
    some = works((), readings=(DueReading(0, None),))
    assert sharper_bound(some, MINUTES, DAYS, least=7, until=28 * MORNING) == (7, {})
    assert bound_beyond(9, some, MINUTES, DAYS, least=7, until=28 * MORNING) == 7


def test_a_sharper_bound_shows_what_no_limit_shows():
    """One charge may stand on the first station only, three on the second only: it takes three nights."""
    some = works([700, None], [None, 600], [None, 600], [None, 600])
    plain = stations_bound(some, MINUTES, DAYS, least=MORNING, until=28 * MORNING, enough=10**9)
    until = 4 * MORNING + 3
    sharper, weights = sharper_bound(some, MINUTES, DAYS, least=plain, until=until)
    assert plain < sharper == until
    assert set(weights) == {kind_of(one) for one in some}
    assert bound_beyond(until - 1, some, MINUTES, DAYS, least=plain, until=until) == until
    assert bound_beyond(until, some, MINUTES, DAYS, least=plain, until=until) == plain
    assert bound_beyond(until - 1, some, MINUTES, DAYS, least=until + 1, until=until + 2) == until + 1


@pytest.mark.parametrize(("day_min", "shown"), [(482, False), (485, True)])
def test_one_person_serves_one_station_after_another_each_morning(day_min, shown):
    """Two stations, a charge of nearly a day on both days and one of a night between, on each of them.

    On the second morning the second station is connected 20 minutes after the opening. A day's charge is off
    33 minutes before the closing at the latest, or its first reading is too late: 540 - 20 - 5 - 33 = 482.
    Minutes are priced by fives, so that two more are overlooked.
    """
    some = works(*[[day_min, day_min]] * 4, *[[900, 900]] * 2)
    until = 5 * MORNING
    soon = 2 * MORNING + 8 * 3
    first = lower_bound(some, 2, MINUTES, DAYS, until=until, enough=10**9)
    sharper, _ = sharper_bound(some, MINUTES, DAYS, least=first, until=until)
    assert sharper <= 2 * MORNING + 4 * 3
    found = bound_beyond(soon, some, MINUTES, DAYS, least=sharper, until=until)
    assert (found > soon) == shown


@pytest.mark.parametrize("seed", range(12))
def test_a_sharper_bound_is_never_beyond_the_best_of_all_orders(seed):
    """Two unlike stations, five batteries; some stay, are attended, take one station, or have no reading."""
    random = Random(seed)
    some = []
    for place in range(5):
        slow = random.randrange(60, 900)
        lengths = (slow, random.choice((slow, slow // 2, None)))
        stays, attended = random.random() < 0.2, random.random() < 0.2
        readings = HOLD if stays or random.random() < 0.8 else ()
        some.append(Work(f"W{place}", lengths, readings, stays=stays, attended=attended))
    time = working_time("08:00-17:00", days="mon-sun")
    end = best_end(Task(tuple(some), 2, MINUTES, time))
    opened = OpenMinutes(time.closed(28 * MORNING))
    assert 0 < sharper_bound(some, MINUTES, opened, least=0, until=end + MORNING)[0] <= end
    for aim in range(0, end + MORNING, 240):
        assert bound_beyond(aim, some, MINUTES, opened, least=0, until=end + MORNING) <= end


def test_enough_stops_early_and_stays_a_bound():
    some = works([600], [600], [600], [60])
    assert MORNING <= bound(some, enough=MORNING) <= bound(some)


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("stations", [1, 2, 3])
def test_no_plan_ends_before_the_bound(seed, stations):
    task = generated_task(seed, 12, stations, currents_a=(10, 6))
    opened = OpenMinutes(task.time.closed(60 * 1440))
    turns = [Turn(place, place % stations if one.station_min else -1) for place, one in enumerate(task.works)]
    for order in (turns, turns[::-1]):
        layout = lay_out(order, task.works, stations, task.minutes, opened, Later.READINGS)
        end = layout.score.makespan
        found = lower_bound(task.works, stations, task.minutes, opened, until=end, enough=10**9)
        assert 0 < found <= end
