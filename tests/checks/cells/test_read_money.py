from datetime import date

import pytest

from intake.checks.cells.read_money import read_money
from tests.checks.builders import cell, refusal, value_of


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (12, "12"),
        (12.5, "12.5"),
        (0.1, "0.1"),
        (-3.2, "-3.2"),
        (0, "0"),
        (-0.0, "0.0"),
        ("12.50", "12.50"),
        ("12,50", "12.50"),
        ("€ 12,50", "12.50"),
        ("12.50 €", "12.50"),
        ("$1,234.50", "1234.50"),
        ("-£3", "-3"),
        ("EUR 12.50", "12.50"),
        ("EUR12.50", "12.50"),
        ("12.50 eur", "12.50"),
        ("12.50EUR", "12.50"),
        ("1 234,5", "1234.5"),
        ("0.0000001", "0.0000001"),
        (1e-7, "0.0000001"),
        (999_999_999_999, "999999999999"),
    ],
)
def test_an_amount_is_exact_decimal_text(value, expected):
    assert expected == value_of(read_money(cell(value), currency="EUR"))


def test_without_a_currency_any_code_is_stripped():
    assert "12" == value_of(read_money(cell("USD 12"), currency=None))


@pytest.mark.parametrize("value", ["USD 12", "12 usd", "EUR 12 USD"])
def test_another_currency_s_code_is_refused(value):
    assert "is not in the batch's currency, EUR." in refusal(read_money(cell(value), currency="EUR")).message


@pytest.mark.parametrize("value", ["ask", "free", "EUR"])
def test_a_word_is_no_amount_and_no_currency(value):
    assert "currency" not in refusal(read_money(cell(value), currency="EUR")).message


def test_the_batch_s_currency_ignores_case():
    assert "12" == value_of(read_money(cell("EUR 12"), currency="eur"))


def test_an_amount_with_two_readings_is_refused_with_both_named():
    found = refusal(read_money(cell("€1,234"), currency="EUR"))
    assert "can be read as 1.234 or as 1234." in found.message


@pytest.mark.parametrize(
    "value",
    [
        "n/a", "", "€", "EUR", "free", "12 per kg", "EURO 12", "12 EURO", "12,", "1e5", "(12)", True,
        date(2021, 3, 1), 10**12, -1e12, float("nan"), float("inf"),
    ],
)  # fmt: skip
def test_what_is_no_amount_is_refused(value):
    message = refusal(read_money(cell(value), currency="EUR")).message
    assert message.endswith("is not an amount of money, a plain number.")


def test_an_amount_too_large_is_named_as_it_was_typed():
    message = refusal(read_money(cell("1000000000000"), currency="EUR")).message
    assert '"1000000000000" is not an amount of money, a plain number.' == message
