"""The one thing to do next: leave the battery alone while a hold runs, then do the test that is missing."""

from datetime import timedelta

from intake.grading.quantities import at_least
from intake.grading.remedy_texts import OFFER
from intake.grading.settling import usable_readings
from intake.model.battery import LEAD_ACID, Battery, Chemistry
from intake.model.rules import Remedy
from intake.model.verdict import Effect, Evidence, Step
from intake.policy.grading_policy import GradingPolicy

_BEFORE_ANYTHING = (Remedy.MEND_ROW, Remedy.IDENTIFY, Remedy.FILL)
"""What has to be settled before a reading of a hold says anything."""


def next_step_of(battery: Battery, decisive: Step, evidence: Evidence, *, policy: GradingPolicy) -> str:
    """Return the decisive rule's own next step, unless a hold is running or a strength test is missing."""
    if keeps_standing(battery, decisive, policy=policy):
        return _leave_standing(battery, policy)
    if decisive.rule.remedy is Remedy.FOR_SALE:
        return _before_sale(battery, evidence)
    return decisive.next_step


def again_after_h(battery: Battery, decisive: Step, *, policy: GradingPolicy) -> float | None:
    """Return the hours after the charge of the next hold reading, None where the next step asks for none."""
    if keeps_standing(battery, decisive, policy=policy):
        return policy.hold.long_from_h.value
    return decisive.again_after_h


def keeps_standing(battery: Battery, decisive: Step, *, policy: GradingPolicy) -> bool:
    """Say whether a hold is running: read before the hours of a long one, and nothing condemns it."""
    if not battery.hold_readings or decisive.effect is Effect.RECYCLE:
        return False
    if decisive.rule.remedy in _BEFORE_ANYTHING:
        return False
    long_from_h = policy.hold.long_from_h.value
    return not at_least(battery.hold_readings[-1].after_charge_h, long_from_h, policy=policy)


def is_starter(battery: Battery) -> bool:
    """Say whether it is a starter battery: lead-acid with a cranking current on its label."""
    return battery.chemistry in LEAD_ACID and battery.rated_cca_a is not None


def _leave_standing(battery: Battery, policy: GradingPolicy) -> str:
    long_h, short_h = policy.hold.long_from_h.value, policy.hold.shortest_h.value
    when = f"at {long_h:g} h after the charge"
    if battery.charge_ended is not None:
        clock = battery.charge_ended + timedelta(hours=long_h)
        when += f", {clock:%Y-%m-%d %H:%M}"
    if not usable_readings(battery, policy=policy):
        when = f"at {short_h:g} h and {when}"
    return f"Leave it standing, do not charge it, and read it again {when}."


def _before_sale(battery: Battery, evidence: Evidence) -> str:
    """Name the strength test that is missing: cranking or load for a starter battery, capacity for others."""
    starter = is_starter(battery)
    if evidence is Evidence.CAPACITY or (starter and evidence is Evidence.STRENGTH):
        return OFFER
    if starter:
        return "Charge it, then test its cranking or do a load test; only then is it a tested battery."
    kind = "LFP" if battery.chemistry is Chemistry.LFP else "this kind"
    return (
        f"Charge it, then measure its capacity by a discharge: for {kind} no shorter test tells its strength."
    )
