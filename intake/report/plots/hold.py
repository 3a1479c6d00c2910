"""One battery's hold readings over the logarithm of time, with what they settle at, against the limits."""

import math
from collections.abc import Iterator, Sequence
from typing import NamedTuple

from intake.model.result import GradedBattery
from intake.model.shown import shown_h
from intake.model.verdict import HeldCharge
from intake.report.drawing.flow import Block
from intake.report.drawing.marks import DiscMark, LineMark, Mark, TextMark
from intake.report.drawing.palette import GREY, INK, PALE, SLATE, WHITE
from intake.report.drawing.styles import LABEL
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.voltage_frame import AXIS_WIDTH, LABEL_WIDTH, Frame, axis, limit_lines
from intake.report.plots.voltage_points import COVERAGE_FACTOR, VoltagePoint
from intake.report.plots.voltage_scale import Limit, scale_for
from intake.report.words.charge_and_remarks import charge_that_counts

REST_LIMIT = "rest"
"""The label of the limit that a rest voltage is held against; all others belong to the hold."""
SETTLED_H = 24.0
"""The hour at which a lead-acid hold counts as settled."""
_TICKS_H = (0.5, 1, 2, 4, 8, 12, 24, 48, 96, 168, 336, 720)
_TITLE_HEIGHT, _FOOT_HEIGHT = 12.0, 12.0
_RADIUS, _CAP = 2.2, 3.0
_TICK_APART = 5.0
_EDGE = 0.05
"""Share of the width left free before the first and behind the last hour."""


class _Hours(NamedTuple):
    """Hours on a logarithmic scale, as places from the left."""

    first_h: float
    last_h: float
    left: float
    right: float

    def x(self, hours: float) -> float:
        span = math.log(self.last_h / self.first_h)
        share = math.log(max(hours, self.first_h) / self.first_h) / span
        room = self.right - self.left
        return self.left + room * (_EDGE + (1 - 2 * _EDGE) * share)

    @property
    def ticks(self) -> tuple[float, ...]:
        return tuple(one for one in _TICKS_H if self.first_h <= one <= self.last_h)


def hold_plot(
    setter: Typesetter, one: GradedBattery, limits: Sequence[Limit], *, width: float, height: float
) -> Block:
    """Return the plot; without a voltage that can be reduced to 25 degC it says so."""
    held = one.verdict.held_charge
    points = _points(one)
    if not points:
        note = TextMark(0, LABEL.baseline, "No voltage to plot.", LABEL)
        return Block(height, ((note, 0.0, 0.0),))
    shown = [limit for limit in limits if (limit[0] == REST_LIMIT) is (held is None)]
    frame = Frame(
        left=AXIS_WIDTH,
        right=width - LABEL_WIDTH,
        top=_TITLE_HEIGHT,
        bottom=height - _FOOT_HEIGHT,
        scale=scale_for(points, shown),
    )
    foot = LABEL.baseline
    title = "at 25 °C; bars: 95 % interval; lines: limits"
    if held is not None and is_projected(held):
        title += "; ring: calculated"
    marks: list[Mark] = [TextMark(frame.left, foot, title, LABEL)]
    marks += axis(setter, frame, unit_foot=foot)
    if held is None:
        marks += limit_lines(frame, shown)
        marks += _rest(setter, frame, one, points[0])
    else:
        marks += _hold(setter, frame, one, held, shown)
    return Block(height, [(mark, 0.0, 0.0) for mark in marks])


def _points(one: GradedBattery) -> list[VoltagePoint]:
    """Return every voltage that the scale has to show, with the half-width of its interval."""
    charge = charge_that_counts(one.verdict)
    if charge is None:
        return []
    grade, held = one.verdict.grade, one.verdict.held_charge is not None
    settled = VoltagePoint(charge.voltage_25c_v, COVERAGE_FACTOR * charge.standard_uncertainty_v, grade, held)
    return [
        settled,
        *(
            VoltagePoint(reading.voltage_25c_v, COVERAGE_FACTOR * reading.standard_uncertainty_v, grade, held)
            for reading in one.verdict.reduced_readings
        ),
    ]


