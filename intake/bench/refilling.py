"""Stations emptied and filled again, until nothing is left over, with the one person reckoned with.

A battery weighs what it takes up of the stations beside the others (`intake.bench.station_weights`), give or
take a little that is drawn. One station after another is given a heavy row of what is there, in the minutes
that the person still has; the last one takes as many minutes of charging as it can. Then stations are drawn,
emptied, and filled again from what they held and what was left over (large neighbourhood search, Shaw 1998,
from memory).
"""

from collections.abc import Mapping, Sequence
from random import Random

from intake.bench.floor import Floor, Kind, kind_of
from intake.bench.layout import lay_out_one_by_one, minutes_left
from intake.bench.pattern import distinct_row
from intake.bench.search import Bench
from intake.bench.station_weights import cost_of_leaving_out
from intake.bench.timeline import Layout, Turn

_DRAWN = 0.05
"""By what share of itself a weight is raised at most."""
_FOR_ITS_LENGTH = 0.1
"""Part of the mean weight that is added by the length of a charge, so that none weighs nothing."""
_SCALE = 100
"""Weights are whole numbers of a hundredth of a minute."""
_FOR_A_ROW = 300
"""Counted for each row as so many works tried, for what it takes besides."""
_TWO = 0.7
"""How often two stations are emptied; three else, where there are more than that."""


def refilled(bench: Bench, weights: Mapping[Kind, int], *, aim: int, most_tried: int, seed: int) -> Layout:
    """Return the layout that leaves the least over after ``aim``, the minute by which all is to be read.

    ``most_tried`` is about how often a work may be tried at the end of a row.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    filling = _Filling(bench, weights, aim, Random(seed))
    while filling.tried < most_tried and not filling.done():
        filling.refill()
    return filling.layout()


class _Filling:
    """Rows on all stations, and what is left over."""

    def __init__(self, bench: Bench, weights: Mapping[Kind, int], aim: int, random: Random) -> None:
        self._bench, self._aim, self._random = bench, aim, random
        kinds = {place: kind_of(work) for place, work in enumerate(bench.works) if work.station_min}
        self._length = {place: cost_of_leaving_out(kind) for place, kind in kinds.items()}
        scale = sum(self._length.values()) / max(1, sum(weights[kind] for kind in kinds.values()))
        self._weight = {
            place: weights[kind] * scale + _FOR_ITS_LENGTH * self._length[place]
            for place, kind in kinds.items()
        }
        self._readings = [Turn(place, -1) for place, work in enumerate(bench.works) if not work.station_min]
        self.tried = 0
        self._turns, self._left = self._filled(
            [], set(kinds), random.sample(range(bench.stations), bench.stations)
        )

    def done(self) -> bool:
        """Say whether all is read by the aim."""
        return not self._left and self.layout().score.makespan <= self._aim

    def refill(self) -> None:
        """Empty two stations or three and fill them again; keep what leaves no more over."""
        stations = self._bench.stations
        count = 2 if self._random.random() < _TWO else 3
        some = self._random.sample(range(stations), min(stations, count))
        kept = [one for one in self._turns if one.station not in some]
        works = {one.work for one in self._turns if one.station in some} | self._left
        turns, left = self._filled(kept, works, some)
        if self._cost(left) <= self._cost(self._left):
            self._turns, self._left = turns, left

    def layout(self) -> Layout:
        """Return all laid out; what is left over goes to the station that is free first."""
        turns, works = list(self._turns), self._bench.works
        for work in sorted(self._left):
            ends = dict.fromkeys(range(self._bench.stations), 0)
            for one in self._laid_out(turns).placed:
                ends[one.station] = max(ends[one.station], one.disconnect)
            allowed = [place for place, length in enumerate(works[work].station_min) if length is not None]
            turns.append(Turn(work, min(allowed, key=lambda one: (ends[one], one))))
        return self._laid_out([*self._readings, *turns])

    def _filled(
        self, turns: list[Turn], works: set[int], stations: Sequence[int]
    ) -> tuple[list[Turn], set[int]]:
        """Give each of some empty stations a row; return all turns, and the works that are left over."""
        left = set(works)
        for station in stations:
            bench = self._bench
            person = minutes_left(turns, bench.works, bench.stations, bench.minutes, bench.opened)
            floor = Floor(bench.opened, bench.minutes, person=person)
            weights = {one: self._drawn(one, last=station == stations[-1]) for one in sorted(left)}
            row = distinct_row(bench.works, weights, station, floor, aim=self._aim)
            self.tried += row.tried + _FOR_A_ROW
            turns = [*turns, *(Turn(work, station) for work in row.works)]
            left.difference_update(row.works)
        return turns, left

    def _drawn(self, work: int, *, last: bool) -> int:
        if last:
            return self._length[work] * _SCALE
        return int(self._weight[work] * (1 + _DRAWN * self._random.random()) * _SCALE)

    def _cost(self, works: set[int]) -> int:
        return sum(self._length[one] for one in works)

    def _laid_out(self, turns: Sequence[Turn]) -> Layout:
        bench = self._bench
        return lay_out_one_by_one(turns, bench.works, bench.stations, bench.minutes, bench.opened)
