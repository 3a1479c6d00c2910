"""The days of the readings against arrival, leaving and today, and against the meter's calibration."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from intake.checks.battery_draft import BatteryDraft
from intake.checks.finding_log import CORRECT_ONE, FindingLog, Spot, in_the_future
from intake.model.battery import Batch
from intake.model.shown import shown_h

_READ_AT = ("rest_read_at", "hold_start_read_at", "hold_end_read_at")


def check_reading_days(
    draft: BatteryDraft, log: FindingLog, *, fields: Mapping[str, Any], today: date
) -> None:
    """Fail a battery with a reading before Received, after Ship date or in the future, or too soon to be.

    Parameters
    ----------
    fields
        The values of the Batch sheet by key.
    """
    received: date | None = fields.get("received")
    if received is None:
        return
    for spot, moment in _moments(draft):
        fault = _fault(moment.date(), received, fields.get("ship_date"), today)
        if fault:
            draft.fail(fault, CORRECT_ONE, spot, log)
        else:
            log.warn_of_tomorrow(moment.date(), spot, today=today)
    _check_hold_can_have_ended(draft, log, received=received, read_on=fields.get("read_on"))


def _moments(draft: BatteryDraft) -> Iterator[tuple[Spot, datetime]]:
    for slot in _READ_AT:
        if isinstance(draft.values.get(slot), datetime):
            yield draft.row.spot(slot, draft.tag), draft.values[slot]
    written = {draft.values.get(slot) for slot in _READ_AT}
    for one in draft.hold:
        if one.read_at is not None and one.read_at not in written:
            yield Spot(draft.row.number, tag=draft.tag, field="Hold readings"), one.read_at


def _fault(day: date, received: date, ship_date: date | None, today: date) -> str:
    if day < received:
        return f"It was read on {day.isoformat()}, before Received, {received.isoformat()}."
    if ship_date is not None and day > ship_date:
        return f"It was read on {day.isoformat()}, after Ship date, {ship_date.isoformat()}."
    return in_the_future(day, today=today)


def _check_hold_can_have_ended(
    draft: BatteryDraft, log: FindingLog, *, received: date, read_on: date | None
) -> None:
    """Fail hours after a charge that had not passed by Read on; without that day nothing is judged."""
    if read_on is None or not draft.hold or "charge_ended" in draft.values:
        return
    last = max(draft.hold, key=lambda one: one.after_charge_h)
    soonest = datetime.combine(received, time()) + timedelta(hours=last.after_charge_h)
    if last.read_at is None and soonest.date() > read_on:
        slot = "hold_end_after_h" if "hold_end_after_h" in draft.row.columns else "tag"
        draft.fail(
            f"{shown_h(last.after_charge_h)} h after a charge cannot have passed by Read on, "
            f"{read_on.isoformat()}: the battery came in on {received.isoformat()}.",
            "Correct the hours, Received or Read on, or write the times themselves.",
            draft.row.spot(slot, draft.tag),
            log,
        )


def check_calibration(batch: Batch, log: FindingLog, spot: Spot) -> None:
    """Warn of a meter whose calibration was due before the latest reading that it took."""
    due, latest = batch.calibration_due, batch.latest_reading_day
    if due is not None and due < latest:
        log.warn(
            f"The meter was past its calibration on the day: due {due.isoformat()}, read"
            f" {latest.isoformat()}.",
            "Have the meter calibrated and read the batteries again, or correct the date.",
            spot,
        )
