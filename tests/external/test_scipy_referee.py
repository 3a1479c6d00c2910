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
from intake.grading.state_of_charge import state_of_charge_after_charge, voltage_at_v
from intake.model.battery import LEAD_ACID, Chemistry
from intake.policy.grading_policy import load_grading_policy
from tests.external.agreement import check

POLICY = load_grading_policy()


def _percent(voltage_v, chemistry):
    return state_of_charge_after_charge(
        voltage_25c_v=voltage_v, uncertainty_v=0.01, chemistry=chemistry, policy=POLICY
    ).value_percent


@check(
    "Φ from -8 to 8 standard uncertainties, four uncertainties; a margin is rounded to 1 nV first",
    against="scipy.stats.norm",
    within=1e-7,
)
def test_the_normal_distribution_is_scipys():
    for u in (0.0042, 0.0164, 0.05, 1.8):
        for distance in np.linspace(-8, 8, 161) * u:
            of = {"value_v": 12.4 + distance, "limit_v": 12.4, "uncertainty_v": u, "policy": POLICY}
            found = probability_at_least(**of)
            assert pytest.approx(norm.cdf(distance / u), rel=1e-5, abs=1e-12) == found
            assert pytest.approx(found, abs=1e-12) == probability_above(**of)
            yield distance / u, norm.cdf(distance / u), found


def test_certainty_begins_at_scipys_quantile():
    edge = norm.ppf(0.95)
    assert pytest.approx(1.6448536, abs=1e-7) == edge
    for distance, expected in ((edge + 1e-6, True), (edge - 1e-6, False)):
        found = probability_at_least(value_v=distance, limit_v=0, uncertainty_v=1, policy=POLICY)
        assert expected == is_certain(found, policy=POLICY)


@check("share covered by the coverage factor 1.96", against="scipy.stats.norm: 0.95", within=1e-4)
def test_the_coverage_factor_covers_95_percent():
    factor = POLICY.decision.coverage_factor.value
    yield factor, 0.95, norm.cdf(factor) - norm.cdf(-factor)


TABLES = {
    **{name.value: table.points for name, table in POLICY.open_circuit.lead_acid.items()},
    "LFP discharge": POLICY.open_circuit.lfp_discharge_branch.points,
    "LFP charge": POLICY.open_circuit.lfp_charge_branch.points,
    "gravity": POLICY.cross_checks.gravity_to_block_v.points,
    "load": POLICY.load_test.least_voltage_v.points,
}


@check(
    "interpolation in every table, at its points, between and outside them",
    against="numpy.interp",
    within=1e-9,
    unit="V",
)
def test_interpolation_is_numpys_inside_at_the_points_and_outside():
    for name, table in TABLES.items():
        xs, ys = np.array(table).T
        for x in np.concatenate([xs, np.linspace(xs[0] - 5, xs[-1] + 5, 400)]):
            yield f"{name} at {x}", np.interp(x, xs, ys), interpolate(table, x)


@check(
    "state of charge from a voltage, and back, lead-acid",
    against="numpy.interp on the exchanged columns",
    within=1e-9,
    unit="% charge",
)
def test_a_state_of_charge_is_numpys_inverse_of_the_table():
    for chemistry in sorted(LEAD_ACID):
        percents, volts = np.array(POLICY.open_circuit.lead_acid[chemistry].points).T
        for voltage_v in np.linspace(11.5, 13.2, 171):
            found = _percent(voltage_v, chemistry)
            yield f"{chemistry} at {voltage_v} V", np.interp(voltage_v, volts, percents), found
        for percent in np.linspace(0, 100, 41):
            voltage_v = voltage_at_v(state_of_charge_percent=percent, chemistry=chemistry, policy=POLICY)
            found = _percent(voltage_v, chemistry)
            yield f"{chemistry} at {percent} %", percent, found


@check(
    "standard uncertainty left by a rest of 0.1 to 200 h",
    against="numpy.interp over the logarithm of the hours",
    within=1e-9,
    unit="V",
)
def test_the_doubt_of_a_rest_is_numpys_interpolation_over_the_logarithm_of_its_hours():
    hours, doubts = np.array(POLICY.rest.relaxation_uncertainty_v.points).T
    for rested_h in np.geomspace(0.1, 200, 120):
        found = rest_uncertainty_v(rested_h=rested_h, chemistry=Chemistry.GEL, policy=POLICY)
        yield rested_h, np.interp(np.log(rested_h), np.log(hours), doubts), found
