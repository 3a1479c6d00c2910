"""The frame of a voltage plot: where its scale stands, its round voltages and its limit lines."""

from collections.abc import Iterator, Sequence
from itertools import cycle
from typing import NamedTuple

from intake.report.drawing.marks import LineMark, Mark, TextMark, rectangle
from intake.report.drawing.palette import PALE, RULE, SLATE
from intake.report.drawing.styles import LABEL, PLOT
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.voltage_scale import Limit, Scale, spread

AXIS_WIDTH, LABEL_WIDTH = 26.0, 72.0
"""Room for the voltages to the left and for the names of the limits to the right, in points."""
_DASHES: tuple[tuple[float, ...], ...] = ((), (4.0, 2.0), (1.2, 1.6))
"""One for each limit line, in the order of the limits."""


class Frame(NamedTuple):
    """The rectangle in which the points stand, within the panel."""

    left: float
    right: float
    top: float
    bottom: float
    scale: Scale

    def y(self, voltage_v: float) -> float:
        """Return how far down a voltage stands."""
        return self.bottom - self.scale.share(voltage_v) * (self.bottom - self.top)


def axis(setter: Typesetter, frame: Frame, *, unit_foot: float) -> Iterator[Mark]:
    """Yield the box and its round voltages; the unit stands with its foot at ``unit_foot``."""
    yield rectangle(frame.left, frame.top, frame.right - frame.left, frame.bottom - frame.top, stroke=RULE)
    for voltage in frame.scale.ticks:
        y = frame.y(voltage)
        text = f"{voltage:.1f}"
        yield LineMark(frame.left, y, frame.right, y, 0.4, PALE)
        yield TextMark(frame.left - 3 - setter.width(text, LABEL), y + 2.5, text, LABEL)
    yield TextMark(0, unit_foot, "V", LABEL)


def limit_lines(frame: Frame, limits: Sequence[Limit]) -> Iterator[Mark]:
    """Yield a line and its name to the right of the box for each limit."""
    highest_first = sorted(zip(limits, cycle(_DASHES), strict=False), key=lambda one: one[0][1], reverse=True)
    places = [frame.y(voltage) for (_, voltage), _ in highest_first]
    labels = spread(places, gap=9.0, low=frame.top + 2, high=frame.bottom - 2)
    for ((label, voltage), dash), y, label_y in zip(highest_first, places, labels, strict=True):
        yield LineMark(frame.left, y, frame.right, y, 0.8, SLATE, dash)
        yield LineMark(frame.right, y, frame.right + 4, label_y, 0.5, SLATE)
        yield TextMark(frame.right + 5.5, label_y + 2.5, f"{label} {voltage:.2f}", PLOT)
