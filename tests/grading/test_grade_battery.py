import math

import pytest

from intake.grading.grade_battery import evidence_of
from intake.grading.quantities import Bench, meter_uncertainty_v
from intake.grading.rest_screen import rest_reading
from intake.grading.settling import evaluate_hold
from intake.grading.state_of_charge import voltage_at_v
from intake.model.battery import Chemistry
from intake.model.verdict import Evidence, Grade, Handling, HeldCharge, MissingTest, StateOfCharge, Verdict
from tests.grading.builders import (
    GOOD,
    PERFECT,
    PLAIN,
    POLICY,
    battery,
    fired,
    graded,
    held,
    policy_with,
    rules,
    step_of,
)

LOADED = {
    "rest_voltage_v": 12.8,
    "load_current_a": 250.0,
    "load_time_s": 15.0,
    "rated_cca_a": 500.0,
}
SHORT = {"load_time_s": 5.0}
CRANKED = {"measured_cca_a": 500.0, "rated_cca_a": 500.0}
DISCHARGED = {"delivered_capacity_ah": 60.0, "discharge_time_h": 20.0, "rated_capacity_ah": 60.0}
STANDING = "Leave it standing, do not charge it, and read it again at 12 h after the charge."
WELL_RESTED = battery("flooded", rest_voltage_v=12.55)
BARELY_RESTED = battery("flooded", rest_voltage_v=12.45)
SHORTLY_RESTED = battery("flooded", rest_voltage_v=12.43, rested_h=2.0)
FRESH_AGM = held("AGM", (0.5, 13.318), (1.0, 13.283))
FRESH_FLOODED = held("flooded", (0.5, 12.30))
FALLEN = held("flooded", (0.5, 12.30), (12.0, 12.02))
LEAKING = held("AGM", (24.0, 13.00), (96.0, 12.90), (168.0, 12.85))

WORKED = [
    (WELL_RESTED, GOOD, "resale-after-charge", "rest-only", "rests-high", 12.427),
    (BARELY_RESTED, PLAIN, "reconditionable", "rest-only", "needs-recovery", 12.480),
    (SHORTLY_RESTED, GOOD, "reconditionable", "rest-only", "needs-recovery", 12.533),
    (FRESH_AGM, GOOD, "resale-after-charge", "short-hold", "hold-high", 12.774),
    (FRESH_FLOODED, GOOD, "unresolved", "short-hold", "hold-low", None),
    (FALLEN, GOOD, "recycle", "long-hold", "hold-low", None),
    (LEAKING, GOOD, "reconditionable", "long-hold", "leak-suspect", None),
]
"""The worked examples of the grading contract, from top to bottom; the limit to be sure where it is given."""


@pytest.mark.parametrize(("one", "bench", "grade", "evidence", "decisive", "sure_v"), WORKED)
def test_the_worked_examples_come_out(one, bench, grade, evidence, decisive, sure_v):
    verdict = graded(one, bench)
    assert (grade, evidence, "intact", decisive) == (
        verdict.grade.value,
        verdict.evidence.value,
        verdict.handling.value,
        verdict.decisive.rule.id,
    )
    if sure_v is not None:
        assert sure_v == round(verdict.decisive.limit_to_be_sure, 3)
    assert (one in (FRESH_AGM, FRESH_FLOODED)) == (verdict.next_step == STANDING)


@pytest.mark.parametrize(
    ("one", "bench", "u_meter", "u", "probability"),
    [
        (WELL_RESTED, GOOD, "0.0130", "0.0164", "1.000"),
        (BARELY_RESTED, PLAIN, "0.0475", "0.0485", "0.849"),
        (SHORTLY_RESTED, GOOD, "0.0129", "0.0810", "0.644"),
    ],
)
def test_the_workings_of_the_rest_examples_come_out_to_their_printed_digits(
    one, bench, u_meter, u, probability
):
    reading = rest_reading(one, bench=bench)
    assert reading is not None
    assert u_meter == f"{meter_uncertainty_v(voltage_v=reading.voltage_v, bench=bench):.4f}"
    assert u == f"{reading.uncertainty_v:.4f}"
    assert probability == f"{step_of(graded(one, bench).steps, 'rests-high').probability:.3f}"


