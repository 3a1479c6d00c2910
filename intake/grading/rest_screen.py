"""The rest screen: what an open-circuit voltage after a rest can say.

It decides only while the battery has no hold reading at all, and not where it was never filled with acid.
``lfp-overdischarged`` counts always.
"""

import math
from collections.abc import Iterator
from typing import NamedTuple

from intake.grading.capacity_test import capacity_is_shown, measured_ratio
from intake.grading.cited_sources import basis
from intake.grading.quantities import (
    GRADABLE,
    Bench,
    at_least,
    is_certain,
    limit_to_be_sure,
    meter_uncertainty_v,
    probability_at_least,
    reduce_to_reference,
    rest_uncertainty_v,
)
from intake.grading.remedy_texts import HAND_OVER, HAND_OVER_UNCHARGED
from intake.grading.state_of_charge import voltage_at_v
from intake.model.battery import LEAD_ACID, Battery, Chemistry, Use
from intake.model.rules import Rule
from intake.model.shown import shown_h
from intake.model.units import PERCENT
from intake.model.verdict import Effect, Handling, Step
from intake.policy.cited import CitedValue
from intake.policy.grading_policy import GradingPolicy

_HOLD_TEST = "charge it fully, let it settle, and hold-test it: read at three hours and at twelve hours."

_PREPARE = (
    "It is unused: give it a preparation charge of an hour at most, let it rest for half an hour, then "
    "hold-test it: read at three hours and at twelve hours."
)


class RestReading(NamedTuple):
    """A rest voltage at 25 degC with its standard uncertainty, in V."""

    voltage_v: float
    voltage_25c_v: float
    uncertainty_v: float
    rested_h: float


def rest_reading(battery: Battery, *, bench: Bench) -> RestReading | None:
    """Reduce the rest voltage; None without one or for a chemistry that has no table."""
    if battery.rest_voltage_v is None or battery.chemistry not in GRADABLE:
        return None
    policy = bench.policy
    rested_h = policy.rest.assumed_rested_h.value if battery.rested_h is None else battery.rested_h
    reduced = reduce_to_reference(
        voltage_v=battery.rest_voltage_v,
        temperature_c=battery.temperature_c,
        chemistry=battery.chemistry,
        policy=policy,
    )
    uncertainty_v = math.hypot(
        meter_uncertainty_v(voltage_v=battery.rest_voltage_v, bench=bench),
        reduced.temperature_uncertainty_v,
        rest_uncertainty_v(rested_h=rested_h, chemistry=battery.chemistry, policy=policy),
    )
    return RestReading(battery.rest_voltage_v, reduced.voltage_25c_v, uncertainty_v, rested_h)


def rest_steps(battery: Battery, *, bench: Bench) -> Iterator[Step]:
    """Yield the rest screen's rules in their listing order."""
    policy = bench.policy
    voltage_v = battery.rest_voltage_v
    dry = battery.use is Use.UNUSED_DRY and battery.chemistry is not Chemistry.LFP
    if battery.hold_readings or dry:
        if voltage_v is not None and battery.chemistry is Chemistry.LFP:
            yield from _lfp_overdischarged(battery, voltage_v, policy)
        return
    yield _no_reading(battery)
    if voltage_v is None:
        return
    yield _reversed(voltage_v, policy)
    reading = rest_reading(battery, bench=bench)
    if reading is not None:
        yield _implausible(battery, reading, policy)
    yield _not_rested(battery, policy)
    if battery.chemistry in LEAD_ACID:
        yield _no_voltage(voltage_v, policy)
    if battery.chemistry is Chemistry.LFP:
        yield _bms_may_be_open(battery, voltage_v, policy)
        yield from _lfp_overdischarged(battery, voltage_v, policy)
        yield _lfp_deep(voltage_v, policy)
    if reading is not None:
        yield from _screen(battery, reading, bench)


