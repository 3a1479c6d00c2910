"""One small shape per grade, told apart without colour: the same in plots, legends and lists."""

import math

from intake.model.verdict import Grade
from intake.report.drawing.blocks import line_of, side_by_side
from intake.report.drawing.flow import Block
from intake.report.drawing.marks import DiscMark, LineMark, Mark, ShapeMark
from intake.report.drawing.palette import INK, WHITE, Colour
from intake.report.drawing.typesetter import Style

_BESIDE = 13.0
"""Points from the left at which the text behind a shape begins."""


def grade_mark(grade: Grade, x: float, y: float, radius: float, *, ink: Colour = INK) -> tuple[Mark, ...]:
    """Return the shape about ``x``, ``y``: full disc, hollow square, cross, hollow triangle."""
    width = max(0.5, radius / 3)
    match grade:
        case Grade.RESALE:
            return (DiscMark(x, y, radius, fill=ink),)
        case Grade.RECONDITIONABLE:
            side = 0.95 * radius - width / 4
            corners = ((x - side, y - side), (x + side, y - side), (x + side, y + side), (x - side, y + side))
            return (ShapeMark(corners, fill=WHITE, stroke=ink, width=width),)
        case Grade.RECYCLE:
            arm = radius * math.sqrt(0.5) * 1.15
            return (
                LineMark(x - arm, y - arm, x + arm, y + arm, width * 1.3, ink),
                LineMark(x - arm, y + arm, x + arm, y - arm, width * 1.3, ink),
            )
        case Grade.UNRESOLVED:
            angles = [math.radians(angle) for angle in (90, 210, 330)]
            points = tuple(
                (x + 1.15 * radius * math.cos(one), y - 1.15 * radius * math.sin(one)) for one in angles
            )
            return (ShapeMark(points, fill=WHITE, stroke=ink, width=width),)


def grade_block(grade: Grade, text: str, style: Style) -> Block:
    """Return the shape of a grade with a text behind it, on one line."""
    middle = style.baseline - 0.36 * style.size
    mark = Block(0.0, [(one, 0.0, 0.0) for one in grade_mark(grade, 4.5, middle, 3.6)])
    return side_by_side([(0.0, mark), (_BESIDE, line_of(style, (0.0, text)))])
