"""Digits that a number is worth."""

import pytest

from intake.report.words.rounding import significant


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (12.717500000000001, 12.7175),
        (0.44285714285714284, 0.4428571),
        (12345678.9, 12345680.0),
        ("cracked", "cracked"),
        (None, None),
    ],
)
def test_seven_digits_stay_and_words_are_left_alone(value, expected):
    assert expected == significant(value)
