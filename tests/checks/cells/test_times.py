from datetime import date, datetime, time, timedelta

import pytest

from intake.checks.cells.dates import DateOrder, DateSpan
from intake.checks.cells.times import WrittenTime, read_date_time, read_time
from tests.checks.builders import cell, refusal, value_of

DAY = date(2026, 11, 20)


def dated(value, number_format="General", order=None):
    return read_date_time(cell(value, number_format), date_order=order)


@pytest.mark.parametrize(
    "value",
    [
        "16:30",
        " 16:30 ",
        "16:30:20",
        "16h30",
        "4:30 pm",
        "4:30pm",
        "4:30 P.M.",
        "16:30 h",
        time(16, 30),
        time(16, 29, 59, 999_000),
        timedelta(hours=16, minutes=30),
        "１６:３０",
    ],
)
def test_a_time_of_day_is_read_to_the_minute_and_has_no_day(value):
    assert WrittenTime(time(16, 30)) == value_of(dated(value))
    assert time(16, 30) == value_of(read_time(cell(value)))


@pytest.mark.parametrize(
    "value",
    [
        "2026-11-20 16:30",
        "2026-11-20T16:30",
        "2026-11-20, 16:30",
        "20 November 2026 16:30",
        "20 Nov 2026, 4:30 pm",
        "Nov 20, 2026 16:30",
        "20.11.2026 16:30",
        "20/11/2026 16:30:00",
        datetime(2026, 11, 20, 16, 30),
        datetime(2026, 11, 20, 16, 29, 59, 999_000),
    ],
)
def test_a_day_and_a_time_are_both_read(value):
    assert WrittenTime(time(16, 30), DAY) == value_of(dated(value))


@pytest.mark.parametrize(
    ("text", "expected"),
    [("12 am", time(0)), ("12:05 am", time(0, 5)), ("12 pm", time(12)), ("9pm", time(21)), ("0:00", time(0))],
)
def test_noon_and_midnight_by_the_twelve_hour_clock(text, expected):
    assert expected == value_of(read_time(cell(text)))


def test_midnight_counts_where_the_cell_shows_a_time():
    midnight = datetime(2026, 11, 20)
    assert WrittenTime(time(0), DAY) == value_of(dated(midnight, "yyyy-mm-dd hh:mm"))
    assert "is a day without a time" in refusal(dated(midnight, "yyyy-mm-dd")).message


@pytest.mark.parametrize("value", [DAY, "2026-11-20", "20 November 2026"])
def test_a_day_alone_is_refused(value):
    assert "is a day without a time" in refusal(dated(value)).message


@pytest.mark.parametrize(
    "value",
    [
        "24:30",
        "16:60",
        "13:00 pm",
        "0 am",
        "16",
        "noon",
        "yesterday 16:30",
        "16:30 Berlin",
        "x",
        17.5,
        True,
        timedelta(days=1),
        timedelta(minutes=-1),
        datetime(1949, 12, 31, 23, 59),
        datetime.max,
        date(2101, 1, 1),
    ],
)
def test_what_is_no_time_is_refused(value):
    for outcome in (dated(value), read_time(cell(value))):
        assert "expected" in refusal(outcome).message


def test_a_day_that_can_be_read_in_two_ways_is_refused_unless_the_site_says():
    assert "can be read as" in refusal(dated("03/04/2026 16:30")).message
    span = DateSpan(latest=date(2026, 4, 2))
    only = refusal(read_date_time(cell("03/04/2026 16:30"), date_order=None, span=span))
    assert "Type 2026-03-04 if that is the day." == only.hint
    assert WrittenTime(time(16, 30), date(2026, 4, 3)) == value_of(
        dated("03/04/2026 16:30", order=DateOrder.DAY_FIRST)
    )


def test_a_time_of_day_leaves_out_the_day():
    assert time(16, 30) == value_of(read_time(cell("2026-11-20 16:30")))


def test_a_written_day_comes_before_the_day_of_the_readings():
    assert datetime(2026, 11, 20, 16, 30) == WrittenTime(time(16, 30)).on(DAY)
    assert datetime(2026, 11, 20, 16, 30) == WrittenTime(time(16, 30), DAY).on(date(2026, 11, 22))
