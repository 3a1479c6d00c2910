"""``load.json``: what left the yard, for other programs."""

from collections.abc import Sequence
from typing import Any

from intake.model.finding import Finding
from intake.model.load import Load, LoadTotals
from intake.model.paper import Paper
from intake.report.json.encode import Document, attributes, document_bytes, record_document

YES_NO = ("yes", "no")
"""As the load workbook says it."""
_FINDING = ("severity", "sheet", "cell", "tag", "field", "message", "hint")


def load_bytes(
    load: Load,
    totals: LoadTotals,
    findings: Sequence[Finding],
    *,
    version: str,
    source_name: str,
    source_sha256: str,
    paper: Paper,
    date_order: str | None,
    rules_sha256: str,
) -> bytes:
    """Return ``load.json``; it keeps to ``schemas/load.schema.json``. What was left blank is left out."""
    return document_bytes(
        {
            "schema": "intake-load/1",
            "version": version,
            "source": {"name": source_name, "sha256": source_sha256},
            "rule_data": {"sha256": rules_sha256},
            "run": {"paper": paper.value, "date_order": date_order},
            "load": _given(load.head),
            "packages": [_given(one) for one in load.packages],
            "batteries": [_given(one, without=("row",)) for one in load.batteries],
            "receipt": _given(load.receipt),
            "batches": [_given(one) for one in load.batches],
            "findings": [attributes(one, _FINDING) for one in findings],
            "totals": record_document(totals),
        }
    )


def _given(record: Any, without: Sequence[str] = ()) -> Document:
    document = record_document(record, without=without)
    return {key: _yes_or_no(value) for key, value in document.items() if value is not None}


def _yes_or_no(value: Any) -> Any:
    return YES_NO[not value] if isinstance(value, bool) else value
