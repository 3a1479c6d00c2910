"""The contract's quantities read literally by somebody who has not seen the engine. Used only in tests.

Slow and plain on purpose: every number stands as a literal in the order of the text, so that a reader can
lay the text beside it. ``independent_reading`` applies the rules to what is worked out here.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import erf, hypot, log, sqrt
from statistics import NormalDist

import numpy

from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading
from tests.changed import replace
from tests.external.published import columns_of

LFP = Chemistry.LFP
IDENTIFIED = LEAD_ACID | {LFP}
ALPHA = 0.05
Z = NormalDist().inv_cdf(1 - ALPHA)
"""1.645: how many standard uncertainties beyond a limit it takes to be sure."""

SEALED_TABLE = [(0, 11.80), (25, 12.05), (50, 12.26), (75, 12.48), (100, 12.75)]
LFP_CHARGING = [
    *[(1, 11.04), (5, 12.25), (10, 12.82), (20, 13.08), (30, 13.24), (40, 13.28), (50, 13.30)],
    *[(60, 13.35), (70, 13.40), (80, 13.44), (90, 13.46), (95, 13.54), (98, 13.91), (100, 14.40)],
]
LFP_LOWER = [(1, 10.08), (5, 11.95), (10, 12.60), (20, 12.88), (30, 13.00), (40, 13.13), (50, 13.16)]
LFP_UPPER = [(60, 13.19), (70, 13.24), (80, 13.33), (90, 13.36), (95, 13.41), (98, 13.61), (100, 14.32)]
OPEN_CIRCUIT = {
    Chemistry.FLOODED: [(0, 11.80), (25, 12.03), (50, 12.22), (75, 12.42), (100, 12.65)],
    Chemistry.FLOODED_SEALED: SEALED_TABLE,
    Chemistry.EFB: SEALED_TABLE,
    Chemistry.AGM: [(0, 11.80), (25, 12.10), (50, 12.35), (75, 12.60), (100, 12.90)],
    Chemistry.GEL: [(0, 11.80), (25, 12.05), (50, 12.38), (75, 12.60), (100, 12.85)],
    LFP: LFP_LOWER + LFP_UPPER,
}
"""State of charge in % and open-circuit voltage in V at 25 degC; LFP: the discharge branch."""

BODE = [(sg, volts) for sg, volts in columns_of("acid_sg_molality_ocv.csv", "sg", "ocv_bode_12V")]
"""Specific gravity and voltage in V of six of Bode's cells at 25 degC (electrochemistry, 2a)."""


def less(left: float, right: float) -> bool:
    """Tell whether left < right, the difference compared after rounding to 1e-9."""
    return round(left - right, 9) < 0


def between(x: float, points: Sequence[tuple[float, float]]) -> float:
    """Interpolate linearly between points of rising x; flat outside."""
    if x <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return points[-1][1]


def probability(distance: float, u: float) -> float:
    """Return P(V >= L) for distance = V - L, both in V; a meter without error leaves no doubt."""
    distance = round(distance, 9)
    if u == 0:
        return 1.0 if distance >= 0 else 0.0
    return 0.5 * (1 + erf(distance / u / sqrt(2)))


def sure(chance: float, level: float = 1 - ALPHA) -> bool:
    """Tell whether a probability reaches a level."""
    return not less(chance, level)


def u_meter(volts: float, a: float, d: float) -> float:
    """Return the standard uncertainty of the meter in V at the voltage as read."""
    return (a / 100 * abs(volts) + d) / sqrt(3)


def at_25(chemistry: Chemistry, volts: float, temperature: float | None) -> float:
    """Reduce a voltage in V to 25 degC."""
    k = 0.0007 if chemistry is LFP else 0.0015
    return volts - k * ((25 if temperature is None else temperature) - 25)


def u_temp(temperature: float | None) -> float:
    """Return the standard uncertainty in V that an unknown, a low or a high temperature leaves."""
    if temperature is None:
        return 0.015
    return 0.0010 * max(0.0, 10 - temperature, temperature - 35)


