"""The grading contract read literally by somebody who has not seen the engine. Used only in tests.

Slow and plain on purpose: every number stands as a literal in the order of the text, so that a reader can
lay the text beside it. It returns what the engine must also return; it explains nothing.
"""

from collections.abc import Sequence
from itertools import pairwise
from math import erf, hypot, log, sqrt

from intake.model.battery import LEAD_ACID, Battery, Chemistry, HoldReading
from intake.model.verdict import Effect, Evidence, Grade, Handling

Fired = list[tuple[str, Effect, Handling]]
"""Rule, effect and handling of every rule that fired, in the order of the text."""

RECYCLE, UNRESOLVED, NOTE = Effect.RECYCLE, Effect.UNRESOLVED, Effect.NOTE
CAP, CAP_RESALE = Effect.CAP_RECONDITIONABLE, Effect.CAP_RESALE
INTACT, SUSPECT, DAMAGED = Handling.INTACT, Handling.SUSPECT, Handling.DAMAGED
LFP = Chemistry.LFP
IDENTIFIED = LEAD_ACID | {LFP}

RULE_NAMES = (
    "case-breached under-recall terminal-broken terminal-loose chemistry-unclear temperature-outside "
    "not-diagnosable no-reading reading-reversed reading-implausible not-rested no-voltage bms-may-be-open "
    "lfp-overdischarged lfp-deep needs-recovery rests-high cell-suspect hold-too-soon hold-cell-down "
    "hold-drop-fails hold-drop-high hold-high hold-middle hold-low hold-unclear capacity-low capacity-spent "
    "cranking-low cranking-spent load-test-fails resistance-high gravity-spread gravity-low cell-spread "
    "cell-overdischarged self-discharge-high"
)
"""Every rule that the text names."""

SEALED_TABLE = [(0, 11.80), (25, 12.05), (50, 12.26), (75, 12.48), (100, 12.75)]
LFP_LOWER = [(1, 10.08), (5, 11.95), (10, 12.60), (20, 12.88), (30, 13.00), (40, 13.13), (50, 13.16)]
LFP_UPPER = [(60, 13.19), (70, 13.24), (80, 13.33), (90, 13.36), (95, 13.41), (98, 13.61), (100, 14.32)]
OPEN_CIRCUIT = {
    Chemistry.FLOODED: [(0, 11.80), (25, 12.03), (50, 12.22), (75, 12.42), (100, 12.65)],
    Chemistry.FLOODED_SEALED: SEALED_TABLE,
    Chemistry.EFB: SEALED_TABLE,
    Chemistry.AGM: [(0, 11.80), (25, 12.10), (50, 12.35), (75, 12.60), (100, 12.90)],
    Chemistry.GEL: [(0, 11.80), (25, 12.05), (50, 12.38), (75, 12.60), (100, 12.85)],
    Chemistry.LFP: LFP_LOWER + LFP_UPPER,
}
"""State of charge in % and open-circuit voltage in V at 25 degC; LFP: the discharge branch."""


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


def u_meter(volts: float, a: float, d: float) -> float:
    """Return the standard uncertainty of the meter in V at the voltage as read."""
    return (a / 100 * abs(volts) + d) / sqrt(3)


def at_25(chemistry: Chemistry, volts: float, temperature: float | None) -> float:
    """Reduce a voltage in V to 25 degC."""
    k = 0.0007 if chemistry is LFP else 0.0015
    return volts - k * ((25 if temperature is None else temperature) - 25)


def u_temp(temperature: float | None) -> float:
    """Return the standard uncertainty in V that an unknown temperature leaves."""
    return 0.015 if temperature is None else 0.0


def u_rest(chemistry: Chemistry, hours: float) -> float:
    """Return the standard uncertainty in V of a rest voltage after so many hours of rest."""
    if chemistry is LFP:
        return 0.030 if hours < 3 else 0.010
    if hours <= 0.5:
        return 0.100
    points = [(0.5, 0.100), (2, 0.080), (4, 0.060), (12, 0.020), (24, 0.010)]
    return between(log(hours), [(log(t), u) for t, u in points])


def default_b(chemistry: Chemistry) -> float:
    """Return the chemistry's settling in V per e-fold of time."""
    if chemistry is LFP:
        return 0.0
    return 0.055 if chemistry in (Chemistry.AGM, Chemistry.GEL) else 0.040


def volts_at(chemistry: Chemistry, percent: float) -> float:
    """Return the table's own voltage in V at a state of charge in %."""
    return between(percent, OPEN_CIRCUIT[chemistry])


def percent_at(chemistry: Chemistry, volts: float) -> float:
    """Return the state of charge in % at a voltage in V; flat outside the table."""
    return between(volts, [(v, soc) for soc, v in OPEN_CIRCUIT[chemistry]])


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


