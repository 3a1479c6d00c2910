"""One station of which the person is never busy elsewhere, by hand."""

import sys

import pytest

from intake.bench.floor import Floor, Kind, in_order, kind_of, length_on, shortest
from intake.bench.timeline import Minutes, Work
from intake.bench.working_minutes import OpenMinutes
from tests.bench.generated import HOLD

DAYS = OpenMinutes((bytes(540) + b"\1" * 900) * 5)


def floor():
    return Floor(DAYS, Minutes(5, 5, 3))


def kind(*station_min, stays=False, attended=False):
    return Kind(station_min, HOLD, stays, attended)


def test_a_kind_is_the_work_without_its_name():
    one = kind_of(Work("W", (60, None), HOLD, attended=True))
    assert one == kind(60, None, attended=True)
    assert (length_on(one, 0), length_on(one, 1), shortest(one)) == (60, float("inf"), 60)


def test_kinds_that_no_station_in_common_takes_have_an_order():
    some = [kind(None, 60), kind(60, None), kind(60, 60), kind(60, 60, attended=True)]
    assert sorted(some, key=in_order) == [some[2], some[3], some[1], some[0]]


@pytest.mark.parametrize(
    ("free", "length", "fields", "found"),
    [
        (0, 100, {}, (110, 110)),
        (0, 600, {}, (1445, 1445)),
        (0, 100, {"stays": True}, (110, 1443)),
        (100, 435, {"attended": True}, (1445, 1445)),
        (101, 435, {"attended": True}, (1440 + 445, 1440 + 445)),
        (0, 600, {"attended": True}, (1440 + 70, 1440 + 70)),
    ],
)
def test_turns(free, length, fields, found):
    """Off at 110; off in the morning; blocked until read; too late for the shift by a minute; paused."""
    one = kind(length, **fields)
    assert floor().turn(free, length, one) == found
    assert floor().turns(one)[free, length] == found


def test_a_turn_beyond_the_time_laid_out_never_ends():
    assert floor().turns(kind(9_000))[0, 9_000] == (sys.maxsize, sys.maxsize)


def test_reading_takes_place_after_its_hours_or_at_once():
    assert floor().read(110, 2, HOLD) == 1446
    assert floor().read(110, 2, ()) == 110
