"""What one station can have off, moment by moment, if it may take the same battery again and again.

Each battery has a weight; the largest sum is found by dynamic programming.
"""

import heapq
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from intake.bench.bounds.priced_minutes import Stretch
from intake.bench.floor import Floor, Freed, Kind, Turns


class Offer(NamedTuple):
    """A kind of battery with its weight and its minutes on the station."""

    weight: int
    length: int
    kind: Kind


def offers_of(lengths: Mapping[Kind, int | None], weights: Mapping[Kind, int]) -> list[Offer]:
    """Return what a station is offered: the kinds that it may take and that weigh something."""
    return [
        Offer(weights[kind], length, kind)
        for kind, length in lengths.items()
        if length is not None and weights[kind] > 0
    ]


class Row(NamedTuple):
    """What a station takes by one moment."""

    weight: int
    """Less what it pays."""
    taken: Counter[Kind]
    """How often it takes each kind."""
    uses: Counter[int]
    """How many of the person's minutes it takes of each stretch with a price, by the place of the stretch."""
    off: int
    """The moment at which all are off the station."""


def not_outweighed(offers: Sequence[Offer]) -> Iterator[Offer]:
    """Yield the offers by length, without those outweighed by a shorter one that leaves the station alike."""
    heaviest_yet: dict[tuple[object, ...], int] = {}
    for one in sorted(offers, key=lambda one: (one.length, -one.weight)):
        alike = one.kind[1:]
        if one.weight > heaviest_yet.get(alike, 0):
            heaviest_yet[alike] = one.weight
            yield one


@dataclass(slots=True)
class Pattern:
    """The largest weight that is off the station, moment by moment, and the kinds that make it up."""

    moments: list[int]
    weights: list[int]
    """Rises with the moments."""
    taken: Counter[Kind]
    """How often each kind was taken for the last of the weights."""

    def weight_by(self, moment: int) -> int:
        """Return what the station can have off by a moment."""
        return self.weights[bisect_right(self.moments, moment) - 1]


class QuickRows:
    """Finds heavy rows by one moment, quickly: the station counts as free up to a step too soon."""

    stretches: Sequence[Stretch] = ()

    def __init__(self, floor: Floor, until: int, *, step_min: int) -> None:
        self._floor, self._until, self._step_min = floor, until, step_min

    def heaviest(self, offers: Sequence[Offer], _prices: Sequence[int]) -> Row:
        """Return the heaviest row of what a station is offered; it pays nothing."""
        found = heaviest(0, offers, self._floor, until=self._until, step_min=self._step_min)
        return Row(found.weights[-1], found.taken, Counter(), found.moments[-1])


def heaviest(begins: int, offers: Sequence[Offer], floor: Floor, *, until: int, step_min: int = 1) -> Pattern:
    """Return what a station can do from the minute it begins.

    With steps of more than a minute the station counts as free up to a step too soon: that is quicker, and
    what it can do is never underrated.
    """
    plain, special = _worth_taking(offers, floor)
    best = {begins: 0}
    before: dict[int, tuple[int, Kind]] = {}
    staying: dict[int, tuple[int, int, Kind]] = {}
    waiting, lead = [begins], -1
    while waiting:
        free = heapq.heappop(waiting)
        weight = best[free]
        if weight <= lead:
            continue
        lead = weight
        begun = floor.connected[free]
        for gain, length, kind, freed in plain:
            if begun + length > until:
                break
            off = freed[begun + length]
            if off > until:
                continue
            off -= off % step_min
            if off <= free:
                off = free + 1
            if weight + gain > best.get(off, -1):
                if off not in best:
                    heapq.heappush(waiting, off)
                best[off], before[off] = weight + gain, (free, kind)
        for gain, length, kind, turns in special:
            off, again = turns[free, length]
            if off > until:
                continue
            if kind.stays and weight + gain > staying.get(off, (-1,))[0]:
                staying[off] = weight + gain, free, kind
            again = max(again - again % step_min, free + 1)
            if weight + gain > best.get(again, -1):
                if again not in best:
                    heapq.heappush(waiting, again)
                best[again], before[again] = weight + gain, (free, kind)
    return _pattern(best, before, staying, until)


def _worth_taking(
    offers: Sequence[Offer], floor: Floor
) -> tuple[list[tuple[int, int, Kind, Freed]], list[tuple[int, int, Kind, Turns]]]:
    """Return what a station may take, the special ones apart."""
    special: list[tuple[int, int, Kind, Turns]] = []
    plain: list[tuple[int, int, Kind, Freed]] = []
    for weight, length, kind in not_outweighed(offers):
        if kind.stays or kind.attended:
            special.append((weight, length, kind, floor.turns(kind)))
        else:
            plain.append((weight, length, kind, floor.freed(kind.readings)))
    return plain, special


def _pattern(
    best: dict[int, int],
    before: dict[int, tuple[int, Kind]],
    staying: dict[int, tuple[int, int, Kind]],
    until: int,
) -> Pattern:
    moments, weights = [0], [0]
    last: tuple[int, Kind] | None = None
    events = [(moment, weight, before.get(moment)) for moment, weight in best.items() if moment <= until]
    events += [(moment, weight, (free, kind)) for moment, (weight, free, kind) in staying.items()]
    for moment, weight, step in sorted(events, key=lambda one: one[:2]):
        if weight > weights[-1]:
            moments.append(moment)
            weights.append(weight)
            last = step
    taken: Counter[Kind] = Counter()
    while last is not None:
        free, kind = last
        taken[kind] += 1
        last = before.get(free)
    return Pattern(moments, weights, taken)
