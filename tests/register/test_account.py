"""The yard's account: it adds up, and what does not is named."""

from datetime import date

import pytest

from intake.model.account import Amount, Departure, SentLoad, StockItem
from intake.model.battery import Chemistry
from intake.model.load import LoadKind
from intake.model.verdict import Grade, Handling
from intake.register.account import NO_STREAM, account_of
from tests.changed import replace
from tests.register.builders import QUARTER

ITEM = StockItem(
    batch="A",
    tag="B-1",
    received=date(2026, 9, 10),
    chemistry=Chemistry.AGM,
    grade=Grade.RECYCLE,
    handling=Handling.INTACT,
    stream="lead-acid-wet",
    mass_g=15_000,
)


def load(*items, name="L-1", kind=LoadKind.RECYCLING, day=date(2026, 10, 1), **fields):
    """Return a load with these batteries as they came in."""
    usual = {"consignee": "Receiver 3", "received_on": None, "received_g": None}
    usual |= {"received_count": None, "differences": None}
    departures = tuple(
        Departure(name, kind, day, "Receiver 3", one.batch, one.tag, one.chemistry, one.stream, one.mass_g)
        for one in items
    )
    return SentLoad(load=name, kind=kind, day=day, departures=departures, **(usual | fields))


def item(tag, **fields):
    return replace(ITEM, tag=tag, **fields)


def adds_up(line):
    parts = (line.sold, line.shipped, line.returned, line.on_hand, line.difference)
    came = (line.opening.count + line.came_in.count, line.opening.mass_g + line.came_in.mass_g)
    return came == (sum(one.count for one in parts), sum(one.mass_g for one in parts))


def test_what_came_in_is_sold_shipped_returned_or_on_hand():
    sold = item("B-2", grade=Grade.RESALE, stream=None)
    stock = [item("B-1"), sold, item("B-3", mass_g=9_000), item("B-4", mass_g=None)]
    account = account_of(
        stock,
        [
            load(stock[0]),
            load(stock[1], name="L-2", kind=LoadKind.SALE),
            load(stock[2], name="L-3", kind=LoadKind.RETURN),
        ],
        QUARTER,
    )
    whole = account.whole
    assert Amount(0, 0) == whole.opening
    assert Amount(4, 39_000) == whole.came_in
    assert (Amount(1, 15_000), Amount(1, 15_000), Amount(1, 9_000), Amount(1, 0)) == (
        whole.sold,
        whole.shipped,
        whole.returned,
        whole.on_hand,
    )
    assert Amount(0, 0) == whole.difference
    assert () == account.differences


@pytest.mark.parametrize(
    ("received", "left", "opening", "came_in"),
    [
        (date(2026, 8, 31), date(2026, 9, 1), 1, 0),
        (date(2026, 8, 31), date(2026, 8, 31), 0, 0),
        (date(2026, 9, 1), date(2026, 9, 1), 0, 1),
    ],
)
def test_what_was_there_before_the_first_day_is_the_opening(received, left, opening, came_in):
    one = item("B-1", received=received)
    whole = account_of([one], [load(one, day=left)], QUARTER).whole
    assert (opening, came_in, 0) == (whole.opening.count, whole.came_in.count, whole.on_hand.count)
    assert adds_up(whole)


def test_what_comes_or_goes_after_the_closing_date_is_not_counted():
    late = date(2027, 1, 1)
    here = item("B-1")
    account = account_of([here, item("B-2", received=late)], [load(here, day=late)], QUARTER)
    assert (1, 1, 0) == (
        account.whole.came_in.count,
        account.whole.on_hand.count,
        account.whole.shipped.count,
    )
    assert () == account.loads


def test_what_left_without_having_come_in_is_the_difference_by_name():
    account = account_of([ITEM], [load(ITEM, item("X-9"))], QUARTER)
    assert Amount(-1, -15_000) == account.whole.difference
    assert [("L-1", "A", "X-9")] == [(one.load, one.batch, one.tag) for one in account.differences]
    assert adds_up(account.whole)


