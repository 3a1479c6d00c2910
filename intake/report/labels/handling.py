"""The handling class on a label: a word in a frame, and a strip whose pattern needs no colour.

Damaged is hatched, all others but intact are dotted; an intact battery has neither.
"""

from functools import cache

from intake.model.condition import Condition
from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import GridMark, Mark, ShapeMark, TextMark
from intake.report.drawing.typesetter import Typesetter
from intake.report.labels.codes import BLACK, Box
from intake.report.labels.text import label_style

WORDS = {
    Condition.CASE_NOT_READ: "Check case",
    Condition.DENTED: "Dented",
    Condition.LOOK_AGAIN: "Look again",
    Condition.SUSPECT: "Suspect",
    Condition.DAMAGED: "Damaged",
}
_FRAME_WIDTHS = {one: 1.5 if one is Condition.DAMAGED else 1.0 for one in WORDS}
_STRIP_FRAME = 0.6
_PADDING = 3.0
_LARGEST = 14.0
_CAP_HEIGHT, _BELOW_FOOT = 0.73, 0.24
"""Of the typefaces, in parts of their size: capitals, and what hangs below the line."""
_STRIPE = 4.0
_STRIP_CELLS = 8


@cache
def strip_marks(condition: Condition, strip: Box) -> tuple[Mark, ...]:
    """Return the strip at the label's edge."""
    frame = _frame(strip, _STRIP_FRAME)
    match condition:
        case Condition.DAMAGED:
            return (*_stripes(strip), frame)
        case Condition.SUSPECT | Condition.LOOK_AGAIN | Condition.DENTED | Condition.CASE_NOT_READ:
            return (_dots(strip), frame)
        case Condition.INTACT:
            return ()


def _frame(box: Box, width: float) -> ShapeMark:
    half = width / 2
    left, top = box.x + half, box.y + half
    right, bottom = box.x + box.width - half, box.y + box.height - half
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return ShapeMark(corners, stroke=BLACK, width=width)


def _stripes(strip: Box) -> list[ShapeMark]:
    """Return stripes at 45 degrees, each whole."""
    left, right = strip.x, strip.x + strip.width
    count = int((strip.height - strip.width - _STRIPE) // (2 * _STRIPE)) + 1
    pitch = (strip.height - strip.width - _STRIPE) / (count - 1)
    tops = [strip.y + place * pitch for place in range(count)]
    rise = strip.width
    return [
        ShapeMark(
            ((left, y + rise), (right, y), (right, y + _STRIPE), (left, y + rise + _STRIPE)), fill=BLACK
        )
        for y in tops
    ]


def _dots(strip: Box) -> GridMark:
    """Return square dots, two and one to a row in turn."""
    step = strip.width / _STRIP_CELLS
    rows = int(strip.height / step)
    dots = tuple(
        (column, row, 2, 2)
        for place, row in enumerate(range(1, rows - 2, 3))
        for column in ((3,) if place % 2 else (1, 5))
    )
    return GridMark(strip.x, strip.y, step, strip.height / rows, dots, BLACK)


@cache
def _word_size(word: str, width: float, height: float) -> float:
    """Return the size at which a word fits its frame."""
    ems = Typesetter().width(word, label_style(1.0, Face.BOLD))
    return min(_LARGEST, (width - 2 * _PADDING) / ems, (height - _PADDING) / (_CAP_HEIGHT + _BELOW_FOOT))


def word_marks(setter: Typesetter, condition: Condition, box: Box) -> tuple[Mark, ...]:
    """Return the class in words in a frame at the left of the box; nothing for an intact battery."""
    if condition is Condition.INTACT:
        return ()
    word = WORDS[condition]
    style = label_style(_word_size(word, box.width, box.height), Face.BOLD)
    framed = Box(box.x, box.y, setter.width(word, style) + 2 * _PADDING, box.height)
    foot = box.y + (box.height + (_CAP_HEIGHT - _BELOW_FOOT / 2) * style.size) / 2
    return (
        TextMark(box.x + _PADDING, foot, word, style),
        _frame(framed, _FRAME_WIDTHS[condition]),
    )
