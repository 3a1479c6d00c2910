"""The grading's own mathematics against scipy and numpy."""

import numpy as np
import pytest
from scipy.stats import norm

from intake.grading.quantities import (
    interpolate,
    is_certain,
    probability_above,
    probability_at_least,
    rest_uncertainty_v,
)
from intake.grading.state_of_charge import percent_at, voltage_at_v
from intake.model.battery import LEAD_ACID, Chemistry
from intake.policy.grading_policy import load_grading_policy

POLICY = load_grading_policy()


@pytest.mark.parametrize("u", [0.0042, 0.0164, 0.05, 1.8])
def test_the_normal_distribution_is_scipys(u):
    for distance in np.linspace(-8, 8, 161) * u:
        found = probability_at_least(value_v=12.4 + distance, limit_v=12.4, uncertainty_v=u, policy=POLICY)
        assert pytest.approx(norm.cdf(distance / u), rel=1e-5, abs=1e-12) == found
        above = probability_above(value_v=12.4 + distance, limit_v=12.4, uncertainty_v=u, policy=POLICY)
        assert pytest.approx(found, abs=1e-12) == above


def test_certainty_begins_at_scipys_quantile():
    edge = norm.ppf(0.95)
    assert pytest.approx(1.6448536, abs=1e-7) == edge
    for distance, expected in ((edge + 1e-6, True), (edge - 1e-6, False)):
        found = probability_at_least(value_v=distance, limit_v=0, uncertainty_v=1, policy=POLICY)
        assert expected == is_certain(found, policy=POLICY)


def test_the_coverage_factor_covers_95_percent():
    factor = POLICY.decision.coverage_factor.value
    assert pytest.approx(0.95, abs=1e-4) == norm.cdf(factor) - norm.cdf(-factor)


TABLES = {
    **{name.value: table.points for name, table in POLICY.open_circuit.lead_acid.items()},
    "LFP discharge": POLICY.open_circuit.lfp_discharge_branch.points,
    "LFP charge": POLICY.open_circuit.lfp_charge_branch.points,
    "gravity": POLICY.cross_checks.gravity_to_block_v.points,
    "load": POLICY.load_test.least_voltage_v.points,
}


@pytest.mark.parametrize("name", TABLES)
def test_interpolation_is_numpys_inside_at_the_points_and_outside(name):
    xs, ys = np.array(TABLES[name]).T
    grid = np.concatenate([xs, np.linspace(xs[0] - 5, xs[-1] + 5, 400)])
    found = [interpolate(TABLES[name], x) for x in grid]
    assert pytest.approx(np.interp(grid, xs, ys), abs=1e-12) == found


@pytest.mark.parametrize("chemistry", sorted(LEAD_ACID))
def test_a_state_of_charge_is_numpys_inverse_of_the_table(chemistry):
    percents, volts = np.array(POLICY.open_circuit.lead_acid[chemistry].points).T
    for voltage_v in np.linspace(11.5, 13.2, 171):
        found = percent_at(voltage_25c_v=voltage_v, chemistry=chemistry, policy=POLICY)
        assert pytest.approx(np.interp(voltage_v, volts, percents), abs=1e-9) == found
    for percent in np.linspace(0, 100, 41):
        voltage_v = voltage_at_v(state_of_charge_percent=percent, chemistry=chemistry, policy=POLICY)
        found = percent_at(voltage_25c_v=voltage_v, chemistry=chemistry, policy=POLICY)
        assert pytest.approx(percent, abs=1e-9) == found


def test_the_doubt_of_a_rest_is_numpys_interpolation_over_the_logarithm_of_its_hours():
    hours, doubts = np.array(POLICY.rest.relaxation_uncertainty_v.points).T
    for rested_h in np.geomspace(0.1, 200, 120):
        expected = np.interp(np.log(rested_h), np.log(hours), doubts)
        found = rest_uncertainty_v(rested_h=rested_h, chemistry=Chemistry.GEL, policy=POLICY)
        assert pytest.approx(expected, abs=1e-12) == found
