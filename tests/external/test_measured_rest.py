"""The hold test against one measured rest: a 12 V, 100 Ah AGM block after a charge, commit 6e575b3."""

import math

import numpy as np
import pytest
from scipy.stats import linregress

from intake.grading.hold_test import evaluate_hold, hold_steps
from intake.grading.quantities import Bench
from intake.model.battery import Battery, Chemistry, HoldReading
from intake.policy.grading_policy import load_grading_policy
from tests.external.published import columns_of

POLICY = load_grading_policy()
PERFECT = Bench(POLICY, 0.0, 0.0)
REST = dict(columns_of("measured_la100_after_charge.csv", "t_h", "volts"))


def held(*readings):
    """Return an AGM block with hold readings of hours and volts at 25 degC."""
    holds = tuple(HoldReading(hours, volts, 25.0) for hours, volts in readings)
    return Battery(tag="B-1", row=2, chemistry=Chemistry.AGM, case="sound", hold_readings=holds)


def at(hours):
    """Return the hour and the measured voltage of the reading nearest to it."""
    nearest = min(REST, key=lambda one: abs(one - hours))
    return nearest, REST[nearest]


def hold_of(*readings):
    found = evaluate_hold(held(*readings), bench=PERFECT)
    assert found is not None
    return found


def test_half_an_hour_and_an_hour_predict_2_4_hours_to_2_millivolts():
    """Measured: 13.318 V, 13.283 V and 13.237 V. The engine's own slope, run on along ln t."""
    half, one = at(0.5), at(1.0)
    assert (13.318, 13.283, 13.237) == (
        pytest.approx(half[1], abs=5e-4),
        pytest.approx(one[1], abs=5e-4),
        pytest.approx(at(2.4)[1], abs=5e-4),
    )
    hold = hold_of((0.5, 13.318), (1.0, 13.283))
    predicted_v = hold.last_v - hold.slope_v_per_efold * math.log(2.4 / 1.0)
    assert pytest.approx(13.239, abs=5e-4) == predicted_v
    assert pytest.approx(at(2.4)[1], abs=0.0025) == predicted_v


def test_earlier_pairs_predict_worse_which_is_why_readings_count_from_half_an_hour():
    """Measured: the pair of 15 and 30 min is 32 mV low at 2.4 h, that of 5 and 10 min 139 mV."""
    for first, second, expected in ((0.25, 0.5, -0.032), (1 / 12, 1 / 6, -0.139)):
        (t1, v1), (t2, v2) = at(first), at(second)
        predicted_v = v2 - (v1 - v2) / math.log(t2 / t1) * math.log(2.4 / t2)
        assert pytest.approx(expected, abs=0.003) == predicted_v - at(2.4)[1]
    assert not POLICY.hold.shortest_h.value < 0.5


@pytest.mark.parametrize(("first", "last"), [(0.5, 1.0), (0.5, 2.4), (1.0, 2.0), (1.2, 2.45)])
def test_the_battery_own_slope_is_the_least_squares_slope_of_its_two_readings(first, last):
    """scipy.stats.linregress on ln t."""
    readings = (at(first), at(last))
    hold = hold_of(*readings)
    fit = linregress(np.log([hours for hours, _ in readings]), [volts for _, volts in readings])
    assert hold.slope_is_own
    assert pytest.approx(-fit.slope, abs=1e-9) == hold.slope_v_per_efold
    assert pytest.approx(fit.intercept + fit.slope * math.log(24), abs=1e-9) == hold.settled_v


def test_the_default_slope_lies_within_its_doubt_of_the_measured_one():
    """Measured from half an hour on: 52 mV per e-fold over all readings, 50 to 57 in windows."""
    counted = {hours: volts for hours, volts in REST.items() if hours >= 0.5}
    fit = linregress(np.log(list(counted)), list(counted.values()))
    assert pytest.approx(0.052, abs=5e-4) == -fit.slope
    default = POLICY.hold.slope_v_per_efold[Chemistry.AGM].value
    doubt = POLICY.hold.slope_relative_uncertainty.value * default
    assert default - doubt < -fit.slope < default + doubt
    for low, high in ((0.5, 1.0), (1.0, 2.0), (2.0, 2.45)):
        window = [(math.log(hours), volts) for hours, volts in REST.items() if low <= hours <= high]
        slope = -linregress(*zip(*window, strict=True)).slope
        assert pytest.approx(0.053, abs=0.005) == slope


def test_a_straight_line_through_the_first_half_hour_falls_too_low():
    """Six readings of 5 to 30 min on ln t give 12.95 V at 24 h: early readings still shed charge."""
    early = [at(minutes / 60) for minutes in (5, 10, 15, 20, 25, 30)]
    fit = linregress(np.log([hours for hours, _ in early]), [volts for _, volts in early])
    assert pytest.approx(12.95, abs=0.02) == fit.intercept + fit.slope * math.log(24)


def test_the_tail_from_24_to_96_hours_is_76_2_millivolts():
    """0.055 V per e-fold times ln 4 = 76.2 mV: a drop of just that is no drop at all."""
    steps = {step.rule: step for step in hold_steps(held((24, 12.9), (96, 12.9 - 0.0762)), bench=PERFECT)}
    assert pytest.approx(0, abs=5e-4) == steps["hold-drop-fails"].measured
    assert "settling accounts for 0.076 V" in steps["hold-drop-fails"].text
    assert not steps["hold-drop-high"].fired


def test_the_measured_block_is_graded_as_the_sound_block_it_was():
    """It had taken a full charge and gave 94.8 of 100 Ah: high, and no drop beyond settling."""
    fired = [
        step.rule for step in hold_steps(held(at(0.5), at(2.4)), bench=Bench(POLICY, 0.5, 0.02)) if step.fired
    ]
    assert ["hold-high"] == fired