def far_apart(first: HoldReading, last: HoldReading) -> bool:
    """Tell whether t2/t1 is at least 1.9."""
    return not less(last.after_charge_h / first.after_charge_h, 1.9)


def settled(battery: Battery, a: float, d: float) -> tuple[float, float]:
    """Return the settled voltage V* of the hold and its standard uncertainty u, both in V."""
    first, last = usable(battery)[0], usable(battery)[-1]
    chemistry, t1, t2 = battery.chemistry, first.after_charge_h, last.after_charge_h
    v1, v2 = reduced(battery, first), reduced(battery, last)
    if chemistry is LFP:
        star, u_settle = v2, (0.030 if t2 < 3 else 0.010)
    elif t2 >= 24:
        star, u_settle = v2, 0.010
    elif far_apart(first, last):
        b = max(0.0, (v1 - v2) / log(t2 / t1))
        star = v2 - b * log(24 / t2)
        u_settle = hypot(sqrt(2) * d / sqrt(3) / log(t2 / t1) * log(24 / t2), 0.010)
    else:
        b = default_b(chemistry)
        star = v2 - b * log(24 / t2)
        u_settle = hypot(0.3 * b * log(24 / t2), 0.010)
    return star, hypot(u_meter(last.voltage_v, a, d), u_temp(own_temperature(battery, last)), u_settle)


def excess_drop(battery: Battery, d: float) -> tuple[float, float]:
    """Return E, the drop over what settling explains, and u_E, both in V."""
    first, last = usable(battery)[0], usable(battery)[-1]
    b, span = default_b(battery.chemistry), log(last.after_charge_h / first.after_charge_h)
    drop = reduced(battery, first) - reduced(battery, last) - b * span
    return drop, hypot(sqrt(2) * d / sqrt(3), 0.3 * b * span)


def safety_gates(battery: Battery) -> Fired:
    """Apply the safety gates."""
    fired: Fired = []
    lfp = battery.chemistry is LFP
    if battery.case in ("cracked", "leaking", "swollen", "burnt"):
        fired.append(("case-breached", RECYCLE, DAMAGED))
    if battery.under_recall:
        fired.append(("under-recall", RECYCLE, DAMAGED if lfp else INTACT))
    if battery.terminals == "broken":
        fired.append(("terminal-broken", RECYCLE, INTACT))
    if battery.terminals == "loose":
        fired.append(("terminal-loose", CAP, INTACT))
    if battery.chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN):
        fired.append(("chemistry-unclear", UNRESOLVED, SUSPECT))
    temperatures = [own_temperature(battery, reading) for reading in usable(battery)]
    if battery.rest_voltage_v is not None:
        temperatures.append(battery.temperature_c)
    if any(t is not None and (t < -20 or t > 55) for t in temperatures):
        fired.append(("temperature-outside", UNRESOLVED, INTACT))
    voltages = (battery.rest_voltage_v, battery.load_voltage_v, *battery.cell_voltages_v)
    if lfp and not battery.hold_readings and all(v is None for v in voltages):
        fired.append(("not-diagnosable", UNRESOLVED, SUSPECT))
    return fired


def rest_screen(battery: Battery, a: float, d: float) -> Fired:
    """Apply the rest screen; with any hold reading only ``lfp-overdischarged`` is left of it."""
    fired: Fired = []
    volts, lfp, lead_acid = battery.rest_voltage_v, battery.chemistry is LFP, battery.chemistry in LEAD_ACID
    if volts is None:
        return [] if battery.hold_readings else [("no-reading", UNRESOLVED, INTACT)]
    rested = 0.5 if battery.rested_h is None else battery.rested_h
    if volts <= -0.5:
        fired.append(("reading-reversed", UNRESOLVED, INTACT))
    if (lead_acid and volts > 15.0) or (lfp and volts > 14.6):
        fired.append(("reading-implausible", UNRESOLVED, INTACT))
    if rested < 0.5:
        fired.append(("not-rested", UNRESOLVED, INTACT))
    if lead_acid and -0.5 < volts < 0.5:
        fired.append(("no-voltage", RECYCLE, INTACT))
    if lfp and -0.5 < volts < 6.0 and not battery.bms_reset_tried:
        fired.append(("bms-may-be-open", UNRESOLVED, SUSPECT))
    if lfp and -0.5 < volts < 6.0 and battery.bms_reset_tried:
        fired.append(("lfp-overdischarged", RECYCLE, DAMAGED))
    if lfp and 6.0 <= volts < 8.8:
        fired.append(("lfp-deep", CAP, SUSPECT))
    if lfp or lead_acid:
        v25 = at_25(battery.chemistry, volts, battery.temperature_c)
        u = hypot(u_meter(volts, a, d), u_temp(battery.temperature_c), u_rest(battery.chemistry, rested))
        if probability(v25 - (13.0 if lfp else 12.4), u) < 1 - 0.05:
            fired.append(("needs-recovery", CAP, INTACT))
            if lead_acid and not less(v25, 10.2) and not less(10.9, v25) and rested >= 2:
                fired.append(("cell-suspect", NOTE, INTACT))
        else:
            fired.append(("rests-high", CAP_RESALE, INTACT))
    if battery.hold_readings:
        return [one for one in fired if one[0] == "lfp-overdischarged"]
    return fired


