"""Heavy rows with some of the person's minutes priced, against every row there is."""

from collections import Counter
from random import Random

import pytest

from intake.bench.bounds.pattern import Offer, heaviest, offers_of
from intake.bench.bounds.priced_minutes import PricedMinutes, Stretch, rushes
from intake.bench.bounds.priced_row import PricedRows
from intake.bench.floor import Floor, Kind, kind_of
from intake.bench.timeline import DueReading, Minutes
from intake.bench.working_minutes import OpenMinutes
from tests.bench.generated import HOLD, unlike_task

DAYS = OpenMinutes((bytes(540) + b"\1" * 900) * 30)
MINUTES = Minutes(5, 5, 3)
NIGHT = 1440


def kind(length, *, stays=False, attended=False, readings=HOLD):
    return Kind((length,), readings, stays, attended)


def row(offers, until, stretches=(), prices=(), opened=DAYS, minutes=MINUTES):
    return PricedRows(Floor(opened, minutes), until, stretches).heaviest(offers, prices)


def test_the_first_minutes_of_each_shift():
    """Two stations: each is emptied and connected."""
    first = [Stretch(0, 5), Stretch(5, 10), Stretch(10, 15), Stretch(15, 20)]
    assert rushes(DAYS, 2, 5, 1440) == first
    assert rushes(DAYS, 2, 5, 1441) == [*first, *(Stretch(1440 + one, 1440 + end) for one, end in first)]
    short = OpenMinutes(bytes(7) + b"\1" * 100)
    assert rushes(short, 2, 5, 50) == [Stretch(0, 5), Stretch(5, 7)]


def test_one_station_waits_for_no_other():
    assert rushes(DAYS, 1, 5, 1441) == []
    assert rushes(DAYS, 3, 0, 1441) == []


def test_a_task_pays_for_each_minute_that_it_takes():
    priced = PricedMinutes([Stretch(10, 15), Stretch(15, 20)], [3, 1])
    costs = priced.costs(5)
    assert {start: costs.get(start, 0) for start in (5, 6, 10, 13, 15, 19, 20)} == {
        5: 0,
        6: 3,
        10: 15,
        13: 3 * 2 + 1 * 3,
        15: 5,
        19: 1,
        20: 0,
    }
    assert priced.used(13, 5) == {0: 2, 1: 3}
    assert priced.used(20, 5) == priced.used(5, 5) == {}


def test_what_costs_nothing_is_used_all_the_same():
    """The program has to know it before it can price it."""
    found = row([Offer(5, 100, kind(100))], 540, [Stretch(0, 5), Stretch(5, 10)], [0, 0])
    assert (found.taken[kind(100)], found.uses[0]) == (4, 5)


def test_a_row_waits_where_that_is_cheaper():
    """Connected at 0 it is off on the same day; for a price of more than its weight it is not connected."""
    one, until = kind(497), 540
    assert row([Offer(9, 497, one)], until, [Stretch(0, 5)], [0]).weight == 9
    dear = row([Offer(9, 497, one)], until, [Stretch(0, 5)], [1])
    assert (dear.weight, dear.taken, dear.uses) == (4, Counter({one: 1}), {0: 5})
    assert row([Offer(9, 497, one)], until, [Stretch(0, 5)], [2]).weight == 0
    late = row([Offer(9, 490, kind(490))], until, [Stretch(0, 5)], [2])
    assert (late.weight, late.uses[0]) == (9, 0)


def test_the_night_waits_for_a_cheaper_minute():
    """Full in the night: off as soon as both stretches at the opening are over."""
    one, stretches = kind(600), [Stretch(NIGHT, NIGHT + 5), Stretch(NIGHT + 5, NIGHT + 10)]
    found = row([Offer(100, 600, one)], NIGHT + 20, stretches, [3, 2])
    assert (found.weight, found.off, found.uses) == (100, NIGHT + 15, {})
    found = row([Offer(100, 600, one)], NIGHT + 14, stretches, [3, 2])
    assert (found.weight, found.off, found.uses) == (100 - 2, NIGHT + 14, {1: 1})
    found = row([Offer(100, 600, one)], NIGHT + 10, stretches, [3, 2])
    assert (found.weight, found.off, found.uses) == (100 - 10, NIGHT + 10, {1: 5})


