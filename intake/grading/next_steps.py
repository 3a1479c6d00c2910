"""The one thing to do next: leave the battery alone while a hold runs, then do the test that is missing."""

from datetime import timedelta

from intake.grading.quantities import at_least
from intake.grading.settling import usable_readings
from intake.model.battery import LEAD_ACID, Battery, Chemistry
from intake.model.rules import Remedy
from intake.model.verdict import HELD, Effect, Evidence, MissingTest, Step
from intake.policy.grading_policy import GradingPolicy

_BEFORE_ANYTHING = (Remedy.MEND_ROW, Remedy.IDENTIFY, Remedy.FILL)
"""What has to be settled before a reading of a hold says anything."""


def next_step_of(battery: Battery, decisive: Step, evidence: Evidence, *, policy: GradingPolicy) -> str:
    """Return the decisive rule's own next step, unless a hold is running or a test is missing."""
    if keeps_standing(battery, decisive, policy=policy):
        return _leave_standing(battery, policy)
    match missing_test(battery, decisive, evidence):
        case MissingTest.LOAD_OR_CRANKING:
            return "Charge it, then test its cranking or do a load test; only then is it a tested battery."
        case MissingTest.CAPACITY:
            kind = "LFP" if battery.chemistry is Chemistry.LFP else "this kind"
            return (
                "Charge it, then measure its capacity by a discharge: "
                f"for {kind} no shorter test tells its strength."
            )
        case MissingTest.BETTER_METER:
            return "Read it again with a better meter: its capacity is measured, its charge is still unclear."
        case _:
            return decisive.next_step


def missing_test(battery: Battery, decisive: Step, evidence: Evidence) -> MissingTest | None:
    """Return the test that a battery wants after twelve hours of a hold, None where it wants none or not yet.

    A resale battery wants cranking or load if it is a starter battery, its capacity else: for any other a
    load of seconds says too little. One whose hold stays unclear wants a better meter, or its capacity as
    long as that is unknown.
    """
    if decisive.effect is Effect.RECYCLE or evidence not in HELD or evidence is Evidence.SHORT_HOLD:
        return None
    match decisive.rule.remedy:
        case Remedy.FOR_SALE if evidence is Evidence.CAPACITY:
            return None
        case Remedy.FOR_SALE if is_starter(battery):
            return MissingTest.LOAD_OR_CRANKING if evidence is Evidence.LONG_HOLD else None
        case Remedy.FOR_SALE:
            return MissingTest.CAPACITY
        case Remedy.HOLD_ON if evidence is Evidence.CAPACITY:
            return MissingTest.BETTER_METER
        case Remedy.HOLD_ON:
            return MissingTest.METER_OR_CAPACITY
        case _:
            return None


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
