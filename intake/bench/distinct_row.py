"""A heavy row of batteries for one station in which no battery comes twice, found by dynamic programming.

Of the rows that lead to a moment only the heaviest few are followed, so the heaviest of all may be missed.
See `intake.bench.pattern` for the heaviest row in which a battery may come again.
"""

import heapq
from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from intake.bench.floor import Floor, Freed, Turns, kind_of
from intake.bench.timeline import Work

_FOLLOWED = 3
"""A row is followed if fewer rows than that weigh as much and are off no later."""

_Row = tuple[int, int, int, "_Row | None"]
"""Its weight, one bit for each work in it, its last work, and the row before that."""
_EMPTY: _Row = (0, 0, -1, None)


class DistinctRow(NamedTuple):
    """Works in the order in which a station takes them."""

    works: list[int]
    tried: int
    """How often a work was tried at the end of a row: what finding it took."""


class _Plain(NamedTuple):
    length: int
    weight: int
    work: int
    latest_off: int
    freed: Freed


class _Special(NamedTuple):
    """A work that stays on its station until it is read, or that is attended."""

    length: int
    weight: int
    work: int
    latest_off: int
    turns: Turns


def distinct_row(
    works: Sequence[Work], weights: Mapping[int, int], station: int, floor: Floor, *, aim: int
) -> DistinctRow:
    """Return a heavy row of the works that are weighed, each of which can be read last by ``aim``."""
    plain, special = _offers(works, weights, station, floor, aim)
    rows, waiting, passed, heaviest, tried = {0: [_EMPTY]}, [0], [-1] * _FOLLOWED, _EMPTY, 0

    def add(free: int, row: _Row) -> None:
        if free in rows:
            rows[free].append(row)
        else:
            rows[free] = [row]
            heapq.heappush(waiting, free)

    while waiting:
        free = heapq.heappop(waiting)
        begun = floor.connected[free]
        for row in _followed(rows.pop(free), passed):
            heaviest = max(heaviest, row, key=_weight)
            tried += len(plain) + len(special)
            weight, taken, _, _ = row
            for length, more, work, latest_off, freed in plain:
                if begun + length > latest_off:
                    break
                if not taken >> work & 1 and (off := freed[begun + length]) <= latest_off:
                    add(off, (weight + more, taken | 1 << work, work, row))
            for length, more, work, latest_off, turns in special:
                off, again = turns[free, length]
                if not taken >> work & 1 and off <= latest_off:
                    add(again, (weight + more, taken | 1 << work, work, row))
    return DistinctRow(list(_works_of(heaviest))[::-1], tried)


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
            special.append(_Special(length, weight, place, latest, floor.turns(kind_of(work))))
        else:
            plain.append(_Plain(length, weight, place, latest, floor.freed(work.readings)))
    return sorted(plain), sorted(special)


def _followed(rows: list[_Row], passed: list[int]) -> Iterator[_Row]:
    """Yield the heaviest rows that lead to a moment; ``passed``, a heap, keeps the largest weights so far."""
    met = set()
    for row in sorted(rows, key=_weight, reverse=True):
        if row[0] <= passed[0]:
            return
        if row[1] not in met:
            met.add(row[1])
            heapq.heapreplace(passed, row[0])
            yield row


def _weight(row: _Row) -> int:
    return row[0]


def _works_of(row: _Row) -> Iterator[int]:
    _, _, work, before = row
    while before is not None:
        yield work
        _, _, work, before = before
