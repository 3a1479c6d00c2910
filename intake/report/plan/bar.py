"""One battery on a station as a bar over time, with a pattern for each stage that grey print keeps apart."""

from collections.abc import Callable, Iterator, Mapping

from intake.model.plan import TaskKind
from intake.report.drawing.marks import LineMark, Mark, rectangle
from intake.report.drawing.palette import INK, SLATE, WHITE

STRIP = 6.0
"""Height in points of the strip that carries the pattern."""
_HATCH, _STRIPE, _WEIGHT = 4.0, 3.0, 0.7

Pattern = Callable[[float, float, float], Iterator[Mark]]
"""From left, right and top of a strip to its marks."""


def _solid(left: float, right: float, top: float) -> Iterator[Mark]:
    yield rectangle(left, top, right - left, STRIP, fill=SLATE)


def _hatched(left: float, right: float, top: float) -> Iterator[Mark]:
    """Yield strokes that rise to the right, cut off at both ends."""
    foot = left - STRIP
    while foot < right:
        begin, end = max(foot, left), min(foot + STRIP, right)
        if end > begin:
            yield LineMark(begin, top + STRIP - (begin - foot), end, top + STRIP - (end - foot), _WEIGHT)
        foot += _HATCH


def _striped(left: float, right: float, top: float) -> Iterator[Mark]:
    x = left + _STRIPE / 2
    while x < right:
        yield LineMark(x, top, x, top + STRIP, _WEIGHT)
        x += _STRIPE


def _lined(left: float, right: float, top: float) -> Iterator[Mark]:
    for share in (1, 2, 3):
        y = top + STRIP * share / 4
        yield LineMark(left, y, right, y, _WEIGHT)


def _open(left: float, right: float, top: float) -> Iterator[Mark]:
    """Yield one line along the foot: what was charged goes out again."""
    yield LineMark(left, top + STRIP - _WEIGHT, right, top + STRIP - _WEIGHT, _WEIGHT)


PATTERNS: Mapping[TaskKind, Pattern] = {
    TaskKind.CHARGE: _solid,
    TaskKind.RECOVER: _hatched,
    TaskKind.EQUALISE: _striped,
    TaskKind.BALANCE: _lined,
    TaskKind.CAPACITY_TEST: _open,
}


def pattern(kind: TaskKind, *, left: float, right: float, top: float) -> list[Mark]:
    """Return a strip with the pattern of a stage, its ends marked."""
    ends = [LineMark(x, top, x, top + STRIP, 0.5, INK) for x in (left, right)]
    return [*PATTERNS[kind](left, right, top), *ends]


def frame(
    *, left: float, right: float, top: float, bottom: float, open_left: bool, open_right: bool
) -> list[Mark]:
    """Return the white box of a bar; a side where the bar goes on stays open."""
    marks: list[Mark] = [rectangle(left, top, right - left, bottom - top, fill=WHITE)]
    marks += [LineMark(left, y, right, y, 0.6, INK) for y in (top, bottom)]
    sides = ((left, open_left), (right, open_right))
    return [*marks, *(LineMark(x, top, x, bottom, 0.6, INK) for x, is_open in sides if not is_open)]
