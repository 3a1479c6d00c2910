"""What a hold says of self-discharge."""

import pytest

from intake.report.words.loss import loss_in_words
from tests.changed import replace
from tests.report.builders import battery, held, result_of


def told(one):
    (graded,) = result_of([one]).graded
    return loss_in_words(graded)


def test_the_worked_example_is_told_with_its_interval_the_single_cell_and_what_it_could_have_seen():
    """AGM, a week: 15.9 %/month of the block, 95 % if one cell does it, could have seen 6.4 mV a day."""
    text = told(held(1, "AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85), hold_temperature_c=25.0))
    # all of the fall is 25 mV a day, 26.62 at the upper end; times 30.4 d and 40 % over 0.45 V: 71.9 %
    told_first = (
        "Self-discharge 15.9 % a month of the whole block (0.2 to 71.9 %, the higher if it had already "
    )
    assert text.startswith(f"{told_first}settled), or 95 % of one cell if a single cell loses it; ")
    assert text.endswith("a loss of 6.4 mV a day would have shown.")


def test_a_fall_that_settling_explains_is_no_negative_loss():
    """0.06 V of the usual 0.107 V: the fit finds less than no loss; all of the fall is 10 mV a day."""
    text = told(held(1, "AGM", (24.0, 12.96), (96.0, 12.92), (168.0, 12.90), hold_temperature_c=25.0))
    assert text.startswith("Self-discharge: none seen, at most 31.4 % a month ")
    assert "if it had already settled" in text


def test_a_short_hold_cannot_tell():
    text = told(held(1, "AGM", (2.0, 13.0), (12.0, 12.9)))
    assert text.startswith("Self-discharge: this hold cannot tell; only a loss of ")


def test_a_fall_beyond_settling_in_a_short_hold_asks_for_a_longer_one_and_gives_no_figure():
    """45 mV a day over a day and a half would be 120 % a month; so early most of it may be settling."""
    text = told(held(1, "AGM", (24.0, 12.86), (36.0, 12.815), (48.0, 12.777)))
    assert text.startswith("Self-discharge: it falls ")
    assert text.endswith("read again after a week.")
    assert "%" not in text


def test_a_figure_needs_the_days_that_tell_a_leak_from_settling():
    week = told(held(1, "AGM", (24.0, 13.00), (72.0, 12.93), (96.0, 12.90)))
    short = told(held(1, "AGM", (24.0, 13.00), (72.0, 12.93), (95.0, 12.90)))
    assert " % a month " in week
    assert "%" not in short


@pytest.mark.parametrize(
    ("low", "words"), [(0.2, "(0.2 to 31.7 %, "), (0.0, "(none to 31.7 %, "), (-3.7, "(none to 31.7 %, ")]
)
def test_an_interval_that_begins_at_nothing_says_none(low, words):
    (one,) = result_of([held(1, "AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85))]).graded
    loss = replace(one.verdict.self_discharge, percent_per_month=15.9, low=low, high=31.7)
    assert words in loss_in_words(replace(one, verdict=replace(one.verdict, self_discharge=loss)))


def test_no_loss_is_told_in_words_and_not_as_a_negative_figure():
    text = told(held(1, "AGM", (2.0, 13.01), (12.0, 12.92), (24.0, 12.88), (96.0, 12.82)))
    assert text.startswith("Self-discharge: none seen, at most ")
    assert "-" not in text.removeprefix("Self-")


def test_a_loss_of_more_than_all_in_a_month_is_told_in_volts():
    text = told(held(1, "AGM", (12.0, 12.95), (48.0, 12.80), (96.0, 12.58)))
    assert text.endswith(" beside settling, more than a full charge in a month.")


@pytest.mark.parametrize(
    ("block", "words"), [(16.6, "or 100 % of one cell if"), (16.7, "or all of one cell if")]
)
def test_one_cell_cannot_lose_more_than_all(block, words):
    (one,) = result_of([held(1, "AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85))]).graded
    loss = replace(
        one.verdict.self_discharge, percent_per_month=block, single_cell_percent_per_month=6 * block
    )
    text = loss_in_words(replace(one, verdict=replace(one.verdict, self_discharge=loss)))
    assert words in text


@pytest.mark.parametrize(("high", "told_as"), [(115.0, "15.0 % a month"), (115.1, "this hold cannot tell")])
def test_an_interval_wider_than_all_charge_is_no_figure(high, told_as):
    (one,) = result_of([held(1, "AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85))]).graded
    loss = replace(one.verdict.self_discharge, percent_per_month=15.0, high=high)
    text = loss_in_words(replace(one, verdict=replace(one.verdict, self_discharge=loss)))
    assert told_as in text


def test_lithium_has_no_figure_and_says_so():
    assert "flat voltage" in told(held(1, "LFP", (24.0, 13.4), (96.0, 13.39), (168.0, 13.38)))


@pytest.mark.parametrize("one", [held(1, "AGM", (12.0, 12.9)), battery(1, rest_voltage_v=12.6)])
def test_without_two_settled_readings_nothing_is_said(one):
    assert "" == told(one)
