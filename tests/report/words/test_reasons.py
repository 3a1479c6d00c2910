"""Why a battery has its grade, in a few words and figures that a pocket calculator checks."""

import pytest

from intake.model.rules import Rule
from intake.report.plots.comparison import comparison_of
from intake.report.words.reasons import is_close, reason_in_few_words
from intake.report.words.wording import load_wording
from tests.report.builders import battery, held, mixed_result, result_of


def graded(one):
    return result_of([one]).graded[0]


def test_every_rule_has_its_few_words():
    assert set(Rule) == set(load_wording().reasons)


@pytest.mark.parametrize(
    ("one", "told"),
    [
        (battery(1, case="cracked"), "case cracked"),
        (battery(1, "unknown"), "chemistry unknown"),
        (battery(1, rest_voltage_v=None), "no reading"),
        (battery(1, rest_voltage_v=0.3), "no voltage: 0.30 V"),
        (
            held(1, "flooded", (24.0, 12.7), rated_cca_a=600.0, measured_cca_a=300.0),
            "cranks 50 % of rated, needs 75 %",
        ),
        (
            held(1, "flooded", (24.0, 12.7), specific_gravity=(1.26, 1.26, 1.26, 1.26, 1.26, 1.225)),
            "gravities 0.035 apart, limit 0.025",
        ),
    ],
)
def test_the_decisive_rule_is_told_with_its_figures(one, told):
    assert told == reason_in_few_words(graded(one))


def test_a_voltage_is_told_with_the_reading_that_it_takes():
    told = reason_in_few_words(graded(battery(1, rest_voltage_v=12.2)))

    assert told.startswith("12.21 V at rest, needs 12.4")


def test_no_reason_speaks_of_probabilities():
    told = [reason_in_few_words(one) for one in mixed_result().graded]

    assert [] == [text for text in told if "P(" in text or " u " in text or "{" in text]


def test_a_reading_near_its_limit_is_close_and_one_far_off_is_not():
    assert is_close(graded(battery(1, rest_voltage_v=12.38)).verdict.decisive)
    assert not is_close(graded(battery(1, rest_voltage_v=12.8)).verdict.decisive)
    assert not is_close(graded(battery(1, case="cracked")).verdict.decisive)


def test_only_figures_are_compared():
    rested = comparison_of(graded(battery(1, rest_voltage_v=12.2)).verdict.decisive)

    assert (12.4, "V", 2) == (rested.limit, rested.unit, rested.decimals)
    assert comparison_of(graded(battery(1, case="cracked")).verdict.decisive) is None
    assert comparison_of(graded(battery(1, rest_voltage_v=None)).verdict.decisive) is None
