"""Random batteries whose readings crowd around the limits of the grading, and a workbook that holds them.

Everything follows from the seed. A battery keeps the rules of the input contract (pairs in pairs, gravities
on flooded and cells on LFP only), unless it carries a row error; then a reading may be missing anywhere.
"""

from collections.abc import Callable, Sequence
from datetime import date
from math import ceil, floor, log
from pathlib import Path
from random import Random
from typing import Any

import xlsxwriter

from intake.model.battery import Battery, Chemistry, DatePrecision, HoldReading, MadeDate, Recovery, Use
from intake.policy.dictionary import load_dictionary
from tests.changed import replace

METERS = ((0.5, 0.02), (0.1, 0.01), (0.05, 0.001), (1.5, 0.05), (0.0, 0.0))
"""Meter accuracies: % of reading, V."""

OFFSETS_V = (0.0, 0.0, 1e-3, -1e-3, 0.01, -0.01, 0.02, -0.02, 0.05, -0.05, 0.1, -0.1, 0.2, -0.2)
LEAD_ACID_REST_V = (
    *(-0.5, -0.6, 0.0, 0.0, 0.5, 6.0, 10.2, 10.4, 10.5, 10.6, 10.9, 10.9, 11.4, 11.5, 12.4, 12.5, 12.6),
    *(13.05, 13.15, 13.25, 13.30, 15.0, 15.0, 15.1),
)
LFP_REST_V = (-0.5, -0.6, 0.0, 3.0, 5.9, 6.0, 7.0, 8.8, 8.8, 13.0, 13.1, 14.6, 14.6, 14.7)
LEAD_ACID_HOLD_V = (
    *(10.2, 10.9, 11.9, 12.0, 12.1, 12.30, 12.37, 12.39, 12.40, 12.43, 12.466),
    *(12.5, 12.53, 12.6, 12.66, 12.7, 12.77, 12.9, 13.1),
)
LFP_HOLD_V = (12.9, 13.19, 13.33, 13.36, 13.5, 13.6)
EARLY_H = (0.0, 0.1, 0.25, 0.49)
FIRST_H = (0.5, 0.5, 0.51, 0.75, 1.0, 2.0, 6.0, 12.0, 23.9, 24.0, 24.0, 24.5, 30.0)
GAP_H = (0.2, 0.45, 0.5, 1.5, 3.0, 11.0, 11.49, 11.5, 12.0, 23.4, 23.5, 23.9, 24.0, 24.1, 48.0, 72.0, 240.0)
LONG_H = (
    (24.0, 96.0, 168.0),
    (24.0, 96.0, 168.0, 240.0),
    (2.0, 24.0, 96.0),
    (2.0, 24.0, 95.9),
    (1.99, 24.0, 96.0),
    (0.5, 2.0, 12.0, 24.0, 48.0, 96.0, 168.0),
    (12.0, 48.0, 120.0),
    (24.0, 48.0, 72.0, 96.0),
    (24.0, 360.0, 720.0),
)
"""Hours of the readings of a long hold, at and beside what a leak takes."""
LEAKS_V_PER_DAY = (0.0, 0.0, 0.0, 0.0005, 0.0015, 0.003, 0.005, 0.008, 0.012, 0.025, 0.06)
NEAR_5_K_C = (25.0, 20.0, 19.9, 30.0, 30.1, 22.0)
RISES_V = (0.005, 0.009, 0.010, 0.011, 0.012, 0.023, 0.024, 0.036, 0.037, 0.077, 0.078, 0.2)
"""By how much a reading lies above the one before it: at and beside what each meter allows."""
EXCESS_V = (-0.05, 0.0, 0.0, 0.0, 0.04, 0.05, 0.06, 0.09, 0.1, 0.11, 0.13, 0.16, 0.2, 0.4, 0.8)
REST_H = (0.0, 0.49, 0.5, 1.0, 1.99, 2.0, 2.99, 3.0, 4.0, 12.0, 24.0, 100.0)
TEMPERATURES_C = (25.0, 25.0, 21.0, 16.0, 10.0, -1.0, -12.0, -18.0, 5.0, 35.0, 40.0, 40.1, -18.1, 3.3)
OUTSIDE_C = (-20.0, -20.1, 55.0, 55.1, -40.0, 80.0)
STEPS = {
    "rest_voltage_v": 1e-3,
    "load_voltage_v": 1e-3,
    "delivered_capacity_ah": 0.01,
    "discharge_time_h": 0.01,
    "temperature_c": 0.02,
    "measured_cca_a": 0.2,
    "internal_resistance_mohm": 0.01,
    "rested_h": 0.01,
    "voltage_v": 1e-3,
    "after_charge_h": 0.01,
    "specific_gravity": 1e-3,
    "cell_voltages_v": 1e-3,
}
"""By how much a reading is moved in search of an edge, in its own unit."""
LEAST = {
    "delivered_capacity_ah": 0.0,
    "discharge_time_h": 0.01,
    "temperature_c": -60.0,
    "measured_cca_a": 0.0,
    "internal_resistance_mohm": 0.01,
    "rested_h": 0.0,
    "voltage_v": 0.0,
    "specific_gravity": 1.0,
    "cell_voltages_v": 0.0,
}
"""The smallest value that the column takes, where moving could lead below it."""
MOST = {"specific_gravity": 1.4, "cell_voltages_v": 5.0, "voltage_v": 14.6}
"""The largest, where moving could lead above it."""
READING_KEYS = ("after_charge_h", "voltage_v", "temperature_c")
MANY = ("specific_gravity", "cell_voltages_v")
UNREADABLE = "about a day"
"""What a battery with a row error has in its Rested cell."""


