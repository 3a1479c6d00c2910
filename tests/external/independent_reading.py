"""The grading contract read literally by somebody who has not seen the engine. Used only in tests.

Each rule in the order of the text, on the quantities of ``independent_quantities``. It returns what the
engine must also return; it explains nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from intake.model.battery import LEAD_ACID, Battery, Chemistry, Recovery, Use
from tests.external.independent_quantities import (
    IDENTIFIED,
    LFP,
    Z,
    at_25,
    between,
    bode_block_v,
    capacity_share,
    charge_at_rest,
    charge_held,
    excess_drop,
    less,
    own_temperature,
    probability,
    reduced,
    rest_uncertainty,
    self_discharge,
    settled,
    sure,
    the_fit,
    the_pair,
    u_meter,
    usable,
    volts_at,
)

RECYCLE, UNRESOLVED, CAP, CAP_RESALE, NOTE = "recycle", "unresolved", "cap", "cap resale", "note"
"""Effects, the strongest first."""
INTACT, SUSPECT, DAMAGED = "intact", "suspect", "damaged"
GRADES = {
    RECYCLE: "recycle",
    UNRESOLVED: "unresolved",
    CAP: "reconditionable",
    CAP_RESALE: "resale-after-charge",
    NOTE: "resale-after-charge",
}

Fired = Iterator[tuple[str, str, str]]
"""Rule, effect and handling of every rule that fired, in the order of the text."""

RULE_NAMES = (
    "case-breached dented under-recall terminal-broken terminal-loose terminal-corroded recovery-failed "
    "not-filled chemistry-unclear temperature-outside not-diagnosable no-reading reading-reversed "
    "reading-implausible not-rested no-voltage bms-may-be-open lfp-overdischarged lfp-deep unused-prepare "
    "capacity-shown needs-recovery rests-high cell-suspect hold-too-soon hold-cell-down hold-contradicts "
    "hold-drop-fails hold-drop-unclear hold-drop-high leak-fails leak-suspect hold-high hold-middle hold-low "
    "hold-unclear capacity-low capacity-spent cranking-low cranking-spent load-test-fails load-collapses "
    "resistance-high gravity-spread gravity-low cell-spread cell-overdischarged"
)
"""Every rule that the text names."""


@dataclass(frozen=True)
class Answer:
    """What the contract says of one battery. Grade, evidence and handling are the contract's own words."""

    grade: str
    evidence: str
    handling: str
    rules: frozenset[str]
    """The names of all rules that fired."""
    decisive: str
    """The first in the order of the text among the rules with the strongest effect."""
    figures: tuple[tuple[str, float], ...]
    """The working: name with its unit, and value."""
    leave_standing: bool
    """The next step is to leave it standing and to read again at 12 h."""


def safety_gates(battery: Battery) -> Fired:
    """Apply the safety gates."""
    lfp = battery.chemistry is LFP
    if battery.case in ("cracked", "leaking", "swollen", "burnt"):
        yield "case-breached", RECYCLE, DAMAGED
    if battery.case == "dented":
        yield ("dented", RECYCLE, DAMAGED) if lfp else ("dented", CAP, INTACT)
    if battery.under_recall:
        yield "under-recall", RECYCLE, DAMAGED if lfp else INTACT
    if battery.terminals == "broken":
        yield "terminal-broken", RECYCLE, DAMAGED if lfp else INTACT
    if battery.terminals == "loose":
        yield "terminal-loose", CAP, SUSPECT if lfp else INTACT
    if battery.terminals == "corroded":
        yield "terminal-corroded", NOTE, SUSPECT if lfp else INTACT
    if battery.recovery in (Recovery.NO_CHARGE_TAKEN, Recovery.DID_NOT_HOLD):
        yield "recovery-failed", RECYCLE, DAMAGED if lfp else INTACT
    if unfilled(battery):
        yield "not-filled", UNRESOLVED, INTACT
    if battery.chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN):
        yield "chemistry-unclear", UNRESOLVED, SUSPECT
    temperatures = [own_temperature(battery, reading) for reading in usable(battery)]
    if battery.rest_voltage_v is not None:
        temperatures.append(battery.temperature_c)
    if any(t is not None and (t < -20 or t > 55) for t in temperatures):
        yield "temperature-outside", UNRESOLVED, INTACT
    voltages = (battery.rest_voltage_v, battery.load_voltage_v, *battery.cell_voltages_v)
    if lfp and not battery.hold_readings and all(v is None for v in voltages):
        yield "not-diagnosable", UNRESOLVED, SUSPECT


