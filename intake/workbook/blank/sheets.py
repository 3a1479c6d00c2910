"""The four sheets of the blank workbook that are filled in."""

from typing import TYPE_CHECKING, Any

from intake.policy.dictionary import Column, Sheet
from intake.workbook.blank.cell_entry import entry_rule
from intake.workbook.blank.column_notes import note_text, width_characters
from intake.workbook.blank.formats import FONT, Look, cell_format
from intake.workbook.blank.guide_text import Group

if TYPE_CHECKING:
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

READY_ROWS = 400
"""Rows with lists and limits; a workbook may go on below them."""
_RULED_ROWS = 20
"""Rows with lines from the start, for a blank that is printed; the others get theirs when they are used."""
_NEEDED = "needed"
_A4 = 9
_TITLE_ROW, _BAND_ROW, _MARKER_ROW, _HEADER_ROW = range(4)
_MARGINS_INCH = {"left": 0.4, "right": 0.4, "top": 0.5, "bottom": 0.6}
_NOTE_STYLE = {"font_name": FONT, "font_size": 9, "x_scale": 2.2, "y_scale": 1.6, "color": "#F2F2F2"}
_LANDSCAPE_SCALE_PERCENT = 80
_PAGE_PIXELS = 1200
"""Width of the columns that fit an A4 or Letter page on its side at that scale."""
_PIXELS_PER_CHARACTER, _PIXELS_BETWEEN = 7, 5
"""How wide a column of so many characters is: the file format's own measure for this font."""
_ROW_POINTS = 26
"""High enough for two lines, or to write by hand on a printed blank."""
_TWO_LINE_POINTS = 30
_WHAT_TO_WRITE_CHARACTERS = 62


def write_batch_sheet(workbook: "Workbook", look: Look, sheet: Sheet, legend: str) -> None:
    """Write the ``Batch`` sheet: one field a row, its value beside it, what to write beside that."""
    page = workbook.add_worksheet(sheet.name)
    title = f"{sheet.name} sheet"  # its name alone is the label of a field
    _title(page, look, title, legend, legend_column=0, legend_row=1)
    page.set_column(0, 0, 28)
    page.set_column(1, 1, 34)
    page.set_column(2, 2, 9)
    page.set_column(3, 3, _WHAT_TO_WRITE_CHARACTERS)
    page.set_default_row(_ROW_POINTS)
    for place, heading in enumerate(("Field", "Value", None, "What to write")):
        page.write(2, place, heading, look.section)
    for row, column in enumerate(sheet.columns, start=3):
        if len(column.help) > _WHAT_TO_WRITE_CHARACTERS:
            page.set_row(row, _TWO_LINE_POINTS)
        page.write_string(row, 0, column.header, look.label_needed if column.needed else look.label)
        page.write_blank(row, 1, None, cell_format(workbook, column, bordered=True, leading=True))
        page.write(row, 2, _NEEDED if column.needed else None, look.label_needed)
        page.write_string(row, 3, column.help, look.text)
        _add_rule(page, entry_rule(column), row, 1, row)
    page.freeze_panes(3, 0)
    page.set_paper(_A4)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    _margins(page)


def write_list_sheet(
    workbook: "Workbook", look: Look, sheet: Sheet, legend: str, groups: tuple[Group, ...]
) -> None:
    """Write a sheet of rows under a header row; ``groups`` may band neighbouring columns together."""
    page = workbook.add_worksheet(sheet.name)
    page.set_default_row(_ROW_POINTS)
    legend_column = 1 if groups else 0
    legend_row = 0 if groups else _BAND_ROW
    _title(page, look, sheet.name, legend, legend_column=legend_column, legend_row=legend_row)
    _write_bands(page, look, sheet, groups)
    for place, column in enumerate(sheet.columns):
        _write_column(workbook, page, look, place, column, unique=place == 0 and sheet.needed)
    page.set_row(_HEADER_ROW, 42)
    page.set_row(_MARKER_ROW, 13)
    _line_used_rows(page, look, last_column=len(sheet.columns) - 1)
    page.freeze_panes(_HEADER_ROW + 1, 1)
    page.set_comments_author("intake")
    page.set_paper(_A4)
    page.repeat_rows(_BAND_ROW if groups else _MARKER_ROW, _HEADER_ROW)
    if groups:
        page.set_landscape()
        page.repeat_columns(0, 0)
        page.set_print_scale(_LANDSCAPE_SCALE_PERCENT)
        page.set_v_pagebreaks(_page_breaks(sheet, groups))
    else:
        page.fit_to_pages(1, 0)
    _margins(page)


