"""Sums of values by grade and road."""

from decimal import Decimal

from intake.model.value import Amount, Road
from intake.report.words.value_totals import advice_for, road_of, roads_of, totals_by_road, value_total
from tests.changed import replace
from tests.report.priced import BATTERIES, priced_result

RESULT = priced_result()


def amount(low, high=None):
    return Amount(Decimal(low), Decimal(low if high is None else high))


def test_each_grade_is_summed_by_each_road_it_allows():
    found = [
        (one.grade.value, one.road.value, one.total.count, one.total.without_value, one.total.amount)
        for one in totals_by_road(RESULT)
    ]
    assert [
        ("resale-after-charge", "resell", 2, 0, amount("57.00", "96.00")),
        ("resale-after-charge", "recycle", 2, 0, amount("22.00")),
        ("reconditionable", "recondition", 3, 1, amount("12.00", "50.00")),
        ("reconditionable", "recycle", 3, 1, amount("24.00")),
        ("recycle", "recycle", 1, 0, amount("5.00")),
    ] == found


def test_a_sum_of_nothing_is_nothing():
    total = value_total(RESULT, (), Road.RESELL)
    assert (0, 0, amount("0.00"), None) == (
        total.count,
        total.without_value,
        total.amount,
        total.expected,
    )


def expecting(*rows):
    """Return the result with an expected value of 20.00 to 21.00 beside some of the bench roads."""
    assert RESULT.value is not None
    by_row = dict(RESULT.value.by_row)
    for row in rows:
        bench, recycle = by_row[row].roads
        by_row[row] = replace(by_row[row], roads=(replace(bench, expected=amount("20.00", "21.00")), recycle))
    return replace(RESULT, value=replace(RESULT.value, by_row=by_row))


def test_expected_values_are_summed_where_each_battery_in_the_sum_has_one():
    rows = [one.row for one in BATTERIES]
    of_both = totals_by_road(expecting(rows[2], rows[3]))[2].total
    assert amount("40.00", "42.00") == of_both.expected
    assert totals_by_road(expecting(rows[2]))[2].total.expected is None


def test_without_prices_there_are_no_sums_roads_or_advice():
    result = priced_result(prices=())
    assert () == totals_by_road(result)
    assert ((), None, "") == (
        roads_of(result, result.graded[0]),
        road_of(result, result.graded[0], Road.RESELL),
        advice_for(result, result.graded[0]),
    )


def test_a_forbidden_road_is_not_there():
    assert road_of(RESULT, RESULT.graded[4], Road.RESELL) is None
    assert road_of(RESULT, RESULT.graded[4], Road.RECYCLE) is not None
    assert () == roads_of(RESULT, RESULT.graded[6])
