"""The load workbook as people see it: what the tool fills in stands in its cell whole."""

from io import BytesIO

import openpyxl
import pytest
from openpyxl.utils import get_column_letter, range_boundaries

from intake.model.battery import Chemistry
from intake.model.load import GradedSource, LoadedBattery
from intake.model.verdict import Evidence, Grade, Handling
from intake.workbook.blank.load_workbook import load_workbook_bytes

DIGEST = "0123456789abcdef" * 4
BATCH = "2026-11-returns-from-the-counter-0007"
LONG = "suspect: set apart, look again first: the note says warm; " * 3


def sheets(note=None):
    one = LoadedBattery(
        batch=BATCH,
        tag="CR-001",
        revision=1,
        chemistry=Chemistry.FLOODED_SEALED,
        grade=Grade.RECYCLE,
        handling=Handling.DAMAGED,
        stream="lead-acid-non-spillable",
        mass_kg=17.5,
        mass_estimated=True,
        evidence=Evidence.REST_ONLY,
        note=note,
    )
    content = load_workbook_bytes({}, [one], [GradedSource(BATCH, 1, DIGEST)], {})
    return openpyxl.load_workbook(BytesIO(content))


def columns(sheet):
    """Return place, width and first value of each column by header."""
    head = next(row for row in sheet.iter_rows(max_row=6) if row[1].value in ("Package", "Revision"))
    return {
        cell.value: (
            cell.column,
            sheet.column_dimensions[get_column_letter(cell.column)].width,
            sheet.cell(cell.row + 1, cell.column).value,
        )
        for cell in head
    }


@pytest.mark.parametrize("name", ["Batteries", "Batches"])
def test_what_the_tool_fills_in_stands_whole_in_its_cell(name):
    found = columns(sheets()[name])
    shown = {head: (width, value) for head, (_, width, value) in found.items() if isinstance(value, str)}

    assert len(shown) >= 2
    assert [] == [head for head, (width, value) in shown.items() if len(value) > width]


@pytest.mark.parametrize(("note", "taller"), [(None, False), ("short", False), (LONG, True)])
def test_a_row_is_as_high_as_its_note_is_long(note, taller):
    sheet = sheets(note)["Batteries"]

    assert sheet.sheet_format.defaultRowHeight < 23
    assert ((sheet.row_dimensions[5].height or 22) > 40) is taller


def test_the_columns_that_only_the_tool_reads_are_not_printed():
    sheet = sheets()["Batteries"]
    _, _, last, _ = range_boundaries(sheet.print_area.rpartition("!")[2])
    places = {head: place for head, (place, _, _) in columns(sheet).items()}

    assert places["Note"] == last
    assert max(places.values()) > last
