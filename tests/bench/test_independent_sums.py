"""The values of the example batches, reckoned again from ``results.json`` alone, in fractions."""

import json
from datetime import date
from fractions import Fraction

import pytest

from intake.policy.grading_policy import load_grading_policy
from intake.report.json.results import results_parts
from intake.runner.run_batch import grade_batch, read_batch
from intake.runner.settings import Settings
from tests.example_workbooks import EXAMPLES

PRICED = {"counter_returns_48": 41, "powersports_20": 17}
"""Each example with how many of its batteries are worked out in ``expected/grades.csv`` as not unresolved."""
HELD = ("short-hold", "long-hold", "strength", "capacity")
COST = {"resell": "charge_cost", "recondition": "recondition_cost"}
ROADS = {
    "resale-after-charge": ["resell", "recycle"],
    "reconditionable": ["recondition", "recycle"],
    "recycle": ["recycle"],
    "unresolved": [],
}


def document_of(name):
    settings = Settings(policy=load_grading_policy(), today=date(2026, 11, 25))
    read = read_batch(EXAMPLES / name / f"{name}.xlsx", settings)
    return json.loads(b"".join(results_parts(grade_batch(read, read.batch, settings))))


@pytest.fixture(scope="module", params=PRICED)
def document(request):
    return document_of(request.param)


def cents(amount):
    """Return a fraction rounded to cents, half to even, as Python rounds fractions."""
    return Fraction(round(amount * 100), 100)


def reckoned(one, price):
    """Return the ends of each road of a battery, exactly."""
    mass = Fraction(repr(one["mass_kg"]))
    share = Fraction(1, 5) if one["mass_estimated"] else 0
    scrap = [
        mass * factor * Fraction(price["scrap_price_per_kg"]) - Fraction(price["disposal_cost"])
        for factor in (1 - share, 1 + share)
    ]
    for road in ROADS[one["grade"]]:
        ends = list(scrap)
        if road != "recycle":
            cost, resale = Fraction(price[COST[road]]), Fraction(price["resale_price"])
            held = road == "resell" and one["evidence"] in HELD
            least = Fraction(repr(one["reasons"][0]["probability"])) if held else 0
            ends = [least * resale + (1 - least) * end - cost for end in scrap] + [resale - cost]
        yield road, cents(min(ends)), cents(max(ends))


def test_each_road_of_each_battery_comes_out_the_same(document):
    prices = {one["chemistry"]: one for one in document["prices"]}
    compared = 0
    for one in document["batteries"]:
        if one["grade"] == "unresolved":
            assert [] == one["value"]["roads"]
            continue
        found = [
            (road["road"], Fraction(road["net"]["low"]), Fraction(road["net"]["high"]))
            for road in one["value"]["roads"]
        ]
        assert list(reckoned(one, prices[one["chemistry"]])) == found, one["tag"]
        compared += 1
    assert PRICED[document["source"]["name"].removesuffix(".xlsx")] == compared


def test_each_sum_is_that_of_its_batteries(document):
    for total in document["values"]["totals"]:
        nets = [
            road["net"]
            for one in document["batteries"]
            if one["grade"] == total["grade"]
            for road in one["value"]["roads"]
            if road["road"] == total["road"]
        ]
        assert len(nets) == total["count"]
        for end in ("low", "high"):
            assert Fraction(total["net"][end]) == sum(Fraction(net[end]) for net in nets)
