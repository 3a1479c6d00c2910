"""One streaming pass over a worksheet: what the reading library would lose in silence is seen or refused."""

import re
from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple
from xml.parsers.expat import XMLParserType

from intake.model.raw_workbook import WorkbookRefused
from intake.workbook.reading.limits import (
    COLUMN_NUMBER_MOST,
    NESTING_MOST,
    OTHER_ELEMENTS_MOST,
    ROW_ELEMENTS_MOST,
    ROW_NUMBER_MOST,
    ROWS_MOST,
    TEXT_LENGTH_MOST,
)

SPREADSHEET = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
"""The namespace of an ordinary .xlsx workbook."""

SAVE_AGAIN = "Open it in a spreadsheet program, save it under a new name as .xlsx, and use the new file."
"""What to do about a workbook that is damaged or oddly made."""
SPLIT = "Take out what does not belong to the intake, or split the batch."
"""What to do about a workbook that is too large."""

_DATA, _ROW, _CELL, _VALUE, _FORMULA, _INLINE, _FILTER = (
    f"{SPREADSHEET} {name}" for name in ("sheetData", "row", "c", "v", "f", "is", "autoFilter")
)
_DATA_DEPTH, _ROW_DEPTH, _CELL_DEPTH, _VALUE_DEPTH = 2, 3, 4, 5
_CELL_TYPES = frozenset({"b", "d", "e", "inlineStr", "n", "s", "str"})
_NUMBER = re.compile(r"\s*[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?\s*", re.ASCII)


class SheetFacts(NamedTuple):
    """What one worksheet's own text says, before any cell is read."""

    last_row: int
    """Last row that holds a value or an unsaved formula; 0 if none does."""
    last_column: int
    value_cells: int
    hidden_rows: frozenset[int]
    """Hidden rows that hold a value, down to the last row that is read of any sheet."""
    filtered: bool
    unsaved_formulas: Mapping[int, tuple[int, ...]] = {}
    """Columns of formulas without a saved value, by row; down to the last row that is read of any sheet."""
    no_number: tuple[int, int] | None = None
    """Row and column of the first cell that is marked as a number and holds none, such as NaN."""


