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
    """In the order of their hours; those that may not be late stand first."""
    stays: bool = False
    """Keeps its station to itself until its last reading."""


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


def lay_out(
    turns: Sequence[Turn], works: Sequence[Work], stations: int, minutes: Minutes, closed: bytes, later: Later
) -> Layout:
    """Place each turn in the order given, every task at the first free moment.

    Raises
    ------
    HorizonTooShort
        ``closed`` does not reach far enough.
    """
    taken = bytearray(closed)
    free = [0] * stations
    waiting: list[tuple[int, int, Placed]] = []
    done: list[Placed] = []
    for turn in turns:
        work = works[turn.work]
        one = _on_station(turn, work, free, minutes, taken)
        if later is Later.STATIONS or work.stays:
            one = _with_long_readings(one, work, minutes, taken)
            done.append(one)
            if work.stays and turn.station >= 0:
                free[turn.station] = one.finished
        else:
            waiting.append((_first_open_reading(one, work, minutes), len(waiting), one))
    for _, _, one in sorted(waiting):
        done.append(_with_long_readings(one, works[one.work], minutes, taken))
    return Layout(tuple(turns), tuple(done), score_of(done, works, minutes))


def score_of(placed: Sequence[Placed], works: Sequence[Work], minutes: Minutes) -> Score:
    """Return makespan, sum of the finishing times, and the sum by which readings are late."""
    total = makespan = late = 0
    for one in placed:
        total += one.finished
        makespan = max(makespan, one.finished)
        late += sum(one.readings) - len(one.readings) * base(one, minutes)
        for reading in works[one.work].readings:
            late -= reading.after_min
    return Score(makespan, total, late)


def begun_later(layout: Layout, by_min: int, works: Sequence[Work], minutes: Minutes) -> Layout:
    """Return the layout with every task so many minutes later."""
    placed = tuple(
        one._replace(
            connect=one.connect + by_min,
            charged=one.charged + by_min,
            disconnect=one.disconnect + by_min,
            readings=tuple(taken + by_min for taken in one.readings),
            finished=one.finished + by_min,
        )
        for one in layout.placed
    )
    return Layout(layout.turns, placed, score_of(placed, works, minutes))


def base(placed: Placed, minutes: Minutes) -> int:
    """Return the minute from which a battery's readings count."""
    return placed.disconnect + minutes.disconnect if placed.station >= 0 else 0


def _on_station(turn: Turn, work: Work, free: list[int], minutes: Minutes, taken: bytearray) -> Placed:
    """Place connecting, charging, disconnecting and the readings that may not be late."""
    place, station = turn
    if station < 0:
        return Placed(place, -1, 0, 0, 0, _bound_readings(0, work, minutes, taken), 0)
    length = work.station_min[station]
    if length is None:
        raise ValueError(f"station {station} may not take {work.name}")
    connect = first_free(taken, free[station], minutes.connect)
    _take(taken, connect, minutes.connect)
    charged = connect + minutes.connect + length
    disconnect = earliest_disconnect(charged, work.readings, minutes, taken)
    _take(taken, disconnect, minutes.disconnect)
    ready = free[station] = disconnect + minutes.disconnect
    return Placed(
        place, station, connect, charged, disconnect, _bound_readings(ready, work, minutes, taken), ready
    )


def earliest_disconnect(
    charged: int, readings: Sequence[Reading], minutes: Minutes, taken: bytes | bytearray
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


def _take(taken: bytearray, start: int, minutes: int) -> None:
    taken[start : start + minutes] = _TAKEN * minutes


def _bound_readings(ready: int, work: Work, minutes: Minutes, taken: bytearray) -> tuple[int, ...]:
    found = []
    for after_min, latest_min in work.readings:
        if latest_min is None:
            break
        found.append(first_free(taken, ready + after_min, minutes.reading))
        _take(taken, found[-1], minutes.reading)
    return tuple(found)


def _first_open_reading(placed: Placed, work: Work, minutes: Minutes) -> int:
    waiting = work.readings[len(placed.readings) :]
    return base(placed, minutes) + (waiting[0].after_min if waiting else 0)


def _with_long_readings(placed: Placed, work: Work, minutes: Minutes, taken: bytearray) -> Placed:
    place, station, connect, charged, disconnect, readings, finished = placed
    ready = base(placed, minutes)
    found = list(readings)
    for after_min, _ in work.readings[len(found) :]:
        found.append(first_free(taken, ready + after_min, minutes.reading))
        _take(taken, found[-1], minutes.reading)
    if found:
        finished = found[-1] + minutes.reading
    return Placed(place, station, connect, charged, disconnect, tuple(found), finished)
