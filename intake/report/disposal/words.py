"""One battery in the words and figures that a transport or waste form asks for."""

from typing import NamedTuple

from intake.model.battery import LEAD_ACID, Battery, Chemistry
from intake.model.condition import Condition
from intake.model.kilograms import kg_in_words
from intake.model.result import GradedBattery
from intake.model.rules import Rule
from intake.model.verdict import Evidence, Handling
from intake.report.drawing.plain_text import one_line
from intake.report.words.battery import value_and_interval, voltage_lines
from intake.report.words.charge_and_remarks import charge_told
from intake.report.words.totals import Total

LEAD_ACID_NOMINAL_V = 12.0
"""Six cells of 2 V in series (common practice)."""
LFP_NOMINAL_V = 12.8
"""Four cells of 3.2 V in series (common practice)."""
_NOT_KNOWN = "–"


class OfficerLine(NamedTuple):
    """The figures and facts of one battery as texts."""

    made: str
    energy: str
    mass: str
    voltage: str
    """The one that counts: the last of the hold, else at rest."""
    plain: bool
    """It can be diagnosed and is intact."""
    note: str


def officer_line(one: GradedBattery) -> OfficerLine:
    """Return what the sheet prints of a battery beside what was seen."""
    battery = one.battery
    return OfficerLine(
        made=f"made {battery.made.text}" if battery.made else "",
        energy=_energy(battery),
        mass=_NOT_KNOWN if one.mass_kg is None else kg_in_words(one.mass_kg),
        voltage=_voltage(battery),
        plain=not undiagnosed_because(one) and one.condition is Condition.INTACT,
        note=one_line(battery.note or ""),
    )


def kilograms(total: Total) -> str:
    """Return a net mass, a dash where no battery has one."""
    return _NOT_KNOWN if total.count == total.without_mass else kg_in_words(total.mass_kg)


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


def _voltage(battery: Battery) -> str:
    lines = voltage_lines(battery)
    return lines[-1].voltage if lines else _NOT_KNOWN


def seen_parts(one: GradedBattery) -> list[str]:
    """Return what was seen, the usual left out but for the plastic, which a code may hang on."""
    battery = one.battery
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
    if one.mass_kg is not None and one.mass_estimated:
        parts.append("mass estimated")
    return parts


def condition_in_words(one: GradedBattery, *, handling: bool = True) -> str:
    """Return whether lithium can be diagnosed, how it is handled where asked, and the charge left in it."""
    why = "" if one.battery.chemistry in LEAD_ACID else undiagnosed_because(one)
    parts = [f"not diagnosable: {why}"] if why else []
    if handling:
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
    return f"residual charge {value_and_interval(charge)}"
