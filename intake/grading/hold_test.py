"""The hold test: open-circuit readings after a full charge, against settling and the chemistry's limits."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from intake.grading.cited_sources import Basis, basis
from intake.grading.quantities import (
    GRADABLE,
    Bench,
    ReducedVoltage,
    at_least,
    is_certain,
    lfp_settling_uncertainty_v,
    meter_uncertainty_v,
    pair_uncertainty_v,
    probability_above,
    probability_at_least,
    reduce_to_reference,
)
from intake.grading.state_of_charge import percent_at, state_of_charge_after_charge, voltage_at_v
from intake.model.battery import LEAD_ACID, LEVELLED, Battery, Chemistry, HoldReading
from intake.model.rules import Rule
from intake.model.units import HOURS_PER_DAY
from intake.model.verdict import Effect, HeldCharge, ReducedReading, SelfDischarge, Step
from intake.policy.cited import CitedTable, CitedValue
from intake.policy.grading_policy import GradingPolicy

_HOLD_ON = "Hold on and read the open-circuit voltage at twelve hours or later after the charge."


@dataclass(frozen=True, slots=True)
class Hold:
    """What the usable hold readings of one battery say. Voltages in V at 25 degC."""

    chemistry: Chemistry
    first: HoldReading
    last: HoldReading
    first_v: float
    last_v: float
    slope_v_per_efold: float
    slope_is_own: bool
    settled_v: float
    uncertainty_v: float

    @property
    def efolds(self) -> float:
        """ln(t2/t1)."""
        return math.log(self.last.after_charge_h / self.first.after_charge_h)


def usable_readings(battery: Battery, *, policy: GradingPolicy) -> tuple[HoldReading, ...]:
    """Return the hold readings that count: those at or after the policy's shortest time."""
    shortest_h = policy.hold.shortest_h.value
    return tuple(
        one for one in battery.hold_readings if at_least(one.after_charge_h, shortest_h, policy=policy)
    )


def reduced_readings(battery: Battery, *, bench: Bench) -> tuple[ReducedReading, ...]:
    """Return the readings that count at 25 degC, each with its own standard uncertainty.

    None without a table of the chemistry.
    """
    if battery.chemistry not in GRADABLE:
        return ()
    return tuple(
        _reduced_alone(one, battery.chemistry, bench) for one in usable_readings(battery, policy=bench.policy)
    )


def _reduced_alone(reading: HoldReading, chemistry: Chemistry, bench: Bench) -> ReducedReading:
    reduced = _reduced(reading, chemistry, bench.policy)
    return ReducedReading(
        after_h=reading.after_charge_h,
        voltage_25c_v=reduced.voltage_25c_v,
        standard_uncertainty_v=math.hypot(
            meter_uncertainty_v(voltage_v=reading.voltage_v, bench=bench), reduced.temperature_uncertainty_v
        ),
    )


def evaluate_hold(battery: Battery, *, bench: Bench) -> Hold | None:
    """Project the settled voltage; None without a usable reading or for a chemistry without a table."""
    policy = bench.policy
    readings = usable_readings(battery, policy=policy)
    if not readings or battery.chemistry not in GRADABLE:
        return None
    first, last = readings[0], readings[-1]
    first_v = _reduced(first, battery.chemistry, policy).voltage_25c_v
    reduced = _reduced(last, battery.chemistry, policy)
    default_slope = policy.hold.slope_v_per_efold[battery.chemistry].value
    own = battery.chemistry in LEAD_ACID and _apart(first, last, policy)
    slope = default_slope
    if own:
        slope = max(
            0.0, (first_v - reduced.voltage_25c_v) / math.log(last.after_charge_h / first.after_charge_h)
        )
    left = _efolds_left(last, battery.chemistry, policy)
    settle_uncertainty_v = _settle_uncertainty_v(
        first, last, own=own, left=left, chemistry=battery.chemistry, bench=bench
    )
    return Hold(
        chemistry=battery.chemistry,
        first=first,
        last=last,
        first_v=first_v,
        last_v=reduced.voltage_25c_v,
        slope_v_per_efold=slope,
        slope_is_own=own,
        settled_v=reduced.voltage_25c_v - slope * left,
        uncertainty_v=math.hypot(
            meter_uncertainty_v(voltage_v=last.voltage_v, bench=bench),
            reduced.temperature_uncertainty_v,
            settle_uncertainty_v,
        ),
    )


