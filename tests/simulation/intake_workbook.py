"""The intake workbook that a bench fills in: what was read, and no word of what is true."""

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.simple_workbook import Row, write_workbook
from tests.simulation.bench import LOAD_SECONDS, Bench
from tests.simulation.meter import MeterClass

READ_ON = "2026-05-28"
"""Late enough after the second of the month for a week's hold."""


@dataclass(frozen=True)
class ReadingSet:
    """What is written down of all that could be read; the rest voltage always is."""

    name: str
    hours: tuple[float, ...] = ()
    load: bool = False
    cranking: bool = False
    capacity: bool = False


REST = ReadingSet("rest")
HOLD_12 = ReadingSet("hold 0.5 and 12 h", (0.5, 12))
HOLD_96 = ReadingSet("hold 24 and 96 h", (24, 96))
HOLD_168 = ReadingSet("hold 24, 96 and 168 h", (24, 96, 168))
LOAD = ReadingSet("24 and 96 h, and a load test", (24, 96), load=True)
CRANKING = ReadingSet("and a cranking reading", (24, 96), load=True, cranking=True)
CAPACITY = ReadingSet("and a 10 h capacity test", (24, 96), load=True, cranking=True, capacity=True)
SETS = (REST, HOLD_12, HOLD_96, HOLD_168, LOAD, CRANKING, CAPACITY)


def write_intake(
    path: Path,
    benches: Sequence[Bench],
    wanted: ReadingSet,
    *,
    batch: str,
    meter: MeterClass,
    drawn: Collection[str] = (),
) -> Path:
    """Write one pallet's workbook and return its path; the tags drawn have a capacity test in any case."""
    fields: Row = {
        "Batch": batch,
        "Site": "Simulated yard",
        "Received": "2026-05-18",
        "Read on": READ_ON,
        "Inspector": "Bench 1",
        "Jurisdiction": "EU",
        "Meter accuracy (% of reading)": meter.percent,
        "Meter accuracy (V)": meter.volts,
    }
    holds = [
        {
            "Tag": bench.specimen.tag,
            "After charge (h)": reading.hours,
            "Voltage (V)": reading.volts,
            "Temperature (°C)": reading.temperature_c,
        }
        for bench in benches
        for reading in bench.holds
        if reading.hours in wanted.hours
    ]
    rows = [_row(bench, wanted, tested=bench.specimen.tag in drawn) for bench in benches]
    return write_workbook(path, rows, batch=fields, sheets={"Hold readings": holds} if holds else None)


def _row(bench: Bench, wanted: ReadingSet, *, tested: bool) -> Row:
    block = bench.specimen.block
    row: dict[str, str | float] = {
        "Tag": bench.specimen.tag,
        "Chemistry": block.kind,
        "Case": "sound",
        "Terminals": "sound",
        "Rated capacity (Ah)": block.rated_ah,
        "Rest voltage (V)": bench.rest.volts,
        "Rested (h)": bench.rest.hours,
        "Temperature (°C)": bench.rest.temperature_c,
    }
    if block.rated_cca_a is not None:
        row |= {"Rated CCA (A)": block.rated_cca_a, "CCA standard": "SAE"}
    if block.lfp:
        row["BMS reset tried"] = "yes" if bench.specimen.reset_tried else "no"
    if wanted.load and bench.load_current_a is not None and bench.load_v is not None:
        row |= {
            "Load current (A)": bench.load_current_a,
            "Load time (s)": LOAD_SECONDS,
            "Load voltage (V)": bench.load_v,
        }
    if wanted.cranking and bench.cranking_a is not None:
        row["Measured CCA (A)"] = bench.cranking_a
    if wanted.capacity or tested:
        row |= {
            "Delivered capacity (Ah)": bench.delivered_ah,
            "Discharge time (h)": bench.discharge_h,
        }
    assert all(not isinstance(value, float) or math.isfinite(value) for value in row.values())
    return row