def unfilled(battery: Battery) -> bool:
    """Tell whether it was delivered without acid. There is nothing to fill in an LFP, whatever was typed."""
    return battery.use is Use.UNUSED_DRY and battery.chemistry is not LFP


def rest_screen(battery: Battery, a: float, d: float) -> Fired:
    """Apply the rest screen; with any hold reading only ``lfp-overdischarged`` is left of it."""
    if unfilled(battery):
        return
    for rule in rest_rules(battery, a, d):
        if rule[0] == "lfp-overdischarged" or not battery.hold_readings:
            yield rule


def rest_rules(battery: Battery, a: float, d: float) -> Fired:
    """Apply every rule of the rest screen."""
    volts, lfp, lead_acid = battery.rest_voltage_v, battery.chemistry is LFP, battery.chemistry in LEAD_ACID
    if volts is None:
        yield "no-reading", UNRESOLVED, INTACT
        return
    rested = 0.5 if battery.rested_h is None else battery.rested_h
    v25 = at_25(battery.chemistry, volts, battery.temperature_c)
    if volts <= -0.5:
        yield "reading-reversed", UNRESOLVED, INTACT
    above_full = lead_acid and rested >= 4 and less(volts_at(battery.chemistry, 100) + 0.40, v25)
    if (lead_acid and volts > 15.0) or (lfp and volts > 14.6) or above_full:
        yield "reading-implausible", UNRESOLVED, INTACT
    if rested < 0.5:
        yield "not-rested", UNRESOLVED, INTACT
    if lead_acid and -0.5 < volts < 0.5:
        yield "no-voltage", RECYCLE, INTACT
    if lfp and -0.5 < volts < 6.0:
        if battery.bms_reset_tried:
            yield "lfp-overdischarged", RECYCLE, DAMAGED
        else:
            yield "bms-may-be-open", UNRESOLVED, SUSPECT
    if lfp and 6.0 <= volts < 8.8:
        yield "lfp-deep", CAP, SUSPECT
    if not (lfp or lead_acid):
        return
    u = rest_uncertainty(battery, volts, a, d)
    if sure(probability(v25 - (13.0 if lfp else 12.4), u)):
        yield "rests-high", CAP_RESALE, INTACT
        return
    share = capacity_share(battery)
    prepared = battery.use is Use.UNUSED and sure(probability(v25 - 11.4, u))
    shown = share is not None and sure(probability(share[0] - 0.80, share[1])) and volts >= 6.0
    if prepared:
        yield "unused-prepare", CAP_RESALE, INTACT
    if shown:
        yield "capacity-shown", CAP_RESALE, INTACT
    if not (prepared or shown):
        yield "needs-recovery", CAP, INTACT
    if lead_acid and not less(v25, 10.2) and not less(10.9, v25) and rested >= 2:
        yield "cell-suspect", NOTE, INTACT  # beside capacity-shown too: a flat block rests near 11.8 V


def hold_test(battery: Battery, a: float, d: float) -> Fired:
    """Apply the hold test."""
    chemistry, readings = battery.chemistry, usable(battery)
    if not readings:
        if battery.hold_readings:
            yield "hold-too-soon", UNRESOLVED, INTACT
        return
    if chemistry not in IDENTIFIED:
        return
    volts, t2 = [reduced(battery, reading) for reading in readings], readings[-1].after_charge_h
    if chemistry in LEAD_ACID and not less(volts[-1], 10.2) and not less(10.9, volts[-1]) and t2 >= 2:
        yield "hold-cell-down", RECYCLE, INTACT
    allowed = Z * 2**0.5 * d / 3**0.5 + 0.010
    if any(less(allowed, v - earlier) for place, v in enumerate(volts) for earlier in volts[:place]):
        yield "hold-contradicts", UNRESOLVED, INTACT
    yield from hold_drop(battery, d)
    fit = the_fit(battery, d=d)
    if fit is not None and fit.judged:
        if sure(probability(fit.r_v_per_day - 0.0050, fit.u_r_v_per_day)):
            yield "leak-fails", RECYCLE, INTACT
        if sure(probability(fit.r_v_per_day - 0.0015, fit.u_r_v_per_day), 0.80):
            yield "leak-suspect", CAP, INTACT
    at_rest = settled(battery, a, d)
    above_80 = probability(at_rest.star_v - volts_at(chemistry, 80), at_rest.u_v)
    above_60 = probability(at_rest.star_v - volts_at(chemistry, 60), at_rest.u_v)
    if sure(above_80):
        yield "hold-high", CAP_RESALE, INTACT
    elif sure(above_60):
        yield "hold-middle", CAP, INTACT
    elif sure(1 - above_60):
        yield "hold-low", RECYCLE if t2 >= 12 else UNRESOLVED, INTACT
    else:
        yield "hold-unclear", UNRESOLVED, INTACT


