from dataclasses import fields

import pytest

from intake.grading.grade_battery import evidence_of
from intake.grading.hold_test import evaluate_hold
from intake.grading.quantities import Bench, meter_uncertainty_v
from intake.grading.rest_screen import rest_reading
from intake.grading.state_of_charge import voltage_at_v
from intake.model.battery import Chemistry
from intake.model.verdict import Evidence, Grade, Handling, HeldCharge, SelfDischarge, StateOfCharge, Verdict
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

HOLD_ON = "Hold on and read the open-circuit voltage at twelve hours or later after the charge."
WELL_RESTED = battery("flooded", rest_voltage_v=12.55)
BARELY_RESTED = battery("flooded", rest_voltage_v=12.45)
FRESH_AGM = held("AGM", (0.5, 13.318), (1.0, 13.283))
FRESH_FLOODED = held("flooded", (0.5, 12.30))
FALLEN = held("flooded", (0.5, 12.30), (12.0, 12.02))

WORKED = [
    (WELL_RESTED, GOOD, "resale-after-charge", "rest-only", "rests-high"),
    (BARELY_RESTED, PLAIN, "reconditionable", "rest-only", "needs-recovery"),
    (FRESH_AGM, GOOD, "resale-after-charge", "short-hold", "hold-high"),
    (FRESH_FLOODED, GOOD, "unresolved", "short-hold", "hold-low"),
    (FALLEN, GOOD, "recycle", "long-hold", "hold-low"),
]
"""The worked examples of the grading contract, from top to bottom."""


@pytest.mark.parametrize(("one", "bench", "grade", "evidence", "decisive"), WORKED)
def test_the_worked_examples_come_out(one, bench, grade, evidence, decisive):
    verdict = graded(one, bench)
    assert (grade, evidence, "intact", decisive) == (
        verdict.grade.value,
        verdict.evidence.value,
        verdict.handling.value,
        verdict.decisive.rule.id,
    )
    assert verdict.next_step == verdict.decisive.next_step
    assert (grade == "unresolved") == (verdict.next_step == HOLD_ON)


@pytest.mark.parametrize(
    ("one", "bench", "u_meter", "u", "probability"),
    [(WELL_RESTED, GOOD, "0.0130", "0.0164", "1.000"), (BARELY_RESTED, PLAIN, "0.0475", "0.0485", "0.849")],
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
    ("one", "own", "settled_v", "mark", "mark_v"),
    [
        (FRESH_AGM, "0.0505", "13.123", 80, "12.66"),
        (FRESH_FLOODED, None, "12.145", 60, "12.30"),
        (FALLEN, "0.0881", "11.959", 60, "12.30"),
    ],
)
def test_the_workings_of_the_hold_examples_come_out_to_their_printed_digits(
    one, own, settled_v, mark, mark_v
):
    hold = evaluate_hold(one, bench=GOOD)
    assert hold is not None
    assert own == (f"{hold.slope_v_per_efold:.4f}" if hold.slope_is_own else None)
    assert settled_v == f"{hold.settled_v:.3f}"
    table_v = voltage_at_v(state_of_charge_percent=mark, chemistry=one.chemistry, policy=POLICY)
    assert mark_v == f"{table_v:.2f}"


def test_the_doubt_of_the_fourth_example_comes_out_to_its_printed_digits():
    """u_settle 0.0475 V is what is left of u beside the meter."""
    hold = evaluate_hold(FRESH_FLOODED, bench=PERFECT)
    assert hold is not None
    assert "0.0475" == f"{hold.uncertainty_v:.4f}"


def test_the_drop_of_the_fifth_example_comes_out_to_its_printed_digits():
    found = step_of(graded(FALLEN).steps, "hold-drop-fails")
    assert "fell 0.280 V" in found.text
    assert (
        "settling accounts for 0.127 V, 0.153 V is beyond it, u 0.0390 V: P(> 0.1 V) = 0.912." in found.text
    )
    assert ["hold-drop-high", "hold-low"] == fired(graded(FALLEN).steps)


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
        "under-recall",
        "terminal-broken",
        "terminal-loose",
        "chemistry-unclear",
        "temperature-outside",
        "hold-too-soon",
        "hold-cell-down",
        "hold-drop-fails",
        "hold-drop-high",
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
    expected = StateOfCharge(
        pytest.approx(62.5), pytest.approx(60.05), pytest.approx(64.95), 12.32, pytest.approx(0.010)
    )
    assert expected == found.state_of_charge
    assert (None, None) == (found.held_charge, found.self_discharge)
    lfp = graded(battery("LFP", rest_voltage_v=13.25), PERFECT).state_of_charge
    assert (pytest.approx(29.4), pytest.approx(73.2888889)) == (lfp.low_percent, lfp.high_percent)