def u_rest(chemistry: Chemistry, hours: float) -> float:
    """Return the standard uncertainty in V of a rest voltage after so many hours of rest."""
    if chemistry is LFP:
        return 0.030 if hours < 3 else 0.010
    if hours <= 0.5:
        return 0.150
    points = [(0.5, 0.150), (2, 0.080), (4, 0.060), (12, 0.020), (24, 0.010)]
    return between(log(hours), [(log(t), u) for t, u in points])


def u_table(chemistry: Chemistry) -> float:
    """Return the standard uncertainty in V of the chemistry's open-circuit table."""
    if chemistry is LFP:
        return 0.010
    if chemistry in (Chemistry.AGM, Chemistry.GEL):
        return 0.060
    return 0.030 if chemistry is Chemistry.FLOODED else 0.050


def u_true_charge(chemistry: Chemistry) -> float:
    """Return what takes the place of u_table in the printed interval of charge, in V.

    A departure from the text, which takes u_table: the intervals then covered 40 to 85 % of the true charges
    of simulated sound lead-acid blocks.
    """
    return 0.010 if chemistry is LFP else 0.090


def default_b(chemistry: Chemistry) -> float:
    """Return the chemistry's settling in V per e-fold of time."""
    if chemistry is LFP:
        return 0.0
    return 0.055 if chemistry in (Chemistry.AGM, Chemistry.GEL) else 0.040


def volts_at(chemistry: Chemistry, percent: float) -> float:
    """Return the table's own voltage in V at a state of charge in %."""
    return between(percent, OPEN_CIRCUIT[chemistry])


def percent_at(points: Sequence[tuple[float, float]], volts: float) -> float:
    """Return the state of charge in % at a voltage in V; flat outside the table."""
    return between(volts, [(v, soc) for soc, v in points])


def charge_at_rest(battery: Battery, volts: float, a: float, d: float) -> tuple[float, float]:
    """Return the 95 % interval of the state of charge in % at rest, history unknown.

    LFP: every state of charge whose charge branch lies above the lower end and whose discharge branch lies
    below the upper end; under the branches' first points, at 1 %, it may be empty (the text leaves
    that open; taken from the engine, the wider interval).
    """
    v25, table = at_25(battery.chemistry, volts, battery.temperature_c), OPEN_CIRCUIT[battery.chemistry]
    reach = 1.96 * hypot(rest_uncertainty(battery, volts, a, d), u_true_charge(battery.chemistry))
    lower = LFP_CHARGING if battery.chemistry is LFP else table
    low = 0.0 if less(v25 - reach, lower[0][1]) else percent_at(lower, v25 - reach)
    return low, percent_at(table, v25 + reach)


def charge_held(battery: Battery, a: float, d: float) -> tuple[float, float, float]:
    """Return the state of charge in % that the hold shows, and its 95 % interval; LFP: discharge branch."""
    table, found = OPEN_CIRCUIT[battery.chemistry], settled(battery, a, d)
    reach = 1.96 * hypot(found.u_star_v, u_true_charge(battery.chemistry))
    low, high = found.star_v - reach, found.star_v + reach
    return percent_at(table, found.star_v), percent_at(table, low), percent_at(table, high)


def bode_block_v(gravity: float) -> float:
    """Return the voltage in V of six of Bode's cells at a specific gravity."""
    return between(gravity, BODE)


def rest_uncertainty(battery: Battery, volts: float, a: float, d: float) -> float:
    """Return u of a rest voltage in V, without the table's share; hours left blank count as 0.5."""
    rested = 0.5 if battery.rested_h is None else battery.rested_h
    return hypot(u_meter(volts, a, d), u_temp(battery.temperature_c), u_rest(battery.chemistry, rested))


def usable(battery: Battery) -> list[HoldReading]:
    """Return the hold readings at or after 0.5 h, earliest first."""
    return sorted(
        (r for r in battery.hold_readings if r.after_charge_h >= 0.5), key=lambda r: r.after_charge_h
    )


def own_temperature(battery: Battery, reading: HoldReading) -> float | None:
    """Return the reading's temperature in degC, else Hold temperature, else Temperature."""
    if reading.temperature_c is not None:
        return reading.temperature_c
    return battery.temperature_c if battery.hold_temperature_c is None else battery.hold_temperature_c


