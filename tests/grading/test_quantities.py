import math

import pytest

from intake.grading.quantities import (
    GRADABLE,
    Bench,
    ReducedVoltage,
    at_least,
    guard_factor,
    interpolate,
    is_certain,
    lfp_settling_uncertainty_v,
    limit_to_be_sure,
    meter_uncertainty_v,
    pair_uncertainty_v,
    probability_above,
    probability_at_least,
    reduce_to_reference,
    rest_uncertainty_v,
    rounded,
    with_table,
)
from intake.model.battery import LEAD_ACID, Chemistry
from tests.grading.builders import GOOD, PERFECT, PLAIN, POLICY, policy_with

STEPS = [(10.0, 1.0), (20.0, 3.0), (40.0, 4.0)]


def test_an_unclear_chemistry_has_no_tables():
    assert set(Chemistry) - {Chemistry.OTHER, Chemistry.UNKNOWN} == GRADABLE


def test_figures_are_rounded_to_nine_decimals_before_they_are_compared():
    assert 0.025 != 1.270 - 1.245
    assert 0.025 == rounded(1.270 - 1.245, policy=POLICY)
    assert 0.123456789 == rounded(0.1234567891, policy=POLICY)
    assert 0.123 == rounded(0.1234567891, policy=policy_with(decision__comparison_decimals=3))


@pytest.mark.parametrize(
    ("value", "expected"),
    [(12.3, False), (12.399999998, False), (12.3999999999, True), (12.4, True), (12.5, True)],
)
def test_at_least_includes_the_limit_and_what_rounds_to_it(value, expected):
    assert expected is at_least(value, 12.4, policy=POLICY)


@pytest.mark.parametrize(
    ("bench", "voltage_v", "expected"),
    [
        (GOOD, 12.55, 0.02255 / math.sqrt(3)),
        (PLAIN, 12.45, 0.08225 / math.sqrt(3)),
        (PLAIN, -12.45, 0.08225 / math.sqrt(3)),
        (PLAIN, 0.0, 0.02 / math.sqrt(3)),
        (PERFECT, 12.45, 0.0),
    ],
)
def test_the_meter_leaves_its_limits_over_the_root_of_three(bench, voltage_v, expected):
    assert pytest.approx(expected, abs=1e-12) == meter_uncertainty_v(voltage_v=voltage_v, bench=bench)


def test_the_divisor_is_the_policys():
    bench = Bench(policy_with(meter__rectangular_divisor=2), 0.5, 0.02)
    assert pytest.approx(0.041125) == meter_uncertainty_v(voltage_v=12.45, bench=bench)
    assert pytest.approx(0.01 * math.sqrt(2)) == pair_uncertainty_v(bench=bench)


def test_the_gain_error_of_two_readings_cancels():
    assert pytest.approx(math.sqrt(2) * 0.02 / math.sqrt(3)) == pair_uncertainty_v(bench=PLAIN)
    assert 0.0 == pair_uncertainty_v(bench=Bench(POLICY, 5.0, 0.0))


@pytest.mark.parametrize(
    ("chemistry", "temperature_c", "expected_v", "expected_u"),
    [
        *((one, 35.0, 12.985, 0.0) for one in sorted(LEAD_ACID)),
        (Chemistry.FLOODED, 25.0, 13.0, 0.0),
        (Chemistry.FLOODED, 35.1, 12.98485, 0.0001),
        (Chemistry.FLOODED, 55.0, 12.955, 0.020),
        (Chemistry.FLOODED, 10.0, 13.0225, 0.0),
        (Chemistry.FLOODED, 9.9, 13.02265, 0.0001),
        (Chemistry.FLOODED, 5.0, 13.03, 0.005),
        (Chemistry.FLOODED, None, 13.0, 0.015),
        (Chemistry.LFP, 35.0, 12.993, 0.0),
        (Chemistry.LFP, -5.0, 13.021, 0.015),
        (Chemistry.LFP, None, 13.0, 0.015),
    ],
)
def test_a_voltage_is_reduced_to_25_degrees(chemistry, temperature_c, expected_v, expected_u):
    found = reduce_to_reference(
        voltage_v=13.0, temperature_c=temperature_c, chemistry=chemistry, policy=POLICY
    )
    u = pytest.approx(expected_u, abs=1e-12)
    assert ReducedVoltage(pytest.approx(expected_v, abs=1e-12), u) == found


