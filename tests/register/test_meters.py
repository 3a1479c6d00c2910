"""Meters near or past calibration on the closing date."""

from datetime import date, timedelta

import pytest

from intake.model.register import CALIBRATION_NEAR_DAYS as NEAR_DAYS
from intake.model.register import MeterStanding
from intake.register.meters import meter_uses
from tests.register.builders import graded

CLOSING = date(2026, 12, 31)


@pytest.mark.parametrize(
    ("days", "standing"),
    [
        (-1, MeterStanding.PAST),
        (0, MeterStanding.NEAR),
        (NEAR_DAYS, MeterStanding.NEAR),
        (NEAR_DAYS + 1, MeterStanding.CURRENT),
    ],
)
def test_a_meter_stands_by_its_days_to_the_closing_date(days, standing):
    (use,) = meter_uses([graded("A", calibration_due=CLOSING + timedelta(days=days))], CLOSING)

    assert standing is use.standing
    assert () == use.without_date


def test_without_a_date_nothing_is_said_of_it():
    (use,) = meter_uses([graded("A")], CLOSING)

    assert (MeterStanding.UNKNOWN, None, ("A",)) == (use.standing, use.due, use.without_date)


def test_spellings_of_one_meter_are_one_and_the_latest_date_counts():
    early = graded("A", "2026-09-01", meter="Bench  1", calibration_due=date(2026, 10, 1))
    late = graded("B", "2026-10-20", meter="BENCH 1 ", calibration_due=date(2027, 10, 1))
    blank = graded("C", "2026-09-05")

    (use,) = meter_uses([early, blank, late], CLOSING)

    assert ("A", "C", "B") == use.batches
    assert (date(2027, 10, 1), MeterStanding.CURRENT, date(2026, 10, 20)) == (
        use.due,
        use.standing,
        use.last_used,
    )
    assert ("C",) == use.without_date


@pytest.mark.parametrize(("due", "named"), [("2026-10-14", ("A",)), ("2026-10-15", ())])
def test_a_batch_read_past_its_own_calibration_date_is_named(due, named):
    (use,) = meter_uses([graded("A", "2026-10-15", calibration_due=date.fromisoformat(due))], CLOSING)

    assert named == use.used_past_due


def test_one_name_on_two_sites_is_two_meters_and_a_blank_one_is_none():
    uses = meter_uses([graded("A"), graded("B", site="Yard 3"), graded("C", meter=" ")], CLOSING)

    assert [("Yard 2", None), ("Yard 2", "Bench 1"), ("Yard 3", "Bench 1")] == [
        (use.site, use.meter) for use in uses
    ]
    assert () == meter_uses([], CLOSING)