def hold_drop(battery: Battery, d: float) -> Fired:
    """Apply the three rules of a drop over the pair."""
    pair = the_pair(battery)
    if pair is None:
        return
    drop, u = excess_drop(battery, *pair, d=d)
    at_most_100 = probability(0.100 - drop, u)
    if sure(1 - at_most_100):
        yield "hold-drop-fails", RECYCLE, INTACT
        return
    if not sure(at_most_100):
        yield "hold-drop-unclear", UNRESOLVED, INTACT
    if sure(1 - probability(0.050 - drop, u)):
        yield "hold-drop-high", CAP, INTACT


def capacity(battery: Battery) -> Fired:
    """Apply the two capacity rules."""
    share = capacity_share(battery)
    if share is None or sure(probability(share[0] - 0.80, share[1])):
        return
    if sure(1 - probability(share[0] - 0.60, share[1])):
        yield "capacity-spent", RECYCLE, INTACT
    else:
        yield "capacity-low", CAP, INTACT


def load_limit(battery: Battery) -> float | None:
    """Return the limit of the load test in V, or None if its terms, charge apart, are not met."""
    current, seconds = battery.load_current_a, battery.load_time_s
    temperature = 25 if battery.temperature_c is None else battery.temperature_c
    if battery.load_voltage_v is None or current is None or seconds is None:
        return None
    if battery.chemistry not in LEAD_ACID or not 13 <= seconds <= 17 or not -18 <= temperature <= 40:
        return None
    table = [(-18.0, 8.5), (-12, 8.7), (-7, 8.9), (-1, 9.1), (4, 9.3), (10, 9.4), (16, 9.5), (21, 9.6)]
    if battery.rated_cca_a is not None and not less(current, 0.4 * battery.rated_cca_a):
        return between(temperature, table)
    if battery.rated_capacity_ah is not None and not less(current, 2.5 * battery.rated_capacity_ah):
        return between(temperature, table) + 0.9
    return None


def charged_before_load(battery: Battery) -> bool:
    """Tell whether the last open-circuit reading before the load was 12.4 V or more at 25 degC."""
    held = [reading for reading in usable(battery) if reading.after_charge_h >= 2]
    if held:
        return not less(reduced(battery, held[-1]), 12.4)
    rest = battery.rest_voltage_v
    return rest is not None and not less(at_25(battery.chemistry, rest, battery.temperature_c), 12.4)


def load_test(battery: Battery, a: float, d: float) -> Fired:
    """Apply the load test: within its terms, or when all that is missing is the charge."""
    limit, volts = load_limit(battery), battery.load_voltage_v
    if limit is None or volts is None:
        return
    if charged_before_load(battery):
        if less(volts, limit):
            surely = sure(1 - probability(volts - limit, u_meter(volts, a, d)))
            yield "load-test-fails", RECYCLE if surely else CAP, INTACT
    elif less(volts, limit - 1.0):
        yield "load-collapses", CAP, INTACT


def strength_tests(battery: Battery, a: float, d: float) -> Fired:
    """Apply the strength tests, each only when its readings are there."""
    yield from capacity(battery)
    if battery.measured_cca_a is not None and battery.rated_cca_a is not None:
        ratio = battery.measured_cca_a / battery.rated_cca_a
        if less(ratio, 0.75):
            yield "cranking-low", CAP, INTACT
        if less(ratio, 0.50):
            yield "cranking-spent", RECYCLE, INTACT
    yield from load_test(battery, a, d)
    if battery.internal_resistance_mohm is not None and battery.rated_resistance_mohm is not None:
        ratio = battery.internal_resistance_mohm / battery.rated_resistance_mohm
        if not less(ratio, 1.3):
            yield "resistance-high", CAP if less(ratio, 2.0) else RECYCLE, INTACT
    gravities = battery.specific_gravity if battery.chemistry is Chemistry.FLOODED else ()
    if gravities:
        spread = max(gravities) - min(gravities)
        if less(0.025, spread):
            yield "gravity-spread", RECYCLE if less(0.050, spread) else CAP, INTACT
        if battery.hold_readings and min(gravities) < 1.150:
            latest = max(battery.hold_readings, key=lambda reading: reading.after_charge_h)
            apart = abs(bode_block_v(sum(gravities) / 6) - latest.voltage_v)
            if not less(0.25, apart):
                yield "gravity-low", RECYCLE, INTACT
    cells = battery.cell_voltages_v if battery.chemistry is LFP else ()
    if cells:
        spread = max(cells) - min(cells)
        if less(0.05, spread):
            yield "cell-spread", RECYCLE if less(0.30, spread) else CAP, INTACT
        if min(cells) < 2.0:
            deep = min(cells) < 1.5
            yield "cell-overdischarged", RECYCLE if deep else CAP, DAMAGED if deep else SUSPECT


