"""Every battery's voltage with its interval against its chemistry's limits, one panel a chemistry."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import cycle

from intake.report.flow import Block
from intake.report.fonts import Face
from intake.report.grade_marks import grade_mark
from intake.report.marks import LineMark, Mark, TextMark, rectangle
from intake.report.palette import GREY, INK, PALE, RULE, SLATE
from intake.report.typesetter import Style, Typesetter
from intake.report.voltage_points import VoltagePoint
from intake.report.voltage_scale import Limit, Scale, scale_for, spread

TITLE = Style(8.5, Face.BOLD)
SMALL = Style(7, colour=GREY)
_LABEL = Style(7)
_AXIS_WIDTH, _LABEL_WIDTH = 24.0, 66.0
_TITLE_HEIGHT, _FOOT_HEIGHT = 13.0, 11.0
_LARGEST_MARK, _SMALLEST_MARK = 2.6, 1.3
_MOST_NAMED = 3
"""So many voltages beyond the scale are named one by one."""
_DASHES: tuple[tuple[float, ...], ...] = ((), (4.0, 2.0), (1.2, 1.6))
"""One for each limit line, in the order of the limits."""


@dataclass(frozen=True, slots=True)
class _Frame:
    """The rectangle in which the points stand, within the panel."""

    left: float
    right: float
    top: float
    bottom: float
    scale: Scale

    def y(self, voltage_v: float) -> float:
        return self.bottom - self.scale.share(voltage_v) * (self.bottom - self.top)


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
    label_width = _LABEL_WIDTH if limits else 0.0
    frame = _Frame(
        left=_AXIS_WIDTH,
        right=width - label_width,
        top=_TITLE_HEIGHT,
        bottom=height - _FOOT_HEIGHT,
        scale=scale_for(points, limits),
    )
    counted = f"{title}: {len(points)} with a voltage"
    marks: list[Mark] = [TextMark(frame.left, TITLE.baseline - 1, counted, TITLE)]
    marks += _axis(setter, frame)
    marks += _limit_lines(frame, limits)
    marks += _points(frame, points)
    beyond = _beyond(setter, frame, points)
    if beyond:
        marks.append(TextMark(frame.left, height - _FOOT_HEIGHT + SMALL.baseline + 1.5, beyond, SMALL))
    return Block(height, [(mark, 0.0, 0.0) for mark in marks])


def _axis(setter: Typesetter, frame: _Frame) -> Iterator[Mark]:
    yield rectangle(frame.left, frame.top, frame.right - frame.left, frame.bottom - frame.top, stroke=RULE)
    for voltage in frame.scale.ticks:
        y = frame.y(voltage)
        text = f"{voltage:.1f}"
        yield LineMark(frame.left, y, frame.right, y, 0.4, PALE)
        yield TextMark(frame.left - 3 - setter.width(text, SMALL), y + 2.5, text, SMALL)
    yield TextMark(0, TITLE.baseline - 1, "V", SMALL)


def _limit_lines(frame: _Frame, limits: Sequence[Limit]) -> Iterator[Mark]:
    highest_first = sorted(zip(limits, cycle(_DASHES), strict=False), key=lambda one: one[0][1], reverse=True)
    places = [frame.y(voltage) for (_, voltage), _ in highest_first]
    labels = spread(places, gap=8.0, low=frame.top + 2, high=frame.bottom - 2)
    for ((label, voltage), dash), y, label_y in zip(highest_first, places, labels, strict=True):
        yield LineMark(frame.left, y, frame.right, y, 0.8, SLATE, dash)
        yield LineMark(frame.right, y, frame.right + 4, label_y, 0.5, SLATE)
        yield TextMark(frame.right + 5.5, label_y + 2.5, f"{label} {voltage:.2f}", _LABEL)


def _points(frame: _Frame, points: Sequence[VoltagePoint]) -> Iterator[Mark]:
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


def _beyond(setter: Typesetter, frame: _Frame, points: Sequence[VoltagePoint]) -> str:
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
    if setter.width(full, SMALL) <= frame.right - frame.left:
        return full
    return "; ".join(f"{where} the scale: {len(voltages)}" for where, voltages in sides)


def _named(voltages: Sequence[float]) -> str:
    if len(voltages) <= _MOST_NAMED:
        return ", ".join(f"{one:.2f}" for one in voltages)
    return f"{len(voltages)}, {voltages[0]:.2f} to {voltages[-1]:.2f}"
