"""Shifts and days from text, and the minutes they open."""

from datetime import datetime

import pytest

from intake.bench.working_time import (
    Shift,
    WorkingTime,
    WorkingTimeRefused,
    days_from,
    merged,
    shift_from,
)

MONDAY = datetime(2026, 11, 23)


@pytest.mark.parametrize(
    ("text", "shift", "printed"),
    [
        ("08:00-17:00", Shift(480, 1020), "08:00-17:00"),
        (" 6:30 - 14:15 ", Shift(390, 855), "06:30-14:15"),
        ("22:00-06:00", Shift(1320, 1800), "22:00-06:00"),
        ("00:00-23:59", Shift(0, 1439), "00:00-23:59"),
        ("12:00-00:00", Shift(720, 1440), "12:00-00:00"),
    ],
)
def test_shifts(text, shift, printed):
    assert shift_from(text) == shift
    assert shift.text == printed


@pytest.mark.parametrize(
    "text", ["", "8-17", "08:00", "08:00-08:00", "24:00-25:00", "08:60-17:00", "08:00–17:00", "8h-17h"]
)
def test_no_shift(text):
    with pytest.raises(WorkingTimeRefused, match="expected two times like 08:00-17:00"):
        shift_from(text)


@pytest.mark.parametrize(
    ("text", "days"),
    [
        ("mon-fri", {0, 1, 2, 3, 4}),
        ("Mon, Wed ,saturday,Thurs", {0, 2, 3, 5}),
        ("sat-mon", {5, 6, 0}),
        ("sun", {6}),
        ("mon-sun", set(range(7))),
        ("mon-tue,fri", {0, 1, 4}),
    ],
)
def test_days(text, days):
    assert days_from(text) == days


@pytest.mark.parametrize(
    "text", ["", "mo", "monday to friday", "mon-tue-wed", "mon,,tue", "1-5", "mo-fr", "mondays", "fri-"]
)
def test_no_days(text):
    with pytest.raises(WorkingTimeRefused, match="expected names like mon-fri or mon,wed,sat"):
        days_from(text)


def opened(time, minutes):
    closed = time.closed(minutes)
    assert len(closed) == minutes
    return [minute for minute in range(minutes) if not closed[minute]]


def test_open_minutes_count_from_the_start():
    time = WorkingTime(MONDAY, (Shift(480, 1020),), frozenset({0, 1, 2, 3, 4}))
    week = opened(time, 7 * 1440)
    assert len(week) == 5 * 540
    assert (week[0], week[539], week[540]) == (480, 1019, 1440 + 480)
    late = WorkingTime(MONDAY.replace(hour=16), (Shift(480, 1020),), frozenset({0}))
    assert opened(late, 1440) == list(range(60))


def test_a_night_shift_runs_into_the_next_day():
    """It belongs to the day on which it opens, also when the plan starts in the middle of it."""
    night = (Shift(1320, 1800),)
    assert opened(WorkingTime(MONDAY, night, frozenset({0})), 2880) == list(range(1320, 1800))
    assert opened(WorkingTime(MONDAY, night, frozenset({6})), 1440) == list(range(360))


def test_several_shifts():
    time = WorkingTime(MONDAY, (Shift(0, 10), Shift(20, 25)), frozenset({0}))
    assert opened(time, 30) == [*range(10), *range(20, 25)]


def test_shifts_are_ordered():
    assert merged((Shift(800, 900), Shift(100, 800))) == (Shift(100, 800), Shift(800, 900))


@pytest.mark.parametrize(
    "shifts",
    [(Shift(100, 300), Shift(299, 400)), (Shift(1320, 1800), Shift(300, 400)), (Shift(5, 9), Shift(5, 9))],
)
def test_shifts_that_overlap_are_refused(shifts):
    with pytest.raises(WorkingTimeRefused, match=r"^The shifts .* overlap\.$"):
        merged(shifts)


def test_a_night_shift_may_end_where_the_early_one_begins():
    assert merged((Shift(1320, 1800), Shift(360, 700))) == (Shift(360, 700), Shift(1320, 1800))