@pytest.mark.parametrize(
    ("one", "slope", "settled_v", "u", "mark", "mark_v"),
    [
        (FRESH_AGM, "0.0520", "13.118", "0.0693", 80, "12.66"),
        (FRESH_FLOODED, "0.0400", "12.145", "0.0577", 60, "12.30"),
        (FALLEN, "0.0860", "11.960", "0.0341", 60, "12.30"),
    ],
)
def test_the_workings_of_the_hold_examples_come_out_to_their_printed_digits(
    one, slope, settled_v, u, mark, mark_v
):
    hold = evaluate_hold(one, bench=GOOD)
    assert hold is not None
    assert slope == f"{hold.slope.v_per_efold:.4f}"
    assert settled_v == f"{hold.settled_v:.3f}"
    assert u == f"{hold.uncertainty_v:.4f}"
    table_v = voltage_at_v(state_of_charge_percent=mark, chemistry=one.chemistry, policy=POLICY)
    assert mark_v == f"{table_v:.2f}"


def test_the_probability_of_the_fifth_example_comes_out_to_its_printed_digits():
    assert "0.004" == f"{step_of(graded(FRESH_FLOODED).steps, 'hold-middle').probability:.3f}"


def test_the_sixth_example_has_no_pair_and_so_no_drop():
    assert ["hold-low"] == fired(graded(FALLEN).steps)
    assert not [rule for rule in rules(graded(FALLEN).steps) if "drop" in rule]


@pytest.mark.parametrize(
    ("one", "expected"),
    [
        (battery("flooded"), Evidence.NONE),
        (battery("flooded", load_voltage_v=9.0), Evidence.NONE),
        (battery("flooded", rest_voltage_v=12.6), Evidence.REST_ONLY),
        (held("flooded", (0.49, 12.9)), Evidence.NONE),
        (held("flooded", (0.49, 12.9), rest_voltage_v=12.6), Evidence.REST_ONLY),
        (held("flooded", (0.5, 12.9), rest_voltage_v=12.6), Evidence.SHORT_HOLD),
        (held("flooded", (11.99, 12.9)), Evidence.SHORT_HOLD),
        (held("flooded", (12.0, 12.9)), Evidence.LONG_HOLD),
        (held("flooded", (0.5, 12.9), (12.0, 12.9)), Evidence.LONG_HOLD),
        (held("unknown", (12.0, 12.9)), Evidence.LONG_HOLD),
        (held("LFP", (12.0, 13.3), case="burnt"), Evidence.LONG_HOLD),
        (held("flooded", (12.0, 12.9), **CRANKED), Evidence.STRENGTH),
        (held("flooded", (12.0, 12.9), measured_cca_a=500.0), Evidence.LONG_HOLD),
        (held("flooded", (12.0, 12.9), rated_cca_a=500.0), Evidence.LONG_HOLD),
        (held("flooded", (11.9, 12.9), **CRANKED), Evidence.SHORT_HOLD),
        (battery("flooded", rest_voltage_v=12.6, **CRANKED), Evidence.REST_ONLY),
        (held("flooded", (12.0, 12.9), load_voltage_v=9.9, **LOADED), Evidence.STRENGTH),
        (held("flooded", (12.0, 12.9), load_voltage_v=9.9, **(LOADED | SHORT)), Evidence.LONG_HOLD),
        (held("flooded", (12.0, 12.3), load_voltage_v=9.9, **LOADED), Evidence.LONG_HOLD),
        (held("LFP", (12.0, 13.4), load_voltage_v=12.9, **LOADED), Evidence.LONG_HOLD),
        (held("flooded", (12.0, 12.9), **DISCHARGED), Evidence.CAPACITY),
        (held("flooded", (12.0, 12.9), **(CRANKED | DISCHARGED)), Evidence.CAPACITY),
        (held("flooded", (11.9, 12.9), **DISCHARGED), Evidence.SHORT_HOLD),
        (held("flooded", (12.0, 12.9), delivered_capacity_ah=60.0), Evidence.LONG_HOLD),
        (held("unknown", (12.0, 12.9), **DISCHARGED), Evidence.LONG_HOLD),
    ],
)
def test_evidence_follows_from_the_readings_alone(one, expected):
    assert expected is evidence_of(one, policy=POLICY)
    assert expected is graded(one).evidence


