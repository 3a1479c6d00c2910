"""The heaviest row of a station by one moment, less the price of the person's minutes that it takes.

It may take the same battery again and again, and may wait wherever that costs less. Found by dynamic
programming, from minute to minute while the person is there.
"""

import sys
from bisect import bisect_right
from collections import Counter
from collections.abc import Sequence
from itertools import accumulate
from typing import NamedTuple

from intake.bench.bounds.pattern import Offer, Row, not_outweighed
from intake.bench.bounds.priced_minutes import PricedMinutes, Stretch
from intake.bench.floor import Floor, Kind
from intake.bench.timeline import DueReading

_NONE = -(sys.maxsize // 4)
"""Far less than any weight."""


class PricedRows:
    """Finds such rows. Remembers what does not depend on weights and prices."""

    def __init__(self, floor: Floor, until: int, stretches: Sequence[Stretch]) -> None:
        self.floor, self.until, self.stretches = floor, until, stretches
        opened = floor.opened
        self.shifts = [
            (one, min(opened.closing(one), until + 1)) for one in opened.openings() if one <= until
        ]
        self._latest: dict[int, list[int]] = {}

    def heaviest(self, offers: Sequence[Offer], prices: Sequence[int]) -> Row:
        """Return the heaviest row of what a station is offered."""
        return _Search(self, offers, PricedMinutes(self.stretches, prices)).row()

    def latest_begun(self, length: int) -> list[int]:
        """Return for each minute when an attended charge done by it began, at the latest; -1: never."""
        if length not in self._latest:
            opened, connect = self.floor.opened, self.floor.minutes.connect
            found = [-1] * (self.until + 1)
            for opening, closing in self.shifts:
                for start in range(opening, closing - connect + 1):
                    if opened.in_one_piece(start, connect + length) == start:
                        charged = opened.after(start + connect, length)
                        if charged <= self.until:
                            found[charged] = start + connect
            self._latest[length] = list(accumulate(found, max))
        return self._latest[length]


class _Full(NamedTuple):
    """A battery that is full ``length`` minutes after it began, or by a table of what began last."""

    weight: int
    length: int
    kind: Kind
    latest: list[int] | None

    def begun(self, full: int) -> int:
        """Return when it began at the latest, to be full at a minute; less than 0: never."""
        return full - self.length if self.latest is None else self.latest[full]


class _Exit(NamedTuple):
    """Batteries that leave the station alike."""

    may_begin: str
    """One character a minute: 1 where one may begin to take them off."""
    full: list[_Full]


_Arrival = tuple[int, int, "_Exit | Offer"]
"""A weight, the minute of its last task, and what that was: taking off from an exit, or one that stays."""


class _Search:
    """One station followed from minute to minute: what is off, then what is connected."""

    def __init__(self, rows: PricedRows, offers: Sequence[Offer], priced: PricedMinutes) -> None:
        self._rows, self._floor, self._priced = rows, rows.floor, priced
        self._minutes = rows.floor.minutes
        self._exits, self._staying = self._sorted(offers)
        lengths = [one.length for leaves in self._exits for one in leaves.full]
        self._before = max(lengths, default=0)
        self._at_once = min(lengths, default=rows.until) + self._minutes.connect
        self._connect_costs = priced.costs(self._minutes.connect)
        self._off_costs = priced.costs(self._minutes.disconnect)
        self._arrivals: list[_Arrival | None] = [None] * (rows.until + 1)
        self._free = 0
        """The largest weight with which the station is free."""
        self._rises: list[tuple[int, _Arrival]] = []
        """When that rose, and by what."""
        self._begun = [_NONE] * (self._before + self._minutes.connect)
        """The largest weight with which a charge has begun, for each minute from so long before the first."""
        self._begun_rises: list[int] = []
        self._stayed: tuple[int, int, Offer] | None = None
        """The heaviest row whose last battery stays on the station beyond the moment."""

    def row(self) -> Row:
        """Return the heaviest row."""
        closed = 0
        for opening, closing in self._rows.shifts:
            self._arrive(closed, opening)
            self._begun += [self._begun[-1]] * (
                self._before + opening + self._minutes.connect - len(self._begun)
            )
            for first in range(opening, closing, self._at_once):
                self._follow(first, min(first + self._at_once, closing), closing)
            closed = closing
        self._arrive(closed, self._rows.until + 1)
        return self._traced()

    def _sorted(self, offers: Sequence[Offer]) -> tuple[list[_Exit], list[Offer]]:
        """Sort what the station may take by how it leaves; those that stay apart."""
        exits: dict[tuple[DueReading, ...], _Exit] = {}
        staying = []
        for one in not_outweighed(offers):
            weight, length, kind = one
            if kind.stays:
                staying.append(one)
                continue
            if kind.readings not in exits:
                exits[kind.readings] = _Exit(self._floor.freed(kind.readings).may_begin, [])
            latest = self._rows.latest_begun(length) if kind.attended else None
            exits[kind.readings].full.append(_Full(weight, length, kind, latest))
        return list(exits.values()), staying

    def _follow(self, first: int, end: int, closing: int) -> None:
        """Follow some minutes of a shift, so few that nothing is full which is connected meanwhile."""
        full = [(leaves, self._full(leaves.full, first, end)) for leaves in self._exits]
        arrivals, begun = self._arrivals, self._begun
        connect, disconnect = self._minutes.connect, self._minutes.disconnect
        last_off = min(closing, self._rows.until) - disconnect
        for now in range(first, end):
            for leaves, weights in full:
                if now <= last_off and leaves.may_begin[now] == "1":
                    weight = weights[now - first] - self._off_costs.get(now, 0)
                    arrival = arrivals[now + disconnect]
                    if arrival is None or weight > arrival[0]:
                        arrivals[now + disconnect] = weight, now, leaves
            if arrivals[now] is not None:
                self._arrive(now, now + 1)
            if now + connect <= closing:
                weight = self._free - self._connect_costs.get(now, 0)
                if weight > begun[-1]:
                    begun.append(weight)
                    self._begun_rises.append(now + connect)
                    if self._staying:
                        self._stay(now, weight)
                    continue
            begun.append(begun[-1])

    def _full(self, offers: Sequence[_Full], first: int, end: int) -> list[int]:
        """Return the largest weight that is full on the station, for each of some minutes."""
        begun, before = self._begun, self._before
        columns = []
        for more, length, _, latest in offers:
            if latest is None:
                columns.append([more + one for one in begun[before + first - length : before + end - length]])
            else:
                columns.append(
                    [more + begun[before + one] if one >= 0 else _NONE for one in latest[first:end]]
                )
        return columns[0] if len(columns) == 1 else list(map(max, *columns))

    def _stay(self, now: int, weight: int) -> None:
        """Connect one that keeps its station until it is read."""
        for one in self._staying:
            off, again = self._floor.turns(one.kind)[now, one.length]
            heavier = weight + one.weight, now, one
            if again <= self._rows.until:
                arrival = self._arrivals[again]
                if arrival is None or heavier[0] > arrival[0]:
                    self._arrivals[again] = heavier
            elif off <= self._rows.until and (self._stayed is None or heavier[0] > self._stayed[0]):
                self._stayed = heavier

    def _arrive(self, first: int, end: int) -> None:
        """Let the station be free with what is off in some minutes, where that is heavier."""
        for moment, arrival in enumerate(self._arrivals[first:end], first):
            if arrival is not None and arrival[0] > self._free:
                self._free = arrival[0]
                self._rises.append((moment, arrival))

    def _traced(self) -> Row:
        """Follow the heaviest row back to its beginning."""
        taken: Counter[Kind] = Counter()
        uses: Counter[int] = Counter()
        moments = [moment for moment, _ in self._rises]
        weight, off, moment = self._free, moments[-1] if moments else 0, self._rows.until
        if self._stayed is not None and self._stayed[0] > weight:
            weight, moment, one = self._stayed
            taken[one.kind] += 1
            off = self._rows.until
            uses.update(self._priced.used(moment, self._minutes.connect))
        while (place := bisect_right(moments, moment) - 1) >= 0:
            _, (heavier, moment, what) = self._rises[place]
            if isinstance(what, Offer):
                kind = what.kind
            else:
                uses.update(self._priced.used(moment, self._minutes.disconnect))
                kind, moment = self._connected(heavier + self._off_costs.get(moment, 0), moment, what)
            taken[kind] += 1
            uses.update(self._priced.used(moment, self._minutes.connect))
        return Row(weight, taken, uses, off)

    def _connected(self, weight: int, full: int, leaves: _Exit) -> tuple[Kind, int]:
        """Return what was full at a minute with such a weight, and when it was connected."""
        begun, kind = next(
            (begun, one.kind)
            for one in leaves.full
            if (begun := one.begun(full)) >= 0 and one.weight + self._begun[self._before + begun] == weight
        )
        rose = self._begun_rises[bisect_right(self._begun_rises, begun) - 1]
        return kind, rose - self._minutes.connect
