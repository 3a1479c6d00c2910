"""A heavy row of batteries for one station, found by dynamic programming. It takes each battery once.

Of the rows that lead to a moment only the heaviest few are followed, so that it may miss the heaviest of all.
"""

import heapq
from collections.abc import Iterator, Mapping, Sequence
from operator import itemgetter
from typing import NamedTuple

from intake.bench.floor import Floor, Freed, Turns, kind_of
from intake.bench.timeline import DueReading, Work

_FOLLOWED = 2
"""A row is followed if fewer rows than that weigh as much and are off no later."""

_Row = tuple[int, int, int, "_Row | None"]
"""Its weight, one bit for each work in it, its last work, and the row before that."""
_FIRST = itemgetter(0)
_EMPTY: _Row = (0, 0, -1, None)


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
            for alike in plain:
                for length, more, bit, work, latest_off, freed in alike:
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
    offered = sum(map(len, plain)) + len(special)
    return DistinctRow(list(_works_of(heaviest))[::-1], followed * offered)


def _offers(
    works: Sequence[Work], weights: Mapping[int, int], station: int, floor: Floor, aim: int
) -> tuple[list[list[_Plain]], list[_Special]]:
    """Return what the station may take, the shortest first; the plain ones by their readings."""
    latest_off = {
        readings: floor.latest_off(aim, readings) for readings in {works[one].readings for one in weights}
    }
    plain: dict[tuple[DueReading, ...], list[_Plain]] = {}
    special = []
    for place, weight in weights.items():
        work = works[place]
        length, latest = work.station_min[station], latest_off[work.readings]
        if length is None:
            continue
        if work.stays or work.attended:
            special.append(_Special(length, weight, 1 << place, place, latest, floor.turns(kind_of(work))))
        else:
            alike = plain.setdefault(work.readings, [])
            alike.append(_Plain(length, weight, 1 << place, place, latest, floor.freed(work.readings)))
    return [sorted(alike, key=_FIRST) for alike in plain.values()], sorted(special, key=_FIRST)


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
