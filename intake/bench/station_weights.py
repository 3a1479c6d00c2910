"""Weights of batteries that tell by when not all can be done: the dual of a linear program.

The program covers every battery with rows of batteries, one row a station. Its dual gives weights to the
batteries; whenever all stations together cannot carry the whole weight by a moment, no plan can. Rows are
made as they are wanted: the heaviest of each station by the latest weights (Gilmore and Gomory 1961, from
memory).
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from intake.bench.covering import Covering
from intake.bench.floor import Floor, Kind, shortest
from intake.bench.pattern import heaviest, offers_of

_SCALE = 10_000
"""Weights are whole numbers, so that sums of them are exact; this is the mean."""
_ROUNDS = 70
_KEPT = 0.4
"""How much of the earlier prices is kept from round to round, so that they settle sooner."""
_SET_UP_MIN = 60
"""Added to a battery's minutes for what it costs to leave it out."""
_NOTHING = 1e-6
"""A share of the whole that is left uncovered by rounding alone."""


class Weights(NamedTuple):
    """Weights of the batteries, by their kind, and whether they tell: all stations cannot carry the whole."""

    by_kind: Mapping[Kind, int]
    tell: bool


class Row(NamedTuple):
    """A row of batteries for one of the stations that are alike."""

    group: int
    covers: Mapping[int, int]
    """How often it takes each kind, by the place of the kind."""
    off: int
    """The moment at which all are off the station."""


def sought_weights(
    kinds: Counter[Kind], floor: Floor, until: int, *, step_min: int = 1, met: list[Row] | None = None
) -> Weights:
    """Return weights that all stations cannot carry by a moment; the last ones tried where none were found.

    Either way a battery's weight is what it takes up of the stations, seen beside the others. ``step_min`` is
    explained in `intake.bench.pattern`. ``met`` are rows that were met for other moments, with the same
    steps: they save a start from nothing, and those that are met now are added to them.
    """
    program = _Program(kinds, floor, until, step_min, [] if met is None else met)
    prices = latest = program.covering.prices
    weights = program.weights(prices)
    for _ in range(_ROUNDS):
        outweighed, added = program.add_heaviest(weights)
        if outweighed:
            return Weights(weights, tell=True)
        if added:
            program.covering.solve()
            if program.all_covered():
                break
            latest = program.covering.prices
            prices = [_KEPT * old + (1 - _KEPT) * new for old, new in zip(prices, latest, strict=True)]
        elif prices == latest:
            break
        else:
            prices = latest
        weights = program.weights(prices)
    return Weights(weights, tell=False)


def cost_of_leaving_out(kind: Kind) -> int:
    """Return what it costs to leave a battery out: its minutes on the station that suits it, and more."""
    return shortest(kind) + _SET_UP_MIN


class _Program:
    """The linear program of the batteries and stations of a bench."""

    def __init__(self, kinds: Counter[Kind], floor: Floor, until: int, step_min: int, met: list[Row]) -> None:
        self._kinds, self._floor, self._until, self._step_min = kinds, floor, until, step_min
        self._met = met
        self._alike = Counter(zip(*(kind.station_min for kind in kinds), strict=True))
        costs = [float(cost_of_leaving_out(kind)) for kind in kinds]
        self._whole = sum(cost * count for cost, count in zip(costs, kinds.values(), strict=True))
        self._place = {kind: place for place, kind in enumerate(kinds)}
        self._seen: set[tuple[int, frozenset[tuple[int, int]]]] = set()
        self.covering = Covering(list(kinds.values()), costs, list(self._alike.values()))
        for row in met:
            if row.off <= until:
                self._add(row)
        self.covering.solve()

    def weights(self, prices: Sequence[float]) -> dict[Kind, int]:
        """Return the prices as whole numbers."""
        scale = _SCALE * self._kinds.total() / self._whole
        return {kind: round(price * scale) for kind, price in zip(self._kinds, prices, strict=True)}

    def all_covered(self) -> bool:
        return self.covering.uncovered <= _NOTHING * self._whole

    def add_heaviest(self, weights: Mapping[Kind, int]) -> tuple[bool, bool]:
        """Add each station's heaviest row; say if all weigh less than the batteries, and if any is new."""
        carried, before = 0, len(self._seen)
        for group, (lengths, count) in enumerate(self._alike.items()):
            offers = offers_of(dict(zip(self._kinds, lengths, strict=True)), weights)
            row = heaviest(0, offers, self._floor, until=self._until, step_min=self._step_min)
            carried += count * row.weights[-1]
            covers = {self._place[kind]: times for kind, times in row.taken.items()}
            one = Row(group, covers, row.moments[-1])
            if self._add(one):
                self._met.append(one)
        needed = sum(weights[kind] * count for kind, count in self._kinds.items())
        return carried < needed, len(self._seen) > before

    def _add(self, row: Row) -> bool:
        """Add a row, unless it is there; say if it was new."""
        mark = row.group, frozenset(row.covers.items())
        if mark in self._seen:
            return False
        self._seen.add(mark)
        self.covering.add(row.group, row.covers)
        return True
