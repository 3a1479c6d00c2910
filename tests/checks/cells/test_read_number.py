from datetime import date, datetime, time, timedelta

import pytest

from intake.checks.cells.read_number import expected_number, read_number
from intake.checks.cells.written_units import find_unit
from tests.checks.builders import cell, column, noted, refusal, value_of

REST = column("batteries", "rest_voltage_v")
RESTED = column("batteries", "rested_h")
TEMPERATURE = column("batteries", "temperature_c")
MASS = column("batteries", "mass_kg")
CURRENT = column("batteries", "load_current_a")
MEASURED = column("batteries", "measured_cca_a")
GRAVITY = column("batteries", "specific_gravity", 1)
ACCURACY = column("batch", "meter_accuracy_percent")


@pytest.mark.parametrize(
    "value",
    [
        12.43,
        "12.43",
        "12,43",
        "12.43 V",
        " 12.43",
        "12.43v",
        "\u00a012,43\u00a0V",
        "١٢٫٤٣",
        "１２．４３",
        "12.43 volts",
    ],
)
def test_a_voltage_may_be_typed_in_many_ways(value):
    """The ways of the input contract; none needs a remark."""
    assert 12.43 == value_of(read_number(cell(value), REST))


def test_minus_zero_is_zero():
    assert "0.0" == str(value_of(read_number(cell(-0.0), REST)))
    assert "0.0" == str(value_of(read_number(cell("-0"), REST)))
    assert "0.0" == str(noted(read_number(cell("-0 mV"), REST))[0])


@pytest.mark.parametrize(
    ("value", "one", "expected", "words"),
    [
        ("12430 mV", REST, 12.43, '"12430 mV" was taken as 12.43 V.'),
        ("77 °F", TEMPERATURE, 25.0, '"77 °F" was taken as 25 °C.'),
        ("57 °F", TEMPERATURE, 13.8888888889, '"57 °F" was taken as 13.8889 °C.'),
        ("30 min", RESTED, 0.5, '"30 min" was taken as 0.5 h.'),
        ("720 min", RESTED, 12.0, '"720 min" was taken as 12 h.'),
        ("11 lb", MASS, 4.98951607, '"11 lb" was taken as 4.98952 kg.'),
    ],
)
def test_another_unit_is_converted_and_said(value, one, expected, words):
    assert (expected, words) == noted(read_number(cell(value), one))


@pytest.mark.parametrize("value", [1265, 1265.0, "1265", "1265 SG", "1265 g/cm³", "1 265"])
def test_a_gravity_without_its_point_is_taken_and_said(value):
    taken, words = noted(read_number(cell(value), GRAVITY))
    assert 1.265 == taken
    assert words.endswith("was taken as 1.265.")


@pytest.mark.parametrize("value", [1.265, "1.265", "1,265", "1,265 g/cm³"])
def test_a_gravity_with_its_point_needs_no_remark(value):
    assert 1.265 == value_of(read_number(cell(value), GRAVITY))


def test_the_gravity_scale_ends_where_the_limits_do():
    assert 1.0 == noted(read_number(cell(1000), GRAVITY))[0]
    assert 1.4 == noted(read_number(cell(1400), GRAVITY))[0]
    assert ", taken as 1.401," in refusal(read_number(cell(1401), GRAVITY)).message
    assert "taken as" not in refusal(read_number(cell(999), GRAVITY)).message


@pytest.mark.parametrize("value", ["1,234", "12,430 mV", "-1,234"])
def test_a_figure_with_two_readings_is_refused_with_both_named(value):
    message = refusal(read_number(cell(value), REST)).message
    figures = value.split()[0]
    assert f"can be read as {figures.replace(',', '.')} or as {figures.replace(',', '')};" in message


