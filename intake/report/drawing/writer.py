"""Writes a document from the top down: title, sections, texts, lists, lines to fill in."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from intake.report.drawing.blocks import line_of, place_together, side_by_side, stack, text_lines
from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.kept_together import with_units_kept
from intake.report.drawing.list_table import Column, ListTable, Row
from intake.report.drawing.marks import LineMark
from intake.report.drawing.palette import INK
from intake.report.drawing.styles import HEAD, LABEL, MUTED, PART, SECTION, STRONG, TEXT, TITLE
from intake.report.drawing.two_columns import column_width, divided, height_in_columns, place_in_columns
from intake.report.drawing.typesetter import Style, Typesetter

Fact = tuple[str, str]
"""A name and what is known under it."""
_BULLET, _NUMBER = 9.0, 18.0
_GAP = 3.0
"""Points between paragraphs in columns."""
_BETWEEN = 16.0
"""Points between columns of facts or of lines to fill in."""
_AFTER_TITLE, _MOST_TITLE = 6.0, 0.8
"""Points behind a title in a line, and the share of the line that it may take."""
_WRITING_HEIGHT = 20.0
_LEAST_LINE = 70.0
"""Points that a line to write on has beside what is known; else it stands below."""


class Writer:
    """Puts the parts of a document down, one below the other, over the whole width."""

    def __init__(self, flow: Flow, setter: Typesetter) -> None:
        self.flow = flow
        self.setter = setter
        self.width = flow.sheet.room_width

    def lines(self, text: str, style: Style, *, x: float = 0.0, width: float | None = None) -> list[Block]:
        """Return text as lines from ``x`` to the right edge, or no wider than ``width``."""
        room = self.width - x if width is None else width
        return text_lines(self.setter, with_units_kept(text), style, room, x=x)

    def title(self, text: str, remark: str = "") -> None:
        """Place the title of the document with a remark below it."""
        block = stack([*self.lines(text, TITLE), *(self.lines(remark, MUTED) if remark else [])])
        self.flow.place(Block(block.height, block.placed, outline=(" ".join(text.split()), 0)))
        self.flow.space(6)

    def section(self, text: str, remark: str = "") -> None:
        """Hold back the heading of a section for what follows it."""
        self._heading(text, SECTION, remark, above=11, level=0)

    def part(self, text: str, remark: str = "") -> None:
        """Hold back the heading of a part of a section for what follows it."""
        self._heading(text, PART, remark, above=6, level=1)

    @contextmanager
    def continued(self, title: str) -> Iterator[None]:
        """Name the section again at the top of each page that it goes on over."""
        with self.flow.repeating(stack([*self.lines(f"{title}, continued", PART), Block(2, ())])):
            yield

    def text(self, text: str, style: Style = TEXT) -> None:
        """Place a paragraph, undivided."""
        self.flow.place(stack([*self.lines(text, style), Block(2, ())]))

    def paragraph(self, title: str, text: str) -> None:
        """Place a paragraph, undivided, its title in bold at the start of its first line."""
        self.flow.place(stack([*self.run_in(title, text), Block(2, ())]))

    def columns(self, paragraphs: Sequence[tuple[str, str]], *, undivided: bool = False) -> None:
        """Place titles and texts as paragraphs in two columns, the left one first."""
        place_in_columns(self.flow, self._column_parts(paragraphs, undivided=undivided))

    def height_of_columns(self, paragraphs: Sequence[tuple[str, str]]) -> float:
        """Return how high titles and texts are as paragraphs in two columns on one page."""
        return height_in_columns(self._column_parts(paragraphs, undivided=False))

    def _column_parts(self, paragraphs: Sequence[tuple[str, str]], *, undivided: bool) -> list[Block]:
        own = column_width(self.width)
        told = [self.run_in(title, text, width=own) for title, text in paragraphs]
        parts = [
            [stack([*lines, Block(_GAP, ())])] if undivided else divided(lines, below=_GAP) for lines in told
        ]
        return [part for ones in parts for part in ones]

    def run_in(
        self, title: str, text: str, *, width: float | None = None, style: Style = TEXT
    ) -> list[Block]:
        """Return the lines of a paragraph, its title at the start; a long title has lines of its own."""
        room = self.width if width is None else width
        begin = self.setter.width(self.setter.printable(title), STRONG) + _AFTER_TITLE
        if begin > _MOST_TITLE * room:
            *above, last = self.lines(title, STRONG, width=room)
            begun, *rest = self.lines(text, style, width=room)
            return [*above, stack([last, begun]), *rest]
        first, *others = self.setter.wrap(with_units_kept(text), style, room, begin=begin)
        head = side_by_side(
            [(0.0, stack(self.lines(title, STRONG, width=room))), (begin, line_of(style, (0.0, first)))]
        )
        return [head, *(line_of(style, (0.0, one)) for one in others)]

    def long_text(self, text: str, style: Style = TEXT) -> None:
        """Place a paragraph that may go on over pages."""
        for line in self.lines(text, style):
            self.flow.place(line)
        self.flow.space(4)

    def facts(self, facts: Sequence[Fact], *, columns: int = 1) -> None:
        """Place names and what is known under them, in columns read from the top down."""
        self.flow.place(self.fact_block(facts, columns=columns))
        self.flow.space(4)

    def fact_block(self, facts: Sequence[Fact], *, columns: int = 1, width: float | None = None) -> Block:
        """Return names and what is known under them as one block."""
        room = self.width if width is None else width
        own = (room - _BETWEEN * (columns - 1)) / columns
        rows = -(-len(facts) // columns)
        beside = [facts[first : first + rows] for first in range(0, len(facts), max(rows, 1))]
        label = max((self.setter.width(name, LABEL) for name, _ in facts), default=0.0) + 8
        return side_by_side(
            [
                (place * (own + _BETWEEN), stack([self._fact(one, label, own) for one in ones]))
                for place, ones in enumerate(beside)
            ]
        )

    def points(self, texts: Sequence[str]) -> None:
        """Place texts with a dash before each."""
        for text in texts:
            self.flow.place(self.point(text, "–", _BULLET))

    def point(self, text: str, before: str, indent: float = _NUMBER, style: Style = TEXT) -> Block:
        """Return a text that stands in from a dash or a number."""
        lines = self.lines(text, style, width=self.width - indent)
        words = [(0.0, line_of(style, (0.0, before))), (indent, stack(lines))]
        return stack([side_by_side(words), Block(1, ())])

    def table(
        self,
        columns: Sequence[Column],
        rows: Sequence[Row],
        *,
        title: str = "",
        sum_rows: int = 0,
        whole: bool = False,
    ) -> None:
        """Place a list whose head repeats on each page that it goes on over; ``whole``: on one if it can."""
        table = ListTable(self.setter, columns, rows, width=self.width, sum_rows=sum_rows)
        if whole and (block := table.block()).height + self.flow.waiting <= self.flow.full_room:
            self.flow.place(block)
        else:
            table.place(self.flow, title=title)

    def fill(self, lines: Sequence[Fact], *, columns: int = 2) -> None:
        """Place lines to write on, each with its name and what is known of it."""
        self.flow.place(stack(self.fill_rows(lines, columns=columns)))

    def fill_rows(self, lines: Sequence[Fact], *, columns: int = 2) -> list[Block]:
        """Return rows of lines to write on."""
        own = (self.width - _BETWEEN * (columns - 1)) / columns
        blocks = [self.to_fill(name, known, width=own) for name, known in lines]
        return [
            side_by_side(
                [
                    (place * (own + _BETWEEN), block)
                    for place, block in enumerate(blocks[first : first + columns])
                ]
            )
            for first in range(0, len(blocks), columns)
        ]

    def to_fill(self, name: str, known: str = "", *, width: float) -> Block:
        """Return a name, what is known beside it in bold, and a line to write on."""
        head = self.setter.wrap(name, TEXT, width)
        begin = self.setter.width(head[-1], TEXT) + 5
        told = self.setter.wrap(known, STRONG, width - begin - 4) if known else []
        end = begin + (self.setter.width(told[-1], STRONG) + 6 if told else 0.0)
        below = bool(told) and (len(told) > 1 or width - end < _LEAST_LINE)
        foot = max(len(head), len(told)) * TEXT.leading + 7
        height = foot + (_WRITING_HEIGHT if below else 1.0)
        placed = list(stack([Block(5, ()), *(line_of(TEXT, (0.0, one)) for one in head)]).placed)
        placed += stack([Block(5, ()), *(line_of(STRONG, (begin, one)) for one in told)]).placed
        line = LineMark(0.0 if below else end, height - 1, width, height - 1, 0.5, INK)
        return Block(height + 2, [*placed, (line, 0.0, 0.0)])

    def together(self, blocks: Sequence[Block]) -> None:
        """Place blocks on one page where one can hold them."""
        place_together(self.flow, blocks)

    def sign_off_rows(
        self, roles: Sequence[str], texts: Sequence[str], *, below: Sequence[str] = ()
    ) -> list[Block]:
        """Return the cautions, numbered, with the lines to sign and ``below`` under them."""
        numbered = [self.point(text, str(number)) for number, text in enumerate(texts, start=1)]
        signs = [self._signature(role) for role in roles]
        told = [Block(8, ()), *(line for text in below for line in self.lines(text, MUTED))] if below else []
        return [*numbered, Block(4, ()), *self.lines("Sign-off", PART), *signs, *told]

    def _signature(self, role: str) -> Block:
        width = self.width
        name = self.to_fill(role, width=0.55 * width)
        day = self.to_fill("Date", width=0.17 * width)
        signature = self.to_fill("Signature", width=0.24 * width)
        return side_by_side([(0.0, name), (0.575 * width, day), (0.76 * width, signature)])

    def _heading(self, text: str, style: Style, remark: str, *, above: float, level: int) -> None:
        self.flow.space(above)
        lines = [*self.lines(text, style), *(self.lines(remark, MUTED) if remark else []), Block(2, ())]
        block = stack(lines)
        self.flow.keep_with_next(Block(block.height, block.placed, outline=(" ".join(text.split()), level)))

    def _fact(self, fact: Fact, label: float, width: float) -> Block:
        name, text = fact
        top = TEXT.baseline - HEAD.baseline
        words = stack([Block(top, ()), line_of(LABEL, (0.0, name))])
        return side_by_side([(0.0, words), (label, stack(self.lines(text, TEXT, width=width - label)))])
