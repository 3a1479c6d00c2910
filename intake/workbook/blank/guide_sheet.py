"""The ``Guide`` sheet: how to fill the workbook in, every column, and the cautions. It is never read back."""

from typing import TYPE_CHECKING

from intake.policy.dictionary import Column, Dictionary, Sheet
from intake.policy.guide_text import GuideText
from intake.workbook.blank.column_notes import form_text, synonyms_text
from intake.workbook.blank.formats import Look

if TYPE_CHECKING:
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

GUIDE_NAME = "Guide"
_LABEL_WIDTH, _MARKER_WIDTH, _TEXT_WIDTH = 24, 11, 74
_LINE_POINTS = 13.5
_CHARACTERS_PER_LINE = 84
"""How many characters of running text fit the text column, on the safe side."""


def write_guide_sheet(workbook: "Workbook", look: Look, dictionary: Dictionary, guide: GuideText) -> None:
    """Write the Guide from its wording and the column dictionary."""
    page = workbook.add_worksheet(GUIDE_NAME)
    page.set_column(0, 0, _LABEL_WIDTH)
    page.set_column(1, 1, _MARKER_WIDTH)
    page.set_column(2, 2, _TEXT_WIDTH)
    page.set_row(0, 24)
    page.write_string(0, 0, guide.title, look.title)
    row = _line(page, look, 1, "Read this first", guide.basis)
    for section in guide.sections:
        row = _heading(page, look, row, section.heading)
        for entry in section.entries:
            row = _line(page, look, row, entry.label, entry.text)
    for sheet in dictionary.sheets.values():
        row = _write_columns(page, look, row, sheet)
    page.hide_gridlines(2)
    page.set_paper(9)
    page.fit_to_pages(1, 0)
    page.repeat_rows(0)
    page.set_margins(left=0.5, right=0.5, top=0.5, bottom=0.6)
    page.set_footer("&L&8&F, &A&R&8page &P of &N")


def column_text(column: Column) -> str:
    """Return all that the Guide says about one column."""
    synonyms = synonyms_text(column)
    understood = f"Also understood: {synonyms}." if synonyms else ""
    return " ".join(part for part in (column.help, form_text(column), understood) if part)


def _write_columns(page: "Worksheet", look: Look, row: int, sheet: Sheet) -> int:
    row = _heading(page, look, row, f"Sheet {sheet.name}: {sheet.help}")
    for column in sheet.columns:
        if column.place in (None, 1):
            row = _line(page, look, row, _header(column, sheet), column_text(column), column.tier)
    return row


def _header(column: Column, sheet: Sheet) -> str:
    """Return the header, or the first and last of several columns that share a key."""
    if column.place is None:
        return column.header
    last = [one.header for one in sheet.columns if one.key == column.key][-1]
    return f"{column.header} to {last}"


def _heading(page: "Worksheet", look: Look, row: int, text: str) -> int:
    page.set_row(row, 8)
    page.set_row(row + 1, 19)
    page.write_string(row + 1, 0, text, look.section)
    for place in (1, 2):
        page.write_blank(row + 1, place, None, look.section)
    return row + 2


def _line(page: "Worksheet", look: Look, row: int, label: str, text: str, tier: str = "") -> int:
    lines = 1 + len(text) // _CHARACTERS_PER_LINE
    page.set_row(row, 4 + _LINE_POINTS * lines)
    page.write_string(row, 0, label, look.label_needed)
    page.write(row, 1, tier or None, look.text)
    page.write_string(row, 2, text, look.label)
    return row + 1
