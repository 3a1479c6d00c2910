"""Rows in which no battery comes twice, by hand and against all rows of a few batteries."""

from itertools import permutations
from random import Random

import pytest

from intake.bench.distinct_row import distinct_row
from intake.bench.floor import Floor
from intake.bench.timeline import Minutes, Work
from intake.bench.working_minutes import OpenMinutes
from tests.bench.generated import HOLD

DAYS = OpenMinutes((bytes(540) + b"\1" * 900) * 30)
MINUTES = Minutes(5, 5, 3)


def floor():
    return Floor(DAYS, MINUTES)


def row(lengths, weights, aim, **fields):
    works = [Work(f"W{place}", (length,), HOLD, **fields) for place, length in enumerate(lengths)]
    return distinct_row(works, dict(enumerate(weights)), 0, floor(), begins=0, aim=aim).works


def test_no_battery_comes_twice():
    """The first is so heavy that it would be taken each night."""
    assert sorted(row([600, 600, 600], [90, 1, 1], 9 * 1440)) == [0, 1, 2]


@pytest.mark.parametrize(("aim", "found"), [(1443, [0]), (1442, [])])
def test_each_is_read_by_the_aim(aim, found):
    """Off on the first day and read on the second morning, which takes three minutes."""
    assert row([100], [1], aim) == found


@pytest.mark.parametrize(("aim", "found"), [(1443, [0]), (1442, [])])
def test_one_that_stays_is_read_by_the_aim_as_well(aim, found):
    assert row([100], [1], aim, stays=True) == found


@pytest.mark.parametrize(("length", "found"), [(497, [1]), (498, [0])])
def test_an_attended_one_is_taken_where_it_fits_the_shift(length, found):
    """Off at 507, its first reading half an hour later ends with the shift; a minute more is a night."""
    works = [Work("A", (100,), HOLD), Work("B", (length,), HOLD, attended=True)]
    assert distinct_row(works, {0: 1, 1: 5}, 0, floor(), begins=0, aim=1443).works == found


@pytest.mark.parametrize(("begins", "found"), [(397, [0]), (398, [])])
def test_the_row_begins_when_the_station_is_free(begins, found):
    """Off at 507, its first reading half an hour later ends with the shift; a minute more is a night."""
    works = [Work("A", (100,), HOLD)]
    assert distinct_row(works, {0: 1}, 0, floor(), begins=begins, aim=1443).works == found


def test_what_the_station_may_not_take_is_left():
    works = [Work("A", (None, 100), HOLD), Work("B", (100, None), HOLD)]
    assert distinct_row(works, {0: 5, 1: 1}, 0, floor(), begins=0, aim=9 * 1440).works == [1]


def test_one_without_readings_may_be_off_later_than_a_shorter_one():
    """At the aim the first is off too late to be read; the other one, drawn for a capacity test, is done."""
    works = [Work("A", (500,), HOLD), Work("B", (520,), ())]
    assert distinct_row(works, {0: 5, 1: 1}, 0, floor(), begins=0, aim=540).works == [1]


def test_nothing_is_offered():
    assert distinct_row([], {}, 0, floor(), begins=0, aim=1440) == ([], 0)


@pytest.mark.parametrize("seed", range(20))
def test_it_can_be_kept_and_is_seldom_light(seed):
    """Five batteries, two days: at least nine tenths of the heaviest of all rows."""
    random = Random(seed)
    lengths = [random.randrange(60, 700) for _ in range(5)]
    weights = [random.randrange(1, 100) for _ in range(5)]
    aim = 3 * 1440 - 60

    def weight_of(order):
        free = total = 0
        for place in order:
            off, free = floor().turn(free, lengths[place], works[place])
            if floor().read(off, 1, HOLD) > aim:
                break
            total += weights[place]
        return total

    works = [Work(f"W{place}", (length,), HOLD) for place, length in enumerate(lengths)]
    found = distinct_row(works, dict(enumerate(weights)), 0, floor(), begins=0, aim=aim).works
    assert weight_of(found) == sum(weights[place] for place in found)
    assert weight_of(found) >= 0.9 * max(map(weight_of, permutations(range(5))))
