"""Standard uncertainties against the GUM and against public meter classes."""

import math

import pytest
import scipy.stats

from intake.grading.quantities import Bench, meter_uncertainty_v, pair_uncertainty_v
from intake.grading.rest_screen import rest_reading
from intake.grading.state_of_charge import meter_worth_percent
from intake.model.battery import Battery, Chemistry
from intake.policy.grading_policy import load_grading_policy
from tests.external.agreement import check

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


@check(
    "standard uncertainty of a voltmeter at 12.60 V, seven classes",
    against="public explanations of meter specifications, limits over √3, printed to two digits",
    within=0.51,
    unit="mV",
)
def test_seven_classes_of_voltmeter_at_12_60_volts():
    for percent, fixed_v, u_mv, *_ in CLASSES:
        found_mv = 1000 * meter_uncertainty_v(voltage_v=12.60, bench=Bench(POLICY, percent, fixed_v))
        assert pytest.approx(u_mv, abs=0.51 if u_mv > 10 else 0.051) == found_mv
        yield f"{percent} % + {fixed_v} V", u_mv, found_mv


@pytest.mark.parametrize(("percent", "fixed_v", "u_mv", "flooded", "agm", "lfp"), CLASSES)
def test_what_the_classes_leave_of_the_state_of_charge(percent, fixed_v, u_mv, flooded, agm, lfp):
    """The same table does not say which slope it divides by: 10 %, on the LFP plateau 20 %.

    Beside that half a last digit; k = 2 there, 1.96 here.
    """
    for chemistry, expected in ((Chemistry.FLOODED, flooded), (Chemistry.AGM, agm), (Chemistry.LFP, lfp)):
        found = worth_percent(chemistry, percent, fixed_v)
        share = 0.20 if chemistry is Chemistry.LFP else 0.10
        last_digit = 0.05 if isinstance(expected, float) else 0.5
        assert pytest.approx(expected, abs=share * expected + last_digit) == found, chemistry


def worth_percent(chemistry, percent, fixed_v):
    return meter_worth_percent(chemistry=chemistry, bench=Bench(POLICY, percent, fixed_v)) * 2 / 1.96


@check(
    "what a class of voltmeter is worth in state of charge, flooded and AGM",
    against="the same table, k = 2; it does not say which slope it divides by",
    within=12,
    unit="%",
)
def test_what_the_classes_leave_of_the_state_of_charge_of_lead_acid():
    for percent, fixed_v, _, flooded, agm, _ in CLASSES:
        for chemistry, expected in ((Chemistry.FLOODED, flooded), (Chemistry.AGM, agm)):
            yield f"{percent} % + {fixed_v} V", expected, worth_percent(chemistry, percent, fixed_v)


@check(
    "standard uncertainty of a rectangular limit, of a difference, and of contributions together",
    against="JCGM 100:2008 (GUM), 4.3.7 and 5.1.2, from memory, with scipy's own rectangle",
    within=1e-9,
    unit="mV",
)
def test_standard_uncertainties_of_limits_differences_and_sums():
    """U = a / sqrt(3); independent contributions (here meter, temperature, rest) add in squares."""
    for percent, fixed_v in ((0.5, 0.02), (0.1, 0.01), (0.05, 0.001)):
        half = percent / 100 * 12.6 + fixed_v
        rectangle = scipy.stats.uniform(loc=-half, scale=2 * half)
        found = meter_uncertainty_v(voltage_v=12.6, bench=Bench(POLICY, percent, fixed_v))
        yield f"{percent} % + {fixed_v} V", 1000 * rectangle.std(), 1000 * found
    bench = Bench(POLICY, 0.5, 0.02)
    rectangle = scipy.stats.uniform(loc=-0.02, scale=0.04)
    yield "difference", 1000 * math.sqrt(2 * rectangle.var()), 1000 * pair_uncertainty_v(bench=bench)
    one = Battery(tag="B-1", row=2, chemistry=Chemistry.AGM, rest_voltage_v=12.6, rested_h=12.0)
    reading = rest_reading(one, bench=bench)
    assert reading is not None
    squares = ((0.005 * 12.6 + 0.02) ** 2 / 3, 0.015**2, 0.020**2)
    yield "sum", 1000 * math.sqrt(sum(squares)), 1000 * reading.uncertainty_v
