"""The styles of every document: nothing on paper is set in less than 8 points."""

from intake.report.drawing.fonts import Face
from intake.report.drawing.palette import GREY, INK, SLATE
from intake.report.drawing.typesetter import Style

_CLOSE = 1.18
"""Lines of a list stand closer than those of a page of prose."""

TITLE = Style(18, Face.BOLD, SLATE)
SECTION = Style(12.5, Face.BOLD, SLATE)
PART = Style(10, Face.BOLD, SLATE, _CLOSE)
LEAD = Style(10.5, Face.BOLD, INK, _CLOSE)
"""What is read at arm's length: a tag, a grade, the next step."""
TEXT = Style(9, line_factor=_CLOSE)
STRONG = Style(9, Face.BOLD, INK, _CLOSE)
MUTED = Style(9, Face.REGULAR, GREY, _CLOSE)
HEAD = Style(8, Face.BOLD, SLATE, _CLOSE)
"""Head of a table column."""
LABEL = Style(8, Face.REGULAR, GREY, _CLOSE)
"""Names of facts, lines to fill in, axes of a plot, the foot of a page."""
PLOT = Style(8, line_factor=_CLOSE)
SOURCE = Style(8, line_factor=1.1)
"""Numbered sources at the end: closer still, so that they end with their page."""
PLOT_TAG = Style(8, Face.BOLD, INK, _CLOSE)
WARNING = Style(8, Face.BOLD)
"""In the head of a page."""
