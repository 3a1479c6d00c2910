"""A small intake workbook from plain Python values, for tests that start at the command line."""

from collections.abc import Mapping, Sequence
from pathlib import Path

import xlsxwriter

RECEIVED = "2026-06-05"
"""Months back, so that a machine whose clock is behind does not take it for the future; the examples too."""
BATCH = {
    "Batch": "T-1",
    "Site": "Test yard",
    "Received": RECEIVED,
    "Inspector": "Bench 1",
    "Jurisdiction": "EU",
    "Meter accuracy (% of reading)": 0.1,
    "Meter accuracy (V)": 0.01,
    "Read on": RECEIVED,
}
GOOD = {
    "Tag": "B-1",
    "Chemistry": "flooded",
    "Case": "sound",
    "Rest voltage (V)": 12.65,
    "Rested (h)": 24,
    "Temperature (°C)": 25,
}
FLAT = {**GOOD, "Tag": "B-2", "Rest voltage (V)": 11.9}
CRACKED = {**GOOD, "Tag": "B-3", "Case": "cracked"}
UNKNOWN = {**GOOD, "Tag": "B-4", "Chemistry": "unknown"}
BAD_ROW = {**GOOD, "Tag": "B-5", "Rest voltage (V)": "twelve"}

Row = Mapping[str, str | float]


def write_workbook(
    path: Path,
    batteries: Sequence[Row] = (GOOD,),
    *,
    batch: Row = BATCH,
    sheets: Mapping[str, Sequence[Row]] | None = None,
) -> Path:
    """Write the Batch sheet, the Batteries sheet and any further list sheets; return the path."""
    book = xlsxwriter.Workbook(str(path))
    fields = book.add_worksheet("Batch")
    for row, (field, value) in enumerate(batch.items()):
        fields.write_row(row, 0, (field, value))
    for name, rows in {"Batteries": batteries, **(sheets or {})}.items():
        sheet = book.add_worksheet(name)
        headers = list(dict.fromkeys(header for row in rows for header in row))
        sheet.write_row(0, 0, headers)
        for number, row in enumerate(rows, start=1):
            for column, header in enumerate(headers):
                if header in row:
                    sheet.write(number, column, row[header])
    book.close()
    return path
