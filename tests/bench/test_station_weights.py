"""Weights that show by when not all can be done, checked by what the stations can carry."""

from collections import Counter

import pytest

from intake.bench.bounds.bound import lower_bound
from intake.bench.bounds.pattern import Offer, QuickRows, heaviest, offers_of
from intake.bench.bounds.station_weights import sought_weights
from intake.bench.floor import Floor, Kind, kind_of
from intake.bench.schedule import solve
from intake.bench.timeline import Minutes, Work
from intake.bench.working_minutes import OpenMinutes
from tests.bench.generated import HOLD, unlike_task

DAYS = OpenMinutes((bytes(540) + b"\1" * 900) * 30)
MINUTES = Minutes(5, 5, 3)


def kind(*station_min, stays=False, attended=False, readings=HOLD):
    return Kind(station_min, readings, stays, attended)


def carried(some, weights, until):
    floor = Floor(DAYS, MINUTES)
    rows = (
        heaviest(0, offers_of({one: one.station_min[place] for one in some}, weights), floor, until=until)
        for place in range(len(next(iter(some)).station_min))
    )
    return sum(row.weights[-1] for row in rows)


def sought(some, until):
    return sought_weights(some, QuickRows(Floor(DAYS, MINUTES), until, step_min=1), until, met=[])


def test_the_heaviest_row_by_hand():
    """By the second evening: two short ones on each day, and the long one in the night between."""
    long, short = kind(600), kind(200)
    floor = Floor(DAYS, MINUTES)
    row = heaviest(0, [Offer(5, 600, long), Offer(2, 200, short)], floor, until=1440 + 540)
    assert row.taken == Counter({long: 1, short: 4})
    assert row.weights[-1] == 13
    assert [row.weight_by(moment) for moment in (0, 209, 210, 420, 1444, 1445)] == [0, 0, 2, 4, 4, 9]


def test_one_that_stays_counts_when_it_is_off_and_blocks_until_it_is_read():
    one = kind(100, stays=True)
    row = heaviest(0, [Offer(1, 100, one)], Floor(DAYS, MINUTES), until=2 * 1440 - 1)
    assert (row.moments, row.weights) == ([0, 110, 1443 + 110], [0, 1, 2])


def test_a_shorter_and_heavier_one_makes_another_one_needless():
    some = [Offer(2, 100, kind(100)), Offer(1, 200, kind(200)), Offer(1, 90, kind(90, attended=True))]
    row = heaviest(0, some, Floor(DAYS, MINUTES), until=540)
    assert set(row.taken) == {kind(100)}


def test_one_without_readings_may_be_off_where_a_shorter_one_may_not():
    """Full at 505, the first waits for the next morning: its first reading would come after the closing."""
    some = [Offer(5, 500, kind(500)), Offer(3, 520, kind(520, readings=()))]
    row = heaviest(0, some, Floor(DAYS, MINUTES), until=540)
    assert (row.moments, row.weights) == ([0, 530], [0, 3])


@pytest.mark.parametrize(("nights", "told"), [(3, True), (4, False)])
def test_weights_that_tell_are_a_proof(nights, told):
    """Four charges of a night each, on one station: off on the fifth morning, not on the fourth."""
    some = Counter({kind(600): 2, kind(610): 2})
    until = nights * 1440 + 539
    weights, _, tell = sought(some, until)
    assert tell == told
    needed = sum(weights[one] * count for one, count in some.items())
    assert (carried(some, weights, until) < needed) == told


def test_two_unlike_stations_want_more_than_a_limit():
    """Each takes one kind a night only; weights by the shortest time alone do not see it."""
    some = Counter({kind(600, None): 1, kind(None, 600): 3})
    assert sought(some, 2 * 1440 + 539).tell
    assert not sought(some, 3 * 1440 + 539).tell


def test_a_battery_without_readings_is_not_waited_for():
    """Drawn for a capacity test: off is done. The bound must not add the hold of the other one."""
    works = [Work("A", (100,), HOLD), *(Work(f"B{place}", (600,), ()) for place in range(3))]
    found = lower_bound(works, 1, MINUTES, DAYS, until=20 * 1440, enough=10**9)
    assert 3 * 1440 <= found <= 3 * 1440 + 5


@pytest.mark.parametrize("seed", [6, 14, 32, 41, 44, 143, 194])
def test_no_plan_of_unlike_stations_ends_before_its_bound(seed):
    solution = solve(unlike_task(seed))
    end = solution.layout.score.makespan
    assert solution.bound <= end < solution.bound * 1.03
    kinds = {kind_of(work) for work in unlike_task(seed).works if work.station_min}
    assert len({one.station_min[0] for one in kinds}) > 1


@pytest.mark.parametrize("seed", [6, 23, 122])
def test_longer_steps_never_underrate_a_station(seed):
    task = unlike_task(seed)
    some = [kind_of(work) for work in task.works if work.station_min]
    floor = Floor(OpenMinutes(task.time.closed(30 * 1440)), task.minutes)
    for place in range(task.stations):
        lengths = {one: one.station_min[place] for one in some}
        offers = offers_of(lengths, {one: length or 0 for one, length in lengths.items()})
        exact, quick = (heaviest(0, offers, floor, until=8_000, step_min=step) for step in (1, 5))
        assert exact.weights[-1] <= quick.weights[-1] < 1.05 * exact.weights[-1]


def test_a_step_never_leads_back():
    """A battery off within the step in which its station was free: time goes on all the same."""
    floor = Floor(OpenMinutes(bytes(30)), Minutes(0, 0, 3))
    some = [Offer(1, 2, kind(2, readings=())), Offer(1, 2, kind(2, readings=(), attended=True))]
    for offers in ([some[0]], [some[1]]):
        row = heaviest(0, offers, floor, until=29, step_min=5)
        assert 14 <= row.weights[-1] <= 29
