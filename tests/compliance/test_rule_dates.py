"""The days that the rule data speak of, and the warning outside them."""

from datetime import date, timedelta

import pytest

from intake.compliance.assess import assess_compliance
from intake.compliance.rule_dates import OUTDATED, data_warnings
from intake.policy.rule_data import load_jurisdiction, load_rules
from tests.compliance.builders import batch, battery, no_masses, verdict

ALL = pytest.mark.parametrize("jurisdiction", load_rules())
A_DAY = timedelta(days=1)


@ALL
@pytest.mark.parametrize(("edge", "outside"), [("review_by", A_DAY), ("speaks_from", -A_DAY)])
def test_the_last_day_is_inside_and_the_next_is_not(jurisdiction, edge, outside):
    data = load_jurisdiction(jurisdiction).rule_data
    day = getattr(data, edge)
    assert () == data_warnings(data, day, shipped=True)
    (warning,) = data_warnings(data, day + outside, shipped=True)
    assert OUTDATED == warning.heading
    assert str(day) in warning.text
    assert str(day + outside) in warning.text
    assert f"gathered by {data.checked_on}" in warning.text


def test_without_a_ship_date_the_day_of_receipt_is_named_as_such():
    data = load_jurisdiction("EU").rule_data
    (warning,) = data_warnings(data, date(2029, 6, 1), shipped=False)
    assert "receipt, as no ship date is given, on 2029-06-01" in warning.text


@ALL
def test_the_warning_stands_first_on_the_sheet_and_on_the_manifest(jurisdiction):
    one = batch(battery("A1", "LFP"), jurisdiction=jurisdiction, ship_date=date(2029, 6, 1))
    assessed = assess_compliance(one, [verdict()], no_masses(one.batteries), load_jurisdiction(jurisdiction))
    assert OUTDATED == assessed.load_warnings[0].heading
    assert OUTDATED == assessed.pallet_warnings[0].heading
