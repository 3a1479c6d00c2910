"""The scale of a voltage plot: which stretch of volts it shows, and where its lines stand."""

import math
from collections.abc import Mapping, Sequence
from typing import NamedTuple

from intake.model.battery import Chemistry
from intake.report.plots.voltage_points import VoltagePoint

Limit = tuple[str, float]
"""Label and voltage in V."""

PlotLimits = Mapping[Chemistry, Sequence[Limit]]
"""For each chemistry the lines that its panel shows."""

_BELOW_LIMITS_V, _ABOVE_LIMITS_V = 1.0, 0.8
"""How far from the limits a voltage is still drawn to scale; what lies beyond stands at the edge."""
_LEAST_SPAN_V = 0.4
_MARGIN, _EDGE = 0.06, 0.08
"""Shares of the span left free at each end, and more where voltages beyond the scale stand there."""
_MOST_TICKS = 6
_STEPS_V = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0)


class Scale(NamedTuple):
    """The volts that a plot shows."""

    low_v: float
    high_v: float

    def share(self, voltage_v: float) -> float:
        """Return how far up the plot a voltage stands, 0 to 1; beyond the edges it stands at the edge."""
        part = (voltage_v - self.low_v) / (self.high_v - self.low_v)
        return min(max(part, 0.0), 1.0)

    def shows(self, voltage_v: float) -> bool:
        """Say whether the voltage lies within the scale."""
        return self.low_v <= voltage_v <= self.high_v

    @property
    def ticks(self) -> tuple[float, ...]:
        """Round voltages within the scale, at most six."""
        for step in _STEPS_V:
            first = math.ceil(self.low_v / step - 1e-9)
            last = math.floor(self.high_v / step + 1e-9)
            if last - first < _MOST_TICKS:
                return tuple(round(number * step, 1) for number in range(first, last + 1))
        return ()


def scale_for(points: Sequence[VoltagePoint], limits: Sequence[Limit]) -> Scale:
    """Return a scale that shows the limits and every point near them; all points where there are none."""
    voltages = [voltage for _, voltage in limits]
    ends = [
        end
        for point in points
        if not voltages or _near(point.voltage_v, voltages)
        for end in (point.voltage_v - point.half_width_v, point.voltage_v + point.half_width_v)
    ]
    low, high = min(ends + voltages), max(ends + voltages)
    missing = max(_LEAST_SPAN_V - (high - low), 0.0)
    span = max(high - low, _LEAST_SPAN_V)
    margin = _MARGIN * span + missing / 2
    below, above = (
        margin + _EDGE * span * any(beyond)
        for beyond in (
            (point.voltage_v < low - margin for point in points),
            (point.voltage_v > high + margin for point in points),
        )
    )
    return Scale(low - below, high + above)


def _near(voltage_v: float, limits: Sequence[float]) -> bool:
    return min(limits) - _BELOW_LIMITS_V <= voltage_v <= max(limits) + _ABOVE_LIMITS_V


def spread(places: Sequence[float], *, gap: float, low: float, high: float) -> list[float]:
    """Move places apart until they are ``gap`` from each other, within ``low`` to ``high``, order kept.

    ``places`` must rise. Where the room is too small for the gap they are spread evenly.
    """
    if not places:
        return []
    gap = min(gap, (high - low) / max(len(places) - 1, 1))
    moved: list[float] = []
    for place in places:
        moved.append(max(place, low) if not moved else max(place, moved[-1] + gap))
    ceiling = high
    for index in reversed(range(len(moved))):
        moved[index] = min(moved[index], ceiling)
        ceiling = moved[index] - gap
    return moved
