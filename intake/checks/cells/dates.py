"""Dates as people type them: whole ones, and months or years alone. No missing part is ever guessed."""

import calendar
import re
from collections.abc import Iterable
from datetime import date
from enum import StrEnum
from functools import cache
from typing import NamedTuple

from intake.checks.cells.cell_text import LEAVE_EMPTY, is_placeholder, plain_figures, quoted
from intake.checks.cells.number_formats import hides_year, shown_precision
from intake.checks.cells.parsed_cell import Taken, Unreadable, note
from intake.model.battery import DatePrecision, MadeDate
from intake.model.raw_workbook import RawCell

FIRST_YEAR, LAST_YEAR = 1950, 2100
"""Nothing outside these years is taken for a date."""
_MONTHS_A_YEAR = 12


class DateSpan(NamedTuple):
    """The days that a date can be, both ends included; None: open."""

    earliest: date | None = None
    latest: date | None = None

    def takes(self, made: MadeDate) -> bool:
        """Say whether a day, or a part of the month or year, lies in the span."""
        late = self.latest is not None and made.earliest > self.latest
        return not late and (self.earliest is None or made.latest >= self.earliest)


ANY_DAY = DateSpan()


class DateOrder(StrEnum):
    """What ``03/04/2021`` means at a site."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


_MARK = r"[-./ ]"
_YEAR = r"(?P<year>[0-9]{4})"
_MONTH = r"(?P<month>[0-9]{1,2})"
_DAY = r"(?P<day>[0-9]{1,2})"
_TIME = r"([T ][0-9]{1,2}:[0-9]{2}(:[0-9]{2}(\.[0-9]+)?)?)?"
_ORDINAL_DAY = _DAY + r"(st|nd|rd|th)?\.?"
_NAME = r"(?P<name>[a-z]+)\.?"

_PATTERNS = tuple(
    re.compile(pattern, re.IGNORECASE | re.ASCII)
    for pattern in (
        _YEAR,
        rf"{_YEAR}{_MARK}{_MONTH}",
        rf"{_YEAR}([-./]){_MONTH}\2{_DAY}{_TIME}",
        rf"{_MONTH}{_MARK}{_YEAR}",
        rf"{_ORDINAL_DAY}[- ]?{_NAME},?[- ]?{_YEAR}",
        rf"{_NAME} ?{_ORDINAL_DAY},? ?{_YEAR}",
        rf"{_NAME},?[-/ ]?{_YEAR}",
        rf"{_YEAR}[-/ ]{_NAME}",
    )
)
_TWO_WAY = re.compile(rf"(?P<one>[0-9]{{1,2}})([-./ ])(?P<other>[0-9]{{1,2}})\2{_YEAR}")

_EXPECTED = {
    False: f"a whole date from {FIRST_YEAR} to {LAST_YEAR}, such as 2026-11-20",
    True: f"a date, month or year from {FIRST_YEAR} to {LAST_YEAR}, such as 2021-03-14, 2021-03 or 2021",
}
_HINTS = {
    False: "Type year, month and day with hyphens, such as 2026-11-20.",
    True: "Type 2021-03-14, March 2021, 03/2021 or 2021; the year always with four digits.",
}
_FORMAT_AS_DATE = "Format the cell as a date or as text, and type the date again."


def read_date(
    cell: RawCell, *, date_order: DateOrder | None, span: DateSpan = ANY_DAY
) -> Taken[date] | Unreadable:
    """Return a whole date; a month or a year alone is not one.

    ``span`` says which readings of an ambiguous date can be meant; it judges no other date.
    """
    found = _read(cell, date_order, span, partial=False)
    if isinstance(found, Unreadable):
        return found
    if found.value.precision is not DatePrecision.DAY:
        return _no_date(cell, partial=False)
    return Taken(found.value.earliest, found.remarks)


def read_partial_date(
    cell: RawCell, *, date_order: DateOrder | None, span: DateSpan = ANY_DAY
) -> Taken[MadeDate] | Unreadable:
    """Return a date, a month or a year with the precision that was written or shown."""
    return _read(cell, date_order, span, partial=True)


def _read(
    cell: RawCell, date_order: DateOrder | None, span: DateSpan, *, partial: bool
) -> Taken[MadeDate] | Unreadable:
    value = cell.value
    if isinstance(value, date):
        return _from_true_date(cell, value, partial=partial)
    if isinstance(value, str):
        return _from_text(cell, value, date_order, span, partial=partial)
    if isinstance(value, int | float) and not isinstance(value, bool):
        made = _made(int(value)) if value in range(FIRST_YEAR, LAST_YEAR + 1) else None
        return Taken(made) if made else _no_date(cell, partial=partial, hint=_FORMAT_AS_DATE)
    return _no_date(cell, partial=partial)


def _no_date(cell: RawCell, *, partial: bool, hint: str = "") -> Unreadable:
    message = f"{quoted(cell.value)} cannot be read as a date; expected {_EXPECTED[partial]}."
    return Unreadable(message, hint or _HINTS[partial])


def _from_true_date(cell: RawCell, value: date, *, partial: bool) -> Taken[MadeDate] | Unreadable:
    precision = shown_precision(cell.number_format)
    month = None if precision is DatePrecision.YEAR else value.month
    made = _made(value.year, month, value.day if precision is DatePrecision.DAY else None)
    if made is None:
        hint = f"{_HINTS[partial]} If it was never meant as a date, format the cell as text."
        return _no_date(cell, partial=partial, hint=hint)
    if hides_year(cell.number_format):
        return Taken(made, (note(f"The cell shows no year; the date was taken as {made.text}."),))
    return Taken(made)


def _from_text(
    cell: RawCell, text: str, date_order: DateOrder | None, span: DateSpan, *, partial: bool
) -> Taken[MadeDate] | Unreadable:
    if is_placeholder(text):
        return _no_date(cell, partial=partial, hint=LEAVE_EMPTY)
    typed = plain_figures(text)
    two_way = _TWO_WAY.fullmatch(typed)
    if two_way:
        return _from_two_way(cell, two_way, date_order, span, partial=partial)
    matches = (pattern.fullmatch(typed) for pattern in _PATTERNS)
    dates = [made for match in matches if match for made in [_from_parts(match.groupdict())] if made]
    return Taken(dates[0]) if dates else _no_date(cell, partial=partial)


def _from_parts(parts: dict[str, str | None]) -> MadeDate | None:
    name, month, day = parts.get("name"), parts.get("month"), parts.get("day")
    number = _month_number(name) if name else int(month) if month else None
    if name and number is None:
        return None
    return _made(int(parts["year"] or 0), number, int(day) if day else None)


@cache
def _month_number(name: str) -> int | None:
    from dateutil.parser import parserinfo  # takes longer to load than most dates to read; few are in words

    number: int | None = parserinfo().month(name)
    return number


def _from_two_way(
    cell: RawCell, match: re.Match[str], date_order: DateOrder | None, span: DateSpan, *, partial: bool
) -> Taken[MadeDate] | Unreadable:
    one, other, year = int(match["one"]), int(match["other"]), int(match["year"])
    by_order = {
        DateOrder.DAY_FIRST: _made(year, other, one),
        DateOrder.MONTH_FIRST: _made(year, one, other),
    }
    possible = _distinct(by_order.values())
    if not possible:
        return _no_date(cell, partial=partial)
    if len(possible) == 1:
        return Taken(possible[0])
    chosen = by_order.get(date_order) if date_order else None
    if chosen:
        return Taken(chosen)
    first, second = (made.text for made in possible)
    can_be = [made.text for made in possible if span.takes(made)]
    if len(can_be) == 1:
        cannot_be = second if can_be == [first] else first
        return Unreadable(
            f"{quoted(cell.value)} can be read in two ways, and {cannot_be} cannot be meant;"
            f" expected {_EXPECTED[partial]}.",
            f"Type {can_be[0]} if that is the day.",
        )
    if not can_be:
        return Unreadable(
            f"{quoted(cell.value)} can be read in two ways, {first} or {second}, and neither can be meant;"
            f" expected {_EXPECTED[partial]}.",
            _HINTS[partial],
        )
    return Unreadable(
        f"{quoted(cell.value)} can be read as {first} or as {second}; expected {_EXPECTED[partial]}.",
        f"Type {first} or {second}. If the whole site writes dates in one order, whoever runs the tool can "
        "set --day-first or --month-first.",
    )


def _distinct(dates: Iterable[MadeDate | None]) -> list[MadeDate]:
    return list(dict.fromkeys(one for one in dates if one))


def _made(year: int, month: int | None = None, day: int | None = None) -> MadeDate | None:
    """Return the date with the precision of its parts; None where there is no such day."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        return None
    if month is None:
        return MadeDate(date(year, 1, 1), date(year, _MONTHS_A_YEAR, 31), DatePrecision.YEAR)
    if not 1 <= month <= _MONTHS_A_YEAR:
        return None
    last = calendar.monthrange(year, month)[1]
    if day is None:
        return MadeDate(date(year, month, 1), date(year, month, last), DatePrecision.MONTH)
    if not 1 <= day <= last:
        return None
    whole = date(year, month, day)
    return MadeDate(whole, whole, DatePrecision.DAY)
