"""A measured discharge against the label."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from intake.grading.cited_sources import basis
from intake.grading.quantities import GRADABLE, at_least, is_certain, limit_to_be_sure, probability_at_least
from intake.grading.remedy_texts import HAND_OVER, REPEAT_TEST
from intake.model.battery import Battery, Chemistry
from intake.model.rules import Rule
from intake.model.verdict import Effect, Step
from intake.policy.cited import CitedValue
from intake.policy.grading_policy import GradingPolicy


class CapacityRatio(NamedTuple):
    """A measured capacity as a share of the rated one at the 20 h rate and 25 degC."""

    value: float
    uncertainty: float


def capacity_ratio(
    *,
    delivered_capacity_ah: float,
    discharge_time_h: float,
    rated_capacity_ah: float,
    temperature_c: float,
    chemistry: Chemistry,
    policy: GradingPolicy,
) -> CapacityRatio:
    """Return a measured discharge as a share of the rated capacity at the 20 h rate and 25 degC.

    q = C (I/I20)^(p-1) / (1 + kappa (T - 25)) / rated, with Peukert's exponent p and kappa by the
    discharge time. The further the current lies from the rated one, the less the exponent is trusted:
    u = hypot(0.03, 0.07 q |ln(I/I20)|) by the policy's defaults.
    """
    capacity = policy.capacity
    long = at_least(discharge_time_h, capacity.long_from_h.value, policy=policy)
    kappa = (capacity.long_coefficient_per_k if long else capacity.short_coefficient_per_k)[chemistry].value
    current_a = delivered_capacity_ah / discharge_time_h
    rated_current_a = rated_capacity_ah / capacity.rating_h.value
    peukert: float = (current_a / rated_current_a) ** (capacity.peukert_exponent[chemistry].value - 1)
    temperature = 1 + kappa * (temperature_c - policy.temperature.reference_c.value)
    ratio = delivered_capacity_ah * peukert / temperature / rated_capacity_ah
    by_rate = (
        capacity.rate_uncertainty.value * ratio * math.log(current_a / rated_current_a) if ratio else 0.0
    )
    return CapacityRatio(ratio, math.hypot(capacity.uncertainty.value, by_rate))


def measured_ratio(battery: Battery, *, policy: GradingPolicy) -> CapacityRatio | None:
    """Return what a capacity test of the battery showed; None without a test that can be used."""
    delivered_ah, rated_ah = battery.delivered_capacity_ah, battery.rated_capacity_ah
    if delivered_ah is None or rated_ah is None or battery.chemistry not in GRADABLE:
        return None
    reference_c = policy.temperature.reference_c.value
    return capacity_ratio(
        delivered_capacity_ah=delivered_ah,
        discharge_time_h=battery.discharge_time_h or policy.capacity.assumed_discharge_h.value,
        rated_capacity_ah=rated_ah,
        temperature_c=reference_c if battery.temperature_c is None else battery.temperature_c,
        chemistry=battery.chemistry,
        policy=policy,
    )


def capacity_is_shown(battery: Battery, *, policy: GradingPolicy) -> bool:
    """Say whether a capacity test shows for certain what a serviceable battery has."""
    ratio = measured_ratio(battery, policy=policy)
    return ratio is not None and is_certain(_reaches(ratio, policy.capacity.low_below, policy), policy=policy)


def capacity_steps(battery: Battery, *, policy: GradingPolicy) -> Iterator[Step]:
    """Yield the rules of a capacity test."""
    ratio = measured_ratio(battery, policy=policy)
    if ratio is None:
        return
    capacity = policy.capacity
    sound = _reaches(ratio, capacity.low_below, policy)
    alive = _reaches(ratio, capacity.spent_below, policy)
    low = not is_certain(sound, policy=policy)
    spent = low and is_certain(1 - alive, policy=policy)
    again = REPEAT_TEST
    for rule, fired, effect, limit, probability, step in (
        (Rule.CAPACITY_LOW, low and not spent, Effect.CAP_RECONDITIONABLE, capacity.low_below, sound, again),
        (
            Rule.CAPACITY_SPENT,
            spent,
            Effect.RECYCLE,
            capacity.spent_below,
            alive,
            HAND_OVER,
        ),
    ):
        yield Step(
            rule=rule,
            fired=fired,
            effect=effect,
            text=(
                f"It delivered {battery.delivered_capacity_ah:g} Ah, {ratio.value:.3f} of the rated "
                f"{battery.rated_capacity_ah:g} Ah at the 20 h rate and 25 °C, u {ratio.uncertainty:.3f}: "
                f"P(≥ {limit.value:g}) = {probability:.3f}."
            ),
            measured=ratio.value,
            limit=limit.value,
            unit="1",
            limit_to_be_sure=limit_to_be_sure(
                limit=limit.value, uncertainty=ratio.uncertainty, policy=policy
            ),
            probability=probability,
            next_step=step,
            **basis(limit, capacity.peukert_exponent[battery.chemistry]),
        )


def _reaches(ratio: CapacityRatio, limit: CitedValue, policy: GradingPolicy) -> float:
    return probability_at_least(
        value_v=ratio.value, limit_v=limit.value, uncertainty_v=ratio.uncertainty, policy=policy
    )
