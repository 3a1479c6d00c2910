"""Rules within one row: readings that belong together, and in which order."""

from intake.checks.battery_draft import GROUP_SIZES, TIMES_FOR, BatteryDraft
from intake.checks.finding_log import CORRECT_ONE, FindingLog
from intake.model.battery import HoldReading
from intake.model.shown import shown_h
from intake.policy.dictionary import load_dictionary

_TOGETHER = (
    ("hold_start_v", "hold_start_after_h"),
    ("hold_end_v", "hold_end_after_h"),
    ("load_current_a", "load_time_s", "load_voltage_v"),
)
"""Given all or none."""
_NEEDS = {"discharge_time_h": "delivered_capacity_ah"}
"""The first is of no use without the second; the second may stand alone."""


def check_row(draft: BatteryDraft, log: FindingLog) -> None:
    """Apply every rule of one row and gather its hold readings."""
    for slots in _TOGETHER:
        _check_together(draft, slots, log)
    for slot, partner in _NEEDS.items():
        if draft.given(slot) and not draft.given(partner):
            _fail_alone(draft, slot, [partner], log)
    for key, size in GROUP_SIZES.items():
        _check_group(draft, key, size, log)
    _gather_hold(draft, log)


def _check_together(draft: BatteryDraft, slots: tuple[str, ...], log: FindingLog) -> None:
    given = [slot for slot in slots if draft.given(slot)]
    missing = [slot for slot in slots if slot not in given and not _faulted(draft, slot)]
    if given and missing:
        _fail_alone(draft, given[0], missing, log)


def _faulted(draft: BatteryDraft, slot: str) -> bool:
    """Return whether hours were to come from a time that has failed for want of the other."""
    return slot in TIMES_FOR and draft.given(TIMES_FOR[slot][1])


def _fail_alone(draft: BatteryDraft, slot: str, missing: list[str], log: FindingLog) -> None:
    needed = " and ".join(f'"{_header(one)}"' for one in missing)
    draft.fail(
        f"The value is given without {needed}.",
        "Fill in what is missing, or empty this cell if nothing was measured.",
        draft.spot(slot),
        log,
    )


def _header(key: str) -> str:
    return next(one.header for one in load_dictionary().sheets["batteries"].columns if one.key == key)


def _check_group(draft: BatteryDraft, key: str, size: int, log: FindingLog) -> None:
    slots = [f"{key} {place}" for place in range(1, size + 1)]
    given = [slot for slot in slots if draft.given(slot)]
    used = any(slot in draft.values for slot in given)
    if used and len(given) < size:
        draft.fail(
            f"{len(given)} of {size} values are given; expected all {size} or none.",
            "Measure the cells that are missing, or empty the others.",
            draft.row.spot(given[0], draft.tag),
            log,
        )


def _gather_hold(draft: BatteryDraft, log: FindingLog) -> None:
    """Take the row's own hold readings; an end that is no later than the start is an error."""
    start = _hold_reading(draft, "hold_start")
    end = _hold_reading(draft, "hold_end")
    start_h, end_h = draft.values.get("hold_start_after_h"), draft.values.get("hold_end_after_h")
    if start_h is not None and end_h is not None and end_h <= start_h:
        draft.fail(
            f"The hold ends at {shown_h(end_h)} h and starts at {shown_h(start_h)} h; "
            "expected an end after the start.",
            f"Both are counted from the end of charge. {CORRECT_ONE}",
            draft.spot("hold_end_after_h"),
            log,
        )
        end = None
    draft.hold = [reading for reading in (start, end) if reading]


def _hold_reading(draft: BatteryDraft, end: str) -> HoldReading | None:
    voltage_v, after_h = draft.values.get(f"{end}_v"), draft.values.get(f"{end}_after_h")
    if voltage_v is None or after_h is None:
        return None
    return HoldReading(after_h, voltage_v, read_at=draft.values.get(f"{end}_read_at"))
