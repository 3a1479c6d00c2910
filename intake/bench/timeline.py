"""One order of work, laid out in time: stations filled one after another, the person's minutes taken once.

All times are whole minutes from the plan's start. The person's time is one byte a minute, 0 where free,
so that the next free stretch is found by a search for zeros.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from typing import NamedTuple

_FREE = b"\0"
_TAKEN = b"\1"


class Reading(NamedTuple):
    """A reading that is due some minutes after the disconnecting, or after the start."""

    after_min: int
    latest_min: int | None
    """None: may be later."""


class Work(NamedTuple):
    """One battery's work as the scheduler sees it. ``station_min`` is empty where it needs no station."""

    name: str
    station_min: tuple[int | None, ...]
    """Minutes on each station; None where that station may not take it."""
    readings: tuple[Reading, ...]


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


class Later(Enum):
    """Which of the person's tasks go first when both wait."""

    READINGS = "stations first, long readings after"
    STATIONS = "readings first"


class HorizonTooShort(Exception):
    """The minutes laid out in advance do not reach the end of the plan."""


@dataclass(frozen=True, slots=True)
class Layout:
    """A whole plan laid out."""

    turns: tuple[Turn, ...]
    placed: tuple[Placed, ...]
    score: Score


class Person:
    """The one person's minutes."""

    __slots__ = ("_taken",)

    def __init__(self, closed: bytes) -> None:
        self._taken = bytearray(closed)

    def earliest(self, start: int, minutes: int) -> int:
        """Return the first minute from ``start`` on at which so many minutes are free.

        Raises
        ------
        HorizonTooShort
            There is none.
        """
        found = self._taken.find(_FREE * (minutes or 1), start)
        if found < 0:
            raise HorizonTooShort
        return found

    def take(self, start: int, minutes: int) -> None:
        """Mark minutes as taken."""
        self._taken[start : start + minutes] = _TAKEN * minutes


def lay_out(
    turns: Sequence[Turn], works: Sequence[Work], stations: int, minutes: Minutes, closed: bytes, later: Later
) -> Layout:
    """Place each turn in the order given, every task at the first free moment.

    Raises
    ------
    HorizonTooShort
        ``closed`` does not reach far enough.
    """
    person = Person(closed)
    free = [0] * stations
    after: list[tuple[int, int, Placed]] = []
    done: list[Placed] = []
    for turn in turns:
        one = _on_station(turn, works[turn.work], free, minutes, person)
        if later is Later.STATIONS:
            done.append(_with_long_readings(one, works[turn.work], minutes, person))
        else:
            after.append((_first_open_reading(one, works[turn.work], minutes), len(after), one))
    for _, _, one in sorted(after):
        done.append(_with_long_readings(one, works[one.work], minutes, person))
    return Layout(tuple(turns), tuple(done), score_of(done, works, minutes))


def score_of(placed: Sequence[Placed], works: Sequence[Work], minutes: Minutes) -> Score:
    """Return makespan, sum of the finishing times, and the sum by which readings are late."""
    finished = [one.finished for one in placed]
    late = sum(
        taken - base(one, minutes) - reading.after_min
        for one in placed
        for taken, reading in zip(one.readings, works[one.work].readings, strict=True)
    )
    return Score(max(finished, default=0), sum(finished), late)


def base(placed: Placed, minutes: Minutes) -> int:
    """Return the minute from which a battery's readings count."""
    return placed.disconnect + minutes.disconnect if placed.station >= 0 else 0


def _on_station(turn: Turn, work: Work, free: list[int], minutes: Minutes, person: Person) -> Placed:
    """Place connecting, charging, disconnecting and the readings that may not be late."""
    if turn.station < 0:
        return Placed(turn.work, -1, 0, 0, 0, _bound_readings(0, work, minutes, person), 0)
    length = work.station_min[turn.station]
    if length is None:
        raise ValueError(f"station {turn.station} may not take {work.name}")
    connect = person.earliest(free[turn.station], minutes.connect)
    person.take(connect, minutes.connect)
    charged = connect + minutes.connect + length
    disconnect = earliest_disconnect(charged, work.readings, minutes, person)
    person.take(disconnect, minutes.disconnect)
    free[turn.station] = disconnect + minutes.disconnect
    readings = _bound_readings(free[turn.station], work, minutes, person)
    return Placed(turn.work, turn.station, connect, charged, disconnect, readings, free[turn.station])


def earliest_disconnect(charged: int, readings: Sequence[Reading], minutes: Minutes, person: Person) -> int:
    """Return the first moment from which the readings that may not be late can be taken in time."""
    start = charged
    while True:
        start = person.earliest(start, minutes.disconnect)
        ready = start + minutes.disconnect
        over = 0
        for reading in readings:
            if reading.latest_min is not None:
                taken = person.earliest(ready + reading.after_min, minutes.reading)
                over = max(over, taken - ready - reading.latest_min)
        if over <= 0:
            return start
        start += over


def _bound_readings(ready: int, work: Work, minutes: Minutes, person: Person) -> tuple[int, ...]:
    taken = []
    for reading in work.readings:
        if reading.latest_min is None:
            break
        taken.append(person.earliest(ready + reading.after_min, minutes.reading))
        person.take(taken[-1], minutes.reading)
    return tuple(taken)


def _first_open_reading(placed: Placed, work: Work, minutes: Minutes) -> int:
    waiting = work.readings[len(placed.readings) :]
    return base(placed, minutes) + (waiting[0].after_min if waiting else 0)


def _with_long_readings(placed: Placed, work: Work, minutes: Minutes, person: Person) -> Placed:
    taken = list(placed.readings)
    for reading in work.readings[len(taken) :]:
        taken.append(person.earliest(base(placed, minutes) + reading.after_min, minutes.reading))
        person.take(taken[-1], minutes.reading)
    finished = taken[-1] + minutes.reading if taken else placed.finished
    return placed._replace(readings=tuple(taken), finished=finished)
