"""A small linear program: cover needs with rows as far as they go, at the least cost of what stays uncovered.

Each row covers some of the needs and uses up some of the limits; it may be used in part. The dual prices the
needs and the limits. Solved by the revised simplex method with rows added as they are found (Dantzig 1963,
from memory), in plain floating point: what is made of the prices is to be proved.
"""

from collections.abc import Mapping, Sequence

_ZERO = 1e-9
_TOLERANCE = 1e-7
"""A gain of less, as a share of the largest cost, is none."""
_APART = 1e-7
"""Needs are made unlike by so little, so that steps do not go round in a circle."""
_MOST_STEPS = 400
"""After so many exchanges in one call the prices are taken as they are."""

_Column = Mapping[int, float]
"""By constraint, what one unit of a variable adds. Needs come first, then limits."""


class Covering:
    """The program. It begins with nothing covered and no row used."""

    def __init__(self, needs: Sequence[int], costs: Sequence[float], limits: Sequence[int]) -> None:
        self._needs = len(needs)
        size = len(needs) + len(limits)
        self._inverse = [[float(row == column) for column in range(size)] for row in range(size)]
        self._values = [*(one * (1 + _APART * place) for place, one in enumerate(needs)), *map(float, limits)]
        self._columns: list[_Column] = [{place: 1.0} for place in range(size)]
        self._costs = [*costs, *(0.0 for _ in limits)]
        self._columns += [{place: -1.0} for place in range(len(needs))]
        self._costs += [0.0] * len(needs)
        self._basis = list(range(size))
        self._duals = self._costs[:size]
        self._least_gain = _TOLERANCE * max(costs)

    def add(self, covers: Mapping[int, int], uses: Mapping[int, int]) -> None:
        """Add a row that covers so much of each need, and uses up so much of each limit."""
        limits = {self._needs + limit: float(amount) for limit, amount in uses.items()}
        self._columns.append({**covers, **limits})
        self._costs.append(0.0)

    def solve(self) -> None:
        """Find the best use of the rows that are there."""
        for _ in range(_MOST_STEPS):
            gain, entering = min(
                (cost - sum(self._duals[row] * one for row, one in column.items()), place)
                for place, (cost, column) in enumerate(zip(self._costs, self._columns, strict=True))
            )
            if gain > -self._least_gain:
                return
            self._exchange(entering, gain)

    @property
    def prices(self) -> list[float]:
        """What one more of each need would cost."""
        return [max(0.0, one) for one in self._duals[: self._needs]]

    @property
    def limit_prices(self) -> list[float]:
        """What one more of each limit would save."""
        return [max(0.0, -one) for one in self._duals[self._needs :]]

    @property
    def uncovered(self) -> float:
        """The cost of what stays uncovered."""
        return sum(
            self._costs[place] * max(0.0, value)
            for place, value in zip(self._basis, self._values, strict=True)
        )

    def _exchange(self, entering: int, gain: float) -> None:
        """Take a variable in, and out the one that it first drives to nothing."""
        column = self._columns[entering].items()
        steps = [sum(row[place] * one for place, one in column) for row in self._inverse]
        _, _, leaving = min(
            (max(0.0, value) / step, -step, row)
            for row, (value, step) in enumerate(zip(self._values, steps, strict=True))
            if step > _ZERO
        )
        pivot = steps[leaving]
        scaled = [one / pivot for one in self._inverse[leaving]]
        amount = max(0.0, self._values[leaving]) / pivot
        for row, step in enumerate(steps):
            if row != leaving and abs(step) > _ZERO:
                self._inverse[row] = [
                    one - step * other for one, other in zip(self._inverse[row], scaled, strict=True)
                ]
                self._values[row] -= step * amount
        self._inverse[leaving], self._values[leaving] = scaled, amount
        self._basis[leaving] = entering
        self._duals = [one + gain * other for one, other in zip(self._duals, scaled, strict=True)]
