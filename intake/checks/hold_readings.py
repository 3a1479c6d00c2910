"""The ``Hold readings`` sheet, joined to the batteries' own readings."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import NamedTuple, cast

from intake.checks.battery_draft import BatteryDraft
from intake.checks.battery_rows import for_chemistry
from intake.checks.cells.cell_text import quoted
from intake.checks.cells.dates import ANY_DAY, DateOrder, DateSpan
from intake.checks.cells.parsed_cell import Unreadable
from intake.checks.cells.read_cell import read_cell
from intake.checks.cells.read_text import fill_in
from intake.checks.cells.times import WrittenTime
from intake.checks.clock_hours import far_apart, hours_between, shown, subtraction
from intake.checks.finding_log import EMPTY_CELL, NO_TAG, FindingLog, Spot
from intake.checks.list_rows import ListRow
from intake.model.battery import HoldReading
from intake.model.finding import Severity
from intake.model.shown import shown_c, shown_h

_DECIMALS = 9
"""Hours and volts are compared after rounding, so that 30 min is 0.5 h."""


class TimeWords(NamedTuple):
    """What a written time means at this site."""

    date_order: DateOrder | None
    reading_day: date | None
    """Of a time without a day; None where it is not known."""
    days: DateSpan = ANY_DAY
    """From Received to Ship date: what an ambiguous day can be."""


def join_hold_readings(
    rows: Iterable[ListRow], drafts: list[BatteryDraft], log: FindingLog, *, times: TimeWords
) -> None:
    """Add the readings of ``rows`` to the batteries they name; faults become row errors there."""
    by_tag: dict[str, BatteryDraft] = {}
    for draft in drafts:
        if draft.tag_was_read:
            by_tag.setdefault(draft.tag.casefold(), draft)
    hours: dict[str, dict[float, int]] = {}
    for row in rows:
        reached = _battery_of(row, by_tag, log)
        if reached is not None:
            if reached.tag not in hours:
                places = {_rounded(one.after_charge_h): place for place, one in enumerate(reached.hold)}
                hours[reached.tag] = places
            _join(row, reached, hours[reached.tag], log, times)


def fill_temperatures(draft: BatteryDraft) -> None:
    """Give each reading without a temperature the row's Hold temperature, else its Temperature."""
    fallback = draft.values.get("hold_temperature_c", draft.values.get("temperature_c"))
    draft.hold = [
        one._replace(temperature_c=fallback) if one.temperature_c is None else one for one in draft.hold
    ]


def _battery_of(row: ListRow, by_tag: dict[str, BatteryDraft], log: FindingLog) -> BatteryDraft | None:
    if "tag" not in row.place.columns:
        return None
    cell = row.cells.get("tag")
    if cell is None:
        _reaches_none(log, NO_TAG, "Write the battery's tag.", row.place.spot("tag"))
        return None
    outcome = read_cell(cell, row.place.columns["tag"].column)
    if isinstance(outcome, Unreadable):
        _reaches_none(log, outcome.message, outcome.hint, row.place.spot("tag"))
        return None
    tag = str(outcome.value)
    draft = by_tag.get(tag.casefold())
    if draft is None:
        message = f"No battery on the Batteries sheet has the tag {quoted(tag)}."
        _reaches_none(log, message, "Correct the tag here or there.", row.place.spot("tag", tag))
    return draft


def _reaches_none(log: FindingLog, message: str, hint: str, spot: Spot) -> None:
    log.add(Severity.ERROR, f"{message} This reading reaches no battery.", hint, spot)


def _join(
    row: ListRow, draft: BatteryDraft, hours: dict[float, int], log: FindingLog, times: TimeWords
) -> None:
    """Add the reading of a row; ``hours``: where in the battery's readings each hour stands."""
    read_at = _read_at(row, draft, log, times)
    after_h = _after_charge(row, draft, read_at, log)
    voltage_v = _number(row, "voltage_v", draft, log)
    temperature_c = _number(row, "temperature_c", draft, log)
    if after_h is None or voltage_v is None:
        return
    new = HoldReading(after_h, voltage_v, temperature_c, read_at, _read_by(row, draft, log))
    place = hours.setdefault(_rounded(after_h), len(draft.hold))
    if place == len(draft.hold):
        draft.hold.append(new)
        return
    twin = draft.hold[place]
    if _same(twin.voltage_v, voltage_v) and _agree(twin.temperature_c, temperature_c):
        draft.hold[place] = twin._replace(
            temperature_c=temperature_c if twin.temperature_c is None else twin.temperature_c
        )
    else:
        draft.fail(
            f"Another reading at {shown_h(after_h)} h differs: {_words(twin)} there, {_words(new)} here.",
            "Delete the one that is wrong, or correct its hour.",
            row.place.spot("voltage_v", draft.tag),
            log,
        )


