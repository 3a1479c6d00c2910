"""What the period register is made of: graded batches reduced to small records, and what is said of them."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from intake.model.account import Account, StockItem
from intake.model.battery import Chemistry
from intake.model.compliance import Statement
from intake.model.finding import LeftOut
from intake.model.paper import Paper
from intake.model.verdict import Evidence, Grade


@dataclass(frozen=True, slots=True)
class Group:
    """The batteries of one batch that are alike in all that the register counts by."""

    chemistry: Chemistry
    grade: Grade
    evidence: Evidence
    stream: str | None
    """Key of the waste stream; None unless the grade is recycle."""
    count: int
    mass_g: int
    """Of those that have a mass, in whole grams, so that sums do not depend on their order."""
    mass_estimated_g: int
    """The estimated part of it."""
    without_mass: int
    """How many have no mass and are missing from ``mass_g``."""
    apart: tuple[str, ...] = ()
    """Tags of those that stand apart: nothing is connected to them before somebody has seen to it."""


@dataclass(frozen=True, slots=True)
class GradedBatch:
    """One graded batch as far as the register needs it. None = not given."""

    batch: str
    site: str
    received: date
    latest_reading: date
    """The day of the latest reading; of results from before it was kept, Received."""
    jurisdiction: str
    received_from: str | None
    ship_date: date | None
    meter: str | None
    calibration_due: date | None
    wrong_acceptances: float | None
    """Expected number of batteries graded for resale though truly below the limit."""
    groups: tuple[Group, ...]
    tags: tuple[str, ...]
    """In workbook order."""
    stock: tuple[StockItem, ...]
    """Every battery, in workbook order."""
    version: str
    policy_name: str
    policy_sha256: str
    source_sha256: str
    """Of the workbook."""
    file: str
    """Where its results stand below the folder that was read, with forward slashes."""
    file_sha256: str


@dataclass(frozen=True, slots=True)
class Copy:
    """A results file with the same bytes as another one, which is counted instead."""

    file: str
    of: str


@dataclass(frozen=True, slots=True)
class Period:
    """The days that a register covers, both ends included, by the day a batch was received."""

    first: date
    last: date
    closing: date
    """The day on which meters and storage are checked; not before ``last``."""
    storage_limit_days: int | None
    """The site's own limit; None: not given."""

    def covers(self, day: date) -> bool:
        """Whether a batch received on this day belongs to the period."""
        return self.first <= day <= self.last


CALIBRATION_NEAR_DAYS = 30
"""A calibration that is due within so many days is named as near: a choice of this tool."""


class MeterStanding(StrEnum):
    """How a meter's calibration stands on the closing date."""

    PAST = "past calibration"
    NEAR = "calibration due soon"
    CURRENT = "in calibration"
    UNKNOWN = "no calibration date given"


@dataclass(frozen=True, slots=True)
class MeterUse:
    """One meter of one site over the period."""

    site: str
    meter: str | None
    """None: the Batch sheets name no meter."""
    batches: tuple[str, ...]
    last_used: date
    """The latest reading day of its batches."""
    due: date | None
    """The latest calibration date that its batches give."""
    standing: MeterStanding
    used_past_due: tuple[str, ...]
    """Batches with a reading after the calibration date that they themselves give."""
    without_date: tuple[str, ...]
    """Batches that give no calibration date."""


@dataclass(frozen=True, slots=True)
class Sighting:
    """One batch in which a tag stands."""

    batch: str
    received: date
    tag: str
    """As it is written there."""
    in_period: bool


@dataclass(frozen=True, slots=True)
class RepeatedTag:
    """A tag that stands in more than one batch, at least one of them received in the period."""

    tag: str
    sightings: tuple[Sighting, ...]
    """By the day received."""


class StorageStanding(StrEnum):
    """How long the batteries to recycle of one batch were held, against the site's limit."""

    OVER = "over the limit"
    WITHIN = "within the limit"
    UNKNOWN = "no limit given"
    SHIPPED_OVER = "shipped, over the limit by then"


@dataclass(frozen=True, slots=True)
class Storage:
    """The batteries to recycle of one batch, held on the closing date or shipped too late."""

    batch: str
    site: str
    jurisdiction: str
    received: date
    ship_date: date | None
    """Of its Batch sheet; of one that has left in loads, the day of the last."""
    days: int
    """From Received to the closing date, or to the day on which the last of them left."""
    count: int
    mass_g: int
    without_mass: int
    standing: StorageStanding
    in_period: bool


@dataclass(frozen=True, slots=True)
class StorageReminder:
    """What is known of storage rules in one jurisdiction, on the closing date."""

    jurisdiction: str
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True)
class Register:
    """Everything that the three files of a register say."""

    version: str
    period: Period
    batches: tuple[GradedBatch, ...]
    """Those received in the period, by that day, then by name."""
    before: int
    """How many batches were read that were received before the period."""
    after: int
    """How many were received after it."""
    left_out: tuple[LeftOut, ...]
    copies: tuple[Copy, ...]
    results: tuple[tuple[str, str], ...]
    """Name and SHA-256 of each results file that was read."""
    loads: tuple[tuple[str, str], ...]
    """Name and SHA-256 of each load that was read."""
    inputs_sha256: str
    """Over the digests of all results files that were counted or examined, in their order."""
    meters: tuple[MeterUse, ...]
    repeated_tags: tuple[RepeatedTag, ...]
    storage: tuple[Storage, ...]
    storage_reminders: tuple[StorageReminder, ...]
    account: Account
    """What came in, what left, what is on hand, from the first day to the closing date."""
    cautions: tuple[str, ...]
    """The statements that stand on every document."""
    paper: Paper = Paper.A4
