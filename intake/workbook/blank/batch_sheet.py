"""The ``Batch`` sheet of a blank workbook: one field a row."""

from typing import TYPE_CHECKING

from intake.policy.dictionary import Sheet
from intake.workbook.blank.cell_entry import entry_rule
from intake.workbook.blank.formats import Look, cell_format
from intake.workbook.blank.page_setup import A4, ROW_POINTS, add_rule, set_margins, write_title

if TYPE_CHECKING:
    from xlsxwriter.workbook import Workbook

_NEEDED = "needed"
_TWO_LINE_POINTS = 30
_WHAT_TO_WRITE_CHARACTERS = 62


def write_batch_sheet(workbook: "Workbook", look: Look, sheet: Sheet, legend: str) -> None:
    """Write the ``Batch`` sheet: one field a row, its value beside it, what to write beside that."""
    page = workbook.add_worksheet(sheet.name)
    title = f"{sheet.name} sheet"  # its name alone is the label of a field
    write_title(page, look, title, legend, row=1, column=0)
    page.set_column(0, 0, 28)
    page.set_column(1, 1, 34)
    page.set_column(2, 2, 9)
    page.set_column(3, 3, _WHAT_TO_WRITE_CHARACTERS)
    page.set_default_row(ROW_POINTS)
    for place, heading in enumerate(("Field", "Value", None, "What to write")):
        page.write(2, place, heading, look.section)
    for row, column in enumerate(sheet.columns, start=3):
        if len(column.help) > _WHAT_TO_WRITE_CHARACTERS:
            page.set_row(row, _TWO_LINE_POINTS)
        page.write_string(row, 0, column.header, look.label_needed if column.needed else look.label)
        page.write_blank(row, 1, None, cell_format(workbook, column, bordered=True, leading=True))
        page.write(row, 2, _NEEDED if column.needed else None, look.label_needed)
        page.write_string(row, 3, column.help, look.text)
        add_rule(page, entry_rule(column), row, 1, row)
    page.freeze_panes(3, 0)
    page.set_paper(A4)
    page.set_landscape()
    page.fit_to_pages(1, 1)
    set_margins(page)
