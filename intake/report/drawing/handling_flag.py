"""The words that say at a glance how a battery has to be handled, in a box."""

from intake.model.verdict import Handling
from intake.report.drawing.flow import Block
from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import TextMark, rectangle
from intake.report.drawing.palette import INK, WHITE
from intake.report.drawing.typesetter import Style, Typesetter

_ON_PAPER = Style(9, Face.BOLD)
_ON_INK = Style(9, Face.BOLD, WHITE)
_SIDE, _ABOVE = 5.0, 1.5


def handling_flag(setter: Typesetter, handling: Handling) -> list[Block]:
    """Return a filled box for damaged, an open one for suspect, and nothing for intact."""
    if handling is Handling.INTACT:
        return []
    filled = handling is Handling.DAMAGED
    style = _ON_INK if filled else _ON_PAPER
    text = f"Handle as {handling.value}"
    height = style.leading + 2
    box = rectangle(
        0, _ABOVE, setter.width(text, style) + 2 * _SIDE, height, fill=INK if filled else None, stroke=INK
    )
    label = TextMark(_SIDE, _ABOVE + 1 + style.baseline, text, style)
    return [Block(height + 2 * _ABOVE, ((box, 0.0, 0.0), (label, 0.0, 0.0)))]