def _no_reading(battery: Battery) -> Step:
    missing = battery.rest_voltage_v is None
    return Step(
        rule=Rule.NO_READING,
        fired=missing,
        effect=Effect.UNRESOLVED,
        text="There is neither a rest voltage nor a hold reading." if missing else "A rest voltage was read.",
        source="Nothing can be said without a reading",
        status="common practice",
        next_step="Measure the rest voltage after a rest of a day, or at least two hours.",
    )


def _reversed(voltage_v: float, policy: GradingPolicy) -> Step:
    rest = policy.rest
    return Step(
        rule=Rule.READING_REVERSED,
        fired=at_least(rest.reversed_at_most_v.value, voltage_v, policy=policy),
        effect=Effect.UNRESOLVED,
        text=f"The rest voltage is {voltage_v:g} V; reversed is {rest.reversed_at_most_v.value:g} V or less.",
        measured=voltage_v,
        limit=rest.reversed_at_most_v.value,
        unit="V",
        next_step="Swap the meter's leads and read again; if the sign stays, one or more cells are reversed.",
        **basis(rest.reversed_at_most_v),
    )


def _implausible(battery: Battery, reading: RestReading, policy: GradingPolicy) -> Step:
    """Judge by the voltage as read, and after a long rest by how far it lies above a full block."""
    rest = policy.rest
    measured_v, cited = reading.voltage_v, [rest.highest_v[battery.chemistry]]
    limit_v = cited[0].value
    text = f"The rest voltage is {measured_v:g} V; above {limit_v:g} V it is no open-circuit voltage."
    too_high = not at_least(limit_v, measured_v, policy=policy)
    if not too_high and _has_rested_long(battery, policy):
        measured_v, limit_v = reading.voltage_25c_v, _highest_after_rest_v(battery.chemistry, policy)
        cited = [rest.implausible_above_full_v, rest.implausible_rested_from_h]
        text = (
            f"After {shown_h(reading.rested_h)} h the rest voltage is {measured_v:.3f} V at 25 °C; above "
            f"{limit_v:.2f} V something still charges it."
        )
        too_high = not at_least(limit_v, measured_v, policy=policy)
    return Step(
        rule=Rule.READING_IMPLAUSIBLE,
        fired=too_high,
        effect=Effect.UNRESOLVED,
        text=text,
        measured=measured_v,
        limit=limit_v,
        unit="V",
        next_step="Disconnect everything, let it rest, and measure the rest voltage again.",
        **basis(*cited),
    )


def _has_rested_long(battery: Battery, policy: GradingPolicy) -> bool:
    if battery.chemistry not in LEAD_ACID or battery.rested_h is None:
        return False
    return at_least(battery.rested_h, policy.rest.implausible_rested_from_h.value, policy=policy)


def _highest_after_rest_v(chemistry: Chemistry, policy: GradingPolicy) -> float:
    full_v = voltage_at_v(state_of_charge_percent=float(PERCENT), chemistry=chemistry, policy=policy)
    return full_v + policy.rest.implausible_above_full_v.value


def _not_rested(battery: Battery, policy: GradingPolicy) -> Step:
    rest = policy.rest
    limit = rest.shortest_rested_h
    rested_h = battery.rested_h
    known = rested_h if rested_h is not None else rest.assumed_rested_h.value
    told = f"{shown_h(known)} h" if rested_h is not None else f"an unstated time, taken as {shown_h(known)} h"
    return Step(
        rule=Rule.NOT_RESTED,
        fired=rested_h is not None and not at_least(rested_h, limit.value, policy=policy),
        effect=Effect.UNRESOLVED,
        text=f"It rested {told}; a rest voltage counts from {limit.value:g} h.",
        measured=known,
        limit=limit.value,
        unit="h",
        next_step="Let it rest, two hours at least and better a day, then measure the rest voltage again.",
        **basis(limit),
    )


