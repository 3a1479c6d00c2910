"""What is still held on the closing date, against the site's limit."""

from datetime import date, timedelta

import pytest

from intake.compliance.storage_reminders import storage_reminders
from intake.model.account import Departure, SentLoad, StockItem
from intake.model.battery import Chemistry
from intake.model.load import LoadKind
from intake.model.register import StorageStanding
from intake.model.verdict import Grade, Handling
from intake.policy.rule_data import load_rules
from intake.register.storage import storage_of
from tests.changed import replace
from tests.register.builders import QUARTER, graded, group


def received(days_before_closing):
    return (QUARTER.closing - timedelta(days=days_before_closing)).isoformat()


@pytest.mark.parametrize(
    ("days", "standing"),
    [(60, StorageStanding.WITHIN), (61, StorageStanding.OVER), (0, StorageStanding.WITHIN)],
)
def test_the_limit_itself_is_within(days, standing):
    (one,) = storage_of([graded("A", received(days))], QUARTER)

    assert (days, standing) == (one.days, one.standing)


def test_without_a_limit_the_days_are_told_and_nothing_is_judged():
    period = replace(QUARTER, storage_limit_days=None)

    (one,) = storage_of([graded("A", received(400))], period)

    assert (400, StorageStanding.UNKNOWN, False) == (one.days, one.standing, one.in_period)


@pytest.mark.parametrize(
    ("ship_day", "found"),
    [
        (QUARTER.closing, StorageStanding.SHIPPED_OVER),
        (QUARTER.closing + timedelta(days=1), StorageStanding.OVER),
        (date.fromisoformat(received(40)), None),
        (date.fromisoformat(received(39)), StorageStanding.SHIPPED_OVER),
    ],
)
def test_shipped_by_the_closing_date_is_gone_unless_it_was_held_too_long(ship_day, found):
    entries = storage_of([graded("A", received(100), ship_date=ship_day)], QUARTER)

    assert [found] * bool(found) == [one.standing for one in entries]


def item(tag="L-1", batch="A", grade=Grade.RECYCLE, days=100):
    return StockItem(
        batch=batch,
        tag=tag,
        received=date.fromisoformat(received(days)),
        chemistry=Chemistry.LFP,
        grade=grade,
        handling=Handling.DAMAGED,
        stream="lfp-damaged",
        mass_g=6_000,
    )


def load(days, *tags, batch="A", kind=LoadKind.RECYCLING):
    day = date.fromisoformat(received(days))
    departures = tuple(
        Departure("L", kind, day, "R", batch, tag, Chemistry.LFP, "lfp-damaged", 6_000) for tag in tags
    )
    return SentLoad("L", kind, day, "R", departures, None, None, None, None)


@pytest.mark.parametrize(
    ("batch", "grade", "expected"),
    [
        ("a", Grade.RECYCLE, (StorageStanding.OVER, 1, 6_000, 0)),
        ("A", Grade.RESALE, None),
        ("B", Grade.RECYCLE, None),
    ],
)
def test_a_ship_date_is_not_believed_of_what_no_load_took(batch, grade, expected):
    left = item(batch=batch, grade=grade)
    shipped = graded("A", received(100), ship_date=date.fromisoformat(received(40)))

    entries = storage_of([shipped], QUARTER, loads=[load(10, "X", batch="C")], on_hand=[left])

    found = [(one.standing, one.count, one.mass_g, one.without_mass) for one in entries]
    assert ([expected] if expected else []) == found


@pytest.mark.parametrize(
    ("loads", "here", "expected"),
    [
        ([], ["L-1", "L-2"], (StorageStanding.OVER, 100, None)),
        ([(40, "L-1", "l-2")], [], None),
        ([(39, "L-1", "L-2")], [], (StorageStanding.SHIPPED_OVER, 61, received(39))),
        ([(70, "L-1"), (50, "L-2")], [], None),
        ([(50, "L-2")], ["L-1"], (StorageStanding.OVER, 100, None)),
        ([(-1, "L-1", "L-2")], ["L-1", "L-2"], (StorageStanding.OVER, 100, None)),
        ([(40, "L-1", "L-2"), (10, "S-1")], [], None),
    ],
    ids=[
        "no load",
        "all left",
        "left too late",
        "in two loads",
        "one is here",
        "after closing",
        "sold since",
    ],
)
def test_without_a_ship_date_what_has_left_in_loads_is_not_held(loads, here, expected):
    stock = (item("L-1"), item("L-2"), item("S-1", grade=Grade.RESALE))
    batch = replace(graded("A", received(100)), stock=stock)

    entries = storage_of(
        [batch], QUARTER, loads=[load(*one) for one in loads], on_hand=[item(tag) for tag in here]
    )

    found = [
        (one.standing, one.days, one.ship_date.isoformat() if one.ship_date else None) for one in entries
    ]
    assert ([expected] if expected else []) == found


def test_without_a_limit_what_was_shipped_is_not_listed():
    period = replace(QUARTER, storage_limit_days=None)

    assert () == storage_of([graded("A", received(900), ship_date=QUARTER.closing)], period)


def test_only_what_is_graded_recycle_is_counted():
    mixed = graded(
        "A",
        groups=(
            group(count=2, mass_g=15_000, without_mass=1),
            group("resale-after-charge"),
            group(chemistry="AGM", count=3, mass_g=60_500),
        ),
    )
    (one,) = storage_of([mixed, graded("B", groups=(group("unresolved"),))], QUARTER)

    assert ("A", 5, 75_500, 1) == (one.batch, one.count, one.mass_g, one.without_mass)


def test_received_after_the_closing_date_is_not_held_on_it():
    assert () == storage_of([graded("A", received(-1))], QUARTER)


def test_the_longest_held_stands_first():
    entries = storage_of(
        [graded("B", received(5)), graded("C", received(90)), graded("A", received(5))], QUARTER
    )

    assert ["C", "A", "B"] == [one.batch for one in entries]


def test_the_rules_of_the_listed_streams_are_recalled_once_each():
    batches = [
        graded("A", jurisdiction="US", groups=(group(), group(stream="lead-acid-damaged"))),
        graded("B", jurisdiction="other"),
        graded("C", jurisdiction="UK", groups=(group("unresolved"),)),
    ]
    reminders = storage_reminders(storage_of(batches, QUARTER), batches, QUARTER, load_rules())

    assert ["US", "other"] == [one.jurisdiction for one in reminders]
    headings = [one.heading for one in reminders[0].statements]
    assert 1 == headings.count("Storage clock as universal waste")
    assert "Subpart G" in headings
    (withheld,) = reminders[1].statements
    assert withheld.text is None


def test_a_jurisdiction_without_rule_data_is_named_and_nothing_is_claimed():
    batches = [graded("A", jurisdiction="ZZ")]

    (reminder,) = storage_reminders(storage_of(batches, QUARTER), batches, QUARTER, load_rules())

    assert ("ZZ", [None]) == (reminder.jurisdiction, [one.text for one in reminder.statements])
