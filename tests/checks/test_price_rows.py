import pytest

from intake.model.battery import Chemistry, Price
from tests.checks.builders import BATCH, GOOD, check_rows, error_cell, grid, told

UNPRICED = {**GOOD, "Chemistry": "unknown"}
"""Needs no price."""
EUR = {**BATCH, "Currency": "EUR"}


def priced(*rows, batch=EUR):
    checked = check_rows(UNPRICED, batch=batch, prices=rows)
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
    assert "The prices of AGM stand in A2 already" in findings[0].message


def test_bands_of_sizes_stand_side_by_side_and_may_meet_at_their_ends():
    prices, findings = priced(
        {"Chemistry": "AGM", "To (Ah)": 60, "Resale price": 5},
        {"Chemistry": "AGM", "From (Ah)": 60, "To (Ah)": "80 Ah", "Resale price": 6},
        {"Chemistry": "AGM", "From (Ah)": 80, "Resale price": 7},
        {"Chemistry": "gel", "Resale price": 8},
    )
    assert () == findings
    assert (
        Price(Chemistry.AGM, "5", to_ah=60),
        Price(Chemistry.AGM, "6", from_ah=60, to_ah=80),
        Price(Chemistry.AGM, "7", from_ah=80),
        Price(Chemistry.GEL, "8"),
    ) == prices


@pytest.mark.parametrize("band", [{"From (Ah)": 59}, {"To (Ah)": 1}, {}, {"From (Ah)": 40, "To (Ah)": 50}])
def test_bands_of_one_chemistry_that_overlap_are_a_warning_and_the_first_counts(band):
    prices, findings = priced(
        {"Chemistry": "AGM", "From (Ah)": None, "To (Ah)": 60, "Resale price": 5},
        {"Chemistry": "AGM", **band, "Resale price": 6},
    )
    assert (Price(Chemistry.AGM, "5", to_ah=60),) == prices
    assert [("warning", "Prices!A3", "Chemistry")] == told(findings)
    assert "stand in A2 already" in findings[0].message
    assert findings[0].message.startswith("The prices of AGM")


@pytest.mark.parametrize(
    ("band", "cell"),
    [
        ({"From (Ah)": "small"}, "Prices!B2"),
        ({"From (Ah)": 60, "To (Ah)": 60}, "Prices!C2"),
        ({"From (Ah)": 60, "To (Ah)": 40}, "Prices!C2"),
    ],
)
def test_a_row_whose_band_cannot_be_used_is_left_out(band, cell):
    prices, findings = priced({"Chemistry": "AGM", **band, "Resale price": 5})
    assert () == prices
    assert [("warning", cell)] == [told_one[:2] for told_one in told(findings)]
    assert findings[0].message.endswith("The row is not used.")


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
