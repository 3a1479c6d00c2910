"""One reading against its limit: the limit, the reading that it takes to be sure, and what was read."""

from collections.abc import Iterator
from typing import NamedTuple

from intake.model.verdict import Step
from intake.report.drawing.flow import Block
from intake.report.drawing.marks import DiscMark, LineMark, Mark, TextMark, rectangle
from intake.report.drawing.palette import INK, PALE, RULE, SLATE
from intake.report.drawing.styles import PLOT, PLOT_TAG
from intake.report.drawing.typesetter import Typesetter
from intake.report.words.reasons import FINE_V, RATE_DECIMALS, UNITS, compared_limit, needed

_AXIS_Y, _HEIGHT, _RADIUS = 17.0, 33.0, 3.0
_MARGIN = 0.22
"""Share of the span left free at each end."""
_BETWEEN = 6.0
"""Points between the names of two lines."""
_BAND = 4.0


class Comparison(NamedTuple):
    """What was read, what is asked, and how much it takes to be sure of it, in one unit."""

    measured: float
    limit: float
    needed: float
    unit: str
    decimals: int = 2


def comparison_of(step: Step) -> Comparison | None:
    """Return what a rule compared, where both are figures."""
    figures = (step.measured, compared_limit(step), needed(step))
    if not all(isinstance(one, float | int) and not isinstance(one, bool) for one in figures):
        return None
    measured, limit, asked = (float(one) for one in figures if not isinstance(one, str) and one is not None)
    fine = min(abs(measured), abs(limit)) < FINE_V
    unit = UNITS.get(step.unit, step.unit)
    decimals = RATE_DECIMALS if step.unit == "V/d" else 3 if fine else 2
    return Comparison(measured, limit, asked, unit, decimals=decimals)


def comparison_block(setter: Typesetter, one: Comparison, width: float) -> Block:
    """Return the drawing, ``width`` points wide."""
    return Block(_HEIGHT, [(mark, 0.0, 0.0) for mark in _marks(setter, one, width)])


def _marks(setter: Typesetter, one: Comparison, width: float) -> Iterator[Mark]:
    def x(value: float) -> float:
        return width * (_MARGIN + (1 - 2 * _MARGIN) * (value - low) / span)

    def figure(value: float) -> str:
        return f"{value:.{one.decimals}f}"

    values = (one.measured, one.limit, one.needed)
    low = min(values)
    span = (max(values) - low) or 1.0
    yield LineMark(0, _AXIS_Y, width, _AXIS_Y, 0.8, RULE)
    begin, end = sorted((x(one.limit), x(one.needed)))
    if end > begin:
        yield rectangle(begin, _AXIS_Y - _BAND, end - begin, 2 * _BAND, fill=PALE, stroke=RULE)
    yield LineMark(x(one.limit), _AXIS_Y - 7, x(one.limit), _AXIS_Y + 5, 1.2, SLATE)
    names = [(x(one.limit), f"limit {figure(one.limit)}")]
    if end > begin:
        yield LineMark(x(one.needed), _AXIS_Y - 7, x(one.needed), _AXIS_Y + 5, 1.2, SLATE, (2.0, 1.2))
        names.append((x(one.needed), f"needs {figure(one.needed)}"))
    yield from _names(setter, sorted(names), width)
    yield DiscMark(x(one.measured), _AXIS_Y, _RADIUS, fill=INK)
    text = f"{figure(one.measured)} {one.unit}".rstrip()
    yield TextMark(_inside(x(one.measured), setter.width(text, PLOT_TAG), width), 8.0, text, PLOT_TAG)


def _names(setter: Typesetter, names: list[tuple[float, str]], width: float) -> Iterator[Mark]:
    """Yield the names of the lines below them, moved apart where they would meet."""
    widths = [setter.width(text, PLOT) for _, text in names]
    lefts = [_inside(x, own, width) for (x, _), own in zip(names, widths, strict=True)]
    if len(lefts) > 1 and lefts[1] < lefts[0] + widths[0] + _BETWEEN:
        lefts[0] = max(min(lefts[0], lefts[1] - widths[0] - _BETWEEN), 0.0)
        lefts[1] = max(lefts[1], lefts[0] + widths[0] + _BETWEEN)
    for left, (_, text) in zip(lefts, names, strict=True):
        yield TextMark(left, _HEIGHT - 2.5, text, PLOT)


def _inside(x: float, own: float, width: float) -> float:
    return min(max(x - own / 2, 0.0), max(width - own, 0.0))
