"""``plan.json``: the bench plan for other programs."""

from intake.model.battery import Chemistry
from intake.model.plan import Plan, PlannedBattery, Station
from intake.model.result import BatchResult
from intake.report.json.encode import (
    Document,
    attributes,
    document_bytes,
    plain,
    record_document,
    renamed,
)

SCHEMA = "intake-plan/1"


def plan_bytes(plan: Plan, result: BatchResult) -> bytes:
    """Return ``plan.json`` as UTF-8, indented, with a newline at its end."""
    return document_bytes(plan_document(plan, result))


def plan_document(plan: Plan, result: BatchResult) -> Document:
    """Return the document under ``schemas/plan.schema.json`` as plain values.

    Moments are local clock times without a zone. Quantities are in the unit that their key ends with.
    """
    return {
        "schema": SCHEMA,
        "version": plan.version,
        "source": {"name": plan.source_name, "sha256": plan.source_sha256},
        "policy": {"name": plan.policy_name, "sha256": plan.policy_sha256},
        "batch": {"batch": plan.batch, "received": plain(result.batch.received)},
        "told": {
            **attributes(plan, ("start", "start_was_given", "shifts", "days", "qualified")),
            **attributes(result, ("paper", "date_order")),
        },
        "stations": [_station(one) for one in plan.stations],
        **attributes(plan, ("end", "bound", "gap_percent")),
        **attributes(plan, ("mean_finished_h", "late_readings", "latest_reading_h")),
        "tasks": [renamed(record_document(one), kind="task") for one in plan.tasks],
        "batteries": [_battery(one) for one in plan.batteries],
        **attributes(plan, ("held_back", "notes")),
    }


def _battery(one: PlannedBattery) -> Document:
    estimate = one.estimate
    if estimate is None:
        return record_document(one)
    told = {**record_document(estimate), "sources": estimate.source}
    return {**record_document(one), "estimate": renamed(told, sources="source")}


def _station(one: Station) -> Document:
    kinds = [kind.value for kind in Chemistry if kind in one.chemistries]
    return {**record_document(one), "chemistries": kinds}