def hold_test(battery: Battery, a: float, d: float) -> Fired:
    """Apply the hold test."""
    fired: Fired = []
    chemistry, readings = battery.chemistry, usable(battery)
    if not readings:
        return [("hold-too-soon", UNRESOLVED, INTACT)] if battery.hold_readings else []
    if chemistry not in IDENTIFIED:
        return []
    first, last = readings[0], readings[-1]
    v2, t2 = reduced(battery, last), last.after_charge_h
    if chemistry in LEAD_ACID and not less(v2, 10.2) and not less(10.9, v2) and t2 >= 2:
        fired.append(("hold-cell-down", RECYCLE, INTACT))
    if far_apart(first, last) and (chemistry in LEAD_ACID or first.voltage_v <= 13.50):
        drop, u_drop = excess_drop(battery, d)
        if 1 - probability(0.100 - drop, u_drop) >= 1 - 0.05:
            fired.append(("hold-drop-fails", RECYCLE, INTACT))
        if 1 - probability(0.050 - drop, u_drop) >= 1 - 0.05:
            fired.append(("hold-drop-high", CAP, INTACT))
    star, u = settled(battery, a, d)
    above_80 = probability(star - volts_at(chemistry, 80), u)
    above_60 = probability(star - volts_at(chemistry, 60), u)
    if above_80 >= 1 - 0.05:
        fired.append(("hold-high", CAP_RESALE, INTACT))
    elif above_60 >= 1 - 0.05:
        fired.append(("hold-middle", CAP, INTACT))
    elif 1 - above_60 >= 1 - 0.05:
        fired.append(("hold-low", RECYCLE if t2 >= 12 else UNRESOLVED, INTACT))
    else:
        fired.append(("hold-unclear", UNRESOLVED, INTACT))
    return fired


def capacity(battery: Battery) -> Fired:
    """Apply the two capacity rules."""
    delivered, rated, chemistry = battery.delivered_capacity_ah, battery.rated_capacity_ah, battery.chemistry
    if delivered is None or rated is None or chemistry not in IDENTIFIED:
        return []
    hours = 20 if battery.discharge_time_h is None else battery.discharge_time_h
    temperature = 25 if battery.temperature_c is None else battery.temperature_c
    kappa = 0.0 if chemistry is LFP else 0.006 if hours >= 5 else 0.010
    p = {Chemistry.AGM: 1.10, Chemistry.GEL: 1.15, LFP: 1.03}.get(chemistry, 1.25)
    rate = (delivered / hours) / (rated / 20)
    q = delivered * rate ** (p - 1) / (1 + kappa * (temperature - 25)) / rated
    if probability(q - 0.80, 0.03) >= 1 - 0.05:
        return []
    if 1 - probability(q - 0.60, 0.03) >= 1 - 0.05:
        return [("capacity-spent", RECYCLE, INTACT)]
    return [("capacity-low", CAP, INTACT)]


def load_test(battery: Battery, a: float, d: float) -> Fired:
    """Apply the load test, if it was made on the terms of the text."""
    volts, current, seconds = battery.load_voltage_v, battery.load_current_a, battery.load_time_s
    rest = battery.rest_voltage_v
    if volts is None or current is None or seconds is None or rest is None:
        return []
    temperature = 25 if battery.temperature_c is None else battery.temperature_c
    by_cca = battery.rated_cca_a is not None and not less(current, 0.4 * battery.rated_cca_a)
    by_ah = battery.rated_capacity_ah is not None and not less(current, 2.5 * battery.rated_capacity_ah)
    if (
        battery.chemistry not in LEAD_ACID
        or not 13 <= seconds <= 17
        or not (by_cca or by_ah)
        or less(at_25(battery.chemistry, rest, battery.temperature_c), 12.4)
        or not -18 <= temperature <= 40
    ):
        return []
    table = [(-18.0, 8.5), (-12, 8.7), (-7, 8.9), (-1, 9.1), (4, 9.3), (10, 9.4), (16, 9.5), (21, 9.6)]
    lowest = between(temperature, table)
    if not less(volts, lowest):
        return []
    surely = 1 - probability(volts - lowest, u_meter(volts, a, d)) >= 1 - 0.05
    return [("load-test-fails", RECYCLE if surely else CAP, INTACT)]


