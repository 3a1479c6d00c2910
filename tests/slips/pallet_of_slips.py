"""A pallet of thirty, typed into the short form with one natural slip in each of thirty places."""

import warnings
from datetime import datetime, time
from pathlib import Path
from typing import Any, NamedTuple

from openpyxl import load_workbook

from intake.workbook.blank.write import write_blank_workbook

HEADER_ROW = 5
BATCH = {
    "Batch": "north-17",
    "Site": "Yard 2",
    "Received": datetime(2026, 6, 5),
    "Inspector": "Bench 1",
    "Jurisdiction": "e.u.",
    "Read on": datetime(2026, 6, 6),
    "Meter accuracy (% of reading)": "0,5 %",
    "Meter accuracy (V)": "20 mV",
}


class Slip(NamedTuple):
    """What was typed, and what becomes of it: a word of the finding that names it, or the value read."""

    row: int
    header: str
    typed: Any
    named: str = ""
    read: tuple[str, Any] | None = None


SLIPS = (
    Slip(1, "Chemistry", "lead acid", "names a family only"),
    Slip(2, "Chemistry", "SLA", "names a family only"),
    Slip(3, "Chemistry", "lithium", "names a family only"),
    Slip(4, "Chemistry", "a.g.m.", read=("chemistry", "AGM")),
    Slip(5, "Chemistry", "AMG", "is not one of"),
    Slip(6, "Rest voltage (V)", "12,47", read=("rest_voltage_v", 12.47)),
    Slip(7, "Rest voltage (V)", "1,247", "can be read as 1.247 or as 1247"),
    Slip(8, "Rest voltage (V)", 1.247, "slipped decimal point"),
    Slip(9, "Rest voltage (V)", 124.7, "outside the limits"),
    Slip(10, "Rest voltage (V)", "12.47V", read=("rest_voltage_v", 12.47)),
    Slip(11, "Rest voltage (V)", "12470 mV", read=("rest_voltage_v", 12.47)),
    Slip(12, "Rest voltage (V)", None, "no voltage"),
    Slip(13, "Rest voltage (V)", "12..47", "is no number"),
    Slip(14, "Rested (h)", "17:30", "is a clock time"),
    Slip(15, "Rested (h)", time(17, 30), "is a clock time"),
    Slip(16, "Rested (h)", "2 days", read=("rested_h", 48)),
    Slip(17, "Rested (h)", "n/a", "counts as blank"),
    Slip(18, "Temperature (°C)", "64 F", read=("temperature_c", 17.7777777778)),
    Slip(19, "Temperature (°C)", "18°", read=("temperature_c", 18)),
    Slip(20, "Temperature (°C)", "warm", "is no number"),
    Slip(21, "Rated capacity (Ah)", "60 Ah", read=("rated_capacity_ah", 60)),
    Slip(22, "Rated capacity (Ah)", "x", "counts as blank"),
    Slip(23, "Rated capacity (Ah)", 6000, "outside the limits"),
    Slip(24, "Case", "OK", read=("case", "sound")),
    Slip(25, "Case", "dent", read=("case", "dented")),
    Slip(26, "Case", "wet", "is not one of"),
    Slip(27, "Case", None, "The cell is empty"),
    Slip(28, "Terminals", "rusty", "is not one of"),
    Slip(29, "Tag", "B 29", "cannot be used"),
    Slip(30, "Tag", "B-28", "A33 and A35"),
)
"""By row from 1; the sheet's first battery stands in row 6."""
TIMED = {2: ("2026-06-05 14:00", "08:00"), 28: ("16:00", "08:00")}
"""Rows with two clock times in place of hours: one that is read, one whose end is before its start."""


def write_pallet(path: Path) -> Path:
    """Write the pallet."""
    write_blank_workbook(path, short=True)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        book = load_workbook(path)
    for row in book["Batch"].iter_rows(min_row=4):
        if row[0].value in BATCH:
            row[1].value = BATCH[row[0].value]
    page = book["Batteries"]
    at = {cell.value: cell.column for cell in page[HEADER_ROW]}
    for number in range(1, 31):
        sound = {
            "Tag": f"B-{number:02}",
            "Chemistry": ("flooded", "AGM", "EFB")[number % 3],
            "Case": "sound",
            "Rest voltage (V)": 12.4 + number / 100,
            "Rested (h)": 24,
            "Temperature (°C)": 18,
            "Rated capacity (Ah)": 60,
        }
        if number in TIMED:
            sound["Rested (h)"] = None
            sound["Rest began"], sound["Rest read at"] = TIMED[number]
        for header, value in sound.items():
            page.cell(HEADER_ROW + number, at[header]).value = value
    for slip in SLIPS:
        page.cell(HEADER_ROW + slip.row, at[slip.header]).value = slip.typed
    book.save(path)
    return path
