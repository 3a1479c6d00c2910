"""A workbook with the project's own formats, whose cells hold text as text."""

import re
import textwrap
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Generic, NamedTuple, TypeVar

from xlsxwriter.format import Format
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from intake.model.paper import Paper
from intake.report.drawing.plain_text import without_control_signs

SLATE, LINE = "#3F4A54", "#B8BEC3"
_LONGEST_TEXT = 32_767
"""What one cell of a workbook can hold, in units of UTF-16."""
_BEFORE_CODE = re.compile(r"(?<=_)(?=x[0-9A-Fa-f]{1,4}_)")
"""Between the first sign of such a code and the others (ISO/IEC 29500-1, ST_Xstring), or a short one."""
_LINE_PT, _PADDING_PT, _HIGHEST_ROW_PT = 13.0, 3.0, 409.0
"""Height of one line, of the room around the text, and of the highest row there can be."""
_LETTERS_PER_WIDTH = 1.1
"""A column's width counts digits of the default font; a wider font in another program takes a little more."""
_HEIGHTS = ("row_info", "set_rows", "row_sizes")
"""Where the library, by its version, would keep the heights of rows that are on the disk already."""
_PAPER_NUMBER = {Paper.LETTER: 1, Paper.A4: 9}
_INCH_PER_MM = 1 / 25.4

CellValue = str | float | int | date | None
Row = TypeVar("Row")


@dataclass(frozen=True, slots=True)
class Formats:
    """The cell formats of one workbook."""

    title: Format
    header: Format
    figure_header: Format
    label: Format
    text: Format
    long_text: Format
    """On one line: whole in the cell, cut off in the view, so that the row stays low."""
    strong: Format
    count: Format
    percent: Format
    kilograms: Format
    money: Format
    volts: Format
    figure: Format
    """With as many decimals as there are."""
    probability: Format
    day: Format
    month: Format
    """For a number like 202611."""
    left_count: Format
    """A figure that stands under words, to the left like them; so the three below."""
    left_kilograms: Format
    left_percent: Format
    left_probability: Format
    total_label: Format
    total_count: Format
    total_kilograms: Format
    total_percent: Format
    total_probability: Format


def formats_of(book: Workbook) -> Formats:
    """Add the formats to a workbook: greys and one slate, figures with fixed decimals."""

    def add(**properties: Any) -> Format:
        return book.add_format({"valign": "top", "font_size": 10, **properties})

    ruled = {"bottom": 4, "bottom_color": LINE}
    left = {"align": "left", "indent": 1}
    head = {
        "bold": True,
        "font_color": "#FFFFFF",
        "bg_color": SLATE,
        "text_wrap": True,
        "valign": "vcenter",
    }
    total = {"bold": True, "top": 1, "top_color": SLATE}
    return Formats(
        title=add(bold=True, font_size=16, font_color=SLATE),
        header=add(align="left", indent=1, **head),
        figure_header=add(align="right", **head),
        label=add(font_color=SLATE, text_wrap=True, align="left", indent=1),
        text=add(text_wrap=True, align="left", indent=1, **ruled),
        long_text=add(align="left", indent=1, **ruled),
        strong=add(bold=True, text_wrap=True, align="left", indent=1, **ruled),
        count=add(num_format="0", **ruled),
        percent=add(num_format="0.0", **ruled),
        kilograms=add(num_format="0.00", **ruled),
        money=add(num_format="0.00", **ruled),
        volts=add(num_format="0.000", align="right", text_wrap=True, **ruled),
        figure=add(align="right", **ruled),
        probability=add(num_format="0.0000", **ruled),
        day=add(num_format="yyyy-mm-dd", **left, **ruled),
        month=add(num_format='0000"-"00', bold=True, **left, **ruled),
        left_count=add(num_format="0", **left, **ruled),
        left_kilograms=add(num_format="0.00", **left, **ruled),
        left_percent=add(num_format="0.0", **left, **ruled),
        left_probability=add(num_format="0.0000", **left, **ruled),
        total_label=add(align="left", indent=1, **total),
        total_count=add(num_format="0", **total),
        total_kilograms=add(num_format="0.00", **total),
        total_percent=add(num_format="0.0", **total),
        total_probability=add(num_format="0.0000", **total),
    )


