"""``plan.json``: the bench plan for other programs."""

import json
from datetime import datetime
from typing import Any

from intake.model.battery import Chemistry
from intake.model.plan import ChargeEstimate, HeldBack, Plan, PlannedBattery, PlannedTask, Station
from intake.model.result import BatchResult
from intake.report.words.rounding import HOUR_DECIMALS, PERCENT_DECIMALS, significant

SCHEMA = "intake-plan/1"


def plan_bytes(plan: Plan, result: BatchResult) -> bytes:
    """Return ``plan.json`` as UTF-8, indented, with a newline at its end."""
    text = json.dumps(plan_document(plan, result), ensure_ascii=False, indent=1, allow_nan=False)
    return f"{text}\n".encode(errors="backslashreplace")  # half a sign stays readable JSON


def plan_document(plan: Plan, result: BatchResult) -> dict[str, Any]:
    """Return the document under ``schemas/plan.schema.json`` as plain values.

    Moments are local clock times without a zone. Quantities are in the unit that their key ends with.
    """
    return {
        "schema": SCHEMA,
        "version": plan.version,
        "source": {"name": plan.source_name, "sha256": plan.source_sha256},
        "policy": {"name": plan.policy_name, "sha256": plan.policy_sha256},
        "batch": {"batch": plan.batch, "received": result.batch.received.isoformat()},
        "told": {
            "start": _moment(plan.start),
            "start_was_given": plan.start_was_given,
            "shifts": list(plan.shifts),
            "days": list(plan.days),
            "qualified": plan.qualified,
            "paper": result.paper.value,
            "date_order": result.date_order,
        },
        "stations": [_station(one) for one in plan.stations],
        "end": _moment(plan.end),
        "bound": _moment(plan.bound),
        "gap_percent": round(plan.gap_percent, PERCENT_DECIMALS),
        "mean_finished_h": round(plan.mean_finished_h, HOUR_DECIMALS),
        "late_readings": plan.late_readings,
        "latest_reading_h": round(plan.latest_reading_h, HOUR_DECIMALS),
        "tasks": [_task(one) for one in plan.tasks],
        "batteries": [_battery(one) for one in plan.batteries],
        "held_back": [_held_back(one) for one in plan.held_back],
        "notes": list(plan.notes),
    }


def _moment(moment: datetime) -> str:
    return moment.isoformat(timespec="minutes")


def _station(one: Station) -> dict[str, Any]:
    return {
        "name": one.name,
        "current_a": one.current_a,
        "chemistries": [kind.value for kind in Chemistry if kind in one.chemistries],
        "apart": one.apart,
    }


def _task(one: PlannedTask) -> dict[str, Any]:
    return {
        "tag": one.tag,
        "task": one.kind.value,
        "place": one.place,
        "start": _moment(one.start),
        "end": _moment(one.end),
        "needs_person": one.needs_person,
        "due": _moment(one.due) if one.due else None,
    }


def _battery(one: PlannedBattery) -> dict[str, Any]:
    return {
        "tag": one.tag,
        "chemistry": one.chemistry.value,
        "grade": one.grade.value,
        "station": one.station,
        "estimate": _estimate(one.estimate) if one.estimate else None,
        "finished": _moment(one.finished),
        "remarks": list(one.remarks),
    }


def _estimate(one: ChargeEstimate) -> dict[str, Any]:
    return {
        "current_a": significant(one.current_a),
        "recover_current_a": significant(one.recover_current_a),
        "charge_low_ah": significant(one.charge_low_ah),
        "charge_high_ah": significant(one.charge_high_ah),
        "hours_low": round(one.hours_low, HOUR_DECIMALS),
        "hours_high": round(one.hours_high, HOUR_DECIMALS),
        "working": one.working,
        "source": one.source,
        "status": one.status,
    }


def _held_back(one: HeldBack) -> dict[str, Any]:
    return {
        "tag": one.tag,
        "chemistry": one.chemistry.value,
        "grade": one.grade.value,
        "reason": one.reason,
        "next_step": one.next_step,
    }
