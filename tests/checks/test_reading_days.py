"""The days of the readings against arrival, leaving and today, and against the meter's calibration."""

from datetime import date

import pytest

from intake.checks.check_workbook import check_workbook
from tests.checks.builders import BATCH, GOOD, POLICY, check_rows, workbook

UNDATED = {key: value for key, value in BATCH.items() if key != "Read on"}
"""A Batch sheet that does not say on which day the batteries were read."""
TIMED = {key: value for key, value in GOOD.items() if key != "Rested (h)"}
HOLD = {
    **GOOD,
    "Hold start (V)": 12.9,
    "Hold start after (h)": 1,
    "Hold end (V)": 12.8,
    "Hold end after (h)": 30,
}


def said(*rows, **sheets):
    return [
        (one.severity.value, one.sheet, one.field, one.message)
        for one in check_rows(*rows, **sheets).findings
        if one.severity.value != "note"
    ]


def rest_read(moment):
    return {**TIMED, "Rest began": "2026-11-01 08:00", "Rest read at": moment}


@pytest.mark.parametrize(
    ("moment", "part"),
    [
        ("2026-11-19 23:59", "before Received, 2026-11-20"),
        ("2026-11-20 00:00", ""),
        ("2026-11-26 12:00", ""),
        ("2026-11-27 00:00", "lies in the future; today is 2026-11-25"),
    ],
)
def test_a_reading_lies_between_arrival_and_tomorrow(moment, part):
    found = said(rest_read(moment))
    assert bool(part) == bool(found)
    assert all(one[0] == "error" and part in one[3] for one in found)


@pytest.mark.parametrize(
    ("moment", "tomorrow"),
    [("2026-11-25 23:59", False), ("2026-11-26 00:00", True), ("2026-11-27 00:00", False)],
)
def test_a_reading_of_tomorrow_is_warned_of_beside_the_findings(moment, tomorrow):
    checked = check_rows(rest_read(moment))
    found = [(one.severity.value, one.sheet, one.tag, one.field, one.message) for one in checked.of_today]
    message = "2026-11-26 is tomorrow by this computer's clock."
    assert ([("warning", "Batteries", "B-1", "Rest read at", message)] if tomorrow else []) == found


@pytest.mark.parametrize(
    ("ship", "part"), [("2026-11-22", ""), ("2026-11-21", "after Ship date, 2026-11-21")]
)
def test_a_reading_is_not_after_the_ship_date(ship, part):
    found = said(rest_read("2026-11-22 10:00"), batch={**BATCH, "Ship date": ship})
    assert bool(part) == bool(found)
    assert all(one[:3] == ("error", "Batteries", "Rest read at") and part in one[3] for one in found)


def test_a_further_hold_reading_before_arrival_is_an_error_too():
    row = {**GOOD, "Charge ended": "2026-11-19 08:00"}
    hold = [
        {"Tag": "B-1", "Read at": "2026-11-19 20:00", "Voltage (V)": 12.9},
        {"Tag": "B-1", "Read at": "2026-11-20 20:00", "Voltage (V)": 12.8},
    ]
    (found,) = said(row, hold=hold)
    assert ("error", "Batteries", "Hold readings") == found[:3]
    assert "2026-11-19, before Received" in found[3]


@pytest.mark.parametrize(("read_on", "fails"), [("2026-11-20", True), ("2026-11-21", False)])
def test_a_hold_cannot_have_ended_before_its_hours_have_passed(read_on, fails):
    found = said(HOLD, batch={**BATCH, "Read on": read_on})
    assert fails == bool(found)
    assert all(
        one[:3] == ("error", "Batteries", "Hold end after (h)") and "30 h after a charge" in one[3]
        for one in found
    )


def test_without_read_on_or_with_the_end_of_the_charge_no_hold_is_judged():
    assert [] == said(HOLD, batch=UNDATED)
    assert [] == said({**HOLD, "Charge ended": "2026-11-18 08:00"}, batch={**BATCH, "Read on": "2026-11-20"})


def test_hours_without_their_column_fail_at_the_tag():
    hold = [{"Tag": "B-1", "After charge (h)": 30, "Voltage (V)": 12.8}]
    (found,) = said(GOOD, hold=hold, batch={**BATCH, "Read on": "2026-11-20"})
    assert ("error", "Tag") == (found[0], found[2])


