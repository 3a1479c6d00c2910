"""``register.json``: the period register for other programs."""

from intake.model.register import GradedBatch, Register
from intake.report.json.account import account_document
from intake.report.json.encode import (
    Document,
    attributes,
    document_bytes,
    in_kilograms,
    plain,
    record_document,
    renamed,
)
from intake.report.register.views import Line, views_of, whole_line
from intake.report.register.words import register_remarks

SCHEMA = "intake-register/1"
_HEAD = (
    "batch",
    "site",
    "received",
    "jurisdiction",
    "received_from",
    "ship_date",
    "meter",
    "calibration_due",
    "wrong_acceptances",
)


def register_bytes(register: Register) -> bytes:
    """Return ``register.json`` as UTF-8, indented, with a newline at its end."""
    return document_bytes(register_document(register))


def register_document(register: Register) -> Document:
    """Return the document under ``schemas/register.schema.json`` as plain values."""
    return {
        "schema": SCHEMA,
        "version": register.version,
        "period": renamed(record_document(register.period), first="from", last="to"),
        "inputs": {
            "sha256": register.inputs_sha256,
            "batches_in_period": len(register.batches),
            "batches_before": register.before,
            "batches_after": register.after,
            **attributes(register, ("left_out", "copies")),
            "results": [{"file": name, "sha256": digest} for name, digest in register.results],
            "loads": [{"file": name, "sha256": digest} for name, digest in register.loads],
            "paper": register.paper.value,
        },
        "totals": _line(whole_line(register)),
        "views": {f"by_{view.key}": [_line(line) for line in view.lines] for view in views_of(register)},
        "meters": [renamed(record_document(one), due="calibration_due") for one in register.meters],
        "repeated_tags": [
            renamed(record_document(one), sightings="batches") for one in register.repeated_tags
        ],
        "storage": [in_kilograms(record_document(one)) for one in register.storage],
        "storage_reminders": plain(register.storage_reminders),
        "account": account_document(register.account),
        "batches": [_batch(one) for one in register.batches],
        "remarks": list(register_remarks(register)),
        "cautions": list(register.cautions),
    }


def _line(line: Line) -> Document:
    figures = ("wrong_acceptances", "without_figures")
    shares = {grade: line.share_percent(grade) for grade in line.by_grade}
    return {
        **in_kilograms(record_document(line, without=figures)),
        "owed_a_test": line.owed,
        "shares_percent": plain(shares, "shares_percent"),
        **attributes(line, figures),
    }


def _batch(one: GradedBatch) -> Document:
    return {
        **attributes(one, _HEAD),
        "groups": [in_kilograms(record_document(group)) for group in one.groups],
        "file": {"name": one.file, "sha256": one.file_sha256},
        "workbook_sha256": one.source_sha256,
        "policy": {"name": one.policy_name, "sha256": one.policy_sha256},
        "version": one.version,
    }
