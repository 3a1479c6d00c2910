"""The ``Batch`` sheet: labels and values, typed, with the findings that concern the batch as a whole."""

from datetime import date, timedelta
from typing import Any

from intake.checks.cells.dates import DateOrder, DateSpan
from intake.checks.field_sheet import Field, read_fields, read_values
from intake.checks.finding_log import CORRECT_ONE, GRACE_DAYS, FindingLog, Spot, in_the_future
from intake.model.raw_workbook import RawSheet
from intake.policy.dictionary import Sheet
from intake.policy.grading_policy import GradingPolicy, Meter


def read_batch_sheet(
    sheet: RawSheet,
    wanted: Sheet,
    log: FindingLog,
    *,
    today: date,
    date_order: DateOrder | None,
    policy: GradingPolicy,
) -> tuple[dict[str, Any], dict[str, Field]]:
    """Return the values of the sheet by key and the fields that were found.

    What is blank or cannot be used is left out of the values.
    """
    fields = read_fields(sheet, wanted, log)
    unbounded = read_values(wanted, fields, FindingLog(log.sheet, log.order), date_order=date_order)
    spans = _spans(unbounded, today=today)
    values = read_values(wanted, fields, log, date_order=date_order, spans=spans)
    _check_dates(values, fields, log, today=today)
    _note_reading_day(values, fields, log)
    _note_assumed_accuracy(fields, wanted, log, policy.meter)
    return values, fields


def _spans(values: dict[str, Any], *, today: date) -> dict[str, DateSpan]:
    """Return which days the batch's dates can be, each judged by the others.

    Today bounds Received alone: without it no document is written, and none may depend on the clock.
    """
    received, ship_date = values.get("received"), values.get("ship_date")
    soon = today if today == date.max else today + timedelta(days=GRACE_DAYS)
    return {
        "received": DateSpan(latest=ship_date if ship_date and ship_date < soon else soon),
        "read_on": DateSpan(received, ship_date),
        "ship_date": DateSpan(earliest=received),
    }


def _check_dates(values: dict[str, Any], fields: dict[str, Field], log: FindingLog, *, today: date) -> None:
    received: date | None = values.get("received")
    if received is None:
        return
    if fault := in_the_future(received, today=today):
        log.reject(fault, "Write the day on which the batch came in.", fields["received"].spot)
        return
    log.warn_of_tomorrow(received, fields["received"].spot, today=today)
    ship_date = values.get("ship_date")
    if ship_date is not None and ship_date < received:
        log.warn(
            f"{ship_date.isoformat()} is before Received, {received.isoformat()}. The value is left blank.",
            CORRECT_ONE,
            fields["ship_date"].spot,
        )
        del values["ship_date"]
    _check_read_on(values, fields, log, received=received, today=today)


def _check_read_on(
    values: dict[str, Any], fields: dict[str, Field], log: FindingLog, *, received: date, today: date
) -> None:
    read_on: date | None = values.get("read_on")
    ship_date: date | None = values.get("ship_date")
    if read_on is None:
        return
    if read_on < received:
        fault = f"{read_on.isoformat()} is before Received, {received.isoformat()}."
    elif ship_date is not None and read_on > ship_date:
        fault = f"{read_on.isoformat()} is after Ship date, {ship_date.isoformat()}."
    else:
        fault = in_the_future(read_on, today=today)
    if fault:
        log.reject(fault, "Write the day on which the batteries were read.", fields["read_on"].spot)
    else:
        log.warn_of_tomorrow(read_on, fields["read_on"].spot, today=today)


def _note_reading_day(values: dict[str, Any], fields: dict[str, Field], log: FindingLog) -> None:
    field, received = fields.get("read_on"), values.get("received")
    if received is not None and (field is None or field.value is None):
        log.note(
            f"Blank; the day of the readings is taken as {received.isoformat()}, the day received.",
            "Write the day if the batteries were read later.",
            field.spot if field else Spot(field="Read on"),
        )


def _note_assumed_accuracy(fields: dict[str, Field], wanted: Sheet, log: FindingLog, meter: Meter) -> None:
    assumed = {
        "meter_accuracy_percent": f"{meter.assumed_accuracy_percent.value:g} % of the reading",
        "meter_accuracy_volts": f"{meter.assumed_accuracy_volts.value:g} V",
    }
    for column in wanted.columns:
        field = fields.get(column.key)
        if column.key in assumed and (field is None or field.value is None):
            log.note(
                f"Blank; {assumed[column.key]} is assumed.",
                "Copy the figure from the meter's data sheet: a better meter leaves fewer undecided.",
                field.spot if field else Spot(field=column.header),
            )
