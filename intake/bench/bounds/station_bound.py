"""What the stations can do at most, freed from the limits of the one person after the first connecting.

Give every battery a weight. For each station `intake.bench.bounds.pattern` finds the largest weight that it
can have off by any moment, if it may take the same battery again and again. Whatever the weights, that bounds
how many batteries all stations can have off by then, and each of the others has its long reading still
before it. Two kinds of weights tell:

* one for every battery that is longer than some limit, as only the night is long enough for it;
* those that `intake.bench.bounds.station_weights` finds for a moment by which not all can be done.

The first connecting is the person's: of stations that are alike, it does not matter which is which, so the
second begins when the first has been connected, the third after both. `bound_beyond` reckons with the person
at each opening (`intake.bench.bounds.priced_minutes`), which takes some seconds more.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import accumulate

from intake.bench.bounds.pattern import Pattern, QuickRows, heaviest, offers_of
from intake.bench.bounds.priced_minutes import rushes
from intake.bench.bounds.priced_row import PricedRows
from intake.bench.bounds.station_weights import MetRow, sought_weights
from intake.bench.floor import Floor, Kind, in_order, kind_of, shortest
from intake.bench.timeline import Minutes, Work
from intake.bench.working_minutes import OpenMinutes

_NEAR = 150
"""The bound is not sharpened within one part in so many of what is not shown."""
_STEP_MIN = 5
"""Weights are sought as if stations were free at every fifth minute; what they tell is shown exactly."""


def stations_bound(
    works: Sequence[Work], minutes: Minutes, opened: OpenMinutes, *, least: int, until: int, enough: int
) -> int:
    """Return a minute before which the last long reading cannot be done; ``least`` where none is shown.

    ``least`` is a bound that is known already, ``until`` a minute by which some plan ends. A bound of
    ``enough`` or more is not bettered.
    """
    bench = _stations(works, minutes, opened, until)
    if bench is None:
        return least
    best = least
    for weights in _above_a_limit(bench.kinds):
        best = max(best, bench.bound(weights))
        if best >= enough:
            break
    return best


def sharper_bound(
    works: Sequence[Work], minutes: Minutes, opened: OpenMinutes, *, least: int, until: int
) -> tuple[int, Mapping[Kind, int]]:
    """Return the same, sharpened by weights that are sought, and the weights that were sought last.

    It takes some seconds of many unlike batteries. ``least`` is a bound that is known already, ``until`` the
    minute by which some plan ends. The shift of the bound is found first, then its minute, so that the last
    weights belong to a moment near it. Weights are sought quickly, so that now and then one is overlooked.
    """
    bench = _stations(works, minutes, opened, until)
    if bench is None:
        return least, {}
    best, not_shown = least, until
    closings = [one for one in opened.closings() if least <= one < until]
    while closings and best < not_shown:
        aim = closings[len(closings) // 2]
        best, not_shown = bench.sharpened(best, not_shown, aim)
        closings = [one for one in closings if best <= one < not_shown]
    while not_shown - best > best // _NEAR:
        aim = (best + not_shown) // 2
        best, not_shown = bench.sharpened(best, not_shown, aim)
    return best, bench.weights


def bound_beyond(
    aim: int, works: Sequence[Work], minutes: Minutes, opened: OpenMinutes, *, least: int, until: int
) -> int:
    """Return a bound after one moment, if weights and the person's mornings show it; ``least`` if not."""
    bench = _stations(works, minutes, opened, until)
    return least if bench is None else max(least, bench.beyond(aim))


def _stations(works: Sequence[Work], minutes: Minutes, opened: OpenMinutes, until: int) -> "_Stations | None":
    """Return the stations with what they share; None where no battery needs one."""
    kinds = Counter(kind_of(work) for work in works if work.station_min)
    return _Stations(kinds, Floor(opened, minutes), until) if kinds else None


def _above_a_limit(kinds: Counter[Kind]) -> Iterator[Mapping[Kind, int]]:
    """Yield a weight of one for all that are longer than some limit, on the station that suits it best."""
    order = sorted(kinds, key=lambda kind: (shortest(kind), in_order(kind)))
    for limit in range(len(order)):
        yield {kind: int(place >= limit) for place, kind in enumerate(order)}


def _lengths(kinds: Counter[Kind]) -> list[tuple[int | None, ...]]:
    return [kind.station_min for kind in kinds]


class _Stations:
    """All stations, and the batteries that they share."""

    def __init__(self, kinds: Counter[Kind], floor: Floor, until: int) -> None:
        self.floor = floor
        self.kinds = kinds
        self._until = until
        self._alike = Counter(zip(*_lengths(kinds), strict=True))
        self.weights: Mapping[Kind, int] = {kind: shortest(kind) for kind in kinds}
        """Those that were sought last."""
        self._met: list[MetRow] = []
        self._least_hold = min((kind.readings for kind in kinds), key=_hold_min)

    def bound(self, weights: Mapping[Kind, int]) -> int:
        """Return the bound by these weights: what is not off by a moment is read after it."""
        patterns = list(self._patterns(weights))
        needed = list(accumulate(sorted(weights[kind] for kind in self.kinds.elements())))
        bound = place = 0
        for moment in sorted({moment for pattern in patterns for moment in pattern.moments}):
            can_do = sum(pattern.weight_by(moment) for pattern in patterns)
            while place < len(needed) and needed[place] <= can_do:
                bound = max(bound, self.floor.read(moment, len(needed) - place, self._least_hold))
                place += 1
        return bound

    def sharpened(self, best: int, not_shown: int, aim: int) -> tuple[int, int]:
        """Try to show that no plan ends by a moment: return the bound, and the first moment not shown."""
        latest_off = self.floor.latest_off(aim, self._least_hold)
        rows = QuickRows(self.floor, latest_off, step_min=_STEP_MIN)
        found = sought_weights(self.kinds, rows, latest_off, met=self._met)
        self.weights = found.by_kind
        shown = self.bound(found.by_kind) if found.tell else 0
        return (max(best, shown), not_shown) if shown > aim else (best, aim)

    def beyond(self, aim: int) -> int:
        """Return a bound after a moment, as all share the person's first minutes of a shift; 0 if none."""
        floor = self.floor
        latest_off = floor.latest_off(aim, self._least_hold)
        task_min = max(floor.minutes.connect, floor.minutes.disconnect)
        stretches = rushes(floor.opened, self._alike.total(), task_min, latest_off)
        found = sought_weights(self.kinds, PricedRows(floor, latest_off, stretches), latest_off, met=[])
        return self._read_after(latest_off) if found.tell else 0

    def _read_after(self, moment: int) -> int:
        """Return when all can have been read, if a battery is off after a moment only."""
        floor = self.floor
        off = min(
            floor.freed(readings)[max(0, moment + 1 - floor.minutes.disconnect)]
            for readings in {kind.readings for kind in self.kinds}
        )
        if not self._least_hold:
            return off
        return (
            floor.opened.first(off + self._least_hold[-1].after_min, floor.minutes.reading)
            + floor.minutes.reading
        )

    def _patterns(self, weights: Mapping[Kind, int]) -> Iterator[Pattern]:
        for lengths, count in self._alike.items():
            offers = offers_of(dict(zip(self.kinds, lengths, strict=True)), weights)
            for before in range(count):
                begins = self.floor.opened.after(0, before * self.floor.minutes.connect)
                yield heaviest(begins, offers, self.floor, until=self._until)


def _hold_min(readings: Sequence[tuple[int, int | None]]) -> int:
    return readings[-1][0] if readings else -1
