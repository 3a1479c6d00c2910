"""One battery in the words and figures that a transport or waste form asks for."""

from dataclasses import dataclass

from intake.model.battery import LEAD_ACID, Battery, Chemistry
from intake.model.condition import Condition
from intake.model.result import GradedBattery
from intake.model.rules import Rule
from intake.model.verdict import Evidence, Handling
from intake.report.drawing.plain_text import one_line
from intake.report.words.battery import chemistry_in_words, interval_in_words, voltage_lines
from intake.report.words.charge_and_remarks import charge_told

LEAD_ACID_NOMINAL_V = 12.0
"""Six cells of 2 V in series (common practice)."""
LFP_NOMINAL_V = 12.8
"""Four cells of 3.2 V in series (common practice)."""
_NOT_KNOWN = "–"


@dataclass(frozen=True, slots=True)
class OfficerLine:
    """The figures and facts of one battery as texts."""

    tag: str
    position: str
    chemistry: str
    made: str
    capacity: str
    energy: str
    mass: str
    mass_method: str
    voltage: str
    voltage_kind: str
    seen: str
    """Case, terminals, plastic, mark, recall."""
    held: str
    """The last reading of a hold, where the rest voltage stands before it."""
    condition: str
    """Whether it can be diagnosed, how it has to be handled, and the charge left in it."""
    plain: bool
    """It can be diagnosed and is intact."""
    reason: str
    marking: str
    note: str


def officer_line(one: GradedBattery) -> OfficerLine:
    """Return everything that the sheet holds about one battery and a form may ask for."""
    battery = one.battery
    voltage, kind = _voltage(battery)
    mass, method = _mass(one)
    return OfficerLine(
        tag=one.name,
        position=f"position {one_line(battery.position)}" if battery.position else "position not given",
        chemistry=chemistry_in_words(battery.chemistry),
        made=battery.made.text if battery.made else "not given",
        capacity=_NOT_KNOWN if battery.rated_capacity_ah is None else f"{battery.rated_capacity_ah:g}",
        energy=_energy(battery),
        mass=mass,
        mass_method=method,
        voltage=voltage,
        voltage_kind=kind,
        seen=_seen(battery),
        held=_held(battery),
        condition=_condition(one),
        plain=not undiagnosed_because(one) and one.condition is Condition.INTACT,
        reason=one_line(one.verdict.decisive.text),
        marking=one_line(battery.marking or ""),
        note=one_line(battery.note or ""),
    )


def energy_wh(battery: Battery) -> float | None:
    """Return the energy in Wh as rated capacity times nominal voltage, None where either is not known."""
    if battery.rated_capacity_ah is None:
        return None
    if battery.chemistry is Chemistry.LFP:
        return battery.rated_capacity_ah * LFP_NOMINAL_V
    if battery.chemistry in LEAD_ACID:
        return battery.rated_capacity_ah * LEAD_ACID_NOMINAL_V
    return None


def undiagnosed_because(one: GradedBattery) -> str:
    """Return why a battery cannot be diagnosed before carriage; empty where it can."""
    if one.battery.chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN):
        return "chemistry not identified"
    if one.battery.case is None:
        return "case not read"
    if one.look_again:
        return "its note speaks of damage"
    if one.verdict.evidence is Evidence.NONE:
        return "no usable reading"
    if any(step.rule is Rule.LFP_OVERDISCHARGED for step in one.verdict.reasons):
        return "the protection circuit did not wake"
    if one.verdict.handling is Handling.SUSPECT:
        return "suspect"
    return ""


def _energy(battery: Battery) -> str:
    energy = energy_wh(battery)
    return _NOT_KNOWN if energy is None else f"{energy:.0f}"


def _mass(one: GradedBattery) -> tuple[str, str]:
    if one.mass_kg is None:
        return _NOT_KNOWN, "not weighed"
    return f"{one.mass_kg:.1f}", "estimated" if one.mass_estimated else "weighed"


def _voltage(battery: Battery) -> tuple[str, str]:
    """Return the rest voltage, else the last of the hold."""
    lines = voltage_lines(battery)
    if not lines:
        return _NOT_KNOWN, "not read"
    line = lines[0] if battery.rest_voltage_v is not None else lines[-1]
    hours = f" {line.hours} h" if line.hours else ""
    return line.voltage, f"{line.label}{hours}"


def _held(battery: Battery) -> str:
    if battery.rest_voltage_v is None or not battery.hold_readings:
        return ""
    last = battery.hold_readings[-1]
    return f"{last.voltage_v:g} V {round(last.after_charge_h, 2):g} h after the end of charge"


def _seen(battery: Battery) -> str:
    """Return what was seen, the usual left out but for the plastic, which a code may hang on."""
    parts = [f"case {battery.case or 'not read'}"] if battery.case != "sound" else []
    if battery.terminals != "sound":
        parts.append(f"terminals {battery.terminals or 'not inspected'}")
    parts.append(f"plastic {battery.case_plastic}")
    if battery.non_spillable_mark:
        parts.append("non-spillable mark")
    if battery.under_recall is not False:
        parts.append("UNDER RECALL" if battery.under_recall else "recall not checked")
    if battery.bms_reset_tried is not None:
        parts.append(f"BMS reset {'tried' if battery.bms_reset_tried else 'not tried'}")
    return ", ".join(parts)


def _condition(one: GradedBattery) -> str:
    why = undiagnosed_because(one)
    parts = [f"Not diagnosable: {why}"] if why else []
    parts.append(handling_in_words(one))
    if one.battery.chemistry is Chemistry.LFP:
        parts.append(_residual(one))
    return "; ".join(parts)


def handling_in_words(one: GradedBattery) -> str:
    """Return how to handle a battery; never as intact where its case was not read or is in doubt."""
    if one.condition is Condition.CASE_NOT_READ:
        return "case not read: handle as suspect"
    if one.look_again:
        return f"set apart, look again first: {one.look_again}"
    return f"handle as {one.condition.value}"


def _residual(one: GradedBattery) -> str:
    charge = charge_told(one.verdict)
    if charge is None:
        return "residual charge not known"
    return f"residual charge {charge.value_percent:.0f} % ({interval_in_words(charge)})"
