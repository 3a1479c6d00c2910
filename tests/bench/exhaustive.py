"""The best end over every order of work, every choice of stations and both kinds of precedence."""

from itertools import product

from intake.bench.layout import Later, lay_out
from intake.bench.schedule import with_times_that_can_be_kept
from intake.bench.timeline import Turn
from intake.bench.working_minutes import OpenMinutes


def best_end(task, *, days=60):
    """Return the earliest end in minutes. Batteries that are alike are not swapped."""
    task = with_times_that_can_be_kept(task)
    opened = OpenMinutes(task.time.closed(days * 1440))
    kinds = [work[1:] for work in task.works]
    ends = []
    for order in _orders(kinds):
        for places in product(*(_places(task, work) for work in order)):
            turns = [Turn(work, place) for work, place in zip(order, places, strict=True)]
            ends += [
                lay_out(turns, task.works, task.stations, task.minutes, opened, later).score.makespan
                for later in Later
            ]
    return min(ends)


def _places(task, work):
    lengths = task.works[work].station_min
    return [place for place, length in enumerate(lengths) if length is not None] or [-1]


def _orders(kinds):
    """Yield every order; among equal kinds the lower number comes first."""

    def extend(order, left):
        if not left:
            yield order
        met = set()
        for work in left:
            if kinds[work] not in met:
                met.add(kinds[work])
                yield from extend([*order, work], [one for one in left if one != work])

    yield from extend([], list(range(len(kinds))))
