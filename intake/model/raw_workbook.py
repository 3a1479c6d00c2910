"""A workbook as it stands: located cells, nothing judged."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import NamedTuple

WORKBOOK_ENDINGS = (".xlsx", ".xlsm")
"""Of the files that are read, in small letters."""

CellValue = str | int | float | bool | datetime | date | time | timedelta | None


class CellKind(StrEnum):
    """What a cell holds beyond its value."""

    VALUE = "value"
    ERROR = "error"
    """A spreadsheet error such as ``#DIV/0!``; ``value`` is its text."""
    UNSAVED_FORMULA = "unsaved formula"
    """A formula whose result was never saved; ``value`` is None."""


class RawCell(NamedTuple):
    """One cell that holds something."""

    row: int
    """From 1, as the spreadsheet program counts."""
    column: int
    """From 1."""
    value: CellValue
    kind: CellKind = CellKind.VALUE
    number_format: str = "General"

    @property
    def ref(self) -> str:
        """The cell's name, like ``F12``."""
        letters = ""
        rest = self.column
        while rest:
            rest, digit = divmod(rest - 1, 26)
            letters = chr(ord("A") + digit) + letters
        return f"{letters}{self.row}"


class RawRow(NamedTuple):
    """The cells of one row that hold something, by column number. Never empty."""

    number: int
    cells: Mapping[int, RawCell]


class RawSheet(NamedTuple):
    """One worksheet: its rows that hold something, from the top."""

    name: str
    rows: tuple[RawRow, ...]
    hidden_rows: frozenset[int] = frozenset()
    """Rows that hold something and are hidden, by a filter or by hand."""
    filtered: bool = False
    """Whether the sheet carries a filter."""


class RawWorkbook(NamedTuple):
    """The worksheets of one file, in their order."""

    name: str
    """File name without folder."""
    sha256: str
    sheets: tuple[RawSheet, ...] = ()


class WorkbookRefused(Exception):
    """The file cannot be read as an intake workbook. ``str()`` is one plain sentence for the user."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.hint = hint
