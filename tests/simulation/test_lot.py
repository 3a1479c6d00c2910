"""The lot's formulas, worked out apart from the engine, against well-known figures."""

from itertools import combinations

import pytest

from tests.simulation.lot import draw_order, likely_unfit, likely_unfit_by_chance, most_unfit, sample_for


@pytest.mark.parametrize(
    ("share", "confidence", "known"), [(0.10, 0.90, 22), (0.10, 0.95, 29), (0.05, 0.95, 59)]
)
def test_a_large_lot_takes_the_well_known_samples(share: float, confidence: float, known: int) -> None:
    """ln(1 - confidence) / ln(1 - share), rounded up: 22 belongs to 90 % confidence, 59 to 95 %."""
    assert sample_for(1_000_000, share, confidence=confidence) == known


@pytest.mark.parametrize("offered", [1, 7, 30, 47])
def test_the_sample_is_the_smallest_that_brings_the_limit_down(offered: int) -> None:
    drawn = sample_for(offered, 0.10)
    assert most_unfit(offered, drawn, 0) <= 0.10 * offered
    assert most_unfit(offered, drawn - 1, 0) > 0.10 * offered


def test_the_limit_is_the_largest_number_that_chance_still_explains() -> None:
    """Counted out: of 8 with M unfit, three drawn, none unfit."""
    explained = [
        unfit
        for unfit in range(9)
        if sum(not any(one < unfit for one in drawn) for drawn in combinations(range(8), 3)) / 56 > 0.05
    ]
    assert most_unfit(8, 3, 0) == max(explained)


def test_nothing_drawn_says_nothing_and_all_drawn_says_all() -> None:
    assert most_unfit(12, 0, 0) == 12
    assert most_unfit(12, 12, 4) == 4


def test_the_draw_depends_on_the_batch_and_not_on_the_order_of_rows() -> None:
    tags = [f"B-{number}" for number in range(20)]
    assert draw_order("A", tags) == draw_order("A", reversed(tags))
    assert draw_order("A", tags) != draw_order("B", tags)
    assert sorted(draw_order("A", tags)) == sorted(tags)


def test_evidence_that_says_nothing_leaves_what_was_known_and_better_evidence_lowers_it() -> None:
    assert likely_unfit(100, 1.0) == (20, 50)
    assert likely_unfit(100, 5.0) == pytest.approx((100 * 0.2 / 4.2, 100 / 6))
    low, high = likely_unfit_by_chance(100, 5.0)
    assert low < 100 * 0.2 / 4.2
    assert high > 100 / 6
