"""One battery in words and figures, as the documents on paper print it."""

from typing import NamedTuple

from intake.model.battery import Battery, Chemistry
from intake.model.kilograms import kg_in_words
from intake.model.result import GradedBattery
from intake.model.shown import shown_c, shown_h
from intake.model.verdict import StateOfCharge, Verdict
from intake.report.drawing.plain_text import one_line
from intake.report.words.charge_and_remarks import charge_told

_VOLT_DECIMALS = 3
_LEAST_VOLT_DECIMALS = 2
_REFUSED = "reading refused: see findings"


def chemistry_in_words(chemistry: Chemistry) -> str:
    """Return the chemistry so that it can stand in a sentence."""
    unclear = chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN)
    return f"chemistry {chemistry.value}" if unclear else chemistry.value


def mass_in_words(one: GradedBattery) -> str:
    """Return the mass and whether it was weighed."""
    if one.mass_kg is None:
        return "mass not known"
    return f"{kg_in_words(one.mass_kg)} kg{' estimated' if one.mass_estimated else ''}"


def kind_lines(battery: Battery) -> list[str]:
    """Return chemistry, and size as far as it is given."""
    size = []
    if battery.rated_capacity_ah is not None:
        size.append(f"{battery.rated_capacity_ah:g} Ah")
    if battery.rated_cca_a is not None:
        size.append(f"{battery.rated_cca_a:g} A")
    return [chemistry_in_words(battery.chemistry), ", ".join(size)]


def identity_lines(battery: Battery) -> list[str]:
    """Return chemistry and size, and of one that nobody has identified its marking."""
    unclear = battery.chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN)
    marked = [f"marked: {one_line(battery.marking)}"] if unclear and battery.marking else []
    return [*kind_lines(battery), *marked]


def counting_reading(battery: Battery) -> str:
    """Return the voltage that counts, how long after what and how warm it was read."""
    found = voltage_lines(battery)
    if not found:
        return _REFUSED if _is_refused(battery) else "no voltage read"
    last = found[-1]
    hours = f"{last.label} {last.hours} h" if last.hours else last.label
    parts = [f"{last.voltage} V", hours, f"{last.temperature} °C" if last.temperature else ""]
    return ", ".join(part for part in parts if part)


def reading_lines(battery: Battery) -> list[str]:
    """Return every reading, one a line, and what was seen that is not as it should be."""
    seen = [
        f"{name} {value}"
        for name, value in (("case", battery.case), ("terminals", battery.terminals))
        if value not in (None, "sound")
    ]
    volts = [
        " ".join(
            part
            for part in (
                f"{one.label} {one.voltage} V",
                f"{one.hours} h" if one.hours else "",
                f"{one.temperature} °C" if one.temperature else "",
            )
            if part
        )
        for one in voltage_lines(battery)
    ]
    return [*seen, *volts, *strength_lines(battery)] or [_REFUSED if _is_refused(battery) else "nothing read"]


def _is_refused(battery: Battery) -> bool:
    """Say whether an error of the row is about a voltage: one was typed, and was not taken."""
    return any("voltage" in error.lower() for error in battery.row_errors)


def charge_in_words(verdict: Verdict) -> str:
    """Return the charge, held or at rest, with its 95 % interval."""
    charge = charge_told(verdict)
    if charge is None:
        return "charge not known"
    held = "held " if verdict.held_charge else ""
    if charge.interval_only:
        return f"{held}{interval_in_words(charge)}"
    return f"{held}{value_and_interval(charge)}"


class VoltageLine(NamedTuple):
    """One open-circuit reading as texts, the units left out where the header names them."""

    label: str
    voltage: str
    hours: str
    temperature: str


def voltage_lines(battery: Battery) -> list[VoltageLine]:
    """Return the rest voltage and every hold reading, figures as they were written."""
    lines = []
    if battery.rest_voltage_v is not None:
        hours = "" if battery.rested_h is None else shown_h(battery.rested_h)
        lines.append(
            VoltageLine(
                "rest",
                _volts(battery.rest_voltage_v),
                hours,
                _degrees(battery.temperature_c),
            )
        )
    lines += [
        VoltageLine(
            "hold",
            _volts(reading.voltage_v),
            shown_h(reading.after_charge_h),
            _degrees(reading.temperature_c),
        )
        for reading in battery.hold_readings
    ]
    return lines


def _degrees(temperature_c: float | None) -> str:
    return "" if temperature_c is None else shown_c(temperature_c)


def tests_in_words(battery: Battery) -> str:
    """Return which tests were made, whether they count as evidence or not; empty where none was."""
    made = {
        "capacity": battery.delivered_capacity_ah,
        "load": battery.load_voltage_v,
        "cranking": battery.measured_cca_a,
    }
    return " and ".join(name for name, reading in made.items() if reading is not None)


def strength_lines(battery: Battery) -> list[str]:
    """Return every other reading, one test a line."""
    lines = []
    if battery.load_voltage_v is not None:
        lines.append(
            f"load {battery.load_voltage_v:g} V at {_or_blank(battery.load_current_a)} A, "
            f"{_or_blank(battery.load_time_s)} s"
        )
    if battery.measured_cca_a is not None:
        standard = f" {battery.cca_standard}" if battery.cca_standard else ""
        lines.append(f"CCA {battery.measured_cca_a:g} of {_or_blank(battery.rated_cca_a)} A{standard}")
    if battery.delivered_capacity_ah is not None:
        hours = "" if battery.discharge_time_h is None else f" in {shown_h(battery.discharge_time_h)} h"
        lines.append(f"gave {battery.delivered_capacity_ah:g} Ah{hours}")
    if battery.internal_resistance_mohm is not None:
        rated = battery.rated_resistance_mohm
        told = "" if rated is None else f", rated {rated:g} mΩ"
        lines.append(f"resistance {battery.internal_resistance_mohm:g} mΩ{told}")
    if battery.specific_gravity:
        lines.append("SG " + " ".join(f"{one:.3f}" for one in battery.specific_gravity))
    if battery.cell_voltages_v:
        lines.append("cells (V) " + " ".join(f"{one:.3f}" for one in battery.cell_voltages_v))
    if battery.bms_reset_tried is not None:
        lines.append("BMS reset tried" if battery.bms_reset_tried else "BMS reset not tried")
    return lines


def _volts(value: float) -> str:
    """Return volts as written, two decimals at least and three at most."""
    text = f"{round(value, _VOLT_DECIMALS):g}"
    return text if len(text.partition(".")[2]) > _LEAST_VOLT_DECIMALS else f"{value:.{_LEAST_VOLT_DECIMALS}f}"


def _or_blank(value: float | None) -> str:
    return "?" if value is None else f"{value:g}"


def interval_in_words(charge: StateOfCharge) -> str:
    """Return the 95 % interval of a state of charge; one figure where both ends round to it."""
    low, high = f"{charge.low_percent:.0f}", f"{charge.high_percent:.0f}"
    return f"{high} %" if low == high else f"{low} to {high} %"


def value_and_interval(charge: StateOfCharge) -> str:
    """Return a state of charge with its 95 % interval; the value alone where the interval adds nothing."""
    value, interval = f"{charge.value_percent:.0f} %", interval_in_words(charge)
    return value if value == interval else f"{value} ({interval})"


FROM_MEMORY = "from memory"
"""The status of a policy value that no opened source supports."""
