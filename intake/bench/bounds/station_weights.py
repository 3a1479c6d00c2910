"""Weights of batteries that tell by when not all can be done: the dual of a linear program.

The program covers every battery with rows of batteries, one row a station. Its dual gives weights to the
batteries; whenever all stations together cannot carry the whole weight by a moment, no plan can. Rows are
made as they are wanted: the heaviest of each station by the latest weights (Gilmore and Gomory 1961, from
memory). Where the one person counts, all rows share the first minutes of each shift, which are priced as
well (`intake.bench.bounds.priced_minutes`).
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from operator import mul
from typing import NamedTuple, Protocol

from intake.bench.bounds.covering import Covering
from intake.bench.bounds.pattern import Offer, Row, offers_of
from intake.bench.bounds.priced_minutes import Stretch
from intake.bench.floor import Kind, shortest

_SCALE = 10_000
"""Weights are whole numbers, so that sums of them are exact; this is the mean."""
_ROUNDS = 150
_KEPT = 0.4
"""How much of the earlier prices is kept from round to round, so that they settle sooner."""
_SET_UP_MIN = 60
"""Added to a battery's minutes for what it costs to leave it out."""
_NOTHING = 1e-6
"""A share of the whole that is left uncovered by rounding alone."""


class Weights(NamedTuple):
    """Weights of the batteries, by their kind, and whether they tell: all stations cannot carry the whole."""

    by_kind: Mapping[Kind, int]
    prices: Sequence[int]
    """Of one minute of each stretch."""
    tell: bool


class Rows(Protocol):
    """What finds the heaviest row of a station by one moment."""

    @property
    def stretches(self) -> Sequence[Stretch]:
        """The person's minutes that have a price."""

    def heaviest(self, offers: Sequence[Offer], prices: Sequence[int], /) -> Row:
        """Return the row that weighs most, less what it pays; a price is that of one minute of a stretch."""


class MetRow(NamedTuple):
    """A row of batteries for one of the stations that are alike."""

    group: int
    covers: Mapping[int, int]
    """How often it takes each kind, by the place of the kind."""
    uses: Mapping[int, int]
    """How many minutes of each stretch it takes, by the place of the stretch."""
    off: int
    """The moment at which all are off the station."""


def sought_weights(kinds: Counter[Kind], rows: Rows, until: int, *, met: list[MetRow]) -> Weights:
    """Return weights that all stations cannot carry by a moment; the last ones tried where none were found.

    Either way a battery's weight is what it takes up of the stations, seen beside the others. ``rows`` finds
    the heaviest row of a station by that moment. ``met`` are rows that it met for other moments: they save a
    start from nothing, and those that are met now are added to them.
    """
    program = _Program(kinds, rows, until, met)
    prices = latest = program.prices()
    weights = program.weights(prices)
    for _ in range(_ROUNDS):
        outweighed, added = program.add_heaviest(weights)
        if outweighed:
            return weights._replace(tell=True)
        if added:
            program.covering.solve()
            if program.all_covered():
                break
            latest = program.prices()
            prices = [_KEPT * old + (1 - _KEPT) * new for old, new in zip(prices, latest, strict=True)]
        elif prices == latest:
            break
        else:
            prices = latest
        weights = program.weights(prices)
    return weights


def cost_of_leaving_out(kind: Kind) -> int:
    """Return what it costs to leave a battery out: its minutes on the station that suits it, and more."""
    return shortest(kind) + _SET_UP_MIN


class _Program:
    """The linear program of the batteries and stations of a bench, and of the person's priced minutes."""

    def __init__(self, kinds: Counter[Kind], rows: Rows, until: int, met: list[MetRow]) -> None:
        self._kinds, self._rows, self._met = kinds, rows, met
        self._alike = Counter(zip(*(kind.station_min for kind in kinds), strict=True))
        costs = [float(cost_of_leaving_out(kind)) for kind in kinds]
        self._whole = sum(cost * count for cost, count in zip(costs, kinds.values(), strict=True))
        self._place = {kind: place for place, kind in enumerate(kinds)}
        self._seen: set[tuple[int, frozenset[tuple[int, int]], frozenset[tuple[int, int]]]] = set()
        self._lengths = [end - start for start, end in rows.stretches]
        limits = [*self._alike.values(), *self._lengths]
        self.covering = Covering(list(kinds.values()), costs, limits)
        for row in met:
            if row.off <= until:
                self._add(row)
        self.covering.solve()

    def prices(self) -> list[float]:
        """Return the price of each kind, then that of a minute of each stretch."""
        return [*self.covering.prices, *self.covering.limit_prices[len(self._alike) :]]

    def weights(self, prices: Sequence[float]) -> Weights:
        """Return the prices as whole numbers."""
        scale = _SCALE * self._kinds.total() / self._whole
        whole = [round(price * scale) for price in prices]
        return Weights(dict(zip(self._kinds, whole, strict=False)), whole[len(self._kinds) :], tell=False)

    def all_covered(self) -> bool:
        return self.covering.uncovered <= _NOTHING * self._whole

    def add_heaviest(self, weights: Weights) -> tuple[bool, bool]:
        """Add each station's heaviest row; say if all weigh less than the batteries, and if any is new."""
        carried, before = sum(map(mul, weights.prices, self._lengths)), len(self._seen)
        for group, (lengths, count) in enumerate(self._alike.items()):
            offers = offers_of(dict(zip(self._kinds, lengths, strict=True)), weights.by_kind)
            row = self._rows.heaviest(offers, weights.prices)
            carried += count * row.weight
            covers = {self._place[kind]: times for kind, times in row.taken.items()}
            one = MetRow(group, covers, row.uses, row.off)
            if self._add(one):
                self._met.append(one)
        needed = sum(weights.by_kind[kind] * count for kind, count in self._kinds.items())
        return carried < needed, len(self._seen) > before

    def _add(self, row: MetRow) -> bool:
        """Add a row, unless it is there; say if it was new."""
        mark = row.group, frozenset(row.covers.items()), frozenset(row.uses.items())
        if mark in self._seen:
            return False
        self._seen.add(mark)
        uses = {len(self._alike) + place: minutes for place, minutes in row.uses.items()}
        self.covering.add(row.covers, {row.group: 1, **uses})
        return True
