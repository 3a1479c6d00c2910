"""``results.json``: everything that the documents of a batch show, for other programs."""

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from intake.model.battery import Batch, Price
from intake.model.finding import Finding
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import MeterRisk
from intake.report.json.battery import battery_document
from intake.report.json.compliance import compliance_document
from intake.report.json.value import battery_value_document, value_document
from intake.report.words.charge_and_remarks import warnings_by_row
from intake.report.words.rounding import COUNT_DECIMALS, MASS_DECIMALS, PERCENT_DECIMALS
from intake.report.words.totals import Total, total_of, totals_by_grade, totals_by_stream

SCHEMA = "intake-results/1"


def results_parts(result: BatchResult) -> Iterator[bytes]:
    """Yield ``results.json`` piece by piece: UTF-8, indented, with a newline at its end."""
    before = b"{"
    for key, value in _entries(result).items():
        yield before + f'\n "{key}": '.encode()
        yield from _listed(value) if isinstance(value, Iterator) else [_encoded(value, 1)]
        before = b","
    yield b"\n}\n"


def _listed(values: Iterator[dict[str, Any]]) -> Iterator[bytes]:
    before = b"["
    for value in values:
        yield before + b"\n  " + _encoded(value, 2)
        before = b","
    yield b"[]" if before == b"[" else b"\n ]"


def _encoded(value: object, depth: int) -> bytes:
    text = json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False)
    inside = text.replace("\n", "\n" + depth * " ")  # a line break in a text is written as two signs
    return inside.encode(errors="backslashreplace")  # half a sign stays readable JSON


def results_document(result: BatchResult) -> dict[str, Any]:
    """Return the document under ``schemas/results.schema.json`` as plain values.

    Quantities are in the unit that their key ends with; ``low`` and ``high`` bound the 95 % coverage
    interval. What is not known is None.
    """
    entries = _entries(result)
    return {key: list(value) if isinstance(value, Iterator) else value for key, value in entries.items()}


def _entries(result: BatchResult) -> dict[str, Any]:
    """Return the document with iterators for the lists that may be long."""
    warnings = warnings_by_row(result)
    return {
        "schema": SCHEMA,
        "version": result.version,
        "source": {"name": result.source_name, "sha256": result.source_sha256},
        "policy": {"name": result.policy_name, "sha256": result.policy_sha256},
        "run": {"paper": result.paper.value, "date_order": result.date_order},
        "batch": _batch(result.batch),
        "prices": [_price(one) for one in result.batch.prices],
        "findings": (_finding(one) for one in result.findings),
        "batteries": (_battery(result, one, warnings[one.battery.row]) for one in result.graded),
        "totals": _totals(result),
        "figures": _figures(result),
        "values": value_document(result),
        "compliance": compliance_document(result.compliance),
    }


def _battery(result: BatchResult, one: GradedBattery, warnings: Sequence[str]) -> dict[str, Any]:
    return {**battery_document(one, warnings), "value": battery_value_document(result, one)}


def _batch(batch: Batch) -> dict[str, Any]:
    return {
        "batch": batch.batch,
        "site": batch.site,
        "received": batch.received.isoformat(),
        "received_from": batch.received_from,
        "inspector": batch.inspector,
        "read_on": batch.reading_day.isoformat(),
        "read_by": batch.reader,
        "region": batch.region,
        "incoming_note": batch.incoming_note,
        "incoming_carrier": batch.incoming_carrier,
        "received_at": batch.received_at and batch.received_at.isoformat(timespec="minutes"),
        "jurisdiction": batch.jurisdiction,
        "consignee": batch.consignee,
        "ship_date": batch.ship_date and batch.ship_date.isoformat(),
        "meter": batch.meter,
        "meter_accuracy_percent": batch.meter_accuracy_percent,
        "meter_accuracy_volts": batch.meter_accuracy_volts,
        "calibration_due": batch.calibration_due and batch.calibration_due.isoformat(),
        "currency": batch.currency,
        "note": batch.note,
    }


def _price(price: Price) -> dict[str, Any]:
    return {
        "chemistry": price.chemistry.value,
        "from_ah": price.from_ah,
        "to_ah": price.to_ah,
        "resale_price": price.resale_price,
        "scrap_price_per_kg": price.scrap_price_per_kg,
        "recondition_cost": price.recondition_cost,
        "charge_cost": price.charge_cost,
        "disposal_cost": price.disposal_cost,
    }


def _finding(finding: Finding) -> dict[str, Any]:
    return {
        "severity": finding.severity.value,
        "sheet": finding.sheet,
        "cell": finding.cell,
        "tag": finding.tag,
        "field": finding.field,
        "message": finding.message,
        "hint": finding.hint,
    }


def _total(total: Total) -> dict[str, Any]:
    return {
        "count": total.count,
        "mass_kg": round(total.mass_kg, MASS_DECIMALS),
        "mass_estimated_kg": round(total.mass_estimated_kg, MASS_DECIMALS),
        "without_mass": total.without_mass,
    }


def _totals(result: BatchResult) -> dict[str, Any]:
    return {
        "by_grade": {grade.value: _total(total) for grade, total in totals_by_grade(result).items()},
        "by_stream": {one.key: _total(one.total) for one in totals_by_stream(result)},
        **_total(total_of(result.graded)),
    }


def _figures(result: BatchResult) -> dict[str, Any]:
    figures = result.figures
    return {
        "in_use": _risk(figures.in_use),
        "better": _risk(figures.better),
        "meter_worth_percent": {
            chemistry: round(worth, PERCENT_DECIMALS) for chemistry, worth in figures.meter_worth_percent
        },
    }


def _risk(risk: MeterRisk) -> Mapping[str, float]:
    return {
        "accuracy_percent": risk.accuracy_percent,
        "accuracy_volts": risk.accuracy_volts,
        "wrong_acceptances": round(risk.wrong_acceptances, COUNT_DECIMALS),
        "wrong_rejections": round(risk.wrong_rejections, COUNT_DECIMALS),
    }
