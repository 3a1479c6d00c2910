from datetime import date, time

import pytest

from intake.checks.cells.dates import DateOrder
from intake.model.finding import Severity
from tests.checks.builders import (
    BATCH,
    RECEIVED,
    TODAY,
    check,
    check_rows,
    error_cell,
    grid,
    told,
    unsaved_formula,
    workbook,
)

NEEDED = ["Batch", "Site", "Received", "Inspector", "Jurisdiction"]


def batch_of(checked):
    assert checked.batch is not None, checked.findings
    return checked.batch


def test_every_field_is_read_in_its_form():
    checked = check_rows(
        batch={
            **BATCH,
            "Received from": "Returns desk",
            "Consignee": "Smelter",
            "Ship date": "2026-11-30",
            "Meter": 87,
            "Calibration due": date(2027, 1, 31),
            "Currency": "eur",
            "Note": "two\nlines",
        }
    )
    batch = batch_of(checked)
    assert () == checked.findings
    assert ("T-1", "Test yard", "Bench 1", "EU") == (
        batch.batch,
        batch.site,
        batch.inspector,
        batch.jurisdiction,
    )
    assert date(2026, 11, 20) == batch.received
    assert date(2026, 11, 30) == batch.ship_date
    assert date(2027, 1, 31) == batch.calibration_due
    assert ("Returns desk", "Smelter", "87", "EUR", "two\nlines") == (
        batch.received_from,
        batch.consignee,
        batch.meter,
        batch.currency,
        batch.note,
    )
    assert (0.1, 0.01) == (batch.meter_accuracy_percent, batch.meter_accuracy_volts)


@pytest.mark.parametrize("field", NEEDED)
def test_a_needed_field_that_is_missing_rejects(field):
    checked = check_rows(batch={key: value for key, value in BATCH.items() if key != field})
    assert checked.batch is None
    assert [("error", "Batch", field)] == told(checked.findings)
    assert checked.findings[0].rejects


@pytest.mark.parametrize("field", NEEDED)
def test_a_needed_field_that_is_blank_rejects_at_its_value(field):
    checked = check_rows(batch={**BATCH, field: None})
    row = list(BATCH).index(field) + 1
    assert checked.batch is None
    assert [("error", f"Batch!B{row}", field)] == told(checked.findings)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("Batch", "no blanks"),
        ("Site", error_cell()),
        ("Received", "2026-11"),
        ("Inspector", unsaved_formula()),
        ("Jurisdiction", "moon"),
        ("Meter accuracy (% of reading)", 5.1),
    ],
)
def test_what_the_whole_batch_rests_on_rejects_when_it_can_not_be_read(field, value):
    checked = check_rows(batch={**BATCH, field: value})
    assert checked.batch is None
    row = list(BATCH).index(field) + 1
    assert [("error", f"Batch!B{row}", field)] == told(checked.findings)
    assert checked.findings[0].rejects


@pytest.mark.parametrize(
    ("field", "value"), [("Ship date", "soon"), ("Calibration due", "03/04/2027"), ("Currency", "euro")]
)
def test_other_fields_that_can_not_be_read_are_left_blank_with_a_warning(field, value):
    checked = check_rows(batch={**BATCH, field: value})
    batch = batch_of(checked)
    assert [("warning", "Batch!B9", field)] == told(checked.findings)
    assert (None, None, None) == (batch.ship_date, batch.calibration_due, batch.currency)


def test_the_date_order_holds_for_the_batch_too():
    checked = check(workbook(batch={**BATCH, "Received": "03/04/2026"}), date_order=DateOrder.DAY_FIRST)
    assert date(2026, 4, 3) == batch_of(checked).received


def test_tomorrow_is_not_in_the_future_and_the_day_after_is():
    """The tests' today is 2026-11-25; a clock may be a day behind."""
    assert (
        date(2026, 11, 26)
        == batch_of(check_rows(batch={**BATCH, "Received": "2026-11-26", "Read on": "2026-11-26"})).received
    )
    checked = check_rows(batch={**BATCH, "Received": "2026-11-27"})
    assert checked.batch is None
    assert [("error", "Batch!B3", "Received")] == told(checked.findings)
    assert "2026-11-27 lies in the future; today is 2026-11-25." == checked.findings[0].message
    assert () == checked.of_today


