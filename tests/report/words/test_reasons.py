"""Why a battery has its grade, in a few words and figures that a pocket calculator checks."""

import pytest

from intake.model.rules import Rule
from intake.report.plots.comparison import comparison_of
from intake.report.words.reasons import is_close, reason_in_few_words, reason_in_full, step_in_few_words
from intake.report.words.wording import load_wording
from tests.changed import replace
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


MIDDLE = held(1, "AGM", (0.5, 12.72), (12.0, 12.58))
"""Settles at 12.555 V or so: sure of 60 % (12.45 V), not of 80 % (12.66 V)."""


def test_a_middle_hold_names_the_mark_that_it_missed_and_what_that_takes():
    decisive = graded(MIDDLE).verdict.decisive
    asked = decisive.missed.limit_to_be_sure

    assert "hold-middle" == decisive.rule.id
    assert f"at least 60 %, 80 % not proven: {decisive.measured:.2f} V settled, needs {asked:.2f} V" == (
        step_in_few_words(decisive)
    )
    assert reason_in_full(decisive).endswith(
        f"At least 60 % charged; 80 % not proven: with this meter that takes {asked:.2f} V."
    )
    assert asked > 12.66 > decisive.measured > decisive.limit_to_be_sure
    compared = comparison_of(decisive)
    assert (pytest.approx(12.66), asked) == (compared.limit, compared.needed)


@pytest.mark.parametrize(
    ("one", "rule"),
    [
        (held(1, "AGM", (12.0, 12.0)), "hold-low"),
        (held(1, "AGM", (12.0, 12.5)), "hold-unclear"),
    ],
)
def test_a_low_or_unclear_hold_names_the_lower_mark(one, rule):
    decisive = graded(one).verdict.decisive

    assert rule == decisive.rule.id
    assert step_in_few_words(decisive).endswith(f"60 % needs {decisive.limit_to_be_sure:.2f} V")
    assert reason_in_full(decisive).endswith(" V to be sure of 60 % charge (12.45 V).")


def test_a_capacity_over_the_limit_is_held_against_what_it_takes_to_be_sure():
    one = held(1, "AGM", (24.0, 12.95), delivered_capacity_ah=49.2, discharge_time_h=20.0)
    decisive = graded(one).verdict.decisive

    assert "capacity-low" == decisive.rule.id
    assert "gave 83 % of rated, needs 85 %" == step_in_few_words(decisive)


def test_a_reading_a_hair_below_what_it_takes_never_reads_as_if_it_reached_it():
    rested = graded(battery(1, rest_voltage_v=12.2)).verdict.decisive
    just = replace(rested, measured=12.4262, limit_to_be_sure=12.4268)
    alike = replace(rested, measured=12.4268, limit_to_be_sure=12.4268)

    assert "12.426 V at rest, needs 12.427 V" == step_in_few_words(just)
    assert "12.43 V at rest, needs 12.43 V" == step_in_few_words(alike)


def test_a_middle_hold_near_its_upper_mark_is_close():
    decisive = graded(MIDDLE).verdict.decisive
    met, not_met = (replace(decisive.missed, probability=chance) for chance in (0.5, 0.499))

    assert is_close(replace(decisive, probability=0.99, missed=met))
    assert not is_close(replace(decisive, probability=0.99, missed=not_met))
    assert is_close(replace(decisive, probability=0.94, missed=not_met))


@pytest.mark.parametrize(
    ("sure_v", "told"),
    [
        (0.041, "With this meter it takes 0.04 V or less to be sure that it keeps to 0.10 V."),
        (0.0, "With this meter and these hours nobody can be sure that it keeps to 0.10 V."),
        (-0.02, "With this meter and these hours nobody can be sure that it keeps to 0.10 V."),
    ],
)
def test_an_unclear_drop_says_what_would_clear_it(sure_v, told):
    one = graded(held(1, "flooded", (24.0, 12.80), (96.0, 12.63)))
    unclear = next(step for step in one.verdict.steps if step.rule is Rule.HOLD_DROP_UNCLEAR)

    assert reason_in_full(replace(unclear, limit_to_be_sure=sure_v)).endswith(told)


def test_a_drop_is_bound_from_above():
    one = graded(held(1, "flooded", (24.0, 12.90), (96.0, 12.45)))
    decisive = one.verdict.decisive

    assert Rule.HOLD_DROP_FAILS is decisive.rule
    assert reason_in_full(decisive).endswith(
        f"With this meter it is sure to exceed 0.10 V from {decisive.limit_to_be_sure:.2f} V on."
    )


def test_a_leak_is_told_in_volts_a_day():
    one = graded(held(1, "AGM", (24.0, 13.0), (96.0, 12.9), (168.0, 12.76)))
    leak = next(step for step in one.verdict.steps if step.rule is Rule.LEAK_SUSPECT)

    assert "exceed 0.0015 V a day from " in reason_in_full(leak)
    assert "e-fold" not in reason_in_full(leak)
    assert f"loses {leak.measured:.4f} V a day, limit 0.0015 V" == step_in_few_words(leak)
    assert 4 == comparison_of(leak).decimals
    assert "V/d" not in reason_in_full(leak)


@pytest.mark.parametrize(
    ("figure", "told"),
    [
        ("0.166667", "0.1667"),
        ("17.7778", "17.78"),
        ("1.4000", "1.4"),
        ("0.0079", "0.0079"),
        ("12.497", "12.497"),
        ("0.17", "0.17"),
    ],
)
def test_no_reason_has_more_figures_than_a_watch_is_worth(figure, told):
    step = graded(battery(1, case="cracked")).verdict.decisive

    assert f"It rested {told} h." == reason_in_full(replace(step, text=f"It rested {figure} h."))
