"""Which battery on which station, and in which order there, as if each station had a person of its own.

The stations then do not touch each other, so a change is judged by its one or two stations alone, and only
from the changed place to the next moment, often a morning, from which everything is as before. So that it
can be kept by one person, the stations' persons come one after another at the opening of a shift. What comes
out is a start for the search that reckons with the one person.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from random import Random

from intake.bench.floor import Floor, kind_of
from intake.bench.timeline import DueReading, HorizonTooShort, Minutes, Turn, Work
from intake.bench.working_minutes import OpenMinutes

_MEMORY = 100
"""How many steps back a change is compared with (late acceptance)."""
_BEYOND = 1_000_000
"""How much a minute beyond the aim weighs against one of the sum of finishing times."""
_FOR_THE_LATE = 0.3
"""The share of changes that begin with a battery that is left over for a later day."""
_WHEN_ALL_FIT = 10_000
"""So many changes more are tried while nothing is left over."""
_EVERY = 250
"""After so many changes the orders are given out: which suits one person is seen once they are laid out."""

NEAR_MIN = 60
"""A finish that is so little beyond the aim is no cause for a rescue."""


@dataclass(slots=True)
class _Row:
    """The works on one station in their order, and what each leads to."""

    works: list[int]
    free: list[int]
    """The moment before each work at which the station is free, and the last one after all."""
    cost: list[int]
    """The cost of all works before each one, and of all."""
    late: list[int]
    """The works that are left over for a later day."""


@dataclass(slots=True)
class _Change:
    """New works for a row. From ``last`` on they are those of the row ``moved`` places before."""

    row: int
    works: list[int]
    first: int
    last: int
    moved: int = 0


def better_turns(
    turns: Sequence[Turn],
    works: Sequence[Work],
    stations: int,
    minutes: Minutes,
    opened: OpenMinutes,
    *,
    apart_min: int,
    in_this_order: Sequence[int],
    aim: int,
    changes: int,
    seed: int,
) -> Iterator[list[Turn]]:
    """Yield turns in the order of their connecting, those on the way to the best and the best last.

    ``apart_min`` is by how much each station opens after the one before it ``in_this_order``, ``aim`` the
    minute by which the last reading is to be done.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    aside = [one for one in turns if one.station < 0]
    bench, rows = [], []
    for place in range(stations):
        own = OpenMinutes(_opened_later(opened.closed, in_this_order.index(place) * apart_min))
        bench.append(_Station(works, place, Floor(own, minutes), aim))
        rows.append(bench[-1].laid([one.work for one in turns if one.station == place]))
    for found in _bettered(rows, bench, changes, Random(seed)):
        order = sorted(
            (bench[place].connected(free), at, place, work)
            for at, place in enumerate(in_this_order)
            for free, work in zip(found[place].free, found[place].works, strict=False)
        )
        yield [*aside, *(Turn(work, place) for *_, place, work in order)]


class _Ended(dict[int, tuple[int, int, int]]):
    """From the end of a charge to when the station is free, its cost, and the cost of a minute of it."""

    def __init__(self, floor: Floor, readings: tuple[DueReading, ...], aim: int) -> None:
        super().__init__()
        self._floor, self._readings, self._aim = floor, readings, aim

    def __missing__(self, charged: int) -> tuple[int, int, int]:
        off = self._floor.freed(self._readings)[charged]
        found = self[charged] = (off, *self.costs(off))
        return found

    def costs(self, off: int) -> tuple[int, int]:
        """Return what it costs that a battery is off at a moment, and what each minute of its charge."""
        beyond = max(0, self._floor.read(off, 1, self._readings) - self._aim)
        return off + beyond * _BEYOND, _BEYOND if beyond >= NEAR_MIN else 0