def evidence_of(battery: Battery) -> str:
    """Return how much was read, whatever the verdict."""
    readings = usable(battery)
    if not readings:
        return "none" if battery.rest_voltage_v is None else "rest-only"
    if readings[-1].after_charge_h < 12:
        return "short-hold"
    if capacity_share(battery) is not None:
        return "capacity"
    cranked = battery.measured_cca_a is not None and battery.rated_cca_a is not None
    loaded = load_limit(battery) is not None and charged_before_load(battery)
    return "strength" if cranked or loaded else "long-hold"


def figures_of(battery: Battery, a: float, d: float) -> dict[str, float]:
    """Return the working that the text prints beside its examples, where the battery has it."""
    found: dict[str, float] = {}
    if battery.chemistry not in IDENTIFIED:
        return found
    if battery.rest_voltage_v is not None:
        limit = 13.0 if battery.chemistry is LFP else 12.4
        u = rest_uncertainty(battery, battery.rest_voltage_v, a, d)
        distance = at_25(battery.chemistry, battery.rest_voltage_v, battery.temperature_c) - limit
        low, high = charge_at_rest(battery, battery.rest_voltage_v, a, d)
        found |= {"rest_low_percent": low, "rest_high_percent": high}
        found |= {"rest_u_v": u, "rest_to_be_sure_v": limit + Z * u, "rest_p": probability(distance, u)}
    if not usable(battery):
        return found
    at_rest, pair, fit = settled(battery, a, d), the_pair(battery), the_fit(battery, d=d)
    found |= {"star_v": at_rest.star_v, "u_settle_v": at_rest.u_settle_v, "hold_u_v": at_rest.u_v}
    value, low, high = charge_held(battery, a, d)
    found |= {"held_percent": value, "held_low_percent": low, "held_high_percent": high}
    if at_rest.own_b_v is not None and at_rest.used_b_v is not None:
        found |= {"own_b_v": at_rest.own_b_v, "used_b_v": at_rest.used_b_v}
    for percent in (80, 60):
        limit = volts_at(battery.chemistry, percent)
        found[f"hold_{percent}_to_be_sure_v"] = limit + Z * at_rest.u_v
        found[f"hold_{percent}_p"] = probability(at_rest.star_v - limit, at_rest.u_v)
    if pair is not None:
        drop, u = excess_drop(battery, *pair, d=d)
        found |= {"drop_v": drop, "u_drop_v": u, "drop_at_most_100_p": probability(0.100 - drop, u)}
    if fit is not None:
        r, u_r = fit.r_v_per_day, fit.u_r_v_per_day
        found |= {"fit_b_v": fit.b_v, "r_v_per_day": r, "u_r_v_per_day": u_r}
        found |= {"suspect_p": probability(r - 0.0015, u_r), "leak_p": probability(r - 0.0050, u_r)}
        found |= self_discharge(battery, fit)
    return found


def grade(battery: Battery, *, a: float, d: float) -> Answer:
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
    Answer
        Grade, evidence, handling, the rules that fired and the working.
    """
    fired = [
        *safety_gates(battery),
        *rest_screen(battery, a, d),
        *hold_test(battery, a, d),
        *strength_tests(battery, a, d),
    ]
    order = tuple(GRADES)
    decisive, effect, _ = min(fired, key=lambda one: order.index(one[1]))
    verdict = "unresolved" if battery.row_errors else GRADES[effect]
    ways = {way for _, _, way in fired}
    doubted = verdict == "unresolved" or any(effect == UNRESOLVED for _, effect, _ in fired)
    if battery.chemistry is LFP and doubted:
        ways.add(SUSPECT)
    readings = usable(battery)
    return Answer(
        grade=verdict,
        evidence=evidence_of(battery),
        handling=DAMAGED if DAMAGED in ways else SUSPECT if SUSPECT in ways else INTACT,
        rules=frozenset(rule for rule, _, _ in fired),
        decisive=decisive,
        figures=tuple(figures_of(battery, a, d).items()),
        leave_standing=bool(readings) and readings[-1].after_charge_h < 12 and verdict != "recycle",
    )
