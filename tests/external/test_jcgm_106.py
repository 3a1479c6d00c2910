"""Decisions under uncertainty against the examples of JCGM 106:2012, first edition."""

from dataclasses import replace

import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import gamma, norm

from intake.grading.quantities import is_certain, probability_above, probability_at_least
from intake.policy.grading_policy import load_grading_policy

POLICY = load_grading_policy()


def at_least(value, limit, u):
    return probability_at_least(value_v=value, limit_v=limit, uncertainty_v=u, policy=POLICY)


def test_7_4_conformance_with_two_limits():
    """JCGM 106:2012, 7.4: y = 13.6, u = 1.8, limits 12.5 and 16.3; 0.6626, worked from its numbers."""
    found = at_least(13.6, 12.5, 1.8) - at_least(13.6, 16.3, 1.8)
    assert pytest.approx(0.6626, abs=5e-5) == found


def test_7_3_3_example_1_an_upper_limit():
    """JCGM 106:2012, 7.3.3, example 1: y = -5.47, u = 0.05, limit -5.40; 0.9192 (numbers from memory)."""
    below = 1 - probability_above(value_v=-5.47, limit_v=-5.40, uncertainty_v=0.05, policy=POLICY)
    assert pytest.approx(0.9192, abs=5e-5) == below


def test_7_3_3_example_2_a_lower_limit():
    """JCGM 106:2012, 7.3.3, example 2: y = 507, u = 8, limit 490; 0.9832 (numbers from memory)."""
    assert pytest.approx(0.9832, abs=5e-5) == at_least(507, 490, 8)


def test_8_3_3_2_a_guard_band_that_grows_with_the_reading():
    """JCGM 106:2012, 8.3.3.2: limit 100, u = 2 % of reading, 99.9 %; accepted from 106.6 (from memory)."""
    strict = replace(POLICY.decision, risk_limit=replace(POLICY.decision.risk_limit, value=0.001))
    policy = replace(POLICY, decision=strict)
    sure = [
        is_certain(at_least(reading, 100, 0.02 * reading), policy=policy)
        for reading in (106.5, 106.55, 106.6)
    ]
    assert [False, False, True] == sure


BEARINGS = gamma(a=4, scale=1 / 4)
"""JCGM 106:2012, 9.5.4: prior of the run-out of ball bearings in µm, gamma of shape 4 and rate 4."""
HIGHEST = 2.0


def consumers_risk(acceptance, u=0.25):
    """A bearing is accepted and does not conform."""

    def density(x):
        return BEARINGS.pdf(x) * at_least(acceptance, x, u)

    return quad(density, HIGHEST, 10, points=[acceptance], limit=200)[0]


def producers_risk(acceptance, u=0.25):
    """A bearing conforms and is rejected."""

    def density(x):
        return BEARINGS.pdf(x) * (1 - at_least(acceptance, x, u))

    return quad(density, 0, HIGHEST, points=[acceptance], limit=200)[0]


def test_9_5_4_bearings_without_inspection():
    """JCGM 106:2012, 9.5.4: 4.238 % lie above the limit of 2 µm."""
    assert pytest.approx(0.04238, abs=5e-6) == BEARINGS.sf(HIGHEST)


def test_9_5_4_risks_at_the_limit_itself():
    """JCGM 106:2012, 9.5.4, u = 0.25 µm: consumer's risk 0.802 %; producer's 1.744 % recomputed."""
    assert pytest.approx(0.00802, abs=5e-6) == consumers_risk(HIGHEST)
    assert pytest.approx(0.01744, abs=5e-6) == producers_risk(HIGHEST)


def test_9_5_4_the_acceptance_limit_for_a_consumers_risk_of_a_tenth_of_a_percent():
    """JCGM 106:2012, 9.5.4: A = 1.6718 µm; producer's risk 7.55 % recomputed."""
    found = brentq(lambda acceptance: consumers_risk(acceptance) - 0.001, 1.5, 1.9, xtol=1e-6)
    assert pytest.approx(1.6718, abs=2e-4) == found
    assert pytest.approx(0.0755, abs=1e-4) == producers_risk(found)


def test_the_same_risks_on_a_pallet_of_batteries():
    """JCGM 106:2012, 9.5, formulas only: batteries N(12.60, 0.10) V, u = 0.05 V, limit 12.40 V.

    Recomputed: 0.62 % accepted in error, 2.0 % rejected; with a guard band of 0.10 V 0.017 % and 16.3 %.
    """
    batteries = norm(12.60, 0.10)
    for guard, accepted, rejected in ((0.0, 0.0062, 0.020), (0.10, 0.00017, 0.163)):
        acceptance = 12.40 + guard

        def wrongly_accepted(x, acceptance=acceptance):
            return batteries.pdf(x) * at_least(x, acceptance, 0.05)

        def wrongly_rejected(x, acceptance=acceptance):
            return batteries.pdf(x) * (1 - at_least(x, acceptance, 0.05))

        assert pytest.approx(accepted, rel=0.03) == quad(wrongly_accepted, 11.9, 12.40)[0]
        assert pytest.approx(rejected, rel=0.03) == quad(wrongly_rejected, 12.40, 13.2)[0]
