"""A good order of work: built by plain rules and station by station, then bettered by small changes.

The changes are drawn from a seeded generator and counted, never timed: the same work gives the same order
on any machine. A change is kept when it is no worse than the plan of some steps ago (late acceptance).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from random import Random

from intake.bench.station_bound import Floor
from intake.bench.station_search import better_turns
from intake.bench.timeline import HorizonTooShort, Later, Layout, Minutes, Turn, Work, lay_out
from intake.bench.working_minutes import OpenMinutes

_SEED = 20
_MEMORY = 40
"""How many steps back a change is compared with."""
_PATIENCE = 400
_KICK = 3
"""After so many steps that led nowhere, so many changes more are made at once to the plan that led so far."""


@dataclass(frozen=True, slots=True)
class Bench:
    """Everything that a search needs. Works are in an order that does not depend on the workbook's rows."""

    works: tuple[Work, ...]
    stations: int
    minutes: Minutes
    opened: OpenMinutes


def first_layouts(bench: Bench) -> list[Layout]:
    """Return the layouts of the plain rules, best first.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    orders = [list(_by_rule(bench, rule)) for rule in (_longest, _shortest, _least_idle)]
    laid = [_lay_out(order, bench, later) for order in orders for later in Later]
    return sorted(laid, key=lambda one: one.score)


def station_layouts(
    start: Layout, bench: Bench, *, margin_min: int, changes: int, bound: int
) -> list[Layout]:
    """Return the layouts of the order that is best station by station, found from one to start with.

    A plan without slack is upset when the one person is busy elsewhere; so charges may be reckoned as
    ``margin_min`` minutes longer than they are.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    longer = [work._replace(station_min=_longer(work.station_min, margin_min)) for work in bench.works]
    turns = better_turns(
        start.turns, longer, bench.stations, bench.minutes, bench.opened, bound=bound, changes=changes
    )
    return [_lay_out(turns, bench, later) for later in Later]


def _longer(lengths: Sequence[int | None], by_min: int) -> tuple[int | None, ...]:
    return tuple(None if one is None else one + by_min for one in lengths)


def bettered(start: Layout, bench: Bench, *, changes: int, bound: int, whole: bool) -> Layout:
    """Better a layout by so many changes.

    What is watched on the way is by how much all finishing times together are beyond ``bound``, the
    minute before which no plan can end: that falls long before the last of them does. Unless ``whole``,
    the search stops once the plan ends at the bound.
    """
    random = Random(_SEED)
    best = current = leader = start
    rank = lead = _rank(start, bound)
    memory = [rank] * _MEMORY
    led_at = 0
    for step in range(changes):
        if best.score.makespan <= bound and not whole:
            break
        stuck = step - led_at >= _PATIENCE
        turns = _changed(leader.turns if stuck else current.turns, bench, random)
        for _ in range(_KICK if stuck else 0):
            turns = _changed(turns, bench, random)
        try:
            tried = _lay_out(turns, bench, random.choice(tuple(Later)))
        except HorizonTooShort:
            continue
        tried_rank = _rank(tried, bound)
        if stuck:
            memory, led_at = [tried_rank] * _MEMORY, step
        if stuck or tried_rank <= max(rank, memory[step % _MEMORY]):
            current, rank = tried, tried_rank
            best = min(best, tried, key=lambda one: one.score)
            if rank < lead:
                leader, lead, led_at = tried, rank, step
        memory[step % _MEMORY] = rank
    return best


def _rank(layout: Layout, bound: int) -> tuple[int, int, int]:
    beyond = sum(max(0, one.finished - bound) for one in layout.placed)
    return beyond, layout.score.total_finished, layout.score.late


def _lay_out(turns: Sequence[Turn], bench: Bench, later: Later) -> Layout:
    return lay_out(turns, bench.works, bench.stations, bench.minutes, bench.opened.closed, later)


def _changed(turns: Sequence[Turn], bench: Bench, random: Random) -> list[Turn]:
    """Move one turn, perhaps to another station, or swap the batteries of two turns."""
    changed = list(turns)
    place, other = random.randrange(len(changed)), random.randrange(len(changed))
    first, second = changed[place], changed[other]
    if random.random() < 1 / 2 and _may(first.work, second.station, bench):
        if _may(second.work, first.station, bench):
            changed[place] = Turn(second.work, first.station)
            changed[other] = Turn(first.work, second.station)
        return changed
    changed.pop(place)
    stations = [one for one in range(bench.stations) if _may(first.work, one, bench)] or [first.station]
    changed.insert(other, Turn(first.work, random.choice(stations)))
    return changed


def _may(work: int, station: int, bench: Bench) -> bool:
    allowed = bench.works[work].station_min
    return not allowed if station < 0 else bool(allowed) and allowed[station] is not None


_Rule = Callable[[int, int, Floor], tuple[int, ...]]
"""From minutes on the station, the moment it starts and the bench, to a rank: the lowest is taken."""


def _longest(length: int, start: int, floor: Floor) -> tuple[int, ...]:
    del start, floor
    return (-length,)


def _shortest(length: int, start: int, floor: Floor) -> tuple[int, ...]:
    del start, floor
    return (length,)


def _least_idle(length: int, start: int, floor: Floor) -> tuple[int, ...]:
    """Take what leaves the station idle for the shortest time after its charge, and then the longest."""
    return (floor.freed(start + length) - start - length, -length)


def _by_rule(bench: Bench, rule: _Rule) -> Iterator[Turn]:
    """Give the station that is free first, again and again, the battery that the rule ranks first."""
    left = [place for place, work in enumerate(bench.works) if work.station_min]
    yield from (Turn(place, -1) for place, work in enumerate(bench.works) if not work.station_min)
    readings = bench.works[left[0]].readings if left else ()
    floor = Floor(bench.opened, bench.minutes, readings, 0)
    free = [0] * bench.stations
    while left:
        fit = [one for one in range(bench.stations) if any(_may(work, one, bench) for work in left)]
        station = min(fit, key=lambda one: (free[one], one))
        start = floor.connected(free[station])
        ranked = [
            (rule(length, start, floor), place)
            for place in left
            if (length := bench.works[place].station_min[station]) is not None
        ]
        _, chosen = min(ranked)
        free[station] = floor.freed(start + (bench.works[chosen].station_min[station] or 0))
        left.remove(chosen)
        yield Turn(chosen, station)
