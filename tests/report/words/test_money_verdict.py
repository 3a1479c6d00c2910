"""Sell at, scrap, or test first: each case worked out from the prices by hand."""

import pytest

from intake.model.battery import Chemistry, Price
from intake.model.verdict import MissingTest
from intake.policy.grading_policy import load_grading_policy
from intake.report.words.money_verdict import money_verdict
from intake.worth.value import value_batch
from tests.changed import replace
from tests.report.builders import result_of
from tests.worth.test_value import graded

SMALL = Price(Chemistry.AGM, "20", "0.60", "6", "2", "1", to_ah=60)
LARGE = Price(Chemistry.AGM, "50", "0.60", "6", "2", "1", from_ah=60)


def verdict(one, *prices):
    result = result_of((one.battery,))
    batch = replace(result.batch, currency="EUR", prices=prices)
    value = value_batch((one,), batch, policy=load_grading_policy())
    return money_verdict(replace(result, batch=batch, value=value), one)


def sized(grade, evidence, capacity_ah=75.0):
    """Return a battery that is no starter: held for twelve hours, it wants its capacity measured."""
    one = graded(grade, evidence)
    missing = MissingTest.CAPACITY if evidence in ("long-hold", "strength") else None
    return replace(
        one,
        battery=replace(one.battery, rated_capacity_ah=capacity_ah),
        verdict=replace(one.verdict, missing_test=missing),
    )


@pytest.mark.parametrize(
    ("grade", "evidence", "expected"),
    [
        ("resale-after-charge", "capacity", "sell at 50 EUR"),
        ("resale-after-charge", "strength", "test first, or sell as not tested at 50 EUR"),
        ("resale-after-charge", "long-hold", "test first, or sell as not tested at 50 EUR"),
        ("resale-after-charge", "rest-only", "test first: charge, then hold 12 h"),
        ("reconditionable", "rest-only", "test first: recondition, charge, hold"),
        ("recycle", "none", "scrap"),
        ("unresolved", "none", "test first"),
    ],
)
def test_each_grade_and_evidence_has_its_verdict(grade, evidence, expected):
    assert expected == verdict(sized(grade, evidence), SMALL, LARGE)


def test_a_starter_battery_tested_under_load_is_sold_and_one_that_is_none_is_tested_first():
    one = sized("resale-after-charge", "strength")
    starter = replace(
        one,
        battery=replace(one.battery, rated_cca_a=600.0),
        verdict=replace(one.verdict, missing_test=None),
    )

    assert "sell at 50 EUR" == verdict(starter, LARGE)
    assert "test first, or sell as not tested at 50 EUR" == verdict(one, LARGE)


@pytest.mark.parametrize(
    ("grade", "expected"),
    [
        ("resale-after-charge", "set apart, look again first"),
        ("reconditionable", "set apart, look again first"),
        ("unresolved", "set apart, look again first"),
        ("recycle", "scrap"),
    ],
)
def test_what_stands_apart_has_no_price_to_sell_at(grade, expected):
    one = replace(sized(grade, "capacity"), look_again='the note says "dented"')

    assert expected == verdict(one, LARGE)


def test_what_is_under_recall_is_no_plain_scrap():
    one = sized("recycle", "none")
    recalled = replace(one, battery=replace(one.battery, under_recall=True))

    assert "recall notice first, else scrap" == verdict(recalled, LARGE)
    open_one = sized("unresolved", "none")
    assert "test first" == verdict(open_one, LARGE)
    open_recalled = replace(open_one, battery=replace(open_one.battery, under_recall=True))
    assert "recall notice first" == verdict(open_recalled, LARGE)


def test_the_price_is_that_of_the_size():
    assert "sell at 20 EUR" == verdict(sized("resale-after-charge", "capacity", 45.0), SMALL, LARGE)


def test_what_brings_less_than_scrap_is_scrap():
    dear = replace(LARGE, recondition_cost="45")  # 50 - 45 = 5; as scrap 20 kg x 0.60 - 1 = 11
    assert "scrap" == verdict(sized("reconditionable", "rest-only"), dear)


def test_without_a_price_the_verdict_says_so():
    one = sized("resale-after-charge", "capacity")
    assert "sell at a price that is not given" == verdict(one, replace(LARGE, resale_price=None))
    assert "" == money_verdict(replace(result_of((one.battery,)), value=None), one)
