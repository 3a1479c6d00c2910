"""Bench plans for the tests of this room: a small one laid out by hand, and one of the mixed pallet."""

from datetime import datetime
from functools import cache
from typing import Any

from intake.bench.plan_batch import BenchSettings, plan_batch
from intake.bench.stations import stations_from
from intake.bench.working_time import WorkingTime, days_from, shift_from
from intake.model.battery import LEAD_ACID, Chemistry
from intake.model.plan import (
    ChargeEstimate,
    HeldBack,
    Plan,
    PlannedBattery,
    PlannedTask,
    Station,
    TaskKind,
)
from intake.model.result import BatchResult
from intake.model.verdict import Grade
from tests.report.builders import POLICY, battery, held, mixed_result, result_of

ALL = LEAD_ACID | {Chemistry.LFP}
S1 = Station("S1", 10.0, LEAD_ACID)
S2 = Station("S2", 5.0, ALL, apart=True)
FRIDAY = 20
ESTIMATE = ChargeEstimate(
    current_a=9.0,
    charge_low_ah=24.18,
    charge_high_ah=29.04,
    hours_low=9.5,
    hours_high=10.25,
    working="45 Ah × 54 % missing at most × 1.2 = 29.0 Ah; at 9 A 3.25 h, taper 3 h, recover 4 h.",
    sources=(
        ("Charge factor: Charge returned over charge taken", "opened"),
        ("Current: 10 to 25 A per 100 Ah is usual", "common practice"),
    ),
    status="common practice",
    recover_current_a=2.25,
)


def at(day: int, hour: int, minute: int = 0) -> datetime:
    """Return a moment of November 2026; the 20th is a Friday."""
    return datetime(2026, 11, day, hour, minute)


def task(kind: TaskKind, tag: str, place: str, start: datetime, end: datetime, **fields: Any) -> PlannedTask:
    """Return a task; it needs the person unless it says otherwise."""
    return PlannedTask(tag, kind, place, start, end, **({"needs_person": True} | fields))


def small_result() -> BatchResult:
    """Return five graded batteries: to recover and charge, to read, LFP, damaged, chemistry unknown."""
    return result_of(
        [
            battery(1, "flooded", rest_voltage_v=12.05, rated_capacity_ah=45.0, position="layer 1, place 3"),
            held(2, "AGM", (2.0, 12.95), position=None),
            battery(3, "LFP", rest_voltage_v=13.1, rated_capacity_ah=None),
            battery(4, "AGM", case="swollen"),
            battery(5, "unknown", rest_voltage_v=12.4),
        ]
    )


def small_tasks() -> tuple[PlannedTask, ...]:
    """Return the tasks of three of them, from Friday to Tuesday."""
    off = {"needs_person": False}
    return (
        task(TaskKind.CONNECT, "B-001", "S1", at(20, 8), at(20, 8, 5)),
        task(TaskKind.SETTLE, "B-002", "shelf", at(20, 8), at(23, 8), **off),
        task(TaskKind.RECOVER, "B-001", "S1", at(20, 8, 5), at(20, 12, 5), **off),
        task(TaskKind.CONNECT, "B-003", "S2", at(20, 8, 5), at(20, 8, 10)),
        task(TaskKind.CHARGE, "B-003", "S2", at(20, 8, 10), at(20, 12, 10), **off),
        task(TaskKind.CHARGE, "B-001", "S1", at(20, 12, 5), at(20, 18, 20), **off),
        task(TaskKind.DISCONNECT, "B-003", "S2", at(20, 12, 10), at(20, 12, 15)),
        task(TaskKind.READ_SHORT, "B-003", "shelf", at(20, 12, 45), at(20, 12, 48), due=at(20, 12, 45)),
        task(TaskKind.READ_LONG, "B-002", "shelf", at(23, 8), at(23, 8, 3), due=at(20, 18)),
        task(TaskKind.DISCONNECT, "B-001", "S1", at(23, 8, 3), at(23, 8, 8)),
        task(TaskKind.READ_LONG, "B-003", "shelf", at(23, 8, 8), at(23, 8, 11), due=at(21, 0, 15)),
        task(TaskKind.READ_SHORT, "B-001", "shelf", at(23, 8, 38), at(23, 8, 41), due=at(23, 8, 38)),
        task(TaskKind.READ_LONG, "B-001", "shelf", at(24, 8), at(24, 8, 3), due=at(23, 20, 8)),
    )


def small_plan(**fields: Any) -> Plan:
    """Return the plan laid out by hand."""
    usual: dict[str, Any] = {
        "version": "9.9.9",
        "batch": "2026-W47-P03",
        "source_name": "pallet-3.xlsx",
        "source_sha256": "0123456789abcdef" * 4,
        "policy_name": POLICY.name,
        "policy_sha256": "fedcba9876543210" * 4,
        "start": at(20, 8),
        "start_was_given": False,
        "shifts": ("08:00-17:00",),
        "days": ("mon", "tue", "wed", "thu", "fri"),
        "stations": (S1, S2),
        "qualified": False,
        "tasks": small_tasks(),
        "batteries": (
            PlannedBattery(
                "B-001",
                Chemistry.FLOODED,
                Grade.RECONDITIONABLE,
                "S1",
                ESTIMATE,
                at(24, 8, 3),
                ("Look twice.",),
            ),
            PlannedBattery(
                "B-002", Chemistry.AGM, Grade.UNRESOLVED, None, None, at(23, 8, 3), ("Last read at 2 h.",)
            ),
            PlannedBattery("B-003", Chemistry.LFP, Grade.RESALE, "S2", ESTIMATE, at(23, 8, 11)),
        ),
        "held_back": (
            HeldBack(
                "B-004", Chemistry.AGM, Grade.RECYCLE, "It is damaged and is never charged.", "Keep it apart."
            ),
            HeldBack(
                "B-005", Chemistry.UNKNOWN, Grade.UNRESOLVED, "Its chemistry is not known.", "Identify it."
            ),
        ),
        "end": at(24, 8, 3),
        "bound": at(23, 20, 3),
        "gap_percent": 14.28,
        "mean_finished_h": 80.09,
        "late_readings": 3,
        "latest_reading_h": 62.0,
        "notes": ("Charging runs on overnight.",),
    }
    return Plan(**(usual | fields))


def planned(result: BatchResult, stations: str = "4", *, qualified: bool = False) -> Plan:
    """Plan a graded batch from its day of receipt on, in one shift from Monday to Friday."""
    start = datetime.combine(result.batch.received, datetime.min.time())
    settings = BenchSettings(
        stations=stations_from(stations, usual_current_a=10.0),
        time=WorkingTime(start, (shift_from("08:00-17:00"),), days_from("mon-fri")),
        start_was_given=False,
        qualified=qualified,
    )
    return plan_batch(result, settings, policy=POLICY, worth={})


@cache
def mixed_plan() -> Plan:
    """Return the plan of the mixed pallet of 48 on four stations."""
    return planned(mixed_result())
