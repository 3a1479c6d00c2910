"""The load workbook as people see it: what the tool fills in stands in its cell whole."""

from io import BytesIO
from textwrap import wrap

import openpyxl
import pytest
from openpyxl.utils import get_column_letter, range_boundaries

from intake.model.battery import Chemistry
from intake.model.load import GradedSource, LoadedBattery
from intake.model.paper import Paper
from intake.model.verdict import Evidence, Grade, Handling
from intake.policy.waste_streams import stream_titles
from intake.workbook.blank.load_workbook import load_workbook_bytes

DIGEST = "0123456789abcdef" * 4
BATCH = "2026-11-returns-from-the-counter-0007"
LONG = "suspect: set apart, look again first: the note says warm; " * 3


def workbook(note=None, paper=Paper.A4):
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
    return load_workbook_bytes({}, [one], [GradedSource(BATCH, 1, DIGEST)], stream_titles(), paper)


def sheets(note=None):
    return openpyxl.load_workbook(BytesIO(workbook(note)))


def test_streams_stand_in_plain_words_and_a_package_offers_them():
    book = openpyxl.load_workbook(BytesIO(workbook()))
    title = stream_titles()["lead-acid-non-spillable"]
    (rule,) = (
        one for one in book["Packages"].data_validations.dataValidation if "Guide" in (one.formula1 or "")
    )
    assert "Guide!$A$3:$A$3" == rule.formula1
    assert title == book["Guide"]["A3"].value
    assert title == columns(book["Batteries"])["Stream"][2]


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
    sheet = sheets()[name]
    found = columns(sheet)
    shown = {head: (width, value) for head, (_, width, value) in found.items() if isinstance(value, str)}
    lines = {head: len(wrap(value, int(width))) for head, (width, value) in shown.items()}
    row = 5
    wrapped = {head for head, (place, *_) in found.items() if sheet.cell(row, place).alignment.wrap_text}

    assert len(shown) >= 2
    assert {head for head, count in lines.items() if count > 1} <= wrapped
    assert (sheet.row_dimensions[row].height or 22) >= 11 * max(lines.values())


@pytest.mark.parametrize(("paper", "number", "room_mm"), [(Paper.A4, 9, 277), (Paper.LETTER, 1, 259)])
def test_the_sheets_print_on_the_paper_chosen_at_a_size_that_can_be_read(paper, number, room_mm):
    book = openpyxl.load_workbook(BytesIO(workbook(paper=paper)))
    assert {number} == {int(sheet.page_setup.paperSize) for sheet in book.worksheets}
    printed = [
        width
        for head, (_, width, _) in columns(book["Batteries"]).items()
        if head not in ("Grade", "Revision", "Non-spillable mark", "Case plastic", "Record")
    ]
    # A character of the width is 8 dots at 96 to the inch in the widest fonts; the text has 10 points.
    across_mm = sum(8 * width for width in printed) / 96 * 25.4
    assert 10 * room_mm / across_mm >= 7.9


@pytest.mark.parametrize(("note", "taller"), [(None, False), ("short", False), (LONG, True)])
def test_a_row_is_as_high_as_its_note_is_long(note, taller):
    usual, sheet = (sheets(one)["Batteries"] for one in (None, note))

    assert sheet.sheet_format.defaultRowHeight < 23
    assert (sheet.row_dimensions[5].height > usual.row_dimensions[5].height) is taller


def test_the_columns_that_only_the_tool_reads_are_not_printed():
    sheet = sheets()["Batteries"]
    _, _, last, _ = range_boundaries(sheet.print_area.rpartition("!")[2])
    places = {head: place for head, (place, _, _) in columns(sheet).items()}

    assert places["Note"] == last
    assert max(places.values()) > last
