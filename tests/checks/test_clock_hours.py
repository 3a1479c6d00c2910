from datetime import datetime, time

import pytest

from intake.checks.clock_hours import hours_in_words
from intake.model.finding import Severity
from tests.checks.builders import BATCH, GOOD, RECEIVED, check_rows, error_cell, told

TIMED = {key: value for key, value in GOOD.items() if key != "Rested (h)"}
HOLD = {**GOOD, "Charge ended": "2026-11-19 18:00", "Hold start (V)": 13.0, "Hold end (V)": 12.8}


EARLY = {**BATCH, "Received": "2026-10-01", "Read on": RECEIVED}
"""Received long before the readings."""


def only(*rows, **sheets):
    checked = check_rows(*rows, **{"batch": EARLY, **sheets})
    assert checked.batch is not None, checked.findings
    return checked.batch.batteries[0], checked.findings


def errors(*rows, **sheets):
    _, findings = only(*rows, **sheets)
    return [(one.place, one.message, one.hint) for one in findings if one.severity.value == "error"]


def test_hours_of_rest_are_worked_out_from_two_times():
    battery, findings = only({**TIMED, "Rest began": "2026-11-19 14:00", "Rest read at": "2026-11-20 07:30"})
    assert (17.5, datetime(2026, 11, 19, 14), datetime(2026, 11, 20, 7, 30)) == (
        battery.rested_h,
        battery.rest_began,
        battery.rest_read_at,
    )
    assert () == findings


def test_a_time_without_a_day_is_of_the_day_of_the_readings():
    row = {**TIMED, "Rest began": time(8), "Rest read at": "16:30"}
    assert 8.5 == only(row)[0].rested_h
    battery, _ = only(row, batch={**BATCH, "Read on": "2026-11-22"})
    assert (8.5, datetime(2026, 11, 22, 8)) == (battery.rested_h, battery.rest_began)


def test_times_are_worked_out_across_midnight_of_two_months():
    row = {**TIMED, "Rest began": "2026-10-31 23:00", "Rest read at": "2026-11-01 01:00"}
    assert 2 == only(row)[0].rested_h


def test_an_end_before_its_start_asks_for_the_days():
    ((place, message, hint),) = errors({**TIMED, "Rest began": "16:30", "Rest read at": "08:00"})
    assert "Batteries!G2" == place
    assert "read at 2026-11-20 08:00, before Rest began, 2026-11-20 16:30" in message
    assert "a time without a day counts as 2026-11-20" in message
    assert "Write the day" in hint


def test_an_end_before_its_start_with_days_says_no_more_than_that():
    ((_, message, _),) = errors(
        {**TIMED, "Rest began": "2026-11-20 16:30", "Rest read at": "2026-11-20 08:00"}
    )
    assert "without a day" not in message


@pytest.mark.parametrize(
    ("written", "fits"), [(10.1, True), (10.2, True), (10.21, False), (9.8, True), (9.79, False)]
)
def test_hours_and_times_may_differ_by_two_per_cent(written, fits):
    row = {**TIMED, "Rest began": "06:00", "Rest read at": "16:00", "Rested (h)": written}
    found = errors(row)
    assert fits == (found == [])
    if not fits:
        assert "2026-11-20 16:00 − 2026-11-20 06:00 = 10 h" in found[0][1]


@pytest.mark.parametrize(("written", "fits"), [(0.6, True), (0.61, False)])
def test_short_hours_may_differ_by_a_tenth(written, fits):
    row = {**TIMED, "Rest began": "06:00", "Rest read at": "06:30", "Rested (h)": written}
    assert fits == (errors(row) == [])


def test_hours_that_were_written_stay_as_written():
    row = {**TIMED, "Rest began": "06:00", "Rest read at": "16:00", "Rested (h)": 10.1}
    assert 10.1 == only(row)[0].rested_h


@pytest.mark.parametrize("alone", ["Rest began", "Rest read at"])
def test_one_of_two_times_is_no_use_without_hours(alone):
    ((place, message, _),) = errors({**TIMED, alone: "16:00"})
    other = "Rest read at" if alone == "Rest began" else "Rest began"
    assert ("Batteries!F2", f'The time is given without "{other}".') == (place, message)
    assert [] == errors({**GOOD, alone: "16:00"})


def test_more_hours_than_the_column_takes_are_an_error():
    ((place, message, _),) = errors(
        {**TIMED, "Rest began": "2024-11-20 08:00", "Rest read at": "2026-11-20 08:00"}
    )
    assert "Batteries!G2" == place
    assert "expected 10,000 h at most" in message


def test_a_time_that_cannot_be_read_is_told_once():
    assert ["Batteries!F2"] == [
        place for place, *_ in errors({**TIMED, "Rest began": "early", "Rest read at": "2026-11-20 08:00"})
    ]


def test_hold_hours_are_worked_out_from_the_end_of_charge():
    row = {**HOLD, "Hold start read at": "2026-11-19 18:30", "Hold end read at": "2026-11-20 08:00"}
    battery, findings = only(row)
    assert [(0.5, 13.0), (14.0, 12.8)] == [
        (one.after_charge_h, one.voltage_v) for one in battery.hold_readings
    ]
    assert [datetime(2026, 11, 19, 18, 30), datetime(2026, 11, 20, 8)] == [
        one.read_at for one in battery.hold_readings
    ]
    assert datetime(2026, 11, 19, 18) == battery.charge_ended
    assert () == findings


