"""A load of about fifteen seconds against the least voltage at its temperature."""

from collections.abc import Iterator

from intake.grading.cited_sources import basis
from intake.grading.quantities import (
    Bench,
    at_least,
    interpolate,
    is_certain,
    limit_to_be_sure,
    meter_uncertainty_v,
    probability_at_least,
    reduce_to_reference,
)
from intake.grading.remedy_texts import HAND_OVER, REPEAT_TEST
from intake.model.battery import LEAD_ACID, Battery
from intake.model.rules import Rule
from intake.model.shown import shown_c
from intake.model.verdict import Effect, Step
from intake.policy.grading_policy import GradingPolicy

_CHARGE_FIRST = "Charge it fully, let it rest for two hours, and repeat the load test."


def load_steps(battery: Battery, *, bench: Bench) -> Iterator[Step]:
    """Yield the rules of a load test of a lead-acid battery."""
    load_voltage_v = battery.load_voltage_v
    if load_voltage_v is None or battery.chemistry not in LEAD_ACID:
        return
    policy = bench.policy
    limit_v = _least_v(battery, policy)
    outside = _outside_terms(battery, policy)
    too_flat = _too_flat(battery, policy)
    if outside or too_flat:
        yield _not_used(load_voltage_v, limit_v, outside or too_flat, policy)
        if not outside:
            yield _collapses(load_voltage_v, limit_v, policy)
    else:
        yield _fails(load_voltage_v, limit_v, bench)


def load_test_counts(battery: Battery, *, policy: GradingPolicy) -> bool:
    """Say whether there is a load test that was made within its terms."""
    read = battery.load_voltage_v is not None and battery.chemistry in LEAD_ACID
    return read and not _outside_terms(battery, policy) and not _too_flat(battery, policy)


def _temperature_c(battery: Battery, policy: GradingPolicy) -> float:
    return policy.temperature.reference_c.value if battery.temperature_c is None else battery.temperature_c


def _least_v(battery: Battery, policy: GradingPolicy) -> float:
    """Return the limit in V: the table's, or more where the load was only enough by the capacity."""
    load = policy.load_test
    least_v = interpolate(load.least_voltage_v.points, _temperature_c(battery, policy))
    return least_v if _enough_by_cca(battery, policy) else least_v + load.by_capacity_addition_v.value


def _enough_by_cca(battery: Battery, policy: GradingPolicy) -> bool:
    """Say whether the current reaches its share of the rated cranking current; not known counts as no."""
    current_a, rated_a = battery.load_current_a, battery.rated_cca_a
    share = policy.load_test.least_share_of_cca.value
    return (
        current_a is not None and rated_a is not None and at_least(current_a, share * rated_a, policy=policy)
    )


def _outside_terms(battery: Battery, policy: GradingPolicy) -> str:
    """Say in words which of the terms but the open-circuit voltage a load test misses; empty for none."""
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
    temperature_c = _temperature_c(battery, policy)
    warm = at_least(temperature_c, load.lowest_c.value, policy=policy)
    if not (warm and at_least(load.highest_c.value, temperature_c, policy=policy)):
        limits = f"{load.lowest_c.value:g} to {load.highest_c.value:g} °C"
        return f"{shown_c(temperature_c)} °C lies outside {limits}"
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


def _too_flat(battery: Battery, policy: GradingPolicy) -> str:
    """Say in words why the open-circuit voltage before the load does not allow the test; empty if it does."""
    open_v = _open_circuit_v(battery, policy)
    least_v = policy.load_test.least_rest_v.value
    if open_v is None:
        return "there is no open-circuit voltage from before it"
    if not at_least(open_v, least_v, policy=policy):
        return f"it stood at {open_v:.3f} V before the load, under the {least_v:g} V it takes"
    return ""


def _open_circuit_v(battery: Battery, policy: GradingPolicy) -> float | None:
    """Return the last open-circuit voltage at 25 degC: the latest of the hold, else the rest voltage."""
    from_h = policy.load_test.open_circuit_from_h.value
    voltage_v, temperature_c = battery.rest_voltage_v, battery.temperature_c
    for reading in battery.hold_readings:
        if at_least(reading.after_charge_h, from_h, policy=policy):
            voltage_v, temperature_c = reading.voltage_v, reading.temperature_c
    if voltage_v is None:
        return None
    return reduce_to_reference(
        voltage_v=voltage_v, temperature_c=temperature_c, chemistry=battery.chemistry, policy=policy
    ).voltage_25c_v


def _not_used(load_voltage_v: float, limit_v: float, why: str, policy: GradingPolicy) -> Step:
    return Step(
        rule=Rule.LOAD_TEST_NOT_USED,
        fired=True,
        effect=Effect.NOTE,
        text=f"The load test is not used: {why}.",
        measured=load_voltage_v,
        limit=limit_v,
        unit="V",
        **basis(policy.load_test.least_voltage_v),
    )


def _collapses(load_voltage_v: float, least_v: float, policy: GradingPolicy) -> Step:
    load = policy.load_test
    limit_v = least_v - load.collapse_below_limit_v.value
    return Step(
        rule=Rule.LOAD_COLLAPSES,
        fired=not at_least(load_voltage_v, limit_v, policy=policy),
        effect=Effect.CAP_RECONDITIONABLE,
        text=(
            f"It fell to {load_voltage_v:g} V under load; below {limit_v:.2f} V a low charge alone does not "
            "explain it."
        ),
        measured=load_voltage_v,
        limit=limit_v,
        unit="V",
        next_step=_CHARGE_FIRST,
        **basis(load.least_voltage_v, load.collapse_below_limit_v),
    )


def _fails(load_voltage_v: float, limit_v: float, bench: Bench) -> Step:
    policy = bench.policy
    uncertainty_v = meter_uncertainty_v(voltage_v=load_voltage_v, bench=bench)
    below = 1 - probability_at_least(
        value_v=load_voltage_v, limit_v=limit_v, uncertainty_v=uncertainty_v, policy=policy
    )
    certain = is_certain(below, policy=policy)
    return Step(
        rule=Rule.LOAD_TEST_FAILS,
        fired=not at_least(load_voltage_v, limit_v, policy=policy),
        effect=Effect.RECYCLE if certain else Effect.CAP_RECONDITIONABLE,
        text=(
            f"{load_voltage_v:g} V under load, u {uncertainty_v:.4f} V; at least {limit_v:.2f} V is asked at "
            f"this temperature: P(below) = {below:.3f}."
        ),
        measured=load_voltage_v,
        limit=limit_v,
        unit="V",
        limit_to_be_sure=limit_to_be_sure(limit=limit_v, uncertainty=uncertainty_v, policy=policy),
        probability=below,
        next_step=(HAND_OVER if certain else REPEAT_TEST),
        **basis(policy.load_test.least_voltage_v),
    )
