"""The rows of one worksheet that hold something, cell by cell, from a book that the library has opened."""

import math
import re
from collections.abc import Iterator
from typing import Any

from intake.model.raw_workbook import CellKind, CellValue, RawCell, RawRow, WorkbookRefused
from intake.workbook.reading.limits import CHARACTERS_MOST, TEXT_LENGTH_MOST
from intake.workbook.reading.open_book import OpenBook, SheetPlace
from intake.workbook.reading.packed_cells import CellPacker
from intake.workbook.reading.sheet_scan import SheetFacts

_BLANK = re.compile(r"[\s\u200b-\u200f\u2060\ufeff]*")
"""White space, and signs that take no room."""


def read_rows(book: OpenBook, sheet: SheetPlace, facts: SheetFacts) -> Iterator[RawRow]:
    """Yield the rows down to the last one that holds something.

    Raises
    ------
    WorkbookRefused
        a text is longer than the file format allows, or all texts together are too long.
    Exception
        whatever the library raises where the sheet does not fit the rest of the workbook.
    """
    from openpyxl.worksheet._reader import WorkSheetParser

    if facts.last_row == 0:
        return
    packer, characters = CellPacker(), 0
    with book.open_part(sheet.part) as source:
        parser = WorkSheetParser(source, **book.parser_settings)
        for number, entries in parser.parse():
            parser.row_dimensions.clear()
            cells = [
                _raw_cell(sheet, number, entry, book)
                for entry in entries
                if (value := entry["value"]) is not None
                and not (isinstance(value, str) and _BLANK.fullmatch(value))
            ]
            characters += sum(len(one.value) for one in cells if isinstance(one.value, str))
            if characters > CHARACTERS_MOST:
                raise WorkbookRefused(
                    f"Sheet {sheet.name!r} has over {CHARACTERS_MOST:,} characters in its cells down to row"
                    f" {number:,}, and no more are read.",
                    "Shorten the long texts, or split the batch.",
                )
            for column in facts.unsaved_formulas.get(number, ()):
                cells.append(RawCell(number, column, None, CellKind.UNSAVED_FORMULA))
            if cells:
                cells.sort(key=_column)
                yield RawRow(number, packer.packed(number, cells))
            if number >= facts.last_row:
                return


def _column(cell: RawCell) -> int:
    return cell.column


def _raw_cell(sheet: SheetPlace, row: int, entry: dict[str, Any], book: OpenBook) -> RawCell:
    value: CellValue = entry["value"]
    column = entry["column"]
    if isinstance(value, str) and len(value) > TEXT_LENGTH_MOST:
        raise WorkbookRefused(
            f"Sheet {sheet.name!r} has {len(value):,} characters in row {row}, column {column},"
            f" and at most {TEXT_LENGTH_MOST:,} are read.",
            "Shorten the text.",
        )
    if type(value) is int:
        value = _within_float(value)
    kind = CellKind.ERROR if entry["data_type"] == "e" else CellKind.VALUE
    return RawCell(row, column, value, kind, book.number_formats.of(entry["style_id"]))


def _within_float(value: int) -> int | float:
    """Return the number, or infinity where it is too large for any calculation."""
    try:
        float(value)
    except OverflowError:
        return math.inf if value > 0 else -math.inf
    return value
