"""One graded batch, complete: what every document is written from."""

from dataclasses import dataclass

from intake.model.battery import Batch, Battery
from intake.model.compliance import Compliance
from intake.model.finding import Finding
from intake.model.lot import Lot
from intake.model.paper import ALL_PAPERS, Paper, Printing
from intake.model.revision import FIRST, Revision
from intake.model.value import BatchValue
from intake.model.verdict import BatchFigures, Verdict


@dataclass(frozen=True, slots=True)
class GradedBattery:
    """One battery with its verdict and what follows from it."""

    battery: Battery
    verdict: Verdict
    stream: str | None
    """Key of the jurisdiction's waste stream; None unless the grade is recycle."""
    mass_kg: float | None
    """Weighed, else estimated from the rated capacity, else None."""
    mass_estimated: bool


@dataclass(frozen=True, slots=True)
class BatchResult:
    """Everything that the documents of one batch say."""

    version: str
    source_name: str
    source_sha256: str
    policy_name: str
    policy_sha256: str
    batch: Batch
    findings: tuple[Finding, ...]
    graded: tuple[GradedBattery, ...]
    """In workbook order."""
    figures: BatchFigures
    compliance: Compliance
    lot: Lot
    value: BatchValue | None = None
    """None where the workbook gives no prices."""
    revision: Revision = FIRST
    paper: Paper = Paper.A4
    """The paper its PDF documents are drawn on."""
    printing: Printing = ALL_PAPERS
    """Which of them are written."""
    date_order: str | None = None
    """How a date of two readings was to be read: ``day first``, ``month first`` or not at all."""
