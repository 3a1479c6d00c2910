"""Lists of any length: columns share the width, figures stand on their decimal points, the head repeats."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Generic, NamedTuple, TypeVar, overload

from intake.report.drawing.blocks import (
    RowLook,
    line_of,
    place_row,
    row_block,
    side_by_side,
    stack,
    text_lines,
)
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.kept_together import with_units_kept
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import SLATE
from intake.report.drawing.styles import HEAD, PART, STRONG, TEXT
from intake.report.drawing.typesetter import Style, Typesetter

GAP = 8.0
"""Points between columns."""
_LOOK = RowLook(above=1.6, below=1.9, rule_width=0.4)
_WRITING_LINE = 15.0
"""Height of a cell that is written in by hand."""


class Align(StrEnum):
    """How a column stands."""

    LEFT = "left"
    POINT = "point"
    """Figures, with their decimal points below each other, to the right."""


class Column(NamedTuple):
    """One column: its head, its share of the width, how it stands and how it is set."""

    head: str
    share: float
    align: Align = Align.LEFT
    style: Style = TEXT


@dataclass(frozen=True, slots=True)
class Words:
    """Text in a style of its own."""

    text: str
    style: Style


Part = str | Words | Block
Cell = Part | tuple[Part, ...]
"""A text, something drawn, or several of them below each other."""
Row = Sequence[Cell]
Thing = TypeVar("Thing")


class RowsOf(Sequence[Row], Generic[Thing]):
    """A row for each of ``things``, made when it is placed: a list of a large batch is never whole in memory.

    Parameters
    ----------
    things
        In the order of the rows.
    make
        Makes the row of one; asked again, it has to make the same.
    """

    def __init__(self, things: Sequence[Thing], make: Callable[[Thing], Row]) -> None:
        self._things = things
        self._make = make

    def __len__(self) -> int:
        return len(self._things)

    @overload
    def __getitem__(self, place: int) -> Row: ...

    @overload
    def __getitem__(self, place: slice) -> Sequence[Row]: ...

    def __getitem__(self, place: int | slice) -> Row | Sequence[Row]:
        if isinstance(place, slice):
            return RowsOf(self._things[place], self._make)
        return self._make(self._things[place])


TO_WRITE = Block(_WRITING_LINE, ())
"""A cell that is left free for handwriting."""


class ListTable:
    """Sets rows under the heads of their columns.

    Parameters
    ----------
    setter
        Measures and wraps the texts.
    columns
        From the left.
    width
        Of the whole table, in points.
    rows
        All rows: their figures decide where the decimal points stand.
    sum_rows
        How many of the last rows are sums, set in bold.
    """

    def __init__(
        self,
        setter: Typesetter,
        columns: Sequence[Column],
        rows: Sequence[Row],
        *,
        width: float,
        sum_rows: int = 0,
    ) -> None:
        unit = (width - GAP * (len(columns) - 1)) / sum(column.share for column in columns)
        self._setter = setter
        self._columns = columns
        self._rows = rows
        self._width = width
        self._widths = [column.share * unit for column in columns]
        self._lefts = [sum(self._widths[:place]) + GAP * place for place in range(len(columns))]
        self._sums_from = len(rows) - sum_rows
        self._points = self._decimal_points()

    def place(self, flow: Flow, *, title: str = "") -> None:
        """Place the table; on each further page its head repeats, below ``title``, continued.

        Neither the first row nor the last stands alone on its page: the one beside it goes with it.
        """
        head = self._head()
        again = text_lines(self._setter, f"{title}, continued", PART, self._width) if title else []
        flow.keep_with_next(head)
        with flow.repeating(stack([*again, head])):
            for number in range(len(self._rows)):
                if number in (0, len(self._rows) - 2) and self._parts_from_next(flow, number):
                    flow.turn_page()
                place_row(flow, [self._cells(number)], look=_LOOK)

    def _parts_from_next(self, flow: Flow, number: int) -> bool:
        """Say whether this page has room for a row, and a new one, not this one, for the next as well."""
        if number + 1 >= len(self._rows):
            return False
        one, two = (
            row_block([self._cells(place)], _LOOK, self._width).height for place in (number, number + 1)
        )
        return one <= flow.room < one + two <= flow.full_room - flow.waiting

    def block(self) -> Block:
        """Return the whole table as one block: for tables that are sure to fit on a page."""
        rows = [row_block([self._cells(number)], _LOOK, self._width) for number in range(len(self._rows))]
        return stack([self._head(), *rows])

    def _head(self) -> Block:
        cells = []
        for left, width, column in zip(self._lefts, self._widths, self._columns, strict=True):
            lines = self._setter.wrap(column.head, HEAD, width)
            right = column.align is Align.POINT
            places = [width - self._setter.width(line, HEAD) if right else 0.0 for line in lines]
            cells.append(
                (left, stack([line_of(HEAD, (x, line)) for x, line in zip(places, lines, strict=True)]))
            )
        block = side_by_side(cells)
        height = block.height + 3
        return Block(
            height, [*block.placed, (LineMark(0, height, self._width, height, 0.9, SLATE), 0.0, 0.0)]
        )

    def _cells(self, number: int) -> list[tuple[float, list[Block]]]:
        row = self._rows[number]
        return [(left, self._lines(number, place, row[place])) for place, left in enumerate(self._lefts)]

    def _lines(self, number: int, place: int, cell: Cell) -> list[Block]:
        parts = cell if isinstance(cell, tuple) else (cell,)
        return [line for part in parts for line in self._part(number, place, part)]

    def _part(self, number: int, place: int, part: Part) -> list[Block]:
        if isinstance(part, Block):
            return [part]
        text, style = (
            (part.text, part.style) if isinstance(part, Words) else (part, self._style(number, place))
        )
        if not text:
            return []
        if self._columns[place].align is Align.POINT:
            shown = self._setter.printable(text)
            before = self._setter.width(shown.partition(".")[0], style)
            return [line_of(style, (self._points[place] - before, shown))]
        return text_lines(self._setter, with_units_kept(text), style, self._widths[place])

    def _style(self, number: int, place: int) -> Style:
        return STRONG if number >= self._sums_from else self._columns[place].style

    def _decimal_points(self) -> list[float]:
        """Return where the decimal points stand, so that the longest decimals end at the column's edge."""
        figures = [place for place, column in enumerate(self._columns) if column.align is Align.POINT]
        widest = dict.fromkeys(figures, 0.0)
        for number, row in enumerate(self._rows if figures else ()):
            for place in figures:
                text = row[place]
                if isinstance(text, str):
                    _, point, decimals = text.partition(".")
                    width = self._setter.width(point + decimals, self._style(number, place))
                    widest[place] = max(widest[place], width)
        return [width - widest[place] if place in widest else 0.0 for place, width in enumerate(self._widths)]
