"""A season of invented batches, graded into a folder through the command line."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from intake.cli.main import main
from tests.simple_workbook import BATCH, Row, write_workbook


def row(tag: str, chemistry: str = "flooded", **fields: str | float) -> Row:
    """Return a battery that rests high; keys are written with underscores for blanks."""
    usual: dict[str, str | float] = {
        "Tag": tag,
        "Chemistry": chemistry,
        "Case": "sound",
        "Rated capacity (Ah)": 60,
        "Rest voltage (V)": 13.3 if chemistry == "LFP" else 12.75,
        "Rested (h)": 24,
        "Temperature (°C)": 25,
    }
    return {**usual, **{name.replace("_", " "): value for name, value in fields.items()}}


def cracked(tag: str, chemistry: str = "flooded", **fields: str | float) -> Row:
    """Return a battery that goes to the recycler."""
    return row(tag, chemistry, Case="cracked", **fields)


def flat(tag: str, chemistry: str = "flooded", **fields: str | float) -> Row:
    """Return a battery that is worth reconditioning."""
    return {**row(tag, chemistry, **fields), "Rest voltage (V)": 11.9}


def grade_batch(
    folder: Path,
    name: str,
    received: str,
    batteries: Sequence[Row],
    *,
    holds: Sequence[Row] = (),
    out: str = "graded",
    **batch: str | float,
) -> Path:
    """Write a workbook, grade it below ``folder/out`` and return the path of its results file."""
    said: Mapping[str, str | float] = {
        **BATCH,
        "Batch": name,
        "Received": received,
        "Read on": received,
        **{key.replace("_", " "): value for key, value in batch.items()},
    }
    workbook = write_workbook(
        folder / f"{name}.xlsx", batteries, batch=said, sheets={"Hold readings": holds} if holds else None
    )
    code = main(["grade", str(workbook), "--out", str(folder / out), "--overwrite", "--quiet"])
    assert code in (0, 1), f"{name} was not graded"
    return folder / out / name / f"{name}-results.json"


def grade_season(folder: Path) -> Path:
    """Grade seven batches of three months, four jurisdictions and several suppliers; return their folder."""
    grade_batch(
        folder,
        "A-09",
        "2026-04-03",
        [row("B-1", **{"Mass (kg)": 15.2}), flat("B-2"), cracked("B-3"), row("B-4", "unknown")],
        Received_from="Harbour garage",
        Jurisdiction="EU",
        Meter="Bench 1",
        Calibration_due="2026-07-10",
    )
    grade_batch(
        folder,
        "A-10",
        "2026-04-30",
        [row("B-5", "AGM"), row("b-3"), cracked("B-6", "AGM"), cracked("L-1", "LFP")],
        holds=[
            {"Tag": "B-5", "After charge (h)": 2, "Voltage (V)": 12.95},
            {"Tag": "B-5", "After charge (h)": 24, "Voltage (V)": 12.9},
        ],
        Received_from="HARBOUR  garage",
        Jurisdiction="EU",
        Meter="bench 1",
        Calibration_due="2026-04-15",
        Ship_date="2026-05-20",
    )
    grade_batch(
        folder,
        "U-10",
        "2026-05-01",
        [
            {**row("U-1", "gel"), "Rest voltage (V)": 12.44},
            cracked("U-2", "EFB", **{"Mass (kg)": 17.25}),
            flat("U-3", "flooded sealed"),
        ],
        Received_from="Counter",
        Jurisdiction="US",
        Meter="Bench 2",
        Calibration_due="2026-12-01",
    )
    grade_batch(
        folder,
        "K-10",
        "2026-05-31",
        [row("K-1"), cracked("K-2", **{"Mass (kg)": 14.125}), row("K-3", "other", Case="burnt")],
        Jurisdiction="UK",
    )
    grade_batch(
        folder,
        "O-11",
        "2026-06-15",
        [row("O-1", "LFP"), cracked("O-2"), {**row("O-3"), "Rest voltage (V)": "twelve"}],
        Received_from=">5*",
        Jurisdiction="other",
        Meter="Bench 3",
        Calibration_due="2026-06-01",
    )
    grade_batch(folder, "OLD-1", "2025-08-10", [cracked("X-1"), row("B-1")], Jurisdiction="US")
    grade_batch(folder, "NEW-1", "2026-06-20", [cracked("X-2"), row("X-3")], Jurisdiction="US")
    return folder / "graded"