def reduced(battery: Battery, reading: HoldReading) -> float:
    """Return a hold reading's voltage in V, reduced to 25 degC."""
    return at_25(battery.chemistry, reading.voltage_v, own_temperature(battery, reading))


def over_5_k_apart(battery: Battery, one: HoldReading, other: HoldReading) -> bool:
    """Tell whether two readings were taken more than 5 K apart; a temperature known nowhere is equal."""
    first, second = own_temperature(battery, one), own_temperature(battery, other)
    return first is not None and second is not None and less(5, abs(first - second))


def far_apart(first: HoldReading, last: HoldReading) -> bool:
    """Tell whether t2/t1 is at least 1.9."""
    return not less(last.after_charge_h / first.after_charge_h, 1.9)


@dataclass(frozen=True)
class Settled:
    """Where a hold comes to rest."""

    star_v: float
    """V*, the settled voltage at 25 degC."""
    u_settle_v: float
    u_v: float
    """Of V* against a limit from an open-circuit table, so with the table's share."""
    u_star_v: float
    """Of V* itself."""
    own_b_v: float | None = None
    """The battery's own settling per e-fold, where the readings give one."""
    used_b_v: float | None = None
    """b*, the own and the chemistry's settling weighted by their variances."""


def settled(battery: Battery, a: float, d: float) -> Settled:
    """Return the settled voltage V* of the hold and its standard uncertainty."""
    first, last = usable(battery)[0], usable(battery)[-1]
    chemistry, t1, t2 = battery.chemistry, first.after_charge_h, last.after_charge_h
    v1, v2 = reduced(battery, first), reduced(battery, last)
    b, own, used = default_b(chemistry), None, None
    star, u_settle = v2, 0.010
    if chemistry is LFP:
        u_settle = 0.030 if t2 < 3 else 0.010
    elif far_apart(first, last):
        own = max(0.0, (v1 - v2) / log(t2 / t1))
        u_own, u_b = sqrt(2) * d / sqrt(3) / log(t2 / t1), 0.3 * b
        # both sides of the text's fractions times u_own² and u_b², so that a meter without error divides too
        used = (own * u_b**2 + b * u_own**2) / (u_own**2 + u_b**2)
        u_used = u_own * u_b / hypot(u_own, u_b)
        if t2 < 24:
            star, u_settle = v2 - used * log(24 / t2), hypot(log(24 / t2) * u_used, 0.010)
    elif t2 < 24:
        star, u_settle = v2 - b * log(24 / t2), hypot(0.3 * b * log(24 / t2), 0.010)
    parts = (u_meter(last.voltage_v, a, d), u_temp(own_temperature(battery, last)), u_settle)
    return Settled(star, u_settle, hypot(*parts, u_table(chemistry)), hypot(*parts), own, used)


def the_pair(battery: Battery) -> tuple[HoldReading, HoldReading] | None:
    """Return the pair whose drop is judged, or None if there is none or its temperatures differ."""
    readings = usable(battery)
    last = readings[-1]
    t2 = last.after_charge_h
    least = 3 if battery.chemistry is LFP else 2
    days = [r for r in readings if r.after_charge_h >= 24 and not less(t2 - r.after_charge_h, 24)]
    hours = [r for r in readings if r.after_charge_h >= least and far_apart(r, last)]
    first = (days or hours or [None])[0]
    return None if first is None or over_5_k_apart(battery, first, last) else (first, last)


def excess_drop(battery: Battery, first: HoldReading, last: HoldReading, *, d: float) -> tuple[float, float]:
    """Return E, the drop over what settling explains, and u_E, both in V.

    LFP: what the first reading has above 13.50 V is surface charge and no part of the drop. The text leaves
    such drops out altogether, which would grade a larger fall better than a smaller one.
    """
    b, span = default_b(battery.chemistry), log(last.after_charge_h / first.after_charge_h)
    if battery.chemistry is LFP:
        first = replace(first, voltage_v=min(first.voltage_v, 13.50))
    drop = reduced(battery, first) - reduced(battery, last) - b * span
    lfp = sqrt(2) * 0.010 if battery.chemistry is LFP else 0.0
    return drop, hypot(sqrt(2) * d / sqrt(3), 0.3 * b * span, lfp)