def strength_tests(battery: Battery, a: float, d: float) -> Fired:
    """Apply the strength tests, each only when its readings are there."""
    fired = capacity(battery)
    if battery.measured_cca_a is not None and battery.rated_cca_a is not None:
        ratio = battery.measured_cca_a / battery.rated_cca_a
        if less(ratio, 0.75):
            fired.append(("cranking-low", CAP, INTACT))
        if less(ratio, 0.50):
            fired.append(("cranking-spent", RECYCLE, INTACT))
    fired += load_test(battery, a, d)
    if battery.internal_resistance_mohm is not None and battery.rated_resistance_mohm is not None:
        ratio = battery.internal_resistance_mohm / battery.rated_resistance_mohm
        if not less(ratio, 1.3):
            fired.append(("resistance-high", CAP if less(ratio, 2.0) else RECYCLE, INTACT))
    gravities = battery.specific_gravity if battery.chemistry is Chemistry.FLOODED else ()
    if gravities:
        spread = max(gravities) - min(gravities)
        if less(0.025, spread):
            fired.append(("gravity-spread", RECYCLE if less(0.050, spread) else CAP, INTACT))
        if battery.hold_readings and min(gravities) < 1.150:
            fired.append(("gravity-low", RECYCLE, INTACT))
    cells = battery.cell_voltages_v if battery.chemistry is LFP else ()
    if cells:
        spread = max(cells) - min(cells)
        if less(0.05, spread):
            fired.append(("cell-spread", RECYCLE if less(0.30, spread) else CAP, INTACT))
        if min(cells) < 2.0:
            deep = min(cells) < 1.5
            fired.append(("cell-overdischarged", RECYCLE if deep else CAP, DAMAGED if deep else SUSPECT))
    return fired


def self_discharge(battery: Battery, d: float) -> Fired:
    """Cap a battery that loses more than 30 % a month at the low end of the interval.

    The tail is taken from the first reading, in volts; the interval is that of the drop, whose uncertainty
    is u_E: both readings share the meter's gain error.
    """
    readings = usable(battery)
    if battery.chemistry not in IDENTIFIED or not readings:
        return []
    t1, t2 = readings[0].after_charge_h, readings[-1].after_charge_h
    if t1 < 24 or less(t2 - t1, 24):
        return []
    tail = default_b(battery.chemistry) * log(t2 / t1)
    _, u_drop = excess_drop(battery, d)
    start = percent_at(battery.chemistry, reduced(battery, readings[0]) - tail - 1.96 * u_drop)
    end = percent_at(battery.chemistry, reduced(battery, readings[-1]))
    low = (start - end) / (t2 - t1) * 24 * 30.4
    return [("self-discharge-high", CAP, INTACT)] if less(30, low) else []


def evidence_of(battery: Battery) -> Evidence:
    """Return what the readings can carry."""
    readings = usable(battery)
    if readings:
        return Evidence.LONG_HOLD if readings[-1].after_charge_h >= 12 else Evidence.SHORT_HOLD
    return Evidence.NONE if battery.rest_voltage_v is None else Evidence.REST_ONLY


def grade(battery: Battery, *, a: float, d: float) -> tuple[Grade, Evidence, Handling, set[str]]:
    """Grade one battery by the letter of the contract: an independent reading, used only in tests.

    Parameters
    ----------
    battery : Battery
        What was read.
    a : float
        Accuracy of the meter in % of the reading.
    d : float
        Fixed accuracy of the meter in V.

    Returns
    -------
    tuple[Grade, Evidence, Handling, set[str]]
        Grade, evidence, handling and the names of all rules that fired.
    """
    fired = [
        *safety_gates(battery),
        *rest_screen(battery, a, d),
        *hold_test(battery, a, d),
        *strength_tests(battery, a, d),
        *self_discharge(battery, d),
    ]
    effects = {effect for _, effect, _ in fired}
    if battery.row_errors:
        verdict = Grade.UNRESOLVED
    elif RECYCLE in effects:
        verdict = Grade.RECYCLE
    elif UNRESOLVED in effects:
        verdict = Grade.UNRESOLVED
    elif CAP in effects:
        verdict = Grade.RECONDITIONABLE
    else:
        verdict = Grade.RESALE
    ways = {way for _, _, way in fired}
    if battery.chemistry is LFP and verdict is Grade.UNRESOLVED:
        ways.add(SUSPECT)
    handling = DAMAGED if DAMAGED in ways else SUSPECT if SUSPECT in ways else INTACT
    return verdict, evidence_of(battery), handling, {rule for rule, _, _ in fired}