def _maybe(random: Random, share: float, values: Sequence[Any]) -> Any:
    return random.choice(values) if random.random() < share else None


def _near(random: Random, limits: Sequence[float], *, digits: int = 3) -> float:
    """Return a value at one of the limits, just beside it or some way off."""
    return round(random.choice(limits) + random.choice(OFFSETS_V) * random.choice((1, 1, 1, 4)), digits)


def _temperature(random: Random) -> float | None:
    if random.random() < 0.04:
        return random.choice(OUTSIDE_C)
    return random.choice(TEMPERATURES_C) if random.random() < 0.75 else None


def _hours(random: Random) -> list[float]:
    """Return the hours of a hold: a week of readings, or up to four at any hour."""
    if random.random() < 0.22:
        return list(random.choice(LONG_H))
    count = random.choice((0, 0, 0, 0, 0, 0, 1, 2, 2, 2, 3, 4))
    if count == 0:
        return []
    hours = [random.choice(EARLY_H)] if random.random() < 0.25 else []
    if len(hours) < count:
        hours.append(random.choice(FIRST_H))
    while len(hours) < count:
        hours.append(round(hours[-1] + random.choice(GAP_H), 2))
    return hours


def _hold(
    random: Random, *, chemistry: Chemistry, fallback_c: float | None, levels_v: Sequence[float]
) -> tuple[HoldReading, ...]:
    """Return readings that fall by a log tail and whatever else was lost; now and then one lies above.

    The latest stands near one of the levels.
    """
    hours = _hours(random)
    if not hours:
        return ()
    lfp = chemistry is Chemistry.LFP
    last_v = _near(random, levels_v)
    slope = 0.0 if lfp else random.choice((0.03, 0.040, 0.055, 0.055, 0.08))
    excess, leak = random.choice(EXCESS_V), random.choice(LEAKS_V_PER_DAY)
    own_temperatures, noise = random.random() < 0.3, random.choice((0.0, 0.0, 0.002, 0.005))
    readings = []
    for place, hour in enumerate(hours):
        lost = slope * log(max(hours[-1], 0.1) / max(hour, 0.1)) + leak * (hours[-1] - hour) / 24
        left = excess * (1 - place / max(1, len(hours) - 1)) if len(hours) > 1 and not leak else 0.0
        volts = min(max(round(last_v + lost + left + random.gauss(0, noise), 3), 0.0), 14.6 if lfp else 15.0)
        own = random.choice(NEAR_5_K_C) if own_temperatures and random.random() < 0.5 else None
        own = _temperature(random) if random.random() < 0.05 else own
        readings.append(HoldReading(hour, volts, fallback_c if own is None else own))
    if len(readings) > 1 and random.random() < 0.12:
        place = random.randrange(1, len(readings))
        above = round(readings[place - 1].voltage_v + random.choice(RISES_V), 3)
        readings[place] = replace(readings[place], voltage_v=min(above, 14.6 if lfp else 15.0))
    return tuple(readings)


