"""What stands at the head and at the foot of every page, and what the file says about itself."""

from dataclasses import dataclass

from intake.model.result import BatchResult
from intake.report.drawing.fonts import Face
from intake.report.drawing.marks import LineMark, Mark, TextMark
from intake.report.drawing.page import Placed, Sheet
from intake.report.drawing.palette import GREY, INK, RULE
from intake.report.drawing.pdf_file import Description
from intake.report.drawing.plain_text import one_line
from intake.report.drawing.typesetter import Style, Typesetter

_BATCHES = tuple(Style(size, Face.BOLD) for size in (9.5, 8.5, 7.5, 6.5))
"""The largest in which a batch's name leaves room for the rest of its line."""
_NAME = Style(9.5)
_WARNING = Style(7.5, Face.BOLD, INK)
_FOOT = Style(7, colour=GREY)
_DIGEST_DIGITS = 12
_APART = 10.0
"""Between the texts of the head."""
_ABOVE_ROOM, _BELOW_ROOM = 12.0, 6.0
"""From the room for content to the line at the head and to the line at the foot."""


@dataclass(frozen=True, slots=True)
class Furniture:
    """The texts that repeat: batch, document, a warning or nothing, and where it all comes from."""

    batch: str
    document: str
    warning: str
    provenance: str


def furniture_of(result: BatchResult, document: str) -> Furniture:
    """Return the furniture of one document of a batch."""
    batch = result.batch
    due = batch.calibration_due
    overdue = due is not None and due < batch.received
    return Furniture(
        batch=f"Batch {batch.batch}",
        document=document,
        warning=f"Meter calibration was due {due}: check its readings" if overdue else "",
        provenance=(
            f"workbook {result.source_sha256[:_DIGEST_DIGITS]} · "
            f"policy {result.policy_sha256[:_DIGEST_DIGITS]}, {one_line(result.policy_name)} · "
            f"intake {result.version}"
        ),
    )


def description_of(result: BatchResult, *, title: str, subject: str) -> Description:
    """Return what the file of one document of a batch says about itself; the batch is named in its title."""
    batch = result.batch
    return Description(f"{title}, batch {batch.batch}", subject, result.version, batch.received)


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
    line = sheet.top - _ABOVE_ROOM
    foot = line - 5
    number_x = sheet.right - setter.width(number, _NAME)
    room = number_x - sheet.left - setter.width(furniture.document, _NAME) - 2 * _APART
    style = next((one for one in _BATCHES if setter.width(furniture.batch, one) <= room), _BATCHES[-1])
    after_batch = sheet.left + setter.width(furniture.batch, style) + _APART
    marks: list[Mark] = [
        TextMark(sheet.left, foot, furniture.batch, style),
        TextMark(after_batch, foot, furniture.document, _NAME),
        TextMark(number_x, foot, number, _NAME),
    ]
    if furniture.warning:
        marks.append(TextMark(sheet.left, foot - _NAME.leading, furniture.warning, _WARNING))
    return [*marks, LineMark(sheet.left, line, sheet.right, line, 0.6, RULE)]


def _foot(sheet: Sheet, setter: Typesetter, furniture: Furniture) -> list[Placed]:
    top = sheet.bottom + _BELOW_ROOM
    lines = setter.wrap(furniture.provenance, _FOOT, sheet.room_width)
    marks: list[Mark] = [LineMark(sheet.left, top, sheet.right, top, 0.6, RULE)]
    marks += [
        TextMark(sheet.left, top + 4 + _FOOT.baseline + place * _FOOT.leading, text, _FOOT)
        for place, text in enumerate(lines)
    ]
    return [(mark, 0.0, 0.0) for mark in marks]
