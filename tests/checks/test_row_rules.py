import pytest

from intake.model.battery import HoldReading
from tests.checks.builders import GOOD, LFP, check_rows, told

START = {"Hold start (V)": 13.0, "Hold start after (h)": 0.5}
END = {"Hold end (V)": 12.8, "Hold end after (h)": 12}
LOAD = {"Load current (A)": 270, "Load time (s)": 15, "Load voltage (V)": 10.2}
GRAVITIES = {f"SG {place}": 1.26 for place in range(1, 7)}
CELLS = {f"Cell {place} (V)": 3.3 for place in range(1, 5)}


def only(checked):
    assert checked.batch is not None, checked.findings
    (battery,) = checked.batch.batteries
    return battery


def without(row, header):
    return {key: value for key, value in row.items() if key != header}


@pytest.mark.parametrize("pair", [START, END])
@pytest.mark.parametrize("missing", [0, 1])
@pytest.mark.parametrize("column_there", [True, False])
def test_half_a_hold_reading_is_a_row_error_at_the_cell_that_stands_alone(pair, missing, column_there):
    headers = list(pair)
    blank, given = headers[missing], headers[1 - missing]
    row = {**GOOD, **pair, blank: None} if column_there else without({**GOOD, **pair}, blank)
    checked = check_rows(row)
    (found,) = checked.findings
    assert ("error", given, "B-1") == (found.severity.value, found.field, found.tag)
    assert f'The value is given without "{blank}".' == found.message
    assert ((), 1) == (only(checked).hold_readings, len(only(checked).row_errors))


@pytest.mark.parametrize("pair", [START, END])
def test_one_of_start_and_end_may_be_given_alone(pair):
    checked = check_rows({**GOOD, **pair})
    volts, hours = pair.values()
    assert () == checked.findings
    assert (HoldReading(hours, volts, 25.0),) == only(checked).hold_readings


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        (["Load current (A)"], '"Load time (s)" and "Load voltage (V)"'),
        (["Load time (s)"], '"Load current (A)" and "Load voltage (V)"'),
        (["Load voltage (V)"], '"Load current (A)" and "Load time (s)"'),
        (["Load current (A)", "Load time (s)"], '"Load voltage (V)"'),
        (["Load time (s)", "Load voltage (V)"], '"Load current (A)"'),
    ],
)
def test_a_load_test_is_whole_or_not_there(given, missing):
    checked = check_rows({**GOOD, **{header: LOAD[header] for header in given}})
    assert [("error", "Batteries!G2", given[0])] == told(checked.findings)
    assert f"The value is given without {missing}." == checked.findings[0].message


def test_a_whole_load_test_needs_no_word():
    assert () == check_rows({**GOOD, **LOAD}).findings


def test_a_discharge_time_needs_its_capacity_and_a_capacity_no_time():
    time, capacity = {"Discharge time (h)": 20}, {"Delivered capacity (Ah)": 50}
    assert [("error", "Batteries!G2", "Discharge time (h)")] == told(check_rows({**GOOD, **time}).findings)
    assert () == check_rows({**GOOD, **capacity}).findings
    assert () == check_rows({**GOOD, **time, **capacity}).findings


def test_an_unreadable_partner_is_one_error_and_not_two():
    checked = check_rows({**GOOD, **START, "Hold start after (h)": "soon"})
    assert [("error", "Batteries!H2", "Hold start after (h)")] == told(checked.findings)
    checked = check_rows({**GOOD, "Discharge time (h)": 20, "Delivered capacity (Ah)": "much"})
    assert ["Delivered capacity (Ah)"] == [one.field for one in checked.findings]


@pytest.mark.parametrize(("hours", "wrong"), [(0.5, True), (0.4, True), (0.51, False)])
def test_the_hold_ends_after_it_starts(hours, wrong):
    checked = check_rows({**GOOD, **START, **END, "Hold end after (h)": hours})
    assert ([("error", "Batteries!J2", "Hold end after (h)")] if wrong else []) == told(checked.findings)
    assert (1 if wrong else 2) == len(only(checked).hold_readings)


def test_the_order_of_the_hours_is_checked_even_if_a_voltage_is_missing():
    checked = check_rows({**GOOD, **START, **END, "Hold end after (h)": 0.1, "Hold end (V)": None})
    assert ["Hold end after (h)"] * 2 == [one.field for one in checked.findings]
    assert (HoldReading(0.5, 13.0, 25.0),) == only(checked).hold_readings


@pytest.mark.parametrize("count", [1, 5])
def test_some_gravities_are_a_row_error(count):
    some = dict(list(GRAVITIES.items())[-count:])
    checked = check_rows({**GOOD, **some})
    assert [("error", "Batteries!G2", next(iter(some)))] == told(checked.findings)
    assert f"{count} of 6 values are given; expected all 6 or none." == checked.findings[0].message
    assert () == only(checked).specific_gravity


@pytest.mark.parametrize("count", [1, 3])
def test_some_cells_are_a_row_error(count):
    checked = check_rows({**LFP, **dict(list(CELLS.items())[:count])})
    assert [("error", "Batteries!G2", "Cell 1 (V)")] == told(checked.findings)
    assert f"{count} of 4 values are given; expected all 4 or none." == checked.findings[0].message


def test_all_gravities_or_cells_need_no_word():
    assert () == check_rows({**GOOD, **GRAVITIES}).findings
    assert () == check_rows({**LFP, **CELLS}).findings


def test_one_unreadable_gravity_is_one_error_and_none_is_used():
    checked = check_rows({**GOOD, **GRAVITIES, "SG 3": "low"})
    assert [("error", "Batteries!I2", "SG 3")] == told(checked.findings)
    assert () == only(checked).specific_gravity