@pytest.mark.parametrize(
    ("received", "read_on", "cells"),
    [
        ("2026-11-25", "2026-11-25", []),
        ("2026-11-25", "2026-11-26", [("Read on", "Batch!B8")]),
        ("2026-11-26", "2026-11-26", [("Received", "Batch!B3"), ("Read on", "Batch!B8")]),
    ],
)
def test_tomorrow_is_warned_of_beside_the_findings(received, read_on, cells):
    checked = check_rows(batch={**BATCH, "Received": received, "Read on": read_on})
    assert () == checked.findings
    assert [("warning", place, field) for field, place in cells] == told(checked.of_today)
    assert {"2026-11-26 is tomorrow by this computer's clock."} >= {one.message for one in checked.of_today}


def test_a_ship_date_on_the_day_stands_and_one_before_is_left_blank():
    on_the_day = check_rows(batch={**BATCH, "Ship date": "2026-11-20"})
    before = check_rows(batch={**BATCH, "Ship date": "2026-11-19"})
    assert (date(2026, 11, 20), ()) == (batch_of(on_the_day).ship_date, on_the_day.findings)
    assert batch_of(before).ship_date is None
    assert [("warning", "Batch!B9", "Ship date")] == told(before.findings)


def test_a_meter_past_its_calibration_is_a_warning_and_the_date_stands():
    on_the_day = check_rows(batch={**BATCH, "Calibration due": "2026-11-20"})
    before = check_rows(batch={**BATCH, "Calibration due": "2026-11-19"})
    assert () == on_the_day.findings
    assert date(2026, 11, 19) == batch_of(before).calibration_due
    assert [("warning", "Batch!B9", "Calibration due")] == told(before.findings)
    assert "past its calibration on the day" in before.findings[0].message


def test_without_a_received_day_the_other_dates_are_not_compared():
    checked = check_rows(batch={**BATCH, "Received": None, "Ship date": "1999-01-01"})
    assert [("error", "Batch!B3", "Received")] == told(checked.findings)


def test_a_meter_accuracy_that_is_blank_or_missing_is_assumed_and_said():
    fields = {**BATCH, "Meter accuracy (V)": None}
    del fields["Meter accuracy (% of reading)"]
    checked = check_rows(batch=fields)
    batch = batch_of(checked)
    assert (None, None) == (batch.meter_accuracy_percent, batch.meter_accuracy_volts)
    assert [
        ("note", "Batch", "Meter accuracy (% of reading)"),
        ("note", "Batch!B6", "Meter accuracy (V)"),
    ] == told(checked.findings)
    assert "0.5 % of the reading is assumed" in checked.findings[0].message
    assert "0.02 V is assumed" in checked.findings[1].message


def sheet_with(*lines):
    return check_with(grid("Batch", [*BATCH.items(), *lines]))


def check_with(sheet):
    raw = workbook()
    return check(type(raw)(raw.name, raw.sha256, (sheet, *raw.sheets[1:])))


def test_titles_headings_and_labels_without_a_value_are_passed_over():
    """As the blank workbook has them: the title reads like a field."""
    lines = [["Batch"], ["What to do"], ["Field", "Value", None, "What to write"], ["Ours"], *BATCH.items()]
    checked = check_with(grid("Batch", lines))
    assert () == checked.findings
    assert "T-1" == batch_of(checked).batch


def test_a_label_may_stand_in_any_column_with_its_value_beside_it():
    lines = [[None, None, label, value, "ours"] for label, value in BATCH.items()]
    assert () == check_with(grid("Batch", lines)).findings


def test_a_value_further_right_is_not_taken():
    lines = [[label, None, value] if label == "Site" else [label, value] for label, value in BATCH.items()]
    assert [("error", "Batch!B2", "Site")] == told(check_with(grid("Batch", lines)).findings)


