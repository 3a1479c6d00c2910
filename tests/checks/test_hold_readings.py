from datetime import date

import pytest

from intake.model.battery import HoldReading
from tests.checks.builders import BATCH, GOOD, LFP, cell, check_rows, error_cell, told

ROW = {
    **GOOD,
    "Hold start (V)": 13.0,
    "Hold start after (h)": 0.5,
    "Hold end (V)": 12.8,
    "Hold end after (h)": 12,
}


LATER = {**BATCH, "Read on": date(2026, 11, 22)}
"""Late enough for a hold of a day."""


def reading(hours, volts, temperature=None, tag="B-1"):
    return {"Tag": tag, "After charge (h)": hours, "Voltage (V)": volts, "Temperature (°C)": temperature}


def only(checked):
    assert checked.batch is not None, checked.findings
    return checked.batch.batteries[0]


def errors(checked):
    return [one for one in told(checked.findings) if one[0] == "error"]


def test_readings_join_the_row_s_own_in_order_of_hours():
    checked = check_rows(
        ROW, hold=[reading(24, 12.75), reading("30 min", 13.0), reading(3, 12.9, 20)], batch=LATER
    )
    assert (
        HoldReading(0.5, 13.0, 25.0),
        HoldReading(3.0, 12.9, 20.0),
        HoldReading(12.0, 12.8, 25.0),
        HoldReading(24.0, 12.75, 25.0),
    ) == only(checked).hold_readings
    assert [("note", "Hold readings!B3", "After charge (h)")] == told(checked.findings)


def test_a_battery_may_have_hold_readings_on_their_own_sheet_alone():
    assert (HoldReading(3.0, 12.9, 25.0),) == only(check_rows(GOOD, hold=[reading(3, 12.9)])).hold_readings


@pytest.mark.parametrize(
    ("hold_temperature", "temperature", "own", "expected"),
    [
        (10, 20, 5, 5.0),
        (10, 20, None, 10.0),
        (None, 20, None, 20.0),
        (None, None, None, None),
        (0, 20, None, 0.0),
    ],
)
def test_a_reading_without_temperature_takes_the_row_s(hold_temperature, temperature, own, expected):
    row = {**GOOD, "Hold temperature (°C)": hold_temperature, "Temperature (°C)": temperature}
    (found,) = only(check_rows(row, hold=[reading(3, 12.9, own)])).hold_readings
    assert expected == found.temperature_c


def test_an_unreadable_hold_temperature_is_not_replaced_in_silence():
    checked = check_rows({**GOOD, "Hold temperature (°C)": "warm"}, hold=[reading(3, 12.9)])
    assert [("error", "Batteries!G2", "Hold temperature (°C)")] == errors(checked)
    assert 1 == len(only(checked).row_errors)


def test_the_tag_ignores_case_and_may_be_a_number():
    checked = check_rows(
        {**GOOD, "Tag": "b-1"}, {**GOOD, "Tag": "7"}, hold=[reading(3, 12.9), reading(3, 12.9, tag=7)]
    )
    assert () == checked.findings
    assert checked.batch is not None
    assert [1, 1] == [len(one.hold_readings) for one in checked.batch.batteries]


@pytest.mark.parametrize(
    ("tag", "words", "named"),
    [
        ("B-9", 'No battery on the Batteries sheet has the tag "B-9".', "B-9"),
        (None, "The row has no tag.", ""),
        ("B 1", '"B 1" cannot be used', ""),
    ],
)
def test_a_reading_whose_tag_is_not_known_reaches_no_battery(tag, words, named):
    checked = check_rows(GOOD, hold=[reading(3, 12.9, tag=tag)])
    (found,) = checked.findings
    assert [("error", "Hold readings!A2", "Tag")] == told(checked.findings)
    assert found.message.startswith(words)
    assert found.message.endswith("This reading reaches no battery.")
    assert named == found.tag
    assert not found.rejects
    assert ((), ()) == (only(checked).row_errors, only(checked).hold_readings)


def test_a_row_that_has_no_tag_of_its_own_is_never_reached():
    checked = check_rows({**GOOD, "Tag": None}, hold=[reading(3, 12.9, tag="row-2")])
    assert ["Batteries!A2", "Hold readings!A2"] == [one.place for one in checked.findings]


