"""The hold test: open-circuit readings after a full charge, against settling and the chemistry's limits."""

import math
from collections.abc import Iterator

from intake.grading.cited_sources import Basis, basis
from intake.grading.drop import drop_steps, levelling
from intake.grading.leak import leak_steps
from intake.grading.quantities import (
    Bench,
    at_least,
    guard_factor,
    is_certain,
    limit_to_be_sure,
    pair_uncertainty_v,
    probability_at_least,
)
from intake.grading.remedy_texts import HAND_OVER, METER_OR_CAPACITY, OFFER
from intake.grading.settling import Hold, evaluate_hold, usable_readings
from intake.grading.state_of_charge import voltage_at_v
from intake.model.battery import LEAD_ACID, Battery, Chemistry
from intake.model.rules import Rule
from intake.model.shown import shown_h
from intake.model.verdict import Effect, MissedMark, Step
from intake.policy.cited import CitedTable, CitedValue
from intake.policy.grading_policy import GradingPolicy

_HOLD_ON = "Leave it standing, do not charge it, and read it again at twelve hours after the charge."


def hold_steps(battery: Battery, *, bench: Bench) -> Iterator[Step]:
    """Yield the hold test's rules in their listing order."""
    if not battery.hold_readings:
        return
    yield _too_soon(battery, bench.policy)
    hold = evaluate_hold(battery, bench=bench)
    if hold is None:
        return
    if hold.chemistry in LEAD_ACID:
        yield from _cell_down(hold, bench.policy)
    yield from _contradicts(hold, bench)
    yield from drop_steps(hold, bench=bench)
    yield from leak_steps(hold, bench=bench)
    yield from _level(hold, bench.policy)


def _too_soon(battery: Battery, policy: GradingPolicy) -> Step:
    limit = policy.hold.shortest_h
    last = battery.hold_readings[-1]
    unused = len(battery.hold_readings) - len(usable_readings(battery, policy=policy))
    early = f" {unused} earlier reading(s) are listed and not used." if unused else ""
    return Step(
        rule=Rule.HOLD_TOO_SOON,
        fired=unused == len(battery.hold_readings),
        effect=Effect.UNRESOLVED,
        text=(
            f"The last hold reading is {shown_h(last.after_charge_h)} h after the charge; "
            f"readings count from {limit.value:g} h.{early}"
        ),
        measured=last.after_charge_h,
        limit=limit.value,
        unit="h",
        next_step="Wait until half an hour after the end of charge, then read the open-circuit voltage.",
        **basis(limit),
    )


def _cell_down(hold: Hold, policy: GradingPolicy) -> Iterator[Step]:
    low, high = policy.hold.cell_down_from_v, policy.hold.cell_down_to_v
    if at_least(hold.last.after_charge_h, policy.hold.cell_down_from_h.value, policy=policy):
        yield Step(
            rule=Rule.HOLD_CELL_DOWN,
            fired=at_least(hold.last_v, low.value, policy=policy)
            and at_least(high.value, hold.last_v, policy=policy),
            effect=Effect.RECYCLE,
            text=(
                f"{hold.last_v:.3f} V at 25 °C, {shown_h(hold.last.after_charge_h)} h after a full charge; "
                f"from {low.value:g} to {high.value:g} V one cell is down."
            ),
            measured=hold.last_v,
            limit=high.value,
            unit="V",
            next_step=HAND_OVER,
            **basis(low, high),
        )


def _contradicts(hold: Hold, bench: Bench) -> Iterator[Step]:
    """Compare every reading with the lowest before it: a resting block does not rise."""
    if len(hold.readings) == 1:
        return
    policy = bench.policy
    allowance = policy.hold.rise_allowance_v
    limit_v = guard_factor(policy=policy) * pair_uncertainty_v(bench=bench) + allowance.value
    lowest_v, rise_v, after_h = hold.voltages_v[0], -math.inf, 0.0
    for reading, voltage_v in zip(hold.readings[1:], hold.voltages_v[1:], strict=True):
        if voltage_v - lowest_v > rise_v:
            rise_v, after_h = voltage_v - lowest_v, reading.after_charge_h
        lowest_v = min(lowest_v, voltage_v)
    again_h = hold.last.after_charge_h + policy.hold.pair_span_from_h.value
    yield Step(
        rule=Rule.HOLD_CONTRADICTS,
        fired=not at_least(limit_v, rise_v, policy=policy),
        effect=Effect.UNRESOLVED,
        text=(
            f"The reading at {shown_h(after_h)} h lies {rise_v:+.3f} V from the lowest one before it, "
            f"at 25 °C; a resting battery does not rise, and the meter explains {limit_v:.3f} V."
        ),
        measured=rise_v,
        limit=limit_v,
        unit="V",
        next_step=(
            "Check the hours of the readings, take everything off the posts, let it stand, and read it again "
            f"at {again_h:g} h or later."
        ),
        again_after_h=again_h,
        **basis(allowance),
    )


