"""One station of which the person is never busy elsewhere, by hand."""

import sys
from random import Random

import pytest

from intake.bench.floor import Floor, Freed, Kind, in_order, kind_of, length_on, shortest
from intake.bench.timeline import DueReading, HorizonTooShort, Minutes, Work, earliest_disconnect
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


@pytest.mark.parametrize(("end", "found"), [(1443, 720), (1445, 720), (2880 + 2, 720 + 540)])
def test_the_last_moment_to_be_off_is_that_of_a_reading_in_time(end, found):
    """Twelve hours before the first minutes at which it may be read, or before the end of a shift."""
    off = floor().latest_off(end, HOLD)
    assert floor().read(off, 1, HOLD) <= end < floor().read(off + 1, 1, HOLD)
    assert off == pytest.approx(found, abs=3)


def test_where_nothing_can_be_read_in_time_nothing_may_be_off():
    assert floor().latest_off(1442, HOLD) == 0


def test_a_person_who_is_busy_connects_and_disconnects_later():
    """Busy for the first ten minutes and at 115, when the charge of a hundred minutes ends."""
    busy = bytearray(DAYS.closed)
    busy[0:10] = b"\1" * 10
    busy[112:130] = b"\1" * 18
    one = Floor(DAYS, Minutes(5, 5, 3), person=OpenMinutes(bytes(busy)))
    assert one.turn(0, 100, kind(100)) == (135, 135)
    assert one.turn(0, 100, kind(100, attended=True)) == (135, 135)


def test_a_busy_person_does_not_break_an_attended_charge():
    """Busy in the middle of it; it fits the shift all the same, and is not put off to a day without tasks."""
    busy = bytearray(DAYS.closed)
    busy[200:300] = b"\1" * 100
    one = Floor(DAYS, Minutes(5, 5, 3), person=OpenMinutes(bytes(busy)))
    assert one.turn(0, 435, kind(435, attended=True)) == (445, 445)
    assert one.turn(150, 435, kind(435, attended=True)) == (1885, 1885)


@pytest.mark.parametrize("seed", range(40))
def test_a_battery_is_off_when_the_plain_rule_says_so(seed):
    """Any minutes taken, any times: the first disconnecting from which what may not be late is not late."""
    random = Random(seed)
    taken = bytearray(DAYS.closed[: 5 * 1440])
    for _ in range(random.randrange(60)):
        start, length = random.randrange(len(taken) - 60), random.randrange(1, 60)
        taken[start : start + length] = b"\1" * length
    minutes = Minutes(random.randrange(9), random.randrange(9), random.randrange(6))
    readings = random.choice(
        ((), HOLD, (DueReading(30, 30),), (DueReading(10, 20), DueReading(40, 90)), (DueReading(720, None),))
    )
    freed = Freed(OpenMinutes(bytes(taken)), minutes, readings)
    for charged in range(0, 3 * 1440, 41):
        start = earliest_disconnect(charged, readings, minutes, taken)
        assert freed[charged] == start + minutes.disconnect


def test_beyond_the_time_laid_out_no_battery_is_off():
    with pytest.raises(HorizonTooShort):
        Freed(OpenMinutes(bytes(60)), Minutes(5, 5, 3), ())[56]
