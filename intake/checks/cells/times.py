"""Clock times as people write them, to the minute, with or without a day. No day is ever guessed here."""

import re
from datetime import date, datetime, time, timedelta
from typing import NamedTuple

from intake.checks.cells.cell_text import LEAVE_EMPTY, is_placeholder, plain_figures, quoted
from intake.checks.cells.dates import ANY_DAY, FIRST_YEAR, LAST_YEAR, DateOrder, DateSpan, read_date
from intake.checks.cells.number_formats import shows_clock
from intake.checks.cells.parsed_cell import Taken, Unreadable
from intake.model.raw_workbook import RawCell

_HALF_A_MINUTE = timedelta(seconds=30)
_ONE_DAY = timedelta(days=1)
_NOON = 12
_CLOCK = re.compile(
    r"(?:(?P<day>.*?[0-9a-z.])(?:,? |,|T))?(?P<hour>[0-9]{1,2})"
    r"(?:[:h](?P<minute>[0-9]{2})(:[0-9]{2}(\.[0-9]+)?)?)? ?(?P<half>[ap]\.?m\.?)?h?",
    re.IGNORECASE | re.ASCII,
)
_EXPECTED = {
    False: "a time of day, such as 16:30",
    True: "a day and a time, such as 2026-11-20 16:30",
}
_HINT = {
    False: "Type hours and minutes with a colon, such as 16:30.",
    True: "Type the day with hyphens and the time with a colon, such as 2026-11-20 16:30.",
}


class WrittenTime(NamedTuple):
    """A time of day, and the day it was written with; None where it stands alone."""

    clock: time
    day: date | None = None

    def on(self, day: date) -> datetime:
        """Return the moment; ``day`` counts where none was written."""
        return datetime.combine(self.day or day, self.clock)


def read_time(cell: RawCell) -> Taken[time] | Unreadable:
    """Return a time of day; the day of a full date and time is left out."""
    found = _read(cell, None, ANY_DAY, dated=False)
    return found if isinstance(found, Unreadable) else Taken(found.value.clock)


def read_date_time(
    cell: RawCell, *, date_order: DateOrder | None, span: DateSpan = ANY_DAY
) -> Taken[WrittenTime] | Unreadable:
    """Return a day and a time, or a time alone; a day alone is not enough."""
    return _read(cell, date_order, span, dated=True)


def _read(
    cell: RawCell, date_order: DateOrder | None, span: DateSpan, *, dated: bool
) -> Taken[WrittenTime] | Unreadable:
    value = cell.value
    if isinstance(value, date) and not FIRST_YEAR <= value.year <= LAST_YEAR:
        return _no_time(cell, dated=dated)
    if isinstance(value, datetime):
        if value.time() == time(0) and not shows_clock(cell.number_format):
            return _day_alone(cell, dated=dated)
        whole = _to_the_minute(value)
        return Taken(WrittenTime(whole.time(), whole.date()))
    if isinstance(value, time):
        return Taken(WrittenTime(_to_the_minute(datetime.combine(date.min, value)).time()))
    if isinstance(value, timedelta) and timedelta(0) <= value < _ONE_DAY:
        return Taken(WrittenTime(_to_the_minute(datetime.min + value).time()))
    if isinstance(value, date):
        return _day_alone(cell, dated=dated)
    if isinstance(value, str):
        return _from_text(cell, value, date_order, span, dated=dated)
    return _no_time(cell, dated=dated)


def _to_the_minute(moment: datetime) -> datetime:
    return (moment + _HALF_A_MINUTE).replace(second=0, microsecond=0)


def _from_text(
    cell: RawCell, text: str, date_order: DateOrder | None, span: DateSpan, *, dated: bool
) -> Taken[WrittenTime] | Unreadable:
    if is_placeholder(text):
        return _no_time(cell, dated=dated, hint=LEAVE_EMPTY)
    match = _CLOCK.fullmatch(plain_figures(text))
    clock = _clock(match) if match else None
    if match is None or clock is None:
        day = read_date(cell, date_order=date_order)
        return _no_time(cell, dated=dated) if isinstance(day, Unreadable) else _day_alone(cell, dated=dated)
    if match["day"] is None:
        return Taken(WrittenTime(clock))
    day = read_date(RawCell(cell.row, cell.column, match["day"]), date_order=date_order, span=span)
    return day if isinstance(day, Unreadable) else Taken(WrittenTime(clock, day.value))


def _clock(match: re.Match[str]) -> time | None:
    """Return the time of day; None where there is no such time, or a figure stands alone."""
    hour, minute, half = int(match["hour"]), match["minute"], match["half"]
    if minute is None and half is None:
        return None
    if half is not None:
        if not 1 <= hour <= _NOON:
            return None
        hour = hour % _NOON + (_NOON if half[0] in "pP" else 0)
    try:
        return time(hour, int(minute or 0))
    except ValueError:
        return None


def _day_alone(cell: RawCell, *, dated: bool) -> Unreadable:
    return Unreadable(
        f"{quoted(cell.value)} is a day without a time; expected {_EXPECTED[dated]}.", _HINT[dated]
    )


def _no_time(cell: RawCell, *, dated: bool, hint: str = "") -> Unreadable:
    return Unreadable(
        f"{quoted(cell.value)} cannot be read as a time; expected {_EXPECTED[dated]}.",
        hint or _HINT[dated],
    )
