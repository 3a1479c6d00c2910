"""What work, stations and the person's minutes are to the scheduler, and what laid out in time they give.

All times are whole minutes from the plan's start. The person's time is one byte a minute, 0 where free,
so that the next free stretch is found by a search for zeros.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

_FREE = b"\0"


class DueReading(NamedTuple):
    """A reading that is due some minutes after the disconnecting, or after the start."""

    after_min: int
    latest_min: int | None
    """None: may be later."""


class Work(NamedTuple):
    """One battery's work as the scheduler sees it. ``station_min`` is empty where it needs no station."""

    name: str
    station_min: tuple[int | None, ...]
    """Minutes on each station; None where that station may not take it."""
    readings: tuple[DueReading, ...]
    """In the order of their hours; those that may not be late stand first."""
    stays: bool = False
    """Keeps its station to itself until its last reading."""
    attended: bool = False
    """Charged only while the person is there."""


class Minutes(NamedTuple):
    """What the person's tasks take."""

    connect: int
    disconnect: int
    reading: int


class Turn(NamedTuple):
    """One battery's turn on one station; ``station`` is -1 where it needs none."""

    work: int
    station: int


class Placed(NamedTuple):
    """One battery laid out in time. ``connect`` to ``disconnect`` are starts."""

    work: int
    station: int
    connect: int
    charged: int
    """The end of the charge."""
    disconnect: int
    readings: tuple[int, ...]
    finished: int


class Score(NamedTuple):
    """What a plan is judged by, in this order; all in minutes."""

    makespan: int
    total_finished: int
    late: int


class HorizonTooShort(Exception):
    """The minutes laid out in advance do not reach the end of the plan."""


@dataclass(frozen=True, slots=True)
class Layout:
    """A whole plan laid out."""

    turns: tuple[Turn, ...]
    placed: tuple[Placed, ...]
    score: Score


def first_free(taken: bytes | bytearray, start: int, minutes: int) -> int:
    """Return the first minute from ``start`` on at which so many minutes are free.

    Raises
    ------
    HorizonTooShort
        There is none.
    """
    found = taken.find(_FREE * (minutes or 1), start)
    if found < 0:
        raise HorizonTooShort
    return found


def score_of(placed: Sequence[Placed], works: Sequence[Work], minutes: Minutes) -> Score:
    """Return makespan, sum of the finishing times, and the sum by which readings are late."""
    total = makespan = late = 0
    for one in placed:
        total += one.finished
        if one.finished > makespan:
            makespan = one.finished
        late += sum(one.readings) - len(one.readings) * base(one, minutes)
        for after_min, _ in works[one.work].readings:
            late -= after_min
    return Score(makespan, total, late)


def base(placed: Placed, minutes: Minutes) -> int:
    """Return the minute from which a battery's readings count."""
    return placed.disconnect + minutes.disconnect if placed.station >= 0 else 0


def earliest_disconnect(
    charged: int, readings: Sequence[DueReading], minutes: Minutes, taken: bytes | bytearray
) -> int:
    """Return the first moment from which the readings that may not be late can be taken in time."""
    start = charged
    while True:
        start = first_free(taken, start, minutes.disconnect)
        ready = start + minutes.disconnect
        over = 0
        for after_min, latest_min in readings:
            if latest_min is None:
                break
            over = max(over, first_free(taken, ready + after_min, minutes.reading) - ready - latest_min)
        if over <= 0:
            return start
        start += over