@pytest.mark.parametrize("one", [battery("flooded"), battery("other", rest_voltage_v=12.6)])
def test_without_a_rest_voltage_or_a_table_there_is_no_state_of_charge(one):
    assert graded(one).state_of_charge is None


def test_a_verdict_carries_the_held_charge_and_the_loss_beside_the_rest_voltage():
    found = graded(held("LFP", (24.0, 13.33), (96.0, 13.285), rest_voltage_v=13.25), PERFECT)
    assert found.state_of_charge is not None
    charge = StateOfCharge(
        pytest.approx(75.0), pytest.approx(72.8222222), pytest.approx(77.1777778), 13.285, 0.010
    )
    assert HeldCharge(charge, 96.0, 13.285) == found.held_charge
    loss = pytest.approx(5 / 72 * 729.6)
    assert SelfDischarge(loss, loss, loss) == found.self_discharge


def test_the_meter_in_use_decides_how_sure_a_voltage_is():
    assert Grade.RESALE is graded(BARELY_RESTED, PERFECT).grade
    assert Grade.RECONDITIONABLE is graded(BARELY_RESTED, Bench(POLICY, 0.0, 0.06)).grade
    assert Grade.RECONDITIONABLE is graded(BARELY_RESTED, Bench(POLICY, 0.5, 0.0)).grade


def test_the_policy_in_use_decides():
    strict = Bench(policy_with(rest__sound_v__flooded=12.6), 0.1, 0.01)
    assert Grade.RECONDITIONABLE is graded(WELL_RESTED, strict).grade
    patient = Bench(policy_with(hold__long_from_h=6), 0.1, 0.01)
    assert Evidence.LONG_HOLD is graded(held("AGM", (6.0, 12.9)), patient).evidence


LOADED = {
    "rest_voltage_v": 12.8,
    "load_current_a": 250.0,
    "load_time_s": 15.0,
    "rated_cca_a": 500.0,
}
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
        (((12.0, 12.0),), {"load_voltage_v": 9.9}, (READINGS,)),
        (((12.0, 12.0),), {"load_voltage_v": 9.0}, ()),
        (((2.0, 10.5),), {"load_voltage_v": 9.9}, (READINGS,)),
        (((24.0, 13.1), (48.0, 12.85)), {"load_voltage_v": 9.9}, (READINGS,)),
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
    verdict = graded(held("AGM", (12.0, 12.0), load_voltage_v=9.9, **LOADED))
    assert (Grade.RECYCLE, (READINGS,)) == (verdict.grade, verdict.warnings)


def test_a_verdict_leaves_no_field_to_its_default_where_there_is_something_to_say():
    one = held("AGM", (24.0, 12.5), (72.0, 12.0), load_voltage_v=9.9, **LOADED)
    verdict = graded(one)
    assert [] == [field.name for field in fields(Verdict) if getattr(verdict, field.name) in (None, (), "")]


@pytest.mark.parametrize("chemistry", list(Chemistry))
def test_a_row_with_nothing_but_its_chemistry_is_unresolved_and_says_what_to_do(chemistry):
    verdict = graded(battery(chemistry.value, rested_h=None, temperature_c=None))
    assert (Grade.UNRESOLVED, Evidence.NONE) == (verdict.grade, verdict.evidence)
    assert verdict.next_step


def test_a_verdict_carries_each_hold_reading_that_counts():
    found = graded(held("LFP", (0.1, 13.5), (24.0, 13.33), (96.0, 13.285)), PERFECT)
    assert [24.0, 96.0] == [one.after_h for one in found.reduced_readings]
    assert () == graded(battery("flooded", rest_voltage_v=12.6)).reduced_readings