@pytest.mark.parametrize(
    ("due", "row", "batch", "overdue"),
    [
        ("2026-11-20", GOOD, {}, False),
        ("2026-11-19", GOOD, {}, True),
        ("2026-11-20", HOLD, {}, True),
        ("2026-11-21", HOLD, {}, False),
        ("2026-11-21", HOLD, {"Read on": "2026-11-22"}, True),
        ("2026-11-22", {**HOLD, "Charge ended": "2026-11-21 12:00"}, {"Read on": "2026-11-21"}, False),
        ("2026-11-21", {**HOLD, "Charge ended": "2026-11-21 12:00"}, {"Read on": "2026-11-21"}, True),
        ("2026-11-21", rest_read("2026-11-22 10:00"), {}, True),
    ],
)
def test_calibration_is_judged_on_the_day_of_the_latest_reading(due, row, batch, overdue):
    found = said(row, batch={**UNDATED, "Calibration due": date.fromisoformat(due), **batch})
    assert overdue == any("past its calibration" in one[3] for one in found)


def test_a_reading_that_is_written_counts_for_the_day():
    hold = [{"Tag": "B-1", "Read at": "2026-11-24 08:00", "Voltage (V)": 12.8}]
    row = {**GOOD, "Charge ended": "2026-11-20 08:00"}
    batch = {**BATCH, "Calibration due": date(2026, 11, 23)}
    assert any("read 2026-11-24" in one[3] for one in said(row, hold=hold, batch=batch))


@pytest.mark.parametrize(
    ("read_on", "ship", "part"),
    [
        ("2026-11-19", None, "before Received, 2026-11-20"),
        ("2026-11-20", None, ""),
        ("2026-11-22", "2026-11-22", ""),
        ("2026-11-23", "2026-11-22", "after Ship date, 2026-11-22"),
        ("2026-11-26", None, ""),
        ("2026-11-27", None, "lies in the future"),
    ],
)
def test_read_on_lies_between_arrival_and_leaving(read_on, ship, part):
    checked = check_rows(GOOD, batch={**BATCH, "Read on": read_on, "Ship date": ship})
    found = [one.message for one in checked.findings if one.severity.value == "error"]
    assert bool(part) == bool(found) == (checked.batch is None)
    assert all(part in one for one in found)


def hints(checked, field):
    return [one.hint for one in checked.findings if one.field == field]


@pytest.mark.parametrize(
    ("batch", "row", "field", "day"),
    [
        ({"Received": "11/12/2026"}, {}, "Received", "2026-11-12"),
        ({"Received": "02/11/2026", "Ship date": "2026-10-30"}, {}, "Received", "2026-02-11"),
        ({"Read on": "12/11/2026", "Ship date": "2026-12-20"}, {}, "Read on", "2026-12-11"),
        ({"Ship date": "12/11/2026"}, {}, "Ship date", "2026-12-11"),
        ({}, {"Made": "12/11/2026"}, "Made", "2026-11-12"),
        ({}, {"Rest read at": "12/11/2026 10:00"}, "Rest read at", "2026-12-11"),
        ({"Ship date": "2026-12-01"}, {"Charge ended": "12/11/2026 10:00"}, "Charge ended", "2026-11-12"),
    ],
)
def test_of_a_date_with_two_readings_only_that_is_offered_which_the_batch_allows(batch, row, field, day):
    checked = check_rows({**GOOD, **row}, batch={**BATCH, **batch})

    assert f"Type {day} if that is the day." in hints(checked, field)


def test_a_hold_reading_s_ambiguous_day_is_narrowed_too():
    hold = {"Tag": "B-1", "After charge (h)": 24, "Voltage (V)": 12.9, "Read at": "12/11/2026 10:00"}
    checked = check_rows(GOOD, hold=[hold])

    assert ["Type 2026-12-11 if that is the day."] == hints(checked, "Read at")


@pytest.mark.parametrize("field", ["Read on", "Ship date"])
def test_what_is_offered_does_not_depend_on_the_day_of_the_check(field):
    raw = workbook(GOOD, batch={**BATCH, field: "12/11/2027"})
    found = [
        check_workbook(raw, today=today, date_order=None, policy=POLICY).findings
        for today in (date(2026, 11, 25), date(2028, 1, 1))
    ]

    assert found[0] == found[1]
    assert any("2027-12-11" in one.message for one in found[0])
