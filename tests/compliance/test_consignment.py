"""What holds for the whole consignment."""

from datetime import date

import pytest

from intake.compliance.consignment import general_statements, resale_statements
from intake.compliance.pallet import pallet_of
from intake.model.verdict import Evidence
from intake.policy.rule_data import load_jurisdiction, load_rules
from tests.compliance.builders import RECEIVED, batch, battery, no_masses, verdict


def _general(jurisdiction, *grades, ship_date=None, day=None):
    batteries = [battery(f"A{n}") for n, _ in enumerate(grades)]
    one = batch(*batteries, jurisdiction=jurisdiction, ship_date=ship_date)
    pallet = pallet_of(one, [verdict(grade) for grade in grades], no_masses(batteries))
    return general_statements(one, pallet, load_jurisdiction(jurisdiction), day or ship_date or RECEIVED)


def _headings(shown):
    return {one.heading for one in shown}


ALL = pytest.mark.parametrize("jurisdiction", load_rules())


@ALL
def test_the_storage_clock_leaves_the_limit_to_the_site(jurisdiction):
    clock = _general(jurisdiction)[0]
    assert ("Storage clock", "Batch sheet: Received") == (clock.heading, clock.source)
    assert clock.text.startswith("Received 2026-11-20. Limit of this site")
    assert "________ days" in clock.text


def test_the_storage_clock_counts_the_days_to_the_ship_date():
    clock = _general("US", ship_date=date(2026, 12, 9))[0]
    assert "19 days until shipped on 2026-12-09." in clock.text
    assert "Batch sheet: Received, Ship date" == clock.source


@ALL
def test_keeping_until_the_longest_period_is_always_there(jurisdiction):
    (keep,) = (one for one in _general(jurisdiction) if one.heading == "Keep until")
    assert "longest" in keep.text
    assert "fill in ________" in keep.text


@pytest.mark.parametrize(("jurisdiction", "words"), [("US", "Three years"), ("UK", "Five years")])
def test_the_longest_period_that_was_checked_is_named(jurisdiction, words):
    (keep,) = (one for one in _general(jurisdiction) if one.heading == "Keep until")
    assert keep.text.startswith(words)


def test_eu_periods_are_from_memory_and_not_printed():
    periods = [one for one in _general("EU") if one.heading.startswith("Keep papers")]
    assert [None, None, None] == [one.text for one in periods]


def test_statements_for_a_grade_are_shown_only_where_it_occurs():
    annex = "Shipped as used, not waste, Annex XIV"
    assert annex in _headings(_general("EU", "resale-after-charge"))
    assert annex not in _headings(_general("EU", "recycle", "reconditionable", "unresolved"))
    assert "Consignment note" in _headings(_general("UK", "recycle"))
    assert "Consignment note" not in _headings(_general("UK", "resale-after-charge"))
    assert "Reconditioning" in _headings(_general("US", "reconditionable"))
    assert "Reconditioning" not in _headings(_general("US", "recycle"))


@pytest.mark.parametrize(
    ("day", "start"),
    [
        (date(2026, 8, 1), None),
        (date(2026, 8, 2), "Not yet in force, from 2026-10-01: Permitted"),
        (date(2026, 10, 1), "In force from 2026-10-01: Permitted"),
        (date(2026, 11, 30), "In force from 2026-10-01: Permitted"),
        (date(2026, 12, 1), "Permitted"),
    ],
)
def test_digital_tracking_in_england_starts_on_its_day(day, start):
    (shown,) = (one for one in _general("UK", day=day) if one.heading == "Digital waste tracking, England")
    assert start == (shown.text and shown.text[: len(start)])


def _resale(jurisdiction, *rows):
    batteries = [battery(f"A{n}") for n, _ in enumerate(rows)]
    pallet = pallet_of(
        batch(*batteries, jurisdiction=jurisdiction),
        [verdict(grade, evidence=evidence) for grade, evidence in rows],
        no_masses(batteries),
    )
    return [one.heading for one in resale_statements(pallet, load_jurisdiction(jurisdiction), RECEIVED)]


def test_in_the_eu_a_battery_to_resell_without_a_hold_is_warned_of_first():
    rested = ("resale-after-charge", Evidence.REST_ONLY)
    shown = _resale("EU", ("recycle", Evidence.LONG_HOLD), rested)
    assert "Resale without a hold test" == shown[0]
    assert "Shipped as used, not waste, Annex XIV" == shown[1]
    assert "Consignment note" not in shown


@pytest.mark.parametrize("evidence", [Evidence.SHORT_HOLD, Evidence.LONG_HOLD])
def test_after_a_hold_only_the_general_statements_about_resale_are_left(evidence):
    shown = _resale("EU", ("resale-after-charge", evidence))
    assert "Resale without a hold test" not in shown
    assert "Shipped as used, not waste, Annex XIV" in shown


def test_a_jurisdiction_without_words_for_it_does_not_warn():
    assert "Resale without a hold test" not in _resale("US", ("resale-after-charge", Evidence.REST_ONLY))


@ALL
def test_without_a_battery_to_resell_nothing_is_said_of_resale(jurisdiction):
    assert [] == _resale(jurisdiction, ("recycle", Evidence.REST_ONLY), ("unresolved", Evidence.NONE))
