"""Weights of batteries that tell by when not all can be done: the dual of a linear program, ascended.

The program covers every battery with rows of batteries, one row a station. Its dual gives weights to the
batteries; whenever all stations together cannot carry the whole weight by a moment, no plan can. Each step
gives more weight to what the heaviest rows leave out and less to what they take too often (subgradient
ascent; Held and Karp 1971, from memory).
"""

from collections import Counter
from collections.abc import Mapping

from intake.bench.floor import Floor, Kind, shortest
from intake.bench.pattern import heaviest, offers_of

_SCALE = 10_000
"""Weights are whole numbers, so that sums of them are exact; this is the mean."""
_MOMENTS = 1_000
"""Working time is rounded to about so many moments while weights are sought; the bound itself is exact."""
_STEPS = 150
_CLEARLY = 0.998
"""A share of the weight that can be carried at most and leaves no doubt."""
_AIM = 0.985
"""Each step is as long as would take the share that can be carried down to this."""
_LEAST_AIM = 0.01
_GOES_ON = 0.7
"""How much of the last step's direction is kept, and by how much steps are shortened."""
_PATIENCE = 10
"""After so many steps without a better share the steps are shortened, from the best weights on."""
_LEAST_PACE = 0.2
_BETTER = 1e-4
_SET_UP_MIN = 60
"""Added to a battery's minutes for its first weight."""


def telling_weights(kinds: Counter[Kind], floor: Floor, until: int) -> Mapping[Kind, int] | None:
    """Return weights that all stations cannot carry by a moment, None where none were found."""
    alike = Counter(zip(*(kind.station_min for kind in kinds), strict=True))
    grid = 1 + floor.opened.closed.count(0, 0, until) // _MOMENTS
    weights = _scaled({kind: float(shortest(kind) + _SET_UP_MIN) for kind in kinds}, kinds)
    best, least_share = weights, float("inf")
    direction = dict.fromkeys(kinds, 0.0)
    pace, stalled = 1.0, 0
    for _ in range(_STEPS):
        whole = {kind: round(weight) for kind, weight in weights.items()}
        carried, taken = 0, Counter[Kind]()
        for lengths, count in alike.items():
            offers = offers_of(dict(zip(kinds, lengths, strict=True)), whole)
            row = heaviest(0, offers, floor, until=until, grid=grid)
            carried += count * row.weights[-1]
            for kind, times in row.taken.items():
                taken[kind] += count * times
        needed = sum(whole[kind] * count for kind, count in kinds.items())
        share = carried / needed
        if share < _CLEARLY:
            return whole
        stalled += 1
        if share < least_share - _BETTER:
            best, least_share, stalled = weights, share, 0
        elif stalled >= _PATIENCE:
            weights, pace, stalled = best, pace * _GOES_ON, 0
            if pace < _LEAST_PACE:
                break
        direction = {
            kind: _GOES_ON * direction[kind] + (1 - _GOES_ON) * (count - taken[kind])
            for kind, count in kinds.items()
        }
        squares = sum(one * one for one in direction.values()) or 1.0
        step = pace * needed * max(share - _AIM, _LEAST_AIM) / squares
        weights = _scaled(
            {kind: max(1.0, weight + step * direction[kind]) for kind, weight in weights.items()}, kinds
        )
    return None


def _scaled(weights: Mapping[Kind, float], kinds: Counter[Kind]) -> dict[Kind, float]:
    total = sum(weights[kind] * count for kind, count in kinds.items())
    factor = _SCALE * kinds.total() / total
    return {kind: weight * factor for kind, weight in weights.items()}
