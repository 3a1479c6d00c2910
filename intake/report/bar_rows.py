"""Rows of bars, divided into patterned parts that grey print and any eye keep apart."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from intake.report.flow import Block
from intake.report.marks import DiscMark, LineMark, Mark, TextMark, rectangle
from intake.report.palette import GREY, INK, PALE, SLATE, WHITE
from intake.report.setting import line_of, side_by_side, text_lines
from intake.report.typesetter import Style, Typesetter

_LABEL, _VALUE = Style(8.5), Style(8.5, colour=GREY)
_INSIDE = Style(7)
ROW_HEIGHT = 14.0
_THICKNESS = 9.5
_STRIPE, _DOT_STEP, _DOT = 4.0, 3.4, 0.55
_BOX = 16.0
_ROOM_ABOUT = 2.0
"""Points between a figure inside a part and the part's ends."""


class Pattern(Enum):
    """How a part of a bar is filled."""

    SOLID = "solid"
    STRIPED = "striped"
    PALE = "pale"
    DOTTED = "dotted"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a bar: its share of the longest bar's length, its pattern, the figure inside."""

    value: float
    pattern: Pattern
    inside: str = ""


def bar_row(
    setter: Typesetter,
    label: str,
    parts: Sequence[Part],
    beside: str,
    *,
    longest: float,
    width: float,
    label_width: float,
    value_width: float,
) -> Block:
    """Return a label, the bar, and a text to the right of it. ``longest``: the value of a full bar."""
    lines = text_lines(setter, label, _LABEL, label_width - 6)
    height = max(ROW_HEIGHT, len(lines) * _LABEL.leading + 2)
    top = (ROW_HEIGHT - _THICKNESS) / 2
    room = width - label_width - value_width
    x = label_width
    marks: list[Mark] = []
    for part in parts:
        length = room * part.value / longest if longest else 0.0
        if part.value:
            marks += patterned(x, top, length, _THICKNESS, part.pattern)
            marks += _inside(setter, part, x, top, length)
        x += length
    words = [(0.0, Block(height, ()))]
    words += [(0.0, _moved(line, number * _LABEL.leading + 1)) for number, line in enumerate(lines)]
    words.append((0.0, Block(height, [(mark, 0.0, 0.0) for mark in marks])))
    words.append((x + 5, _moved(line_of(_VALUE, (0.0, setter.printable(beside))), 1)))
    return side_by_side(words)


def legend(setter: Typesetter, entries: Sequence[tuple[Pattern, str]]) -> Block:
    """Return one line that says what each pattern stands for."""
    x = 0.0
    marks: list[Mark] = []
    for pattern, words in entries:
        marks += patterned(x, 2.0, _BOX, 7.5, pattern)
        marks.append(TextMark(x + _BOX + 4, _LABEL.baseline, words, _LABEL))
        x += _BOX + 4 + setter.width(words, _LABEL) + 14
    return Block(_LABEL.leading + 3, [(mark, 0.0, 0.0) for mark in marks])


def patterned(x: float, y: float, width: float, height: float, pattern: Pattern) -> Iterator[Mark]:
    """Yield a rectangle in its pattern, its upper left corner at ``x``, ``y``."""
    fill = {Pattern.SOLID: SLATE, Pattern.PALE: PALE}.get(pattern, WHITE)
    yield rectangle(x, y, width, height, fill=fill, stroke=INK)
    if pattern is Pattern.STRIPED:
        yield from _stripes(x, y, width, height)
    elif pattern is Pattern.DOTTED:
        yield from _dots(x, y, width, height)


def _stripes(x: float, y: float, width: float, height: float) -> Iterator[Mark]:
    start = x - height + _STRIPE / 2
    while start < x + width:
        left, right = max(start, x), min(start + height, x + width)
        yield LineMark(left, y + height - (left - start), right, y + height - (right - start), 0.7)
        start += _STRIPE


def _dots(x: float, y: float, width: float, height: float) -> Iterator[Mark]:
    across, down = int((width - 1) / _DOT_STEP), int((height - 1) / _DOT_STEP)
    for column in range(across):
        for row in range(down):
            yield DiscMark(
                x + (column + 0.75) * _DOT_STEP,
                y + (height - (down - 1) * _DOT_STEP) / 2 + row * _DOT_STEP,
                _DOT,
                fill=INK,
            )


def _inside(setter: Typesetter, part: Part, x: float, top: float, length: float) -> Iterator[Mark]:
    """Yield the figure of a part on a white ground, nothing where it has no room."""
    width = setter.width(part.inside, _INSIDE)
    if not part.inside or width + 4 * _ROOM_ABOUT > length:
        return
    left = x + (length - width) / 2
    height = _THICKNESS - 2
    yield rectangle(left - _ROOM_ABOUT, top + 1, width + 2 * _ROOM_ABOUT, height, fill=WHITE)
    yield TextMark(left, top + 1 + height - 1.2, part.inside, _INSIDE)


def _moved(block: Block, down: float) -> Block:
    return Block(block.height + down, [(mark, dx, dy + down) for mark, dx, dy in block.placed])