def _reduced(reading: HoldReading, chemistry: Chemistry, policy: GradingPolicy) -> ReducedVoltage:
    return reduce_to_reference(
        voltage_v=reading.voltage_v, temperature_c=reading.temperature_c, chemistry=chemistry, policy=policy
    )


def _apart(first: HoldReading, last: HoldReading, policy: GradingPolicy) -> bool:
    """Say whether two readings lie far enough apart in time for a slope of their own."""
    return at_least(
        last.after_charge_h / first.after_charge_h, policy.hold.own_slope_ratio.value, policy=policy
    )


def _efolds_left(last: HoldReading, chemistry: Chemistry, policy: GradingPolicy) -> float:
    """ln(24/t2) of settling still to come; none for LFP or from the settled time on."""
    settled_h = policy.hold.settled_from_h.value
    if chemistry is Chemistry.LFP or at_least(last.after_charge_h, settled_h, policy=policy):
        return 0.0
    return math.log(settled_h / last.after_charge_h)


def _settle_uncertainty_v(
    first: HoldReading, last: HoldReading, *, own: bool, left: float, chemistry: Chemistry, bench: Bench
) -> float:
    policy = bench.policy
    if chemistry is Chemistry.LFP:
        return lfp_settling_uncertainty_v(after_h=last.after_charge_h, policy=policy)
    if own:
        efolds = math.log(last.after_charge_h / first.after_charge_h)
        slope_uncertainty_v = pair_uncertainty_v(bench=bench) / efolds
    else:
        slope = policy.hold.slope_v_per_efold[chemistry].value
        slope_uncertainty_v = policy.hold.slope_relative_uncertainty.value * slope
    return math.hypot(slope_uncertainty_v * left, policy.hold.settled_uncertainty_v.value)


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
    yield from _drop(hold, bench)
    yield from _level(hold, bench.policy)
    yield from _self_discharge_high(hold, bench)


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
            f"The last hold reading is {last.after_charge_h:g} h after the charge; "
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
                f"{hold.last_v:.3f} V at 25 °C, {hold.last.after_charge_h:g} h after a full charge; "
                f"from {low.value:g} to {high.value:g} V one cell is down."
            ),
            measured=hold.last_v,
            limit=high.value,
            unit="V",
            next_step="Hand it to the recycle stream.",
            **basis(low, high),
        )


def _levelled(chemistry: Chemistry) -> str:
    if chemistry not in LEVELLED:
        return "Recover it at low current (its cells do not open: no equalising)"
    return "Balance its cells" if chemistry is Chemistry.LFP else "Equalise it"


def _drop(hold: Hold, bench: Bench) -> Iterator[Step]:
    policy = bench.policy
    too_high_v = policy.hold.lfp_drop_first_at_most_v.value
    fresh_lfp = hold.chemistry is Chemistry.LFP and not at_least(
        too_high_v, hold.first.voltage_v, policy=policy
    )
    if fresh_lfp or not _apart(hold.first, hold.last, policy):
        return
    slope = policy.hold.slope_v_per_efold[hold.chemistry]
    allowed_v = slope.value * hold.efolds
    excess_v = hold.first_v - hold.last_v - allowed_v
    uncertainty_v = _tail_uncertainty_v(hold, bench)
    for rule, effect, limit, step in (
        (Rule.HOLD_DROP_FAILS, Effect.RECYCLE, policy.hold.drop_fails_v, "Hand it to the recycle stream."),
        (
            Rule.HOLD_DROP_HIGH,
            Effect.CAP_RECONDITIONABLE,
            policy.hold.drop_high_v,
            f"{_levelled(hold.chemistry)}, charge it fully, and hold-test it again over a day or longer.",
        ),
    ):
        probability = probability_above(
            value_v=excess_v, limit_v=limit.value, uncertainty_v=uncertainty_v, policy=policy
        )
        yield Step(
            rule=rule,
            fired=is_certain(probability, policy=policy),
            effect=effect,
            text=(
                f"It fell {hold.first_v - hold.last_v:.3f} V from {hold.first.after_charge_h:g} to "
                f"{hold.last.after_charge_h:g} h; settling accounts for {allowed_v:.3f} V, "
                f"{excess_v:.3f} V is beyond it, "
                f"u {uncertainty_v:.4f} V: P(> {limit.value:g} V) = {probability:.3f}."
            ),
            measured=excess_v,
            limit=limit.value,
            unit="V",
            probability=probability,
            next_step=step,
            **basis(limit, slope),
        )


