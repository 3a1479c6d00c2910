"""Temperatures at which a battery is not charged: too cold, too warm, or near the freezing of its acid."""

from collections.abc import Sequence

from intake.model.battery import LEAD_ACID, Battery
from intake.model.result import ChargeRefusal, GradedBattery
from intake.model.shown import shown_c
from intake.model.verdict import Verdict
from intake.policy.grading_policy import GradingPolicy


def gated(graded: Sequence[GradedBattery], *, policy: GradingPolicy) -> tuple[GradedBattery, ...]:
    """Return the batteries of a batch, each with what its temperature says against a charge."""
    refusals = (charge_refusal(one.battery, one.verdict, policy=policy) for one in graded)
    return tuple(
        one if refusal is None else one._replace(charge_refusal=refusal)
        for one, refusal in zip(graded, refusals, strict=True)
    )


def charge_refusal(battery: Battery, verdict: Verdict, *, policy: GradingPolicy) -> ChargeRefusal | None:
    """Return why the battery is not charged at its temperature, or None.

    Nothing is refused where no temperature was read; the plan then asks for one. A chemistry that nobody
    knows has no such temperature: it is never charged.
    """
    temperature_c = latest_temperature_c(battery)
    if temperature_c is None or battery.chemistry not in policy.bench.charge_above_c:
        return None
    above_c = policy.bench.charge_above_c[battery.chemistry].value
    up_to_c = policy.bench.charge_up_to_c[battery.chemistry].value
    name = battery.chemistry.value
    if temperature_c <= above_c:
        return ChargeRefusal(
            f"It was read at {shown_c(temperature_c)} °C; {name} is charged only above {above_c:g} °C."
        )
    if temperature_c > up_to_c:
        return ChargeRefusal(
            f"It was read at {shown_c(temperature_c)} °C; {name} is charged only up to {up_to_c:g} °C.",
            too_warm=True,
        )
    if battery.chemistry in LEAD_ACID:
        return _near_freezing(battery, verdict, temperature_c, policy)
    return None


def latest_temperature_c(battery: Battery) -> float | None:
    """Return the temperature in degC of the latest reading, None where none was taken."""
    taken = [one.temperature_c for one in battery.hold_readings if one.temperature_c is not None]
    return taken[-1] if taken else battery.temperature_c


def freezing_point_c(*, specific_gravity: float, policy: GradingPolicy) -> float:
    """Return the freezing point in degC of sulfuric acid of that specific gravity at 26.7 degC."""
    return -_between(policy.bench.freezing_by_gravity.points, specific_gravity)


def lowest_gravity(battery: Battery, verdict: Verdict, *, policy: GradingPolicy) -> float:
    """Return the weakest acid to reckon with: the lowest reading, else from the lower end of charge."""
    if battery.specific_gravity:
        return min(battery.specific_gravity)
    state = verdict.known_charge
    return _between(policy.bench.gravity_by_state_of_charge.points, state.low_percent if state else 0.0)


def _near_freezing(
    battery: Battery, verdict: Verdict, temperature_c: float, policy: GradingPolicy
) -> ChargeRefusal | None:
    gravity = lowest_gravity(battery, verdict, policy=policy)
    freezing_c = freezing_point_c(specific_gravity=gravity, policy=policy)
    margin_k = policy.bench.freezing_margin_k.value
    if round(temperature_c - freezing_c - margin_k, int(policy.decision.comparison_decimals.value)) > 0:
        return None
    return ChargeRefusal(
        f"It was read at {shown_c(temperature_c)} °C; its acid may be as weak as SG {gravity:.3f}, which "
        f"freezes at {freezing_c:.1f} °C, and no charge starts within {margin_k:g} K of that. A frozen "
        "battery is never charged."
    )


def _between(points: Sequence[tuple[float, float]], x: float) -> float:
    """Interpolate linearly, held at the end values outside."""
    x = min(max(x, points[0][0]), points[-1][0])
    after = next(place for place, point in enumerate(points) if place and x <= point[0])
    (x_low, y_low), (x_high, y_high) = points[after - 1], points[after]
    return y_low + (y_high - y_low) * (x - x_low) / (x_high - x_low)
