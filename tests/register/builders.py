"""Small records of graded batches for the tests of the period register."""

from datetime import date
from typing import Any

from intake.model.battery import Chemistry
from intake.model.register import GradedBatch, Group, Period
from intake.model.verdict import Evidence, Grade

QUARTER = Period(date(2026, 9, 1), date(2026, 11, 30), date(2026, 12, 31), 60)


def group(grade: str = "recycle", chemistry: str = "flooded", **fields: Any) -> Group:
    """Return a group of one battery of 15 kg."""
    usual: dict[str, Any] = {
        "chemistry": Chemistry(chemistry),
        "grade": Grade(grade),
        "evidence": Evidence.REST_ONLY,
        "stream": "lead-acid-wet" if grade == "recycle" else None,
        "count": 1,
        "mass_g": 15_000,
        "mass_estimated_g": 0,
        "without_mass": 0,
    }
    return Group(**(usual | fields))


def graded(name: str, received: str = "2026-10-15", **fields: Any) -> GradedBatch:
    """Return a batch with one battery to recycle."""
    usual: dict[str, Any] = {
        "batch": name,
        "site": "Yard 2",
        "received": date.fromisoformat(received),
        "latest_reading": date.fromisoformat(received),
        "jurisdiction": "EU",
        "received_from": "Counter",
        "ship_date": None,
        "meter": "Bench 1",
        "calibration_due": None,
        "wrong_acceptances": 0.25,
        "groups": (group(),),
        "tags": (),
        "stock": (),
        "version": "9.9.9",
        "policy_name": "site policy",
        "policy_sha256": "a" * 64,
        "source_sha256": "b" * 64,
        "file": f"{name}/{name}-results.json",
        "file_sha256": "c" * 64,
    }
    return GradedBatch(**(usual | fields))
