"""Standard uncertainties against the GUM and against public meter classes."""

import math

import pytest
import scipy.stats

from intake.grading.quantities import Bench, meter_uncertainty_v, pair_uncertainty_v
from intake.grading.rest_screen import rest_reading
from intake.grading.state_of_charge import meter_worth_percent
from intake.model.battery import Battery, Chemistry
from intake.policy.grading_policy import load_grading_policy

POLICY = load_grading_policy()

CLASSES = [
    # % of reading, digits x step in V, u in mV; last: U (k = 2) in % charge, flooded, AGM or gel, LFP plateau
    (0.8, 0.020, 70, 16, 12, 34),
    (0.5, 0.030, 54, 12, 9, 26),
    (0.5, 0.020, 48, 11, 8, 24),
    (0.1, 0.010, 13, 3.0, 2.3, 6),
    (0.1, 0.001, 7.9, 1.8, 1.4, 4),
    (0.05, 0.001, 4.2, 1.0, 0.7, 2),
    (0.03, 0.010, 8.0, 1.8, 1.4, 4),
]
"""DC voltmeter classes at 12.60 V, from public explanations of meter specifications, limits over sqrt(3)."""


@pytest.mark.parametrize(("percent", "fixed_v", "u_mv", "flooded", "agm", "lfp"), CLASSES)
def test_seven_classes_of_voltmeter_at_12_60_volts(percent, fixed_v, u_mv, flooded, agm, lfp):
    """Uncertainty to the last digit, % charge to a tenth (LFP a fifth); k = 2 there, 1.96 here."""
    bench = Bench(POLICY, percent, fixed_v)
    found_mv = 1000 * meter_uncertainty_v(voltage_v=12.60, bench=bench)
    last_digit = 1 if u_mv > 10 else 0.1
    assert pytest.approx(u_mv, abs=0.51 * last_digit) == found_mv
    for chemistry, expected in ((Chemistry.FLOODED, flooded), (Chemistry.AGM, agm), (Chemistry.LFP, lfp)):
        worth = meter_worth_percent(chemistry=chemistry, bench=bench) * 2 / 1.96
        # the table does not say which slope it divides by: 10 %, on the LFP plateau 20 %; half a last digit
        share = 0.20 if chemistry is Chemistry.LFP else 0.10
        last_percent = 0.05 if isinstance(expected, float) else 0.5
        assert pytest.approx(expected, abs=share * expected + last_percent) == worth, chemistry


@pytest.mark.parametrize(("percent", "fixed_v"), [(0.5, 0.02), (0.1, 0.01), (0.05, 0.001)])
def test_a_limit_taken_as_rectangular(percent, fixed_v):
    """JCGM 100:2008 (GUM), 4.3.7, from memory: u = a / sqrt(3); here scipy's own rectangle."""
    half = percent / 100 * 12.6 + fixed_v
    rectangle = scipy.stats.uniform(loc=-half, scale=2 * half)
    bench = Bench(POLICY, percent, fixed_v)
    assert pytest.approx(rectangle.std()) == meter_uncertainty_v(voltage_v=12.6, bench=bench)


def test_a_difference_of_two_readings_has_the_triangle_of_two_rectangles():
    """JCGM 100:2008 (GUM), 5.1.2, from memory: independent contributions add in squares."""
    rectangle = scipy.stats.uniform(loc=-0.02, scale=0.04)
    bench = Bench(POLICY, 0.5, 0.02)
    assert pytest.approx(math.sqrt(2 * rectangle.var())) == pair_uncertainty_v(bench=bench)


def test_contributions_combine_as_the_root_of_the_sum_of_squares():
    """JCGM 100:2008 (GUM), 5.1.2, from memory: meter, unknown temperature and unfinished rest."""
    one = Battery(tag="B-1", row=2, chemistry=Chemistry.AGM, rest_voltage_v=12.6, rested_h=12.0)
    reading = rest_reading(one, bench=Bench(POLICY, 0.5, 0.02))
    assert reading is not None
    squares = ((0.005 * 12.6 + 0.02) ** 2 / 3, 0.015**2, 0.020**2)
    assert pytest.approx(math.sqrt(sum(squares))) == reading.uncertainty_v