@pytest.mark.parametrize(
    ("kind", "now", "told"),
    [
        (
            LoadKind.SALE,
            {"grade": Grade.RECYCLE, "handling": Handling.DAMAGED, "stream": "lead-acid-damaged"},
            "now graded recycle, handling damaged",
        ),
        (LoadKind.SALE, {"handling": Handling.SUSPECT}, "now graded resale-after-charge, handling suspect"),
        (LoadKind.SALE, {"grade": Grade.RECONDITIONABLE}, "now graded reconditionable:"),
        (LoadKind.SALE, {}, ""),
        (LoadKind.RETURN, {"handling": Handling.SUSPECT}, ""),
    ],
)
def test_what_was_sold_and_graded_worse_since_is_named_with_its_grade(kind, now, told):
    sold = item("B-2", grade=Grade.RESALE, stream=None)
    account = account_of([replace(sold, **now)], [load(sold, kind=kind)], QUARTER)
    texts = [one.text for one in account.differences]
    assert bool(told) == bool(texts)
    assert all("sold to Receiver 3" in text and told in text for text in texts)


def test_a_battery_in_two_loads_counts_in_the_first():
    account = account_of([ITEM], [load(ITEM, name="L-2", day=date(2026, 10, 2)), load(ITEM)], QUARTER)
    assert Amount(1, 15_000) == account.whole.shipped
    (difference,) = account.differences
    assert ("L-2", "B-1") == (difference.load, difference.tag)
    assert "left already in load L-1" in difference.text
    assert [1] == [one.shipped.count for one in account.by_consignee]


def test_a_mass_weighed_again_is_a_difference_in_grams():
    account = account_of([ITEM], [load(replace(ITEM, mass_g=14_990))], QUARTER)
    assert Amount(0, 10) == account.whole.difference
    assert ["14.990 kg in the load, 15.000 kg when it came in"] == [one.text for one in account.differences]


@pytest.mark.parametrize(
    ("loaded", "part"),
    [
        (replace(ITEM, stream="lead-acid-damaged"), "chemistry or stream"),
        (replace(ITEM, chemistry=Chemistry.GEL), "chemistry or stream"),
        (replace(ITEM, mass_g=None), "no mass in the load"),
    ],
)
def test_a_battery_that_is_another_in_the_load_is_named(loaded, part):
    account = account_of([ITEM], [load(loaded)], QUARTER)
    assert any(part in one.text for one in account.differences)
    assert all(adds_up(line) for line in (account.whole, *account.by_chemistry, *account.by_stream))


def test_a_battery_that_left_before_it_came_is_named():
    account = account_of([ITEM], [load(ITEM, day=date(2026, 9, 9))], QUARTER)
    assert ["left on 2026-09-09, before it was received on 2026-09-10"] == [
        one.text for one in account.differences
    ]


def test_the_receivers_figures_are_held_against_the_load():
    agreed = load(ITEM, received_g=15_000, received_count=1)
    other = load(item("B-2"), name="L-2", received_g=14_000, received_count=2, differences="one case cracked")
    account = account_of([ITEM, item("B-2")], [agreed, other], QUARTER)
    assert ["L-2"] * 3 == [one.load for one in account.differences]
    assert ["14.000 kg", "counted 2", "one case cracked"] == [
        next(part for part in ("14.000 kg", "counted 2", "one case cracked") if part in one.text)
        for one in account.differences
    ]


def test_a_tag_that_stands_twice_in_a_batch_counts_twice():
    whole = account_of([ITEM, ITEM, ITEM], [load(ITEM)], QUARTER).whole
    assert (3, 1, 2) == (whole.came_in.count, whole.shipped.count, whole.on_hand.count)
    assert adds_up(whole)


def test_lines_by_chemistry_and_stream_add_up_to_the_whole():
    stock = [item("B-1"), item("B-2", chemistry=Chemistry.LFP, stream=None, grade=Grade.RESALE)]
    account = account_of(stock, [load(stock[0])], QUARTER)
    assert ["AGM", "LFP"] == [one.title for one in account.by_chemistry]
    assert ["lead-acid-wet", NO_STREAM] == [one.title for one in account.by_stream]
    for lines in (account.by_chemistry, account.by_stream):
        assert account.whole.came_in.count == sum(one.came_in.count for one in lines)
        assert account.whole.on_hand.count == sum(one.on_hand.count for one in lines)


def test_on_hand_begins_with_what_an_auditor_asks_for_first():
    stock = [
        item("calm-old", received=date(2026, 9, 1)),
        item("suspect", handling=Handling.SUSPECT, received=date(2026, 11, 1)),
        item("unknown", chemistry=Chemistry.UNKNOWN, received=date(2026, 10, 1)),
        item("damaged", handling=Handling.DAMAGED, received=date(2026, 11, 20)),
        item("calm-new", received=date(2026, 11, 30)),
    ]
    held = account_of(stock, [], QUARTER).on_hand
    assert ["damaged", "unknown", "suspect", "calm-old", "calm-new"] == [one.item.tag for one in held]
    assert 41 == held[0].days
