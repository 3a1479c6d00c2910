"""One order of work laid out in time, minute by minute, by hand."""

import pytest

from intake.bench.layout import Later, lay_out
from intake.bench.timeline import (
    DueReading,
    HorizonTooShort,
    Minutes,
    Placed,
    Score,
    Turn,
    Work,
    base,
    earliest_disconnect,
    score_of,
)
from intake.bench.working_minutes import OpenMinutes

MINUTES = Minutes(connect=5, disconnect=5, reading=3)
HOLD = (DueReading(30, 60), DueReading(720, None))
DAY = bytes(540) + b"\1" * 900


def laid(turns, works, stations=1, closed=DAY * 5, later=Later.STATIONS):
    return lay_out([Turn(*one) for one in turns], works, stations, MINUTES, OpenMinutes(closed), later)


def work(*station_min, readings=HOLD, **fields):
    return Work("W", station_min, readings, **fields)


def test_one_battery_by_hand():
    """Connected at 0, full at 105, off at 110; read at 140 and, as 830 is at night, next morning."""
    (one,) = laid([(0, 0)], [work(100)]).placed
    assert one == Placed(0, 0, 0, 105, 105, (140, 1440), 1443)
    assert base(one, MINUTES) == 110


def test_a_battery_without_a_station_is_only_read():
    (one,) = laid([(0, -1)], [work(readings=(DueReading(30, None), DueReading(600, None)))]).placed
    assert (one.station, one.readings, one.finished) == (-1, (30, 1440), 1443)
    assert base(one, MINUTES) == 0


def test_it_waits_full_on_its_station_until_the_person_comes():
    (one,) = laid([(0, 0)], [work(600)]).placed
    assert (one.charged, one.disconnect, one.readings) == (605, 1440, (1475, 2880))


def test_it_is_not_disconnected_when_the_first_reading_would_be_late():
    """Off from 502 to 507, it is read from 537 to 540, the last minutes; one minute later it waits."""
    assert laid([(0, 0)], [work(497)]).placed[0].disconnect == 502
    assert laid([(0, 0)], [work(498)]).placed[0].disconnect == 1440
    assert earliest_disconnect(503, (DueReading(720, None),), MINUTES, DAY) == 503


def test_the_person_does_one_thing_at_a_time():
    """Two stations: the second battery is connected when the first one is."""
    one, two = laid([(0, 0), (1, 1)], [work(100, 100), work(100, 100)], stations=2).placed
    assert (one.connect, two.connect) == (0, 5)
    assert (one.disconnect, two.disconnect) == (105, 110)
    assert (one.readings, two.readings) == ((140, 1440), (145, 1443))


def test_a_station_holds_one_battery():
    one, two = laid([(0, 0), (1, 0)], [work(60), work(60)]).placed
    assert two.connect >= one.disconnect + MINUTES.disconnect


def test_a_station_is_cleared_when_its_next_turn_comes():
    """Both are full overnight; what is to be connected first in the morning has its station cleared first."""
    turns = [(0, 0), (1, 1), (2, 1), (3, 0)]
    layout = laid(turns, [work(600, 600)] * 4, stations=2, closed=DAY * 6, later=Later.READINGS)
    placed = {one.work: one for one in layout.placed}
    assert [placed[one].connect for one in range(4)] == [0, 5, 1445, 1455]
    assert (placed[1].disconnect, placed[0].disconnect) == (1440, 1450)


def test_what_nothing_follows_is_taken_off_last_in_order_of_charge():
    """Both are full at night; the morning's first minutes are the next turn's, then the earlier charge's."""
    turns = [(0, 0), (1, 1), (2, 2), (3, 2)]
    layout = laid(
        turns, [work(700, 700, 700), work(600, 600, 600), work(650, 650, 650), work(60, 60, 60)], stations=3
    )
    placed = {one.work: one for one in layout.placed}
    assert (placed[2].disconnect, placed[3].connect) == (1440, 1445)
    assert (placed[1].disconnect, placed[0].disconnect) == (1450, 1455)


def test_one_that_stays_keeps_its_station_until_its_last_reading():
    first, second = laid([(0, 0), (1, 0)], [work(60, stays=True), work(60)], later=Later.READINGS).placed
    assert first.finished == 1443
    assert second.connect == 1443


def test_an_attended_charge_begins_where_it_fits_the_shift():
    """Connected from 100 to 105 it has 435 minutes until 540; one minute more waits for the morning."""
    first = work(60)
    for length, connect in ((540 - 75, 70), (540 - 74, 1440)):
        _, one = laid([(0, 0), (1, 0)], [first, work(length, attended=True)], later=Later.READINGS).placed
        assert (one.connect, one.charged) == (connect, connect + 5 + length)


def test_an_attended_charge_longer_than_any_shift_is_paused_at_night():
    """535 minutes of the first day, 65 of the second; one that is not attended is full at 605."""
    assert laid([(0, 0)], [work(600, attended=True)]).placed[0].charged == 1440 + 65
    assert laid([(0, 0)], [work(600)]).placed[0].charged == 605
    assert laid([(0, 0)], [work(535, attended=True)]).placed[0].charged == 540
    assert laid([(0, 0)], [work(536, attended=True)]).placed[0].charged == 1441


def test_an_attended_charge_waits_for_the_person_as_well():
    """Two stations at once: the second is connected after the first, and no longer fits the shift then."""
    works = [work(100, 100), work(535, 535, attended=True)]
    assert laid([(0, 0), (1, 1)], works, stations=2).placed[1].connect == 1440
    assert laid([(1, 1), (0, 0)], works, stations=2).placed[1].connect == 0


def test_long_readings_go_first_or_last():
    """At 1440 a battery is to come off its station and another one to be read."""
    works = [work(60), work(600)]
    turns = [(0, 0), (1, 1)]
    both = [work(60, 60), work(600, 600)]
    first = laid(turns, both, stations=2, later=Later.STATIONS)
    last = laid(turns, both, stations=2, later=Later.READINGS)
    assert works[0].readings == HOLD
    assert (first.placed[0].readings[-1], first.placed[1].disconnect) == (1440, 1443)
    assert {one.work: one for one in last.placed}[1].disconnect == 1440
    assert {one.work: one for one in last.placed}[0].readings[-1] == 1445


def test_score_by_hand():
    """Two finish at 1443 and 1446; the long readings are late by 1440 - 830 and 1443 - 835 minutes."""
    works = [work(100, 100), work(100, 100)]
    found = laid([(0, 0), (1, 1)], works, stations=2)
    assert found.score == Score(1446, 1443 + 1446, 610 + 608)
    assert score_of((), (), MINUTES) == Score(0, 0, 0)


def test_a_station_that_may_not_take_it_is_a_mistake():
    with pytest.raises(ValueError, match="station 0 may not take W"):
        laid([(0, 0)], [work(None, 60)], stations=2)


def test_the_horizon_is_too_short():
    with pytest.raises(HorizonTooShort):
        laid([(0, 0)], [work(600)], closed=DAY)
