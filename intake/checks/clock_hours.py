"""Hours worked out from two clock times of one row."""

from datetime import date, datetime, timedelta

from intake.checks.battery_draft import TIMES_FOR, BatteryDraft
from intake.checks.cells.times import WrittenTime
from intake.checks.finding_log import FindingLog
from intake.model.battery import Battery
from intake.model.shown import shown_h
from intake.policy.dictionary import load_dictionary

_APART_H, _APART_SHARE = 0.1, 0.02
"""Hours that were written and worked out may differ by either."""
_DECIMALS = 9
_AN_HOUR = timedelta(hours=1)
_WITH_DAYS = "Write the day beside each time, such as 2026-11-20 16:30."


def work_out_hours(draft: BatteryDraft, log: FindingLog, *, reading_day: date | None) -> None:
    """Give each time its day, and fill hours that were left blank; faults become row errors.

    Parameters
    ----------
    reading_day
        the day of a time that was written without one; None where it is not known.
    """
    undated = _give_days(draft, reading_day)
    for slot, (began_slot, ended_slot) in TIMES_FOR.items():
        began, ended = draft.values.get(began_slot), draft.values.get(ended_slot)
        if began is None or ended is None:
            _check_alone(draft, slot, log)
        elif ended < began:
            days = (
                f"; a time without a day counts as {reading_day}"
                if undated & {began_slot, ended_slot}
                else ""
            )
            draft.fail(
                f"It was read at {shown(ended)}, before {_header(began_slot)}, {shown(began)}{days}.",
                _WITH_DAYS,
                draft.row.spot(ended_slot, draft.tag),
                log,
            )
        else:
            _take(draft, slot, began, ended, log)


def shown(moment: datetime) -> str:
    """Return a time as printed, to the minute."""
    return moment.isoformat(sep=" ", timespec="minutes")


def subtraction(began: datetime, ended: datetime) -> str:
    """Return the difference of two times as people check it: ``2026-11-21 08:00 − … = 15.5 h``."""
    return f"{shown(ended)} − {shown(began)} = {hours_between(began, ended):.4g} h"


def hours_in_words(battery: Battery) -> list[str]:
    """Return each subtraction that gave hours of a battery, for its trace."""
    lines = []
    if battery.rest_began is not None and battery.rest_read_at is not None:
        lines.append(f"rested: {subtraction(battery.rest_began, battery.rest_read_at)}")
    if battery.charge_ended is not None:
        lines += [
            f"hold read after: {subtraction(battery.charge_ended, one.read_at)}"
            for one in battery.hold_readings
            if one.read_at is not None
        ]
    return lines


def hours_between(began: datetime, ended: datetime) -> float:
    """Return the hours from one time to another."""
    return round((ended - began) / _AN_HOUR, _DECIMALS)


def far_apart(written_h: float, worked_out_h: float) -> bool:
    """Return whether hours that were written do not fit the times."""
    apart = round(abs(written_h - worked_out_h), _DECIMALS)
    return apart > _APART_H and apart > round(_APART_SHARE * worked_out_h, _DECIMALS)


def _give_days(draft: BatteryDraft, reading_day: date | None) -> set[str]:
    """Turn each written time into a moment; return the slots that had no day."""
    undated = set()
    for slot, value in tuple(draft.values.items()):
        if isinstance(value, WrittenTime):
            if value.day is None:
                undated.add(slot)
            if value.day is None and reading_day is None:
                del draft.values[slot]
            else:
                draft.values[slot] = value.on(reading_day or date.min)
    return undated


def _check_alone(draft: BatteryDraft, slot: str, log: FindingLog) -> None:
    """Fail a time of a reading that has neither its hours nor the time that it is counted from."""
    began_slot, ended_slot = TIMES_FOR[slot]
    if draft.given(slot):
        return
    if draft.given(ended_slot):
        _fail_alone(draft, ended_slot, began_slot, log)
    elif draft.given(began_slot) and slot == "rested_h":
        _fail_alone(draft, began_slot, ended_slot, log)


def _fail_alone(draft: BatteryDraft, slot: str, missing: str, log: FindingLog) -> None:
    draft.fail(
        f'The time is given without "{_header(missing)}".',
        "Fill in the other time, or write the hours themselves and empty this cell.",
        draft.row.spot(slot, draft.tag),
        log,
    )


def _take(draft: BatteryDraft, slot: str, began: datetime, ended: datetime, log: FindingLog) -> None:
    hours = hours_between(began, ended)
    written = draft.values.get(slot)
    column = next(one for one in load_dictionary().sheets["batteries"].columns if one.key == slot)
    if written is not None and far_apart(written, hours):
        draft.fail(
            f"{shown_h(written)} h is given, but {subtraction(began, ended)}.",
            "Correct whichever is wrong, or empty this cell: the times are enough.",
            draft.row.spot(slot, draft.tag),
            log,
        )
    elif column.maximum is not None and hours > column.maximum:
        draft.fail(
            f"{subtraction(began, ended)}; expected {column.maximum:,g} h at most.",
            "Correct the day of the time that is wrong.",
            draft.row.spot(TIMES_FOR[slot][1], draft.tag),
            log,
        )
    elif slot not in draft.row.filled:
        draft.values[slot] = hours


def _header(slot: str) -> str:
    return next(one.header for one in load_dictionary().sheets["batteries"].columns if one.key == slot)