def _no_voltage(voltage_v: float, policy: GradingPolicy) -> Step:
    rest = policy.rest
    return Step(
        rule=Rule.NO_VOLTAGE,
        fired=_between(rest.reversed_at_most_v, voltage_v, rest.no_voltage_below_v, policy),
        effect=Effect.RECYCLE,
        text=f"The block shows {voltage_v:g} V; no voltage is under {rest.no_voltage_below_v.value:g} V.",
        measured=voltage_v,
        limit=rest.no_voltage_below_v.value,
        unit="V",
        next_step=HAND_OVER,
        **basis(rest.no_voltage_below_v),
    )


def _between(above: CitedValue, voltage_v: float, below: CitedValue, policy: GradingPolicy) -> bool:
    """Say whether a voltage lies strictly between two limits."""
    return not at_least(above.value, voltage_v, policy=policy) and not at_least(
        voltage_v, below.value, policy=policy
    )


def _bms_open(voltage_v: float, policy: GradingPolicy) -> bool:
    return _between(policy.rest.reversed_at_most_v, voltage_v, policy.rest.lfp_bms_open_below_v, policy)


def _bms_may_be_open(battery: Battery, voltage_v: float, policy: GradingPolicy) -> Step:
    rest = policy.rest
    limit = rest.lfp_bms_open_below_v
    return Step(
        rule=Rule.BMS_MAY_BE_OPEN,
        fired=_bms_open(voltage_v, policy) and not battery.bms_reset_tried,
        effect=Effect.UNRESOLVED,
        handling=Handling.SUSPECT,
        text=f"The posts show {voltage_v:g} V; below {limit.value:g} V the protection circuit may be open.",
        measured=voltage_v,
        limit=limit.value,
        unit="V",
        next_step=(
            "A qualified person resets the BMS by the maker's instructions, then reads the voltage again."
        ),
        **basis(limit),
    )


def _lfp_overdischarged(battery: Battery, voltage_v: float, policy: GradingPolicy) -> Iterator[Step]:
    rest = policy.rest
    limit = rest.lfp_bms_open_below_v
    if battery.bms_reset_tried:
        yield Step(
            rule=Rule.LFP_OVERDISCHARGED,
            fired=_bms_open(voltage_v, policy),
            effect=Effect.RECYCLE,
            handling=Handling.DAMAGED,
            text=(
                f"After a BMS reset the posts show {voltage_v:g} V; "
                f"below {limit.value:g} V the cells are over-discharged."
            ),
            measured=voltage_v,
            limit=limit.value,
            unit="V",
            next_step=HAND_OVER_UNCHARGED,
            **basis(limit),
        )


def _lfp_deep(voltage_v: float, policy: GradingPolicy) -> Step:
    rest = policy.rest
    low, high = rest.lfp_bms_open_below_v, rest.lfp_deep_below_v
    return Step(
        rule=Rule.LFP_DEEP,
        fired=at_least(voltage_v, low.value, policy=policy)
        and not at_least(voltage_v, high.value, policy=policy),
        effect=Effect.CAP_RECONDITIONABLE,
        handling=Handling.SUSPECT,
        text=(
            f"The rest voltage is {voltage_v:g} V; from {low.value:g} V and below {high.value:g} V "
            "it is deeply discharged."
        ),
        measured=voltage_v,
        limit=high.value,
        unit="V",
        next_step=(
            "A qualified person brings it up at low current by the maker's instructions; then hold-test it."
        ),
        **basis(low, high),
    )


def _screen(battery: Battery, reading: RestReading, bench: Bench) -> Iterator[Step]:
    policy = bench.policy
    sound = policy.rest.sound_v[battery.chemistry]
    prepare = policy.rest.unused_sound_v
    high = _reaches(reading, sound, policy)
    is_high = is_certain(high, policy=policy)
    fresh = _reaches(reading, prepare, policy)
    is_fresh = not is_high and battery.use is Use.UNUSED and is_certain(fresh, policy=policy)
    is_shown = not is_high and _capacity_shown(battery, reading, policy)
    if battery.use is Use.UNUSED:
        yield _screen_step(
            Rule.UNUSED_PREPARE, is_fresh, Effect.CAP_RESALE, reading, prepare, fresh, _PREPARE, policy
        )
    yield from _capacity_step(battery, reading, is_shown, policy)
    low = not (is_high or is_fresh or is_shown)
    yield _screen_step(
        Rule.NEEDS_RECOVERY,
        low,
        Effect.CAP_RECONDITIONABLE,
        reading,
        sound,
        high,
        f"Recover what can be recovered, {_HOLD_TEST}",
        policy,
    )
    yield _screen_step(
        Rule.RESTS_HIGH, is_high, Effect.CAP_RESALE, reading, sound, high, f"Before sale {_HOLD_TEST}", policy
    )
    if battery.chemistry in LEAD_ACID and battery.rested_h is not None:
        yield from _cell_suspect(battery.rested_h, reading, bench)