def test_all_rules_are_listed_room_by_room_and_the_decisive_one_stands_first():
    one = held(
        "flooded",
        (0.5, 12.9),
        (12.0, 12.8),
        terminals="loose",
        case="leaking",
        measured_cca_a=200.0,
        rated_cca_a=500.0,
    )
    verdict = graded(one)
    assert [
        "case-breached",
        "dented",
        "under-recall",
        "terminal-broken",
        "terminal-loose",
        "terminal-corroded",
        "recovery-failed",
        "not-filled",
        "chemistry-unclear",
        "temperature-outside",
        "hold-too-soon",
        "hold-cell-down",
        "hold-contradicts",
        "hold-high",
        "hold-middle",
        "hold-low",
        "hold-unclear",
        "cranking-low",
        "cranking-spent",
    ] == rules(verdict.steps)
    assert ["case-breached", "terminal-loose", "hold-high", "cranking-low", "cranking-spent"] == rules(
        verdict.reasons
    )
    assert verdict.reasons[0] == verdict.decisive
    assert (Grade.RECYCLE, Handling.DAMAGED) == (verdict.grade, verdict.handling)
    assert verdict.decisive.next_step == verdict.next_step


def test_the_rest_screen_is_listed_before_the_strength_tests():
    one = battery("gel", rest_voltage_v=12.9, measured_cca_a=200.0, rated_cca_a=500.0)
    listed = rules(graded(one).steps)
    assert listed.index("temperature-outside") < listed.index("rests-high") < listed.index("cranking-low")


def test_a_verdict_carries_the_state_of_charge_of_the_rest_voltage():
    found = graded(battery("flooded", rest_voltage_v=12.32), PERFECT)
    half_v = 1.96 * math.hypot(0.010, 0.090)
    expected = StateOfCharge(
        pytest.approx(62.5),
        pytest.approx(50 - (12.22 - 12.32 + half_v) / 0.19 * 25),
        pytest.approx(75 + (12.32 + half_v - 12.42) / 0.23 * 25),
        12.32,
        pytest.approx(math.hypot(0.010, 0.030)),
        pytest.approx(math.hypot(0.010, 0.090)),
    )
    assert expected == found.state_of_charge
    assert (None, None) == (found.held_charge, found.self_discharge)
    lfp = graded(battery("LFP", rest_voltage_v=13.25), PERFECT).state_of_charge
    # 13.25 V -+ 1.96 * hypot(0.010, 0.010): charge branch 20 to 30 %, discharge branch 70 to 80 %
    assert (pytest.approx(28.8926, abs=1e-3), pytest.approx(74.1910, abs=1e-3)) == (
        lfp.low_percent,
        lfp.high_percent,
    )


@pytest.mark.parametrize("one", [battery("flooded"), battery("other", rest_voltage_v=12.6)])
def test_without_a_rest_voltage_or_a_table_there_is_no_state_of_charge(one):
    assert graded(one).state_of_charge is None


def test_a_verdict_carries_the_held_charge_and_the_loss_beside_the_rest_voltage():
    found = graded(held("AGM", (24.0, 12.85), (96.0, 12.75), rest_voltage_v=12.5), PERFECT)
    assert found.state_of_charge is not None
    u = math.hypot(0.010, 0.090)
    charge = StateOfCharge(
        pytest.approx(87.5),
        pytest.approx(75 - (12.60 - 12.75 + 1.96 * u) / 0.25 * 25),
        100.0,
        12.75,
        pytest.approx(math.hypot(0.010, 0.060)),
        pytest.approx(u),
    )
    assert HeldCharge(charge, 96.0, 12.75) == found.held_charge
    lost = (0.10 - 0.055 * math.log(4)) / 3 * 30.4 * 40 / 0.45
    assert pytest.approx(lost) == found.self_discharge.percent_per_month


def test_an_lfp_block_has_a_held_charge_and_no_figure_of_its_loss():
    found = graded(held("LFP", (24.0, 13.33), (96.0, 13.285)), PERFECT)
    assert pytest.approx(75.0) == found.held_charge.state_of_charge.value_percent
    assert found.self_discharge is None


