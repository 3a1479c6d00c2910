"""Rows of bars, divided into patterned parts that grey print and any eye keep apart."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from intake.report.drawing.flow import Block
from intake.report.drawing.marks import DiscMark, LineMark, Mark, TextMark, rectangle
from intake.report.drawing.palette import INK, PALE, SLATE, WHITE
from intake.report.drawing.styles import MUTED, PLOT, TEXT
from intake.report.drawing.typesetter import Typesetter

_LABEL, _VALUE, _INSIDE = TEXT, MUTED, PLOT
_ROW_HEIGHT, _THICKNESS = 14.0, 9.5
_FOOT = 1 + _LABEL.baseline
"""Of the texts, from the top of a row."""
_LABEL_GAP, _VALUE_GAP = 8.0, 5.0
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
    """One part of a bar, its pattern, and the figure inside."""

    value: float
    pattern: Pattern
    inside: str = ""


@dataclass(frozen=True, slots=True)
class Bar:
    """A label, the parts of a bar, and a text to the right of it."""

    label: str
    parts: Sequence[Part]
    beside: str
    longest: float
    """The value of a bar that takes up the whole room."""


def bar_rows(setter: Typesetter, bars: Sequence[Bar], *, width: float) -> list[Block]:
    """Return a row for each bar, all within ``width`` points, which labels and texts beside leave to them."""
    texts = [[setter.printable(text) for text in (one.label, one.beside)] for one in bars]
    left = max((setter.width(label, _LABEL) for label, _ in texts), default=0.0) + _LABEL_GAP
    right = max((setter.width(beside, _VALUE) for _, beside in texts), default=0.0) + _VALUE_GAP
    return [
        _bar_row(setter, one, label, beside, left=left, room=width - left - right)
        for one, (label, beside) in zip(bars, texts, strict=True)
    ]


def _bar_row(setter: Typesetter, bar: Bar, label: str, beside: str, *, left: float, room: float) -> Block:
    top = (_ROW_HEIGHT - _THICKNESS) / 2
    x = left
    marks: list[Mark] = [TextMark(0.0, _FOOT, label, _LABEL)]
    for part in bar.parts:
        length = room * part.value / bar.longest
        marks += patterned(x, top, length, _THICKNESS, part.pattern)
        marks += _inside(setter, part, x, top, length)
        x += length
    marks.append(TextMark(x + _VALUE_GAP, _FOOT, beside, _VALUE))
    return Block(_ROW_HEIGHT, [(mark, 0.0, 0.0) for mark in marks])


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