@pytest.mark.parametrize("seed", range(0, 200, 13))
def test_without_a_price_it_is_the_heaviest_pattern(seed):
    """The other program follows the rows from event to event, not from minute to minute."""
    task, random = unlike_task(seed), Random(seed)
    kinds = list({kind_of(work): None for work in task.works if work.station_min})
    floor = Floor(OpenMinutes(task.time.closed(30 * NIGHT)), task.minutes)
    until = random.randrange(1_000, 9_000)
    rows = PricedRows(floor, until, ())
    for place in range(task.stations):
        lengths = {one: one.station_min[place] for one in kinds}
        weights = {one: int((length or 0) * random.uniform(8, 12)) for one, length in lengths.items()}
        offers = offers_of(lengths, weights)
        found = rows.heaviest(offers, ())
        assert found.weight == heaviest(0, offers, floor, until=until).weights[-1]
        assert found.weight == sum(weights[one] * count for one, count in found.taken.items())


def heaviest_of_all(offers, until, opened, minutes, price):
    """Try every start of every task, for a station that is free at each minute. One that stays pays once."""

    def cost(start, length):
        return sum(price.get(minute, 0) for minute in range(start, start + length))

    def fits(start, length):
        return not any(opened.closed[start : start + length])

    def in_time(off, readings):
        return all(
            any(fits(off + wait, minutes.reading) for wait in range(after, latest + 1))
            for after, latest in readings
            if latest is not None
        )

    best_from = {}
    for free in range(until, -1, -1):
        best = best_from.get(free + 1, 0)
        for weight, length, one in offers if fits(free, minutes.connect) else ():
            begun = free + minutes.connect
            charged = begun + length
            if one.attended and opened.in_a_shift(minutes.connect + length):
                if not fits(free, minutes.connect + length):
                    continue
            elif one.attended:
                charged = opened.after(begun, length)
            for start in range(charged, until - minutes.disconnect + 1):
                off = start + minutes.disconnect
                if not fits(start, minutes.disconnect) or not in_time(off, one.readings):
                    continue
                if one.stays:
                    then = opened.after(opened.first(off + one.readings[-1].after_min, 1), minutes.reading)
                    best = max(best, weight - cost(free, minutes.connect) + best_from.get(then, 0))
                    break
                paid = cost(free, minutes.connect) + cost(start, minutes.disconnect)
                best = max(best, weight - paid + best_from[off])
        best_from[free] = best
    return best_from[0]


@pytest.mark.parametrize("seed", range(60))
def test_no_row_is_heavier(seed):
    """Shifts of 20 to 40 minutes, charges of 3 to 45, any minutes priced."""
    random = Random(seed)
    shift = bytes(random.randint(20, 40)) + b"\1" * random.randint(5, 30)
    opened = OpenMinutes(b"\1" * random.randint(0, 3) + shift * 8)
    minutes = Minutes(random.randint(1, 4), random.randint(1, 4), random.randint(1, 3))
    offers = []
    for _ in range(random.randint(1, 5)):
        length = random.randint(3, 45)
        due = random.choice(((DueReading(4, 9), DueReading(12, None)), (DueReading(6, None),), ()))
        stays = bool(due) and random.random() < 0.2
        one = Kind((length,), due, stays, random.random() < 0.2)
        offers.append(Offer(random.randint(5, 15) * length, length, one))
    until = random.randint(60, 150)
    stretches = [Stretch(start, start + 3) for start in range(0, until, 3) if random.random() < 0.4]
    prices = [random.choice((0, 7, 30)) for _ in stretches]
    price = {
        minute: one for stretch, one in zip(stretches, prices, strict=True) for minute in range(*stretch)
    }
    found = row(offers, until, stretches, prices, opened, minutes)
    true = heaviest_of_all(offers, until, opened, minutes, price)
    if any(one.kind.attended for one in offers):
        assert found.weight >= true
    else:
        assert found.weight == true
    paid = sum(prices[place] * count for place, count in found.uses.items())
    weight = {one.kind: one.weight for one in sorted(offers, key=lambda one: (-one.length, one.weight))}
    assert found.weight == sum(weight[one] * count for one, count in found.taken.items()) - paid