def test_the_meter_in_use_decides_how_sure_a_voltage_is():
    assert Grade.RESALE is graded(BARELY_RESTED, PERFECT).grade
    assert Grade.RECONDITIONABLE is graded(BARELY_RESTED, Bench(POLICY, 0.0, 0.06)).grade
    assert Grade.RECONDITIONABLE is graded(BARELY_RESTED, Bench(POLICY, 0.5, 0.0)).grade


def test_the_policy_in_use_decides():
    strict = Bench(policy_with(rest__sound_v__flooded=12.6), 0.1, 0.01)
    assert Grade.RECONDITIONABLE is graded(WELL_RESTED, strict).grade
    patient = Bench(policy_with(hold__long_from_h=6), 0.1, 0.01)
    assert Evidence.LONG_HOLD is graded(held("AGM", (6.0, 12.9)), patient).evidence


CONNECTIONS = "The hold is high but the load test fails: look at the connections and repeat the load test."
READINGS = "The hold fails but the load test passes: check the hold readings and repeat the hold."


@pytest.mark.parametrize(
    ("holds", "fields", "expected"),
    [
        (((12.0, 12.9),), {"load_voltage_v": 9.0}, (CONNECTIONS,)),
        (((12.0, 12.9),), {"load_voltage_v": 9.59}, (CONNECTIONS,)),
        (((12.0, 12.9),), {"load_voltage_v": 9.9}, ()),
        (((12.0, 12.6),), {"load_voltage_v": 9.0}, ()),
        (((12.0, 12.6),), {"load_voltage_v": 9.9}, ()),
        (((24.0, 13.1), (48.0, 12.85)), {"load_voltage_v": 9.9}, (READINGS,)),
        (((12.0, 12.0),), {"load_voltage_v": 9.9}, ()),  # too flat for a load test
        (((12.0, 12.0),), {"load_voltage_v": 9.0}, ()),
        (((2.0, 10.5),), {"load_voltage_v": 9.9}, ()),
        (((2.0, 12.0),), {"load_voltage_v": 9.9}, ()),  # hold-low, but still unresolved
        (((12.0, 12.9),), {"load_voltage_v": 9.9, "case": "cracked"}, ()),
        (((12.0, 12.0),), {}, ()),
        (((12.0, 12.0),), {"load_voltage_v": 9.9, "load_time_s": 5.0}, ()),
        ((), {"load_voltage_v": 9.0}, ()),
        ((), {"load_voltage_v": 9.9, "case": "cracked"}, ()),
    ],
)
def test_a_hold_and_a_load_test_that_speak_against_each_other_are_named(holds, fields, expected):
    assert expected == graded(held("AGM", *holds, **(LOADED | fields)), PERFECT).warnings


def test_a_warning_changes_no_grade():
    verdict = graded(held("AGM", (24.0, 13.1), (48.0, 12.8), load_voltage_v=9.9, **LOADED))
    assert (Grade.RECYCLE, (READINGS,)) == (verdict.grade, verdict.warnings)


def test_a_verdict_leaves_no_field_to_its_default_where_there_is_something_to_say():
    one = held("AGM", (24.0, 13.1), (72.0, 12.8), load_voltage_v=9.9, **LOADED)
    verdict = graded(one)
    blank = [name for name in Verdict._fields if getattr(verdict, name) in (None, (), "")]
    assert ["again_after_h", "missing_test"] == blank
    assert 12.0 == graded(FRESH_AGM).again_after_h
    assert MissingTest.CAPACITY is graded(held("AGM", (24.0, 13.0))).missing_test


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_a_row_with_nothing_but_its_chemistry_is_unresolved_and_says_what_to_do(chemistry):
    verdict = graded(battery(chemistry.value, rested_h=None, temperature_c=None))
    assert (Grade.UNRESOLVED, Evidence.NONE) == (verdict.grade, verdict.evidence)
    assert verdict.next_step


def test_a_verdict_carries_each_hold_reading_that_counts():
    found = graded(held("LFP", (0.1, 13.5), (24.0, 13.33), (96.0, 13.285)), PERFECT)
    assert [24.0, 96.0] == [one.after_h for one in found.reduced_readings]
    assert () == graded(battery("flooded", rest_voltage_v=12.6)).reduced_readings