def _read_at(row: ListRow, draft: BatteryDraft, log: FindingLog, times: TimeWords) -> datetime | None:
    found, cell = row.place.columns.get("read_at"), row.cells.get("read_at")
    if found is None or cell is None:
        return None
    outcome = read_cell(cell, found.column, date_order=times.date_order, span=times.days)
    if isinstance(outcome, Unreadable):
        draft.fail(outcome.message, outcome.hint, row.place.spot("read_at", draft.tag), log)
        return None
    written = cast(WrittenTime, outcome.value)
    day = written.day or times.reading_day
    return None if day is None else written.on(day)


def _after_charge(
    row: ListRow, draft: BatteryDraft, read_at: datetime | None, log: FindingLog
) -> float | None:
    """Return the hours as written, else from the end of charge to the reading's time."""
    written = _number(row, "after_charge_h", draft, log)
    if "after_charge_h" in row.cells and (written is None or read_at is None):
        return written
    ended = draft.values.get("charge_ended")
    if read_at is None:
        columns = row.place.columns
        if "after_charge_h" not in columns and "read_at" in columns and "read_at" not in row.cells:
            spot = row.place.spot("read_at", draft.tag)
            draft.fail("The reading has no time.", "Write the day and time at which it was read.", spot, log)
        return None
    spot = row.place.spot("read_at", draft.tag)
    if ended is None:
        if written is None:
            draft.fail(
                'The time is given without "Charge ended" on the Batteries sheet.',
                "Fill in Charge ended there, or write the hours after the charge here.",
                spot,
                log,
            )
        return written
    if read_at < ended:
        draft.fail(
            f"It was read at {shown(read_at)}, before Charge ended, {shown(ended)}.",
            "Write the day beside each time, such as 2026-11-20 16:30.",
            spot,
            log,
        )
        return None
    hours = hours_between(ended, read_at)
    if written is not None and far_apart(written, hours):
        draft.fail(
            f"{shown_h(written)} h is given, but {subtraction(ended, read_at)}.",
            "Correct whichever is wrong, or empty one of the two cells.",
            row.place.spot("after_charge_h", draft.tag),
            log,
        )
        return None
    return hours if written is None else written


def _read_by(row: ListRow, draft: BatteryDraft, log: FindingLog) -> str | None:
    found, cell = row.place.columns.get("read_by"), row.cells.get("read_by")
    if found is None or cell is None:
        return None
    spot = row.place.spot("read_by", draft.tag)
    outcome = read_cell(cell, found.column)
    if isinstance(outcome, Unreadable):
        log.warn_blank(outcome, spot)
        return None
    log.remark(outcome.remarks, spot)
    return cast(str, outcome.value)


def _number(row: ListRow, slot: str, draft: BatteryDraft, log: FindingLog) -> float | None:
    found = row.place.columns.get(slot)
    if found is None:
        return None
    spot = row.place.spot(slot, draft.tag)
    cell = row.cells.get(slot)
    if cell is None:
        if found.column.needed and found.column.instead not in row.cells:
            draft.fail(EMPTY_CELL, fill_in(found.column), spot, log)
        return None
    column = for_chemistry(found.column, draft.chemistry)
    outcome = read_cell(cell, column, header_unit=found.header_unit)
    if isinstance(outcome, Unreadable):
        draft.fail(outcome.message, outcome.hint, spot, log)
        return None
    log.remark(outcome.remarks, spot)
    return cast(float, outcome.value)


def _same(one: float, other: float) -> bool:
    return _rounded(one) == _rounded(other)


def _rounded(figure: float) -> float:
    return round(figure, _DECIMALS)


def _agree(one: float | None, other: float | None) -> bool:
    return one is None or other is None or _same(one, other)


def _words(reading: HoldReading) -> str:
    temperature = "" if reading.temperature_c is None else f" at {shown_c(reading.temperature_c)} °C"
    return f"{reading.voltage_v:g} V{temperature}"
