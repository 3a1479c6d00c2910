"""QR code and Code 128 of a short text as rectangles of whole modules, quiet zones counted in.

The library's own encoders choose version, mask and character sets; only the drawing is done here, since
its own shapes cost more time than the code itself.
"""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from intake.report.drawing.marks import GridMark
from intake.report.drawing.page import POINTS_PER_MM
from intake.report.drawing.palette import Colour
from intake.report.labels.encoders import Code128, QRCode, QRErrorCorrectLevel

BLACK: Colour = (0.0, 0.0, 0.0)
"""Full black: a printer would break the palette's ink into dots and fray the edges of a code."""
LEAST_MODULE_MM = 0.19
"""Narrowest Code 128 module that is printed; common practice for office printers and hand scanners."""
_WIDEST_MODULE_MM = 0.38
_QR_QUIET_MODULES = 4
"""ISO/IEC 18004, from memory."""
_BAR_QUIET_MODULES = 10
"""ISO/IEC 15417, from memory."""
_DOT = 72 / 600
"""A dot of a common office printer in points: modules of whole dots print evenly."""
_CACHED = 512

Rectangle = tuple[int, int, int, int]
"""First column and row, columns and rows."""


class Box(NamedTuple):
    """A rectangle on a label or page in points, ``x`` and ``y`` its upper left corner."""

    x: float
    y: float
    width: float
    height: float


class Modules(NamedTuple):
    """The dark modules of a code, and how many modules it is wide without quiet zones."""

    width: int
    rectangles: tuple[Rectangle, ...]


@lru_cache(maxsize=_CACHED)
def qr_modules(text: str) -> Modules:
    """Return the smallest QR code of ``text`` that stands 15 % damage (level M)."""
    code: Any = QRCode(None, QRErrorCorrectLevel.M)
    code.addData(text)
    code.make()
    return Modules(code.getModuleCount(), tuple(_merged(code.modules)))


def _merged(rows: Sequence[Sequence[bool]]) -> Iterable[Rectangle]:
    """Gather dark modules to runs, and equal runs below each other to one rectangle."""
    open_runs: dict[tuple[int, int], int] = {}
    for number, row in enumerate([*rows, ()]):
        runs = set(_runs(row))
        for run in [one for one in open_runs if one not in runs]:
            first = open_runs.pop(run)
            yield run[0], first, run[1], number - first
        for run in sorted(runs - open_runs.keys()):
            open_runs[run] = number


def _runs(row: Sequence[bool]) -> Iterable[tuple[int, int]]:
    """Yield first column and length of each dark run."""
    start = None
    for column, dark in enumerate([*row, False]):
        if dark and start is None:
            start = column
        elif not dark and start is not None:
            yield start, column - start
            start = None


def bar_modules(text: str) -> Modules:
    """Return the bars of a Code 128 of ASCII text, one module row high."""
    code: Any = Code128(text, quiet=0)
    code.validate()
    code.encode()
    bars: list[Rectangle] = []
    column = 0
    for sign in code.decompose():
        width = ord(sign.lower()) - ord("a") + 1
        if sign.isupper():
            bars.append((column, 0, width, 1))
        column += width
    return Modules(column, tuple(bars))


def qr_mark(text: str, box: Box) -> GridMark:
    """Return the QR code of ``text`` with its quiet zone filling the square ``box``."""
    code = qr_modules(text)
    step = box.width / (code.width + 2 * _QR_QUIET_MODULES)
    quiet = _QR_QUIET_MODULES * step
    return GridMark(box.x + quiet, box.y + quiet, step, step, code.rectangles, BLACK)


def bars_mark(text: str, box: Box) -> GridMark | None:
    """Return the Code 128 of ``text`` in the middle of ``box``, its quiet zones inside.

    None where a module would be narrower than `LEAST_MODULE_MM`.
    """
    code = bar_modules(text)
    step = _module_width(box.width / (code.width + 2 * _BAR_QUIET_MODULES))
    if step is None:
        return None
    left = box.x + (box.width - code.width * step) / 2
    return GridMark(left, box.y, step, box.height, code.rectangles, BLACK)


def _module_width(room: float) -> float | None:
    """Return the module in points that fits ``room``, of whole printer dots where that is wide enough."""
    least = LEAST_MODULE_MM * POINTS_PER_MM
    fitting = min(room, _WIDEST_MODULE_MM * POINTS_PER_MM)
    even = fitting // _DOT * _DOT
    if even >= least:
        return even
    return fitting if fitting >= least else None
