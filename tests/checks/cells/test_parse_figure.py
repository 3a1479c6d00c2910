from decimal import Decimal

import pytest

from intake.checks.cells.parse_figure import parse_figure


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12.43", "12.43"),
        ("12,43", "12.43"),
        (" 12.43 ", "12.43"),
        ("0,850", "0.850"),
        ("00,850", "0.850"),
        (",850", "0.850"),
        (".85", "0.85"),
        ("1.234", "1.234"),
        ("1234", "1234"),
        ("1234,567", "1234.567"),
        ("1,2345", "1.2345"),
        ("1,23", "1.23"),
        ("1.234,5", "1234.5"),
        ("1,234.5", "1234.5"),
        ("1,234,567", "1234567"),
        ("1.234.567", "1234567"),
        ("12 430", "12430"),
        ("1 234,567", "1234.567"),
        ("1\u00a0234.5", "1234.5"),
        ("+5", "5"),
        ("-5", "-5"),
        ("\u2212 5,2", "-5.2"),
        ("١٢٫٤٣", "12.43"),
        ("１２，４３", "12.43"),
        ("٥", "5"),
    ],
)
def test_a_figure_with_one_reading_is_exact(text, expected):
    figure = parse_figure(text)
    assert figure is not None
    assert (Decimal(expected),) == figure.readings


@pytest.mark.parametrize(
    ("text", "one", "other"),
    [("1,234", "1.234", "1234"), ("-12,430", "-12.430", "-12430"), ("999,999", "999.999", "999999")],
)
def test_a_comma_before_three_digits_has_two_readings(text, one, other):
    figure = parse_figure(text)
    assert figure is not None
    assert (Decimal(one), Decimal(other)) == figure.readings


@pytest.mark.parametrize(
    "text",
    [
        "12.",
        "12,",
        ",",
        "12 43",
        "0 850",
        "1234 567",
        "12 430 1",
        "1.2.3",
        "1,2,3",
        "0,123,456",
        "1,23.4",
        "1.23,4",
        "1,234.567,8",
        "12 . 43",
        "1.234 567",
    ],
)
def test_a_figure_that_is_parted_oddly_has_no_reading(text):
    figure = parse_figure(text)
    assert figure is not None
    assert () == figure.readings


@pytest.mark.parametrize("text", ["", "V", "nan", "inf", "about 12", "--5", "~12", "_1", "1" * 61, "½"])
def test_what_does_not_begin_with_a_figure_is_none(text):
    assert parse_figure(text) is None


def test_sixty_characters_are_still_a_figure():
    assert parse_figure("1" * 60) is not None


@pytest.mark.parametrize(
    ("text", "expected"),
    [("12.43 V", "V"), ("12.43V", "V"), ("1_000", "_000"), ("12", ""), ("5 ° C ", "° C")],
)
def test_what_stands_behind_the_figure_is_the_unit(text, expected):
    figure = parse_figure(text)
    assert figure is not None
    assert expected == figure.unit


@pytest.mark.parametrize(
    ("text", "expected"), [("1e5", True), ("1E-5", True), ("1e+5", True), ("1 e", False), ("1 e5x", False)]
)
def test_powers_of_ten_are_known(text, expected):
    figure = parse_figure(text)
    assert figure is not None
    assert expected is figure.power_of_ten
