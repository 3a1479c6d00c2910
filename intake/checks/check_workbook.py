"""A raw workbook in, a typed batch and all findings out."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import NamedTuple

from intake.checks.batch_sheet import read_batch_sheet
from intake.checks.battery_draft import BatteryDraft
from intake.checks.battery_rows import read_battery_rows
from intake.checks.cells.dates import DateOrder, DateSpan
from intake.checks.cross_checks import check_battery, note_assumed
from intake.checks.find_columns import find_columns
from intake.checks.find_sheets import Place, find_sheets
from intake.checks.finding_log import FindingLog, TooManyFindings
from intake.checks.hold_readings import TimeWords, fill_temperatures, join_hold_readings
from intake.checks.list_rows import ListRow, list_rows, note_hidden
from intake.checks.price_cover import check_cover
from intake.checks.price_rows import PricedRow, read_prices
from intake.checks.reading_days import check_calibration, check_reading_days
from intake.model.battery import Batch
from intake.model.finding import Finding, in_sheet_order
from intake.model.raw_workbook import RawWorkbook
from intake.policy.grading_policy import GradingPolicy


class CheckedWorkbook(NamedTuple):
    """What a workbook holds. ``batch`` None: a finding rejects it."""

    batch: Batch | None
    findings: tuple[Finding, ...]
    of_today: tuple[Finding, ...] = ()
    """Warnings that hold on the day of the run alone: for the screen, never for a document."""


def check_workbook(
    raw: RawWorkbook,
    *,
    today: date,
    date_order: DateOrder | None,
    policy: GradingPolicy,
    rules_folder: Path | None = None,
) -> CheckedWorkbook:
    """Check and type a workbook; every problem is a finding, nothing is raised for what it holds.

    Parameters
    ----------
    today
        to tell whether Received lies in the future.
    date_order
        what ``03/04/2021`` means; None: such a date is refused.
    rules_folder
        a site's own rule data, whose jurisdictions may be named.
    """
    whole = FindingLog("", 0)
    places = find_sheets(raw, whole, workbook="batch", rules_folder=rules_folder)
    logs = [whole, *(place.log for place in places.values())]
    try:
        batch = _read_batch(places, logs, today=today, date_order=date_order, policy=policy)
    except TooManyFindings as too_many:
        batch = None
        whole.reject(
            str(too_many),
            "Check that each column holds what its header says, or start from the blank workbook.",
        )
    return CheckedWorkbook(
        batch,
        in_sheet_order([one for log in logs for one in log.found]),
        in_sheet_order([one for log in logs for one in log.of_today]),
    )


def _read_batch(
    places: Mapping[str, Place],
    logs: Sequence[FindingLog],
    *,
    today: date,
    date_order: DateOrder | None,
    policy: GradingPolicy,
) -> Batch | None:
    """Return the typed batch; None where a finding rejects the workbook."""
    fields, found = (
        read_batch_sheet(
            places["batch"].raw,
            places["batch"].wanted,
            places["batch"].log,
            today=today,
            date_order=date_order,
            policy=policy,
        )
        if "batch" in places
        else ({}, {})
    )
    reading_day = fields.get("read_on", fields.get("received"))
    times = TimeWords(date_order, reading_day, DateSpan(fields.get("received"), fields.get("ship_date")))
    drafts = _batteries(places, times)
    _join_hold(places, drafts, times)
    if "batteries" in places:
        log = places["batteries"].log
        for draft in drafts:
            fill_temperatures(draft)
            check_reading_days(draft, log, fields=fields, today=today)
            check_battery(draft, log, received=fields.get("received"), policy=policy)
        note_assumed(drafts, log, policy)
    priced = _prices(places, fields.get("currency"))
    if "prices" in places:
        check_cover(priced, drafts, places["prices"].log)
    if any(one.rejects for log in logs for one in log.found):
        return None
    batch = Batch(
        **fields,
        batteries=tuple(draft.finished() for draft in drafts),
        prices=tuple(one.price for one in priced),
    )
    if batch.calibration_due is not None:
        check_calibration(batch, places["batch"].log, found["calibration_due"].spot)
    return batch


def batch_name(raw: RawWorkbook, *, policy: GradingPolicy) -> str | None:
    """Return the name on the ``Batch`` sheet, None where it cannot be used; nothing else is judged."""
    place = find_sheets(raw, FindingLog("", 0), workbook="batch").get("batch")
    if place is None:
        return None
    try:
        fields, _ = read_batch_sheet(
            place.raw, place.wanted, place.log, today=date.max, date_order=None, policy=policy
        )
    except TooManyFindings:
        return None
    name: str | None = fields.get("batch")
    return name


def _rows(place: Place, *, required: bool) -> Iterator[ListRow] | None:
    """Return the rows of a list sheet; None where its headers were not found."""
    columns = find_columns(place.raw, place.wanted, place.log, required=required)
    return None if columns is None else list_rows(place.raw, columns, place.log)


def _batteries(places: Mapping[str, Place], times: TimeWords) -> list[BatteryDraft]:
    place = places.get("batteries")
    if place is None:
        return []
    rows = _rows(place, required=True) if place.raw.rows else iter(())
    if rows is None:
        return []
    drafts = read_battery_rows(
        rows, place.log, date_order=times.date_order, reading_day=times.reading_day, days=times.days
    )
    if not drafts:
        place.log.reject("The sheet holds no battery.", "Fill in one row per battery below the headers.")
    note_hidden(place.raw, [draft.row for draft in drafts], place.log)
    return drafts


def _join_hold(places: Mapping[str, Place], drafts: list[BatteryDraft], times: TimeWords) -> None:
    place = places.get("hold_readings")
    if place is not None and place.raw.rows:
        join_hold_readings(
            _rows(place, required=True) or (),
            drafts,
            place.log,
            times=times,
        )


def _prices(places: Mapping[str, Place], currency: str | None) -> tuple[PricedRow, ...]:
    place = places.get("prices")
    if place is None or not place.raw.rows:
        return ()
    rows = _rows(place, required=False) or ()
    return read_prices(
        (row for row in rows if "chemistry" in row.place.columns), place.log, currency=currency
    )
