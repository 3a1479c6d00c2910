"""The one way from a record to JSON: the names of its attributes are the keys.

Figures are rounded by the name of their attribute; money and chances are exact decimal text.
"""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import fields, is_dataclass
from datetime import date, datetime, time
from decimal import Decimal
from enum import Enum
from functools import cache
from typing import Any

from intake.model.battery import MadeDate
from intake.model.kilograms import grams, in_kg
from intake.report.words.rounding import DECIMALS, MASSES, SIGNIFICANT, significant

Document = dict[str, Any]


def document_bytes(document: Document) -> bytes:
    """Return a document as UTF-8, indented, with a newline at its end."""
    return json_text(document).encode(errors="backslashreplace") + b"\n"  # half a character stays readable


def json_text(value: object) -> str:
    """Return plain values as indented JSON.

    Raises
    ------
    ValueError
        a figure is not a number or has no end.
    """
    return json.dumps(value, ensure_ascii=False, indent=1, allow_nan=False)


def record_document(record: Any, *, without: Collection[str] = ()) -> Document:
    """Return all attributes of a record under their names, in the record's order."""
    return attributes(record, (name for name in _names(record.__class__) if name not in without))


def attributes(record: object, names: Iterable[str]) -> Document:
    """Return some attributes of a record under their names, in the order given."""
    return {name: plain(getattr(record, name), name) for name in names}


def renamed(document: Document, **names: str) -> Document:
    """Return a document in the same order, each key named left under the name to its right."""
    return {names.get(key, key): value for key, value in document.items()}


def in_kilograms(value: Any) -> Any:
    """Return a document with each mass in whole grams as one in kg, under a key that says so."""
    if isinstance(value, list):
        return [in_kilograms(one) for one in value]
    if not isinstance(value, dict):
        return value
    return {
        f"{key[:-2]}_kg" if key.endswith("_g") else key: _kilograms(one)
        if key.endswith("_g")
        else in_kilograms(one)
        for key, one in value.items()
    }


def plain(value: Any, name: str = "") -> Any:
    """Return a value as JSON knows it; a figure is rounded as its name asks."""
    if value is None or isinstance(value, bool):
        return value
    if isinstance(value, float):
        return _rounded(value, name)
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, (datetime, time)):
        return value.isoformat(timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, Decimal):
        return f"{value:f}"
    if isinstance(value, MadeDate):
        return value.text
    if isinstance(value, Mapping):
        return {plain(key): plain(one, name) for key, one in value.items()}
    if names := _names(value.__class__):
        return attributes(value, names)
    return [plain(one, name) for one in value] if isinstance(value, (tuple, list)) else value


def _kilograms(mass_g: int | None) -> float | None:
    return None if mass_g is None else in_kg(mass_g)


def _rounded(value: float, name: str) -> float | str | None:
    if name in SIGNIFICANT:
        return significant(value)
    if name in MASSES:
        return in_kg(grams(value))
    return round(value, DECIMALS[name]) if name in DECIMALS else value


@cache
def _names(kind: Any) -> tuple[str, ...]:
    """Return the attributes of a kind of record, named tuple or dataclass; none of what is no record."""
    if is_dataclass(kind):
        return tuple(one.name for one in fields(kind))
    names: tuple[str, ...] = getattr(kind, "_fields", ())
    return names