@pytest.mark.parametrize(
    ("header", "value", "at"),
    [
        ("After charge (h)", "soon", "B2"),
        ("After charge (h)", None, "B2"),
        ("Voltage (V)", error_cell(), "C2"),
        ("Voltage (V)", None, "C2"),
        ("Voltage (V)", 15.01, "C2"),
        ("Temperature (°C)", 91, "D2"),
    ],
)
def test_what_can_not_be_read_there_is_a_row_error_of_that_battery(header, value, at):
    checked = check_rows(GOOD, hold=[{**reading(3, 12.9, 20), header: value}])
    (found,) = checked.findings
    assert [("error", f"Hold readings!{at}", header)] == told(checked.findings)
    assert (f"{header}, Hold readings!{at}: {found.message}",) == only(checked).row_errors
    assert "B-1" == found.tag


def test_lfp_has_a_lower_limit_here_too():
    assert () == check_rows(LFP, hold=[reading(1, 14.6)]).findings
    assert [("error", "Hold readings!C2", "Voltage (V)")] == told(
        check_rows(LFP, hold=[reading(1, 14.61)]).findings
    )


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ((3, 12.9), (3, 12.9), 25.0),
        ((3, 12.9, 20), (3, 12.9), 20.0),
        ((3, 12.9), ("180 min", "12,9", 20), 20.0),
        ((3, 12.9, 20), (3, 12.9, 20), 20.0),
    ],
)
def test_the_same_reading_twice_counts_once(first, second, expected):
    checked = check_rows(GOOD, hold=[reading(*first), reading(*second)])
    assert [] == errors(checked)
    assert (HoldReading(3.0, 12.9, expected),) == only(checked).hold_readings


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ((3, 12.9), (3, 12.91), "12.9 V there, 12.91 V here."),
        ((3, 12.9, 20), (3, 12.9, 21), "12.9 V at 20 °C there, 12.9 V at 21 °C here."),
    ],
)
def test_two_readings_at_one_hour_that_differ_are_a_row_error(first, second, words):
    checked = check_rows(GOOD, hold=[reading(*first), reading(*second)])
    (found,) = checked.findings
    assert [("error", "Hold readings!C3", "Voltage (V)")] == told(checked.findings)
    assert f"Another reading at 3 h differs: {words}" == found.message
    assert 1 == len(only(checked).row_errors)


def test_a_reading_that_differs_from_the_row_s_own_is_a_row_error():
    checked = check_rows(ROW, hold=[reading(12, 12.7)])
    assert [("error", "Hold readings!C2", "Voltage (V)")] == told(checked.findings)


def test_hours_that_differ_by_rounding_alone_are_the_same():
    checked = check_rows(GOOD, hold=[reading(0.1 + 0.2, 12.9), reading(0.3, 12.9)])
    assert 1 == len(only(checked).hold_readings)


def test_hours_apart_are_two_readings():
    assert 2 == len(only(check_rows(GOOD, hold=[reading(0.3, 12.9), reading(0.301, 12.9)])).hold_readings)


def test_without_a_temperature_column_the_row_s_counts():
    checked = check_rows(GOOD, hold=[{"Tag": "B-1", "After charge (h)": 3, "Voltage (V)": 12.9}])
    assert (HoldReading(3.0, 12.9, 25.0),) == only(checked).hold_readings


@pytest.mark.parametrize("header", ["Tag", "After charge (h)", "Voltage (V)"])
def test_a_needed_column_that_is_missing_rejects_and_gives_no_row_error(header):
    rows = [{key: value for key, value in reading(3, 12.9, 20).items() if key != header}]
    checked = check_rows(GOOD, hold=rows)
    assert checked.batch is None
    assert [("error", "Hold readings", header)] == told(checked.findings)


def test_a_header_in_another_unit_converts_its_readings():
    rows = [{"Tag": "B-1", "After charge (min)": 180, "Voltage (mV)": 12900, "Temperature (°F)": cell(68)}]
    checked = check_rows(GOOD, hold=rows)
    assert (HoldReading(3.0, 12.9, 20.0),) == only(checked).hold_readings
    assert ["note"] * 3 == [one.severity.value for one in checked.findings]


def test_a_reader_that_cannot_be_read_is_left_blank_with_a_warning():
    checked = check_rows(GOOD, hold=[{**reading(3.0, 12.9), "Read by": error_cell()}])
    assert [None] == [one.read_by for one in only(checked).hold_readings]
    assert any(one.field == "Read by" for one in checked.findings)
