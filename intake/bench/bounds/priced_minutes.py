"""What the person's first minutes of a shift cost: all stations wait then, and are served one after another.

Whatever price such minutes are given, a plan pays it once for each of them at most. So no plan can carry all
batteries if what the stations carry, less the price of the minutes that they take, falls short of that by
more than the price of all those minutes.
"""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from intake.bench.working_minutes import OpenMinutes


class Stretch(NamedTuple):
    """Minutes of the person, the last one not included."""

    start: int
    end: int


def rushes(opened: OpenMinutes, stations: int, task_min: int, until: int) -> list[Stretch]:
    """Return the first minutes of each shift, task by task: each station is emptied and connected."""
    if stations < 2 or not task_min:
        return []
    found = []
    for opening in opened.openings():
        if opening < until:
            end = min(opening + 2 * stations * task_min, opened.closing(opening))
            found += [Stretch(one, min(one + task_min, end)) for one in range(opening, end, task_min)]
    return found


class PricedMinutes:
    """Stretches of the person's minutes, each with the price of one of its minutes."""

    def __init__(self, stretches: Sequence[Stretch], prices: Sequence[int]) -> None:
        self._stretches = stretches
        self._price = {
            minute: price
            for stretch, price in zip(stretches, prices, strict=True)
            if price
            for minute in range(*stretch)
        }

    def costs(self, task_min: int) -> Mapping[int, int]:
        """Return what a task costs, by the minute at which it begins; where none is given, nothing."""
        price = self._price
        starts = {minute - before for minute in price for before in range(task_min)}
        return {
            start: sum(price.get(minute, 0) for minute in range(start, start + task_min)) for start in starts
        }

    def used(self, start: int, task_min: int) -> Mapping[int, int]:
        """Return how many minutes of which stretch a task takes, the stretch by its place."""
        end = start + task_min
        overlaps = (min(end, one.end) - max(start, one.start) for one in self._stretches)
        return {place: overlap for place, overlap in enumerate(overlaps) if overlap > 0}
