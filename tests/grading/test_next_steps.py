"""What to do next: nothing but a reading while a hold runs, then the strength test that is missing."""

from datetime import datetime

import pytest

from intake.model.battery import Use
from intake.model.verdict import Grade, MissingTest
from tests.grading.builders import PERFECT, battery, graded, held

STANDING = "Leave it standing, do not charge it, and read it again at 12 h after the charge."
CRANKING = "Charge it, then test its cranking or do a load test; only then is it a tested battery."
CAPACITY = "Charge it, then measure its capacity by a discharge: for {} no shorter test tells its strength."
METER_OR_CAPACITY = "Read it again with a better meter, or measure its capacity by a discharge."
BETTER_METER = "Read it again with a better meter: its capacity is measured, its charge is still unclear."
OFFER = "Charge it, then offer it with its condition sheet."
DISCHARGED = {"delivered_capacity_ah": 60.0, "discharge_time_h": 20.0, "rated_capacity_ah": 60.0}
LOADED = {"rated_capacity_ah": 60.0, "load_current_a": 180.0, "load_time_s": 15.0, "load_voltage_v": 11.0}
CRANKED = {"measured_cca_a": 500.0, "rated_cca_a": 500.0}


@pytest.mark.parametrize(
    "one",
    [
        held("AGM", (0.5, 13.3)),
        held("AGM", (11.99, 13.0)),
        held("AGM", (4.0, 12.7)),  # hold-middle
        held("AGM", (4.0, 12.0)),  # hold-low
        held("AGM", (4.0, 12.5)),  # hold-unclear
        held("AGM", (2.0, 12.9), (4.0, 13.1)),  # contradicts itself
        held("LFP", (3.0, 13.4), (6.0, 13.28)),
        held("AGM", (4.0, 13.0), terminals="loose"),
        held("AGM", (4.0, 13.0), case="dented"),
        held("AGM", (4.0, 13.0), **DISCHARGED),
    ],
)
def test_while_a_hold_runs_it_is_left_standing(one):
    verdict = graded(one, PERFECT)
    assert STANDING == verdict.next_step
    assert 12.0 == verdict.again_after_h


def test_a_hold_without_a_reading_that_counts_wants_that_too():
    verdict = graded(held("AGM", (0.2, 13.3)))
    assert (
        "Leave it standing, do not charge it, and read it again at 0.5 h and at 12 h after the charge."
        == verdict.next_step
    )


def test_where_the_end_of_the_charge_is_known_the_clock_is_told():
    one = held("AGM", (2.0, 13.0), charge_ended=datetime(2026, 11, 25, 17, 40))
    assert (
        "Leave it standing, do not charge it, and read it again at 12 h after the charge, 2026-11-26 05:40."
        == graded(one).next_step
    )


@pytest.mark.parametrize(
    "one",
    [
        held("AGM", (4.0, 13.0), case="leaking"),
        held("AGM", (4.0, 10.5)),
        held("AGM", (4.0, 13.0), **(DISCHARGED | {"delivered_capacity_ah": 20.0})),
        held("AGM", (4.0, 13.0), row_errors=("x",)),
        held("other", (4.0, 13.0)),
        held("flooded", (4.0, 13.0), use=Use.UNUSED_DRY),
        held("AGM", (12.0, 12.0)),
        battery("AGM", rest_voltage_v=12.8),
    ],
)
def test_what_is_condemned_or_not_understood_or_not_held_is_not_left_standing(one):
    verdict = graded(one, PERFECT)
    assert verdict.decisive.next_step == verdict.next_step
    assert verdict.again_after_h is None


@pytest.mark.parametrize(
    ("one", "next_step"),
    [
        (held("AGM", (12.0, 13.0)), CAPACITY.format("this kind")),
        (held("LFP", (12.0, 13.45)), CAPACITY.format("LFP")),
        (held("LFP", (12.0, 13.45), rated_cca_a=500.0), CAPACITY.format("LFP")),
        (held("EFB", (12.0, 13.0), rated_cca_a=500.0), CRANKING),
        (held("EFB", (12.0, 13.0), **CRANKED), OFFER),
        (held("LFP", (12.0, 13.45), **CRANKED), CAPACITY.format("LFP")),
        (held("AGM", (12.0, 13.0), **LOADED), CAPACITY.format("this kind")),
        (held("AGM", (12.0, 13.0), rated_cca_a=360.0, **LOADED), OFFER),
        (held("AGM", (12.0, 13.0), **DISCHARGED), OFFER),
        (held("EFB", (12.0, 13.0), **DISCHARGED), OFFER),
    ],
)
def test_after_twelve_hours_the_strength_test_that_is_missing_comes_next(one, next_step):
    verdict = graded(one, PERFECT)
    assert Grade.RESALE is verdict.grade
    assert (next_step, None) == (verdict.next_step, verdict.again_after_h)
    missing = {OFFER: None, CRANKING: MissingTest.LOAD_OR_CRANKING}
    assert missing.get(next_step, MissingTest.CAPACITY) is verdict.missing_test


@pytest.mark.parametrize(
    ("tests", "missing", "next_step"),
    [
        ({}, MissingTest.METER_OR_CAPACITY, METER_OR_CAPACITY),
        ({"rated_cca_a": 500.0}, MissingTest.METER_OR_CAPACITY, METER_OR_CAPACITY),
        (CRANKED, MissingTest.METER_OR_CAPACITY, METER_OR_CAPACITY),
        (DISCHARGED, MissingTest.BETTER_METER, BETTER_METER),
    ],
)
def test_an_unclear_hold_wants_a_better_meter_or_its_capacity_as_long_as_that_is_unknown(
    tests, missing, next_step
):
    verdict = graded(held("AGM", (24.0, 12.45), **tests), PERFECT)
    assert ("hold-unclear", missing, next_step) == (
        verdict.decisive.rule.id,
        verdict.missing_test,
        verdict.next_step,
    )


@pytest.mark.parametrize("one", [battery("AGM", rest_voltage_v=12.8), held("AGM", (4.0, 13.0), **DISCHARGED)])
def test_before_twelve_hours_of_a_hold_no_test_is_asked_for(one):
    assert graded(one, PERFECT).missing_test is None


def test_a_drop_that_is_unclear_is_read_again_and_says_when():
    verdict = graded(held("AGM", (24.0, 13.2), (48.0, 13.06)), PERFECT)
    assert (72.0, "hold-drop-unclear") == (verdict.again_after_h, verdict.decisive.rule.id)
    assert verdict.decisive.next_step == verdict.next_step
