"""Which battery on which station, and in which order there, as if each station had a person of its own.

The stations then do not touch each other, so a change is judged by its one or two stations alone, some
fifty times faster than by a whole layout. So that it can be kept by one person, the stations' persons
come one after another at the opening of a shift. What comes out is a start for the search that reckons
with the one person.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random

from intake.bench.station_bound import Floor
from intake.bench.timeline import HorizonTooShort, Minutes, Turn, Work
from intake.bench.working_minutes import OpenMinutes

_MEMORY = 300
"""How many steps back a change is compared with (late acceptance)."""
_BEYOND = 1_000_000
"""How much a minute beyond the bound weighs against one of the sum of finishing times."""

NEAR_MIN = 60
"""A finish that is so little beyond the bound is one of its day: only a day is worth a rescue."""

_Rows = list[list[int]]
"""The works on each station, in their order."""


@dataclass(slots=True)
class _Station:
    """What one row of works costs on one station. Remembers what a moment of disconnecting costs."""

    lengths: tuple[int | None, ...]
    """By work."""
    floor: Floor
    bound: int
    _cost_of: dict[int, tuple[int, bool]] = field(default_factory=dict)

    def cost(self, row: Sequence[int]) -> int | None:
        """Return the cost of a row; None where it may not take a work, or not within the time laid out."""
        try:
            return self._cost(row)
        except HorizonTooShort:
            return None

    def _cost(self, row: Sequence[int]) -> int | None:
        free = total = 0
        for work in row:
            length = self.lengths[work]
            if length is None:
                return None
            free = self.floor.freed(self.floor.connected(free) + length)
            if free not in self._cost_of:
                beyond = max(0, self.floor.all_read(free, 1) - self.bound)
                self._cost_of[free] = (free + beyond * _BEYOND, beyond >= NEAR_MIN)
            cost, left_over = self._cost_of[free]
            total += cost + left_over * length * _BEYOND
        return total

    def connects(self, row: Sequence[int]) -> list[int]:
        """Return when each work of a row is connected."""
        found, free = [], 0
        for work in row:
            found.append(self.floor.connected(free))
            free = self.floor.freed(found[-1] + (self.lengths[work] or 0))
        return found


def better_turns(
    turns: Sequence[Turn],
    works: Sequence[Work],
    stations: int,
    minutes: Minutes,
    opened: OpenMinutes,
    *,
    bound: int,
    changes: int,
    seed: int,
) -> list[Turn]:
    """Return turns in the order of their connecting, bettered by so many changes.

    ``bound`` is the minute by which the last reading is to be done.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    aside = [one for one in turns if one.station < 0]
    rows: _Rows = [[one.work for one in turns if one.station == place] for place in range(stations)]
    readings = next((works[row[0]].readings for row in rows if row), ())
    bench = []
    for place in range(stations):
        own = OpenMinutes(_opened_later(opened.closed, place * (minutes.connect + minutes.disconnect)))
        lengths = tuple(one.station_min[place] if one.station_min else None for one in works)
        bench.append(_Station(lengths, Floor(own, minutes, readings, 0), bound))
    rows = _bettered(rows, bench, changes, Random(seed))
    order = sorted(
        (connect, place, work)
        for place, row in enumerate(rows)
        for connect, work in zip(bench[place].connects(row), row, strict=True)
    )
    return [*aside, *(Turn(work, place) for _, place, work in order)]


def _bettered(rows: _Rows, bench: Sequence[_Station], changes: int, random: Random) -> _Rows:
    where = {work: place for place, row in enumerate(rows) for work in row}
    jobs = sorted(where)
    costs = [station.cost(row) or 0 for station, row in zip(bench, rows, strict=True)]
    total = least = sum(costs)
    best = list(rows)
    memory = [total] * _MEMORY
    for step in range(changes if len(jobs) > 1 else 0):
        changed = _changed(rows, where, jobs, random)
        tried, new = total, {}
        for place, row in changed.items():
            cost = bench[place].cost(row)
            if cost is None:
                break
            new[place] = cost
            tried += cost - costs[place]
        else:
            if tried <= max(total, memory[step % _MEMORY]):
                total = tried
                for place, row in changed.items():
                    rows[place], costs[place] = row, new[place]
                    where.update(dict.fromkeys(row, place))
                if total < least:
                    least, best = total, list(rows)
        memory[step % _MEMORY] = total
    return best


def _changed(rows: _Rows, where: dict[int, int], jobs: Sequence[int], random: Random) -> dict[int, list[int]]:
    """Swap two works, or move one to a place of its own or another station; return the rows that change."""
    one = jobs[int(random.random() * len(jobs))]
    here = where[one]
    row = list(rows[here])
    if random.random() < 1 / 2:
        other = jobs[int(random.random() * len(jobs))]
        there = where[other]
        target = row if there == here else list(rows[there])
        place, other_place = row.index(one), target.index(other)
        row[place], target[other_place] = other, one
        return {here: row, there: target}
    there = int(random.random() * len(rows))
    row.remove(one)
    target = row if there == here else list(rows[there])
    target.insert(int(random.random() * (len(target) + 1)), one)
    return {here: row, there: target}


def _opened_later(closed: bytes, minutes: int) -> bytes:
    """Return the working time with so many minutes taken off at each opening."""
    later = bytearray(closed)
    opens = 0 if closed[:1] == b"\0" else closed.find(b"\1\0") + 1
    while minutes and (opens or closed[:1] == b"\0"):
        later[opens : opens + minutes] = b"\1" * len(later[opens : opens + minutes])
        following = closed.find(b"\1\0", opens)
        if following < 0:
            break
        opens = following + 1
    return bytes(later)
