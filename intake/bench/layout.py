"""One order of work, laid out in time: stations filled one after another, the person's minutes taken once.

A turn first clears its station, then connects. So what is urgent to connect is also taken off in time: the
order of the turns is the order in which the person is asked for both.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import NamedTuple

from intake.bench.timeline import (
    Layout,
    Minutes,
    Placed,
    Turn,
    Work,
    base,
    earliest_disconnect,
    first_free,
    score_of,
)
from intake.bench.working_minutes import OpenMinutes

_TAKEN = b"\1"


class Later(Enum):
    """Which of the person's tasks go first when both wait."""

    READINGS = "stations first, long readings after"
    STATIONS = "readings first"


def lay_out(
    turns: Sequence[Turn],
    works: Sequence[Work],
    stations: int,
    minutes: Minutes,
    opened: OpenMinutes,
    later: Later,
) -> Layout:
    """Place each turn in the order given, every task at the first free moment.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    bench = _Bench(works, minutes, later, opened, bytearray(opened.closed), [0] * stations)
    for turn in turns:
        if turn.station < 0:
            bench.read(turn.work)
        else:
            bench.clear(turn.station)
            bench.connect(turn)
    for one in sorted(bench.on.values(), key=lambda one: one.charged):
        bench.clear(one.station)
    return bench.laid_out(turns)


def lay_out_one_by_one(
    turns: Sequence[Turn], works: Sequence[Work], stations: int, minutes: Minutes, opened: OpenMinutes
) -> Layout:
    """Place each turn to its end in the order given, long readings last: earlier turns have the person first.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    return _one_by_one(turns, works, stations, minutes, opened).laid_out(turns)


class After(NamedTuple):
    """What such a layout leaves: the person's free minutes, and from when each station is free."""

    person: OpenMinutes
    free: Sequence[int]


def after_turns(
    turns: Sequence[Turn], works: Sequence[Work], stations: int, minutes: Minutes, opened: OpenMinutes
) -> After:
    """Return what turns laid out one by one leave free; long readings, placed last, do not count.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    bench = _one_by_one(turns, works, stations, minutes, opened)
    return After(OpenMinutes(bytes(bench.taken)), bench.free)


def _one_by_one(
    turns: Sequence[Turn], works: Sequence[Work], stations: int, minutes: Minutes, opened: OpenMinutes
) -> "_Bench":
    bench = _Bench(works, minutes, Later.READINGS, opened, bytearray(opened.closed), [0] * stations)
    for turn in turns:
        if turn.station < 0:
            bench.read(turn.work)
        else:
            bench.connect(turn)
            bench.clear(turn.station)
    return bench


@dataclass(slots=True)
class _Bench:
    """What is laid out so far."""

    works: Sequence[Work]
    minutes: Minutes
    later: Later
    opened: OpenMinutes
    taken: bytearray
    """The person's minutes."""
    free: list[int]
    """By station, the moment from which it may be connected."""
    on: dict[int, Placed] = field(default_factory=dict)
    """By station, the battery that is still to be disconnected."""
    waiting: list[Placed] = field(default_factory=list)
    """Those whose long readings are still to be placed."""
    done: list[Placed] = field(default_factory=list)

    def read(self, work: int) -> None:
        """Place the readings of a battery that needs no station."""
        self._settle(Placed(work, -1, 0, 0, 0, self._readings_not_late(0, work), 0))

    def connect(self, turn: Turn) -> None:
        """Connect a battery to its empty station; one that stays is followed to its end at once."""
        place, station = turn
        work = self.works[place]
        length = work.station_min[station]
        if length is None:
            raise ValueError(f"station {station} may not take {work.name}")
        if work.attended:
            connect = self._attended_from(self.free[station], length)
            charged = self.opened.after(connect + self.minutes.connect, length)
        else:
            connect = self._take(self.free[station], self.minutes.connect)
            charged = connect + self.minutes.connect + length
        self.on[station] = Placed(place, station, connect, charged, 0, (), 0)
        if work.stays:
            self.clear(station)

    def clear(self, station: int) -> None:
        """Disconnect what is on a station, if anything is, and place the readings that may not be late."""
        one = self.on.pop(station, None)
        if one is None:
            return
        disconnect = earliest_disconnect(one.charged, self.works[one.work].readings, self.minutes, self.taken)
        self._mark(disconnect, self.minutes.disconnect)
        ready = self.free[station] = disconnect + self.minutes.disconnect
        readings = self._readings_not_late(ready, one.work)
        self._settle(Placed(one.work, station, one.connect, one.charged, disconnect, readings, ready))

    def laid_out(self, turns: Sequence[Turn]) -> Layout:
        """Read all that still waits, and return what was placed."""
        done = self.all_read()
        return Layout(tuple(turns), done, score_of(done, self.works, self.minutes))

    def all_read(self) -> tuple[Placed, ...]:
        """Place the long readings that still wait, those first that may be taken first."""
        self.waiting.sort(key=self._next_reading)
        self.done += [self._with_long_readings(one) for one in self.waiting]
        return tuple(self.done)

    def _attended_from(self, start: int, length: int) -> int:
        """Take the first minutes to connect from which an attended charge fits one shift, if it fits any."""
        connect = self.minutes.connect
        while True:
            free = first_free(self.taken, start, connect)
            start = self.opened.in_one_piece(free, connect + length)
            if start == free:
                self._mark(free, connect)
                return free

    def _settle(self, one: Placed) -> None:
        stays = self.works[one.work].stays
        if self.later is Later.READINGS and not stays:
            self.waiting.append(one)
            return
        one = self._with_long_readings(one)
        self.done.append(one)
        if stays and one.station >= 0:
            self.free[one.station] = one.finished

    def _next_reading(self, one: Placed) -> int:
        left = self.works[one.work].readings[len(one.readings) :]
        return base(one, self.minutes) + (left[0].after_min if left else 0)

    def _readings_not_late(self, ready: int, work: int) -> tuple[int, ...]:
        found = []
        for after_min, latest_min in self.works[work].readings:
            if latest_min is None:
                break
            found.append(self._take(ready + after_min, self.minutes.reading))
        return tuple(found)

    def _with_long_readings(self, one: Placed) -> Placed:
        ready = base(one, self.minutes)
        work, station, connect, charged, disconnect, readings, finished = one
        found = list(readings)
        for after_min, _ in self.works[work].readings[len(found) :]:
            found.append(self._take(ready + after_min, self.minutes.reading))
        if found:
            finished = found[-1] + self.minutes.reading
        return Placed(work, station, connect, charged, disconnect, tuple(found), finished)

    def _take(self, start: int, minutes: int) -> int:
        """Take the person's first free minutes from a moment on; return when they begin."""
        found = first_free(self.taken, start, minutes)
        self._mark(found, minutes)
        return found

    def _mark(self, start: int, minutes: int) -> None:
        self.taken[start : start + minutes] = _TAKEN * minutes
