"""Stations emptied and filled again, until nothing is left over, with the one person reckoned with.

A battery weighs what it takes up of the stations beside the others (`intake.bench.bounds.station_weights`),
give or take a little that is drawn. One station after another is given a heavy row of what is there, in the
minutes that the person still has. Then stations are drawn, emptied from some work on, and filled again from
what was taken off and what was left over (large neighbourhood search, Shaw 1998, from memory).
"""

from collections.abc import Iterable, Mapping, Sequence
from math import fsum
from random import Random

from intake.bench.bounds.station_weights import cost_of_leaving_out
from intake.bench.distinct_row import distinct_row
from intake.bench.floor import Floor, Kind, kind_of
from intake.bench.layout import after_turns, lay_out_one_by_one
from intake.bench.search import Bench
from intake.bench.timeline import Layout, Turn

_DRAWN = 0.02
"""By what share of itself a weight is raised at most."""
_FOR_ITS_LENGTH = 0.15
"""Part of the mean weight that is added by the length of a charge, so that none weighs nothing."""
_SCALE = 100
"""Weights are whole numbers of a hundredth of a minute."""
_FOR_A_ROW = 400
"""Counted for each row as so many works tried, for what it takes besides."""
_EACH = 0.5
"""How often each station is emptied, and not two or more of them."""
_ALL_OFF = 0.1
"""How often stations are emptied from their first work on."""
_KEPT = 0.4, 0.9
"""Else the share of its row that a station keeps, at least and at most."""
_URGED, _URGED_BY = 0.3, 0.5
"""How often what was left over weighs more, and by what share of itself at most."""


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
        lengths = {place: cost_of_leaving_out(kind) for place, kind in kinds.items()}
        scale = sum(lengths.values()) / max(1, sum(weights[kind] for kind in kinds.values()))
        self._weight = {
            place: weights[kind] * scale + _FOR_ITS_LENGTH * lengths[place] for place, kind in kinds.items()
        }
        self._readings = [Turn(place, -1) for place, work in enumerate(bench.works) if not work.station_min]
        self.tried = 0
        self._turns: list[Turn] = []
        self._left = set(kinds)
        self._fill(random.sample(range(bench.stations), bench.stations), urged={})

    def done(self) -> bool:
        """Say whether all is read by the aim."""
        return not self._left and self.layout().score.makespan <= self._aim

    def refill(self) -> None:
        """Empty two stations or more to some depth and fill them again; keep what leaves no more over."""
        random, stations = self._random, self._bench.stations
        before = self._turns, self._left
        urged = self._left if random.random() < _URGED else ()
        all_off = random.random() < _ALL_OFF
        count = stations if random.random() < _EACH else random.randint(min(2, stations), stations)
        some = random.sample(range(stations), count)
        emptied = {one for station in some for one in self._off(station, all_off)}
        self._turns = [one for one in self._turns if one.work not in emptied]
        self._left = self._left | emptied
        self._fill(some, urged={one: _URGED_BY * random.random() for one in urged})
        if self._weighed(self._left) > self._weighed(before[1]):
            self._turns, self._left = before

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

    def _off(self, station: int, all_off: bool) -> list[int]:
        """Return the works that are taken off a station, which are the last of its row."""
        row = [one.work for one in self._turns if one.station == station]
        return row if all_off else row[int(len(row) * self._random.uniform(*_KEPT)) :]

    def _fill(self, stations: Sequence[int], *, urged: Mapping[int, float]) -> None:
        """Give each of some stations the heaviest row that is found for what is left over."""
        bench = self._bench
        for station in stations:
            after = after_turns(self._turns, bench.works, bench.stations, bench.minutes, bench.opened)
            floor = Floor(bench.opened, bench.minutes, person=after.person)
            weights = {one: self._drawn(one, urged.get(one, 0)) for one in sorted(self._left)}
            row = distinct_row(
                bench.works, weights, station, floor, begins=after.free[station], aim=self._aim
            )
            self.tried += row.tried + _FOR_A_ROW
            self._turns = [*self._turns, *(Turn(work, station) for work in row.works)]
            self._left = self._left.difference(row.works)

    def _drawn(self, work: int, more: float) -> int:
        return int(self._weight[work] * (1 + more + _DRAWN * self._random.random()) * _SCALE)

    def _weighed(self, works: Iterable[int]) -> float:
        return fsum(self._weight[one] for one in works)

    def _laid_out(self, turns: Sequence[Turn]) -> Layout:
        bench = self._bench
        return lay_out_one_by_one(turns, bench.works, bench.stations, bench.minutes, bench.opened)
