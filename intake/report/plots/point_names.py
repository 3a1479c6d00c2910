"""Tags of the points that matter, placed where they cover no point, no interval and no other tag."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from intake.report.drawing.marks import Mark, TextMark, rectangle
from intake.report.drawing.palette import WHITE
from intake.report.drawing.styles import PLOT_TAG
from intake.report.drawing.typesetter import Typesetter
from intake.report.plots.voltage_frame import Frame
from intake.report.plots.voltage_points import VoltagePoint

_ABOVE_FOOT, _BELOW_FOOT = 0.74 * PLOT_TAG.size, 0.22 * PLOT_TAG.size
_AIR = 2.0
"""Points left free between a tag and what it names."""


class _Area(NamedTuple):
    left: float
    top: float
    right: float
    bottom: float

    @property
    def height(self) -> float:
        return self.bottom - self.top

    def meets(self, other: "_Area") -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )


def named_points(
    setter: Typesetter,
    frame: Frame,
    places: Sequence[float],
    points: Sequence[VoltagePoint],
    *,
    radius: float,
) -> Iterator[Mark]:
    """Yield the tags on a white ground, so that no line runs through one.

    A tag that finds no free place covers an interval rather than another tag, or is left out.
    """
    drawn = [_drawn(frame, x, point, radius) for x, point in zip(places, points, strict=True)]
    tags: list[_Area] = []
    for own, point in zip(drawn, points, strict=True):
        if not point.name:
            continue
        text = setter.printable(point.name)
        areas = list(_candidates(frame, own, setter.width(text, PLOT_TAG)))
        apart = [one for one in areas if not any(one.meets(other) for other in tags)]
        clear = next((one for one in apart if not any(one.meets(other) for other in drawn)), None)
        found = clear or next(iter(apart), None)
        if clear is not None:
            yield rectangle(clear.left, clear.top, clear.right - clear.left, clear.height, fill=WHITE)
        if found is not None:
            tags.append(found)
            yield TextMark(found.left, found.top + _ABOVE_FOOT, text, PLOT_TAG)


def _drawn(frame: Frame, x: float, point: VoltagePoint, radius: float) -> _Area:
    """Return what the shape of a point and its interval take."""
    reach = 1.3 * radius
    y = min(max(frame.y(point.voltage_v), frame.top + reach), frame.bottom - reach)
    low, high = point.voltage_v - point.half_width_v, point.voltage_v + point.half_width_v
    within = frame.scale.shows(point.voltage_v)
    top = min(frame.y(high), y - reach) if within else y - reach
    bottom = max(frame.y(low), y + reach) if within else y + reach
    return _Area(x - reach, top, x + reach, bottom)


def _candidates(frame: Frame, own: _Area, width: float) -> Iterator[_Area]:
    """Yield places for a tag, the nearest first: above, below, beside, then above and below to a side."""
    height = _ABOVE_FOOT + _BELOW_FOOT
    middle = (own.left + own.right - width) / 2
    lefts = (middle, own.right + _AIR, own.left - _AIR - width)
    above, below = own.top - _AIR - height, own.bottom + _AIR
    level = (own.top + own.bottom - height) / 2
    for left, top in (
        (middle, above),
        (middle, below),
        *((left, level) for left in lefts[1:]),
        *((left, top) for left in lefts[1:] for top in (above, below)),
    ):
        left = min(max(left, frame.left + 1), frame.right - width - 1)
        area = _Area(left, top, left + width, top + height)
        if frame.top + 1 <= area.top and area.bottom <= frame.bottom - 1:
            yield area
