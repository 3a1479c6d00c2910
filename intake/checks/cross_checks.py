"""Readings against each other and against the batch: what disagrees is a warning, what is assumed a note."""

from collections.abc import Sequence
from datetime import date
from itertools import pairwise
from statistics import fmean

from dateutil.relativedelta import relativedelta

from intake.checks.battery_draft import BatteryDraft
from intake.checks.clock_hours import hours_between
from intake.checks.finding_log import CORRECT_ONE, FindingLog, Spot
from intake.model.battery import WHOLE_CASES, Chemistry, MadeDate, Use
from intake.model.shown import shown_h
from intake.policy.damage_words import damage_words, in_quotes
from intake.policy.grading_policy import GradingPolicy

_MONTHS_A_YEAR = 12
_DECIMALS = 9
"""Differences are compared after rounding, so that 12.75 - 12.5 is 0.25."""
_TAGS_NAMED = 5


def check_battery(
    draft: BatteryDraft, log: FindingLog, *, received: date | None, policy: GradingPolicy
) -> None:
    """Warn of readings of one battery that do not fit together or with the day it came in."""
    if received is not None:
        _check_made(draft, log, received, policy)
    _check_readings(draft, log)
    _check_gravity(draft, log, policy)
    _check_cells(draft, log, policy)
    _check_note(draft, log)
    _check_rest_after_hold(draft, log)
    _check_lithium_at_rest(draft, log)


def _check_rest_after_hold(draft: BatteryDraft, log: FindingLog) -> None:
    """Warn of a rest voltage that its times put after the hold readings, where no rule counts it.

    A test between the two explains it: its rest is another one.
    """
    ended, read_at = draft.values.get("charge_ended"), draft.values.get("rest_read_at")
    tested = any(key in draft.values for key in _STRENGTH)
    if "rest_voltage_v" not in draft.values or ended is None or read_at is None or not draft.hold or tested:
        return
    last_h = max(one.after_charge_h for one in draft.hold)
    rest_h = hours_between(ended, read_at)
    if round(rest_h - last_h, _DECIMALS) > _SAME_READING_H:
        log.warn(
            f"Rest voltage was read {shown_h(rest_h)} h after the charge ended, after its hold readings: the"
            f" last of them is at {shown_h(last_h)} h. The hold is judged without it.",
            "If nothing has charged or loaded the battery since that charge, it belongs on the Hold readings"
            " sheet: write it there with its hours.",
            draft.row.spot("rest_voltage_v", draft.tag),
        )


_SAME_READING_H = 0.1
"""Hours after the last hold reading from which a rest voltage is another reading: as exact as times are."""


def _check_lithium_at_rest(draft: BatteryDraft, log: FindingLog) -> None:
    """Warn of an LFP block that rests higher than a full one was measured to."""
    volts, rested_h = draft.values.get("rest_voltage_v"), draft.values.get("rested_h")
    if draft.chemistry is not Chemistry.LFP or volts is None or rested_h is None:
        return
    if volts > _FULL_LFP_RESTS_V and rested_h >= _LFP_SETTLED_H:
        log.warn(
            f"{volts:.2f} V after {shown_h(rested_h)} h of rest is more than a full LFP block was measured to"
            f" hold, {_FULL_LFP_RESTS_V:g} V: a charger may still be on it, or it is not LFP.",
            "Take off whatever is connected, read the label, and read the voltage again after"
            f" {_LFP_SETTLED_H:g} h.",
            draft.row.spot("rest_voltage_v", draft.tag),
        )


_FULL_LFP_RESTS_V = 14.34
"""Four cells at 3.585 V, the most at which full ones rested, 2 h after a charge at constant voltage (open
research data set of 2.06 Ah LFP/graphite cells)."""
_LFP_SETTLED_H = 3.0
"""Rest after which an LFP block has settled (Theuerkauf and Swan, Batteries 8(8) 77, 2022)."""


def _check_note(draft: BatteryDraft, log: FindingLog) -> None:
    """Warn of a note that speaks of damage beside a case that is read as whole: the case decides."""
    case, words = draft.values.get("case"), damage_words(draft.values.get("note") or "")
    if case in WHOLE_CASES and words:
        log.warn(
            f"The note says {in_quotes(words)}, but Case is {case}."
            " Grade and handling follow Case, not the note.",
            "Look at the battery again and correct Case or Terminals if the note is right; keep it apart "
            "until then.",
            draft.row.spot("note", draft.tag),
        )


_SAYS_SOMETHING = (
    "rest_voltage_v",
    "load_voltage_v",
    "measured_cca_a",
    "delivered_capacity_ah",
    "internal_resistance_mohm",
)
_STRENGTH = ("load_voltage_v", "measured_cca_a", "delivered_capacity_ah")
_NEEDS_NO_READING = frozenset({"cracked", "leaking", "swollen", "burnt"})
"""Cases that decide by themselves."""


