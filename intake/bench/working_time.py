"""When the one person is at the bench: shifts on the days of the week, as minutes from a start."""

import re
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from itertools import pairwise

MINUTES_PER_HOUR = 60
MINUTES_PER_DAY = 1440
DAYS_PER_WEEK = 7
DAY_NAMES = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_FULL_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_SHIFT = re.compile(r"(\d{1,2}):(\d{2})\s*-\s*(\d{1,2}):(\d{2})")


class WorkingTimeRefused(ValueError):
    """A text names no shift or no days. ``str()`` says what was read and what is expected."""


@dataclass(frozen=True, slots=True)
class Shift:
    """One shift in minutes from midnight; ``close`` may lie in the next day."""

    open_min: int
    close_min: int

    @property
    def text(self) -> str:
        """Like ``08:00-17:00``."""
        ends = (divmod(one % MINUTES_PER_DAY, MINUTES_PER_HOUR) for one in (self.open_min, self.close_min))
        return "-".join(f"{hours:02}:{minutes:02}" for hours, minutes in ends)


def shift_from(text: str) -> Shift:
    """Return the shift that a text like ``08:00-17:00`` names; one that ends earlier runs over midnight.

    Raises
    ------
    WorkingTimeRefused
        It is no pair of times, or both are the same.
    """
    match = _SHIFT.fullmatch(text.strip())
    figures = [int(one) for one in match.groups()] if match else [0, 0, 0, 0]
    opens, closes = (hour * MINUTES_PER_HOUR + minute for hour, minute in (figures[:2], figures[2:]))
    sound = all(hour * MINUTES_PER_HOUR < MINUTES_PER_DAY for hour in figures[::2])
    sound = sound and all(minute < MINUTES_PER_HOUR for minute in figures[1::2])
    if match is None or not sound or opens == closes:
        raise WorkingTimeRefused(f"'{text}' was read as a shift; expected two times like 08:00-17:00.")
    return Shift(opens, closes if closes > opens else closes + MINUTES_PER_DAY)


def days_from(text: str) -> frozenset[int]:
    """Return the days of the week, Monday 0, that a text like ``mon-fri`` or ``mon,wed,sat`` names.

    Raises
    ------
    WorkingTimeRefused
        A day cannot be read.
    """
    days: set[int] = set()
    for part in text.casefold().replace(" ", "").split(","):
        ends = [_day(name) for name in part.split("-")]
        first, last = ends[0], ends[-1]
        if len(ends) > len(("from", "to")) or first is None or last is None:
            raise WorkingTimeRefused(
                f"'{part}' was read as days; expected names like mon-fri or mon,wed,sat."
            )
        length = (last - first) % DAYS_PER_WEEK
        days |= {(first + step) % DAYS_PER_WEEK for step in range(length + 1)}
    return frozenset(days)


def _day(name: str) -> int | None:
    """Return the day of the week whose name begins so, with three letters at least."""
    short = len(name) < len(DAY_NAMES[0])
    return next((day for day, full in enumerate(_FULL_NAMES) if full.startswith(name) and not short), None)


@dataclass(frozen=True, slots=True)
class WorkingTime:
    """Shifts on days of the week, counted in minutes from ``start`` (local clock, no summer-time change)."""

    start: datetime
    shifts: tuple[Shift, ...]
    days: frozenset[int]

    def closed(self, minutes: int) -> bytes:
        """Return one byte a minute from the start: 0 where the person is there, 1 where not."""
        closed = bytearray(b"\1" * minutes)
        midnight = datetime.combine(self.start.date(), time())
        offset = (self.start - midnight) // timedelta(minutes=1)
        for day in range(-1, (minutes + offset) // MINUTES_PER_DAY + 1):
            if (midnight + timedelta(days=day)).weekday() in self.days:
                for shift in self.shifts:
                    opens, closes = (
                        max(0, day * MINUTES_PER_DAY - offset + one)
                        for one in (shift.open_min, shift.close_min)
                    )
                    closes = min(closes, minutes)
                    closed[opens:closes] = bytes(max(0, closes - opens))
        return bytes(closed)


def merged(shifts: tuple[Shift, ...]) -> tuple[Shift, ...]:
    """Return shifts in order of time.

    Raises
    ------
    WorkingTimeRefused
        Two of them overlap.
    """
    ordered = tuple(sorted(shifts, key=lambda one: (one.open_min, one.close_min)))
    wrapped = (*ordered, Shift(ordered[0].open_min + MINUTES_PER_DAY, ordered[0].close_min + MINUTES_PER_DAY))
    for earlier, later in pairwise(wrapped):
        if later.open_min < earlier.close_min:
            raise WorkingTimeRefused(f"The shifts {earlier.text} and {later.text} overlap.")
    return ordered
