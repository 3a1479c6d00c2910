"""The cells of one row in little memory: 48,000 rows of 43 cells have to be held at once."""

from bisect import bisect_left
from collections.abc import ItemsView, Iterator, Mapping
from itertools import repeat
from typing import Any

from intake.model.raw_workbook import CellKind, CellValue, RawCell

_DIFFERENT_MOST = 20_000
"""Texts and row shapes that are kept once however often they stand; more than that are kept as they come."""


class PackedCells(Mapping[int, RawCell]):
    """Cells by column number, each made when it is asked for."""

    __slots__ = ("_columns", "_formats", "_kinds", "_row", "_values")

    def __init__(
        self,
        row: int,
        columns: tuple[int, ...],
        values: tuple[CellValue, ...],
        kinds: tuple[CellKind, ...],
        formats: tuple[str, ...],
    ) -> None:
        """Take one entry for each filled cell, columns rising."""
        self._row = row
        self._columns = columns
        self._values = values
        self._kinds = kinds
        self._formats = formats

    def __getitem__(self, column: int) -> RawCell:
        place = bisect_left(self._columns, column)
        if place == len(self._columns) or self._columns[place] != column:
            raise KeyError(column)
        return RawCell(self._row, column, self._values[place], self._kinds[place], self._formats[place])

    def __iter__(self) -> Iterator[int]:
        return iter(self._columns)

    def __len__(self) -> int:
        return len(self._columns)

    def items(self) -> ItemsView[int, RawCell]:
        """Return all cells by column, made at one go."""
        made = map(RawCell, repeat(self._row), self._columns, self._values, self._kinds, self._formats)
        return dict(zip(self._columns, made, strict=True)).items()


class CellPacker:
    """Packs the rows of one sheet; what many rows share is kept once."""

    def __init__(self) -> None:
        self._seen: dict[Any, Any] = {}

    def packed(self, row: int, cells: list[RawCell]) -> PackedCells:
        """Return the cells of a row, given from the left."""
        _, columns, values, kinds, formats = zip(*cells, strict=True)
        texts = tuple(self._once(value) if type(value) is str else value for value in values)
        return PackedCells(row, self._once(columns), texts, self._once(kinds), self._once(formats))

    def _once(self, value: Any) -> Any:
        if len(self._seen) < _DIFFERENT_MOST:
            return self._seen.setdefault(value, value)
        return self._seen.get(value, value)
