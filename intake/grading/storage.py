"""How long a charged battery may wait on the shelf before it is best sold or charged again."""

import math
from collections.abc import Iterable
from datetime import date, timedelta

from intake.grading.quantities import at_least
from intake.model.battery import Batch, Battery
from intake.model.result import GradedBattery
from intake.model.storage import ShelfLife
from intake.model.units import PERCENT
from intake.model.verdict import Evidence, Grade, Verdict
from intake.policy.grading_policy import GradingPolicy

_WAITS = (Evidence.LONG_HOLD, Evidence.STRENGTH, Evidence.CAPACITY)
"""A hold is over: what the battery keeps of its charge was seen."""


def with_shelf_lives(
    graded: Iterable[GradedBattery], batch: Batch, *, policy: GradingPolicy
) -> tuple[GradedBattery, ...]:
    """Return the batteries of a batch; those that may wait for a buyer with how long."""
    return tuple(
        one
        if one.stands_apart
        else one._replace(shelf_life=shelf_life(one.battery, one.verdict, batch, policy=policy))
        for one in graded
    )


def shelf_life(
    battery: Battery, verdict: Verdict, batch: Batch, *, policy: GradingPolicy
) -> ShelfLife | None:
    """Return until when a battery for resale is best sold or charged again; None before its hold is over.

    None as well while a hold too short to tell shows a fall beyond settling: no day is named on a leak.
    The charge that the last hold reading shows falls by so much a month at the storage temperature, down
    to the mark of its kind: days = month (charge - mark)/loss, no more than the longest storage. The loss
    is the kind's, or the battery's own where the hold shows beyond doubt that it loses more. A battery
    whose capacity was measured is counted from full: its next charge is not written.
    """
    held = verdict.held_charge
    if verdict.grade is not Grade.RESALE or verdict.evidence not in _WAITS or held is None:
        return None
    if verdict.self_discharge is not None and verdict.self_discharge.may_be_a_leak:
        return None
    numbers = policy.storage
    discharged = verdict.evidence is Evidence.CAPACITY
    charge = PERCENT if discharged else held.state_of_charge.value_percent
    mark = numbers.recharge_at_percent[battery.chemistry].value
    loss, measured = _loss_percent_per_month(battery, verdict, policy)
    months = max(charge - mark, 0) / loss
    days = math.floor(min(months * policy.self_discharge.month_days.value, numbers.longest_days.value))
    read_on = None if discharged else _last_read_on(battery, batch)
    return ShelfLife(
        day=None if read_on is None else read_on + timedelta(days=days),
        days=days,
        read_on=read_on,
        charge_percent=charge,
        down_to_percent=mark,
        percent_per_month=loss,
        temperature_c=numbers.temperature_c.value,
        longest_days=int(numbers.longest_days.value),
        measured=measured,
        source=numbers.percent_per_month[battery.chemistry].source,
        status=numbers.percent_per_month[battery.chemistry].status,
    )


def _loss_percent_per_month(battery: Battery, verdict: Verdict, policy: GradingPolicy) -> tuple[float, bool]:
    """Return the faster loss at the storage temperature, and whether it is the battery's own."""
    reference_c = policy.temperature.reference_c.value
    of_kind = policy.storage.percent_per_month[battery.chemistry].value
    seen = verdict.self_discharge
    own = 0.0
    if seen is not None and seen.low > 0:
        read_c = battery.hold_readings[-1].temperature_c
        own = seen.percent_per_month / _faster(reference_c if read_c is None else read_c, policy)
    factor = _faster(policy.storage.temperature_c.value, policy)
    return max(own, of_kind) * factor, own > of_kind


def _faster(temperature_c: float, policy: GradingPolicy) -> float:
    """Return how many times as fast charge is lost as at the reference temperature."""
    numbers = policy.storage
    above_k = temperature_c - policy.temperature.reference_c.value
    per_step = numbers.factor_above if at_least(above_k, 0, policy=policy) else numbers.factor_below
    return math.pow(per_step.value, above_k / numbers.factor_step_k.value)


def _last_read_on(battery: Battery, batch: Batch) -> date:
    """Return the day of the last hold reading; the batch's where neither it nor the charge is dated."""
    last = battery.hold_readings[-1]
    if last.read_at is not None:
        return last.read_at.date()
    if battery.charge_ended is not None:
        return (battery.charge_ended + timedelta(hours=last.after_charge_h)).date()
    return batch.reading_day