def _level(hold: Hold, policy: GradingPolicy) -> Iterator[Step]:
    high_percent = policy.hold.high_state_of_charge_percent
    middle_percent = policy.hold.middle_state_of_charge_percent
    high_v, high = _at_least_mark(hold, high_percent, policy)
    middle_v, middle = _at_least_mark(hold, middle_percent, policy)
    is_high = is_certain(high, policy=policy)
    is_middle = not is_high and is_certain(middle, policy=policy)
    is_low = is_certain(1 - middle, policy=policy)
    long = at_least(hold.last.after_charge_h, policy.hold.long_from_h.value, policy=policy)
    unclear = not (is_high or is_middle or is_low)
    low_effect = Effect.RECYCLE if long else Effect.UNRESOLVED
    low_next = HAND_OVER if long else _HOLD_ON
    unclear_next = METER_OR_CAPACITY if long else _HOLD_ON
    sell_next = OFFER
    again = f"{levelling(hold.chemistry)}, and hold-test it again."
    head = _settled_text(hold)
    rests_on = _level_basis(hold, policy)
    high_sure_v, middle_sure_v = (
        limit_to_be_sure(limit=limit_v, uncertainty=hold.uncertainty_v, policy=policy)
        for limit_v in (high_v, middle_v)
    )
    not_high = MissedMark(high_percent.value, high_v, high_sure_v, high)
    for rule, fired, effect, limit_v, mark, probability, step in (
        (Rule.HOLD_HIGH, is_high, Effect.CAP_RESALE, high_v, high_percent, high, sell_next),
        (Rule.HOLD_MIDDLE, is_middle, Effect.CAP_RECONDITIONABLE, middle_v, middle_percent, middle, again),
        (Rule.HOLD_LOW, is_low, low_effect, middle_v, middle_percent, middle, low_next),
        (Rule.HOLD_UNCLEAR, unclear, Effect.UNRESOLVED, middle_v, middle_percent, middle, unclear_next),
    ):
        yield Step(
            rule=rule,
            fired=fired,
            effect=effect,
            text=f"{head} P(≥ {limit_v:.3f} V, that is {mark.value:g} % charge) = {probability:.3f}.",
            measured=hold.settled_v,
            limit=limit_v,
            unit="V",
            limit_to_be_sure=high_sure_v if rule is Rule.HOLD_HIGH else middle_sure_v,
            charge_percent=mark.value,
            missed=not_high if rule is Rule.HOLD_MIDDLE else None,
            probability=probability,
            next_step=step,
            **rests_on,
        )


def _at_least_mark(hold: Hold, mark: CitedValue, policy: GradingPolicy) -> tuple[float, float]:
    """Return the voltage of a state of charge, and the probability that the hold settles at or above it."""
    limit_v = voltage_at_v(state_of_charge_percent=mark.value, chemistry=hold.chemistry, policy=policy)
    return limit_v, probability_at_least(
        value_v=hold.settled_v, limit_v=limit_v, uncertainty_v=hold.uncertainty_v, policy=policy
    )


def _settled_text(hold: Hold) -> str:
    read = (
        f"{hold.last.voltage_v:g} V at {shown_h(hold.last.after_charge_h)} h, at 25 °C {hold.last_v:.3f} V;"
    )
    whose = "its own, weighed with the chemistry's" if hold.slope.is_own else "the chemistry's"
    settles = hold.settled_v != hold.last_v
    slope = f" slope {hold.slope.v_per_efold:.4f} V per e-fold ({whose}):" if settles else ""
    return f"{read}{slope} settles at {hold.settled_v:.3f} V, u {hold.uncertainty_v:.4f} V:"


def _level_basis(hold: Hold, policy: GradingPolicy) -> Basis:
    if hold.chemistry is Chemistry.LFP:
        return basis(policy.open_circuit.lfp_discharge_branch)
    cited: list[CitedTable | CitedValue] = [policy.open_circuit.lead_acid[hold.chemistry]]
    if hold.settled_v != hold.last_v:
        cited.append(policy.hold.slope_v_per_efold[hold.chemistry])
    return basis(*cited)