def _title(
    page: "Worksheet", look: Look, title: str, legend: str, *, legend_column: int, legend_row: int
) -> None:
    page.set_row(_TITLE_ROW, 24)
    page.write_string(_TITLE_ROW, 0, title, look.title)
    page.write_string(legend_row, legend_column, legend, look.legend)


def _margins(page: "Worksheet") -> None:
    page.set_margins(**_MARGINS_INCH)
    page.set_footer("&L&8&F, &A&R&8page &P of &N")


def _band_spans(sheet: Sheet, groups: tuple[Group, ...]) -> list[tuple[str, int, int]]:
    """Return title, first and last column of each band."""
    spans = []
    for group in groups:
        places = [place for place, column in enumerate(sheet.columns) if column.key in group.keys]
        spans.append((group.title, places[0], places[-1]))
    return spans


def _write_bands(page: "Worksheet", look: Look, sheet: Sheet, groups: tuple[Group, ...]) -> None:
    for title, first, last in _band_spans(sheet, groups):
        page.write_string(_BAND_ROW, first, title, look.band)
        for place in range(first + 1, last + 1):
            page.write_blank(_BAND_ROW, place, None, look.band_rest)


def _page_breaks(sheet: Sheet, groups: tuple[Group, ...]) -> list[int]:
    """Return the columns before which a printed page ends, so that bands stay whole."""
    widths = [_PIXELS_PER_CHARACTER * width_characters(column) + _PIXELS_BETWEEN for column in sheet.columns]
    breaks = []
    used = 0
    for _, first, last in _band_spans(sheet, groups):
        band = sum(widths[first : last + 1])
        if used + band > _PAGE_PIXELS:
            breaks.append(first)
            used = widths[0]
        used += band
    return breaks


def _write_column(
    workbook: "Workbook", page: "Worksheet", look: Look, place: int, column: Column, *, unique: bool
) -> None:
    first, last, ruled = _HEADER_ROW + 1, _HEADER_ROW + READY_ROWS, _HEADER_ROW + _RULED_ROWS
    page.set_column(place, place, width_characters(column), cell_format(workbook, column, bordered=False))
    page.write(_MARKER_ROW, place, _NEEDED if column.needed else None, look.marker)
    page.write_string(_HEADER_ROW, place, column.header, look.header_needed if column.needed else look.header)
    page.write_comment(_HEADER_ROW, place, note_text(column), _NOTE_STYLE)
    ruled_format = cell_format(workbook, column, bordered=True)
    for row in range(first, ruled + 1):
        page.write_blank(row, place, None, ruled_format)
    names = {"first_cell": f"A{first + 1}", "cells": f"$A${first + 1}:$A${last + 1}"} if unique else {}
    _add_rule(page, entry_rule(column, **names), first, place, last)


def _add_rule(page: "Worksheet", rule: dict[str, Any] | None, first: int, place: int, last: int) -> None:
    if rule is not None:
        page.data_validation(first, place, last, place, rule)


def _line_used_rows(page: "Worksheet", look: Look, *, last_column: int) -> None:
    """Give a row below the ruled ones its lines as soon as something stands in its first column."""
    first, last = _HEADER_ROW + _RULED_ROWS + 1, _HEADER_ROW + READY_ROWS
    rule = {"type": "formula", "criteria": f'=$A{first + 1}<>""', "format": look.used_row}
    page.conditional_format(first, 0, last, last_column, rule)