def _check_readings(draft: BatteryDraft, log: FindingLog) -> None:
    """Warn of a battery that was tagged and examined, but not measured."""
    values = draft.values
    settled = (
        values.get("case") in _NEEDS_NO_READING
        or values.get("under_recall")
        or values.get("use") == Use.UNUSED_DRY
        or draft.chemistry in (Chemistry.UNKNOWN, Chemistry.OTHER)
    )
    measured = draft.hold or draft.gravities or draft.cells_v or any(key in values for key in _SAYS_SOMETHING)
    if not (settled or measured or draft.errors):
        there = "rest_voltage_v" in draft.row.columns
        log.warn(
            "It will be unresolved: no voltage.",
            "Read the rest voltage, with the hours of rest and the temperature beside it.",
            draft.row.spot("rest_voltage_v", draft.tag) if there else Spot(draft.row.number, tag=draft.tag),
        )


def _check_made(draft: BatteryDraft, log: FindingLog, received: date, policy: GradingPolicy) -> None:
    made: MadeDate | None = draft.values.get("made")
    if made is None:
        return
    spot = draft.row.spot("made", draft.tag)
    old_years = policy.cross_checks.age_warning_years.value
    if made.earliest > received:
        log.warn(
            f"{made.text} is after Received, {received.isoformat()}. The value is left blank.",
            CORRECT_ONE,
            spot,
        )
        del draft.values["made"]
    elif received > made.latest + _span(old_years):
        log.warn(
            f"{made.text} is more than {old_years:g} years before Received, {received.isoformat()}.",
            "Look at it with care; the grade rests on the readings alone.",
            spot,
        )


def _span(years: float) -> relativedelta:
    return relativedelta(months=round(years * _MONTHS_A_YEAR))


def _check_gravity(draft: BatteryDraft, log: FindingLog, policy: GradingPolicy) -> None:
    gravities, rest_v = draft.gravities, draft.values.get("rest_voltage_v")
    if not gravities or rest_v is None:
        return
    mean = fmean(gravities)
    cross = policy.cross_checks
    most_v = cross.gravity_against_rest_v.value
    expected_v = bode_block_voltage_v(specific_gravity=mean, points=cross.gravity_to_block_v.points)
    if _differ(expected_v, rest_v, most_v):
        log.warn(
            f"{rest_v:g} V does not fit the specific gravity: {mean:.3f} on average stands for about"
            f" {expected_v:.2f} V, and more than {most_v:g} V apart is too much.",
            "Read voltage and gravity again after a rest.",
            draft.row.spot("rest_voltage_v", draft.tag),
        )


def _check_cells(draft: BatteryDraft, log: FindingLog, policy: GradingPolicy) -> None:
    cells_v, rest_v = draft.cells_v, draft.values.get("rest_voltage_v")
    if not cells_v or rest_v is None:
        return
    most_v = policy.cross_checks.cells_against_block_v.value
    if _differ(sum(cells_v), rest_v, most_v):
        log.warn(
            f"{rest_v:g} V does not fit the cells: together they have {sum(cells_v):.3f} V, and more than"
            f" {most_v:g} V apart is too much.",
            "Read cells and block again, one after the other.",
            draft.row.spot("rest_voltage_v", draft.tag),
        )


def _differ(one: float, other: float, most: float) -> bool:
    return round(abs(one - other), _DECIMALS) > most


def bode_block_voltage_v(*, specific_gravity: float, points: Sequence[tuple[float, float]]) -> float:
    """Return the open-circuit voltage in V at 25 °C of six cells with acid of a specific gravity.

    Interpolated between the points; beyond the first and the last they hold on.
    """
    if specific_gravity <= points[0][0]:
        return points[0][1]
    for (low, low_v), (high, high_v) in pairwise(points):
        if specific_gravity <= high:
            return low_v + (high_v - low_v) * (specific_gravity - low) / (high - low)
    return points[-1][1]


def note_assumed(drafts: list[BatteryDraft], log: FindingLog, policy: GradingPolicy) -> None:
    """Note once each how many rest voltages stand without hours of rest or without a temperature."""
    assumed = {
        "rested_h": ("Rested (h)", f"each counts as rested for {policy.rest.assumed_rested_h.value:g} h"),
        "temperature_c": (
            "Temperature (°C)",
            f"each counts as {policy.temperature.reference_c.value:g} °C, with more doubt",
        ),
    }
    measured = [draft for draft in drafts if "rest_voltage_v" in draft.values]
    for slot, (header, sentence) in assumed.items():
        blank = [draft for draft in measured if not draft.given(slot)]
        if blank:
            log.note(
                f"Blank for {len(blank)} of {len(measured)} rest voltages ({_named(blank)}); {sentence}.",
                "Fill it in where it is known: fewer batteries stay undecided.",
                Spot(field=header),
            )


def _named(drafts: list[BatteryDraft]) -> str:
    names = ", ".join(draft.tag for draft in drafts[:_TAGS_NAMED])
    return f"{names} …" if len(drafts) > _TAGS_NAMED else names
