"""The head and the foot of every page, and what the file says about itself."""

from collections.abc import Sequence
from typing import NamedTuple

from intake.model.result import BatchResult
from intake.report.drawing.fitted_text import first_lines
from intake.report.drawing.fonts import Face
from intake.report.drawing.kept_together import SEPARATOR
from intake.report.drawing.marks import LineMark, Mark, TextMark
from intake.report.drawing.page import Placed, Sheet
from intake.report.drawing.palette import RULE, SLATE
from intake.report.drawing.pdf_file import Description
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.styles import LABEL, PART, TEXT, WARNING
from intake.report.drawing.typesetter import Style, Typesetter

_BATCHES = (PART, Style(9, Face.BOLD, SLATE), Style(8, Face.BOLD, SLATE))
"""The largest in which a batch's name leaves room for the rest of its line."""
_DIGEST_DIGITS = 12
_FOOT_LINES = 2
_APART = 10.0
"""Between the texts of the head."""
_ABOVE_ROOM, _BELOW_ROOM = 12.0, 6.0
"""From the room for content to the line at the head and to the line at the foot."""


class Furniture(NamedTuple):
    """The texts that repeat: batch, document, a warning or nothing, and where it all comes from."""

    batch: str
    document: str
    """Its name, and the day of the readings that it rests on."""
    warning: str
    provenance: str
    on_one_line: bool = False
    """Where the margin at the head is too low for two."""


def furniture_of(result: BatchResult, document: str) -> Furniture:
    """Return the furniture of one document of a batch."""
    batch = result.batch
    due = batch.calibration_due
    overdue = due is not None and due < batch.latest_reading_day
    return Furniture(
        batch=f"Batch {batch.batch}",
        document=f"{document}, read {batch.last_written_day}, revision {result.revision.number}",
        warning=f"Meter calibration was due {due}: check its readings" if overdue else "",
        provenance=(
            f"workbook {result.source_sha256[:_DIGEST_DIGITS]} · "
            f"policy {result.policy_sha256[:_DIGEST_DIGITS]} · "
            f"{_rules(result)}intake {result.version} · {one_line(result.policy_name)}"
        ),
    )


def _rules(result: BatchResult) -> str:
    data = result.compliance.rule_data
    return f"rules {data.sha256[:_DIGEST_DIGITS]} · " if data else ""


def description_of(result: BatchResult, *, title: str, subject: str) -> Description:
    """Return what the file of one document of a batch says about itself; the batch is named in its title.

    Its day is that of receipt, or the later one on which the rule data that it prints were checked.
    """
    batch, data = result.batch, result.compliance.rule_data
    day = max(batch.received, data.checked_on) if data else batch.received
    return Description(f"{title}, batch {batch.batch}", subject, result.version, day)


class PageFurniture:
    """Head and foot of every page of one document."""

    def __init__(self, sheet: Sheet, furniture: Furniture) -> None:
        self._sheet = sheet
        self._furniture = furniture
        self._setter = Typesetter()
        self.foot = _foot(sheet, self._setter, furniture)
        """Where it all comes from."""

    def head(self, number: int, count: int) -> list[Placed]:
        """Return the head of page ``number`` of ``count``."""
        head = _head(self._sheet, self._setter, self._furniture, f"page {number} of {count}")
        return [(mark, 0.0, 0.0) for mark in head]


def _head(sheet: Sheet, setter: Typesetter, furniture: Furniture, number: str) -> list[Mark]:
    """Return batch and page number, below them the document and a warning, and a line."""
    line = sheet.top - _ABOVE_ROOM
    second = line - 5
    first = second if furniture.on_one_line else second - TEXT.leading
    document = setter.printable(furniture.document)
    if furniture.on_one_line:
        number = SEPARATOR.join(part for part in (document, furniture.warning, number) if part)
    number_x = sheet.right - setter.width(number, TEXT)
    batch = setter.printable(furniture.batch)
    room = number_x - sheet.left - _APART
    style = next((one for one in _BATCHES if setter.width(batch, one) <= room), _BATCHES[-1])
    marks: list[Mark] = [
        TextMark(sheet.left, first, batch, style),
        TextMark(number_x, first, number, TEXT),
    ]
    if not furniture.on_one_line:
        marks.append(TextMark(sheet.left, second, document, TEXT))
    if furniture.warning and not furniture.on_one_line:
        marks.append(_warning(sheet, setter, furniture, marks))
    return [*marks, LineMark(sheet.left, line, sheet.right, line, 0.6, RULE)]


def _warning(sheet: Sheet, setter: Typesetter, furniture: Furniture, marks: Sequence[Mark]) -> TextMark:
    """Return the warning to the right of the document's name, else before the page number, else above."""
    batch, number, document = (mark for mark in marks if isinstance(mark, TextMark))
    own = setter.width(furniture.warning, WARNING)
    for right, beside in ((sheet.right, document), (number.x - _APART, batch)):
        if beside.x + setter.width(beside.text, beside.style) + _APART <= right - own:
            return TextMark(right - own, beside.y, furniture.warning, WARNING)
    return TextMark(sheet.left, batch.y - TEXT.leading, furniture.warning, WARNING)


def _foot(sheet: Sheet, setter: Typesetter, furniture: Furniture) -> list[Placed]:
    top = sheet.bottom + _BELOW_ROOM
    width = sheet.room_width
    whole = setter.wrap(furniture.provenance, LABEL, width)
    lines = first_lines(setter, whole, LABEL, width, most=_FOOT_LINES, rest="…")
    marks: list[Mark] = [LineMark(sheet.left, top, sheet.right, top, 0.6, RULE)]
    marks += [
        TextMark(sheet.left, top + 3 + LABEL.baseline + place * LABEL.leading, text, LABEL)
        for place, text in enumerate(lines)
    ]
    return [(mark, 0.0, 0.0) for mark in marks]
