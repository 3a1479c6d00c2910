"""By how many hours an order of work is late at least, known before it is laid out.

Each station's row is followed as if the station had a person of its own. One person for all can only be
later, so an order that is too late here need not be laid out.
"""

from collections.abc import Sequence

from intake.bench.floor import Floor, kind_of
from intake.bench.station_search import NEAR_MIN
from intake.bench.timeline import Minutes, Turn, Work
from intake.bench.working_minutes import OpenMinutes


class LeastLate:
    """What rows are late at least after an aim. Remembers the rows that it was asked about."""

    def __init__(self, works: Sequence[Work], minutes: Minutes, opened: OpenMinutes, aim: int) -> None:
        self._works = works
        self._floor = Floor(opened, minutes)
        self._turns = [self._floor.turns(kind_of(work)) for work in works]
        self._aim = aim
        self._rows: dict[tuple[int, ...], int] = {}

    def hours(self, turns: Sequence[Turn], stations: int) -> int:
        """Return the sum of whole hours after the aim at which batteries can be read last, at least.

        Raises
        ------
        HorizonTooShort
            The working time was not laid out far enough.
        """
        rows: list[list[int]] = [[station] for station in range(stations)]
        for work, station in turns:
            if station >= 0:
                rows[station].append(work)
        return sum(self._row(tuple(row)) for row in rows)

    def _row(self, row: tuple[int, ...]) -> int:
        found = self._rows.get(row)
        if found is None:
            found = self._rows[row] = self._followed(*row)
        return found

    def _followed(self, station: int, *works: int) -> int:
        free = hours = 0
        for place in works:
            work = self._works[place]
            off, free = self._turns[place][free, work.station_min[station] or 0]
            beyond = self._floor.read(off, 1, work.readings) - self._aim
            hours += beyond // NEAR_MIN if beyond >= NEAR_MIN else 0
        return hours
