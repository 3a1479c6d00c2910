"""What the stations can do at most, freed from the limits of the one person after the first connecting.

Give every battery a weight. For each station, dynamic programming over the working time finds the
largest weight that it can have disconnected by any moment, if it may take the same battery again and
again. Whatever the weights, that bounds how many batteries all stations can have disconnected by then,
and each of the others has its long reading still before it. Weights that tell: one for every battery
that is longer than some limit (only the night is long enough for it), the same with two limits, and the
length itself.

The first connecting is the person's: of stations that are alike, it does not matter which is which, so the
second begins when the first has been connected, the third after both.
"""

import heapq
import math
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate, combinations

from intake.bench.timeline import DueReading, Minutes, Work, earliest_disconnect
from intake.bench.working_minutes import OpenMinutes

_LIMITS_IN_PAIRS = 16
"""Two limits at once are tried among so many, evenly spread."""

Lengths = tuple[int | None, ...]
"""Minutes on each station: what makes two batteries alike here."""
_Weights = Mapping[Lengths, int]


def stations_bound(
    works: Sequence[Work], minutes: Minutes, opened: OpenMinutes, *, until: int, enough: int
) -> int:
    """Return a minute before which the last long reading cannot be done; 0 without station work.

    ``until`` is a minute by which some plan ends. A bound of ``enough`` or more is not bettered.
    """
    on_station = [work for work in works if work.station_min]
    if not on_station:
        return 0
    kinds = Counter(work.station_min for work in on_station)
    floor = Floor(opened, minutes, on_station[0].readings, until)
    alike = Counter(zip(*kinds, strict=True))
    best = 0
    for weights in _weightings(kinds):
        patterns = [
            _pattern(
                opened.after(0, before * minutes.connect),
                dict(zip(kinds, lengths, strict=True)),
                weights,
                floor,
            )
            for lengths, count in alike.items()
            for before in range(count)
        ]
        best = max(best, _bound(kinds, weights, patterns, floor))
        if best >= enough:
            break
    return best


def _weightings(kinds: Counter[Lengths]) -> Iterator[_Weights]:
    """Yield weights, those that are quickest to try first."""
    orders = [sorted(kinds, key=lambda kind: (_shortest(kind), kind))]
    for place in {lengths: place for place, lengths in enumerate(zip(*kinds, strict=True))}.values():
        by_station = sorted(kinds, key=lambda kind: (_length(kind[place]), kind))
        if by_station not in orders:
            orders.append(by_station)
    for order in orders:
        for limit in range(len(order)):
            yield {kind: int(place >= limit) for place, kind in enumerate(order)}
    yield {kind: _shortest(kind) for kind in kinds}
    for order in orders:
        step = -(-len(order) // _LIMITS_IN_PAIRS)
        for low, high in combinations(range(0, len(order), step), 2):
            yield {kind: (place >= low) + (place >= high) for place, kind in enumerate(order)}


@dataclass(slots=True)
class Floor:
    """A bench on which the person is never busy elsewhere. Remembers what it has worked out."""

    opened: OpenMinutes
    minutes: Minutes
    readings: tuple[DueReading, ...]
    until: int
    _connected: dict[int, int] = field(default_factory=dict)
    _freed: dict[int, int] = field(default_factory=dict)

    def connected(self, free: int) -> int:
        """Return when a station that is free at a moment charges again."""
        if free not in self._connected:
            self._connected[free] = self.opened.first(free, self.minutes.connect) + self.minutes.connect
        return self._connected[free]

    def freed(self, charged: int) -> int:
        """Return when a station whose charge ends at a moment is free again."""
        if charged not in self._freed:
            start = earliest_disconnect(charged, self.readings, self.minutes, self.opened.closed)
            self._freed[charged] = start + self.minutes.disconnect
        return self._freed[charged]

    def all_read(self, freed: int, count: int) -> int:
        """Return when so many batteries that are freed at a moment or later can have been read."""
        if not self.readings:
            return freed
        start = self.opened.first(freed + self.readings[-1].after_min, 1)
        return self.opened.after(start, count * self.minutes.reading)


@dataclass(slots=True)
class _Pattern:
    """The largest weight that a station can have disconnected, moment by moment."""

    moments: list[int]
    weights: list[int]
    """Rises with the moments."""

    def weight_by(self, moment: int) -> int:
        """Return what the station can have done by a moment."""
        return self.weights[bisect_right(self.moments, moment) - 1]


def _length(length: int | None) -> float:
    return math.inf if length is None else length


def _shortest(kind: Lengths) -> int:
    return min(one for one in kind if one is not None)


def _pattern(begins: int, lengths: Mapping[Lengths, int | None], weights: _Weights, floor: Floor) -> _Pattern:
    """Find the largest weight that is disconnected by each moment at which a station is free."""
    offers: dict[int, int] = {}
    for kind, length in lengths.items():
        weight = weights[kind]
        if length is not None and weight and length < offers.get(weight, length + 1):
            offers[weight] = length
    best, waiting = {begins: 0}, [begins]
    moments, most = [0], [0]
    while waiting:
        free = heapq.heappop(waiting)
        weight = best[free]
        if weight > most[-1]:
            moments.append(free)
            most.append(weight)
        elif free > begins:
            continue
        start = floor.connected(free)
        for gain, length in offers.items():
            freed = floor.freed(start + length)
            if freed <= floor.until and weight + gain > best.get(freed, -1):
                if freed not in best:
                    heapq.heappush(waiting, freed)
                best[freed] = weight + gain
    return _Pattern(moments, most)


def _bound(kinds: Counter[Lengths], weights: _Weights, patterns: Sequence[_Pattern], floor: Floor) -> int:
    """Return the bound on the last reading: batteries not disconnected by a moment are read after it."""
    needed = list(accumulate(sorted(weights[kind] for kind in kinds.elements())))
    bound = place = 0
    for moment in sorted({moment for pattern in patterns for moment in pattern.moments}):
        can_do = sum(pattern.weight_by(moment) for pattern in patterns)
        while place < len(needed) and needed[place] <= can_do:
            bound = max(bound, floor.all_read(moment, len(needed) - place))
            place += 1
    return bound
