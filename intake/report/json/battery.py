"""One battery of ``results.json``."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from intake.model.battery import HoldReading
from intake.model.result import GradedBattery
from intake.model.verdict import HeldCharge, SelfDischarge, StateOfCharge, Step
from intake.report.words.rounding import (
    MASS_DECIMALS,
    PERCENT_DECIMALS,
    PROBABILITY_DECIMALS,
    UNCERTAINTY_DECIMALS,
    VOLT_DECIMALS,
    significant,
)

_READINGS = (
    "rest_voltage_v",
    "rested_h",
    "temperature_c",
    "bms_reset_tried",
    "hold_temperature_c",
    "charge_returned_ah",
    "load_current_a",
    "load_time_s",
    "load_voltage_v",
    "measured_cca_a",
    "delivered_capacity_ah",
    "discharge_time_h",
    "internal_resistance_mohm",
    "rated_resistance_mohm",
)
_IDENTITY = ("rated_capacity_ah", "rated_cca_a", "cca_standard", "marking", "position")
_INSPECTION = (
    "case",
    "terminals",
    "case_plastic",
    "non_spillable_mark",
    "under_recall",
    "use",
    "recovery",
    "note",
)
_TIMES = ("rest_began", "rest_read_at", "charge_ended")


Document = dict[str, Any]


def battery_document(one: GradedBattery, warnings: Sequence[str]) -> Document:
    """Return one entry of ``batteries``: verdict, identity, inspection and every reading."""
    battery, verdict = one.battery, one.verdict
    return {
        "tag": battery.tag,
        "row": battery.row,
        "chemistry": battery.chemistry.value,
        "grade": verdict.grade.value,
        "evidence": verdict.evidence.value,
        "handling": verdict.handling.value,
        "stream": one.stream,
        "mass_kg": _rounded(one.mass_kg, MASS_DECIMALS),
        "mass_estimated": one.mass_estimated,
        "state_of_charge": _state_of_charge(verdict.state_of_charge),
        "held_charge": _held_charge(verdict.held_charge),
        "self_discharge": _self_discharge(verdict.self_discharge),
        "reasons": [_reason(step) for step in verdict.reasons],
        "next_step": verdict.next_step,
        "warnings": list(warnings),
        "made": battery.made.text if battery.made else None,
        **_fields(battery, _IDENTITY),
        **_fields(battery, _INSPECTION),
        "readings": {
            **_fields(battery, _READINGS),
            **{name: _moment(getattr(battery, name)) for name in _TIMES},
            "hold_readings": [_hold_reading(reading) for reading in battery.hold_readings],
            "specific_gravity": list(battery.specific_gravity),
            "cell_voltages_v": list(battery.cell_voltages_v),
        },
    }


def _fields(record: object, names: Sequence[str]) -> Document:
    return {name: getattr(record, name) for name in names}


def _hold_reading(reading: HoldReading) -> Document:
    return {
        "after_charge_h": reading.after_charge_h,
        "voltage_v": reading.voltage_v,
        "temperature_c": reading.temperature_c,
        "read_at": _moment(reading.read_at),
        "read_by": reading.read_by,
    }


def _moment(local: datetime | None) -> str | None:
    return None if local is None else local.isoformat(timespec="minutes")


def _state_of_charge(charge: StateOfCharge | None) -> Document | None:
    if charge is None:
        return None
    return {
        "value_percent": round(charge.value_percent, PERCENT_DECIMALS),
        "low_percent": round(charge.low_percent, PERCENT_DECIMALS),
        "high_percent": round(charge.high_percent, PERCENT_DECIMALS),
        "voltage_25c_v": round(charge.voltage_25c_v, VOLT_DECIMALS),
        "standard_uncertainty_v": round(charge.standard_uncertainty_v, UNCERTAINTY_DECIMALS),
        "interval_only": charge.interval_only,
    }


def _held_charge(held: HeldCharge | None) -> Document | None:
    if held is None:
        return None
    return {
        **(_state_of_charge(held.state_of_charge) or {}),
        "after_h": held.after_h,
        "reading_25c_v": round(held.reading_25c_v, VOLT_DECIMALS),
    }


def _self_discharge(loss: SelfDischarge | None) -> Document | None:
    if loss is None:
        return None
    return {
        "percent_per_month": round(loss.percent_per_month, PERCENT_DECIMALS),
        "low": round(loss.low, PERCENT_DECIMALS),
        "high": round(loss.high, PERCENT_DECIMALS),
    }


def _reason(step: Step) -> Document:
    return {
        "rule": step.rule.id,
        "effect": step.effect.value,
        "text": step.text,
        "measured": significant(step.measured),
        "limit": significant(step.limit),
        "unit": step.unit,
        "probability": _rounded(step.probability, PROBABILITY_DECIMALS),
        "source": step.source,
        "status": step.status,
    }


def _rounded(value: float | None, decimals: int) -> float | None:
    return None if value is None else round(value, decimals)