def test_a_hold_time_without_the_end_of_charge_names_it():
    row = {**HOLD, "Hold start read at": "18:30", "Hold end after (h)": 14}
    del row["Charge ended"]
    ((_, message, _), *_) = errors(row)
    assert 'The time is given without "Charge ended".' == message


def test_the_end_of_charge_alone_is_no_fault():
    assert [] == errors({**GOOD, "Charge ended": "2026-11-19 18:00"})


def test_a_hold_end_no_later_than_its_start_stands_at_the_time():
    row = {**HOLD, "Hold start read at": "2026-11-20 08:00", "Hold end read at": "2026-11-19 19:00"}
    assert [("Batteries!K2", True)] == [
        (place, "ends at 1 h and starts at 14 h" in message) for place, message, _ in errors(row)
    ]


def test_a_time_of_a_hold_without_its_voltage_is_an_error():
    row = {**GOOD, "Charge ended": "2026-11-19 18:00", "Hold start read at": "2026-11-19 18:30"}
    assert [("Batteries!H2", 'The value is given without "Hold start (V)".')] == [
        (place, message) for place, message, _ in errors(row)
    ]


def test_without_any_day_the_workbook_is_rejected_for_that_alone():
    batch = {key: value for key, value in BATCH.items() if key != "Received"}
    checked = check_rows({**TIMED, "Rest began": "06:00", "Rest read at": "16:00"}, batch=batch)
    assert checked.batch is None
    assert [("error", "Batch", "Received")] == told(checked.findings)[:1]


def test_readings_of_the_other_sheet_may_be_timed_as_well():
    battery, findings = only(
        {**GOOD, "Charge ended": "2026-11-19 18:00"},
        hold=[
            {"Tag": "B-1", "Read at": "2026-11-19 19:00", "Voltage (V)": 13.0, "Read by": "Bench 2"},
            {"Tag": "B-1", "Read at": "08:00", "Voltage (V)": 12.8},
        ],
    )
    assert [(1, "Bench 2"), (14, None)] == [
        (one.after_charge_h, one.read_by) for one in battery.hold_readings
    ]
    assert () == findings
    assert RECEIVED == battery.hold_readings[1].read_at.date()


@pytest.mark.parametrize(
    ("charge_ended", "reading", "expected"),
    [
        (None, {"Read at": "08:00"}, 'The time is given without "Charge ended" on the Batteries sheet.'),
        (
            "18:00",
            {"Read at": "08:00"},
            "It was read at 2026-11-20 08:00, before Charge ended, 2026-11-20 18:00.",
        ),
        ("06:00", {"Read at": None}, "The reading has no time."),
        ("06:00", {"Read at": "early"}, '"early" cannot be read as a time'),
        ("06:00", {"Read at": "16:00", "After charge (h)": 11}, "11 h is given, but 2026-11-20 16:00 −"),
    ],
)
def test_a_timed_reading_that_does_not_fit_is_an_error(charge_ended, reading, expected):
    row = {**GOOD, "Charge ended": charge_ended}
    ((_, message, _),) = errors(row, hold=[{"Tag": "B-1", "Voltage (V)": 13.0, **reading}])
    assert message.startswith(expected)


@pytest.mark.parametrize(
    ("charge_ended", "reading"),
    [
        (None, {"Read at": "08:00", "After charge (h)": 3}),
        ("06:00", {"Read at": "09:00", "After charge (h)": 3}),
        ("06:00", {"After charge (h)": 3}),
    ],
)
def test_hours_that_were_written_count_for_a_reading(charge_ended, reading):
    battery, findings = only(
        {**GOOD, "Charge ended": charge_ended}, hold=[{"Tag": "B-1", "Voltage (V)": 13.0, **reading}]
    )
    assert ([3], ()) == ([one.after_charge_h for one in battery.hold_readings], findings)


def test_who_read_it_is_left_blank_where_the_cell_holds_an_error():
    hold = [{"Tag": "B-1", "After charge (h)": 3, "Voltage (V)": 13.0, "Read by": error_cell()}]
    battery, findings = only(GOOD, hold=hold)
    assert None is battery.hold_readings[0].read_by
    assert [("warning", "Hold readings!D2", "Read by")] == told(findings)


def test_a_rejected_workbook_without_any_day_judges_no_time():
    batch = {key: value for key, value in BATCH.items() if key not in ("Received", "Read on")}
    checked = check_rows({**TIMED, "Rest began": "16:00", "Rest read at": "06:00"}, batch=batch)
    assert [("error", "Batch", "Received")] == told(checked.findings, Severity.ERROR)


def test_the_trace_shows_each_subtraction():
    row = {
        **TIMED,
        "Rest began": "2026-11-19 14:00",
        "Rest read at": "2026-11-20 07:30",
        "Charge ended": "2026-11-19 18:00",
        "Hold start (V)": 13.0,
        "Hold start read at": "2026-11-20 18:30",
    }
    battery, _ = only(row)
    assert [
        "rested: 2026-11-20 07:30 − 2026-11-19 14:00 = 17.5 h",
        "hold read after: 2026-11-20 18:30 − 2026-11-19 18:00 = 24.5 h",
    ] == hours_in_words(battery)
    untimed, _ = only(GOOD, hold=[{"Tag": "B-1", "After charge (h)": 3, "Voltage (V)": 13.0}])
    assert [] == hours_in_words(untimed)
    mixed, _ = only(
        {**GOOD, "Charge ended": "2026-11-19 18:00", "Hold start (V)": 13.0, "Hold start after (h)": 1}
    )
    assert [] == hours_in_words(mixed)
