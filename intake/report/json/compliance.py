"""The statements about rules and hazards in ``results.json``."""

from typing import Any

from intake.model.compliance import Compliance, HandlingNote, Statement, Stream

Document = dict[str, Any]


def compliance_document(compliance: Compliance) -> Document:
    """Return what the documents say about rules and hazards."""
    return {
        "jurisdiction": compliance.jurisdiction,
        "rules_date": compliance.rules_date.isoformat(),
        "rules_date_is_ship_date": compliance.rules_date_is_ship_date,
        "streams": [_stream(one) for one in compliance.streams],
        "load_warnings": [statement_document(one) for one in compliance.load_warnings],
        "general": [statement_document(one) for one in compliance.general],
        "handling_notes": [_handling_note(one) for one in compliance.handling_notes],
        "cautions": list(compliance.cautions),
        "data_name": compliance.data_name,
        "data_built": compliance.data_built,
    }


def _stream(stream: Stream) -> Document:
    line = stream.transport_line
    return {
        "key": stream.key,
        "title": stream.title,
        "tags": list(stream.tags),
        "transport_line": None if line is None else statement_document(line),
        "waste_codes": [statement_document(one) for one in stream.waste_codes],
        "packing": [statement_document(one) for one in stream.packing],
        "storage": [statement_document(one) for one in stream.storage],
        "statements": [statement_document(one) for one in stream.statements],
    }


def statement_document(statement: Statement) -> Document:
    """Return one statement with its source and its dates."""
    return {
        "heading": statement.heading,
        "text": statement.text,
        "source": statement.source,
        "checked": statement.checked,
        "valid_from": statement.valid_from and statement.valid_from.isoformat(),
        "valid_to": statement.valid_to and statement.valid_to.isoformat(),
    }


def _handling_note(note: HandlingNote) -> Document:
    return {
        "key": note.key,
        "title": note.title,
        "applies_to": note.applies_to,
        "lines": list(note.lines),
        "source": note.source,
    }
