import math

import pytest

from intake.grading.quantities import Bench
from intake.grading.state_of_charge import (
    meter_worth_percent,
    state_of_charge_after_charge,
    state_of_charge_at_rest,
    voltage_at_v,
)
from intake.model.battery import Chemistry
from intake.model.verdict import StateOfCharge
from tests.changed import replace
from tests.grading.builders import GOOD, PERFECT, PLAIN, POLICY, policy_with

BARE = policy_with(
    **{
        f"open_circuit__{spread}_uncertainty_v__{chemistry}": 0
        for spread in ("table", "interval")
        for chemistry in ("flooded", "LFP")
    }
)
"""The shipped policy with tables that are exactly right."""


@pytest.mark.parametrize(
    ("chemistry", "v80", "v60"),
    [
        (Chemistry.FLOODED, 12.466, 12.300),
        (Chemistry.FLOODED_SEALED, 12.534, 12.348),
        (Chemistry.EFB, 12.534, 12.348),
        (Chemistry.AGM, 12.660, 12.450),
        (Chemistry.GEL, 12.650, 12.468),
        (Chemistry.LFP, 13.330, 13.190),
    ],
)
def test_the_tables_own_voltages_at_80_and_60_percent(chemistry, v80, v60):
    """Worked by hand from the open-circuit tables of the contract."""
    found = [
        voltage_at_v(state_of_charge_percent=mark, chemistry=chemistry, policy=POLICY) for mark in (80, 60)
    ]
    assert pytest.approx([v80, v60], abs=1e-9) == found


@pytest.mark.parametrize("chemistry", [Chemistry.OTHER, Chemistry.UNKNOWN])
def test_an_unclear_chemistry_has_no_table(chemistry):
    with pytest.raises(KeyError, match=f"^'no open-circuit table for chemistry {chemistry}'$"):
        state_of_charge_after_charge(
            voltage_25c_v=12.4, uncertainty_v=0.05, chemistry=chemistry, policy=POLICY
        )


@pytest.mark.parametrize(
    ("voltage_v", "expected"),
    [
        (11.0, 0.0),
        (11.7999, 0.0),
        (11.80, 0.0),
        (11.915, 12.5),
        (12.03, 25.0),
        (12.22, 50.0),
        (12.32, 62.5),
        (12.42, 75.0),
        (12.65, 100.0),
        (13.5, 100.0),
    ],
)
def test_a_flooded_state_of_charge_lies_on_the_table_and_is_held_at_its_ends(voltage_v, expected):
    found = state_of_charge_after_charge(
        voltage_25c_v=voltage_v, uncertainty_v=0.05, chemistry=Chemistry.FLOODED, policy=POLICY
    )
    assert pytest.approx(expected, abs=1e-9) == found.value_percent


def test_a_state_of_charge_carries_the_interval_of_196_standard_uncertainties():
    found = state_of_charge_at_rest(
        voltage_25c_v=12.32, uncertainty_v=0.05, chemistry=Chemistry.FLOODED, policy=BARE
    )
    # 12.32 - 0.098 = 12.222 V is 50.25 %, 12.32 + 0.098 = 12.418 V is 74.75 %
    expected = StateOfCharge(*map(pytest.approx, (62.5, 50.25, 74.75)), 12.32, 0.05, 0.05)
    assert expected == found


def test_the_coverage_factor_is_the_policys():
    found = state_of_charge_at_rest(
        voltage_25c_v=12.32,
        uncertainty_v=0.05,
        chemistry=Chemistry.FLOODED,
        policy=replace(BARE, decision=policy_with(decision__coverage_factor=1).decision),
    )
    assert pytest.approx((56.25, 68.75)) == (found.low_percent, found.high_percent)


