"""How much the documents of one batch hold: pages, strings, shapes, codes, cells, values of a record.

The floor writes as much.
"""

import json
import re
from pathlib import Path
from typing import Any

import openpyxl
import pypdf

STRING = re.compile(rb"\bT[jJ]\b")
SHAPE = re.compile(rb"(?<=\s)(?:S|s|f\*?|B\*?|b)(?=\s)")
STROKE = re.compile(rb"(?<=\s)[Ss](?=\s)")


def amounts_of(folder: Path, *, batteries: int) -> dict[str, Any]:
    """Count what the documents in a batch's folder hold; the labels have two codes a battery."""
    (book,), (record,) = folder.glob("*.xlsx"), folder.glob("*.json")
    sheets = openpyxl.load_workbook(book, read_only=True).worksheets
    return {
        "pdf": {path.name: _pdf(path, batteries) for path in sorted(folder.glob("*.pdf"))},
        "cells": sum(cell.value is not None for sheet in sheets for row in sheet.iter_rows() for cell in row),
        "values": _values(json.loads(record.read_bytes())),
    }


def _values(value: object) -> int:
    """Count the values at the ends of a record's lists and entries."""
    if isinstance(value, dict):
        return sum(map(_values, value.values()))
    return sum(map(_values, value)) if isinstance(value, list) else 1


def _pdf(path: Path, batteries: int) -> dict[str, int]:
    reader = pypdf.PdfReader(path)
    labels = path.stem.endswith("-labels")
    content = [page.get_contents().get_data() for page in reader.pages]
    strings = sum(len(STRING.findall(one)) for one in content)
    signs = sum(len(page.extract_text()) for page in reader.pages[:20])
    some = sum(len(STRING.findall(one)) for one in content[:20])
    return {
        "pages": len(content),
        "strings": strings,
        "string_length": max(1, round(signs / max(1, some))),
        "shapes": sum(len((STROKE if labels else SHAPE).findall(one)) for one in content),
        "codes": batteries if labels else 0,
    }