def test_an_unknown_field_with_a_value_is_noted_at_its_label():
    checked = sheet_with(["Shift", "late"], ["Value", "Field"])
    assert [("note", "Batch!A9", ""), ("note", "Batch!A10", "")] == told(checked.findings)
    assert '"Shift" is not known' in checked.findings[0].message


def test_a_field_that_stands_twice_rejects_and_names_both_cells():
    checked = sheet_with(["site", "Yard 3"])
    assert [("error", "Batch!A9", "Site")] == told(checked.findings)
    assert "appears twice: in A2 and in A9." in checked.findings[0].message
    assert checked.batch is None


def test_a_second_label_without_a_value_does_no_harm():
    checked = sheet_with(["Site"], ["Note"], [" ", ""], ["Note", "here"], ["Note"])
    assert () == checked.findings
    assert ("Test yard", "here") == (batch_of(checked).site, batch_of(checked).note)


def test_a_bare_meter_accuracy_rejects_and_names_both():
    checked = sheet_with(["Meter accuracy", 0.5])
    assert [("error", "Batch!A9", "")] == told(checked.findings)
    assert '"Meter accuracy (% of reading)" or "Meter accuracy (V)"' in checked.findings[0].message
    assert checked.batch is None
    assert () == sheet_with(["Meter accuracy"]).findings


def test_a_meter_accuracy_in_millivolts_is_converted_with_one_note():
    fields = {("Meter accuracy (mV)" if key.endswith("(V)") else key): value for key, value in BATCH.items()}
    checked = check_rows(batch={**fields, "Meter accuracy (mV)": 10})
    assert 0.01 == batch_of(checked).meter_accuracy_volts
    assert [("note", "Batch!A7", "Meter accuracy (V)")] == told(checked.findings)


def test_a_number_as_batch_is_taken_with_a_note():
    checked = check_rows(batch={**BATCH, "Batch": 2026})
    assert "2026" == batch_of(checked).batch
    assert [("note", "Batch!B1", "Batch")] == told(checked.findings, Severity.NOTE)


def test_a_sign_for_nothing_counts_as_blank_in_a_field_of_figures():
    checked = check_rows(batch={**BATCH, "Meter accuracy (V)": "n/a"})
    assert checked.batch is not None
    assert None is checked.batch.meter_accuracy_volts
    assert ["counts as blank", "is assumed"] == [
        words
        for one in checked.findings
        for words in ("counts as blank", "is assumed")
        if words in one.message
    ]


def test_without_the_day_of_the_readings_the_day_received_counts_and_is_noted():
    checked = check_rows(batch={key: value for key, value in BATCH.items() if key != "Read on"})
    assert checked.batch is not None
    assert RECEIVED == checked.batch.reading_day
    assert [("note", "Batch", "Read on")] == told(checked.findings)
    blank = check_rows(batch={**BATCH, "Read on": None})
    assert [("note", "Batch!B8", "Read on")] == told(blank.findings)


@pytest.mark.parametrize("day", [RECEIVED, TODAY])
def test_the_readings_may_be_of_any_day_from_received_to_today(day):
    checked = check_rows(batch={**BATCH, "Read on": day, "Read by": "Bench 2"})
    assert checked.batch is not None
    assert (day, "Bench 2", ()) == (checked.batch.reading_day, checked.batch.reader, checked.findings)


def test_calibration_is_held_against_the_day_of_the_readings():
    batch = {**BATCH, "Read on": date(2026, 11, 23), "Calibration due": date(2026, 11, 22)}
    (finding,) = check_rows(batch=batch).findings
    assert "due 2026-11-22, read 2026-11-23" in finding.message


def test_the_new_fields_are_read():
    more = {
        "Region": "California",
        "Incoming note": "N-17",
        "Incoming carrier": "Carrier 4",
        "Received at": "14:30",
    }
    batch = check_rows(batch={**BATCH, **more}).batch
    assert batch is not None
    assert ("California", "N-17", "Carrier 4", time(14, 30)) == (
        batch.region,
        batch.incoming_note,
        batch.incoming_carrier,
        batch.received_at,
    )
    assert batch.inspector == batch.reader
