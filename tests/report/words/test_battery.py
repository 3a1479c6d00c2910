"""One battery in words."""

import pytest

from intake.model.battery import Battery, Chemistry
from intake.model.result import GradedBattery
from intake.model.verdict import StateOfCharge
from intake.report.drawing.kept_together import with_units_kept
from intake.report.words.battery import (
    charge_in_words,
    counting_reading,
    identity_lines,
    interval_in_words,
    reading_lines,
    strength_lines,
    value_and_interval,
    voltage_lines,
)
from tests.changed import replace
from tests.report.builders import battery, held, result_of


def graded(one) -> GradedBattery:
    return result_of([one]).graded[0]


def test_voltages_are_listed_as_they_were_written_with_two_decimals_at_least():
    lines = voltage_lines(held(1, "AGM", (0.5, 13.3), (12.0, 12.95), rest_voltage_v=12.0, rested_h=None))

    assert [("rest", "12.00", "", "20"), ("hold", "13.30", "0.5", "21"), ("hold", "12.95", "12", "21")] == [
        (line.label, line.voltage, line.hours, line.temperature) for line in lines
    ]


def test_ten_minutes_are_told_in_two_decimals():
    """A sixth of an hour, as two clock times give it, is no figure with six decimals."""
    rested = battery(1, rest_voltage_v=12.7, rested_h=1 / 6)
    emptied = battery(1, delivered_capacity_ah=41.5, discharge_time_h=10 + 1 / 6)

    assert "12.70 V, rest 0.17 h, 20 °C" == counting_reading(rested)
    assert ["gave 41.5 Ah in 10.17 h"] == strength_lines(emptied)
    assert "hold 12.61 V 0.17 h 21 °C" in reading_lines(held(1, "AGM", (1 / 6, 12.61)))


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


def test_a_voltage_that_was_typed_and_refused_is_not_called_unread():
    refused = battery(1, rest_voltage_v=None, row_errors=("Rest voltage (V): 127 was read.",))

    assert "reading refused: see findings" == counting_reading(refused)
    assert ["reading refused: see findings"] == reading_lines(refused)
    assert "no voltage read" == counting_reading(battery(1, rest_voltage_v=None, row_errors=("Tag: x",)))


def test_an_interval_that_rounds_to_its_value_is_not_told_beside_it():
    verdict = graded(battery(1, rest_voltage_v=12.6)).verdict
    empty = StateOfCharge(0.1, 0.0, 0.4, 10.5, 0.02, 0.09)

    assert "0 %" == charge_in_words(replace(verdict, state_of_charge=empty))
    wider = replace(empty, high_percent=0.6)
    assert "0 % (0 to 1 %)" == charge_in_words(replace(verdict, state_of_charge=wider))


def test_a_charge_whose_ends_round_to_the_same_is_one_plain_figure():
    full = StateOfCharge(99.9, 99.6, 100.0, 13.1, 0.02, 99.8)

    assert "100 %" == interval_in_words(full)
    assert "100 %" == value_and_interval(full)
    assert "99 to 100 %" == interval_in_words(replace(full, low_percent=99.4))
    assert "100 % (99 to 100 %)" == value_and_interval(replace(full, low_percent=99.4))


@pytest.mark.parametrize(
    ("chemistry", "marking", "words"),
    [
        ("other", "Li-ion NMC", ["chemistry other", "80 Ah", "marked: Li-ion NMC"]),
        ("unknown", None, ["chemistry unknown", "80 Ah"]),
        ("AGM", "AGM Pro", ["AGM", "80 Ah"]),
    ],
)
def test_what_stands_on_an_unidentified_battery_is_told(chemistry, marking, words):
    one = battery(1, chemistry, marking=marking, rated_capacity_ah=80.0, rated_cca_a=None)
    assert words == identity_lines(one)
