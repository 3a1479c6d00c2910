"""Voltages at the reference temperature, their standard uncertainties, and probabilities.

Uncertainties combine as the root of the sum of squares (JCGM 100:2008, 5.1.2). Probabilities of
meeting a limit follow JCGM 106:2012, clause 7.
"""

import math
from bisect import bisect_right
from collections.abc import Sequence
from statistics import NormalDist
from typing import NamedTuple

from intake.model.battery import LEAD_ACID, Chemistry
from intake.model.units import PERCENT
from intake.policy.grading_policy import GradingPolicy

_STANDARD_NORMAL = NormalDist()
GRADABLE = LEAD_ACID | {Chemistry.LFP}
"""Chemistries that have tables, so that a voltage says something."""


class Bench(NamedTuple):
    """The policy in force and the accuracy of the meter in use."""

    policy: GradingPolicy
    accuracy_percent: float
    """Part of the meter's accuracy in % of reading."""
    accuracy_volts: float
    """Fixed part of the meter's accuracy in V."""


class ReducedVoltage(NamedTuple):
    """A voltage reduced to the reference temperature."""

    voltage_25c_v: float
    temperature_uncertainty_v: float
    """Standard uncertainty in V from a temperature that was not taken or lies far from the reference."""


def rounded(value: float, *, policy: GradingPolicy) -> float:
    """Round a figure that is about to be compared, so that 1.270 - 1.245 is 0.025."""
    return round(value, int(policy.decision.comparison_decimals.value))


def at_least(value: float, limit: float, *, policy: GradingPolicy) -> bool:
    """Say whether value >= limit once their difference is rounded."""
    return rounded(value - limit, policy=policy) >= 0


def meter_uncertainty_v(*, voltage_v: float, bench: Bench) -> float:
    """Return the meter's standard uncertainty in V at a voltage as read: (a/100 |V| + d)/sqrt(3).

    The accuracy is a rectangular limit (JCGM 100:2008, 4.3.7).
    """
    limit_v = bench.accuracy_percent / PERCENT * abs(voltage_v) + bench.accuracy_volts
    return limit_v / bench.policy.meter.rectangular_divisor.value


def pair_uncertainty_v(*, bench: Bench) -> float:
    """Return the standard uncertainty in V of a difference of two readings of one meter.

    The gain error is common to both and cancels; the fixed part of each remains.
    """
    fixed_v = bench.accuracy_volts / bench.policy.meter.rectangular_divisor.value
    return math.hypot(fixed_v, fixed_v)


def reduce_to_reference(
    *, voltage_v: float, temperature_c: float | None, chemistry: Chemistry, policy: GradingPolicy
) -> ReducedVoltage:
    """Reduce a voltage to 25 degC: V - k (T - 25); without a temperature T = 25 with an uncertainty.

    Outside the policy's band of temperatures the coefficient itself is uncertain, by so much per kelvin.
    """
    numbers = policy.temperature
    if temperature_c is None:
        return ReducedVoltage(voltage_v, numbers.unknown_uncertainty_v.value)
    coefficient = numbers.coefficient_v_per_k[chemistry].value
    outside_k = max(
        0.0, numbers.outside_below_c.value - temperature_c, temperature_c - numbers.outside_above_c.value
    )
    return ReducedVoltage(
        voltage_v - coefficient * (temperature_c - numbers.reference_c.value),
        numbers.outside_uncertainty_v_per_k.value * outside_k,
    )


def with_table(uncertainty_v: float, *, chemistry: Chemistry, policy: GradingPolicy) -> float:
    """Return a standard uncertainty in V with the spread of the open-circuit table added to it."""
    return math.hypot(uncertainty_v, policy.open_circuit.table_uncertainty_v[chemistry].value)


def with_true_charge(uncertainty_v: float, *, chemistry: Chemistry, policy: GradingPolicy) -> float:
    """Return a standard uncertainty in V with how far used blocks lie from the table added to it.

    For the interval of a state of charge alone: acid stronger than the table's and lost capacity let a block
    read above its charge. Limits take the spread of the table (`with_table`).
    """
    return math.hypot(uncertainty_v, policy.open_circuit.interval_uncertainty_v[chemistry].value)


def rest_uncertainty_v(*, rested_h: float, chemistry: Chemistry, policy: GradingPolicy) -> float:
    """Return the standard uncertainty in V left by a rest of so many hours.

    Lead-acid: linear in the logarithm of the time between the policy's points, flat outside. LFP: two steps.
    """
    if chemistry is Chemistry.LFP:
        return lfp_settling_uncertainty_v(after_h=rested_h, policy=policy)
    points = policy.rest.relaxation_uncertainty_v.points
    shortest_h = points[0][0]
    logarithmic = [(math.log(hours), uncertainty_v) for hours, uncertainty_v in points]
    return interpolate(logarithmic, math.log(max(rested_h, shortest_h)))


def lfp_settling_uncertainty_v(*, after_h: float, policy: GradingPolicy) -> float:
    """Return the standard uncertainty in V of an LFP block's voltage so many hours after charge or load."""
    if at_least(after_h, policy.rest.lfp_settled_from_h.value, policy=policy):
        return policy.rest.lfp_settled_uncertainty_v.value
    return policy.rest.lfp_unsettled_uncertainty_v.value


def probability_at_least(
    *, value_v: float, limit_v: float, uncertainty_v: float, policy: GradingPolicy
) -> float:
    """Return P(true value >= limit) for a normal distribution: Phi((V - L)/u); a step where u is 0.

    A value beyond all bounds lies on its side of the limit, however large its uncertainty.
    """
    margin_v = rounded(value_v - limit_v, policy=policy)
    if uncertainty_v == 0 or math.isinf(margin_v):
        return float(margin_v >= 0)
    return _STANDARD_NORMAL.cdf(margin_v / uncertainty_v)


def probability_above(
    *, value_v: float, limit_v: float, uncertainty_v: float, policy: GradingPolicy
) -> float:
    """Return P(true value > limit). It differs from `probability_at_least` only where u is 0."""
    return 1 - probability_at_least(
        value_v=-value_v, limit_v=-limit_v, uncertainty_v=uncertainty_v, policy=policy
    )


def is_certain(probability: float, *, policy: GradingPolicy) -> bool:
    """Say whether a probability reaches 1 - risk limit."""
    return at_least(probability, 1 - policy.decision.risk_limit.value, policy=policy)


def guard_factor(*, policy: GradingPolicy) -> float:
    """Return z, the standard uncertainties between a limit and the reading that is sure of it."""
    return _STANDARD_NORMAL.inv_cdf(1 - policy.decision.risk_limit.value)


def limit_to_be_sure(*, limit: float, uncertainty: float, policy: GradingPolicy) -> float:
    """Return the acceptance limit L + z u (JCGM 106:2012, clause 8), in the limit's unit."""
    return limit + guard_factor(policy=policy) * uncertainty


def interpolate(points: Sequence[tuple[float, float]], x: float) -> float:
    """Interpolate linearly between points of rising x, held at the end values outside."""
    if x <= points[0][0]:
        return points[0][1]
    if x >= points[-1][0]:
        return points[-1][1]
    after = bisect_right(points, x, key=lambda point: point[0])
    (x_low, y_low), (x_high, y_high) = points[after - 1], points[after]
    return y_low + (y_high - y_low) * (x - x_low) / (x_high - x_low)
