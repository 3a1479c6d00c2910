"""Strength tests: what current, capacity, resistance, gravity and cell voltages say. Each only where read."""

from collections.abc import Iterator

from intake.grading.cited_sources import basis
from intake.grading.quantities import (
    GRADABLE,
    Bench,
    at_least,
    interpolate,
    is_certain,
    meter_uncertainty_v,
    probability_at_least,
    reduce_to_reference,
    rounded,
)
from intake.model.battery import LEAD_ACID, Battery, Chemistry
from intake.model.rules import Rule
from intake.model.verdict import Effect, Handling, Step
from intake.policy.cited import CitedValue
from intake.policy.grading_policy import GradingPolicy

_RECYCLE = "Hand it to the recycle stream."
_AGAIN = "Recover and charge it fully, then repeat this test and hold-test it."


def strength_steps(battery: Battery, *, bench: Bench) -> Iterator[Step]:
    """Yield the strength tests' rules in their listing order."""
    policy = bench.policy
    yield from _capacity(battery, policy)
    yield from _cranking(battery, policy)
    if battery.load_voltage_v is not None and battery.chemistry in LEAD_ACID:
        yield _load_test(battery, battery.load_voltage_v, bench)
    yield from _resistance(battery, policy)
    if battery.specific_gravity and battery.chemistry is Chemistry.FLOODED:
        yield from _gravity(battery, policy)
    if battery.cell_voltages_v and battery.chemistry is Chemistry.LFP:
        yield from _cells(battery, policy)


def capacity_ratio(
    *,
    delivered_capacity_ah: float,
    discharge_time_h: float,
    rated_capacity_ah: float,
    temperature_c: float,
    chemistry: Chemistry,
    policy: GradingPolicy,
) -> float:
    """Return a measured discharge as a share of the rated capacity at the 20 h rate and 25 degC.

    q = C (I/I20)^(p-1) / (1 + kappa (T - 25)) / rated, with Peukert's exponent p and kappa by the
    discharge time.
    """
    capacity = policy.capacity
    long = at_least(discharge_time_h, capacity.long_from_h.value, policy=policy)
    kappa = (capacity.long_coefficient_per_k if long else capacity.short_coefficient_per_k)[chemistry].value
    current_a = delivered_capacity_ah / discharge_time_h
    rated_current_a = rated_capacity_ah / capacity.rating_h.value
    peukert: float = (current_a / rated_current_a) ** (capacity.peukert_exponent[chemistry].value - 1)
    temperature = 1 + kappa * (temperature_c - policy.temperature.reference_c.value)
    return delivered_capacity_ah * peukert / temperature / rated_capacity_ah


def _temperature_c(battery: Battery, policy: GradingPolicy) -> float:
    return policy.temperature.reference_c.value if battery.temperature_c is None else battery.temperature_c


