"""Small tables of words and figures, figures aligned on the decimal point, as blocks."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from intake.report.flow import Block
from intake.report.fonts import Face
from intake.report.marks import LineMark
from intake.report.page import Placed
from intake.report.palette import RULE, SLATE
from intake.report.setting import line_of, side_by_side, stack, text_lines
from intake.report.typesetter import Style, Typesetter

HEAD = Style(7.5, Face.BOLD, SLATE)
BODY = Style(8.5)
STRONG = Style(8.5, Face.BOLD)
_GAP = 8.0
"""Room between columns."""
_PADDING = 2.0


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
    """The texts of one row; ``mark`` is drawn before the first."""

    cells: tuple[str, ...]
    style: Style = BODY
    mark: Block | None = None


def small_table(setter: Typesetter, columns: Sequence[Column], rows: Sequence[Row]) -> Block:
    """Return the whole table as one block: for tables that are sure to fit on a page."""
    lefts = [sum(column.width + _GAP for column in columns[:place]) for place in range(len(columns))]
    points = [_point_place(setter, column, place, rows) for place, column in enumerate(columns)]
    header = side_by_side(
        [(left, _header(setter, column)) for left, column in zip(lefts, columns, strict=True)]
    )
    width = lefts[-1] + columns[-1].width
    lines = [_ruled(header, width, 0.8)]
    for row in rows:
        cells = [
            (left, _cell(setter, column, text, row, point))
            for left, column, text, point in zip(lefts, columns, row.cells, points, strict=True)
        ]
        if row.mark is not None:
            cells.insert(0, (0.0, row.mark))
        lines.append(_ruled(side_by_side(cells), width, 0.4))
    return stack(lines)


def _ruled(block: Block, width: float, thickness: float) -> Block:
    height = block.height + 2 * _PADDING
    placed: list[Placed] = [(mark, dx, dy + _PADDING) for mark, dx, dy in block.placed]
    placed.append((LineMark(0, height, width, height, thickness, RULE), 0.0, 0.0))
    return Block(height, placed)


def _header(setter: Typesetter, column: Column) -> Block:
    lines = text_lines(setter, column.header, HEAD, column.width)
    if column.align is Align.LEFT:
        return stack(lines)
    texts = setter.wrap(column.header, HEAD, column.width)
    return stack([line_of(HEAD, (column.width - setter.width(text, HEAD), text)) for text in texts])


def _point_place(setter: Typesetter, column: Column, place: int, rows: Sequence[Row]) -> float:
    """Return where the decimal points stand, so that the longest decimals end at the column's edge."""
    if column.align is Align.LEFT:
        return 0.0
    longest = max((setter.width(_decimals(row.cells[place]), row.style) for row in rows), default=0.0)
    return column.width - longest


def _decimals(text: str) -> str:
    _, point, rest = text.partition(".")
    return point + rest


def _cell(setter: Typesetter, column: Column, text: str, row: Row, point: float) -> Block:
    if column.align is Align.POINT:
        whole = text.partition(".")[0]
        return line_of(row.style, (point - setter.width(whole, row.style), text))
    indent = _MARK_WIDTH if row.mark is not None and text == row.cells[0] else 0.0
    return stack(text_lines(setter, text, row.style, column.width - indent, x=indent))


_MARK_WIDTH = 12.0
