"""How long a charged battery may wait: sums worked out by hand, both sides of each bound."""

from datetime import date, datetime

import pytest

from intake.grading.grade_battery import grade_battery
from intake.grading.storage import shelf_life, with_shelf_lives
from intake.model.battery import Batch, HoldReading
from intake.model.condition import Condition
from intake.model.result import GradedBattery
from intake.model.verdict import Evidence, Grade, SelfDischarge
from tests.changed import replace
from tests.grading.builders import GOOD, POLICY, held, policy_with

DAY = date(2026, 11, 20)
BATCH = Batch("T-1", "Yard", DAY, "Inspector", "EU")


def verdict_of(one):
    return grade_battery(
        one, accuracy_percent=GOOD.accuracy_percent, accuracy_volts=GOOD.accuracy_volts, policy=POLICY
    )


def life(one, *, charge=None, batch=BATCH, policy=POLICY, **changes):
    """Return the shelf life of a battery, its charge and its verdict changed at will."""
    verdict = verdict_of(one)
    if charge is not None:
        state = replace(verdict.held_charge.state_of_charge, value_percent=charge)
        changes["held_charge"] = replace(verdict.held_charge, state_of_charge=state)
    return shelf_life(one, replace(verdict, **changes), batch, policy=policy)


AGM = held("AGM", (24.0, 12.9))
LEAKING = SelfDischarge(6.0, 0.5, 11.5, 36.0, 0.002, 0.001, 0.003, tells_a_leak=True)


def test_the_days_are_the_charge_over_its_mark_by_the_loss_at_the_storage_temperature():
    """AGM: 4 % a month at 25 °C are 4 × 2.06^(−5/10) = 2.787 % at 20 °C; 30.4 × (90 − 80)/2.787 = 109.08."""
    found = life(AGM, charge=90.0)

    assert (109, date(2027, 3, 9)) == (found.days, found.day)
    assert 2.787 == round(found.percent_per_month, 3)
    assert (90.0, 80, 20, DAY, False) == (
        found.charge_percent,
        found.down_to_percent,
        found.temperature_c,
        found.read_on,
        found.measured,
    )
    assert "3 % at 20 °C" in found.source
    rate = POLICY.storage.percent_per_month[AGM.chemistry]
    assert (int(POLICY.storage.longest_days.value), rate.status) == (found.longest_days, found.status)


@pytest.mark.parametrize(
    ("temperature_c", "days"),
    [
        (25.0, 76),  # 30.4 × 10/4 = 76.0
        (24.9, 76),  # × 2.06^0.01 = 76.55
        (25.5, 72),  # ÷ 2.28^0.05 = 72.93; by the factor below 73.30
        (26.0, 69),  # ÷ 2.28^0.1 = 69.99
        (35.0, 33),  # ÷ 2.28 = 33.33
        (15.0, 156),  # × 2.06 = 156.56
    ],
)
def test_warmth_shortens_it_by_the_factor_above_the_reference_and_cold_stretches_it_by_the_one_below(
    temperature_c, days
):
    policy = policy_with(storage__temperature_c=temperature_c)

    assert days == life(AGM, charge=90.0, policy=policy).days


@pytest.mark.parametrize(
    ("charge", "days"),
    [
        (79.0, 0),
        (80.0, 0),
        (80.09, 0),  # 0.98 days
        (80.1, 1),  # 1.09 days
        (96.5, 179),  # 179.98 days
        (96.6, 180),  # 181.07 days
        (100.0, 180),
    ],
)
def test_it_is_whole_days_never_below_none_and_never_above_the_longest_storage(charge, days):
    assert days == life(AGM, charge=charge).days


def test_a_loss_that_the_hold_shows_beyond_doubt_counts_where_it_is_the_faster():
    """6 % a month at 20 °C, the storage temperature: 30.4 × 10/6 = 50.67 days."""
    one = replace(AGM, hold_readings=(HoldReading(24.0, 12.9, 20.0),))
    found = life(one, charge=90.0, self_discharge=LEAKING)

    assert (50, True) == (found.days, found.measured)
    assert pytest.approx(6.0) == found.percent_per_month


