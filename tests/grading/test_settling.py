"""Readings of a hold at 25 degC, and the voltage at which the block settles."""

import math

import pytest

from intake.grading.quantities import Bench
from intake.grading.settling import Hold, Slope, evaluate_hold, held_charge, reduced_readings, usable_readings
from intake.model.battery import Chemistry, HoldReading
from intake.model.verdict import HeldCharge, ReducedReading, StateOfCharge
from tests.grading.builders import GOOD, PERFECT, PLAIN, POLICY, battery, held, policy_with

LEAD_ACID = ("flooded", "flooded sealed", "EFB", "AGM", "gel")
SLOPES = {"flooded": 0.040, "flooded sealed": 0.040, "EFB": 0.040, "AGM": 0.055, "gel": 0.055}
"""The default b of the contract, V per e-fold."""
U_TABLE = {"flooded": 0.030, "flooded sealed": 0.050, "EFB": 0.050, "AGM": 0.060, "gel": 0.060, "LFP": 0.010}
"""The spread of the tables by the contract, V."""


def hold_of(one, bench=PERFECT):
    found = evaluate_hold(one, bench=bench)
    assert found is not None
    return found


# Which readings count


@pytest.mark.parametrize(
    ("hours", "expected"),
    [((0.0, 0.49), ()), ((0.49, 0.5, 12.0), (0.5, 12.0)), ((0.5,), (0.5,)), ((0.1, 24.0), (24.0,)), ((), ())],
)
def test_readings_count_from_half_an_hour_after_the_charge(hours, expected):
    one = held("AGM", *((hour, 12.9) for hour in hours))
    assert expected == tuple(found.after_charge_h for found in usable_readings(one, policy=POLICY))


# The settled voltage


def weighed(own, own_u, usual, usual_u):
    """Inverse-variance weights, written out: the mean and its standard uncertainty."""
    weights = (1 / own_u**2, 1 / usual_u**2)
    return (weights[0] * own + weights[1] * usual) / sum(weights), 1 / math.sqrt(sum(weights))


def test_two_readings_far_enough_apart_weigh_the_batterys_own_slope_with_its_chemistrys():
    """The fourth worked example: own b 0.0505, b* 0.0520, V* 13.118 V, u 0.0693 with the table's spread."""
    one = held("AGM", (0.5, 13.318), (1.0, 13.283))
    found = hold_of(one, GOOD)
    own, own_u = 0.035 / math.log(2), math.sqrt(2) * 0.01 / math.sqrt(3) / math.log(2)
    slope, slope_u = weighed(own, own_u, 0.055, 0.3 * 0.055)
    left = math.log(24)
    own_u_v = math.hypot((0.001 * 13.283 + 0.01) / math.sqrt(3), slope_u * left, 0.010)
    u = math.hypot(own_u_v, 0.060)
    expected = Hold(
        Chemistry.AGM,
        one.hold_readings,
        (13.318, 13.283),
        Slope(pytest.approx(slope), pytest.approx(slope_u), is_own=True),
        pytest.approx(13.283 - slope * left),
        pytest.approx(own_u_v),
        pytest.approx(u),
    )
    assert expected == found
    assert (0.0505, 0.0520) == (round(own, 4), round(slope, 4))
    assert (13.118, 0.0693) == (round(found.settled_v, 3), round(u, 4))
    assert one.hold_readings[-1] is found.last
    assert 13.283 == found.last_v


def test_the_sixth_worked_example_settles_at_11_960_volts():
    """Own b 0.0881, b* 0.0860, V* 11.960, u 0.0341."""
    found = hold_of(held("flooded", (0.5, 12.30), (12.0, 12.02)), GOOD)
    assert (0.0860, 11.960, 0.0341) == (
        round(found.slope.v_per_efold, 4),
        round(found.settled_v, 3),
        round(found.uncertainty_v, 4),
    )


def test_a_meter_without_fixed_error_leaves_the_batterys_own_slope_alone():
    found = hold_of(held("AGM", (0.5, 13.318), (1.0, 13.283)), Bench(POLICY, 5.0, 0.0))
    assert Slope(pytest.approx(0.035 / math.log(2)), 0.0, is_own=True) == found.slope