class _Station:
    """What rows of works cost on one station."""

    def __init__(self, works: Sequence[Work], place: int, floor: Floor, aim: int) -> None:
        self._floor = floor
        self.lengths = [one.station_min[place] if one.station_min else None for one in works]
        self._special = [one.stays or one.attended for one in works]
        self._turns = [floor.turns(kind_of(one)) for one in works]
        ended = {one.readings: _Ended(floor, one.readings, aim) for one in works}
        self._ended = [ended[one.readings] for one in works]

    def connected(self, free: int) -> int:
        """Return when a battery is connected from the moment at which the station is free."""
        return self._floor.connected[free]

    def _turn(self, free: int, work: int, length: int) -> tuple[int, int, int]:
        if not self._special[work]:
            return self._ended[work][self._floor.connected[free] + length]
        off, again = self._turns[work][free, length]
        return (again, *self._ended[work].costs(off))

    def laid(self, works: list[int]) -> _Row:
        """Lay a row out.

        Raises
        ------
        HorizonTooShort
            The working time was not laid out far enough.
        """
        row = _Row(works, [0], [0], [])
        free = total = 0
        for work in works:
            length = self.lengths[work] or 0
            free, cost, each = self._turn(free, work, length)
            total += cost + each * length
            row.free.append(free)
            row.cost.append(total)
            if each:
                row.late.append(work)
        return row

    def price(self, change: _Change, row: _Row) -> int | None:
        """Return what a row costs once changed; None where it may not take a work, or not in time."""
        works, first, last, moved = change.works, change.first, change.last, change.moved
        free, total = row.free[first], row.cost[first]
        lengths, special, ended, connected = self.lengths, self._special, self._ended, self._floor.connected
        try:
            for place in range(first, len(works)):
                if place >= last and row.free[place - moved] == free:
                    return total + row.cost[-1] - row.cost[place - moved]
                work = works[place]
                length = lengths[work]
                if length is None:
                    return None
                if special[work]:
                    free, cost, each = self._turn(free, work, length)
                else:
                    free, cost, each = ended[work][connected[free] + length]
                total += cost + each * length
        except HorizonTooShort:
            return None
        return total


def _bettered(
    rows: list[_Row], bench: Sequence[_Station], changes: int, random: Random
) -> Iterator[list[_Row]]:
    """Swap two works, or move one, again and again; keep what costs no more than some steps ago."""
    where = {work: place for place, row in enumerate(rows) for work in row.works}
    jobs = sorted(where)
    late = [work for row in rows for work in row.late]
    total = least = sum(row.cost[-1] for row in rows)
    best, memory, fitted = list(rows), [total] * _MEMORY, 0
    for step in range(changes if len(jobs) > 1 else 0):
        fitted += not late
        if fitted > _WHEN_ALL_FIT:
            break
        if step % _EVERY == 0:
            yield rows
        some = late if late and random.random() < _FOR_THE_LATE else jobs
        one = some[int(random.random() * len(some))]
        if random.random() < 1 / 2:
            changed = _swapped(one, jobs[int(random.random() * len(jobs))], rows, where)
        else:
            changed = _moved(one, rows, where, random)
        tried = total
        for change in changed:
            row = rows[change.row]
            cost = bench[change.row].price(change, row)
            if cost is None:
                break
            tried += cost - row.cost[-1]
        else:
            if tried <= max(total, memory[step % _MEMORY]):
                total = tried
                for change in changed:
                    rows[change.row] = bench[change.row].laid(change.works)
                    where.update(dict.fromkeys(change.works, change.row))
                late = [work for row in rows for work in row.late]
                if total < least:
                    least, best = total, list(rows)
        memory[step % _MEMORY] = total
    yield best


def _swapped(one: int, other: int, rows: Sequence[_Row], where: dict[int, int]) -> list[_Change]:
    here, there = where[one], where[other]
    works = rows[here].works.copy()
    target = works if there == here else rows[there].works.copy()
    place, other_place = works.index(one), target.index(other)
    works[place], target[other_place] = other, one
    if here == there:
        return [_Change(here, works, min(place, other_place), max(place, other_place) + 1)]
    return [
        _Change(here, works, place, place + 1),
        _Change(there, target, other_place, other_place + 1),
    ]


def _moved(one: int, rows: Sequence[_Row], where: dict[int, int], random: Random) -> list[_Change]:
    here, there = where[one], int(random.random() * len(rows))
    works = rows[here].works.copy()
    place = works.index(one)
    del works[place]
    target = works if there == here else rows[there].works.copy()
    to = int(random.random() * (len(target) + 1))
    target.insert(to, one)
    if here == there:
        return [_Change(here, works, min(place, to), max(place, to) + 1)]
    return [_Change(here, works, place, place, -1), _Change(there, target, to, to + 1, 1)]


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