def _capacity(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    delivered_ah, rated_ah = battery.delivered_capacity_ah, battery.rated_capacity_ah
    if delivered_ah is None or rated_ah is None or battery.chemistry not in GRADABLE:
        return
    capacity = policy.capacity
    ratio = capacity_ratio(
        delivered_capacity_ah=delivered_ah,
        discharge_time_h=battery.discharge_time_h or capacity.assumed_discharge_h.value,
        rated_capacity_ah=rated_ah,
        temperature_c=_temperature_c(battery, policy),
        chemistry=battery.chemistry,
        policy=policy,
    )
    sound = _reaches(ratio, capacity.low_below, policy)
    alive = _reaches(ratio, capacity.spent_below, policy)
    low = not is_certain(sound, policy=policy)
    spent = low and is_certain(1 - alive, policy=policy)
    for rule, fired, effect, limit, probability, step in (
        (Rule.CAPACITY_LOW, low and not spent, Effect.CAP_RECONDITIONABLE, capacity.low_below, sound, _AGAIN),
        (Rule.CAPACITY_SPENT, spent, Effect.RECYCLE, capacity.spent_below, alive, _RECYCLE),
    ):
        yield Step(
            rule=rule,
            fired=fired,
            effect=effect,
            text=(
                f"It delivered {delivered_ah:g} Ah, {ratio:.3f} of the rated {rated_ah:g} Ah at the "
                f"20 h rate and 25 °C, u {capacity.uncertainty.value:g}: "
                f"P(≥ {limit.value:g}) = {probability:.3f}."
            ),
            measured=ratio,
            limit=limit.value,
            unit="1",
            probability=probability,
            next_step=step,
            **basis(limit, capacity.peukert_exponent[battery.chemistry]),
        )


def _reaches(ratio: float, limit: CitedValue, policy: GradingPolicy) -> float:
    return probability_at_least(
        value_v=ratio, limit_v=limit.value, uncertainty_v=policy.capacity.uncertainty.value, policy=policy
    )


def _cranking(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    if battery.measured_cca_a is None or battery.rated_cca_a is None:
        return
    ratio = battery.measured_cca_a / battery.rated_cca_a
    cranking = policy.cranking
    spent = not at_least(ratio, cranking.spent_below.value, policy=policy)
    low = not at_least(ratio, cranking.low_below.value, policy=policy)
    for rule, fired, effect, limit, step in (
        (Rule.CRANKING_LOW, low, Effect.CAP_RECONDITIONABLE, cranking.low_below, _AGAIN),
        (Rule.CRANKING_SPENT, spent, Effect.RECYCLE, cranking.spent_below, _RECYCLE),
    ):
        yield Step(
            rule=rule,
            fired=fired,
            effect=effect,
            text=(
                f"It cranks {battery.measured_cca_a:g} A of a rated {battery.rated_cca_a:g} A, {ratio:.4f}; "
                f"the limit is {limit.value:g}."
            ),
            measured=ratio,
            limit=limit.value,
            unit="1",
            next_step=step,
            **basis(limit),
        )


def _load_test(battery: Battery, load_voltage_v: float, bench: Bench) -> Step:
    policy = bench.policy
    table = policy.load_test.least_voltage_v
    limit_v = interpolate(table.points, _temperature_c(battery, policy))
    uncertainty_v = meter_uncertainty_v(voltage_v=load_voltage_v, bench=bench)
    below = 1 - probability_at_least(
        value_v=load_voltage_v, limit_v=limit_v, uncertainty_v=uncertainty_v, policy=policy
    )
    outside = _outside_terms(battery, policy)
    certain = is_certain(below, policy=policy)
    text = (
        f"{load_voltage_v:g} V under load, u {uncertainty_v:.4f} V; at least {limit_v:.2f} V is asked at "
        f"this temperature: P(below) = {below:.3f}."
    )
    if outside:
        return Step(
            rule=Rule.LOAD_TEST_NOT_USED,
            fired=True,
            effect=Effect.NOTE,
            text=f"The load test is not used: {outside}.",
            measured=load_voltage_v,
            limit=limit_v,
            unit="V",
            **basis(table),
        )
    return Step(
        rule=Rule.LOAD_TEST_FAILS,
        fired=not at_least(load_voltage_v, limit_v, policy=policy),
        effect=Effect.RECYCLE if certain else Effect.CAP_RECONDITIONABLE,
        text=text,
        measured=load_voltage_v,
        limit=limit_v,
        unit="V",
        probability=below,
        next_step=_RECYCLE if certain else _AGAIN,
        **basis(table),
    )


def _outside_terms(battery: Battery, policy: GradingPolicy) -> str:
    """Say in words why a load test lies outside the table's terms; empty when it does not."""
    load = policy.load_test
    time_s, current_a = battery.load_time_s, battery.load_current_a
    if time_s is None or current_a is None:
        return "its current or time is missing"
    if not (
        at_least(time_s, load.shortest_s.value, policy=policy)
        and at_least(load.longest_s.value, time_s, policy=policy)
    ):
        return f"it took {time_s:g} s instead of {load.shortest_s.value:g} to {load.longest_s.value:g} s"
    enough_a = _enough_current_a(battery, policy)
    if enough_a is None:
        return "neither rated CCA nor rated capacity is known"
    if not at_least(current_a, enough_a, policy=policy):
        return f"{current_a:g} A is less than the {enough_a:g} A it takes"
    if battery.rest_voltage_v is None:
        return "there is no rest voltage from before it"
    rest_v = reduce_to_reference(
        voltage_v=battery.rest_voltage_v,
        temperature_c=battery.temperature_c,
        chemistry=battery.chemistry,
        policy=policy,
    ).voltage_25c_v
    if not at_least(rest_v, load.least_rest_v.value, policy=policy):
        return f"it rested at {rest_v:.3f} V, under the {load.least_rest_v.value:g} V it takes"
    temperature_c = _temperature_c(battery, policy)
    warm = at_least(temperature_c, load.lowest_c.value, policy=policy)
    if not (warm and at_least(load.highest_c.value, temperature_c, policy=policy)):
        return f"{temperature_c:g} °C lies outside {load.lowest_c.value:g} to {load.highest_c.value:g} °C"
    return ""


def _enough_current_a(battery: Battery, policy: GradingPolicy) -> float | None:
    """Return the least current that counts, by the CCA or by the capacity, whichever asks less."""
    load = policy.load_test
    asked = []
    if battery.rated_cca_a is not None:
        asked.append(load.least_share_of_cca.value * battery.rated_cca_a)
    if battery.rated_capacity_ah is not None:
        asked.append(load.least_amperes_per_ah.value * battery.rated_capacity_ah)
    return min(asked, default=None)


def _resistance(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    if battery.internal_resistance_mohm is None or battery.rated_resistance_mohm is None:
        return
    ratio = battery.internal_resistance_mohm / battery.rated_resistance_mohm
    limits = policy.resistance
    spent = at_least(ratio, limits.spent_from.value, policy=policy)
    limit = limits.spent_from if spent else limits.high_from
    yield Step(
        rule=Rule.RESISTANCE_HIGH,
        fired=at_least(ratio, limits.high_from.value, policy=policy),
        effect=Effect.RECYCLE if spent else Effect.CAP_RECONDITIONABLE,
        text=(
            f"The internal resistance is {battery.internal_resistance_mohm:g} mΩ of a rated "
            f"{battery.rated_resistance_mohm:g} mΩ, {ratio:.4f} times; the limit is {limit.value:g}."
        ),
        measured=ratio,
        limit=limit.value,
        unit="1",
        next_step=_RECYCLE if spent else _AGAIN,
        **basis(limit),
    )


def _gravity(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    limits = policy.specific_gravity
    lowest, highest = min(battery.specific_gravity), max(battery.specific_gravity)
    yield _spread(
        Rule.GRAVITY_SPREAD,
        "specific gravities",
        rounded(highest - lowest, policy=policy),
        "1",
        (limits.spread_high_above, limits.spread_fails_above),
        "Equalise the cells, charge fully, then test again.",
        policy,
    )
    if battery.hold_readings:
        yield Step(
            rule=Rule.GRAVITY_LOW,
            fired=not at_least(lowest, limits.lowest.value, policy=policy),
            effect=Effect.RECYCLE,
            text=(
                f"After a charge the lowest specific gravity is {lowest:.3f}; "
                f"the limit is {limits.lowest.value:.3f}."
            ),
            measured=lowest,
            limit=limits.lowest.value,
            unit="1",
            next_step=_RECYCLE,
            **basis(limits.lowest),
        )


def _spread(
    rule: Rule,
    what: str,
    spread: float,
    unit: str,
    limits: tuple[CitedValue, CitedValue],
    levelled: str,
    policy: GradingPolicy,
) -> Step:
    high, fails = limits
    failed = not at_least(fails.value, spread, policy=policy)
    limit = fails if failed else high
    return Step(
        rule=rule,
        fired=not at_least(high.value, spread, policy=policy),
        effect=Effect.RECYCLE if failed else Effect.CAP_RECONDITIONABLE,
        text=(
            f"The {what} lie {_with_unit(spread, unit)} apart; the limit is {_with_unit(limit.value, unit)}."
        ),
        measured=spread,
        limit=limit.value,
        unit=unit,
        next_step=_RECYCLE if failed else levelled,
        **basis(limit),
    )


def _with_unit(figure: float, unit: str) -> str:
    return f"{figure:.3f} V" if unit == "V" else f"{figure:.3f}"


def _cells(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    limits = policy.lfp_cells
    lowest_v, highest_v = min(battery.cell_voltages_v), max(battery.cell_voltages_v)
    yield _spread(
        Rule.CELL_SPREAD,
        "cell voltages",
        rounded(highest_v - lowest_v, policy=policy),
        "V",
        (limits.spread_high_above_v, limits.spread_fails_above_v),
        "Balance the cells, charge fully, then test again.",
        policy,
    )
    dead = not at_least(lowest_v, limits.dead_below_v.value, policy=policy)
    limit = limits.dead_below_v if dead else limits.overdischarged_below_v
    yield Step(
        rule=Rule.CELL_OVERDISCHARGED,
        fired=not at_least(lowest_v, limit.value, policy=policy),
        effect=Effect.RECYCLE if dead else Effect.CAP_RECONDITIONABLE,
        handling=Handling.DAMAGED if dead else Handling.SUSPECT,
        text=f"The lowest cell stands at {lowest_v:g} V; the limit is {limit.value:g} V.",
        measured=lowest_v,
        limit=limit.value,
        unit="V",
        next_step=(
            "Do not charge it; keep it apart and hand it to the recycle stream as damaged."
            if dead
            else "A qualified person brings the cell up at low current by the maker's instructions."
        ),
        **basis(limit),
    )
