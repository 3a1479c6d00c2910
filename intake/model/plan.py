"""A bench plan: which battery is on which station when, and what the one person does meanwhile."""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum

from intake.model.battery import Chemistry
from intake.model.verdict import Grade


class TaskKind(StrEnum):
    """What happens to a battery on the bench."""

    CONNECT = "connect"
    RECOVER = "recover"
    CHARGE = "charge"
    EQUALISE = "equalise"
    BALANCE = "balance"
    CAPACITY_TEST = "capacity-test"
    """A discharge on the station after the charge."""
    DISCONNECT = "disconnect"
    SETTLE = "settle"
    READ_SHORT = "read-short"
    """The first hold reading."""
    READ_LONG = "read-long"
    """The reading that makes a long hold."""
    READ_REST = "read-rest"
    """A rest voltage that the grading asks for."""


@dataclass(frozen=True, slots=True)
class Station:
    """One charging place. It holds one battery."""

    name: str
    current_a: float
    chemistries: frozenset[Chemistry]
    apart: bool = False
    """Stands in the marked place where a suspect battery is charged alone."""


@dataclass(frozen=True, slots=True)
class ChargeEstimate:
    """What a charge takes on one station. ``low`` and ``high`` come from the intervals of the evidence."""

    current_a: float
    recover_current_a: float | None = field(default=None, kw_only=True)
    """Of the recovery before the charge; None where there is none."""
    charge_low_ah: float
    charge_high_ah: float
    hours_low: float
    hours_high: float
    """All stages together; this is what the plan counts with."""
    working: str
    """The sum in words and figures, to check with a pocket calculator."""
    sources: tuple[tuple[str, str], ...]
    """Each source, what it is for said before it, and how far it was checked."""
    status: str
    """Of the one that was checked least."""

    @property
    def source(self) -> str:
        """All sources in one text."""
        return "; ".join(text for text, _ in self.sources)


@dataclass(frozen=True, slots=True)
class PlannedTask:
    """One task with its place and time, local clock."""

    tag: str
    kind: TaskKind
    place: str
    """A station's name, ``shelf`` or ``marked place``."""
    start: datetime
    end: datetime
    needs_person: bool
    due: datetime | None = None
    """A reading's earliest time; None for other tasks."""
    counted_from: datetime | None = None
    """When it comes off its station, from which a reading's hours count; None where it was on none."""


@dataclass(frozen=True, slots=True)
class PlannedBattery:
    """What the plan does with one battery."""

    tag: str
    chemistry: Chemistry
    grade: Grade
    station: str | None
    """None where it needs no station."""
    estimate: ChargeEstimate | None
    finished: datetime
    """The end of its last task."""
    remarks: tuple[str, ...] = ()
    """What was assumed, what to look out for, whether it is worth the work."""


@dataclass(frozen=True, slots=True)
class HeldBack:
    """A battery that the plan gives nothing to do, and why."""

    tag: str
    chemistry: Chemistry
    grade: Grade
    reason: str
    next_step: str
    row: int = 0
    """On its sheet."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The whole plan of one batch. ``tasks`` are in time order."""

    version: str
    batch: str
    source_name: str
    source_sha256: str
    policy_name: str
    policy_sha256: str
    start: datetime
    start_was_given: bool
    shifts: tuple[str, ...]
    """Like ``08:00-17:00``."""
    days: tuple[str, ...]
    """Like ``mon``, in week order."""
    stations: tuple[Station, ...]
    qualified: bool
    tasks: tuple[PlannedTask, ...]
    batteries: tuple[PlannedBattery, ...]
    """By tag."""
    held_back: tuple[HeldBack, ...]
    """By tag."""
    end: datetime
    """The end of the last reading; ``start`` where nothing is planned."""
    bound: datetime
    """No plan can end earlier than this."""
    gap_percent: float
    """How much longer the plan lasts than the bound, in % of the bound's length."""
    mean_finished_h: float
    """Mean hours from the start to a battery's last task; 0 where nothing is planned."""
    late_readings: int
    """Hold readings that had to wait for a shift or for the person."""
    latest_reading_h: float
    """The longest such wait in hours."""
    notes: tuple[str, ...] = ()
    """What the plan assumes, in plain words."""
