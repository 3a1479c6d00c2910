"""Rows of a heading to the left and what it says to the right, with its source in small print."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from intake.model.compliance import Statement
from intake.report.drawing.blocks import Cell, RowLook, line_of, place_row, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.fonts import Face
from intake.report.drawing.kept_together import SEPARATOR, with_units_kept
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import GREY, INK, SLATE
from intake.report.drawing.typesetter import Style, Typesetter

TEXT = Style(8.5)
STRONG = Style(8.5, Face.BOLD)
SMALL = Style(7, colour=GREY)
_SECTION = Style(14, Face.BOLD, SLATE)
_PART = Style(9.5, Face.BOLD, SLATE)
_ROW = RowLook(above=2.5, below=2.5, rule_width=0.3)
_LEFT_SHARE, _GUTTER = 0.29, 10.0
WITHHELD = "confirm locally"
"""Printed in place of a value that was not checked or is not in force."""
_WRITING_HEIGHT = 18.0
"""Of a line to be filled in by hand."""
_LEAST_LINE = 100.0
"""Points that a line to write on has beside what is known; else it stands below."""
_DASH = 9.0
_BETWEEN = 18.0
"""Room between columns of lines to fill in."""
CONTINUED = Style(10, Face.BOLD, SLATE)


class Clauses:
    """Sets and places headings, clauses and lines to fill in, over the whole width."""

    def __init__(self, setter: Typesetter, width: float) -> None:
        self.setter = setter
        self.width = width
        self.left = _LEFT_SHARE * width
        """Where the right column begins."""

    def lines(self, text: str, style: Style, *, x: float = 0.0, width: float | None = None) -> list[Block]:
        """Return text as lines from ``x`` to the right edge, or no wider than ``width``."""
        room = self.width - x if width is None else width
        return text_lines(self.setter, with_units_kept(text), style, room, x=x)

    def section(self, flow: Flow, title: str, remark: str = "") -> None:
        """Hold back the heading of a section, with a remark below it, for what follows."""
        flow.space(13)
        lines = [*self.lines(title, _SECTION), Block(1, ())]
        lines += self.lines(remark, SMALL) if remark else []
        block = stack([*lines, Block(2, ())])
        flow.keep_with_next(Block(block.height, block.placed, outline=(" ".join(title.split()), 0)))

    @contextmanager
    def continued(self, flow: Flow, title: str) -> Iterator[None]:
        """Name the section again at the top of each page that it goes on over."""
        with flow.repeating(stack([*self.lines(f"{title}, continued", CONTINUED), Block(2, ())])):
            yield

    def part(self, flow: Flow, title: str) -> None:
        """Hold back the heading of a part of a section for what follows."""
        flow.space(6)
        flow.keep_with_next(stack([*self.lines(title, _PART), Block(1, ())]))

    def statements(self, flow: Flow, title: str, statements: Sequence[Statement]) -> None:
        """Place a part with its statements; none: nothing."""
        if statements:
            self.part(flow, title)
        for one in statements:
            self.statement(flow, one)

    def statement(self, flow: Flow, one: Statement, remark: str = "") -> None:
        """Place a statement; without a text, its heading and a line to fill in."""
        validity = _validity(one)
        if one.text is None:
            withheld = ", ".join(part for part in (WITHHELD, validity) if part)
            self.row(flow, one.heading, [*self._withheld(withheld), *self._remark(remark)])
            return
        small = SEPARATOR.join(part for part in (one.source, one.checked, validity, remark) if part)
        self.row(flow, one.heading, [*self._right(one.text, TEXT), *self._remark(small)])

    def row(self, flow: Flow, heading: str, right: list[Block]) -> None:
        """Place a heading beside lines that stand in the right column."""
        cells: list[Cell] = [
            (0.0, self.lines(heading, STRONG, width=self.left - _GUTTER)),
            (self.left, right),
        ]
        place_row(flow, [cells], look=_ROW)

    def points(self, flow: Flow, heading: str, remark: str, texts: Sequence[str], source: str) -> None:
        """Place a heading with a remark beside texts, each with a dash before it, and their source."""
        left_width = self.left - _GUTTER
        left = [*self.lines(heading, STRONG, width=left_width), *self.lines(remark, SMALL, width=left_width)]
        right = [line for text in texts for line in self._point(text)] + self._remark(source)
        place_row(flow, [[(0.0, left), (self.left, right)]], look=_ROW)

    def text_row(self, flow: Flow, heading: str, text: str) -> None:
        """Place a heading beside a text."""
        self.row(flow, heading, self._right(text, TEXT))

    def to_fill(self, label: str, *, width: float, known: str = "", label_width: float = 0.0) -> Block:
        """Return a label, what is known beside it, and a line to write on for the rest of ``width``."""
        head = text_lines(self.setter, label, TEXT, label_width - 6 if label_width else width)
        begin = label_width or self.setter.width(self.setter.printable(label), TEXT) + 5
        beside = text_lines(self.setter, known, STRONG, width - begin) if known else []
        end = begin + self._after(known)
        below = bool(known) and (len(beside) > 1 or width - end < _LEAST_LINE)
        left = begin if below or not known else end
        used = max(len(head), len(beside)) * TEXT.leading
        height = max(_WRITING_HEIGHT, used + 4) + (_WRITING_HEIGHT if below else 0.0)
        top = 0.0 if below else height - 4 - used
        words = side_by_side([(0.0, stack(head)), (begin, stack(beside))]).placed
        line = LineMark(left, height - 4, width, height - 4, 0.5, INK)
        return Block(height, [*((mark, dx, dy + top) for mark, dx, dy in words), (line, 0.0, 0.0)])

    def _after(self, known: str) -> float:
        return self.setter.width(self.setter.printable(known), STRONG) + 8

    def in_columns(self, blocks: Sequence[Block], *, columns: int) -> list[Block]:
        """Return rows of blocks of equal width beside each other."""
        step = (self.width + _BETWEEN) / columns
        return [
            side_by_side(
                [(place * step, block) for place, block in enumerate(blocks[first : first + columns])]
            )
            for first in range(0, len(blocks), columns)
        ]

    def column_width(self, columns: int) -> float:
        """Return how wide one of so many columns is."""
        return (self.width - _BETWEEN * (columns - 1)) / columns

    def _point(self, text: str) -> list[Block]:
        lines = self.lines(text, TEXT, x=_DASH, width=self.width - self.left - _DASH)
        return [side_by_side([(0.0, line_of(TEXT, (0.0, "–"))), (0.0, lines[0])]), *lines[1:]]

    def _right(self, text: str, style: Style) -> list[Block]:
        width = self.width - self.left
        return text_lines(self.setter, with_units_kept(text), style, width)

    def _remark(self, text: str) -> list[Block]:
        return self._right(text, SMALL) if text else []

    def _withheld(self, text: str) -> list[Block]:
        lines = self._right(text, TEXT)
        begin = self.setter.width(self.setter.wrap(with_units_kept(text), TEXT, self.width)[-1], TEXT) + 6
        line = LineMark(begin, TEXT.leading, self.width - self.left, TEXT.leading, 0.5, INK)
        last = lines[-1]
        return [*lines[:-1], Block(last.height + 3, [*last.placed, (line, 0.0, 0.0)])]


def _validity(one: Statement) -> str:
    """Return the days between which a statement holds, as far as the data limit them."""
    parts = []
    if one.valid_from:
        parts.append(f"valid from {one.valid_from}")
    if one.valid_to:
        parts.append(f"valid until {one.valid_to}")
    return ", ".join(parts)
