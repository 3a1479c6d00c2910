"""Values in results.json, under its schema."""

import json

import jsonschema
import pytest

from intake.policy.resources import resource_text
from intake.report.json.results import results_document
from tests.report.priced import priced_result

VALIDATOR = jsonschema.Draft202012Validator(json.loads(resource_text("schemas", "results.schema.json")))
DOCUMENT = results_document(priced_result())


def value_of(place):
    return DOCUMENT["batteries"][place]["value"]


def test_the_document_is_valid_with_and_without_prices():
    VALIDATOR.validate(DOCUMENT)
    VALIDATOR.validate(results_document(priced_result(prices=())))


def test_amounts_and_chances_are_exact_text():
    bench, recycle = value_of(2)["roads"]
    assert ("recondition", {"low": "8.00", "high": "44.00"}, "44.00", {"low": "8.00", "high": "8.00"}) == (
        bench["road"],
        bench["net"],
        bench["passed"],
        bench["failed"],
    )
    assert ("0.167", None) == (bench["break_even_chance"], bench["expected"])  # 6 / 36
    assert ("recycle", {"low": "14.00", "high": "14.00"}, None) == (
        recycle["road"],
        recycle["net"],
        recycle["passed"],
    )


def test_what_is_missing_is_named():
    bench, recycle = value_of(5)["roads"]
    assert (None, ["Mass (kg)"], None, ["Mass (kg)"]) == (
        bench["net"],
        bench["missing"],
        recycle["net"],
        recycle["missing"],
    )


def test_an_unresolved_battery_has_no_road():
    assert {"roads": [], "worth_it": None, "advice": ""} == value_of(6)


def test_the_batch_tells_sums_rounding_and_what_is_not_worth_the_bench():
    values = DOCUMENT["values"]
    assert ("EUR", ["B-004"]) == (values["currency"], values["not_worth_it"])
    assert "half to the even digit" in values["rounding"]
    assert {
        "grade": "reconditionable",
        "road": "recondition",
        "count": 3,
        "without_value": 1,
        "net": {"low": "12.00", "high": "50.00"},
        "expected": None,
    } == values["totals"][2]
    assert (False, "Not worth reconditioning: EUR 6.00 if it passes, EUR 10.00 as scrap.") == (
        value_of(3)["worth_it"],
        value_of(3)["advice"],
    )


def test_without_prices_nothing_is_told():
    document = results_document(priced_result(prices=()))
    assert document["values"] is None
    assert {None} == {one["value"] for one in document["batteries"]}


@pytest.mark.parametrize("text", ["1.5", "1,50", "1e3", "EUR 1.00"])
def test_the_schema_refuses_an_amount_that_is_none(text):
    result = priced_result()
    document = json.loads(json.dumps(results_document(result)))
    document["batteries"][0]["value"]["roads"][1]["net"]["low"] = text
    assert not VALIDATOR.is_valid(document)