def _look(random: Random) -> dict[str, Any]:
    """Return what an inspection without instruments finds, and fields no grade rests on."""
    year, month = random.randrange(2014, 2026), random.randrange(1, 13)
    made = MadeDate(date(year, month, 1), date(year, month, 28), DatePrecision.DAY)
    return {
        "case": random.choices(
            ("sound", "scuffed", "dented", "cracked", "leaking", "swollen", "burnt"),
            (70, 20, 3, 1, 1, 1, 1),
        )[0],
        "terminals": random.choices((None, "sound", "corroded", "loose", "broken"), (20, 60, 10, 3, 2))[0],
        "under_recall": random.choices((None, False, True), (40, 57, 3))[0],
        "use": random.choices(tuple(Use), (85, 12, 3))[0],
        "recovery": random.choices(tuple(Recovery), (85, 10, 2, 2))[0],
        "case_plastic": random.choice(("PP", "other", "unknown")),
        "non_spillable_mark": random.random() < 0.3,
        "mass_kg": _maybe(random, 0.5, (9.5, 15.2, 27.0)),
        "made": replace(made, latest=made.earliest) if random.random() < 0.5 else None,
        "position": _maybe(random, 0.5, ("A1", "A2", "B1")),
        "cca_standard": _maybe(random, 0.3, ("SAE", "EN", "IEC", "DIN", "JIS")),
        "charge_returned_ah": _maybe(random, 0.2, (12.0, 40.5)),
        "note": _maybe(random, 0.2, ("corner seat", "=not a formula")),
    }


