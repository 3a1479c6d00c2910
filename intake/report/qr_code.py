"""The QR code of a short text, with the mask that the library would choose, weighed much faster.

A whole code is one integer, module by module from the upper left corner, so that a rule of ISO/IEC 18004
is weighed over all modules at once. Version, character set, codewords, places and masks come from the
library's own encoder.
"""

from collections.abc import Iterator
from functools import lru_cache
from itertools import compress
from typing import Any, NamedTuple

from reportlab.graphics.barcode.qrencoder import QRCode, QRErrorCorrectLevel

_LEVEL = QRErrorCorrectLevel.M
"""Stands 15 % damage."""
_MASKS = 8
_VERSIONS_KEPT = 8
_FINDER_LIKE = (1, 0, 1, 1, 1, 0, 1, 0, 0, 0, 0)
"""What a scanner might take for a finder pattern."""


class _Frame(NamedTuple):
    """All of a version's codes that does not depend on the text."""

    size: int
    weights: tuple[int, ...]
    """The module of each bit of the text, in the order in which the bits are laid out."""
    weighed: tuple[int, ...]
    """For each mask the code of no bits, as it is weighed: without the bits that tell the mask."""
    printed: tuple[int, ...]
    """For each mask the code of no bits, as it is printed."""


def qr_rows(text: str) -> list[str]:
    """Return the rows of the smallest QR code of ``text`` at level M, a 1 for each dark module."""
    code: Any = QRCode(None, _LEVEL)
    code.addData(text)
    version = code.calculate_version()
    frame = _frame(version)
    bits = b"".join(_BITS[one] for one in code.createData(version, _LEVEL, code.dataList))
    laid = sum(compress(frame.weights, bits))
    lost = [_lost_points(one ^ laid, frame.size) for one in frame.weighed]
    dark = frame.printed[lost.index(min(lost))] ^ laid
    return list(_rows(dark, frame.size))


_BITS = tuple(bytes(one >> place & 1 for place in range(7, -1, -1)) for one in range(256))


@lru_cache(maxsize=_VERSIONS_KEPT)
def _frame(version: int) -> _Frame:
    code: Any = QRCode(version, _LEVEL)
    code.dataCache = []

    def masked(mask: int, *, weighed: bool) -> int:
        code.makeImpl(weighed, mask)
        return int("".join("01"[dark] for row in code.modules for dark in row)[::-1], 2)

    weighed = tuple(masked(mask, weighed=True) for mask in range(_MASKS))
    printed = tuple(masked(mask, weighed=False) for mask in range(_MASKS))
    size = code.getModuleCount()
    weights = tuple(1 << row * size + column for column, row in code.dataPosIterator())
    return _Frame(size, weights, weighed, printed)


def _rows(dark: int, size: int) -> Iterator[str]:
    signs = f"{dark:0{size * size}b}"[::-1]
    return (signs[start : start + size] for start in range(0, size * size, size))


def _lost_points(dark: int, size: int) -> int:
    """Return the penalty of a code: the fewer points, the better it can be read.

    As in the library, what looks like a finder pattern is counted along the rows only, and not at their ends.
    """
    beside = _columns(size, 1) & ~(dark ^ dark >> 1)
    below = ((1 << size * (size - 1)) - 1) & ~(dark ^ dark >> size)
    blocks = beside & beside >> size & below
    finders = _finder_like(dark) & _columns(size, len(_FINDER_LIKE))
    share = 100 * dark.bit_count() // (size * size)
    return (
        _long_runs(beside, 1)
        + _long_runs(below, size)
        + 3 * blocks.bit_count()
        + 40 * finders.bit_count()
        + 10 * (abs(share - 50) // 5)
    )


def _long_runs(alike: int, step: int) -> int:
    """Return 3 points for each run of five alike and 1 for each module more.

    ``alike`` has a bit where a module is like the next one, ``step`` bits further.
    """
    fives = alike & alike >> step & alike >> 2 * step & alike >> 3 * step
    return fives.bit_count() + 2 * (fives & ~(fives << step)).bit_count()


def _finder_like(dark: int) -> int:
    found = -1
    for place, wanted in enumerate(_FINDER_LIKE):
        shifted = dark >> place
        found &= shifted if wanted else ~shifted
    return found


@lru_cache(maxsize=2 * _VERSIONS_KEPT)
def _columns(size: int, without: int) -> int:
    """Return all modules but those of the last columns."""
    row = (1 << size - without) - 1
    return sum(row << number * size for number in range(size))
