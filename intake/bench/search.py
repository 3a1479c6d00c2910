"""A good order of work: built by plain rules and station by station, then bettered by small changes.

The changes are drawn from a seeded generator and counted, never timed: the same work gives the same order
on any machine. A change is kept when it is no worse than the plan of some steps ago (late acceptance).
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from random import Random

from intake.bench.floor import Floor
from intake.bench.layout import Later, lay_out
from intake.bench.least_late import LeastLate
from intake.bench.station_search import NEAR_MIN, better_turns
from intake.bench.timeline import HorizonTooShort, Layout, Minutes, Turn, Work
from intake.bench.working_minutes import OpenMinutes

_MEMORY = 40
"""How many steps back a change is compared with."""
_PATIENCE = 400
_KICK = 3
"""After so many steps that led nowhere, so many changes more are made at once to the plan that led so far."""
_FOR_THE_LATE = 0.3
"""The share of changes that begin with a battery that is left over for a later day."""
_SWAPS, _SHIFTS = 0.4, 0.4
"""Shares of the changes that swap two batteries, or only their order; the rest moves one to any place."""
_SHIFT_BY = 8
_DRAWS = 20
"""A change that is too late whoever does it is drawn anew, so many times at most."""
_READINGS_FIRST = 1 / 8
"""The share of layouts in which long readings go first."""


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
    start: Layout,
    bench: Bench,
    *,
    one_after_another: float,
    margin_min: int,
    changes: int,
    aim: int,
    seed: int,
    in_this_order: Sequence[int],
) -> list[Layout]:
    """Return the layouts of orders on the way to the best one station by station, from one to start with.

    A plan without slack is upset when the one person is busy elsewhere; so charges may be reckoned as
    ``margin_min`` minutes longer than they are, and the stations as open one after another, by a share of the
    minutes that the person needs at one of them, ``in_this_order``.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    longer = [work._replace(station_min=_longer(work.station_min, margin_min)) for work in bench.works]
    found = better_turns(
        start.turns,
        longer,
        bench.stations,
        bench.minutes,
        bench.opened,
        apart_min=int(one_after_another * (bench.minutes.connect + bench.minutes.disconnect)),
        in_this_order=in_this_order,
        aim=aim,
        changes=changes,
        seed=seed,
    )
    return [_lay_out(turns, bench, later) for turns in found for later in Later]


def _longer(lengths: Sequence[int | None], by_min: int) -> tuple[int | None, ...]:
    return tuple(None if one is None else one + by_min for one in lengths)


def bettered(start: Layout, bench: Bench, *, changes: int, aim: int, seed: int) -> Layout:
    """Better a layout by so many changes.

    What is watched on the way is what is left over after ``aim``, the minute by which all is to be
    done, and an hour of grace: how many hours late, and then how long its charges are, as what is short is
    soonest fitted in.
    """
    random = Random(seed)
    best = current = leader = start
    rank = lead = rank_of(start, aim)
    memory = [rank] * _MEMORY
    led_at = 0
    least_late = LeastLate(bench.works, bench.minutes, bench.opened, aim)
    for step in range(changes):
        stuck = step - led_at >= _PATIENCE
        left_over = _left_over(current, aim)
        latest = max(rank, memory[step % _MEMORY])
        try:
            if stuck:
                turns = leader.turns
                for _ in range(1 + _KICK):
                    turns = _changed(turns, left_over, bench, random)
            else:
                turns = _not_too_late(current.turns, left_over, bench, random, least_late, latest[0])
            later = Later.STATIONS if random.random() < _READINGS_FIRST else Later.READINGS
            tried = _lay_out(turns, bench, later)
        except HorizonTooShort:
            continue
        tried_rank = rank_of(tried, aim)
        if stuck:
            memory, led_at = [tried_rank] * _MEMORY, step
        if stuck or tried_rank <= latest:
            current, rank = tried, tried_rank
            best = min(best, tried, key=lambda one: one.score)
            if rank < lead:
                leader, lead, led_at = tried, rank, step
        memory[step % _MEMORY] = rank
    return best


