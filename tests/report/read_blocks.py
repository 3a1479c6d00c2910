"""Pages that were laid out but not yet written, as texts and as lines to write on."""

from collections.abc import Sequence

from intake.report.drawing.flow import Flow
from intake.report.drawing.marks import LineMark, TextMark
from intake.report.drawing.palette import INK


def told(flow: Flow) -> list[str]:
    """Return every text in reading order."""
    return [mark.text for page in flow.pages for mark, _, _ in page.placed if isinstance(mark, TextMark)]


def writing_lines(flow: Flow) -> int:
    """Return how many lines there are to write on."""
    marks = (mark for page in flow.pages for mark, _, _ in page.placed)
    return sum(isinstance(mark, LineMark) and mark.colour == INK for mark in marks)


def after(texts: Sequence[str], first: str, count: int) -> list[str]:
    """Return a text and those that follow it, ``count`` in all."""
    start = texts.index(first)
    return list(texts[start : start + count])