@pytest.mark.parametrize(
    "seen",
    [
        replace(LEAKING, low=0.0),  # may be none
        replace(LEAKING, low=-4.0),
        replace(LEAKING, percent_per_month=2.786, low=1.0),  # slower than its kind, by a hair
        None,
    ],
)
def test_else_its_kind_counts(seen):
    one = replace(AGM, hold_readings=(HoldReading(24.0, 12.9, 20.0),))
    found = life(one, charge=90.0, self_discharge=seen)

    assert (109, False) == (found.days, found.measured)


@pytest.mark.parametrize(("read_c", "percent"), [(None, 4.18), (25.0, 4.18), (35.0, 1.834), (15.0, 8.612)])
def test_its_own_loss_is_taken_from_the_temperature_of_the_hold_to_that_of_the_storage(read_c, percent):
    """6 % at 25 °C is 6 × 2.06^(−0.5) = 4.180 at 20 °C; at 35 °C first ÷ 2.28; at 15 °C first × 2.06."""
    one = replace(AGM, hold_readings=(HoldReading(24.0, 12.9, read_c),))
    slow = policy_with(storage__percent_per_month__AGM=0.1)
    found = life(one, charge=90.0, self_discharge=LEAKING, policy=slow)

    assert percent == round(found.percent_per_month, 3)


def test_its_own_loss_is_told_as_measured_only_where_it_is_the_faster():
    """4 % a month at 25 °C, the loss of AGM itself; 4.001 % is its own."""
    one = replace(AGM, hold_readings=(HoldReading(24.0, 12.9, 25.0),))
    like = replace(LEAKING, percent_per_month=POLICY.storage.percent_per_month[AGM.chemistry].value, low=1.0)

    assert not life(one, self_discharge=like).measured
    assert life(one, self_discharge=replace(like, percent_per_month=4.001)).measured


def test_a_kind_that_loses_little_is_not_charged_with_more():
    """0.1 % × 2.06^(−0.5) = 0.0697 % a month at 20 °C, where the hold shows no loss."""
    slow = policy_with(storage__percent_per_month__AGM=0.1)
    found = life(AGM, charge=90.0, self_discharge=None, policy=slow)

    assert (0.0697, False) == (round(found.percent_per_month, 4), found.measured)


def test_a_kind_has_its_own_mark():
    """LFP: 3 × 2.06^(−0.5) = 2.090 % a month, down to 50 %: 30.4 × (60 − 50)/2.090 = 145.4 days."""
    found = life(held("LFP", (24.0, 13.4)), charge=60.0)

    assert (50, 145) == (found.down_to_percent, found.days)


def test_it_counts_from_the_day_of_the_last_reading():
    written = replace(AGM, hold_readings=(HoldReading(24.0, 12.9, 25.0, datetime(2026, 11, 25, 8)),))
    worked_out = replace(AGM, charge_ended=datetime(2026, 11, 27, 20))
    read_on = replace(BATCH, read_on=date(2026, 11, 21))

    assert date(2026, 11, 25) == life(written).read_on
    assert date(2026, 11, 28) == life(worked_out).read_on
    assert date(2026, 11, 21) == life(AGM, batch=read_on).read_on


def test_after_a_capacity_test_it_counts_from_the_next_charge():
    found = life(AGM, charge=90.0, evidence=Evidence.CAPACITY)

    assert (None, None, 100, 180) == (found.day, found.read_on, found.charge_percent, found.days)


@pytest.mark.parametrize(
    "changes",
    [
        {"grade": Grade.RECONDITIONABLE},
        {"evidence": Evidence.SHORT_HOLD},
        {"evidence": Evidence.REST_ONLY},
        {"held_charge": None},
    ],
)
def test_what_is_not_for_resale_or_still_on_hold_has_none(changes):
    assert life(AGM) is not None
    assert life(AGM, **changes) is None


@pytest.mark.parametrize(("low", "named"), [(0.5, False), (0.0, True), (-0.5, True)])
def test_no_day_is_named_while_a_fall_may_be_a_leak(low, named):
    seen = replace(LEAKING, low=low, tells_a_leak=False)

    assert named is (life(AGM, self_discharge=seen) is not None)


def test_what_stands_apart_has_none():
    one = GradedBattery(AGM, verdict_of(AGM), None, 20.0, False)
    ones = (
        one,
        replace(one, look_again="the note"),
        replace(one, worst_of_tag=Condition.DAMAGED),
    )

    assert [True, False, False] == [
        graded.shelf_life is not None for graded in with_shelf_lives(ones, BATCH, policy=POLICY)
    ]