@pytest.mark.parametrize(
    ("voltage_v", "uncertainty_v", "low", "high"),
    [
        (13.25, 0.0, 32.5, 71.1111111),  # 30 + 10/4 on the charge branch, 70 + 10/9 on the discharge branch
        (
            13.25,
            0.01,
            29.4,
            73.2888889,
        ),  # 13.2304 V: 20 + 10 * 0.1504 / 0.16; 13.2696 V: 70 + 10 * 0.0296 / 0.09
        (13.16, 0.0, 25.0, 50.0),
        (11.04, 0.0, 1.0, 3.0534759),
        (11.0399, 0.0, 0.0, 3.0532620),
        (10.08, 0.0, 0.0, 1.0),
        (9.0, 0.0, 0.0, 1.0),
        (14.40, 0.0, 100.0, 100.0),
        (14.60, 0.0, 100.0, 100.0),
    ],
)
def test_an_lfp_block_of_unknown_history_has_an_interval_between_its_branches(
    voltage_v, uncertainty_v, low, high
):
    found = state_of_charge_at_rest(
        voltage_25c_v=voltage_v, uncertainty_v=uncertainty_v, chemistry=Chemistry.LFP, policy=BARE
    )
    assert pytest.approx((low, high), abs=1e-6) == (found.low_percent, found.high_percent)
    assert pytest.approx((low + high) / 2, abs=1e-6) == found.value_percent
    assert (voltage_v, uncertainty_v) == (found.voltage_25c_v, found.standard_uncertainty_v)
    assert uncertainty_v == found.interval_uncertainty_v
    assert found.interval_only is True


def test_after_a_full_charge_an_lfp_block_walks_down_the_discharge_branch():
    found = state_of_charge_after_charge(
        voltage_25c_v=13.285, uncertainty_v=0.0125, chemistry=Chemistry.LFP, policy=BARE
    )
    # 13.285 V is halfway from 70 to 80 %; 0.0245 V either side is 10 % / 0.09 V times 0.0245
    expected = StateOfCharge(
        *map(pytest.approx, (75.0, 72.2777778, 77.7222222)), 13.285, 0.0125, 0.0125, interval_only=False
    )
    assert expected == found


def test_an_empty_lfp_block_after_a_charge_is_held_at_nought():
    found = state_of_charge_after_charge(
        voltage_25c_v=10.0, uncertainty_v=0.0, chemistry=Chemistry.LFP, policy=BARE
    )
    assert (0.0, 0.0, 1.0) == (found.value_percent, found.low_percent, found.high_percent)


@pytest.mark.parametrize(
    ("chemistry", "table_v", "interval_v"),
    [
        ("flooded", 0.030, 0.090),
        ("flooded sealed", 0.050, 0.090),
        ("EFB", 0.050, 0.090),
        ("AGM", 0.060, 0.090),
        ("gel", 0.060, 0.090),
        ("LFP", 0.010, 0.010),
    ],
)
@pytest.mark.parametrize("charge", [state_of_charge_at_rest, state_of_charge_after_charge])
def test_the_interval_takes_how_far_used_blocks_lie_from_the_table_and_limits_the_tables_spread(
    charge, chemistry, table_v, interval_v
):
    """The second edition of the contract takes the table's spread for both; the intervals were too narrow."""
    found = charge(voltage_25c_v=12.5, uncertainty_v=0.04, chemistry=Chemistry(chemistry), policy=POLICY)
    expected = (math.hypot(0.04, table_v), math.hypot(0.04, interval_v))
    assert pytest.approx(expected) == (found.standard_uncertainty_v, found.interval_uncertainty_v)


@pytest.mark.parametrize(
    ("chemistry", "bench", "expected"),
    [
        # 1.96 (0.005 * 12.6 + 0.02) / sqrt(3) = 0.0939234 V, over 0.85, 0.95, 1.10, 1.05 V per 100 %
        # and, LFP from 40 to 70 %, (13.24 - 13.13) / 30 V per %
        (Chemistry.FLOODED, PLAIN, 11.0498),
        (Chemistry.FLOODED_SEALED, PLAIN, 9.8867),
        (Chemistry.EFB, PLAIN, 9.8867),
        (Chemistry.AGM, PLAIN, 8.5385),
        (Chemistry.GEL, PLAIN, 8.9451),
        (Chemistry.LFP, PLAIN, 25.6155),
        (Chemistry.FLOODED, GOOD, 3.0087),
        (Chemistry.FLOODED, PERFECT, 0.0),
    ],
)
def test_what_a_meter_is_worth_is_its_interval_over_the_mean_slope_of_the_table(chemistry, bench, expected):
    assert pytest.approx(expected, abs=1e-4) == meter_worth_percent(chemistry=chemistry, bench=bench)


def test_the_voltage_at_which_a_meter_is_judged_is_the_policys():
    bench = Bench(policy_with(meter__worth_at_v=0), 0.5, 0.02)
    found = meter_worth_percent(chemistry=Chemistry.FLOODED, bench=bench)
    assert pytest.approx(196 * 0.02 / 3**0.5 / 0.85) == found
