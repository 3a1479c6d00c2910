"""One small shape per grade, told apart without colour: the same in plots, legends and lists."""

import math

from intake.model.verdict import Grade
from intake.report.drawing.marks import DiscMark, LineMark, Mark, ShapeMark
from intake.report.drawing.palette import INK, WHITE


def grade_mark(grade: Grade, x: float, y: float, radius: float) -> tuple[Mark, ...]:
    """Return the shape about ``x``, ``y``: full disc, ring, cross, hollow triangle."""
    width = max(0.5, radius / 3)
    match grade:
        case Grade.RESALE:
            return (DiscMark(x, y, radius, fill=INK),)
        case Grade.RECONDITIONABLE:
            return (DiscMark(x, y, radius - width / 2, fill=WHITE, stroke=INK, width=width),)
        case Grade.RECYCLE:
            arm = radius * math.sqrt(0.5) * 1.15
            return (
                LineMark(x - arm, y - arm, x + arm, y + arm, width * 1.3),
                LineMark(x - arm, y + arm, x + arm, y - arm, width * 1.3),
            )
        case Grade.UNRESOLVED:
            corners = [math.radians(angle) for angle in (90, 210, 330)]
            points = tuple(
                (x + 1.15 * radius * math.cos(one), y - 1.15 * radius * math.sin(one)) for one in corners
            )
            return (ShapeMark(points, fill=WHITE, stroke=INK, width=width),)
