from datetime import date

import pytest

from intake.model.battery import LEAD_ACID, Battery, Chemistry, DatePrecision, MadeDate, Recovery, Use


@pytest.mark.parametrize(
    ("precision", "latest", "text"),
    [
        (DatePrecision.DAY, date(2021, 3, 1), "2021-03-01"),
        (DatePrecision.MONTH, date(2021, 3, 31), "2021-03"),
        (DatePrecision.YEAR, date(2021, 12, 31), "2021"),
    ],
)
def test_a_date_of_manufacture_is_told_as_precisely_as_it_was_written(precision, latest, text):
    assert text == MadeDate(date(2021, 3, 1), latest, precision).text


def test_an_lfp_block_and_an_unclear_chemistry_are_not_lead_acid():
    assert {Chemistry.LFP, Chemistry.OTHER, Chemistry.UNKNOWN} == set(Chemistry) - LEAD_ACID


def test_a_battery_can_not_be_changed():
    one = Battery(tag="B-1", row=2, chemistry=Chemistry.AGM)
    with pytest.raises(AttributeError):
        one.tag = "B-2"


def test_what_is_not_given_is_not_known_and_never_nought():
    one = Battery(tag="B-1", row=2, chemistry=Chemistry.AGM)
    told = {name: getattr(one, name) for name in Battery._fields if getattr(one, name) not in (None, ())}
    assert {
        "tag": "B-1",
        "row": 2,
        "chemistry": Chemistry.AGM,
        "case_plastic": "unknown",
        "non_spillable_mark": False,
        "use": Use.USED,
        "recovery": Recovery.NOT_TRIED,
    } == told
