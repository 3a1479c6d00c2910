"""Heavy rows of batteries for one station, found by dynamic programming. Each battery has a weight.

`heaviest` bounds what a station can have off by any moment, and may take the same battery again and again.
`distinct_row` takes each once. Of the rows that lead to a moment it follows only the heaviest few, so that it
may miss the heaviest of all.
"""

import heapq
from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter
from typing import NamedTuple

from intake.bench.floor import Floor, Freed, Kind, Turns, kind_of
from intake.bench.timeline import Work

_FOLLOWED = 2
"""A row is followed if fewer rows than that weigh as much and are off no later."""

_Row = tuple[int, int, int, "_Row | None"]
"""Its weight, one bit for each work in it, its last work, and the row before that."""
_FIRST = itemgetter(0)
_EMPTY: _Row = (0, 0, -1, None)


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
            if begun + length > until or (off := freed[begun + length]) > until:
                break
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
    """Sort the offers by length, without those that a shorter one outweighs, and the special ones apart."""
    special: list[tuple[int, int, Kind, Turns]] = []
    plain: list[tuple[int, int, Kind, Freed]] = []
    heaviest_yet: dict[tuple[object, ...], int] = {}
    for one in sorted(offers, key=lambda one: (one.length, -one.weight)):
        weight, length, kind = one
        if weight <= heaviest_yet.get(kind[1:], 0):
            continue
        heaviest_yet[kind[1:]] = weight
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


class DistinctRow(NamedTuple):
    """Works in the order in which a station takes them."""

    works: list[int]
    tried: int
    """How often a work was tried at the end of a row: what finding it took."""


class _Plain(NamedTuple):
    """A work that the station may take. ``bit`` is its own among the works of a row."""

    length: int
    weight: int
    bit: int
    work: int
    latest_off: int
    freed: Freed


class _Special(NamedTuple):
    """One that stays on its station until it is read, or that is attended."""

    length: int
    weight: int
    bit: int
    work: int
    latest_off: int
    turns: Turns


def distinct_row(
    works: Sequence[Work], weights: Mapping[int, int], station: int, floor: Floor, *, begins: int, aim: int
) -> DistinctRow:
    """Return a heavy row of the works that are weighed, each of which can be read last by ``aim``.

    ``begins`` is the minute from which the station is free.
    """
    plain, special = _offers(works, weights, station, floor, aim)
    rows, waiting, passed, heaviest, followed = {begins: [_EMPTY]}, [begins], [-1] * _FOLLOWED, _EMPTY, 0
    while waiting:
        free = heapq.heappop(waiting)
        begun = floor.connected[free]
        for row in _followed(rows.pop(free), passed):
            followed += 1
            weight, taken, _, _ = row
            if weight > heaviest[0]:
                heaviest = row
            for length, more, bit, work, latest_off, freed in plain:
                charged = begun + length
                if charged > latest_off:
                    break
                if taken & bit or (off := freed[charged]) > latest_off:
                    continue
                longer = weight + more, taken | bit, work, row
                if off in rows:
                    rows[off].append(longer)
                else:
                    rows[off] = [longer]
                    heapq.heappush(waiting, off)
            for length, more, bit, work, latest_off, turns in special:
                if taken & bit:
                    continue
                off, again = turns[free, length]
                if off <= latest_off:
                    longer = weight + more, taken | bit, work, row
                    if again in rows:
                        rows[again].append(longer)
                    else:
                        rows[again] = [longer]
                        heapq.heappush(waiting, again)
    return DistinctRow(list(_works_of(heaviest))[::-1], followed * (len(plain) + len(special)))


def _offers(
    works: Sequence[Work], weights: Mapping[int, int], station: int, floor: Floor, aim: int
) -> tuple[list[_Plain], list[_Special]]:
    """Return what the station may take, the shortest first."""
    latest_off = {
        readings: floor.latest_off(aim, readings) for readings in {works[one].readings for one in weights}
    }
    plain, special = [], []
    for place, weight in weights.items():
        work = works[place]
        length, latest = work.station_min[station], latest_off[work.readings]
        if length is None:
            continue
        if work.stays or work.attended:
            special.append(_Special(length, weight, 1 << place, place, latest, floor.turns(kind_of(work))))
        else:
            plain.append(_Plain(length, weight, 1 << place, place, latest, floor.freed(work.readings)))
    return sorted(plain, key=_FIRST), sorted(special, key=_FIRST)


def _followed(rows: list[_Row], passed: list[int]) -> Iterator[_Row]:
    """Yield the heaviest rows that lead to a moment; ``passed``, a heap, keeps the largest weights so far."""
    met = set()
    if len(rows) > 1:
        rows.sort(key=_FIRST, reverse=True)
    for row in rows:
        if row[0] <= passed[0]:
            return
        if row[1] not in met:
            met.add(row[1])
            heapq.heapreplace(passed, row[0])
            yield row


def _works_of(row: _Row) -> Iterator[int]:
    _, _, work, before = row
    while before is not None:
        yield work
        _, _, work, before = before
