"""The facts of a batch."""

from datetime import date

import pytest

from intake.report.words.batch_facts import batch_facts, meter_facts, provenance_facts
from tests.report.builders import battery, result_of

ONE = (battery(1, rest_voltage_v=12.7),)


def meter(**batch):
    return dict(meter_facts(result_of(ONE, batch=batch)))


def test_what_is_blank_is_called_not_given():
    facts = dict(
        batch_facts(result_of(ONE, batch={"received_from": None, "consignee": None, "ship_date": None}).batch)
    )

    assert ["not given"] * 3 == [facts[name] for name in ("Received from", "Consignee", "Ship date")]


def test_text_of_several_lines_stands_on_one():
    assert ("Site", "Hall 1, gate B") in batch_facts(result_of(ONE, batch={"site": "Hall 1,\n gate B"}).batch)


@pytest.mark.parametrize(
    ("percent", "volts", "expected"),
    [
        (0.1, 0.01, "0.1 % of reading + 0.010 V"),
        (None, 0.01, "0.5 % of reading + 0.010 V (% of reading assumed)"),
        (0.1, None, "0.1 % of reading + 0.020 V (V assumed)"),
        (None, None, "0.5 % of reading + 0.020 V (% of reading and V assumed)"),
    ],
)
def test_an_accuracy_that_was_left_blank_is_called_assumed(percent, volts, expected):
    assert expected == meter(meter_accuracy_percent=percent, meter_accuracy_volts=volts)["Meter accuracy"]


@pytest.mark.parametrize(
    ("due", "expected"),
    [
        (date(2026, 11, 19), "2026-11-19, overdue when read"),
        (date(2026, 11, 20), "2026-11-20"),
        (None, "not given"),
    ],
)
def test_calibration(due, expected):
    assert expected == meter(calibration_due=due)["Calibration due"]


def test_provenance_names_workbook_policy_and_version_with_whole_digests():
    facts = dict(provenance_facts(result_of(ONE)))

    assert 64 == len(facts["Workbook SHA-256"]) == len(facts["Policy SHA-256"])
    assert "pallet-3.xlsx" == facts["Workbook"]
    assert "intake 9.9.9" == facts["Version"]
