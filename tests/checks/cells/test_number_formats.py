import pytest

from intake.checks.cells.number_formats import hides_year, shown_precision, shows_percent
from intake.model.battery import DatePrecision


@pytest.mark.parametrize(
    ("number_format", "expected"),
    [
        ("0%", True),
        ("0.00 %", True),
        ("General", False),
        ('0.0"%"', False),
        (r"0.0\%", False),
        ("0.0_%", False),
        ("[$%]0", False),
        ('"a"0%"b"', True),
    ],
)
def test_only_a_live_percent_sign_shows_a_hundredfold(number_format, expected):
    assert expected is shows_percent(number_format)


@pytest.mark.parametrize(
    ("number_format", "expected"),
    [
        ("yyyy-mm-dd", DatePrecision.DAY),
        ("d-mmm", DatePrecision.DAY),
        ("General", DatePrecision.DAY),
        ("@", DatePrecision.DAY),
        ("mmm-yy", DatePrecision.MONTH),
        ("MM/YYYY", DatePrecision.MONTH),
        ("[$-409]mmmm yyyy", DatePrecision.MONTH),
        ("mmmm", DatePrecision.MONTH),
        ('"made" yyyy', DatePrecision.YEAR),
        ("yyyy", DatePrecision.YEAR),
        ("yyyy hh:mm", DatePrecision.DAY),
        ("mm:ss", DatePrecision.DAY),
    ],
)
def test_a_date_is_as_precise_as_its_format_shows_it(number_format, expected):
    assert expected is shown_precision(number_format)


@pytest.mark.parametrize(
    ("number_format", "expected"),
    [
        ("d-mmm", True),
        ("mmmm", True),
        ("d-mmm-yy", False),
        ("yyyy", False),
        ("h:mm", False),
        ("General", False),
    ],
)
def test_a_month_without_its_year_is_seen(number_format, expected):
    assert expected is hides_year(number_format)
