"""What a hold says of self-discharge."""

import pytest

from intake.report.words.loss import loss_in_words
from tests.report.builders import battery, held, result_of


def told(one):
    (graded,) = result_of([one]).graded
    return loss_in_words(graded)


def test_the_worked_example_is_told_with_its_interval_the_single_cell_and_what_it_could_have_seen():
    """AGM, a week: 15.9 %/month of the block, 95 % if one cell does it, could have seen 6.4 mV a day."""
    text = told(held(1, "AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85), hold_temperature_c=25.0))
    assert text.startswith("Self-discharge 15.9 % a month (0.2 to 31.7) of the whole block, ")
    assert text.endswith("it would have shown 6.4 mV a day.")


def test_a_short_hold_cannot_tell():
    text = told(held(1, "AGM", (2.0, 13.0), (12.0, 12.9)))
    assert text.startswith("Self-discharge: this hold cannot tell; it would have shown ")


def test_lithium_has_no_figure_and_says_so():
    assert "flat voltage" in told(held(1, "LFP", (24.0, 13.4), (96.0, 13.39), (168.0, 13.38)))


@pytest.mark.parametrize("one", [held(1, "AGM", (12.0, 12.9)), battery(1, rest_voltage_v=12.6)])
def test_without_two_settled_readings_nothing_is_said(one):
    assert "" == told(one)