@pytest.mark.parametrize(
    ("rested_h", "expected_v"),
    [
        (0.0, 0.150),
        (0.25, 0.150),
        (0.5, 0.150),
        (1.0, 0.115),  # halfway between 0.5 and 2 h in ln t
        (2.0, 0.080),
        (math.sqrt(8), 0.070),
        (4.0, 0.060),
        (math.sqrt(48), 0.040),
        (12.0, 0.020),
        (math.sqrt(288), 0.015),
        (24.0, 0.010),
        (10_000.0, 0.010),
    ],
)
def test_a_lead_acid_rest_leaves_less_doubt_with_the_logarithm_of_its_hours(rested_h, expected_v):
    found = rest_uncertainty_v(rested_h=rested_h, chemistry=Chemistry.AGM, policy=POLICY)
    assert pytest.approx(expected_v, abs=1e-12) == found


@pytest.mark.parametrize(("hours", "expected_v"), [(0.5, 0.030), (2.999, 0.030), (3.0, 0.010), (24.0, 0.010)])
def test_an_lfp_block_is_settled_from_three_hours(hours, expected_v):
    assert expected_v == lfp_settling_uncertainty_v(after_h=hours, policy=POLICY)
    assert expected_v == rest_uncertainty_v(rested_h=hours, chemistry=Chemistry.LFP, policy=POLICY)


@pytest.mark.parametrize(
    ("value_v", "uncertainty_v", "expected"),
    [
        (12.40, 0.05, 0.5),
        (12.45, 0.05, 0.8413447),
        (12.35, 0.05, 0.1586553),
        (12.50, 0.05, 0.9772499),
        (12.40, 0.0, 1.0),
        (12.3999999999, 0.0, 1.0),
        (12.399999998, 0.0, 0.0),
        (12.41, 0.0, 1.0),
        (math.inf, math.inf, 1.0),
        (-math.inf, math.inf, 0.0),
    ],
)
def test_the_probability_of_reaching_a_limit_is_that_of_the_normal_distribution(
    value_v, uncertainty_v, expected
):
    found = probability_at_least(value_v=value_v, limit_v=12.4, uncertainty_v=uncertainty_v, policy=POLICY)
    assert pytest.approx(expected, abs=1e-7) == found


@pytest.mark.parametrize(
    ("value_v", "uncertainty_v", "expected"),
    [(0.15, 0.05, 0.8413447), (0.10, 0.05, 0.5), (0.10, 0.0, 0.0), (0.101, 0.0, 1.0), (0.099, 0.0, 0.0)],
)
def test_without_doubt_a_value_at_the_limit_is_not_above_it(value_v, uncertainty_v, expected):
    found = probability_above(value_v=value_v, limit_v=0.10, uncertainty_v=uncertainty_v, policy=POLICY)
    assert pytest.approx(expected, abs=1e-7) == found


@pytest.mark.parametrize(
    ("probability", "expected"), [(0.9, False), (0.949999998, False), (0.95, True), (1.0, True)]
)
def test_a_probability_is_certain_from_95_percent(probability, expected):
    assert expected is is_certain(probability, policy=POLICY)


def test_the_risk_limit_is_the_policys():
    policy = policy_with(decision__risk_limit=0.2)
    assert is_certain(0.8, policy=policy)
    assert not is_certain(0.799, policy=policy)


def test_the_guard_is_that_of_the_policys_risk():
    assert pytest.approx(1.6448536) == guard_factor(policy=POLICY)
    assert pytest.approx(0.8416212) == guard_factor(policy=policy_with(decision__risk_limit=0.2))
    assert pytest.approx(12.48224268) == limit_to_be_sure(limit=12.4, uncertainty=0.05, policy=POLICY)


@pytest.mark.parametrize(
    ("chemistry", "spread_v"),
    [
        ("flooded", 0.030),
        ("flooded sealed", 0.050),
        ("EFB", 0.050),
        ("AGM", 0.060),
        ("gel", 0.060),
        ("LFP", 0.010),
    ],
)
def test_the_spread_of_a_table_adds_to_what_is_read_off_it(chemistry, spread_v):
    found = with_table(0.04, chemistry=Chemistry(chemistry), policy=POLICY)
    assert pytest.approx(math.hypot(0.04, spread_v)) == found


@pytest.mark.parametrize(
    ("x", "expected"),
    [
        (-5.0, 1.0),
        (10.0, 1.0),
        (12.5, 1.5),
        (20.0, 3.0),
        (30.0, 3.5),
        (39.0, 3.95),
        (40.0, 4.0),
        (99.0, 4.0),
    ],
)
def test_a_table_is_linear_between_its_points_and_flat_outside(x, expected):
    assert pytest.approx(expected) == interpolate(STEPS, x)


@pytest.mark.parametrize("record", [GOOD, ReducedVoltage(12.6, 0.0)])
def test_what_was_worked_out_can_not_be_changed(record):
    with pytest.raises(AttributeError, match="attribute"):
        setattr(record, record._fields[0], None)