def write_cell(sheet: Worksheet, row: int, column: int, value: CellValue, look: Format) -> None:
    """Write one value; rows and columns count from 0. Text is never a formula or a link."""
    if value is None or value == "":
        left_out = sheet.write_blank(row, column, None, look)
    elif isinstance(value, str):
        left_out = _write_text(sheet, row, column, _cell_text(value), look)
    elif isinstance(value, date):
        left_out = sheet.write_datetime(row, column, value, look)
    else:
        left_out = sheet.write_number(row, column, value, look)
    if left_out:  # the library says so with no more than a number
        raise ValueError(f"row {row + 1}, column {column + 1} of {sheet.name} could not be written")


def _write_text(sheet: Worksheet, row: int, column: int, text: str, look: Format) -> int:
    """Write a text; one that looks like a code for a sign (``_x0041_``) is cut into runs within the code.

    The library would write another code before it, which some readers do not take away again.
    """
    runs = _BEFORE_CODE.split(text) if "_x" in text else [text]
    if len(runs) == 1:
        return int(sheet.write_string(row, column, text, look))
    return int(sheet.write_rich_string(row, column, *(part for run in runs for part in (look, run)), look))


def _cell_text(value: str) -> str:
    text = without_control_signs(value)
    if text.startswith("<r>"):
        text = f" {text}"  # the writer takes such text for its own rich-text markup
    if len(text) <= _LONGEST_TEXT // 2:
        return text
    units = text.encode("utf-16-le")
    if len(units) <= 2 * _LONGEST_TEXT:
        return text
    return units[: 2 * (_LONGEST_TEXT - 1)].decode("utf-16-le", errors="ignore") + "…"


class ListColumn(NamedTuple, Generic[Row]):
    """One column of a list sheet: header with its unit, width in characters, format, and its value."""

    header: str
    width: float
    look: Format
    value: Callable[[Row], CellValue]
    figure: bool = False
    """Whether it holds numbers; they and their header stand to the right."""


def write_list(
    sheet: Worksheet, columns: Sequence[ListColumn[Row]], rows: Iterable[Row], looks: Formats
) -> None:
    """Write a header row and one row for each record, with a filter and the header kept in sight."""
    widths = [column.width for column in columns]
    heads = [looks.figure_header if column.figure else looks.header for column in columns]
    for place, column in enumerate(columns):
        sheet.set_column(place, place, column.width)
    _write_row(sheet, 0, [column.header for column in columns], heads, widths)
    cell_looks = [column.look for column in columns]
    line = 0
    for line, record in enumerate(rows, start=1):
        _write_row(sheet, line, [column.value(record) for column in columns], cell_looks, widths)
        for heights in _HEIGHTS:
            getattr(sheet, heights, {}).pop(line - 1, None)
    sheet.autofilter(0, 0, max(line, 1), len(columns) - 1)
    sheet.freeze_panes(1, 1)


def _write_row(
    sheet: Worksheet,
    row: int,
    values: Sequence[CellValue],
    looks: Sequence[Format],
    widths: Sequence[float],
) -> None:
    """Write the cells of one row and make it as high as its longest wrapped text."""
    for place, (value, look) in enumerate(zip(values, looks, strict=True)):
        write_cell(sheet, row, place, value, look)
    lines = max(
        (
            lines_in_cell(value, width)
            for value, look, width in zip(values, looks, widths, strict=True)
            if isinstance(value, str) and look.text_wrap
        ),
        default=1,
    )
    sheet.set_row(row, row_height_pt(lines))


def row_height_pt(lines: int) -> float:
    """Return how high a row with so many lines of text stands, in points."""
    return min(_LINE_PT * lines + _PADDING_PT, _HIGHEST_ROW_PT)


def lines_in_cell(text: str, width: float) -> int:
    """Return how many lines a wrapped text takes in a column so many characters wide, on the safe side."""
    room = max(int(width * _LETTERS_PER_WIDTH), 1)
    return sum(
        1 if len(line) <= room else max(1, len(textwrap.wrap(line, room))) for line in text.split("\n")
    )


def set_up_print(sheet: Worksheet, *, paper: Paper, batch: str, landscape: bool, repeat_header: bool) -> None:
    """Make the sheet print one page wide, with batch, sheet name and page number below."""
    sheet.set_paper(_PAPER_NUMBER[paper])
    if landscape:
        sheet.set_landscape()
    if repeat_header:
        sheet.repeat_rows(0)
    sheet.fit_to_pages(1, 0)
    side, below = 8 * _INCH_PER_MM, 15 * _INCH_PER_MM
    sheet.set_margins(left=side, right=side, top=side, bottom=below)
    sheet.set_footer(f"&L{batch}&C&A&RPage &P of &N")
    sheet.hide_gridlines(2)
