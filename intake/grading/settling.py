"""Readings of a hold at 25 degC, and the voltage at which the block settles."""

import math
from collections.abc import Sequence
from typing import NamedTuple

from intake.grading.quantities import (
    GRADABLE,
    Bench,
    ReducedVoltage,
    at_least,
    lfp_settling_uncertainty_v,
    meter_uncertainty_v,
    pair_uncertainty_v,
    reduce_to_reference,
    with_table,
)
from intake.grading.state_of_charge import state_of_charge_after_charge
from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading
from intake.model.verdict import HeldCharge, ReducedReading
from intake.policy.grading_policy import GradingPolicy


class Slope(NamedTuple):
    """Volts that a settling block loses per e-fold of time, with the standard uncertainty of that."""

    v_per_efold: float
    uncertainty_v: float
    is_own: bool
    """Weighed with the battery's own slope, not the chemistry's alone."""


class Hold(NamedTuple):
    """What the usable hold readings of one battery say. Voltages in V at 25 degC."""

    chemistry: Chemistry
    readings: tuple[HoldReading, ...]
    """Those that count, earliest first; never none."""
    voltages_v: tuple[float, ...]
    slope: Slope
    settled_v: float
    own_uncertainty_v: float
    """Of the settled voltage itself: meter, temperature and settling together."""
    uncertainty_v: float
    """The same against the table, with the table's spread."""

    @property
    def last(self) -> HoldReading:
        """The latest reading."""
        return self.readings[-1]

    @property
    def last_v(self) -> float:
        """The latest reading at 25 degC."""
        return self.voltages_v[-1]


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
    reduced = [_reduced(one, battery.chemistry, policy) for one in readings]
    voltages_v = tuple(one.voltage_25c_v for one in reduced)
    slope = _slope(battery.chemistry, readings, voltages_v, bench)
    left = _efolds_left(readings[-1], battery.chemistry, policy)
    uncertainty_v = math.hypot(
        meter_uncertainty_v(voltage_v=readings[-1].voltage_v, bench=bench),
        reduced[-1].temperature_uncertainty_v,
        _settle_uncertainty_v(readings[-1], slope, left, battery.chemistry, policy),
    )
    return Hold(
        chemistry=battery.chemistry,
        readings=readings,
        voltages_v=voltages_v,
        slope=slope,
        settled_v=voltages_v[-1] - slope.v_per_efold * left,
        own_uncertainty_v=uncertainty_v,
        uncertainty_v=with_table(uncertainty_v, chemistry=battery.chemistry, policy=policy),
    )


def _reduced(reading: HoldReading, chemistry: Chemistry, policy: GradingPolicy) -> ReducedVoltage:
    return reduce_to_reference(
        voltage_v=reading.voltage_v, temperature_c=reading.temperature_c, chemistry=chemistry, policy=policy
    )


def default_slope(chemistry: Chemistry, *, policy: GradingPolicy) -> Slope:
    """Return the chemistry's slope with the policy's relative uncertainty."""
    slope = policy.hold.slope_v_per_efold[chemistry].value
    return Slope(slope, policy.hold.slope_relative_uncertainty.value * slope, is_own=False)


def _slope(
    chemistry: Chemistry, readings: Sequence[HoldReading], voltages_v: Sequence[float], bench: Bench
) -> Slope:
    """Weigh the battery's own slope with its chemistry's by their inverse variances.

    The own one needs two readings far enough apart in time; a rise counts as no slope.
    """
    policy = bench.policy
    usual = default_slope(chemistry, policy=policy)
    ratio = readings[-1].after_charge_h / readings[0].after_charge_h
    if chemistry not in LEAD_ACID or not at_least(ratio, policy.hold.own_slope_ratio.value, policy=policy):
        return usual
    efolds = math.log(ratio)
    own = max(0.0, (voltages_v[0] - voltages_v[-1]) / efolds)
    own_uncertainty_v = pair_uncertainty_v(bench=bench) / efolds
    variances = (own_uncertainty_v * own_uncertainty_v, usual.uncertainty_v * usual.uncertainty_v)
    total = sum(variances)
    if total == 0:
        return Slope(own, 0.0, is_own=True)
    share = variances[1] / total
    return Slope(
        share * own + (1 - share) * usual.v_per_efold,
        math.sqrt(share * variances[0]),
        is_own=True,
    )


def _efolds_left(last: HoldReading, chemistry: Chemistry, policy: GradingPolicy) -> float:
    """ln(24/t2) of settling still to come; none for LFP or from the settled time on."""
    settled_h = policy.hold.settled_from_h.value
    if chemistry is Chemistry.LFP or at_least(last.after_charge_h, settled_h, policy=policy):
        return 0.0
    return math.log(settled_h / last.after_charge_h)


def _settle_uncertainty_v(
    last: HoldReading, slope: Slope, left: float, chemistry: Chemistry, policy: GradingPolicy
) -> float:
    if chemistry is Chemistry.LFP:
        return lfp_settling_uncertainty_v(after_h=last.after_charge_h, policy=policy)
    return math.hypot(slope.uncertainty_v * left, policy.hold.settled_uncertainty_v.value)


def held_charge(hold: Hold, *, policy: GradingPolicy) -> HeldCharge:
    """Return the state of charge on the settled voltage."""
    return HeldCharge(
        state_of_charge=state_of_charge_after_charge(
            voltage_25c_v=hold.settled_v,
            uncertainty_v=hold.own_uncertainty_v,
            chemistry=hold.chemistry,
            policy=policy,
        ),
        after_h=hold.last.after_charge_h,
        reading_25c_v=hold.last_v,
    )
