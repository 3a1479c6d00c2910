"""Decisions under uncertainty against the examples of JCGM 106:2012, first edition."""

from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import gamma, norm

from intake.grading.quantities import is_certain, probability_above, probability_at_least
from intake.policy.grading_policy import load_grading_policy
from tests.changed import replace
from tests.external.agreement import check

POLICY = load_grading_policy()


def at_least(value, limit, u):
    return probability_at_least(value_v=value, limit_v=limit, uncertainty_v=u, policy=POLICY)


@check(
    "probability of lying between two limits",
    against="JCGM 106:2012, 7.4: y = 13.6, u = 1.8, limits 12.5 and 16.3",
    within=5e-5,
)
def test_7_4_conformance_with_two_limits():
    """0.6626, worked from the numbers of the clause."""
    yield "7.4", 0.6626, at_least(13.6, 12.5, 1.8) - at_least(13.6, 16.3, 1.8)


@check(
    "probability of meeting one limit",
    against="JCGM 106:2012, 7.3.3, examples 1 and 2 (their numbers from memory)",
    within=5e-5,
)
def test_7_3_3_conformance_with_one_limit():
    """An upper limit: y = -5.47, u = 0.05, limit -5.40; a lower one: y = 507, u = 8, limit 490."""
    above = probability_above(value_v=-5.47, limit_v=-5.40, uncertainty_v=0.05, policy=POLICY)
    yield "upper", 0.9192, 1 - above
    yield "lower", 0.9832, at_least(507, 490, 8)


@check(
    "guard band that grows with the reading",
    against="JCGM 106:2012, 8.3.3.2: limit 100, u = 2 % of reading, 99.9 %: from 106.6 (from memory)",
)
def test_8_3_3_2_a_guard_band_that_grows_with_the_reading():
    strict = replace(POLICY.decision, risk_limit=replace(POLICY.decision.risk_limit, value=0.001))
    policy = replace(POLICY, decision=strict)
    for reading, expected in ((106.5, False), (106.55, False), (106.6, True)):
        yield reading, expected, is_certain(at_least(reading, 100, 0.02 * reading), policy=policy)


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


@check(
    "wrong acceptances and rejections at the limit itself",
    against="JCGM 106:2012, 9.5.4: bearings, u = 0.25 µm (the producer's risk recomputed)",
    within=5e-6,
)
def test_9_5_4_risks_at_the_limit_itself():
    """4.238 % lie above the limit of 2 µm; 0.802 % are accepted in error, 1.744 % rejected."""
    yield "above the limit", 0.04238, BEARINGS.sf(HIGHEST)
    yield "consumer's risk", 0.00802, consumers_risk(HIGHEST)
    yield "producer's risk", 0.01744, producers_risk(HIGHEST)


@check(
    "acceptance limit for a consumer's risk of 0.1 %, and the producer's risk there",
    against="JCGM 106:2012, 9.5.4: 1.6718 µm, 7.55 % (the latter recomputed)",
    within=2e-4,
)
def test_9_5_4_the_acceptance_limit_for_a_consumers_risk_of_a_tenth_of_a_percent():
    found = brentq(lambda acceptance: consumers_risk(acceptance) - 0.001, 1.5, 1.9, xtol=1e-9)
    yield "acceptance limit", 1.6718, found
    yield "producer's risk", 0.0755, producers_risk(found)


@check(
    "wrong acceptances and rejections on a pallet of batteries, with and without a guard band",
    against="JCGM 106:2012, 9.5, formulas only, recomputed: N(12.60, 0.10) V, u = 0.05 V, limit 12.40 V",
    within=3,
    unit="%",
)
def test_the_same_risks_on_a_pallet_of_batteries():
    """0.62 % accepted in error, 2.0 % rejected; with a guard band of 0.10 V 0.017 % and 16.3 %."""
    batteries = norm(12.60, 0.10)
    for guard, accepted, rejected in ((0.0, 0.0062, 0.020), (0.10, 0.00017, 0.163)):
        acceptance = 12.40 + guard

        def wrongly_accepted(x, acceptance=acceptance):
            return batteries.pdf(x) * at_least(x, acceptance, 0.05)

        def wrongly_rejected(x, acceptance=acceptance):
            return batteries.pdf(x) * (1 - at_least(x, acceptance, 0.05))

        yield f"accepted, guard band {guard} V", accepted, quad(wrongly_accepted, 11.9, 12.40)[0]
        yield f"rejected, guard band {guard} V", rejected, quad(wrongly_rejected, 12.40, 13.2)[0]
