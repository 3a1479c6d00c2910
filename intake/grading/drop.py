"""The drop of a hold: what the voltage of two readings fell by beyond settling."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from intake.grading.cited_sources import basis
from intake.grading.quantities import (
    Bench,
    at_least,
    guard_factor,
    is_certain,
    limit_to_be_sure,
    pair_uncertainty_v,
    probability_above,
)
from intake.grading.remedy_texts import HAND_OVER
from intake.grading.settling import Hold, default_slope
from intake.model.battery import LEVELLED, Chemistry, HoldReading
from intake.model.rules import Rule
from intake.model.shown import shown_c, shown_h
from intake.model.verdict import Effect, Step
from intake.policy.grading_policy import GradingPolicy


class Pair(NamedTuple):
    """The two readings of a hold over which its drop is judged. Voltages in V at 25 degC."""

    first: HoldReading
    last: HoldReading
    first_v: float
    last_v: float

    @property
    def efolds(self) -> float:
        """ln(t2/t1)."""
        return math.log(self.last.after_charge_h / self.first.after_charge_h)


def pair_of(hold: Hold, *, policy: GradingPolicy) -> Pair | None:
    """Return the pair: the latest reading, and the earliest that is settled and far enough before it."""
    last = hold.last
    for first, first_v in zip(hold.readings, hold.voltages_v, strict=True):
        if _late(first, last, policy):
            return Pair(first, last, first_v, hold.last_v)
    for first, first_v in zip(hold.readings, hold.voltages_v, strict=True):
        if _early(first, last, hold.chemistry, policy):
            return Pair(first, last, first_v, hold.last_v)
    return None


def _late(first: HoldReading, last: HoldReading, policy: GradingPolicy) -> bool:
    span_h = last.after_charge_h - first.after_charge_h
    return at_least(first.after_charge_h, policy.hold.pair_late_from_h.value, policy=policy) and at_least(
        span_h, policy.hold.pair_span_from_h.value, policy=policy
    )


def _early(first: HoldReading, last: HoldReading, chemistry: Chemistry, policy: GradingPolicy) -> bool:
    lithium = chemistry is Chemistry.LFP
    from_h = policy.hold.lfp_pair_early_from_h if lithium else policy.hold.pair_early_from_h
    ratio = last.after_charge_h / first.after_charge_h
    return at_least(first.after_charge_h, from_h.value, policy=policy) and at_least(
        ratio, policy.hold.pair_ratio.value, policy=policy
    )


def comparable(one: HoldReading, other: HoldReading, *, policy: GradingPolicy) -> bool:
    """Say whether two readings were taken at temperatures near enough; an unknown one counts as equal."""
    if one.temperature_c is None or other.temperature_c is None:
        return True
    apart_k = abs(one.temperature_c - other.temperature_c)
    return at_least(policy.hold.temperature_apart_k.value, apart_k, policy=policy)


def levelling(chemistry: Chemistry) -> str:
    """Return the words for a full charge and bringing the cells level, in the order of the bench.

    Where the cells do not open a recovery comes first and nothing is equalised.
    """
    if chemistry not in LEVELLED:
        return "Recover it at low current (its cells do not open: no equalising), charge it fully"
    return f"Charge it fully, {'balance its cells' if chemistry is Chemistry.LFP else 'equalise it'}"


def drop_steps(hold: Hold, *, bench: Bench) -> Iterator[Step]:
    """Yield the rules of the drop, or the note why none is judged."""
    policy = bench.policy
    pair = pair_of(hold, policy=policy)
    if pair is None:
        return
    if comparable(pair.first, pair.last, policy=policy):
        yield from _judged(hold, pair, bench)
    else:
        yield _not_judged(pair, policy)


def _surface_charge_v(hold: Hold, pair: Pair, policy: GradingPolicy) -> float:
    """Return by how much an LFP block first read above what it keeps of its charge; that part is no drop.

    Counted from there, and not left out, a larger fall never grades better.
    """
    if hold.chemistry is not Chemistry.LFP:
        return 0.0
    return max(0.0, pair.first.voltage_v - policy.hold.lfp_drop_first_at_most_v.value)


def _not_judged(pair: Pair, policy: GradingPolicy) -> Step:
    limit = policy.hold.temperature_apart_k
    first, last = pair.first, pair.last
    temperatures = [shown_c(one.temperature_c) for one in (first, last) if one.temperature_c is not None]
    return Step(
        rule=Rule.HOLD_DROP_NOT_JUDGED,
        fired=True,
        effect=Effect.NOTE,
        text=(
            f"The readings at {shown_h(first.after_charge_h)} and {shown_h(last.after_charge_h)} h were "
            f"taken at {' and '.join(temperatures)} °C, more than {limit.value:g} K apart: no drop is judged."
        ),
        **basis(limit),
    )


def _again_h(pair: Pair, policy: GradingPolicy) -> float:
    """Return the hours at which another reading tells: a multiple of the first's, else a day on."""
    hold = policy.hold
    times_h = hold.drop_again_times.value * pair.first.after_charge_h
    if at_least(pair.last.after_charge_h, times_h, policy=policy):
        return pair.last.after_charge_h + hold.pair_span_from_h.value
    return times_h


