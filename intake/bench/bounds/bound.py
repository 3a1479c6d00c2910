"""A moment before which no plan can end, whatever the order.

Three relaxations, the latest of which counts:

* each battery alone on its best station, and the last readings one after another;
* all the person's minutes one after another;
* the stations freed from the one person: see `intake.bench.bounds.station_bound`.
"""

from collections.abc import Sequence

from intake.bench.bounds.station_bound import stations_bound
from intake.bench.layout import Later, lay_out
from intake.bench.timeline import Minutes, Placed, Turn, Work
from intake.bench.working_minutes import OpenMinutes


def lower_bound(
    works: Sequence[Work], stations: int, minutes: Minutes, opened: OpenMinutes, *, until: int, enough: int
) -> int:
    """Return a minute before which no plan ends; 0 where there is no work.

    ``until`` is a minute by which some plan ends. A bound of ``enough`` or more is not bettered.

    Raises
    ------
    HorizonTooShort
        The working time was not laid out far enough.
    """
    if not works:
        return 0
    alone = [_alone(work, stations, minutes, opened) for work in works]
    person_min = sum(
        (minutes.connect + minutes.disconnect if work.station_min else 0)
        + minutes.reading * len(work.readings)
        for work in works
    )
    simple = max(
        max(one.finished for one in alone),
        _readings_one_by_one(alone, minutes, opened),
        opened.after(0, person_min),
    )
    if simple >= enough:
        return simple
    return stations_bound(works, minutes, opened, least=simple, until=until, enough=enough)


def _alone(work: Work, stations: int, minutes: Minutes, opened: OpenMinutes) -> Placed:
    """Lay a battery out as if it were the only one, on the station that suits it best."""
    choices = [place for place, length in enumerate(work.station_min) if length is not None] or [-1]
    laid = [
        lay_out([Turn(0, place)], [work], stations, minutes, opened, Later.STATIONS).placed[0]
        for place in choices
    ]
    return min(laid, key=lambda one: one.finished)


def _readings_one_by_one(alone: Sequence[Placed], minutes: Minutes, opened: OpenMinutes) -> int:
    """Bound by the last readings: none before its earliest moment, no two at once."""
    starts = sorted(one.readings[-1] for one in alone if one.readings)
    return max(
        (opened.after(start, (len(starts) - place) * minutes.reading) for place, start in enumerate(starts)),
        default=0,
    )
