"""Lines of text, stacked lines and rows side by side, as blocks that a flow can place."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from intake.report.drawing.flow import Block, Flow
from intake.report.drawing.marks import LineMark, TextMark
from intake.report.drawing.page import Placed
from intake.report.drawing.palette import RULE
from intake.report.drawing.typesetter import Style, Typesetter


def text_lines(setter: Typesetter, text: str, style: Style, width: float, *, x: float = 0.0) -> list[Block]:
    """Wrap text to lines, each a block, the text ``x`` points from the left."""
    return [
        Block(style.leading, ((TextMark(x, style.baseline, line, style), 0.0, 0.0),))
        for line in setter.wrap(text, style, width)
    ]


def line_of(style: Style, *texts: tuple[float, str]) -> Block:
    """Return one line of several texts, each at its own place from the left; they must be printable."""
    marks = tuple((TextMark(x, style.baseline, text, style), 0.0, 0.0) for x, text in texts)
    return Block(style.leading, marks)


def stack(blocks: Sequence[Block], *, x: float = 0.0) -> Block:
    """Put blocks one below the other, all moved ``x`` points to the right."""
    placed: list[Placed] = []
    y = 0.0
    for block in blocks:
        placed.extend((mark, dx + x, dy + y) for mark, dx, dy in block.placed)
        y += block.height
    return Block(y, placed)


def side_by_side(blocks: Sequence[tuple[float, Block]]) -> Block:
    """Put blocks beside each other, each at its own place from the left."""
    placed = [(mark, dx + x, dy) for x, block in blocks for mark, dx, dy in block.placed]
    return Block(max((block.height for _, block in blocks), default=0.0), placed)


def place_together(flow: Flow, rows: Sequence[Block], *, most: float = 1.0) -> None:
    """Place rows on one page where they take up no more than the share ``most`` of a page."""
    whole = stack(rows)
    if whole.height + flow.waiting <= most * flow.full_room:
        flow.place(whole)
        return
    for row in rows:
        flow.place(row)


Cell = tuple[float, list[Block]]
"""Place from the left and the lines of one cell."""
Band = Sequence[Cell]
"""Cells beside each other."""


class RowLook(NamedTuple):
    """Room around a row and the line below it, in points."""

    above: float = 3.0
    below: float = 3.0
    rule_width: float = 0.4


_WORTH_STARTING = 72.0
"""Points of room in which a row that must be divided is begun."""


def place_row(flow: Flow, bands: Sequence[Band], *, look: RowLook) -> None:
    """Place bands below each other as one row; only a row taller than a page is divided, by lines."""
    whole = row_block(bands, look, flow.sheet.room_width)
    if whole.height + flow.waiting <= flow.full_room:
        flow.place(whole)
        return
    if flow.room < _WORTH_STARTING:
        flow.turn_page()
    around = look.above + look.below
    for part in _parts(bands, first=flow.room - around, room=flow.full_room - around):
        flow.place(row_block(part, look, flow.sheet.room_width))


def row_block(bands: Sequence[Band], look: RowLook, width: float) -> Block:
    """Return bands below each other as one block with the line below it."""
    inside = stack([side_by_side([(x, stack(lines)) for x, lines in band]) for band in bands])
    height = look.above + inside.height + look.below
    placed = [(mark, dx, dy + look.above) for mark, dx, dy in inside.placed]
    if look.rule_width:
        placed.append((LineMark(0, height, width, height, look.rule_width, RULE), 0.0, 0.0))
    return Block(height, placed)


def _parts(bands: Sequence[Band], *, first: float, room: float) -> Iterator[list[Band]]:
    """Divide a row into parts no higher than ``room``, the first than ``first``; each line stays whole.

    A line that is higher than ``room`` has a part to itself.
    """
    part: list[Band] = []
    left = first
    for band in bands:
        rest = [(x, list(lines)) for x, lines in band]
        while any(lines for _, lines in rest):
            taken = [(x, _take(lines, left)) for x, lines in rest]
            if not any(lines for _, lines in taken):
                if part:
                    yield part
                    part, left = [], room
                    continue
                taken = [(x, [lines.pop(0)] if lines else []) for x, lines in rest]
            part.append(taken)
            left -= max(sum(line.height for line in lines) for _, lines in taken)
    if part:
        yield part


def _take(lines: list[Block], room: float) -> list[Block]:
    """Remove and return as many of the first lines as fit."""
    taken: list[Block] = []
    while lines and lines[0].height <= room:
        room -= lines[0].height
        taken.append(lines.pop(0))
    return taken
