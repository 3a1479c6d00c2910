import pytest

from intake.model.battery import Chemistry, Price
from tests.checks.builders import BATCH, GOOD, check_rows, error_cell, grid, told

EUR = {**BATCH, "Currency": "EUR"}


def priced(*rows, batch=EUR):
    checked = check_rows(GOOD, batch=batch, prices=rows)
    assert checked.batch is not None, checked.findings
    return checked.batch.prices, checked.findings


def test_prices_are_exact_and_by_chemistry():
    prices, findings = priced(
        {
            "Chemistry": "wet",
            "Resale price": "12,50 €",
            "Scrap price per kg": 0.45,
            "Recondition cost": "EUR 3",
            "Charge cost": 1,
            "Disposal cost": "-0.10",
        },
        {"Chemistry": "LFP", "Resale price": 40},
    )
    assert () == findings
    assert (
        Price(Chemistry.FLOODED, "12.50", "0.45", "3", "1", "-0.10"),
        Price(Chemistry.LFP, "40"),
    ) == prices


@pytest.mark.parametrize("value", ["cheap", "1,234", "USD 5", error_cell()])
def test_an_amount_that_can_not_be_read_is_left_blank_with_a_warning(value):
    prices, findings = priced({"Chemistry": "AGM", "Resale price": value, "Charge cost": 1})
    assert (Price(Chemistry.AGM, charge_cost="1"),) == prices
    assert [("warning", "Prices!B2", "Resale price")] == told(findings)
    assert findings[0].message.endswith("The value is left blank.")


def test_without_a_currency_any_code_is_taken():
    prices, findings = priced({"Chemistry": "AGM", "Resale price": "USD 5"}, batch=BATCH)
    assert ((Price(Chemistry.AGM, "5"),), ()) == (prices, findings)


def test_the_second_row_of_a_chemistry_is_not_used():
    prices, findings = priced(
        {"Chemistry": "AGM", "Resale price": 5}, {"Chemistry": "VRLA AGM", "Resale price": 6}
    )
    assert (Price(Chemistry.AGM, "5"),) == prices
    assert [("warning", "Prices!A3", "Chemistry")] == told(findings)
    assert "AGM has its prices in A2 already" in findings[0].message


@pytest.mark.parametrize("value", ["lead", None])
def test_a_row_without_a_readable_chemistry_is_not_used(value):
    prices, findings = priced(
        {"Chemistry": value, "Resale price": 5}, {"Chemistry": "gel", "Resale price": 6}
    )
    assert (Price(Chemistry.GEL, "6"),) == prices
    assert [("warning", "Prices!A2", "Chemistry")] == told(findings)
    assert "not used" in findings[0].message


def test_without_a_chemistry_column_the_sheet_is_not_used_and_says_so_once():
    prices, findings = priced({"Resale price": 5}, {"Resale price": 6})
    assert () == prices
    assert [("warning", "Prices", "Chemistry")] == told(findings)


def test_a_blank_sheet_and_one_with_headers_alone_give_no_prices():
    for sheet in (grid("Prices", []), grid("Prices", [["Chemistry", "Resale price"]])):
        checked = check_rows(GOOD, more=[sheet])
        assert checked.batch is not None
        assert ((), ()) == (checked.batch.prices, checked.findings)


def test_a_sheet_without_any_header_is_not_used():
    checked = check_rows(GOOD, more=[grid("Prices", [["none yet"]])])
    assert checked.batch is not None
    assert [("warning", "Prices", "")] == told(checked.findings)
