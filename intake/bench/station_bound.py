"""What the stations can do at most, freed from the limits of the one person.

Give every battery a weight. For each station, dynamic programming over the working time finds the
largest weight that it can have disconnected by any moment, if it may take the same battery again and
again. Whatever the weights, that bounds how many batteries all stations can have disconnected by then,
and each of the others has its long reading still before it. The weights are bettered by subgradient
steps: a length that the best patterns use more often than it is there loses weight.
"""

import heapq
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import accumulate

from intake.bench.timeline import Minutes, Person, Reading, Work, earliest_disconnect
from intake.bench.working_minutes import OpenMinutes

_GRID_MIN = 5
"""Station times are rounded down to this grid: a bound stays a bound, and fewer moments differ."""
_FIRST_STEP = 4
"""The subgradient steps shrink as 1/4, 1/5 and so on."""

Lengths = tuple[int | None, ...]
"""Minutes on each station, rounded down: what makes two batteries alike here."""


def stations_bound(
    works: Sequence[Work], minutes: Minutes, opened: OpenMinutes, *, until: int, rounds: int
) -> int:
    """Return a minute before which the last long reading can not be done; 0 without station work.

    ``until`` is a minute by which some plan ends; ``rounds`` is how often weights are bettered.
    """
    on_station = [work for work in works if work.station_min]
    if not on_station:
        return 0
    kinds = Counter(
        tuple(None if one is None else one - one % _GRID_MIN for one in work.station_min)
        for work in on_station
    )
    floor = Floor(opened, minutes, on_station[0].readings, until)
    return max(
        _bettered(kinds, weights, floor, rounds)
        for weights in (dict.fromkeys(kinds, 1.0), {kind: _shortest(kind) for kind in kinds})
    )


@dataclass(slots=True)
class Floor:
    """A bench on which the person is never busy elsewhere. Remembers what it has worked out."""

    opened: OpenMinutes
    minutes: Minutes
    readings: tuple[Reading, ...]
    until: int
    _connected: dict[int, int] = field(default_factory=dict)
    _freed: dict[int, int] = field(default_factory=dict)

    def connected(self, free: int) -> int:
        """Return when a station that is free at a moment charges again."""
        if free not in self._connected:
            self._connected[free] = self.opened.first(free, self.minutes.connect) + self.minutes.connect
        return self._connected[free]

    def freed(self, charged: int) -> int:
        """Return when a station whose charge ends at a moment is free again, rounded down."""
        if charged not in self._freed:
            person = Person(self.opened.closed)
            start = earliest_disconnect(charged, self.readings, self.minutes, person)
            freed = start + self.minutes.disconnect
            self._freed[charged] = max(freed - freed % _GRID_MIN, charged)
        return self._freed[charged]

    def all_read(self, freed: int, count: int) -> int:
        """Return when so many batteries that are freed at a moment or later can have been read."""
        if not self.readings:
            return freed
        start = self.opened.first(freed + self.readings[-1].after_min, 1)
        return self.opened.after(start, count * self.minutes.reading)


@dataclass(slots=True)
class _Pattern:
    """The largest weight that stations of one kind can have disconnected, moment by moment."""

    stations: int
    moments: list[int]
    weights: list[float]
    """Rises with the moments."""
    came: Mapping[int, tuple[int, Lengths]]
    """From which moment, by which battery."""

    def weight_by(self, moment: int) -> float:
        """Return what all these stations together can have done by a moment."""
        return self.stations * self.weights[bisect_right(self.moments, moment) - 1]

    def use_before(self, moment: int) -> Counter[Lengths]:
        """Return how often each kind of battery is in the best pattern that ends before a moment."""
        used: Counter[Lengths] = Counter()
        at = self.moments[max(0, bisect_left(self.moments, moment) - 1)]
        while at in self.came:
            at, kind = self.came[at]
            used[kind] += self.stations
        return used


def _shortest(kind: Lengths) -> float:
    return float(min(one for one in kind if one is not None) + _GRID_MIN)


def _bettered(kinds: Counter[Lengths], weights: dict[Lengths, float], floor: Floor, rounds: int) -> int:
    """Return the best bound of the weights given and of those that follow from them."""
    best = 0
    alike = Counter(zip(*kinds, strict=True))
    for step in range(rounds + 1):
        patterns = [
            _pattern(count, dict(zip(kinds, lengths, strict=True)), weights, floor)
            for lengths, count in alike.items()
        ]
        last, bound = _bound(kinds, weights, patterns, floor)
        best = max(best, bound)
        used: Counter[Lengths] = Counter()
        for pattern in patterns:
            used += pattern.use_before(last)
        weights = _next_weights(kinds, weights, used, step)
    return best


def _next_weights(
    kinds: Counter[Lengths], weights: dict[Lengths, float], used: Counter[Lengths], step: int
) -> dict[Lengths, float]:
    wrong = {kind: count - used[kind] for kind, count in kinds.items()}
    total = sum(weights[kind] * count for kind, count in kinds.items())
    length = total / (step + _FIRST_STEP) / (sum(one * one for one in wrong.values()) or 1)
    return {kind: max(0.0, weights[kind] + length * wrong[kind]) for kind in kinds}


def _pattern(
    stations: int, lengths: Mapping[Lengths, int | None], weights: Mapping[Lengths, float], floor: Floor
) -> _Pattern:
    """Find the largest weight that is disconnected by each moment at which a station is free."""
    offers: dict[int, tuple[float, Lengths]] = {}
    for kind, length in lengths.items():
        if length is not None and weights[kind] > offers.get(length, (0.0, kind))[0]:
            offers[length] = (weights[kind], kind)
    best, came, waiting = {0: 0.0}, {}, [0]
    moments, most = [0], [0.0]
    while waiting:
        free = heapq.heappop(waiting)
        weight = best[free]
        if weight > most[-1]:
            moments.append(free)
            most.append(weight)
        elif free:
            continue
        start = floor.connected(free)
        for length, (gain, kind) in offers.items():
            freed = floor.freed(start + length)
            if freed <= floor.until and weight + gain > best.get(freed, -1.0):
                if freed not in best:
                    heapq.heappush(waiting, freed)
                best[freed] = weight + gain
                came[freed] = (free, kind)
    return _Pattern(stations, moments, most, came)


def _bound(
    kinds: Counter[Lengths], weights: Mapping[Lengths, float], patterns: Sequence[_Pattern], floor: Floor
) -> tuple[int, int]:
    """Return the first moment by which all weight can be done, and the bound on the last reading."""
    needed = list(accumulate(sorted(weights[kind] for kind in kinds.elements())))
    moments = sorted({moment for pattern in patterns for moment in pattern.moments})
    bound = place = last = 0
    for moment in moments:
        can_do = sum(pattern.weight_by(moment) for pattern in patterns) * (1 + 1e-9)
        while place < len(needed) and needed[place] <= can_do:
            last = moment
            bound = max(bound, floor.all_read(moment, len(needed) - place))
            place += 1
    return last, bound
