"""``load.json``: what left the yard, for other programs."""

import json
from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import date
from enum import Enum
from typing import Any

from intake.model.finding import Finding
from intake.model.load import Load, LoadTotals

YES_NO = ("yes", "no")
"""As the load workbook says it."""


def load_bytes(
    load: Load,
    totals: LoadTotals,
    findings: Sequence[Finding],
    *,
    version: str,
    source_name: str,
    source_sha256: str,
) -> bytes:
    """Return ``load.json``; it keeps to ``schemas/load.schema.json``."""
    document = {
        "schema": "intake-load/1",
        "version": version,
        "source": {"name": source_name, "sha256": source_sha256},
        "load": _given(load.head),
        "packages": [_given(one) for one in load.packages],
        "batteries": [_given(one, leave_out=("row",)) for one in load.batteries],
        "receipt": _given(load.receipt),
        "batches": [_given(one) for one in load.batches],
        "findings": [_finding(one) for one in findings],
        "totals": {
            "all": _given(totals.all),
            "by_stream": {key: _given(total) for key, total in totals.by_stream.items()},
            "gross_kg": totals.gross_kg,
        },
    }
    return (json.dumps(document, ensure_ascii=False, indent=1) + "\n").encode("utf-8", "surrogateescape")


def _given(record: Any, leave_out: Sequence[str] = ()) -> Mapping[str, Any]:
    """Return what a record holds, by the names of its attributes; what was left blank is left out."""
    values = {one.name: getattr(record, one.name) for one in fields(record) if one.name not in leave_out}
    return {key: _plain(value) for key, value in values.items() if value is not None}


def _plain(value: Any) -> Any:
    if isinstance(value, bool):
        return YES_NO[not value]
    if isinstance(value, Enum):
        return value.value
    return value.isoformat() if isinstance(value, date) else value


def _finding(one: Finding) -> Mapping[str, Any]:
    return {
        "severity": one.severity.value,
        "sheet": one.sheet,
        "cell": one.cell,
        "tag": one.tag,
        "field": one.field,
        "message": one.message,
        "hint": one.hint,
    }