def _strength(random: Random, *, chemistry: Chemistry) -> dict[str, Any]:
    """Return the strength tests: most batteries have few of them."""
    rated, cranking = (
        _maybe(random, 0.8, (7.0, 40.0, 60.0, 100.0)),
        _maybe(random, 0.7, (300.0, 540.0, 760.0)),
    )
    found: dict[str, Any] = {"rated_capacity_ah": rated, "rated_cca_a": cranking}
    if random.random() < 0.25:
        hours = _maybe(random, 0.7, (1.0, 4.99, 5.0, 10.0, 20.0, 24.0))
        share = _near(random, (0.551, 0.60, 0.70, 0.80, 0.849, 0.95))
        found |= {
            "delivered_capacity_ah": round((rated or 60.0) * max(share, 0.0), 2),
            "discharge_time_h": hours,
        }
    if random.random() < 0.25:
        share = random.choice((0.3, 0.495, 0.5, 0.505, 0.6, 0.745, 0.75, 0.755, 0.9))
        found["measured_cca_a"] = round((cranking or 540.0) * share, 1)
    if random.random() < 0.5:
        by_cca, by_ah = 0.4 * (cranking or 540.0), 2.5 * (rated or 60.0)
        current = random.choice((by_cca, by_ah, by_cca - 1, by_ah - 1, 1.25 * by_cca, 2 * by_ah))
        seconds = random.choice((15.0, 15.0, 15.0, 13.0, 17.0, 12.9, 17.1))
        volts = _near(
            random, (7.2, 7.5, 8.3, 8.5, 8.6, 8.9, 9.3, 9.4, 9.5, 9.5, 9.6, 9.6, 9.6, 10.4, 10.5, 10.5)
        )
        found |= {"load_current_a": round(current, 3), "load_time_s": seconds, "load_voltage_v": volts}
    if random.random() < 0.25:
        rise = random.choice((1.0, 1.1, 1.25, 1.299, 1.3, 1.301, 1.6, 1.99, 2.0, 2.01))
        found["rated_resistance_mohm"] = _maybe(random, 0.9, (3.0, 5.0, 7.1))
        found["internal_resistance_mohm"] = round((found["rated_resistance_mohm"] or 5.0) * rise, 4)
    if chemistry is Chemistry.FLOODED and random.random() < 0.5:
        low = random.choice((1.11, 1.12, 1.13, 1.14, 1.149, 1.149, 1.150, 1.151, 1.22, 1.25, 1.265))
        spread = random.choice((0.0, 0.005, 0.024, 0.025, 0.026, 0.04, 0.05, 0.051, 0.08))
        others = [round(low + spread * random.choice((0, 0.5, 1)), 3) for _ in range(4)]
        found["specific_gravity"] = (low, *others, round(low + spread, 3))
    if chemistry is Chemistry.LFP and random.random() < 0.4:
        low = random.choice((1.49, 1.5, 1.99, 2.0, 2.01, 3.1, 3.3, 3.3, 3.32))
        spread = random.choice((0.0, 0.01, 0.049, 0.05, 0.051, 0.2, 0.299, 0.3, 0.301, 0.9))
        found["cell_voltages_v"] = (low, low, round(low + spread, 3), low)
    return found


def _with_row_error(random: Random, battery: Battery) -> Battery:
    """Return the battery as it is left when its Rested cell, and perhaps others, could not be read."""
    lost: dict[str, Any] = {
        key: None
        for key in (
            "case",
            "rest_voltage_v",
            "temperature_c",
            "load_current_a",
            "load_voltage_v",
            "rated_cca_a",
        )
        if random.random() < 0.2
    }
    return replace(battery, rested_h=None, row_errors=(f"Rested: {UNREADABLE}",), **lost)


def random_batteries(*, seed: int, count: int) -> list[Battery]:
    """Return so many random batteries; the same seed gives the same ones."""
    random = Random(seed)
    batteries = []
    for number in range(1, count + 1):
        chemistry = random.choices(tuple(Chemistry), (20, 9, 9, 18, 9, 31, 2, 2))[0]
        lfp = chemistry is Chemistry.LFP
        temperature, hold_temperature = _temperature(random), _maybe(random, 0.3, TEMPERATURES_C)
        rest = _near(random, LFP_REST_V if lfp else LEAD_ACID_REST_V) if random.random() < 0.75 else None
        if rest is not None and random.random() < 0.3:
            rest = _near(random, (13.2, 13.3) if lfp else (12.5, 12.6, 12.7))
        look = _look(random)
        if look["use"] is Use.UNUSED and random.random() < 0.6:
            rest = _near(random, (11.4, 11.5, 12.0, 12.4))
        strength = _strength(random, chemistry=chemistry) if random.random() < 0.7 else {}
        if "load_time_s" in strength and not lfp and random.random() < 0.7:
            rest, temperature = _near(random, (12.6, 12.8)), random.choice((None, *TEMPERATURES_C))
        levels_v = LFP_HOLD_V if lfp else LEAD_ACID_HOLD_V
        if "specific_gravity" in strength and random.random() < 0.5:
            levels_v = (11.75, 11.9, 12.0, 12.2)
        holds = _hold(
            random,
            chemistry=chemistry,
            fallback_c=temperature if hold_temperature is None else hold_temperature,
            levels_v=levels_v,
        )
        if "delivered_capacity_ah" in strength and random.random() < 0.4:
            rest, holds = _near(random, (6.0, 11.0, 12.0)), ()
        battery = Battery(
            tag=f"R{seed}-{number:04d}",
            row=number + 1,
            chemistry=chemistry,
            rest_voltage_v=rest,
            rested_h=_maybe(random, 0.9, REST_H),
            temperature_c=temperature,
            bms_reset_tried=_maybe(random, 0.7, (True, False)) if lfp else None,
            hold_temperature_c=hold_temperature,
            hold_readings=holds,
            **look,
            **strength,
        )
        batteries.append(_with_row_error(random, battery) if random.random() < 0.03 else battery)
    return batteries