def _judged(hold: Hold, pair: Pair, bench: Bench) -> Iterator[Step]:
    policy = bench.policy
    slope = default_slope(hold.chemistry, policy=policy)
    allowed_v = slope.v_per_efold * pair.efolds + _surface_charge_v(hold, pair, policy)
    fell_v = pair.first_v - pair.last_v
    excess_v = fell_v - allowed_v
    uncertainty_v = math.hypot(pair_uncertainty_v(bench=bench), slope.uncertainty_v * pair.efolds)
    if hold.chemistry is Chemistry.LFP:
        settled_v = policy.rest.lfp_settled_uncertainty_v.value
        uncertainty_v = math.hypot(uncertainty_v, settled_v, settled_v)
    fails_v, high_v = policy.hold.drop_fails_v, policy.hold.drop_high_v
    too_far, far = (
        probability_above(value_v=excess_v, limit_v=one.value, uncertainty_v=uncertainty_v, policy=policy)
        for one in (fails_v, high_v)
    )
    fails = is_certain(too_far, policy=policy)
    again_h = _again_h(pair, policy)
    guard_v = guard_factor(policy=policy) * uncertainty_v
    head = (
        f"It fell {fell_v:.3f} V from {shown_h(pair.first.after_charge_h)} "
        f"to {shown_h(pair.last.after_charge_h)} h; settling accounts for {allowed_v:.3f} V, "
        f"{excess_v:.3f} V is beyond it, u {uncertainty_v:.4f} V:"
    )
    for rule, fired, effect, limit, sure_v, probability, said, step in (
        (
            Rule.HOLD_DROP_FAILS,
            fails,
            Effect.RECYCLE,
            fails_v,
            fails_v.value + guard_v,
            too_far,
            f"P(> {fails_v.value:g} V) = {too_far:.3f}.",
            HAND_OVER,
        ),
        (
            Rule.HOLD_DROP_UNCLEAR,
            not fails and not is_certain(1 - too_far, policy=policy),
            Effect.UNRESOLVED,
            fails_v,
            fails_v.value - guard_v,
            1 - too_far,
            f"P(≤ {fails_v.value:g} V) = {1 - too_far:.3f}.",
            f"Leave it standing, do not charge it, and read it again at {shown_h(again_h)} h or later.",
        ),
        (
            Rule.HOLD_DROP_HIGH,
            not fails and is_certain(far, policy=policy),
            Effect.CAP_RECONDITIONABLE,
            high_v,
            limit_to_be_sure(limit=high_v.value, uncertainty=uncertainty_v, policy=policy),
            far,
            f"P(> {high_v.value:g} V) = {far:.3f}.",
            f"{levelling(hold.chemistry)}, and hold-test it again over a day or longer.",
        ),
    ):
        yield Step(
            rule=rule,
            fired=fired,
            effect=effect,
            text=f"{head} {said}",
            measured=excess_v,
            limit=limit.value,
            unit="V",
            limit_to_be_sure=sure_v,
            probability=probability,
            next_step=step,
            again_after_h=again_h if rule is Rule.HOLD_DROP_UNCLEAR else None,
            **basis(limit, policy.hold.slope_v_per_efold[hold.chemistry]),
        )
