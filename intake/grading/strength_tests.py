"""Strength tests: what current, capacity, resistance, gravity and cell voltages say. Each only where read."""

from collections.abc import Iterator
from statistics import fmean

from intake.grading.capacity_test import capacity_steps
from intake.grading.cited_sources import basis
from intake.grading.load_test import load_steps
from intake.grading.quantities import Bench, at_least, interpolate, rounded
from intake.grading.remedy_texts import HAND_OVER, HAND_OVER_UNCHARGED, REPEAT_TEST
from intake.model.battery import Battery, Chemistry
from intake.model.rules import Rule
from intake.model.verdict import Effect, Handling, Step
from intake.policy.cited import CitedValue
from intake.policy.grading_policy import GradingPolicy


def strength_steps(battery: Battery, *, bench: Bench) -> Iterator[Step]:
    """Yield the strength tests' rules in their listing order."""
    policy = bench.policy
    yield from capacity_steps(battery, policy=policy)
    yield from _cranking(battery, policy)
    yield from load_steps(battery, bench=bench)
    yield from _resistance(battery, policy)
    if battery.specific_gravity and battery.chemistry is Chemistry.FLOODED:
        yield from _gravity(battery, policy)
    if battery.cell_voltages_v and battery.chemistry is Chemistry.LFP:
        yield from _cells(battery, policy)


def _cranking(battery: Battery, policy: GradingPolicy) -> Iterator[Step]:
    if battery.measured_cca_a is None or battery.rated_cca_a is None:
        return
    ratio = battery.measured_cca_a / battery.rated_cca_a
    cranking = policy.cranking
    spent = not at_least(ratio, cranking.spent_below.value, policy=policy)
    low = not at_least(ratio, cranking.low_below.value, policy=policy)
    for rule, fired, effect, limit, step in (
        (Rule.CRANKING_LOW, low, Effect.CAP_RECONDITIONABLE, cranking.low_below, REPEAT_TEST),
        (Rule.CRANKING_SPENT, spent, Effect.RECYCLE, cranking.spent_below, HAND_OVER),
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
        next_step=HAND_OVER if spent else REPEAT_TEST,
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
        "Charge fully, equalise the cells, then test again.",
        policy,
    )
    if battery.hold_readings:
        yield from _gravity_after_charge(battery, lowest, policy)


def _gravity_after_charge(battery: Battery, lowest: float, policy: GradingPolicy) -> Iterator[Step]:
    """Yield gravity-low, which needs gravities as new as the hold, and the note where they are older."""
    limit = policy.specific_gravity.lowest
    cross = policy.cross_checks
    weak = not at_least(lowest, limit.value, policy=policy)
    by_acid_v = interpolate(cross.gravity_to_block_v.points, fmean(battery.specific_gravity))
    apart_v = abs(by_acid_v - battery.hold_readings[-1].voltage_v)
    stale = not at_least(cross.gravity_against_rest_v.value, apart_v, policy=policy)
    yield Step(
        rule=Rule.GRAVITY_LOW,
        fired=weak and not stale,
        effect=Effect.RECYCLE,
        text=f"After a charge the lowest specific gravity is {lowest:.3f}; the limit is {limit.value:.3f}.",
        measured=lowest,
        limit=limit.value,
        unit="1",
        next_step=HAND_OVER,
        **basis(limit),
    )
    yield Step(
        rule=Rule.GRAVITY_STALE,
        fired=weak and stale,
        effect=Effect.NOTE,
        text=(
            f"The gravities stand for {by_acid_v:.2f} V, the hold's last reading is "
            f"{battery.hold_readings[-1].voltage_v:g} V: they seem older than the charge and are not used."
        ),
        measured=apart_v,
        limit=cross.gravity_against_rest_v.value,
        unit="V",
        **basis(cross.gravity_to_block_v, cross.gravity_against_rest_v),
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
        next_step=HAND_OVER if failed else levelled,
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
        "Charge fully, balance the cells, then test again.",
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
            HAND_OVER_UNCHARGED
            if dead
            else "A qualified person brings the cell up at low current by the maker's instructions."
        ),
        **basis(limit),
    )
