"""What can stand on a page: text, lines and shapes, in points from the top left, down is positive."""

from typing import NamedTuple

from intake.report.drawing.palette import INK, Colour
from intake.report.drawing.typesetter import Style


class TextMark(NamedTuple):
    """One line of text, its foot at ``y``. It is printable as it stands."""

    x: float
    y: float
    text: str
    style: Style


class LineMark(NamedTuple):
    """A straight line; ``dash`` gives lengths on and off, empty is solid."""

    x1: float
    y1: float
    x2: float
    y2: float
    width: float = 0.5
    colour: Colour = INK
    dash: tuple[float, ...] = ()


class ShapeMark(NamedTuple):
    """A closed shape through the points, filled, drawn round, or both."""

    points: tuple[tuple[float, float], ...]
    fill: Colour | None = None
    stroke: Colour | None = None
    width: float = 0.5


class DiscMark(NamedTuple):
    """A circle about ``x``, ``y``, filled, drawn round, or both."""

    x: float
    y: float
    radius: float
    fill: Colour | None = None
    stroke: Colour | None = None
    width: float = 0.5


class GridMark(NamedTuple):
    """Rectangles of whole cells of a grid, filled as one path so that no seam shows between neighbours.

    A cell is ``step_x`` by ``step_y`` points, the grid's upper left corner at ``x``, ``y``. Each rectangle
    is its first column and row, counted from 0, and how many columns and rows it covers.
    """

    x: float
    y: float
    step_x: float
    step_y: float
    rectangles: tuple[tuple[int, int, int, int], ...]
    fill: Colour = INK


Mark = TextMark | LineMark | ShapeMark | DiscMark | GridMark


def rectangle(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    fill: Colour | None = None,
    stroke: Colour | None = None,
) -> ShapeMark:
    """Return a rectangle with its upper left corner at ``x``, ``y``."""
    right, bottom = x + width, y + height
    return ShapeMark(((x, y), (right, y), (right, bottom), (x, bottom)), fill=fill, stroke=stroke)
