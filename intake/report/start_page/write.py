"""``START-HERE.pdf``: one page, to be read at arm's length."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

from intake.model.paper import Paper
from intake.policy.guide_text import load_guide_text
from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import LineMark, Mark, TextMark
from intake.report.drawing.page import Page, sheet_of
from intake.report.drawing.palette import INK, RULE, SLATE
from intake.report.drawing.pdf_file import Description, pdf_pages
from intake.report.drawing.typesetter import Style, Typesetter

_MADE = date(2026, 1, 1)
"""Written into the file in place of today, so that its bytes never change."""
_TITLE = Style(34, Face.BOLD, SLATE)
_LEAD = Style(15, Face.REGULAR, INK)
_NUMBER = Style(30, Face.BOLD, SLATE)
_LABEL = Style(17, Face.BOLD, INK)
_TEXT = Style(13, Face.REGULAR, INK, 1.32)
_CAUTION = Style(11, Face.BOLD, INK, 1.3)
_INDENT, _APART = 40.0, 16.0


def write_start_page(path: Path, *, places: Mapping[str, str], paper: Paper, version: str) -> None:
    """Write the page.

    Parameters
    ----------
    places
        what ``inbox``, ``out`` and ``log`` in its words stand for.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    words = load_guide_text().start
    sheet, setter = sheet_of(paper), Typesetter()
    marks: list[Mark] = []

    def lines(text: str, style: Style, x: float, y: float) -> float:
        for place, line in enumerate(setter.wrap(text, style, sheet.right - x)):
            marks.append(TextMark(x, y + style.baseline + place * style.leading, line, style))
        return y + len(setter.wrap(text, style, sheet.right - x)) * style.leading

    y = lines(words.title, _TITLE, sheet.left, sheet.top - _APART)
    y = lines(words.lead, _LEAD, sheet.left, y) + _APART
    for number, step in enumerate(words.steps, start=1):
        marks.append(LineMark(sheet.left, y, sheet.right, y, 0.6, RULE))
        y += _APART / 2
        marks.append(TextMark(sheet.left, y + _NUMBER.baseline, str(number), _NUMBER))
        y = lines(step.label, _LABEL, sheet.left + _INDENT, y)
        y = lines(step.text.format_map(places), _TEXT, sheet.left + _INDENT, y + 2) + _APART
    marks.append(LineMark(sheet.left, y, sheet.right, y, 1.2, SLATE))
    lines(words.caution, _CAUTION, sheet.left, y + _APART / 2)
    page = Page()
    page.add((mark, 0.0, 0.0) for mark in marks)
    description = Description(words.title, words.lead, version, _MADE)
    with pdf_pages(path, sheet=sheet, description=description) as pages:
        pages.append(page)