class SheetScanner:
    """Takes over a parser at the ``worksheet`` element and follows it to the end."""

    def __init__(self, parser: XMLParserType) -> None:
        self._parser = parser
        self.row_began: int | None = None
        """Where in the part the row began that has not ended yet, in bytes."""
        self._depth = 1
        self._others = self._in_row = 0
        self._in_data = self._in_value = self._filtered = False
        self._row = self._column = self._last_row = self._last_column = self._value_cells = 0
        self._row_text = ""
        self._row_hidden = False
        self._hidden: set[int] = set()
        self._unsaved: dict[int, list[int]] = {}
        self._no_number: tuple[int, int] | None = None
        self._type = "n"
        self._text = ""
        self._has_value = self._has_formula = self._has_inline = False
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters

    def facts(self) -> SheetFacts:
        """Return what was seen, once the part has been read to its end."""
        unsaved = {row: tuple(columns) for row, columns in self._unsaved.items()}
        return SheetFacts(
            self._last_row,
            self._last_column,
            self._value_cells,
            frozenset(self._hidden),
            self._filtered,
            unsaved,
            self._no_number,
        )

    def _start(self, name: str, attributes: dict[str, str]) -> None:
        self._depth = depth = self._depth + 1
        if self._in_data and depth <= _VALUE_DEPTH:
            if depth == _VALUE_DEPTH:
                self._start_content(name)
            elif depth == _CELL_DEPTH:
                self._start_cell(name, attributes)
            else:
                self._start_row(name, attributes)
            return
        if depth > NESTING_MOST:
            _refuse(f"nests over {NESTING_MOST} deep")
        if self._in_data:
            self._count_in_row()
        else:
            self._start_beside(name, depth)

    def _start_beside(self, name: str, depth: int) -> None:
        self._others += 1
        if self._others > OTHER_ELEMENTS_MOST:
            _refuse(f"holds over {OTHER_ELEMENTS_MOST:,} pieces beside its cells")
        if name == _DATA and depth == _DATA_DEPTH:
            self._start_table()
        elif name in (_ROW, _DATA):
            _refuse("has rows outside its table")
        elif name == _FILTER and depth == _DATA_DEPTH:
            self._filtered = True

    def _start_table(self) -> None:
        self._in_data = True
        if self._others > ROW_ELEMENTS_MOST:
            _refuse(f"holds over {ROW_ELEMENTS_MOST:,} pieces above its cells")

    def _count_in_row(self) -> None:
        """Count what a cell holds beside its value: the reading library keeps it until the row ends."""
        self._in_row += 1
        if self._in_row > ROW_ELEMENTS_MOST:
            _refuse(f"holds over {ROW_ELEMENTS_MOST:,} pieces inside the cells of row {self._row}")

    def _end(self, _name: str) -> None:
        depth = self._depth
        self._depth = depth - 1
        if self._in_data:
            if depth == _VALUE_DEPTH:
                self._in_value = False
            elif depth == _CELL_DEPTH:
                self._end_cell()
            elif depth == _ROW_DEPTH:
                self.row_began = None
            elif depth == _DATA_DEPTH:
                self._in_data = False

    def _characters(self, data: str) -> None:
        if self._in_value:
            self._text += data
            if len(self._text) > TEXT_LENGTH_MOST:
                _refuse(f"has a text of over {TEXT_LENGTH_MOST:,} characters in row {self._row}")

    def _start_row(self, name: str, attributes: dict[str, str]) -> None:
        if name != _ROW:
            _refuse("has something other than rows in its table")
        text = attributes.get("r") or str(self._row + 1)
        row = int(text) if text.isascii() and text.isdigit() and len(text) <= len(str(ROW_NUMBER_MOST)) else 0
        if not 1 <= row <= ROW_NUMBER_MOST or str(row) != text:
            _refuse(f"has a row numbered {text[:20]}, and rows run from 1 to {ROW_NUMBER_MOST:,}")
        if row <= self._row:
            _refuse(f"has row {row} after row {self._row}, so its rows are out of order or stand twice")
        self._row, self._row_text, self._column = row, text, 0
        self.row_began, self._in_row = self._parser.CurrentByteIndex, 0
        self._row_hidden = attributes.get("hidden") in ("1", "true")

    def _start_cell(self, name: str, attributes: dict[str, str]) -> None:
        if name != _CELL:
            _refuse(f"has something other than cells in row {self._row}")
        self._has_value = self._has_formula = self._has_inline = False
        self._text = ""
        ref = attributes.get("r")
        if ref is None:
            column = self._column + 1
        else:
            column = _column_number(ref.removesuffix(self._row_text)) if ref.endswith(self._row_text) else 0
        if not 1 <= column <= COLUMN_NUMBER_MOST:
            _refuse(f"has a cell named {(ref or 'beyond XFD')[:20]} in row {self._row}")
        if column <= self._column:
            _refuse(f"has cell {ref} out of order in row {self._row}")
        self._column = column
        self._type = kind = attributes.get("t", "n")
        if kind not in _CELL_TYPES:
            _refuse(f"has a cell of an unknown type in row {self._row}")

    def _start_content(self, name: str) -> None:
        if name == _VALUE:
            if self._has_value:
                _refuse(f"has a cell with two values in row {self._row}")
            self._has_value = self._in_value = True
            return
        self._count_in_row()
        if name == _FORMULA:
            self._has_formula = True
        elif name == _INLINE:
            self._has_inline = True

    def _end_cell(self) -> None:
        text, kind = self._text, self._type
        if self._has_inline != (kind == "inlineStr") and (self._has_inline or text):
            _refuse(f"has a text in row {self._row} that is marked as something else")
        if text:
            if kind == "s" and not (text.isascii() and text.strip().isdigit()):
                _refuse(f"has a cell in row {self._row} that points to no text")
            if kind == "n" and (not text.isascii() or "_" in text):
                _refuse(f"has a number in row {self._row} that is not written in the digits 0 to 9")
            if kind == "n" and not _NUMBER.fullmatch(text):
                self._no_number = self._no_number or (self._row, self._column)
        elif self._has_formula and not (self._has_value and kind == "str"):
            if self._row <= ROWS_MOST:
                self._unsaved.setdefault(self._row, []).append(self._column)
        elif not self._has_inline:
            return
        self._value_cells += 1
        self._last_row = self._row
        if self._column > self._last_column:
            self._last_column = self._column
        if self._row_hidden and self._row <= ROWS_MOST:
            self._hidden.add(self._row)


@lru_cache(maxsize=COLUMN_NUMBER_MOST)
def _column_number(letters: str) -> int:
    """Return the number of a column such as ``AB``; 0 for anything else."""
    if not (0 < len(letters) <= len("XFD") and letters.isascii() and letters.isalpha() and letters.isupper()):
        return 0
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number


def _refuse(what: str) -> None:
    raise WorkbookRefused(f"A worksheet of the workbook {what}.", SAVE_AGAIN)