@dataclass(frozen=True)
class Fit:
    """What least squares make of a hold."""

    b_v: float
    r_v_per_day: float
    u_r_v_per_day: float
    high_v_per_day: float
    """Upper end of the printed interval: the fall without settling, where that is more than r + 1.96 u_r."""
    judged: bool
    """The leak rules apply: three readings or more, the last at or after 96 h."""


def the_fit(battery: Battery, *, d: float) -> Fit | None:
    """Return the fit of a leak, or None where fewer than two readings leave it undetermined.

    The printed interval departs from the text, which takes r + 1.96 u_r: that covered a third of the true
    losses of simulated blocks whose settling was over sooner than the logarithm of time has it.
    """
    readings = usable(battery)
    last = readings[-1]
    used = [r for r in readings if r.after_charge_h >= 2 and not over_5_k_apart(battery, r, last)]
    if battery.chemistry not in LEAD_ACID or len(used) < 2:
        return None
    u, b = hypot(d / (2 * sqrt(3)), 0.002), default_b(battery.chemistry)
    rows = [(1.0, -log(r.after_charge_h), -r.after_charge_h / 24) for r in used]
    right = [reduced(battery, r) for r in used]
    design = numpy.array([[x / u for x in row] for row in rows] + [[0.0, 1 / (0.3 * b), 0.0]])
    target = numpy.array([v / u for v in right] + [b / (0.3 * b)])
    covariance = numpy.linalg.inv(design.T @ design)
    _, b_fit, r = covariance @ design.T @ target
    judged = len(used) >= 3 and last.after_charge_h >= 96
    u_r = sqrt(float(covariance[2, 2]))
    late = [reading for reading in used if reading.after_charge_h >= 24]
    fallen = late if len(late) >= 2 else used
    days = numpy.array([reading.after_charge_h / 24 for reading in fallen])
    fall = -float(numpy.polyfit(days, numpy.array([reduced(battery, reading) for reading in fallen]), 1)[0])
    u_fall = u / sqrt(float(((days - days.mean()) ** 2).sum()))
    return Fit(float(b_fit), float(r), u_r, max(float(r) + 1.96 * u_r, fall + 1.96 * u_fall), judged)


def self_discharge(battery: Battery, fit: Fit) -> dict[str, float]:
    """Return a leak in %/month of the whole block with its interval, and what the hold could have seen."""
    chemistry = battery.chemistry
    slope = (volts_at(chemistry, 100) - volts_at(chemistry, 60)) / 40
    r, u_r, month = fit.r_v_per_day, fit.u_r_v_per_day, 30.4 / slope
    return {
        "self_discharge_percent_per_month": r * month,
        "self_discharge_low": (r - 1.96 * u_r) * month,
        "self_discharge_high": fit.high_v_per_day * month,
        "self_discharge_of_one_cell": 6 * r * month,
        "could_have_seen_v_per_day": 0.0015 + Z * u_r,
    }


def capacity_share(battery: Battery) -> tuple[float, float] | None:
    """Return q, delivered over rated capacity at 20 h and 25 degC, and u_q; None without a capacity test."""
    delivered, rated, chemistry = battery.delivered_capacity_ah, battery.rated_capacity_ah, battery.chemistry
    if delivered is None or rated is None or chemistry not in IDENTIFIED:
        return None
    if delivered == 0:
        return 0.0, 0.03
    hours = 20 if battery.discharge_time_h is None else battery.discharge_time_h
    temperature = 25 if battery.temperature_c is None else battery.temperature_c
    kappa = 0.0 if chemistry is LFP else 0.006 if hours >= 5 else 0.010
    p = {Chemistry.AGM: 1.10, Chemistry.GEL: 1.15, LFP: 1.03}.get(chemistry, 1.25)
    rate = (delivered / hours) / (rated / 20)
    q = delivered * rate ** (p - 1) / (1 + kappa * (temperature - 25)) / rated
    return q, hypot(0.03, 0.07 * q * abs(log(rate)))
