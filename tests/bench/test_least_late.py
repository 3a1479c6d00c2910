"""What an order is late at least: by hand, and never more than it is late once laid out."""

from random import Random

import pytest

from intake.bench.layout import Later, lay_out
from intake.bench.least_late import LeastLate
from intake.bench.search import rank_of
from intake.bench.timeline import HorizonTooShort, Minutes, Turn, Work
from intake.bench.working_minutes import OpenMinutes
from tests.bench.generated import HOLD, unlike_task

DAYS = OpenMinutes((bytes(540) + b"\1" * 900) * 5)
MINUTES = Minutes(5, 5, 3)
WORKS = (
    Work("A", (100, 200), HOLD),
    Work("B", (600, None), HOLD),
    Work("C", (), HOLD),
    Work("D", (100, 100), HOLD, stays=True),
    Work("E", (100, 100), ()),
)


def hours(*turns, aim):
    return LeastLate(WORKS, MINUTES, DAYS, aim).hours([Turn(*one) for one in turns], 2)


@pytest.mark.parametrize(
    ("aim", "late"),
    [(1443, 0), (1443 - 59, 0), (1443 - 60, 1), (1443 - 119, 1), (1443 - 120, 2)],
)
def test_one_battery_is_read_in_the_morning(aim, late):
    """Connected at once, off after 110 minutes, read three minutes into the next morning."""
    assert hours((0, 0), aim=aim) == late


def test_a_row_waits_for_itself_and_not_for_the_other_station():
    """B is off in the morning at 1445, so A is off at 1555 after it; both are read on the third morning."""
    assert hours((1, 0), (0, 0), aim=2883 - 60) == 2
    assert hours((1, 0), (0, 1), aim=2883 - 60) == 1


def test_what_needs_no_station_is_never_late_here():
    assert hours((2, -1), aim=0) == 0


def test_one_that_stays_blocks_its_station_until_it_is_read():
    """Read at 1443; the next one is off at 1553 and has no reading to wait for."""
    assert hours((3, 0), (4, 0), aim=1553 - 60) == 1
    assert hours((3, 0), (4, 0), aim=1553 - 59) == 0


def test_too_little_time_laid_out():
    short = OpenMinutes(bytes(540) + b"\1" * 900)
    with pytest.raises(HorizonTooShort):
        LeastLate(WORKS, MINUTES, short, 0).hours([Turn(1, 0)], 2)


@pytest.mark.parametrize("seed", [6, 23, 90, 122])
def test_no_order_is_less_late_once_laid_out(seed):
    task, random = unlike_task(seed), Random(seed)
    opened = OpenMinutes(task.time.closed(200 * 1440))
    longest = sum(max(filter(None, one.station_min), default=0) for one in task.works)
    aim = longest // task.stations // 2
    least = LeastLate(task.works, task.minutes, opened, aim)
    told = []
    for _ in range(20):
        turns = [
            Turn(place, random.choice([at for at, one in enumerate(work.station_min) if one] or [-1]))
            for place, work in enumerate(task.works)
        ]
        random.shuffle(turns)
        told.append(least.hours(turns, task.stations))
        for later in Later:
            laid = lay_out(turns, task.works, task.stations, task.minutes, opened, later)
            assert told[-1] <= rank_of(laid, aim)[0]
    assert len(set(told)) > 1
