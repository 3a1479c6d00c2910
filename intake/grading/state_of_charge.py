"""State of charge from an open-circuit voltage at 25 degC, always with its coverage interval."""

from collections.abc import Sequence

from intake.grading.quantities import (
    GRADABLE,
    Bench,
    interpolate,
    meter_uncertainty_v,
    with_table,
    with_true_charge,
)
from intake.model.battery import Chemistry
from intake.model.units import PERCENT
from intake.model.verdict import StateOfCharge
from intake.policy.grading_policy import GradingPolicy

_Branch = Sequence[tuple[float, float]]


def voltage_at_v(*, state_of_charge_percent: float, chemistry: Chemistry, policy: GradingPolicy) -> float:
    """Return the table's voltage in V at 25 degC (LFP: on the discharge branch)."""
    return interpolate(_after_charge_table(chemistry, policy), state_of_charge_percent)


def state_of_charge_at_rest(
    *, voltage_25c_v: float, uncertainty_v: float, chemistry: Chemistry, policy: GradingPolicy
) -> StateOfCharge:
    """Return the state of charge of a rested block whose history nobody knows.

    The uncertainty is that of the voltage itself. Lead-acid: the table. LFP: every state of charge whose two
    branches bracket the voltage, widened by its uncertainty; the value is the middle of that interval and
    means no more than the interval.
    """
    if chemistry is not Chemistry.LFP:
        return state_of_charge_after_charge(
            voltage_25c_v=voltage_25c_v, uncertainty_v=uncertainty_v, chemistry=chemistry, policy=policy
        )
    interval_v = with_true_charge(uncertainty_v, chemistry=chemistry, policy=policy)
    half_width_v = policy.decision.coverage_factor.value * interval_v
    low = _lowest_percent(policy.open_circuit.lfp_charge_branch.points, voltage_25c_v - half_width_v)
    high = _highest_percent(policy.open_circuit.lfp_discharge_branch.points, voltage_25c_v + half_width_v)
    return StateOfCharge(
        value_percent=low + (high - low) / (1 + 1),
        low_percent=low,
        high_percent=high,
        voltage_25c_v=voltage_25c_v,
        standard_uncertainty_v=with_table(uncertainty_v, chemistry=chemistry, policy=policy),
        interval_uncertainty_v=interval_v,
        interval_only=True,
    )


def state_of_charge_after_charge(
    *, voltage_25c_v: float, uncertainty_v: float, chemistry: Chemistry, policy: GradingPolicy
) -> StateOfCharge:
    """Return the state of charge on the table (LFP: on the discharge branch, down which it discharges)."""
    table = _after_charge_table(chemistry, policy)
    interval_v = with_true_charge(uncertainty_v, chemistry=chemistry, policy=policy)
    half_width_v = policy.decision.coverage_factor.value * interval_v
    return StateOfCharge(
        value_percent=_lowest_percent(table, voltage_25c_v),
        low_percent=_lowest_percent(table, voltage_25c_v - half_width_v),
        high_percent=_highest_percent(table, voltage_25c_v + half_width_v),
        voltage_25c_v=voltage_25c_v,
        standard_uncertainty_v=with_table(uncertainty_v, chemistry=chemistry, policy=policy),
        interval_uncertainty_v=interval_v,
    )


def meter_worth_percent(*, chemistry: Chemistry, bench: Bench) -> float:
    """Return the half-width of the 95 % interval in % state of charge that the meter alone leaves.

    The meter's coverage interval at the policy's voltage, over the mean slope of the chemistry's table
    (LFP: the mean slope of the discharge branch over the policy's plateau).
    """
    policy = bench.policy
    half_width_v = policy.decision.coverage_factor.value * meter_uncertainty_v(
        voltage_v=policy.meter.worth_at_v.value, bench=bench
    )
    if chemistry is Chemistry.LFP:
        marks = (
            policy.meter.lfp_plateau_from_percent.value,
            policy.meter.lfp_plateau_to_percent.value,
        )
    else:
        marks = (0.0, PERCENT)
    low_v, high_v = (
        voltage_at_v(state_of_charge_percent=mark, chemistry=chemistry, policy=policy) for mark in marks
    )
    return half_width_v * (marks[1] - marks[0]) / (high_v - low_v)


def _after_charge_table(chemistry: Chemistry, policy: GradingPolicy) -> _Branch:
    if chemistry not in GRADABLE:
        raise KeyError(f"no open-circuit table for chemistry {chemistry}")
    if chemistry is Chemistry.LFP:
        return policy.open_circuit.lfp_discharge_branch.points
    return policy.open_circuit.lead_acid[chemistry].points


def _lowest_percent(table: _Branch, voltage_v: float) -> float:
    if voltage_v < table[0][1]:
        return 0.0
    return _highest_percent(table, voltage_v)


def _highest_percent(table: _Branch, voltage_v: float) -> float:
    return interpolate([(voltage, percent) for percent, voltage in table], voltage_v)
