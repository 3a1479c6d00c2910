"""The form for pen and glove: the columns of the short workbook in their order, on one page."""

from datetime import date
from pathlib import Path

from intake.model.paper import Paper
from intake.policy.dictionary import Column, Sheet, load_dictionary
from intake.policy.guide_text import GuideText, load_guide_text
from intake.policy.short_form import SHORT_ROWS, short_dictionary
from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import LineMark, Mark, TextMark, rectangle
from intake.report.drawing.page import Page
from intake.report.drawing.page import Sheet as Paperside
from intake.report.drawing.palette import GREY, INK, PALE, RULE, SLATE, WHITE, Colour
from intake.report.drawing.pdf_file import Description, pdf_pages
from intake.report.drawing.styles import HEAD, LABEL, SECTION
from intake.report.drawing.typesetter import Style, Typesetter
from intake.report.pen_form.layout import Strip, strips, turned

_MADE = date(2026, 1, 1)
"""Written into the file in place of today, so that its bytes never change."""
_SMALL = Style(8, Face.REGULAR, INK, 1.18)
_STRONG = Style(8, Face.BOLD, INK, 1.18)
_EXAMPLE = Style(8, Face.REGULAR, GREY, 1.18)
_FIELDS_HEIGHT, _HEADER_HEIGHT, _EXAMPLE_HEIGHT = 22.0, 31.0, 12.0
_PAD = 2.5
_SHADES: dict[str, Colour] = {"needed": (0.80, 0.83, 0.86), "for a grade": PALE, "": WHITE}
_FIELD_SHARES = {"batch": 4, "site": 3, "inspector": 3, "jurisdiction": 3.4, "meter": 3}
_FIELDS = ("batch", "site", "received", "inspector", "jurisdiction", "read_on", "meter")
"""Of the Batch sheet: what is known in the yard."""


def write_pen_form(path: Path, *, paper: Paper, version: str) -> None:
    """Write the form as a PDF file of one page, the same bytes every time.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    guide = load_guide_text()
    sheet = turned(paper)
    description = Description(guide.pen.title, "To be filled in by hand and typed in later", version, _MADE)
    with pdf_pages(path, sheet=sheet, description=description) as pages:
        pages.append(_page(sheet, guide))


def _page(sheet: Paperside, guide: GuideText) -> Page:
    setter = Typesetter()
    form = short_dictionary(load_dictionary(), guide).sheets
    columns = form["batteries"].columns
    marks: list[Mark] = []
    y = _title(marks, setter, sheet, guide)
    y = _fields(marks, setter, sheet, form["batch"], y)
    y = _questions(marks, setter, sheet, guide, columns, y)
    foot = setter.wrap(guide.pen.foot, _SMALL, sheet.room_width)
    below = sheet.bottom - len(foot) * _SMALL.leading - _PAD
    _rows(marks, setter, sheet, strips(columns, sheet), y, below)
    _lines(marks, foot, _SMALL, sheet.left, below + _PAD)
    page = Page()
    page.add((mark, 0.0, 0.0) for mark in marks)
    return page


def _lines(marks: list[Mark], lines: list[str], style: Style, x: float, y: float) -> float:
    for place, text in enumerate(lines):
        marks.append(TextMark(x, y + style.baseline + place * style.leading, text, style))
    return y + len(lines) * style.leading


def _title(marks: list[Mark], setter: Typesetter, sheet: Paperside, guide: GuideText) -> float:
    marks.append(TextMark(sheet.left, sheet.top + SECTION.baseline, guide.pen.title, SECTION))
    left = sheet.left + setter.width(guide.pen.title, SECTION) + 12
    lines = setter.wrap(guide.pen.caution, _STRONG, sheet.right - left)
    return max(_lines(marks, lines, _STRONG, left, sheet.top), sheet.top + SECTION.leading) + _PAD


def _fields(marks: list[Mark], setter: Typesetter, sheet: Paperside, batch: Sheet, y: float) -> float:
    """Draw the boxes for what is said once of the whole batch."""
    fields = [one for key in _FIELDS for one in batch.columns if one.key == key]
    shares = [_FIELD_SHARES.get(one.key, 2) for one in fields]
    left = sheet.left
    for field, share in zip(fields, shares, strict=True):
        width = sheet.room_width * share / sum(shares)
        marks.append(rectangle(left, y, width, _FIELDS_HEIGHT, stroke=RULE))
        names = (f"{field.header}{_choices(field)}", field.header)
        name = next((one for one in names if setter.width(one, LABEL) < width - 2 * _PAD), field.header)
        marks.append(TextMark(left + _PAD, y + LABEL.baseline, name, LABEL))
        left += width
    return y + _FIELDS_HEIGHT + _PAD


def _choices(column: Column) -> str:
    return f": {' / '.join(column.choices)}" if column.choices else ""


def _questions(
    marks: list[Mark],
    setter: Typesetter,
    sheet: Paperside,
    guide: GuideText,
    columns: tuple[Column, ...],
    y: float,
) -> float:
    """Write the questions that settle the chemistry, and the words of the other choices."""
    answers = ". ".join(f"{one.label}: {one.text}" for one in guide.chemistry)
    others = ". ".join(
        f"{one.header}: {', '.join(one.choices)}" for one in columns if one.choices and one.key != "chemistry"
    )
    texts = [
        ("Which chemistry?", f"{answers}. Lead acid, SLA, VRLA, MF or lithium alone say too little."),
        ("The worst that is true", others),
    ]
    for label, text in texts:
        marks.append(TextMark(sheet.left, y + _STRONG.baseline, label, _STRONG))
        left = sheet.left + max(setter.width(one, _STRONG) for one, _ in texts) + 2 * _PAD
        y = _lines(marks, setter.wrap(text, _SMALL, sheet.right - left), _SMALL, left, y)
    return y + _PAD


def _rows(
    marks: list[Mark],
    setter: Typesetter,
    sheet: Paperside,
    placed: tuple[Strip, ...],
    top: float,
    bottom: float,
) -> None:
    first = top + _HEADER_HEIGHT + _EXAMPLE_HEIGHT
    height = (bottom - first) / SHORT_ROWS
    for strip in placed:
        _header(marks, setter, strip, top)
    example_y = top + _HEADER_HEIGHT + (_EXAMPLE_HEIGHT - _EXAMPLE.leading) / 2 + _EXAMPLE.baseline
    marks.append(TextMark(sheet.left + 1, example_y, "e.g.", _EXAMPLE))
    marks += [
        TextMark(strip.left + _PAD, example_y, str(strip.column.example or ""), _EXAMPLE) for strip in placed
    ]
    for number in range(SHORT_ROWS + 1):
        y = first + number * height
        marks.append(LineMark(sheet.left, y, sheet.right, y, 0.5, SLATE if number % 5 == 0 else RULE))
        if number < SHORT_ROWS:
            foot = y + (height - LABEL.leading) / 2 + LABEL.baseline
            marks.append(TextMark(sheet.left + _PAD, foot, str(number + 1), LABEL))
    for x in (sheet.left, *(strip.left for strip in placed), sheet.right):
        marks.append(LineMark(x, top, x, bottom, 0.5, RULE))


def _header(marks: list[Mark], setter: Typesetter, strip: Strip, top: float) -> None:
    column = strip.column
    marks.append(
        rectangle(strip.left, top, strip.width, _HEADER_HEIGHT, fill=_SHADES[column.tier], stroke=RULE)
    )
    room = strip.width - 2 * _PAD
    _lines(marks, setter.wrap(column.header, HEAD, room), HEAD, strip.left + _PAD, top + 1)
