"""The lot and the fit against scipy's hypergeometric distribution and numpy's least squares."""

import math

import numpy as np
from scipy.stats import hypergeom

from intake.grading.leak import fit_of
from intake.grading.lot import most_unfit, probability_of_at_most, sample_size
from intake.grading.settling import evaluate_hold
from tests.external.agreement import check
from tests.grading.builders import GOOD, held

LOTS = [(8, 3), (20, 12), (50, 19), (137, 24), (500, 28)]


@check(
    "chance of drawing so few unfit ones, lots of 8 to 500",
    against="scipy.stats.hypergeom.cdf",
    within=1e-12,
)
def test_the_chance_of_few_failures_is_the_hypergeometric_one():
    for offered, drawn in LOTS:
        for unfit in (0, 1, offered // 10, offered // 3, offered):
            for failed in (0, 1, 2):
                expected = float(hypergeom.cdf(failed, offered, unfit, drawn))
                found = probability_of_at_most(failed, offered=offered, unfit=unfit, drawn=drawn)
                yield f"{failed} of {drawn} from {offered}, {unfit} unfit", expected, found


@check(
    "upper 95 % limit on the number unfit, lots of 8 to 500", against="scipy.stats.hypergeom, by trying all"
)
def test_the_limit_is_the_last_number_that_scipy_does_not_refute():
    for offered, drawn in LOTS:
        for failed in (0, 1, 2):
            possible = range(failed, offered - drawn + failed + 1)
            expected = max(one for one in possible if hypergeom.cdf(failed, offered, one, drawn) > 0.05)
            found = most_unfit(offered, drawn=drawn, failed=failed, risk=0.05)
            yield f"{failed} of {drawn} from {offered}", expected, found


@check(
    "draws without a failure for large lots: 59 for 5 % and 29 for 10 % at 95 %, 22 for 10 % at 90 %",
    against="common practice (success runs: the smallest n with (1 - p)^n at or under the risk)",
)
def test_large_lots_need_the_well_known_draws():
    for share, risk, expected in ((0.05, 0.05, 59), (0.10, 0.05, 29), (0.10, 0.10, 22)):
        assert expected == math.ceil(math.log(risk) / math.log(1 - share))
        yield f"{share}, {risk}", expected, sample_size(100_000, most_share=share, risk=risk)


@check(
    "slope, loss a day and its standard uncertainty of a hold's fit, five holds",
    against="numpy.linalg.lstsq on the weighted equations, inverse of the normal matrix",
    within=1e-6,
    unit="mV",
)
def test_the_fit_is_the_weighted_least_squares_one():
    own_v = math.hypot(0.01 / 2 / math.sqrt(3), 0.002)
    for chemistry, b, readings in (
        ("AGM", 0.055, ((24, 13.00), (96, 12.90), (168, 12.85))),
        ("AGM", 0.055, ((2, 13.1), (24, 12.95))),
        ("gel", 0.055, ((3, 13.0), (12, 12.93), (24, 12.9), (200, 12.7))),
        ("flooded", 0.040, ((24, 12.8), (48, 12.79), (96, 12.78), (120, 12.74), (168, 12.71))),
        ("EFB", 0.040, ((2, 12.9), (6, 12.86), (100, 12.87))),
    ):
        rows = [[1 / own_v, -math.log(hours) / own_v, -hours / 24 / own_v] for hours, _ in readings]
        rows.append([0, 1 / (0.3 * b), 0])
        told = np.array([*(volts / own_v for _, volts in readings), 1 / 0.3])
        matrix = np.array(rows)
        solved = np.linalg.lstsq(matrix, told, rcond=None)[0]
        doubt = math.sqrt(np.linalg.inv(matrix.T @ matrix)[2, 2])
        fit = fit_of(evaluate_hold(held(chemistry, *readings), bench=GOOD), bench=GOOD)
        name = f"{chemistry}, {len(readings)} readings"
        yield f"{name}, slope", 1000 * solved[1], 1000 * fit.slope_v_per_efold
        yield f"{name}, loss", 1000 * solved[2], 1000 * fit.rate_v_per_day
        yield f"{name}, its uncertainty", 1000 * doubt, 1000 * fit.rate_uncertainty_v_per_day