def _reaches(reading: RestReading, limit: CitedValue, policy: GradingPolicy) -> float:
    return probability_at_least(
        value_v=reading.voltage_25c_v, limit_v=limit.value, uncertainty_v=reading.uncertainty_v, policy=policy
    )


def _capacity_shown(battery: Battery, reading: RestReading, policy: GradingPolicy) -> bool:
    from_v = policy.rest.capacity_shown_from_v.value
    return capacity_is_shown(battery, policy=policy) and at_least(reading.voltage_v, from_v, policy=policy)


def _capacity_step(
    battery: Battery, reading: RestReading, fired: bool, policy: GradingPolicy
) -> Iterator[Step]:
    """Yield the rule where a capacity test was passed for certain."""
    ratio, limit = measured_ratio(battery, policy=policy), policy.capacity.low_below
    if ratio is None or not capacity_is_shown(battery, policy=policy):
        return
    from_v = policy.rest.capacity_shown_from_v
    yield Step(
        rule=Rule.CAPACITY_SHOWN,
        fired=fired,
        effect=Effect.CAP_RESALE,
        text=(
            f"Its capacity test gave {ratio.value:.3f} of what is rated, which leaves a battery flat: its "
            f"{reading.voltage_v:g} V, if {from_v.value:g} V or more, say nothing against it."
        ),
        measured=ratio.value,
        limit=limit.value,
        unit="1",
        limit_to_be_sure=limit_to_be_sure(limit=limit.value, uncertainty=ratio.uncertainty, policy=policy),
        next_step=f"Before sale {_HOLD_TEST}",
        **basis(from_v, limit),
    )


def _screen_step(
    rule: Rule,
    fired: bool,
    effect: Effect,
    reading: RestReading,
    limit: CitedValue,
    probability: float,
    next_step: str,
    policy: GradingPolicy,
) -> Step:
    return Step(
        rule=rule,
        fired=fired,
        effect=effect,
        text=(
            f"Rest voltage {reading.voltage_v:g} V, at 25 °C {reading.voltage_25c_v:.3f} V, "
            f"u {reading.uncertainty_v:.4f} V: P(≥ {limit.value:g} V) = {probability:.3f}."
        ),
        measured=reading.voltage_25c_v,
        limit=limit.value,
        unit="V",
        limit_to_be_sure=limit_to_be_sure(
            limit=limit.value, uncertainty=reading.uncertainty_v, policy=policy
        ),
        probability=probability,
        next_step=next_step,
        **basis(limit),
    )


def _cell_suspect(rested_h: float, reading: RestReading, bench: Bench) -> Iterator[Step]:
    policy = bench.policy
    rest = policy.rest
    low, high = rest.cell_suspect_from_v, rest.cell_suspect_to_v
    voltage_v = reading.voltage_25c_v
    if at_least(rested_h, rest.cell_suspect_from_h.value, policy=policy):
        yield Step(
            rule=Rule.CELL_SUSPECT,
            fired=at_least(voltage_v, low.value, policy=policy)
            and at_least(high.value, voltage_v, policy=policy),
            effect=Effect.NOTE,
            text=(
                f"Rest voltage {voltage_v:.3f} V at 25 °C; from {low.value:g} to {high.value:g} V "
                "one cell may be down."
            ),
            measured=voltage_v,
            limit=high.value,
            unit="V",
            **basis(low, high),
        )