def _tail_uncertainty_v(hold: Hold, bench: Bench) -> float:
    policy = bench.policy
    slope = policy.hold.slope_v_per_efold[hold.chemistry].value
    return math.hypot(
        pair_uncertainty_v(bench=bench), policy.hold.slope_relative_uncertainty.value * slope * hold.efolds
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
    low_next = "Hand it to the recycle stream." if long else _HOLD_ON
    unclear_next = (
        "Read it again with a better meter, or measure its capacity by a discharge." if long else _HOLD_ON
    )
    sell_next = (
        "Charge it, then offer it with its condition sheet."
        if long
        else "Charge it; a reading at twelve hours or later would make a long hold of it."
    )
    again = f"{_levelled(hold.chemistry)}, charge it fully, and hold-test it again."
    head = _settled_text(hold)
    rests_on = _level_basis(hold, policy)
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
    read = f"{hold.last.voltage_v:g} V at {hold.last.after_charge_h:g} h, at 25 °C {hold.last_v:.3f} V;"
    whose = "its own" if hold.slope_is_own else "the chemistry's"
    slope = f" slope {hold.slope_v_per_efold:.4f} V per e-fold ({whose}):" if hold.slope_v_per_efold else ""
    return f"{read}{slope} settles at {hold.settled_v:.3f} V, u {hold.uncertainty_v:.4f} V:"


def _level_basis(hold: Hold, policy: GradingPolicy) -> Basis:
    if hold.chemistry is Chemistry.LFP:
        return basis(policy.open_circuit.lfp_discharge_branch)
    cited: list[CitedTable | CitedValue] = [policy.open_circuit.lead_acid[hold.chemistry]]
    if not hold.slope_is_own and hold.settled_v != hold.last_v:
        cited.append(policy.hold.slope_v_per_efold[hold.chemistry])
    return basis(*cited)


def held_charge(hold: Hold, *, policy: GradingPolicy) -> HeldCharge:
    """Return the state of charge on the settled voltage."""
    return HeldCharge(
        state_of_charge=state_of_charge_after_charge(
            voltage_25c_v=hold.settled_v,
            uncertainty_v=hold.uncertainty_v,
            chemistry=hold.chemistry,
            policy=policy,
        ),
        after_h=hold.last.after_charge_h,
        reading_25c_v=hold.last_v,
    )


def self_discharge(hold: Hold, *, bench: Bench) -> SelfDischarge | None:
    """Return the loss of charge per month, less the settling tail; None where the hold is too short.

    The interval moves the first voltage, less the tail, by the coverage factor times the standard
    uncertainty of the excess drop (two readings of one meter, and the tail's slope).
    """
    policy = bench.policy
    span_h = hold.last.after_charge_h - hold.first.after_charge_h
    early = not at_least(hold.first.after_charge_h, policy.self_discharge.first_from_h.value, policy=policy)
    if early or not at_least(span_h, policy.self_discharge.span_from_h.value, policy=policy):
        return None
    tail_v = policy.hold.slope_v_per_efold[hold.chemistry].value * hold.efolds
    half_width_v = policy.decision.coverage_factor.value * _tail_uncertainty_v(hold, bench)
    month_h = policy.self_discharge.month_days.value * HOURS_PER_DAY

    def rate(first_v: float) -> float:
        first = percent_at(voltage_25c_v=first_v, chemistry=hold.chemistry, policy=policy)
        last = percent_at(voltage_25c_v=hold.last_v, chemistry=hold.chemistry, policy=policy)
        return (first - last) / span_h * month_h

    start_v = hold.first_v - tail_v
    return SelfDischarge(rate(start_v), rate(start_v - half_width_v), rate(start_v + half_width_v))


def _self_discharge_high(hold: Hold, bench: Bench) -> Iterator[Step]:
    loss = self_discharge(hold, bench=bench)
    limit = bench.policy.self_discharge.highest_percent_per_month
    if loss is not None:
        yield Step(
            rule=Rule.SELF_DISCHARGE_HIGH,
            fired=not at_least(limit.value, loss.low, policy=bench.policy),
            effect=Effect.CAP_RECONDITIONABLE,
            text=(
                f"It loses {loss.percent_per_month:.1f} % of full charge a month "
                f"({loss.low:.1f} to {loss.high:.1f}); the limit is {limit.value:g} at the low end."
            ),
            measured=loss.low,
            limit=limit.value,
            unit="%/month",
            next_step=f"{_levelled(hold.chemistry)}, charge it fully, and hold it again for several days.",
            **basis(limit, bench.policy.hold.slope_v_per_efold[hold.chemistry]),
        )
