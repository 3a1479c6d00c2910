"""``results.json``: everything that the documents of a batch show, for other programs."""

from collections.abc import Callable, Iterator, Sequence
from typing import Any

from intake.model.battery import Batch
from intake.model.finding import FINDING_KEYS
from intake.model.result import BatchResult, GradedBattery
from intake.model.revision import Revision
from intake.model.verdict import BatchFigures
from intake.policy.dictionary import load_dictionary
from intake.report.json.battery import battery_document
from intake.report.json.encode import Document, attributes, json_text, plain, record_document, renamed
from intake.report.json.value import battery_value_document, value_document
from intake.report.words.charge_and_remarks import warnings_by_row
from intake.report.words.totals import total_of, totals_by_grade, totals_by_stream

SCHEMA = "intake-results/1"
_NOT_WRITTEN = ("stream_by_tag", "resale", "rule_data", "forms", "load_handling_notes")
"""Of what is said of rules: it stands elsewhere in the document, or only shapes a page."""


def results_parts(result: BatchResult) -> Iterator[bytes]:
    """Yield ``results.json`` piece by piece: UTF-8, indented, with a newline at its end."""
    before = b"{"
    for key, value in _entries(result).items():
        yield before + f'\n "{key}": '.encode()
        yield from _listed(value) if isinstance(value, Iterator) else [_encoded(value, 1)]
        before = b","
    yield b"\n}\n"


def _listed(values: Iterator[Document]) -> Iterator[bytes]:
    before = b"["
    for value in values:
        yield before + b"\n  " + _encoded(value, 2)
        before = b","
    yield b"[]" if before == b"[" else b"\n ]"


def _encoded(value: object, depth: int) -> bytes:
    inside = json_text(value).replace("\n", "\n" + depth * " ")  # a line break in a text is escaped
    return inside.encode(errors="backslashreplace")  # half a character stays readable JSON


def results_document(result: BatchResult, *, each: Callable[[Document], Any] | None = None) -> Document:
    """Return the document under ``schemas/results.schema.json`` as plain values.

    Quantities are in the unit that their key ends with; ``low`` and ``high`` bound the 95 % coverage
    interval. What is not known is None.

    Parameters
    ----------
    each
        What is kept of each battery; None: all of it.
    """
    entries = _entries(result)
    if each:
        entries["batteries"] = map(each, entries["batteries"])
    return {key: list(value) if isinstance(value, Iterator) else value for key, value in entries.items()}


def _entries(result: BatchResult) -> Document:
    """Return the document with iterators for the lists that may be long."""
    warnings = warnings_by_row(result)
    return {
        "schema": SCHEMA,
        "version": result.version,
        "source": {"name": result.source_name, "sha256": result.source_sha256},
        "policy": {"name": result.policy_name, "sha256": result.policy_sha256},
        **_revision(result.revision),
        "rule_data": plain(result.compliance.rule_data),
        "run": {
            "paper": result.paper.value,
            "date_order": result.date_order,
            "papers": [one.value for one in result.printing.documents],
            "all_sheets": result.printing.all_sheets,
        },
        "batch": _batch(result.batch),
        "prices": [_sheet(one, "prices") for one in result.batch.prices],
        "findings": (attributes(one, FINDING_KEYS) for one in result.findings),
        "batteries": (_battery(result, one, warnings[one.battery.row]) for one in result.graded),
        "totals": _totals(result),
        "lot": record_document(result.lot),
        "figures": _figures(result.figures),
        "values": value_document(result),
        "compliance": record_document(
            result.compliance,
            without=_NOT_WRITTEN,
        ),
    }


def _revision(revision: Revision) -> Document:
    document = renamed(record_document(revision), number="revision")
    changes = [renamed(one, before="from", after="to") for one in document["changes"]]
    return {**document, "changes": changes}


def _battery(result: BatchResult, one: GradedBattery, warnings: Sequence[str]) -> Document:
    return {**battery_document(one, warnings), "value": battery_value_document(result, one)}


def _sheet(record: object, key: str) -> Document:
    """Return a record that holds one row or all fields of a sheet, under the keys of its columns."""
    return attributes(record, (column.key for column in load_dictionary().sheets[key].columns))


def _batch(batch: Batch) -> Document:
    read = {
        "read_on": plain(batch.reading_day),
        "read_by": batch.reader,
        "latest_reading": plain(batch.latest_reading_day),
    }
    return {**_sheet(batch, "batch"), **read}


def _totals(result: BatchResult) -> Document:
    return {
        "by_grade": plain(totals_by_grade(result)),
        "by_stream": {one.key: plain(one.total) for one in totals_by_stream(result)},
        **record_document(total_of(result.graded)),
    }


def _figures(figures: BatchFigures) -> Document:
    worth = dict(figures.meter_worth_percent)
    return {
        "expected_wrong_voltage_decisions": attributes(figures, ("in_use", "better")),
        "meter_worth_percent": plain(worth, "meter_worth_percent"),
    }
