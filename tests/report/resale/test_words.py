"""One battery in the words of the resale list."""

from datetime import date
from decimal import Decimal

import pytest

from intake.model.battery import Chemistry, DatePrecision, MadeDate
from intake.model.verdict import Handling
from intake.report.resale.words import (
    age_in_words,
    age_years,
    badge_in_words,
    cautions_for,
    charge_in_words,
    condition_in_words,
    evidence_in_few_words,
    money,
    rating_in_words,
    words_of,
)
from tests.changed import replace
from tests.report.builders import battery, held, made, result_of

RECEIVED = date(2026, 11, 20)


def graded(one):
    return result_of([one]).graded[0]


@pytest.mark.parametrize(
    ("given", "expected"),
    [
        (None, "–"),
        (MadeDate(date(2024, 11, 20), date(2024, 11, 20), DatePrecision.DAY), "2.0"),
        (made(2023, 4), "3.6"),
        (made(2021), "4.9 to 5.9"),
        (MadeDate(date(2026, 11, 20), date(2026, 11, 20), DatePrecision.DAY), "0.0"),
        (MadeDate(date(2026, 1, 1), date(2026, 12, 31), DatePrecision.YEAR), "0.0 to 0.9"),
    ],
)
def test_the_age_is_as_exact_as_the_date_of_manufacture(given, expected):
    assert expected == age_years(given, RECEIVED)


def test_the_precision_of_the_date_is_said():
    assert "made 2021 (known to the year), 4.9 to 5.9 years old when received on 2026-11-20" == age_in_words(
        made(2021), RECEIVED
    )
    assert "date of manufacture not given, age not known" == age_in_words(None, RECEIVED)


def test_only_lead_acid_has_a_non_spillable_mark_to_speak_of():
    assert "non-spillable" not in rating_in_words(graded(battery(1, "LFP", rest_voltage_v=13.3)))


def test_what_is_not_given_is_said_and_not_left_out():
    one = graded(battery(1, rest_voltage_v=12.7, rated_capacity_ah=None))
    assert (
        "flooded · Ah not given · CCA not given · mass not known · non-spillable mark not recorded"
        == rating_in_words(one)
    )


def test_the_rating_names_the_standard_of_the_cranking_current():
    one = graded(
        battery(1, "AGM", rated_cca_a=700.0, cca_standard="EN", mass_kg=20.0, non_spillable_mark=True)
    )
    assert (
        "AGM · 60 Ah rated · CCA 700 A rated (EN) · 20.0 kg · non-spillable mark recorded"
        == rating_in_words(one)
    )
    assert "(standard not given)" in rating_in_words(graded(battery(1, "AGM", rated_cca_a=700.0)))


@pytest.mark.parametrize(
    ("recall", "expected"),
    [
        (None, "recall not checked"),
        (False, "recall checked, none found"),
        (True, "under recall: do not sell or charge it"),
    ],
)
def test_the_recall_check_is_told_in_all_three_cases(recall, expected):
    one = graded(battery(1, under_recall=recall, terminals=None))
    told = condition_in_words(one)
    assert f"case sound · terminals not inspected · {expected}" == told.partition(" · handle as ")[0]


def test_a_battery_that_is_not_intact_is_told_to_be_handled_so():
    one = graded(battery(1, rest_voltage_v=12.75))
    assert "handle as" not in condition_in_words(one)
    suspect = replace(one, verdict=replace(one.verdict, handling=Handling.SUSPECT))
    assert condition_in_words(suspect).endswith(" · handle as suspect")


def test_the_evidence_names_its_hours():
    assert "hold, 24 h" == evidence_in_few_words(graded(held(1, "AGM", (0.5, 13.1), (24.0, 12.9))))
    assert "rest only, 24 h" == evidence_in_few_words(graded(battery(1, rest_voltage_v=12.7)))
    assert "rest only" == evidence_in_few_words(graded(battery(1, rest_voltage_v=12.7, rested_h=None)))


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        ({"load_voltage_v": 10.4}, "load; rest, 24 h"),
        ({"measured_cca_a": 500.0}, "cranking; rest, 24 h"),
        ({"delivered_capacity_ah": 55.0, "load_voltage_v": 10.4}, "capacity and load; rest, 24 h"),
    ],
)
def test_a_test_without_a_hold_is_named_beside_the_rest(readings, told):
    assert told == evidence_in_few_words(graded(battery(1, rest_voltage_v=12.7, **readings)))


def test_a_battery_that_only_rested_is_called_not_proven():
    assert "Not proven: charge and hold-test first" == badge_in_words(graded(battery(1, rest_voltage_v=12.7)))
    tested = graded(battery(1, "LFP", rest_voltage_v=13.3, delivered_capacity_ah=57.0, discharge_time_h=20.0))
    assert "Capacity measured; charge and hold first" == badge_in_words(tested)
    assert "capacity; rest, 24 h" == evidence_in_few_words(tested)
    assert "ampere-hours" not in words_of(tested).can_not_show
    assert "Held a charge, 12 h or more" == badge_in_words(graded(held(1, "AGM", (24.0, 12.9))))


def test_where_only_an_interval_is_known_no_value_is_named():
    value, interval = charge_in_words(graded(battery(1, "LFP", rest_voltage_v=13.1)))
    assert "" == value
    low, _, high = interval.partition(" to ")
    assert 0 <= float(low) < float(high) <= 100
    assert ("", "not known") == charge_in_words(graded(battery(1, "other", rest_voltage_v=12.6)))


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_acid_and_lithium_each_have_their_cautions_and_doubt_has_both(chemistry):
    told = cautions_for(battery(1, chemistry.value))
    unclear = chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN)
    assert told.startswith("Damage inside is not excluded.")
    assert ("Acid:" in told) is (chemistry is not Chemistry.LFP)
    assert ("Lithium:" in told) is (unclear or chemistry is Chemistry.LFP)


@pytest.mark.parametrize(
    ("amount", "expected"), [("28", "28.00"), ("4.5", "4.50"), ("0.125", "0.125"), ("1E+2", "100.00")]
)
def test_money_has_two_decimals_or_those_it_was_written_with(amount, expected):
    assert expected == money(Decimal(amount))
