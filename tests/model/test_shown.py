"""Figures as people read them."""

import pytest

from intake.model.shown import shown_c, shown_h


@pytest.mark.parametrize(
    ("hours", "shown"), [(1 / 6, "0.17"), (0.5, "0.5"), (24.0, "24"), (12.004, "12"), (1234.567, "1234.57")]
)
def test_hours_are_shown_to_a_hundredth(hours, shown):
    assert shown == shown_h(hours)


@pytest.mark.parametrize(
    ("temperature_c", "shown"), [((64 - 32) / 1.8, "17.8"), (-3.04, "-3"), (25.0, "25"), (21.55, "21.6")]
)
def test_temperatures_are_shown_to_a_tenth(temperature_c, shown):
    assert shown == shown_c(temperature_c)