def rank_of(layout: Layout, aim: int) -> tuple[int, int, int, int]:
    """Return what a layout is judged by: hours late, charges of the late ones, minutes beyond, sum."""
    late = length = beyond = 0
    for one in layout.placed:
        if one.finished > aim:
            beyond += one.finished - aim
            if one.finished >= aim + NEAR_MIN:
                late += (one.finished - aim) // NEAR_MIN
                length += one.charged - one.connect
    return late, length, beyond, layout.score.total_finished


def _lay_out(turns: Sequence[Turn], bench: Bench, later: Later) -> Layout:
    return lay_out(turns, bench.works, bench.stations, bench.minutes, bench.opened, later)


def _left_over(layout: Layout, aim: int) -> set[int]:
    """Return the works that end an hour or more after the aim."""
    return {one.work for one in layout.placed if one.finished >= aim + NEAR_MIN}


def _not_too_late(
    turns: Sequence[Turn],
    left_over: set[int],
    bench: Bench,
    random: Random,
    least_late: LeastLate,
    most_hours: int,
) -> tuple[Turn, ...]:
    """Return the first change that is worth laying out, or the last of those drawn."""
    changed = tuple(turns)
    for _ in range(_DRAWS):
        changed = _changed(turns, left_over, bench, random)
        if least_late.hours(changed, bench.stations) <= most_hours:
            break
    return changed


def _changed(turns: Sequence[Turn], left_over: set[int], bench: Bench, random: Random) -> tuple[Turn, ...]:
    """Swap the batteries of two turns, take one turn earlier or later, or move one, perhaps elsewhere."""
    changed = list(turns)
    late = [place for place, one in enumerate(turns) if one.work in left_over]
    chosen = late if late and random.random() < _FOR_THE_LATE else range(len(turns))
    place, other = random.choice(chosen), random.randrange(len(turns))
    first, second = turns[place], turns[other]
    kind = random.random()
    if kind < _SWAPS and _may(first.work, second.station, bench):
        if _may(second.work, first.station, bench):
            changed[place] = Turn(second.work, first.station)
            changed[other] = Turn(first.work, second.station)
        return tuple(changed)
    changed.pop(place)
    if kind < _SWAPS + _SHIFTS:
        changed.insert(max(0, place + random.randint(-_SHIFT_BY, _SHIFT_BY)), first)
        return tuple(changed)
    stations = [one for one in range(bench.stations) if _may(first.work, one, bench)] or [first.station]
    changed.insert(other, Turn(first.work, random.choice(stations)))
    return tuple(changed)


def _may(work: int, station: int, bench: Bench) -> bool:
    allowed = bench.works[work].station_min
    return not allowed if station < 0 else bool(allowed) and allowed[station] is not None


_Rule = Callable[[int, int, int], tuple[int, ...]]
"""From minutes on the station and the moments from which it stands there and is free again to a rank: the
lowest is taken."""


def _longest(length: int, free: int, again: int) -> tuple[int, ...]:
    del free, again
    return (-length,)


def _shortest(length: int, free: int, again: int) -> tuple[int, ...]:
    del free, again
    return (length,)


def _least_idle(length: int, free: int, again: int) -> tuple[int, ...]:
    """Take what leaves the station idle for the shortest time, and then the longest."""
    return (again - free - length, -length)


def _by_rule(bench: Bench, rule: _Rule) -> Iterator[Turn]:
    """Give the station that is free first, again and again, the battery that the rule ranks first."""
    left = [place for place, work in enumerate(bench.works) if work.station_min]
    yield from (Turn(place, -1) for place, work in enumerate(bench.works) if not work.station_min)
    floor = Floor(bench.opened, bench.minutes)
    free = [0] * bench.stations
    while left:
        fit = [one for one in range(bench.stations) if any(_may(work, one, bench) for work in left)]
        station = min(fit, key=lambda one: (free[one], one))
        ranked = []
        for place in left:
            work = bench.works[place]
            length = work.station_min[station]
            if length is not None:
                _, again = floor.turn(free[station], length, work)
                ranked.append((rule(length, free[station], again), place, again))
        _, chosen, again = min(ranked)
        free[station] = again
        left.remove(chosen)
        yield Turn(chosen, station)
