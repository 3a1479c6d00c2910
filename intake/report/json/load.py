"""``load.json``: what left the yard, for other programs."""

from collections.abc import Sequence
from typing import Any

from intake.model.finding import FINDING_KEYS, Finding
from intake.model.load import Load, LoadTotals
from intake.report.json.encode import Document, attributes, document_bytes, record_document

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
        "findings": [attributes(one, FINDING_KEYS) for one in findings],
        "totals": {
            "all": _given(totals.all),
            "by_stream": {key: _given(total) for key, total in totals.by_stream.items()},
            "gross_kg": totals.gross_kg,
        },
    }
    return document_bytes(document)


def _given(record: Any, leave_out: Sequence[str] = ()) -> Document:
    """Return what a record holds, by the names of its attributes; what was left blank is left out."""
    values = record_document(record, without=leave_out)
    return {
        key: YES_NO[not value] if isinstance(value, bool) else value
        for key, value in values.items()
        if value is not None
    }
