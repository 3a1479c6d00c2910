"""The small linear program against a solver for any linear program (scipy), and its refusals."""

from operator import mul
from random import Random

import pytest
from scipy.optimize import linprog

from intake.bench.bounds.covering import Covering


def solved(needs, costs, limits, rows):
    covering = Covering(needs, costs, limits)
    for covers, uses in rows:
        covering.add(covers, uses)
    covering.solve()
    return covering


def by_referee(needs, costs, limits, rows):
    """Least cost of what stays uncovered; variables are the uncovered parts and the rows."""
    lacking = [[-float(at == place) for at in range(len(needs))] for place in range(len(needs))]
    covered = [[-float(covers.get(place, 0)) for covers, _ in rows] for place in range(len(needs))]
    used = [[0.0] * len(needs) + [float(uses.get(at, 0)) for _, uses in rows] for at in range(len(limits))]
    return linprog(
        [*costs, *(0.0 for _ in rows)],
        A_ub=[*(one + other for one, other in zip(lacking, covered, strict=True)), *used],
        b_ub=[*(-one for one in needs), *limits],
    ).fun


def test_nothing_covers_anything_at_first():
    covering = Covering([1, 2], [3.0, 5.0], [1])
    assert covering.uncovered == pytest.approx(13, abs=1e-5)
    assert covering.prices == [3.0, 5.0]
    assert covering.limit_prices == [0.0]


def test_half_of_two_rows():
    """One station, three needs, rows of two each: only two thirds of the whole can be covered."""
    rows = [({0: 1, 1: 1}, {0: 1}), ({1: 1, 2: 1}, {0: 1}), ({0: 1, 2: 1}, {0: 1})]
    covering = solved([1, 1, 1], [1.0, 1.0, 1.0], [1], rows)
    assert covering.uncovered == pytest.approx(1, abs=1e-5)
    assert solved([1, 1, 1], [1.0, 1.0, 1.0], [2], rows).uncovered == pytest.approx(0, abs=1e-5)


def test_a_second_limit_has_its_price():
    """Both rows are needed, but the minutes that they share are enough for one and a half."""
    rows = [({0: 1}, {0: 1, 1: 10}), ({1: 1}, {0: 1, 1: 10})]
    covering = solved([1, 1], [6.0, 6.0], [2, 15], rows)
    assert covering.uncovered == pytest.approx(3, abs=1e-4)
    assert covering.limit_prices == pytest.approx([0, 0.6])


@pytest.mark.parametrize("seed", range(20))
def test_random_programs_cost_what_the_referee_says(seed):
    random = Random(seed)
    needs = [random.randint(1, 4) for _ in range(random.randint(2, 9))]
    costs = [float(random.randint(60, 900)) for _ in needs]
    counts = [random.randint(1, 3) for _ in range(random.randint(1, 3))]
    limits = [*counts, *(random.randint(1, 9) for _ in range(seed % 4))]
    rows = [
        (
            {place: random.randint(1, 3) for place in range(len(needs)) if random.random() < 0.4},
            {
                random.randrange(len(counts)): 1,
                **{at: random.randint(1, 5) for at in range(len(counts), len(limits))},
            },
        )
        for _ in range(25)
    ]
    covering = solved(needs, costs, limits, rows)
    whole = sum(one * cost for one, cost in zip(needs, costs, strict=True))
    assert covering.uncovered == pytest.approx(by_referee(needs, costs, limits, rows), abs=1e-4 * whole)
    worth = sum(map(mul, covering.prices, needs)) - sum(map(mul, covering.limit_prices, limits))
    assert worth == pytest.approx(covering.uncovered, abs=1e-4 * whole)


def test_rows_that_come_later_are_taken_up():
    covering = solved([1, 1], [10.0, 10.0], [1], [({0: 1}, {0: 1})])
    assert covering.uncovered == pytest.approx(10, abs=1e-3)
    assert covering.prices[1] == 10
    covering.add({0: 1, 1: 1}, {0: 1})
    covering.solve()
    assert covering.uncovered == pytest.approx(0, abs=1e-3)
