"""A bench on which the person is never busy elsewhere, so that no station has to wait for another one."""

import math
import sys
from collections.abc import Sequence
from typing import NamedTuple

from intake.bench.timeline import DueReading, HorizonTooShort, Minutes, Work
from intake.bench.working_minutes import OpenMinutes


class Kind(NamedTuple):
    """What makes two batteries alike: their work without its name."""

    station_min: tuple[int | None, ...]
    readings: tuple[DueReading, ...]
    stays: bool
    attended: bool


def kind_of(work: Work) -> Kind:
    """Return what a battery's work is like."""
    return Kind(work.station_min, work.readings, work.stays, work.attended)


def length_on(kind: Kind, place: int) -> float:
    """Return the minutes on a station, infinite where it may not stand there."""
    length = kind.station_min[place]
    return math.inf if length is None else length


def shortest(kind: Kind) -> int:
    """Return the minutes on the station that suits it best."""
    return min(one for one in kind.station_min if one is not None)


def in_order(kind: Kind) -> tuple[float, ...]:
    """Return what sorts kinds the same way whatever the order of the workbook's rows."""
    lengths = [length_on(kind, place) for place in range(len(kind.station_min))]
    return (*lengths, kind.attended, kind.stays, len(kind.readings))


class Floor:
    """What follows from a moment at which a station is free. Remembers what it has worked out."""

    def __init__(self, opened: OpenMinutes, minutes: Minutes, *, person: OpenMinutes | None = None) -> None:
        """``person`` is when the person is not busy elsewhere, where some minutes are taken already."""
        self.opened = opened
        self.minutes = minutes
        self._person = person or opened
        self.connected = _Connected(self._person, minutes.connect)
        """From the moment a station is free to the moment it charges again."""
        self._freed: dict[tuple[DueReading, ...], Freed] = {}
        self._turns: dict[tuple[object, ...], Turns] = {}
        self._later = _Later(self)

    def freed(self, readings: tuple[DueReading, ...]) -> "Freed":
        """Return what leads from the end of a charge to the moment a battery with such readings is off."""
        if readings not in self._freed:
            self._freed[readings] = Freed(self._person, self.minutes, readings)
        return self._freed[readings]

    def turns(self, kind: Kind) -> "Turns":
        """Return what `turn` gives for such batteries, by the free moment and the minutes on the station."""
        if kind[1:] not in self._turns:
            self._turns[kind[1:]] = Turns(self, kind)
        return self._turns[kind[1:]]

    def turn(self, free: int, length: int, kind: Kind | Work) -> tuple[int, int]:
        """Return when a battery is off a station that is free at a moment, and when the next may follow.

        Raises
        ------
        HorizonTooShort
            The working time was not laid out far enough.
        """
        begins = self.connected[free]
        charged = begins + length
        if kind.attended and charged > (closing := self.opened.closing(begins)):
            charged = self._later[
                closing if self.opened.in_a_shift(self.minutes.connect + length) else free, length
            ]
        off = self.freed(kind.readings)[charged]
        return off, self.read(off, 1, kind.readings) if kind.stays else off

    def latest_off(self, end: int, readings: Sequence[DueReading]) -> int:
        """Return the last moment at which a battery may be off, so that it is read by ``end``; 0 if none."""
        low, high = 0, end
        while low < high:
            middle = (low + high + 1) // 2
            if self.read(middle, 1, readings) <= end:
                low = middle
            else:
                high = middle - 1
        return low

    def read(self, off: int, count: int, readings: Sequence[DueReading]) -> int:
        """Return when so many batteries that are off at a moment or later can have been read."""
        if not readings:
            return off
        start = self.opened.first(off + readings[-1].after_min, 1)
        return self.opened.after(start, count * self.minutes.reading)


class _Connected(dict[int, int]):
    def __init__(self, opened: OpenMinutes, connect: int) -> None:
        super().__init__()
        self._opened, self._connect = opened, connect

    def __missing__(self, free: int) -> int:
        found = self[free] = self._opened.first(free, self._connect) + self._connect
        return found


class _Later(dict[tuple[int, int], int]):
    """From a free moment and the minutes of an attended charge to its end: where it fits a shift, in one."""

    def __init__(self, floor: Floor) -> None:
        super().__init__()
        self._floor = floor

    def __missing__(self, turn: tuple[int, int]) -> int:
        free, length = turn
        opened, connect = self._floor.opened, self._floor.minutes.connect
        while True:
            begins = self._floor.connected[free]
            start = begins - connect
            free = opened.in_one_piece(start, connect + length)
            if free == start:
                found = self[turn] = opened.after(begins, length)
                return found


class Freed(dict[int, int]):
    """From the end of a charge to the moment at which the battery is off its station.

    It is taken off at the first minute from which the readings that may not be late can be taken in time.
    """

    def __init__(self, opened: OpenMinutes, minutes: Minutes, readings: tuple[DueReading, ...]) -> None:
        super().__init__()
        self._disconnect = minutes.disconnect
        starts = opened.fits(minutes.disconnect)
        for after_min, latest_min in readings:
            if latest_min is None:
                break
            in_time = opened.fits_within(minutes.reading, latest_min - after_min + 1)
            starts &= in_time >> minutes.disconnect + after_min
        self.may_begin = f"{starts:b}"[::-1].ljust(len(opened.closed), "0")
        """One character a minute: 1 where one may begin to take it off."""

    def __missing__(self, charged: int) -> int:
        start = self.may_begin.find("1", charged)
        if start < 0:
            raise HorizonTooShort
        found = self[charged] = start + self._disconnect
        return found


class Turns(dict[tuple[int, int], tuple[int, int]]):
    """Turns that were worked out; one beyond the working time laid out ends never."""

    def __init__(self, floor: Floor, kind: Kind) -> None:
        super().__init__()
        self._floor, self._kind = floor, kind

    def __missing__(self, turn: tuple[int, int]) -> tuple[int, int]:
        try:
            found = self._floor.turn(*turn, self._kind)
        except HorizonTooShort:
            found = sys.maxsize, sys.maxsize
        self[turn] = found
        return found