def _value(battery: Battery, field: str) -> Any:
    """Return a field of the battery, or with its place one of many: ``voltage_v 0`` of a hold reading."""
    key, _, place = field.partition(" ")
    if not place:
        return getattr(battery, key)
    if key in MANY:
        return getattr(battery, key)[int(place)]
    return getattr(battery.hold_readings[int(place)], key)


def _moved(battery: Battery, field: str, steps: int) -> Battery:
    """Return the battery with one reading moved by so many steps of what its instrument shows."""
    key, _, place = field.partition(" ")
    value = round(_value(battery, field) + steps * STEPS[key], 3)
    changed: dict[str, Any] = {key: value}
    if place:
        many = list(getattr(battery, key) if key in MANY else battery.hold_readings)
        many[int(place)] = value if key in MANY else replace(many[int(place)], **changed)
        changed = {key if key in MANY else "hold_readings": tuple(many)}
    return replace(battery, **changed)


def _fields(battery: Battery) -> list[str]:
    """Return what can be moved, voltages and the latest reading of a hold more often than the rest."""
    single = [field for field in STEPS if isinstance(getattr(battery, field, None), float)]
    single += [field for field in single if field not in ("rested_h", "temperature_c")]
    single += [f"{key} {place}" for key in MANY for place in range(len(getattr(battery, key)))][-2:] * 2
    readings = battery.hold_readings
    if not readings:
        return single
    last = len(readings) - 1
    places = [*range(len(readings)), last]
    own = [f"temperature_c {last}"] if readings[last].temperature_c is not None else []
    return single + [f"voltage_v {place}" for place in places] + [f"after_charge_h {last}"] * 2 + own


def _bounds(battery: Battery, field: str) -> tuple[int, int]:
    """Return by how many steps the reading can be moved down and up; hours stay behind those before."""
    key = field.partition(" ")[0]
    value, step, low, high = _value(battery, field), STEPS[key], -1600, 1600
    least = LEAST.get(key)
    if key == "after_charge_h":
        least = (0.0, *(reading.after_charge_h for reading in battery.hold_readings))[-2] + step
    if least is not None:
        low = max(low, ceil(round((least - value) / step, 6)))
    if key in MOST:
        high = min(high, floor(round((MOST[key] - value) / step, 6)))
    return min(low, 0), max(high, 0)


def edge_pair(random: Random, battery: Battery, answer: Callable[[Battery], object]) -> list[Battery]:
    """Return two neighbours, one step apart in one reading, between which the answer changes.

    Parameters
    ----------
    random : Random
        Chooses the reading that is moved, and the edge where there are several.
    battery : Battery
        Where to start from.
    answer : Callable[[Battery], object]
        What is compared.

    Returns
    -------
    list[Battery]
        Two, or none if the answer stays within 1,600 steps on either side.
    """
    fields = _fields(battery)
    if not fields:
        return []
    field = random.choice(fields)
    lowest, highest = _bounds(battery, field)
    marks = [*range(lowest, highest, 40), highest]
    answers = [answer(_moved(battery, field, mark)) for mark in marks]
    edges = [place for place in range(len(marks) - 1) if answers[place] != answers[place + 1]]
    if not edges:
        return []
    place = random.choice(edges)
    low, high, before = marks[place], marks[place + 1], answers[place]
    while high - low > 1:
        middle = (low + high) // 2
        if answer(_moved(battery, field, middle)) == before:
            low = middle
        else:
            high = middle
    return [_moved(battery, field, low), _moved(battery, field, high)]