@pytest.mark.parametrize(
    "value",
    [
        "nan", "inf", "-inf", "1_000", "0x1F", "1e5", "1E5 V", "twelve", "12-13", "12:30", "~12", ">12",
        "12.4.3", "12²", "12.", float("nan"), float("inf"), True, False,
        date(2012, 5, 12), datetime(1900, 1, 12, 12), time(12, 30), timedelta(hours=12.5),
    ],
)  # fmt: skip
def test_what_is_no_plain_number_is_refused(value):
    found = refusal(read_number(cell(value), REST))
    assert "expected a number in V, from -20 to 20." in found.message


def test_a_number_that_became_a_date_says_so():
    assert "turned it into a date" in refusal(read_number(cell(date(2012, 5, 12)), REST)).hint
    assert "turned it into a date" in refusal(read_number(cell(timedelta(1)), REST)).hint


def test_a_power_of_ten_is_to_be_written_out():
    assert "out in full" in refusal(read_number(cell("1e1"), REST)).hint


@pytest.mark.parametrize("value", ["n/a", "-", True])
def test_a_word_for_nothing_is_to_be_left_out(value):
    assert "Leave the cell empty" in refusal(read_number(cell(value), REST)).hint


def test_the_hint_shows_a_figure_of_the_column():
    assert "12.55" in refusal(read_number(cell("good"), REST)).hint
    assert " 12.43" in refusal(read_number(cell("good"), CURRENT)).hint


@pytest.mark.parametrize("value", ["12 A", "12 MV", "12 bananas"])
def test_a_unit_that_makes_no_sense_is_refused(value):
    found = refusal(read_number(cell(value), REST))
    assert found.message.startswith(
        f'"{value}": "{value.split()[1]}" is not a unit that can be converted here'
    )
    assert "Type the figure in V, without a unit." == found.hint


@pytest.mark.parametrize(
    ("one", "lowest", "below"),
    [(REST, -20, -20.001), (RESTED, 0, -0.001), (MASS, 0.001, 0), (MEASURED, 0, -1), (CURRENT, 0.001, 0)],
)
def test_the_lower_limit_belongs_to_the_range_unless_it_says_over(one, lowest, below):
    assert lowest == value_of(read_number(cell(lowest), one))
    assert "is outside the limits" in refusal(read_number(cell(below), one)).message


@pytest.mark.parametrize(("one", "highest"), [(REST, 20), (RESTED, 10000), (MASS, 100), (TEMPERATURE, 90)])
def test_the_upper_limit_belongs_to_the_range(one, highest):
    assert highest == value_of(read_number(cell(highest), one))
    assert "is outside the limits" in refusal(read_number(cell(highest + 0.001), one)).message


@pytest.mark.parametrize("value", [float("inf"), 10**400])
def test_without_an_upper_limit_a_number_still_has_to_be_finite(value):
    refusal(read_number(cell(value), CURRENT))


def test_a_long_figure_is_still_a_number():
    assert pytest.approx(1e59) == value_of(read_number(cell("9" * 59), CURRENT))


def test_a_converted_value_outside_the_limits_names_both():
    assert '"90000 mV", taken as 90 V, is outside' in refusal(read_number(cell("90000 mV"), REST)).message
    assert '"120 V" is outside' in refusal(read_number(cell("120 V"), REST)).message


@pytest.mark.parametrize(
    ("one", "expected"),
    [
        (REST, "a number in V, from -20 to 20"),
        (MASS, "a number in kg, over 0 to 100"),
        (CURRENT, "a number in A, over 0"),
        (MEASURED, "a number in A, 0 or more"),
        (GRAVITY, "a number, from 1 to 1.4"),
    ],
)
def test_the_expectation_names_unit_and_limits(one, expected):
    assert expected == expected_number(one)


@pytest.mark.parametrize("value", [12430, "12430", "12 430"])
def test_plain_numbers_follow_the_unit_of_the_header(value):
    unit = find_unit("mV", "V")
    assert 12.43 == value_of(read_number(cell(value), REST, header_unit=unit))


def test_a_typed_unit_wins_over_the_header_s():
    unit = find_unit("mV", "V")
    assert 12.43 == value_of(read_number(cell("12.43 V"), REST, header_unit=unit))


