"""LFP blocks that differ in how far they fall, and in nothing else: a larger fall never grades better.

Two ways to fall further: from the same first reading to a lower last one, and from a higher first reading to
the same last one.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tests.simple_workbook import BATCH, write_workbook
from tests.simulation.graded import FEWEST, run_command
from tests.simulation.intake_workbook import READ_ON

RANK = {"resale-after-charge": 3, "reconditionable": 2, "unresolved": 1, "recycle": 0}
"""From best to worst; an open question is neither sold nor thrown away."""

STARTS_V = (13.30, 13.40, 13.45, 13.49, 13.50, 13.51, 13.60, 13.80)
ENDS_V = (13.25, 13.30, 13.33, 13.36, 13.40, 13.45)
TIMES_H = ((0.5, 12.0), (3.0, 24.0), (24.0, 96.0))
FALLS_V = tuple(round(0.02 * step, 2) for step in range(22))


@dataclass(frozen=True)
class Series:
    """Blocks in the order of growing falls; one voltage and the hours are common to all."""

    common: str
    """"from" a first voltage or "to" a last one."""
    volts: float
    times_h: tuple[float, float]

    @property
    def name(self) -> str:
        """As the table says it."""
        return f"{self.common} {self.volts:.2f} V, {self.times_h[0]:g} and {self.times_h[1]:g} h"

    def readings(self, fall: float) -> tuple[float, float]:
        """Return the first and the last voltage."""
        first = self.volts if self.common == "from" else self.volts + fall
        return round(first, 3), round(first - fall, 3)


ALL = tuple(
    Series(common, volts, times)
    for times in TIMES_H
    for common, all_volts in (("from", STARTS_V), ("to", ENDS_V))
    for volts in all_volts
)


def grade_falls(folder: Path) -> Mapping[Series, Sequence[str]]:
    """Return by series the grades in the order of growing falls."""
    rows, holds, places = [], [], {}
    for series in ALL:
        for fall in FALLS_V:
            tag = f"L-{len(rows) + 1:04}"
            places[tag] = series
            rows.append({"Tag": tag, "Chemistry": "LFP", "Case": "sound", "Rated capacity (Ah)": 100})
            for hours, volts in zip(series.times_h, series.readings(fall), strict=True):
                reading = {"Tag": tag, "After charge (h)": hours, "Voltage (V)": volts}
                holds.append({**reading, "Temperature (°C)": 25})
    batch = {**BATCH, "Batch": "FALLS", "Received": "2026-05-18", "Read on": READ_ON}
    book = write_workbook(folder / "falls.xlsx", rows, batch=batch, sheets={"Hold readings": holds})
    run_command("grade", str(book), "--out", str(folder / "graded"), "--quiet", *FEWEST)
    text = (folder / "graded" / "FALLS" / "FALLS-results.json").read_text(encoding="utf-8")
    grades: dict[Series, list[str]] = {series: [] for series in ALL}
    for entry in json.loads(text)["batteries"]:
        grades[places[entry["tag"]]].append(entry["grade"])
    return grades


def rises(grades: Sequence[str]) -> list[int]:
    """Return where in a series a larger fall grades better than the one before."""
    return [n for n in range(1, len(grades)) if RANK[grades[n]] > RANK[grades[n - 1]]]


def fall_table(folder: Path) -> str:
    """Return one line for each series in which a larger fall grades better somewhere."""
    grades = grade_falls(folder)
    lines = ["| LFP, one voltage kept | a larger fall grades better at |", "|---|---|"]
    broken = {series: found for series in grades if (found := rises(grades[series]))}
    for series, places in broken.items():
        seen = grades[series]
        where = ", ".join(f"{FALLS_V[n]:.2f} V ({seen[n - 1]} → {seen[n]})" for n in places)
        lines.append(f"| {series.name} | {where} |")
    lines.append(f"| all {len(grades)} series | {len(broken)} of them |")
    return "\n".join(lines)