def meter_for(battery: Battery) -> tuple[float, float]:
    """Return the accuracy of the meter that a random battery was read with, in % of reading and V."""
    return METERS[battery.row % len(METERS)]


def _in_columns(battery: Battery) -> tuple[list[tuple[str, HoldReading]], list[HoldReading]]:
    """Split the hold readings into those of the row's own columns and those of the further sheet."""
    fallback = battery.temperature_c if battery.hold_temperature_c is None else battery.hold_temperature_c
    readings = battery.hold_readings
    if any(reading.temperature_c != fallback for reading in readings) or not readings:
        return [], list(readings)
    if len(readings) == 1:
        return [("hold_start", readings[0])], []
    return [("hold_start", readings[0]), ("hold_end", readings[-1])], list(readings[1:-1])


def _cells(battery: Battery) -> dict[tuple[str, int | None], str | float]:
    """Return what a battery's row shows, by key and place of the column."""
    words = {True: "yes", False: "no"}
    values: dict[tuple[str, int | None], str | float] = {}
    for key in Battery._fields:
        value = getattr(battery, key)
        if isinstance(value, bool):
            values[key, None] = words[value]
        elif isinstance(value, MadeDate):
            values[key, None] = value.text
        elif isinstance(value, tuple):
            values |= {(key, place): one for place, one in enumerate(value, 1) if isinstance(one, float)}
        elif value is not None:
            values[key, None] = value
    for side, reading in _in_columns(battery)[0]:
        values[f"{side}_v", None] = reading.voltage_v
        values[f"{side}_after_h", None] = reading.after_charge_h
    if battery.row_errors:
        values["rested_h", None] = UNREADABLE
    return values


def write_workbook(path: Path, batteries: Sequence[Battery], *, meter: tuple[float, float]) -> None:
    """Write the batteries into an intake workbook.

    Parameters
    ----------
    path : Path
        Where to write; an existing file is replaced.
    batteries : Sequence[Battery]
        From row 2 on, in this order.
    meter : tuple[float, float]
        Accuracy in % of reading and in V.
    """
    sheets = load_dictionary().sheets
    batch: dict[str, str | float] = {
        "batch": path.stem,
        "site": "Yard 2",
        "received": "2026-01-20",
        "inspector": "Bench 1",
        "jurisdiction": "other",
        "meter_accuracy_percent": meter[0],
        "meter_accuracy_volts": meter[1],
    }
    with xlsxwriter.Workbook(path, {"strings_to_formulas": False, "strings_to_urls": False}) as book:
        sheet = book.add_worksheet(sheets["batch"].name)
        for row, column in enumerate(sheets["batch"].columns):
            sheet.write_row(row, 0, [column.header, batch.get(column.key, "")])
        sheet = book.add_worksheet(sheets["batteries"].name)
        columns = sheets["batteries"].columns
        sheet.write_row(0, 0, [column.header for column in columns])
        for row, battery in enumerate(batteries, 1):
            values = _cells(battery)
            sheet.write_row(row, 0, [values.get((column.key, column.place), "") for column in columns])
        sheet = book.add_worksheet(sheets["hold_readings"].name)
        sheet.write_row(0, 0, [column.header for column in sheets["hold_readings"].columns])
        keys = [column.key for column in sheets["hold_readings"].columns]
        further = [(battery.tag, reading) for battery in batteries for reading in _in_columns(battery)[1]]
        for row, (tag, reading) in enumerate(further, 1):
            cells = {"tag": tag} | {key: getattr(reading, key) for key in READING_KEYS}
            sheet.write_row(row, 0, ["" if cells.get(key) is None else cells[key] for key in keys])