def _hold(
    setter: Typesetter, frame: Frame, one: GradedBattery, held: HeldCharge, limits: Sequence[Limit]
) -> Iterator[Mark]:
    readings = one.verdict.reduced_readings
    first_h = min(reading.after_h for reading in readings)
    hours = _Hours(
        first_h=min(first_h, SETTLED_H / 2),
        last_h=max(held.after_h, SETTLED_H),
        left=frame.left,
        right=frame.right,
    )
    yield from _hour_axis(setter, frame, hours)
    yield from limit_lines(frame, limits)
    for reading in readings:
        x = hours.x(reading.after_h)
        half = COVERAGE_FACTOR * reading.standard_uncertainty_v
        yield LineMark(
            x, frame.y(reading.voltage_25c_v - half), x, frame.y(reading.voltage_25c_v + half), 0.7, GREY
        )
    yield from _settling(frame, hours, held)
    for reading in readings:
        yield DiscMark(hours.x(reading.after_h), frame.y(reading.voltage_25c_v), _RADIUS, fill=INK)


def _settling(frame: Frame, hours: _Hours, held: HeldCharge) -> Iterator[Mark]:
    """Yield the way from the last reading to the settled voltage, and its interval."""
    charge = held.state_of_charge
    projected = is_projected(held)
    x = hours.x(SETTLED_H if projected else held.after_h)
    y = frame.y(charge.voltage_25c_v)
    if projected:
        yield LineMark(hours.x(held.after_h), frame.y(held.reading_25c_v), x, y, 0.9, SLATE, (2.5, 1.5))
    yield from _interval(frame, x, charge.voltage_25c_v, COVERAGE_FACTOR * charge.standard_uncertainty_v)
    if projected:
        yield DiscMark(x, y, _RADIUS, fill=WHITE, stroke=INK, width=0.9)


def is_projected(held: HeldCharge) -> bool:
    """Say whether the settled voltage lies beyond the last reading."""
    return held.after_h < SETTLED_H and held.reading_25c_v != held.state_of_charge.voltage_25c_v


def _rest(setter: Typesetter, frame: Frame, one: GradedBattery, point: VoltagePoint) -> Iterator[Mark]:
    x = (frame.left + frame.right) / 2
    yield from _interval(frame, x, point.voltage_v, point.half_width_v)
    yield DiscMark(x, frame.y(point.voltage_v), _RADIUS, fill=INK)
    rested = one.battery.rested_h
    text = "at rest" if rested is None else f"rested {shown_h(rested)} h"
    yield TextMark(x - setter.width(text, LABEL) / 2, frame.bottom + 2 + LABEL.baseline, text, LABEL)


def _interval(frame: Frame, x: float, voltage_v: float, half_v: float) -> Iterator[Mark]:
    low, high = frame.y(voltage_v - half_v), frame.y(voltage_v + half_v)
    yield LineMark(x, low, x, high, 1.2, INK)
    for y in (low, high):
        yield LineMark(x - _CAP, y, x + _CAP, y, 1.0, INK)


def _hour_axis(setter: Typesetter, frame: Frame, hours: _Hours) -> Iterator[Mark]:
    """Yield round hours, those left out whose figures would meet; settled hour and unit always stand."""
    foot = frame.bottom + 2 + LABEL.baseline
    unit = "h after charge"
    unit_x = frame.right + 5.5
    yield TextMark(unit_x, foot, unit, LABEL)
    taken = [(unit_x, unit_x)]
    for tick in sorted(hours.ticks, key=lambda one: one != SETTLED_H):
        text = f"{tick:g}"
        width = setter.width(text, LABEL)
        x = hours.x(tick)
        begin, end = x - width / 2, x + width / 2
        if any(begin < right + _TICK_APART and left < end + _TICK_APART for left, right in taken[1:]):
            continue
        taken.append((begin, end))
        yield LineMark(x, frame.top, x, frame.bottom, 0.4, PALE)
        yield TextMark(begin, foot, text, LABEL)