def test_where_neither_slope_has_an_uncertainty_the_batterys_own_counts():
    policy = policy_with(hold__slope_relative_uncertainty=0)
    found = hold_of(held("AGM", (0.5, 13.318), (1.0, 13.283)), Bench(policy, 0.0, 0.0))
    assert Slope(pytest.approx(0.035 / math.log(2)), 0.0, is_own=True) == found.slope


def test_a_slope_of_the_chemistry_that_is_certain_counts_alone():
    policy = policy_with(hold__slope_relative_uncertainty=0)
    found = hold_of(held("AGM", (0.5, 13.318), (1.0, 13.283)), Bench(policy, 0.1, 0.01))
    assert Slope(pytest.approx(0.055), 0.0, is_own=True) == found.slope


@pytest.mark.parametrize("chemistry", LEAD_ACID)
def test_one_reading_settles_along_the_slope_of_its_chemistry(chemistry):
    b, left = SLOPES[chemistry], math.log(48)
    found = hold_of(held(chemistry, (0.5, 12.30)), GOOD)
    u_settle = math.hypot(0.3 * b * left, 0.010)
    assert Slope(b, pytest.approx(0.3 * b), is_own=False) == found.slope
    assert pytest.approx(12.30 - b * left) == found.settled_v
    u = math.hypot((0.0123 + 0.01) / math.sqrt(3), u_settle, U_TABLE[chemistry])
    assert pytest.approx(u) == found.uncertainty_v


@pytest.mark.parametrize(
    ("hours", "own"), [((10.0, 18.99), False), ((10.0, 19.0), True), ((0.5, 0.95), True), ((12.0,), False)]
)
def test_a_slope_of_its_own_takes_1_9_times_the_hours(hours, own):
    found = hold_of(held("AGM", *((hour, 13.0) for hour in hours)))
    assert own == found.slope.is_own


def test_readings_before_half_an_hour_and_between_the_ends_give_no_slope():
    found = hold_of(held("AGM", (0.25, 14.0), (0.5, 13.30), (0.9, 13.0), (1.0, 13.25)))
    assert (0.5, 1.0) == (found.readings[0].after_charge_h, found.last.after_charge_h)
    assert pytest.approx(0.05 / math.log(2)) == found.slope.v_per_efold


def test_a_rising_voltage_gives_no_slope_and_not_a_rising_one():
    found = hold_of(held("AGM", (1.0, 12.8), (12.0, 12.9)))
    assert (True, 0.0, 12.9) == (found.slope.is_own, found.slope.v_per_efold, found.settled_v)


@pytest.mark.parametrize(
    ("hours", "settled_v", "u"),
    [
        (23.9, 12.8 - 0.055 * math.log(24 / 23.9), math.hypot(0.3 * 0.055 * math.log(24 / 23.9), 0.01, 0.06)),
        (24.0, 12.8, math.hypot(0.01, 0.06)),
        (100.0, 12.8, math.hypot(0.01, 0.06)),
    ],
)
def test_from_24_hours_the_reading_is_the_settled_voltage(hours, settled_v, u):
    found = hold_of(held("AGM", (hours, 12.8)))
    assert pytest.approx((settled_v, u), abs=1e-12) == (found.settled_v, found.uncertainty_v)


def test_a_long_hold_with_a_slope_of_its_own_is_settled_too():
    found = hold_of(held("AGM", (1.0, 13.0), (24.0, 12.8)), GOOD)
    assert found.slope.is_own
    assert 12.8 == found.settled_v
    assert pytest.approx(math.hypot((0.0128 + 0.01) / math.sqrt(3), 0.010, 0.060)) == found.uncertainty_v


@pytest.mark.parametrize(("hours", "u"), [(0.5, 0.030), (2.999, 0.030), (3.0, 0.010), (24.0, 0.010)])
def test_an_lfp_block_is_taken_as_it_reads(hours, u):
    found = hold_of(held("LFP", (0.5, 13.6), (hours, 13.4)) if hours > 0.5 else held("LFP", (0.5, 13.4)))
    assert (False, 0.0, 13.4) == (found.slope.is_own, found.slope.v_per_efold, found.settled_v)
    assert pytest.approx(math.hypot(u, 0.010)) == found.uncertainty_v


