"""Small tables of words and figures, figures aligned on the decimal point, as blocks."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from intake.report.drawing.blocks import line_of, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block
from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import LineMark
from intake.report.drawing.page import Placed
from intake.report.drawing.palette import RULE, SLATE
from intake.report.drawing.typesetter import Style, Typesetter

HEAD = Style(7.5, Face.BOLD, SLATE)
BODY = Style(8.5)
STRONG = Style(8.5, Face.BOLD)
COLUMN_GAP = 8.0
_PADDING = 1.8


class Align(StrEnum):
    """How a column stands."""

    LEFT = "left"
    POINT = "point"
    """Figures, with their decimal points below each other, to the right."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column: header, width in points, alignment."""

    header: str
    width: float
    align: Align = Align.LEFT


@dataclass(frozen=True, slots=True)
class Row:
    """The texts of one row; ``mark`` is drawn before the first, which stands ``indent`` points in."""

    cells: tuple[str, ...]
    style: Style = BODY
    mark: Block | None = None
    indent: float = 0.0


def small_table(setter: Typesetter, columns: Sequence[Column], rows: Sequence[Row]) -> Block:
    """Return the whole table as one block: for tables that are sure to fit on a page."""
    head, lines = table_parts(setter, columns, rows)
    return stack([head, *lines])


def table_parts(
    setter: Typesetter, columns: Sequence[Column], rows: Sequence[Row]
) -> tuple[Block, list[Block]]:
    """Return the head and the rows of a table by themselves: for tables that go on over pages."""
    table = _Table(setter, columns, rows)
    return table.head(), [table.row(row) for row in rows]


class _Table:
    def __init__(self, setter: Typesetter, columns: Sequence[Column], rows: Sequence[Row]) -> None:
        self._setter = setter
        self._columns = columns
        self._rows = rows
        self._lefts = [
            sum(column.width + COLUMN_GAP for column in columns[:place]) for place in range(len(columns))
        ]
        self._points = [self._point_place(place) for place in range(len(columns))]

    def head(self) -> Block:
        heads = [(left, self._head(column)) for left, column in zip(self._lefts, self._columns, strict=True)]
        return self._ruled(side_by_side(heads), 0.8)

    def row(self, row: Row) -> Block:
        cells = [(0.0, row.mark)] if row.mark is not None else []
        cells += [(left, self._cell(row, place)) for place, left in enumerate(self._lefts)]
        return self._ruled(side_by_side(cells), 0.4)

    def _head(self, column: Column) -> Block:
        lines = self._setter.wrap(column.header, HEAD, column.width)
        right = column.align is Align.POINT
        return stack(
            [
                line_of(HEAD, (column.width - self._setter.width(line, HEAD) if right else 0.0, line))
                for line in lines
            ]
        )

    def _point_place(self, place: int) -> float:
        """Return where the decimal points stand, so that the longest decimals end at the column's edge."""
        if self._columns[place].align is Align.LEFT:
            return 0.0
        decimals = (self._setter.width(_decimals(row.cells[place]), row.style) for row in self._rows)
        return self._columns[place].width - max(decimals, default=0.0)

    def _cell(self, row: Row, place: int) -> Block:
        text, column = row.cells[place], self._columns[place]
        if column.align is Align.POINT:
            whole = text.partition(".")[0]
            return line_of(row.style, (self._points[place] - self._setter.width(whole, row.style), text))
        indent = 0.0 if place else row.indent
        return stack(text_lines(self._setter, text, row.style, column.width - indent, x=indent))

    def _ruled(self, block: Block, thickness: float) -> Block:
        width = self._lefts[-1] + self._columns[-1].width
        height = block.height + 2 * _PADDING
        placed: list[Placed] = [(mark, dx, dy + _PADDING) for mark, dx, dy in block.placed]
        placed.append((LineMark(0, height, width, height, thickness, RULE), 0.0, 0.0))
        return Block(height, placed)


def _decimals(text: str) -> str:
    _, point, rest = text.partition(".")
    return point + rest
