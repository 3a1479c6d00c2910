"""One battery through all rules."""

from intake.grading.capacity_test import measured_ratio
from intake.grading.decision import grade_of, handling_of, reasons_in_order
from intake.grading.hold_test import hold_steps
from intake.grading.leak import self_discharge
from intake.grading.load_test import load_test_counts
from intake.grading.next_steps import again_after_h, missing_test, next_step_of
from intake.grading.quantities import Bench, at_least
from intake.grading.rest_screen import rest_reading, rest_steps
from intake.grading.safety_gates import safety_steps
from intake.grading.settling import evaluate_hold, held_charge, reduced_readings, usable_readings
from intake.grading.state_of_charge import state_of_charge_at_rest
from intake.grading.strength_tests import strength_steps
from intake.model.battery import Battery
from intake.model.rules import Rule
from intake.model.verdict import Effect, Evidence, StateOfCharge, Step, Verdict
from intake.policy.grading_policy import GradingPolicy

_OF_A_HOLD = (Rule.HOLD_CELL_DOWN, Rule.HOLD_DROP_FAILS, Rule.HOLD_LOW)
"""The rules by which a hold condemns a battery."""


def grade_battery(
    battery: Battery, *, accuracy_percent: float, accuracy_volts: float, policy: GradingPolicy
) -> Verdict:
    """Grade one battery.

    Parameters
    ----------
    battery
        The typed row with its hold readings joined in.
    accuracy_percent
        The meter's accuracy, the part in % of reading.
    accuracy_volts
        The meter's accuracy, the fixed part in V.
    policy
        Every number the rules use.

    Returns
    -------
    Verdict
        Grade, evidence, handling, next step, and all steps, fired or not.
    """
    bench = Bench(policy, accuracy_percent, accuracy_volts)
    steps = (
        *safety_steps(battery, policy=policy),
        *rest_steps(battery, bench=bench),
        *hold_steps(battery, bench=bench),
        *strength_steps(battery, bench=bench),
    )
    reasons = reasons_in_order(steps)
    evidence = evidence_of(battery, policy=policy)
    hold = evaluate_hold(battery, bench=bench)
    return Verdict(
        grade=grade_of(reasons[0]),
        evidence=evidence,
        handling=handling_of(steps, chemistry=battery.chemistry),
        next_step=next_step_of(battery, reasons[0], evidence, policy=policy),
        again_after_h=again_after_h(battery, reasons[0], policy=policy),
        missing_test=missing_test(battery, reasons[0], evidence),
        steps=steps,
        reasons=reasons,
        state_of_charge=_state_of_charge(battery, bench),
        held_charge=held_charge(hold, policy=policy) if hold else None,
        self_discharge=self_discharge(hold, bench=bench) if hold else None,
        warnings=_contradictions(steps),
        reduced_readings=reduced_readings(battery, bench=bench),
    )


def evidence_of(battery: Battery, *, policy: GradingPolicy) -> Evidence:
    """Return what the readings can carry, whatever the verdict."""
    readings = usable_readings(battery, policy=policy)
    if not readings:
        return Evidence.NONE if battery.rest_voltage_v is None else Evidence.REST_ONLY
    if not at_least(readings[-1].after_charge_h, policy.hold.long_from_h.value, policy=policy):
        return Evidence.SHORT_HOLD
    if measured_ratio(battery, policy=policy) is not None:
        return Evidence.CAPACITY
    cranked = battery.measured_cca_a is not None and battery.rated_cca_a is not None
    if cranked or load_test_counts(battery, policy=policy):
        return Evidence.STRENGTH
    return Evidence.LONG_HOLD


def _state_of_charge(battery: Battery, bench: Bench) -> StateOfCharge | None:
    reading = rest_reading(battery, bench=bench)
    if reading is None:
        return None
    return state_of_charge_at_rest(
        voltage_25c_v=reading.voltage_25c_v,
        uncertainty_v=reading.uncertainty_v,
        chemistry=battery.chemistry,
        policy=bench.policy,
    )


def _contradictions(steps: tuple[Step, ...]) -> tuple[str, ...]:
    """Name a hold and a load test that speak against each other."""
    load = next((step for step in steps if step.rule is Rule.LOAD_TEST_FAILS), None)
    holds = {step.rule for step in steps if step.fired}
    spent = any(step.fired and step.effect is Effect.RECYCLE and step.rule in _OF_A_HOLD for step in steps)
    if load and load.fired and Rule.HOLD_HIGH in holds:
        return (
            "The hold is high but the load test fails: look at the connections and repeat the load test.",
        )
    if load and not load.fired and spent:
        return ("The hold fails but the load test passes: check the hold readings and repeat the hold.",)
    return ()
