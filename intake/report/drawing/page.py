"""Sheets of paper, and pages as lists of marks that wait to be written to a file."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from intake.model.paper import Paper
from intake.report.drawing.marks import Mark

POINTS_PER_MM = 72 / 25.4


class Sheet(NamedTuple):
    """A sheet of paper and the room on it, in points from the top left."""

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    """``right`` and ``bottom`` are places, not margins: where the room ends."""

    @property
    def room_width(self) -> float:
        """Width between the margins."""
        return self.right - self.left

    @property
    def room_height(self) -> float:
        """Height between the head and the foot of each page."""
        return self.bottom - self.top


_SIZES_MM = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}
_SIDE_MM, _HEAD_MM, _FOOT_MM = 15.0, 20.0, 17.0


def sheet_of(paper: Paper) -> Sheet:
    """Return the upright sheet with the margins of every list document."""
    width, height = (size * POINTS_PER_MM for size in _SIZES_MM[paper])
    side = _SIDE_MM * POINTS_PER_MM
    return Sheet(
        width=width,
        height=height,
        left=side,
        right=width - side,
        top=_HEAD_MM * POINTS_PER_MM,
        bottom=height - _FOOT_MM * POINTS_PER_MM,
    )


class OutlineEntry(NamedTuple):
    """A line in the reader's list of contents that leads to a place on a page."""

    title: str
    level: int
    y: float


Placed = tuple[Mark, float, float]
"""A mark and how far it is moved to the right and down."""


@dataclass(slots=True)
class Page:
    """The marks of one page in reading order."""

    placed: list[Placed] = field(default_factory=list)
    outline: list[OutlineEntry] = field(default_factory=list)

    def add(self, placed: Iterable[Placed], *, x: float = 0.0, y: float = 0.0) -> None:
        """Put marks on the page, moved by ``x`` and ``y`` points more."""
        self.placed.extend((mark, dx + x, dy + y) for mark, dx, dy in placed)
