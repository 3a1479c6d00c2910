"""Where things stand on the form: one page on its side, thirty rows."""

from dataclasses import dataclass

from intake.model.paper import Paper
from intake.policy.dictionary import Column, Form
from intake.report.drawing.page import POINTS_PER_MM, Sheet, sheet_of

_SIDE_MM, _HEAD_MM, _FOOT_MM = 8.0, 7.0, 6.0
_NUMBER_MM = 6.0
_SHARES = {
    "tag": 24,
    "chemistry": 25,
    "case": 21,
    "note": 36,
    "position": 25,
    "terminals": 21,
    "temperature_c": 23,
}
_SHARE_OF_FORM = {Form.DATE_TIME: 29, Form.NUMBER: 18}
_SHARE = 22
"""Width of a column against the others."""


@dataclass(frozen=True, slots=True)
class Strip:
    """A column of the form, in points from the left edge of the page."""

    column: Column
    left: float
    width: float


def turned(paper: Paper) -> Sheet:
    """Return the page on its side; what is written by hand may come closer to its edge than print does."""
    upright = sheet_of(paper)
    side, head, foot = (length * POINTS_PER_MM for length in (_SIDE_MM, _HEAD_MM, _FOOT_MM))
    return Sheet(
        width=upright.height,
        height=upright.width,
        left=side,
        right=upright.height - side,
        top=head,
        bottom=upright.width - foot,
    )


def number_width() -> float:
    """Return the width of the row numbers, in points."""
    return _NUMBER_MM * POINTS_PER_MM


def strips(columns: tuple[Column, ...], sheet: Sheet) -> tuple[Strip, ...]:
    """Return each column with its place beside the row numbers."""
    shares = [_SHARES.get(one.key, _SHARE_OF_FORM.get(one.form, _SHARE)) for one in columns]
    room = sheet.room_width - number_width()
    left, placed = sheet.left + number_width(), []
    for column, share in zip(columns, shares, strict=True):
        width = room * share / sum(shares)
        placed.append(Strip(column, left, width))
        left += width
    return tuple(placed)
