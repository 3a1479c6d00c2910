"""One battery in words."""

import pytest

from intake.model.battery import Battery, Chemistry
from intake.model.result import GradedBattery
from intake.model.verdict import Effect, Step
from intake.report.drawing.kept_together import with_currency_kept, with_units_kept
from intake.report.words.battery import (
    doubt_about,
    identity_in_words,
    inspection_in_words,
    strength_lines,
    voltage_lines,
)
from tests.report.builders import battery, held, made, result_of


def graded(one) -> GradedBattery:
    return result_of([one]).graded[0]


def test_identity_of_a_battery_with_everything_given():
    one = battery(1, "AGM", rest_voltage_v=12.7, mass_kg=17.25, made=made(2021, 3), rated_capacity_ah=62.5)

    assert "position B2 · AGM · 62.5 Ah rated · made 2021-03 · 17.2 kg" == identity_in_words(graded(one))


def test_identity_says_what_is_not_given():
    one = battery(1, "unknown", rest_voltage_v=12.7, position=None, rated_capacity_ah=None)

    assert "position not given · chemistry unknown · Ah not given · made: not given · mass not known" == (
        identity_in_words(graded(one))
    )


def test_an_estimated_mass_is_called_so():
    assert identity_in_words(graded(battery(1, rest_voltage_v=12.7))).endswith("15.0 kg estimated")


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({}, "case sound · terminals sound"),
        ({"case": None, "terminals": None}, "case not read · terminals not inspected"),
        ({"non_spillable_mark": True}, "case sound · terminals sound · non-spillable mark"),
        ({"under_recall": True}, "case sound · terminals sound · under recall"),
        ({"under_recall": False}, "case sound · terminals sound · no recall found"),
    ],
)
def test_inspection(fields, expected):
    assert expected == inspection_in_words(battery(1, **fields))


def test_voltages_are_listed_as_they_were_written_with_two_decimals_at_least():
    lines = voltage_lines(held(1, "AGM", (0.5, 13.3), (12.0, 12.95), rest_voltage_v=12.0, rested_h=None))

    assert [("rest", "12.00", "", "20"), ("hold", "13.30", "0.5", "21"), ("hold", "12.95", "12", "21")] == [
        (line.label, line.voltage, line.hours, line.temperature) for line in lines
    ]


def test_a_battery_without_voltages_lists_none():
    assert [] == voltage_lines(Battery("B-1", 2, Chemistry.FLOODED))


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        ({"load_voltage_v": 9.9, "load_current_a": 300.0, "load_time_s": 15.0}, "load 9.9 V at 300 A, 15 s"),
        ({"load_voltage_v": 9.9}, "load 9.9 V at ? A, ? s"),
        ({"measured_cca_a": 310.0, "rated_cca_a": 700.0, "cca_standard": "EN"}, "CCA 310 of 700 A EN"),
        ({"measured_cca_a": 310.0}, "CCA 310 of ? A"),
        ({"delivered_capacity_ah": 41.5, "discharge_time_h": 20.0}, "gave 41.5 Ah in 20 h"),
        ({"delivered_capacity_ah": 41.5}, "gave 41.5 Ah"),
        ({"internal_resistance_mohm": 9.0, "rated_resistance_mohm": 6.0}, "resistance 9 mΩ, rated 6 mΩ"),
        ({"internal_resistance_mohm": 9.0}, "resistance 9 mΩ"),
        ({"specific_gravity": (1.265, 1.26)}, "SG 1.265 1.260"),
        ({"cell_voltages_v": (3.3, 3.305)}, "cells (V) 3.300 3.305"),
        ({"bms_reset_tried": True}, "BMS reset tried"),
        ({"bms_reset_tried": False}, "BMS reset not tried"),
    ],
)
def test_every_other_reading_has_a_line(fields, expected):
    assert [expected] == strength_lines(battery(1, **fields))


def test_a_battery_without_other_readings_has_no_line():
    assert [] == strength_lines(battery(1, rest_voltage_v=12.7))


@pytest.mark.parametrize(
    ("status", "source", "expected"),
    [
        ("opened", "A table", ""),
        ("common practice", "Practice", ""),
        ("from memory", "A rule", "Limit from memory: A rule"),
        ("opened", "Provisional: no table opened", "Provisional: no table opened"),
        ("provisional", "A rule", "Provisional: A rule"),
    ],
)
def test_doubt_is_told_where_no_opened_source_stands_behind_a_limit(status, source, expected):
    assert expected == doubt_about(Step("r", True, Effect.RECYCLE, "t", source=source, status=status))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("at 12.4 V now", "at 12.4\u00a0V now"),
        ("60 % charge", "60\u00a0% charge"),
        ("P(≥ 12.4 V)", "P(≥\u00a012.4\u00a0V)"),
        ("u 0.0165 V:", "u\u00a00.0165\u00a0V:"),
        ("you 2 Volts", "you 2 Volts"),
        ("4 Ah and 5 Apples", "4\u00a0Ah and 5 Apples"),
    ],
)
def test_figures_keep_their_units(text, expected):
    assert expected == with_units_kept(text)


@pytest.mark.parametrize(
    ("currency", "expected"),
    [
        ("EUR", "EUR\u00a06.00, then EUR"),
        ("CHF", "EUR 6.00, then EUR"),
        ("", "EUR 6.00, then EUR"),
        (None, "EUR 6.00, then EUR"),
    ],
)
def test_a_currency_keeps_its_amount(currency, expected):
    assert expected == with_currency_kept("EUR 6.00, then EUR", currency)
