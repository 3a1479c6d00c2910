"""Text set as large as its box on a label allows, never cut."""

from collections.abc import Callable, Iterator
from functools import cache
from typing import NamedTuple

from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import TextMark
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.labels.codes import BLACK, Box

_STEP = 0.5
_SMALLEST = 3.0
_LEADING = 1.06
_WORTH_A_BREAK = 1.2
"""How much larger broken text has to come out before a tag is divided."""

Lines = tuple[str, ...]


class SetText(NamedTuple):
    """Lines in the style that fits them."""

    lines: Lines
    style: Style


@cache
def label_style(size: float, face: Face) -> Style:
    """Return the one style of a size: the same object each time, so that the file defines it once."""
    return Style(size, face, BLACK, line_factor=_LEADING)


def fit_words(setter: Typesetter, text: str, box: Box, *, largest: float) -> SetText:
    """Set words in bold as large as fits without dividing one."""
    whole = _first_fit(setter, text, box, Face.BOLD, largest, lambda lines: " ".join(lines) == text)
    return whole or fit_lines(setter, text, box, Face.BOLD, largest)


def fit_tag(setter: Typesetter, text: str, box: Box, *, largest: float) -> SetText:
    """Set a tag in bold on one line, or on more where that makes it clearly larger."""
    whole = _first_fit(setter, text, box, Face.BOLD, largest, lambda lines: len(lines) == 1)
    broken = fit_lines(setter, text, box, Face.BOLD, largest)
    if whole and whole.style.size * _WORTH_A_BREAK >= broken.style.size:
        return whole
    return broken


def fit_lines(setter: Typesetter, text: str, box: Box, face: Face, largest: float) -> SetText:
    """Set text as large as fits, dividing words where need be.

    Text that is too long at the smallest size comes out in that size and higher than the box: what has no
    limit of its own is to be shortened before.
    """
    found = _first_fit(setter, text, box, face, largest, lambda _: True)
    return found or _set(setter, text, box, label_style(_SMALLEST, face))


def _first_fit(
    setter: Typesetter, text: str, box: Box, face: Face, largest: float, accept: Callable[[Lines], bool]
) -> SetText | None:
    for size in _sizes(largest):
        found = _set(setter, text, box, label_style(size, face))
        if len(found.lines) * found.style.leading <= box.height and accept(found.lines):
            return found
    return None


def _sizes(largest: float) -> Iterator[float]:
    steps = int((largest - _SMALLEST) / _STEP)
    return (largest - step * _STEP for step in range(steps + 1))


def _set(setter: Typesetter, text: str, box: Box, style: Style) -> SetText:
    return SetText(tuple(setter.wrap(text, style, box.width)), style)


def text_marks(found: SetText, box: Box) -> list[TextMark]:
    """Return the lines at the left of the box, in its middle from top to bottom."""
    style = found.style
    top = box.y + (box.height - len(found.lines) * style.leading) / 2
    return [
        TextMark(box.x, top + place * style.leading + style.baseline, line, style)
        for place, line in enumerate(found.lines)
    ]
