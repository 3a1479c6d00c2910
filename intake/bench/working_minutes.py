"""Working time laid out minute by minute, with the look-ups that planning and bounding share."""

from bisect import bisect_left
from functools import cached_property
from itertools import compress, count

from intake.bench.timeline import HorizonTooShort, first_free

_FLIP = bytes((1, 0))


class OpenMinutes:
    """The minutes at which the person is there, from the plan's start to a horizon."""

    def __init__(self, closed: bytes) -> None:
        self.closed = closed
        """One byte a minute: 0 open, 1 closed."""

    @cached_property
    def _open(self) -> list[int]:
        return list(compress(count(), self.closed.translate(_FLIP + bytes(254))))

    def first(self, start: int, length: int) -> int:
        """Return the first minute from ``start`` at which so many open minutes follow one another.

        Raises
        ------
        HorizonTooShort
            There is none.
        """
        return first_free(self.closed, start, length)

    def after(self, start: int, minutes: int) -> int:
        """Return the moment at which so many open minutes have passed since ``start``.

        Raises
        ------
        HorizonTooShort
            They do not pass within the horizon.
        """
        if minutes <= 0:
            return start
        last = bisect_left(self._open, start) + minutes - 1
        if last >= len(self._open):
            raise HorizonTooShort
        return self._open[last] + 1
