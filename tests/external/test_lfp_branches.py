"""The LFP tables against the measurement they were taken from, and against what it says about a reading."""

import numpy as np
import pytest

from intake.grading.quantities import interpolate, reduce_to_reference
from intake.grading.state_of_charge import state_of_charge_at_rest
from intake.model.battery import Chemistry
from intake.policy.grading_policy import load_grading_policy
from tests.external.published import columns_of

POLICY = load_grading_policy()
DISCHARGE = POLICY.open_circuit.lfp_discharge_branch.points
CHARGE = POLICY.open_circuit.lfp_charge_branch.points
CELLS = 4


def measured(temperature="25C"):
    """ESC toolbox OCV data, commit e82af55: percent and block volts on the two branches."""
    headers = ("soc_pct", f"dis_{temperature}_V_per_cell", f"chg_{temperature}_V_per_cell")
    return {
        percent: (CELLS * down, CELLS * up)
        for percent, down, up in columns_of("lfp_ocv_measured_c30.csv", *headers)
    }


@pytest.mark.parametrize("percent", [percent for percent, _ in DISCHARGE])
def test_both_branches_are_the_measured_ones_to_the_table_rounding(percent):
    """ESC toolbox OCV data, commit e82af55, times four, printed to 10 mV."""
    down, up = measured()[percent]
    assert pytest.approx(down, abs=0.0051) == interpolate(DISCHARGE, percent)
    assert pytest.approx(up, abs=0.0051) == interpolate(CHARGE, percent)


def test_the_mean_of_the_branches_at_half_charge():
    """ESC toolbox OCV data: 13.232 V; another cell's half-cell data give 13.24 V."""
    assert pytest.approx(13.232, abs=5e-4) == sum(measured()[50]) / 2
    found = (interpolate(DISCHARGE, 50) + interpolate(CHARGE, 50)) / 2
    assert pytest.approx(13.232, abs=0.005) == found
    assert pytest.approx(13.24, abs=0.02) == found


@pytest.mark.parametrize(
    ("voltage_v", "low", "high"),
    [
        (12.40, 6, 8),
        (12.80, 10, 16),
        (13.00, 17, 30),
        (13.20, 28, 62),
        (13.25, 32, 71),
        (13.30, 51, 75),
        (13.40, 70, 94),
        (13.50, 94, 96),
    ],
)
def test_what_a_perfect_meter_leaves_of_the_state_of_charge(voltage_v, low, high):
    """Every state of charge whose measured branches bracket the reading (same data); within 2 %."""
    found = state_of_charge_at_rest(
        voltage_25c_v=voltage_v, uncertainty_v=0.0, chemistry=Chemistry.LFP, policy=POLICY
    )
    assert pytest.approx((low, high), abs=2) == (found.low_percent, found.high_percent)


def test_the_same_interval_straight_from_the_measurement():
    """numpy.interp on all 101 measured points: 13.25 V leaves 32 to 71 %."""
    curve = measured()
    percents = np.array(list(curve))
    down, up = np.array(list(curve.values())).T
    assert pytest.approx(32, abs=1) == np.interp(13.25, up, percents)
    assert pytest.approx(71, abs=1) == np.interp(13.25, down, percents)


def test_the_plateau_hardly_moves_with_temperature():
    """ESC toolbox OCV data at -25, 5, 25 and 45 °C: mean 13.190, 13.219, 13.232, 13.246 V at half charge.

    The policy's 0.7 mV/K brings them to one voltage within 10 mV over 70 K, 2 mV from 5 to 45 °C.
    """
    for temperature_c, expected_v, left_v in (
        (-25, 13.190, 0.010),
        (5, 13.219, 0.002),
        (25, 13.232, 0.001),
        (45, 13.246, 0.002),
    ):
        mean_v = sum(measured(f"{temperature_c}C")[50]) / 2
        assert pytest.approx(expected_v, abs=5e-4) == mean_v
        reduced = reduce_to_reference(
            voltage_v=mean_v, temperature_c=temperature_c, chemistry=Chemistry.LFP, policy=POLICY
        )
        assert pytest.approx(13.232, abs=left_v) == reduced.voltage_25c_v
