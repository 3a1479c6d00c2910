"""A sheet of rows under headers, in a blank workbook."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from intake.policy.dictionary import Column, Sheet
from intake.policy.guide_text import Group
from intake.workbook.blank.cell_entry import entry_rule
from intake.workbook.blank.column_notes import note_text, width_characters
from intake.workbook.blank.formats import FONT, Look, cell_format
from intake.workbook.blank.page_setup import A4, ROW_POINTS, add_rule, set_margins, write_title

if TYPE_CHECKING:
    from xlsxwriter.format import Format
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

READY_ROWS = 400
"""Rows with lists and limits; a workbook may go on below them."""
_RULED_ROWS = 20
"""Rows with lines from the start, for a blank that is printed; the others get theirs when they are used."""
_NOTE_STYLE = {"font_name": FONT, "font_size": 9, "x_scale": 2.2, "y_scale": 1.6, "color": "#F2F2F2"}
_LANDSCAPE_SCALE_PERCENT = 80
_PAGE_PIXELS = 1200
"""Width of the columns that fit an A4 or Letter page on its side at that scale."""
_PIXELS_PER_CHARACTER, _PIXELS_BETWEEN = 7, 5
"""How wide a column of so many characters is: the file format's own measure for this font."""
_HEADER_POINTS, _EXAMPLE_POINTS, _MARKER_POINTS, _ONE_PAGE_ROW_POINTS = 42, 15, 13, 20


@dataclass(frozen=True, slots=True)
class ListLayout:
    """Where the rows of a list sheet stand, and how it is printed."""

    groups: tuple[Group, ...] = ()
    """Bands over neighbouring columns."""
    example: bool = False
    """Whether a worked example stands above the headers, where the reader never looks."""
    one_page_rows: int | None = None
    """Rows of a form that is one page on its side; None: as many pages as it takes."""

    @property
    def header_row(self) -> int:
        """Counted from 0, as are the others."""
        return 4 if self.example else 3

    @property
    def marker_row(self) -> int:
        """Of the words over the headers."""
        return self.header_row - 1

    @property
    def ruled_rows(self) -> int:
        """Rows with lines from the start."""
        return self.one_page_rows or _RULED_ROWS


_TITLE_ROW, _BAND_ROW, _EXAMPLE_ROW = range(3)


def write_list_sheet(workbook: "Workbook", look: Look, sheet: Sheet, legend: str, layout: ListLayout) -> None:
    """Write a sheet of rows under a header row."""
    page = workbook.add_worksheet(sheet.name)
    page.set_default_row(_ONE_PAGE_ROW_POINTS if layout.one_page_rows else ROW_POINTS)
    banded = bool(layout.groups)
    write_title(
        page, look, sheet.name, legend, row=_TITLE_ROW if banded else _BAND_ROW, column=1 if banded else 0
    )
    _write_bands(page, look, sheet, layout.groups)
    for place, column in enumerate(sheet.columns):
        _write_column(workbook, page, look, place, column, layout, unique=place == 0 and sheet.needed)
    page.set_row(layout.header_row, _HEADER_POINTS)
    if layout.example:
        page.set_row(_EXAMPLE_ROW, _EXAMPLE_POINTS)
    page.set_row(layout.marker_row, _MARKER_POINTS)
    _line_used_rows(page, look, layout, last_column=len(sheet.columns) - 1)
    page.freeze_panes(layout.header_row + 1, 1)
    page.set_comments_author("intake")
    page.set_paper(A4)
    page.repeat_rows(_BAND_ROW if banded else layout.marker_row, layout.header_row)
    _set_pages(page, sheet, layout)
    set_margins(page)


def _set_pages(page: "Worksheet", sheet: Sheet, layout: ListLayout) -> None:
    if layout.one_page_rows:
        page.set_landscape()
        last = layout.header_row + layout.one_page_rows
        page.print_area(0, 0, last, len(sheet.columns) - 1)
        page.fit_to_pages(1, 1)
    elif layout.groups:
        page.set_landscape()
        page.repeat_columns(0, 0)
        page.set_print_scale(_LANDSCAPE_SCALE_PERCENT)
        page.set_v_pagebreaks(_page_breaks(sheet, layout.groups))
    else:
        page.fit_to_pages(1, 0)


def _band_spans(sheet: Sheet, groups: tuple[Group, ...]) -> list[tuple[str, int, int]]:
    """Return title, first and last column of each band that the sheet has columns of."""
    spans = []
    for group in groups:
        places = [place for place, column in enumerate(sheet.columns) if column.key in group.keys]
        if places:
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
    workbook: "Workbook",
    page: "Worksheet",
    look: Look,
    place: int,
    column: Column,
    layout: ListLayout,
    *,
    unique: bool,
) -> None:
    header = layout.header_row
    first, last, ruled = header + 1, header + READY_ROWS, header + layout.ruled_rows
    page.set_column(place, place, width_characters(column), cell_format(workbook, column, bordered=False))
    page.write(layout.marker_row, place, column.tier or None, look.marker)
    page.write_string(header, place, column.header, _header_format(look, column, tiers=layout.example))
    page.write_comment(header, place, note_text(column), _NOTE_STYLE)
    if layout.example and column.example is not None:
        page.write_string(_EXAMPLE_ROW, place, _example_text(column, place), look.example)
    ruled_format = cell_format(workbook, column, bordered=True)
    for row in range(first, ruled + 1):
        page.write_blank(row, place, None, ruled_format)
    names = {"first_cell": f"A{first + 1}", "cells": f"$A${first + 1}:$A${last + 1}"} if unique else {}
    add_rule(page, entry_rule(column, **names), first, place, last)


def _header_format(look: Look, column: Column, *, tiers: bool) -> "Format":
    if column.needed:
        return look.header_needed
    return look.header if column.for_grade or not tiers else look.header_more


def _example_text(column: Column, place: int) -> str:
    return f"e.g. {column.example}" if place == 0 else str(column.example)


def _line_used_rows(page: "Worksheet", look: Look, layout: ListLayout, *, last_column: int) -> None:
    """Give a row below the ruled ones its lines as soon as something stands in its first column."""
    first, last = layout.header_row + layout.ruled_rows + 1, layout.header_row + READY_ROWS
    rule = {"type": "formula", "criteria": f'=$A{first + 1}<>""', "format": look.used_row}
    page.conditional_format(first, 0, last, last_column, rule)