def test_an_lfp_block_is_taken_as_it_reads_whatever_slope_a_site_allows_its_drop():
    policy = policy_with(hold__slope_v_per_efold__LFP=0.02)
    found = hold_of(held("LFP", (1.0, 13.4)), Bench(policy, 0.0, 0.0))
    assert (0.02, 13.4) == (found.slope.v_per_efold, found.settled_v)


def test_each_reading_is_reduced_with_its_own_temperature_and_the_meter_is_taken_as_read():
    one = battery("AGM", hold_readings=(HoldReading(24.0, 12.9, 5.0), HoldReading(48.0, 12.8, None)))
    found = hold_of(one, PLAIN)
    assert (pytest.approx(12.93), 12.8) == found.voltages_v
    u = math.hypot((0.064 + 0.02) / math.sqrt(3), 0.015, 0.010, 0.060)
    assert pytest.approx(u) == found.uncertainty_v
    warm = hold_of(battery("AGM", hold_readings=(HoldReading(24.0, 12.8, 45.0),)), PLAIN)
    assert pytest.approx(12.77) == warm.settled_v
    assert pytest.approx(math.hypot((0.064 + 0.02) / math.sqrt(3), 0.010, 0.010, 0.060)) == warm.uncertainty_v


# The charge that is held, and how fast it goes


def test_the_held_charge_lies_on_the_settled_voltage():
    hold = hold_of(held("AGM", (0.5, 13.318), (1.0, 12.70)), PERFECT)
    found = held_charge(hold, policy=POLICY)
    settled_v = 12.70 - 0.618 / math.log(2) * math.log(24)
    expected = HeldCharge(
        StateOfCharge(
            0.0,
            0.0,
            0.0,
            pytest.approx(settled_v),
            pytest.approx(math.hypot(0.010, 0.060)),
            pytest.approx(math.hypot(0.010, 0.090)),
        ),
        1.0,
        12.70,
    )
    assert expected == found


def test_the_held_charge_of_a_settled_block_is_read_off_its_table():
    hold = hold_of(held("flooded", (24.0, 12.32)))
    found = held_charge(hold, policy=POLICY).state_of_charge
    # u = hypot(0.010, 0.090) = 0.090554, so 0.177486 V either side of 12.32 V:
    # 12.142514 V lies 0.077486 V under 50 %, 12.497486 V lies 0.077486 V over 75 %
    assert pytest.approx((62.5, 39.8045, 83.4224), abs=1e-3) == (
        found.value_percent,
        found.low_percent,
        found.high_percent,
    )


# Each reading that counts, by itself


def test_each_reading_that_counts_is_reduced_with_its_own_uncertainty():
    """(a/100 V + d)/sqrt(3), the readings taken at 25 degC."""
    one = held("AGM", (0.49, 13.5), (0.5, 13.318), (24.0, 12.9))
    found = reduced_readings(one, bench=GOOD)
    assert [0.5, 24.0] == [reading.after_h for reading in found]
    assert [13.318, 12.9] == [reading.voltage_25c_v for reading in found]
    expected = [(0.001 * volts + 0.01) / math.sqrt(3) for volts in (13.318, 12.9)]
    assert [pytest.approx(u) for u in expected] == [one.standard_uncertainty_v for one in found]


def test_a_reading_without_a_temperature_is_less_certain():
    unknown = POLICY.temperature.unknown_uncertainty_v.value
    one = battery("AGM", hold_readings=(HoldReading(24.0, 12.9, None),))
    (found,) = reduced_readings(one, bench=PERFECT)
    assert ReducedReading(24.0, 12.9, pytest.approx(unknown)) == found


def test_a_reading_taken_cold_is_reduced_to_25_degrees():
    one = battery("AGM", hold_readings=(HoldReading(24.0, 12.9, 5.0),))
    (found,) = reduced_readings(one, bench=PERFECT)
    coefficient = POLICY.temperature.coefficient_v_per_k[Chemistry.AGM].value
    assert ReducedReading(24.0, pytest.approx(12.9 + 20 * coefficient), pytest.approx(0.005)) == found


@pytest.mark.parametrize("one", [held("AGM", (0.49, 13.5)), held("other", (24.0, 12.9)), battery("AGM")])
def test_without_a_usable_reading_or_a_table_nothing_is_reduced(one):
    assert () == reduced_readings(one, bench=GOOD)
