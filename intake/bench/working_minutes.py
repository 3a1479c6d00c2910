"""Working time laid out minute by minute, with the look-ups that planning and bounding share."""

import re
from bisect import bisect_left
from collections.abc import Callable, Iterator
from functools import cached_property
from itertools import compress, count
from operator import and_, or_

from intake.bench.timeline import HorizonTooShort, first_free

_CLOSED = b"\1"
_LEAVES = re.compile(b"\0(?=\1)")
_COMES = re.compile(b"(?<!\\0)\\0")
_FLIP = bytes((1, 0))
_DIGITS = bytes.maketrans(b"\0\1", b"10")


class OpenMinutes:
    """The minutes at which the person is there, from the plan's start to a horizon."""

    def __init__(self, closed: bytes) -> None:
        self.closed = closed
        """One byte a minute: 0 open, 1 closed."""

    @cached_property
    def _open(self) -> list[int]:
        return list(compress(count(), self.closed.translate(_FLIP + bytes(254))))

    @cached_property
    def _bits(self) -> int:
        return int(self.closed.translate(_DIGITS)[::-1] or b"0", 2)

    @cached_property
    def _longest(self) -> int:
        return max(map(len, self.closed.split(_CLOSED)))

    def closing(self, moment: int) -> int:
        """Return the moment at which the person leaves next; the same where nobody is there."""
        found = self.closed.find(_CLOSED, moment)
        return found if found >= 0 else len(self.closed)

    def closings(self) -> list[int]:
        """Return the moments at which the person leaves."""
        return [one.start() + 1 for one in _LEAVES.finditer(self.closed)]

    def openings(self) -> list[int]:
        """Return the moments at which the person comes."""
        return [one.start() for one in _COMES.finditer(self.closed)]

    def first(self, start: int, length: int) -> int:
        """Return the first minute from ``start`` at which so many open minutes follow one another.

        Raises
        ------
        HorizonTooShort
            There is none.
        """
        return first_free(self.closed, start, length)

    def fits(self, length: int) -> int:
        """Return a number with a bit for each minute, set where so many open minutes follow; one at least."""
        return _joined(self._bits, length, and_)

    def fits_within(self, length: int, span: int) -> int:
        """Return the same for minutes from which so many follow one of the next ``span`` minutes."""
        return _joined(self.fits(length), span, or_)

    def after(self, start: int, minutes: int) -> int:
        """Return the moment at which so many open minutes have passed since ``start``.

        Raises
        ------
        HorizonTooShort
            They do not pass within the horizon.
        """
        if start + minutes <= self.closing(start):
            return start + max(0, minutes)
        last = bisect_left(self._open, start) + minutes - 1
        if last >= len(self._open):
            raise HorizonTooShort
        return self._open[last] + 1

    def in_a_shift(self, minutes: int) -> bool:
        """Say whether some shift is as long as that."""
        return minutes <= self._longest

    def in_one_piece(self, start: int, minutes: int) -> int:
        """Return the first minute from ``start`` at which so many open minutes follow one another.

        Where no shift is that long, it is ``start`` itself: there is nothing to wait for.

        Raises
        ------
        HorizonTooShort
            There is none within the horizon.
        """
        if not self.in_a_shift(minutes) or start + minutes <= self.closing(start):
            return start
        return self.first(start, minutes)

    def pieces(self, start: int, minutes: int) -> Iterator[tuple[int, int]]:
        """Yield when so many open minutes begin and end from ``start`` on, a piece for each open stretch.

        Raises
        ------
        HorizonTooShort
            They do not pass within the horizon.
        """
        while minutes > 0:
            begins = self.first(start, 1)
            closes = self.closed.find(_CLOSED, begins)
            start = min(begins + minutes, closes if closes >= 0 else len(self.closed))
            yield begins, start
            minutes -= start - begins


def _joined(bits: int, count: int, join: Callable[[int, int], int]) -> int:
    """Return each bit joined with those of the minutes that follow, so many in all."""
    joined = 1
    while joined < count:
        step = min(joined, count - joined)
        bits = join(bits, bits >> step)
        joined += step
    return bits