def test_outside_the_limits_a_header_s_unit_is_named_too():
    unit = find_unit("°F", "°C")
    message = refusal(read_number(cell(500), TEMPERATURE, header_unit=unit)).message
    assert '"500", taken as 260 °C, is outside' in message


def test_a_percent_format_counts_as_shown():
    """0.005 shown as 0.5 % is half a percent."""
    taken, words = noted(read_number(cell(0.005, "0.0%"), ACCURACY))
    assert 0.5 == taken
    assert '"0.005" was taken as 0.5 %.' == words
    assert 0.005 == value_of(read_number(cell(0.005, '0.0"%"'), ACCURACY))
    assert 0.5 == value_of(read_number(cell("0.5 %", "0.0%"), ACCURACY))
    assert 12 == value_of(read_number(cell(12, "0%"), REST))


REST = column("batteries", "rest_voltage_v")
RESTED = column("batteries", "rested_h")


@pytest.mark.parametrize(
    ("value", "likely"), [(1.247, "12.47"), (1.0, "10"), (1.46, "14.6"), ("1.247", "12.47"), (1.3, "13")]
)
def test_a_tenth_of_a_usual_voltage_is_taken_with_a_warning_that_names_the_likely_one(value, likely):
    taken = read_number(cell(value), REST)
    assert float(value) == taken.value
    (remark,) = taken.remarks
    assert "warning" == remark.severity.value
    assert "slipped decimal point" in remark.message
    assert f"Type {likely} if that is what the meter showed" in remark.hint


@pytest.mark.parametrize("value", [0.99, 1.47, 9.9, 10.0, 12.47, 14.6, 0, -1.247, 20])
def test_other_voltages_are_taken_as_they_are(value):
    assert value == value_of(read_number(cell(value), REST))


@pytest.mark.parametrize(
    ("value", "likely"), [(124.7, "12.47"), (1247, "12.47"), ("1247 V", "12.47"), (146, "14.6")]
)
def test_ten_or_a_hundred_times_a_usual_voltage_is_refused_and_the_likely_one_is_named(value, likely):
    found = refusal(read_number(cell(value), REST))
    assert "outside the limits" in found.message
    assert f"Type {likely} if" in found.hint


def test_a_comma_that_can_be_read_in_two_ways_names_the_likely_voltage():
    found = refusal(read_number(cell("1,247"), REST))
    assert "can be read as 1.247 or as 1247" in found.message
    assert "Type 12.47 if" in found.hint
    assert "Type 1.047 or 1047" in refusal(read_number(cell("1,047"), RESTED)).hint


def test_a_column_without_usual_values_says_nothing_of_a_slip():
    load = column("batteries", "load_voltage_v")
    assert 1.247 == value_of(read_number(cell(1.247), load))


@pytest.mark.parametrize(
    ("value", "figure"),
    [
        ("17:30", "Type 17.5 for 17 h 30 min."),
        (time(17, 30), "Format the cell as a number and type 17.5 for 17 h 30 min."),
        (timedelta(hours=26, minutes=15), "Format the cell as a number and type 26.25 for 26 h 15 min."),
        ("9:05 pm", "Type 21.08 for 21 h 5 min."),
        (datetime(2026, 11, 20, 17, 30), "Format the cell as a number and type the hours."),
        (datetime(1900, 1, 17, 12), "Format the cell as a number; if you typed 17.5 it then counts."),
        (datetime(1900, 3, 12), "Format the cell as a number; if you typed 72 it then counts."),
    ],
)
def test_a_clock_time_in_a_column_of_hours_is_refused_with_both_ways_out(value, figure):
    found = refusal(read_number(cell(value), RESTED))
    assert "is a clock time; expected a number in h" in found.message
    assert found.hint == f'{figure} A clock time goes into "Rest read at".'


def test_hours_without_a_column_for_times_name_one_way_out_only():
    found = refusal(read_number(cell("17:30"), column("batteries", "discharge_time_h")))
    assert "Type 17.5 for 17 h 30 min." == found.hint
