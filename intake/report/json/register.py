"""``register.json``: the period register for other programs."""

import json
from datetime import date
from typing import Any

from intake.model.register import (
    GradedBatch,
    Group,
    MeterUse,
    Register,
    RepeatedTag,
    Storage,
    StorageReminder,
)
from intake.report.json.compliance import statement_document
from intake.report.register.views import Line, View, views_of, whole_line
from intake.report.register.words import register_remarks
from intake.report.words.rounding import COUNT_DECIMALS, PERCENT_DECIMALS

SCHEMA = "intake-register/1"
Document = dict[str, Any]


def register_bytes(register: Register) -> bytes:
    """Return ``register.json`` as UTF-8, indented, with a newline at its end."""
    text = json.dumps(register_document(register), ensure_ascii=False, indent=1, allow_nan=False)
    return f"{text}\n".encode(errors="backslashreplace")  # half a sign stays readable JSON


def register_document(register: Register) -> Document:
    """Return the document under ``schemas/register.schema.json`` as plain values."""
    period = register.period
    return {
        "schema": SCHEMA,
        "version": register.version,
        "period": {
            "from": period.first.isoformat(),
            "to": period.last.isoformat(),
            "closing": period.closing.isoformat(),
            "storage_limit_days": period.storage_limit_days,
        },
        "inputs": {
            "sha256": register.inputs_sha256,
            "batches_in_period": len(register.batches),
            "batches_before": register.before,
            "batches_after": register.after,
            "left_out": [{"file": one.file, "reason": one.reason} for one in register.left_out],
            "copies": [{"file": one.file, "of": one.of} for one in register.copies],
        },
        "totals": _line(whole_line(register)),
        "views": {f"by_{view.key}": _view(view) for view in views_of(register)},
        "meters": [_meter(one) for one in register.meters],
        "repeated_tags": [_repeated(one) for one in register.repeated_tags],
        "storage": [_storage(one) for one in register.storage],
        "storage_reminders": [_reminder(one) for one in register.storage_reminders],
        "batches": [_batch(one) for one in register.batches],
        "remarks": list(register_remarks(register)),
        "cautions": list(register.cautions),
    }


def _view(view: View) -> list[Document]:
    return [_line(line) for line in view.lines]


def _line(line: Line) -> Document:
    return {
        "key": line.key,
        "title": line.title,
        "batches": line.batches,
        "count": line.count,
        "mass_kg": kilograms(line.mass_g),
        "mass_estimated_kg": kilograms(line.mass_estimated_g),
        "without_mass": line.without_mass,
        "by_grade": {grade.value: count for grade, count in line.by_grade.items()},
        "resale_proven": line.resale_proven,
        "owed_a_test": line.owed,
        "shares_percent": {grade.value: _rounded(line.share_percent(grade)) for grade in line.by_grade},
        "wrong_acceptances": None
        if line.wrong_acceptances is None
        else round(line.wrong_acceptances, COUNT_DECIMALS),
        "without_figures": line.without_figures,
    }


def kilograms(mass_g: int) -> float:
    """Return whole grams in kg."""
    return mass_g / 1000


def _rounded(percent: float | None) -> float | None:
    return None if percent is None else round(percent, PERCENT_DECIMALS)


def _meter(one: MeterUse) -> Document:
    return {
        "site": one.site,
        "meter": one.meter,
        "batches": list(one.batches),
        "last_used": one.last_used.isoformat(),
        "calibration_due": _day(one.due),
        "standing": one.standing.value,
        "used_past_due": list(one.used_past_due),
        "without_date": list(one.without_date),
    }


def _repeated(one: RepeatedTag) -> Document:
    return {
        "tag": one.tag,
        "batches": [
            {
                "batch": seen.batch,
                "received": seen.received.isoformat(),
                "tag": seen.tag,
                "in_period": seen.in_period,
            }
            for seen in one.sightings
        ],
    }


def _storage(one: Storage) -> Document:
    return {
        "batch": one.batch,
        "site": one.site,
        "jurisdiction": one.jurisdiction,
        "received": one.received.isoformat(),
        "ship_date": _day(one.ship_date),
        "days": one.days,
        "count": one.count,
        "mass_kg": kilograms(one.mass_g),
        "without_mass": one.without_mass,
        "standing": one.standing.value,
        "in_period": one.in_period,
    }


def _reminder(one: StorageReminder) -> Document:
    return {
        "jurisdiction": one.jurisdiction,
        "statements": [statement_document(statement) for statement in one.statements],
    }


def _batch(one: GradedBatch) -> Document:
    return {
        "batch": one.batch,
        "site": one.site,
        "received": one.received.isoformat(),
        "jurisdiction": one.jurisdiction,
        "received_from": one.received_from,
        "ship_date": _day(one.ship_date),
        "meter": one.meter,
        "calibration_due": _day(one.calibration_due),
        "wrong_acceptances": one.wrong_acceptances,
        "groups": [_group(group) for group in one.groups],
        "file": {"name": one.file, "sha256": one.file_sha256},
        "workbook_sha256": one.source_sha256,
        "policy": {"name": one.policy_name, "sha256": one.policy_sha256},
        "version": one.version,
    }


def _group(group: Group) -> Document:
    return {
        "chemistry": group.chemistry.value,
        "grade": group.grade.value,
        "evidence": group.evidence.value,
        "stream": group.stream,
        "count": group.count,
        "mass_kg": kilograms(group.mass_g),
        "mass_estimated_kg": kilograms(group.mass_estimated_g),
        "without_mass": group.without_mass,
    }


def _day(day: date | None) -> str | None:
    return None if day is None else day.isoformat()
