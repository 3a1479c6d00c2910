"""Every battery's voltage with its interval against its chemistry's limits, one panel a chemistry."""

from collections.abc import Iterator, Sequence

from intake.report.drawing.flow import Block
from intake.report.drawing.grade_marks import grade_mark
from intake.report.drawing.marks import LineMark, Mark, TextMark
from intake.report.drawing.palette import GREY, INK, RULE
from intake.report.drawing.styles import LABEL, STRONG
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.point_names import named_points
from intake.report.plots.voltage_frame import AXIS_WIDTH, LABEL_WIDTH, Frame, axis, limit_lines
from intake.report.plots.voltage_points import VoltagePoint
from intake.report.plots.voltage_scale import Limit, scale_for

_TITLE_HEIGHT, _FOOT_HEIGHT = 14.0, 12.0
_LARGEST_MARK, _SMALLEST_MARK = 2.6, 1.3
_MOST_NAMED = 3
"""So many voltages beyond the scale are named one by one."""


def voltage_panel(
    setter: Typesetter,
    title: str,
    points: Sequence[VoltagePoint],
    limits: Sequence[Limit],
    *,
    width: float,
    height: float,
) -> Block:
    """Return one panel, ``points`` from left to right in rising order.

    A voltage far from the limits stands at the edge of the scale and is named below the panel.
    """
    label_width = LABEL_WIDTH if limits else 0.0
    frame = Frame(
        left=AXIS_WIDTH,
        right=width - label_width,
        top=_TITLE_HEIGHT,
        bottom=height - _FOOT_HEIGHT,
        scale=scale_for(points, limits),
    )
    counted = f"{title}: {len(points)} with a voltage"
    marks: list[Mark] = [TextMark(frame.left, STRONG.baseline - 1, counted, STRONG)]
    marks += axis(setter, frame, unit_foot=STRONG.baseline - 1)
    marks += limit_lines(frame, limits)
    marks += _points(setter, frame, points)
    beyond = _beyond(setter, frame, points)
    if beyond:
        marks.append(TextMark(frame.left, height - _FOOT_HEIGHT + LABEL.baseline + 1.5, beyond, LABEL))
    return Block(height, [(mark, 0.0, 0.0) for mark in marks])


def _points(setter: Typesetter, frame: Frame, points: Sequence[VoltagePoint]) -> Iterator[Mark]:
    """Yield all bars, then all shapes on top of them; bars that stand close are paler."""
    step = (frame.right - frame.left) / max(len(points), 1)
    radius = min(max(0.42 * step, _SMALLEST_MARK), _LARGEST_MARK)
    dense = radius < _LARGEST_MARK
    places = [frame.left + (index + 0.5) * step for index in range(len(points))]
    for x, point in zip(places, points, strict=True):
        if point.half_width_v and frame.scale.shows(point.voltage_v):
            low, high = point.voltage_v - point.half_width_v, point.voltage_v + point.half_width_v
            thickness, colour = (
                (1.6, GREY if dense else INK) if point.held else (0.6, RULE if dense else GREY)
            )
            yield LineMark(x, frame.y(low), x, frame.y(high), min(thickness, step), colour)
    for x, point in zip(places, points, strict=True):
        y = min(max(frame.y(point.voltage_v), frame.top + 1.5 * radius), frame.bottom - 1.5 * radius)
        yield from grade_mark(point.grade, x, y, radius)
    yield from named_points(setter, frame, places, points, radius=radius)


def _beyond(setter: Typesetter, frame: Frame, points: Sequence[VoltagePoint]) -> str:
    """Name the voltages that the scale does not reach, or say only how many where the words take too much."""
    scale = frame.scale
    sides = [
        (where, voltages)
        for where, voltages in (
            ("below", [point.voltage_v for point in points if point.voltage_v < scale.low_v]),
            ("above", [point.voltage_v for point in points if point.voltage_v > scale.high_v]),
        )
        if voltages
    ]
    full = "; ".join(f"{where} the scale: {_named(voltages)} V" for where, voltages in sides)
    if setter.width(full, LABEL) <= frame.right - frame.left:
        return full
    return "; ".join(f"{where} the scale: {len(voltages)}" for where, voltages in sides)


def _named(voltages: Sequence[float]) -> str:
    if len(voltages) <= _MOST_NAMED:
        return ", ".join(f"{one:.2f}" for one in voltages)
    return f"{len(voltages)}, {voltages[0]:.2f} to {voltages[-1]:.2f}"
