"""A load: what leaves the yard at one time for one receiver, and what the receiver answered."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from hashlib import sha256

from intake.model.battery import Chemistry
from intake.model.compliance import Purpose
from intake.model.verdict import Evidence, Grade, Handling

RECORD_DIGITS = 16
UNKNOWN_PLASTIC = "unknown"


class LoadKind(StrEnum):
    """Why batteries leave."""

    RECYCLING = "recycling"
    SALE = "sale"
    RETURN = "return"

    @property
    def purpose(self) -> Purpose | None:
        """What the batteries are carried for; None of a return, as the sender may use or scrap them."""
        return {LoadKind.RECYCLING: Purpose.DISPOSAL, LoadKind.SALE: Purpose.SALE}.get(self)


@dataclass(frozen=True, slots=True)
class LoadHead:
    """The ``Load`` sheet. None: left blank."""

    load: str
    kind: LoadKind
    jurisdiction: str
    site: str
    consignee: str
    date: date
    prepared_by: str
    region: str | None = None
    permit: str | None = None
    carrier: str | None = None
    vehicle: str | None = None
    form: str | None = None
    form_number: str | None = None
    seals: str | None = None
    emergency_telephone: str | None = None
    currency: str | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Package:
    """One drum, box or pallet."""

    package: str
    type: str | None = None
    stream: str | None = None
    """Key of the waste stream that it holds; None: not waste, or not said."""
    gross_kg: float | None = None


@dataclass(frozen=True, slots=True)
class LoadedBattery:
    """One battery of a load, as it was graded, and where it is packed."""

    batch: str
    tag: str
    revision: int
    chemistry: Chemistry
    grade: Grade
    handling: Handling
    stream: str | None
    """Key of the waste stream; None: not waste."""
    mass_kg: float | None
    mass_estimated: bool
    evidence: Evidence = Evidence.NONE
    package: str | None = None
    identified_as: str | None = None
    """What a trained person has found a battery of unclear chemistry to be, and who."""
    price: str | None = None
    """Exact amount in the load's currency."""
    note: str | None = None
    non_spillable_mark: bool = False
    """Whether the words were read on the case."""
    case_plastic: str = UNKNOWN_PLASTIC
    row: int = 0
    """On the ``Batteries`` sheet; 0: not from a workbook."""

    def record(self, results_sha256: str) -> str:
        """Return what ties the battery to its graded batch: a changed fact no longer fits it.

        The first hex digits of a SHA-256 over what was graded. The mass is left out: it may be weighed anew.
        What was read on the case counts only where it was: a workbook without those columns keeps its record.
        """
        facts = (
            self.batch,
            str(self.revision),
            self.tag,
            self.chemistry,
            self.grade,
            self.handling,
            self.evidence,
        )
        plastic = "" if self.case_plastic == UNKNOWN_PLASTIC else f"case plastic {self.case_plastic}"
        mark = "non-spillable mark" if self.non_spillable_mark else ""
        seen = (text for text in (mark, plastic) if text)
        text = "\n".join((*facts, *seen, self.stream or "", results_sha256))
        return sha256(text.encode()).hexdigest()[:RECORD_DIGITS]


@dataclass(frozen=True, slots=True)
class Receipt:
    """What the receiver answered. None: left blank."""

    received_on: date | None = None
    received_by: str | None = None
    weight_kg: float | None = None
    """Net, as the receiver weighed it."""
    count: int | None = None
    differences: str | None = None
    reference: str | None = None


@dataclass(frozen=True, slots=True)
class GradedSource:
    """A graded batch that a load draws on."""

    batch: str
    revision: int
    results_sha256: str


@dataclass(frozen=True, slots=True)
class Load:
    """Everything that a load workbook says."""

    head: LoadHead
    packages: tuple[Package, ...]
    batteries: tuple[LoadedBattery, ...]
    """Those that are in the load, in workbook order."""
    receipt: Receipt
    batches: tuple[GradedSource, ...]


@dataclass(frozen=True, slots=True)
class Yard:
    """What a load is held against beside its own workbook."""

    jurisdictions: Collection[str]
    """Keys of those that have rule data."""
    streams: Mapping[str, str]
    """Title of each waste stream by its key."""
    unidentified: str
    """Key of the stream for batteries that nobody can identify."""
    gone: Mapping[tuple[str, str], str]
    """For each battery that has left, by batch and tag in lower case: the load that took it."""


@dataclass(frozen=True, slots=True)
class LoadTotal:
    """Batteries of a load counted and weighed. Masses in kg, exact to the gram."""

    count: int
    net_kg: float
    """Of those that have a mass."""
    net_estimated_kg: float
    """The estimated part of it."""
    without_mass: int


@dataclass(frozen=True, slots=True)
class LoadTotals:
    """The sums of a load."""

    all: LoadTotal
    by_stream: Mapping[str, LoadTotal]
    """By key of the waste stream; what is no waste stands under an empty key."""
    gross_kg: float | None
    """Of all packages; None where one was not weighed, or there are none."""
