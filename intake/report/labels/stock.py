"""Sheets of self-adhesive labels, and the places on one label."""

from typing import NamedTuple

from intake.model.paper import Paper
from intake.report.drawing.page import POINTS_PER_MM, Sheet, sheet_of
from intake.report.labels.codes import Box


class Stock(NamedTuple):
    """A sheet of labels; lengths in mm. ``left`` and ``top`` lead to the first label's corner."""

    columns: int
    rows: int
    width: float
    height: float
    left: float
    top: float
    pitch_x: float
    pitch_y: float

    @property
    def labels(self) -> int:
        """How many labels a sheet holds."""
        return self.columns * self.rows

    def label(self, place: int) -> Box:
        """Return the label at a place from 0, row by row from the left, in points."""
        row, column = divmod(place, self.columns)
        return box_mm(
            self.left + column * self.pitch_x, self.top + row * self.pitch_y, self.width, self.height
        )


def box_mm(x: float, y: float, width: float, height: float) -> Box:
    """Return a box given in mm."""
    return Box(*(length * POINTS_PER_MM for length in (x, y, width, height)))


STOCKS = {
    Paper.A4: Stock(3, 7, 63.5, 38.1, left=7.2, top=15.1, pitch_x=66.0, pitch_y=38.1),
    Paper.LETTER: Stock(3, 10, 66.7, 25.4, left=4.8, top=12.7, pitch_x=69.8, pitch_y=25.4),
}
"""Common stock sizes; margins and pitches are from memory: try one sheet on plain paper first."""


class Places(NamedTuple):
    """Where the parts of a label stand, from its upper left corner.

    ``qr`` and ``bars`` hold the quiet zones and may reach the label's edge; the rest keeps clear of it.
    """

    strip: Box
    tag: Box
    grade: Box
    tag_low: Box
    """The tag's where grade and next step take a line each."""
    grade_high: Box
    """Room for both lines."""
    handling: Box
    facts: Box
    facts_alone: Box
    """The same where the battery is intact and its handling is not named."""
    qr: Box
    bars: Box | None


WITH_BARS = {
    Paper.A4: Places(
        strip=box_mm(1.8, 1.8, 3.6, 29.8),
        tag=box_mm(6.8, 1.4, 54.9, 8.8),
        grade=box_mm(6.8, 10.4, 42.0, 9.6),
        tag_low=box_mm(6.8, 1.4, 54.9, 8.8),
        grade_high=box_mm(6.8, 10.4, 42.0, 9.6),
        handling=box_mm(6.8, 20.3, 41.8, 4.3),
        facts=box_mm(6.8, 24.8, 54.9, 7.5),
        facts_alone=box_mm(6.8, 20.3, 41.8, 12.0),
        qr=box_mm(49.1, 10.2, 14.4, 14.4),
        bars=box_mm(0.0, 32.6, 63.5, 4.4),
    ),
    Paper.LETTER: Places(
        strip=box_mm(1.6, 1.4, 3.2, 18.6),
        tag=box_mm(6.0, 1.1, 47.0, 6.8),
        grade=box_mm(6.0, 8.2, 47.0, 5.4),
        tag_low=box_mm(6.0, 1.0, 47.0, 5.4),
        grade_high=box_mm(6.0, 6.4, 47.0, 7.5),
        handling=box_mm(6.0, 14.3, 18.6, 5.7),
        facts=box_mm(25.8, 14.0, 39.3, 6.4),
        facts_alone=box_mm(6.0, 14.0, 59.1, 6.4),
        qr=box_mm(53.3, 0.4, 13.4, 13.4),
        bars=box_mm(0.0, 20.7, 66.7, 3.9),
    ),
}
WITHOUT_BARS = {
    Paper.A4: Places(
        strip=box_mm(1.8, 1.8, 3.6, 34.5),
        tag=box_mm(6.8, 1.4, 54.9, 11.6),
        grade=box_mm(6.8, 13.4, 39.6, 9.6),
        tag_low=box_mm(6.8, 1.4, 54.9, 11.6),
        grade_high=box_mm(6.8, 13.4, 39.6, 9.6),
        handling=box_mm(6.8, 23.4, 39.0, 4.6),
        facts=box_mm(6.8, 30.3, 54.9, 6.6),
        facts_alone=box_mm(6.8, 23.4, 39.0, 13.3),
        qr=box_mm(46.5, 13.2, 17.0, 17.0),
        bars=None,
    ),
    Paper.LETTER: Places(
        strip=box_mm(1.6, 1.4, 3.2, 22.6),
        tag=box_mm(6.0, 1.1, 45.0, 8.6),
        grade=box_mm(6.0, 10.0, 45.0, 5.4),
        tag_low=box_mm(6.0, 1.0, 45.0, 7.3),
        grade_high=box_mm(6.0, 8.3, 45.0, 7.6),
        handling=box_mm(6.0, 16.4, 18.6, 7.4),
        facts=box_mm(25.8, 16.0, 39.3, 8.2),
        facts_alone=box_mm(6.0, 16.0, 59.1, 8.2),
        qr=box_mm(51.2, 0.2, 15.5, 15.5),
        bars=None,
    ),
}
"""Where the text is too long for bars: a larger tag and a larger QR code take their room."""

_SIDE_MM = 8.0
_HEAD_OVER_LABELS, _FOOT_UNDER_LABELS = 8.0, 2.0
"""How far the room that head and foot keep clear of reaches into the labels, in points: their own
distance from it is made for lists, and no label may lose it."""


def furniture_sheet(paper: Paper) -> Sheet:
    """Return the sheet whose head and foot stand in the margins above and below the labels."""
    whole, stock = sheet_of(paper), STOCKS[paper]
    side = _SIDE_MM * POINTS_PER_MM
    first, last = stock.label(0), stock.label(stock.labels - 1)
    return Sheet(
        width=whole.width,
        height=whole.height,
        left=side,
        right=whole.width - side,
        top=first.y + _HEAD_OVER_LABELS,
        bottom=last.y + last.height - _FOOT_UNDER_LABELS,
    )
