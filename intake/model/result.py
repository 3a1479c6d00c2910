"""One graded batch, complete: what every document is written from."""

from typing import NamedTuple

from intake.model.battery import Batch, Battery, Chemistry
from intake.model.compliance import Compliance
from intake.model.condition import MAY_BE_WORKED_ON, Condition, condition_of
from intake.model.finding import Finding
from intake.model.lot import Lot
from intake.model.paper import ALL_PAPERS, Paper, Printing
from intake.model.revision import FIRST, Revision
from intake.model.rules import Rule
from intake.model.storage import ShelfLife
from intake.model.value import BatchValue
from intake.model.verdict import BatchFigures, Grade, Verdict


class ChargeRefusal(NamedTuple):
    """Why no charge starts at a battery's temperature."""

    why: str
    too_warm: bool = False


class GradedBattery(NamedTuple):
    """One battery with its verdict and what follows from it."""

    battery: Battery
    verdict: Verdict
    stream: str | None
    """Key of the jurisdiction's waste stream; None unless the grade is recycle."""
    mass_kg: float | None
    """Weighed, else estimated from the rated capacity, else None."""
    mass_estimated: bool
    look_again: str = ""
    """Why it stands apart until somebody has looked and its row is corrected; empty: nothing asks for it."""
    worst_of_tag: Condition | None = None
    """The worst condition of all rows with its tag; None where the tag is its own."""

    charge_refusal: ChargeRefusal | None = None
    """Why its temperature bars a charge; None where nothing is known against one."""

    shelf_life: ShelfLife | None = None
    """How long it may wait for a buyer; None before its hold is over, or where it is not for sale."""

    @property
    def condition(self) -> Condition:
        """What papers show; while a tag is doubtful, the worst of all that bear it."""
        return self.condition_when(packed=self.verdict.grade is Grade.RECYCLE)

    def condition_when(self, *, packed: bool) -> Condition:
        """Return the condition as the bench counts it, or ``packed``: as carriage and the recycler do."""
        if self.worst_of_tag is not None:
            return self.worst_of_tag
        return condition_of(
            handling=self.verdict.handling,
            case=self.battery.case,
            look_again=bool(self.look_again),
            packed=packed,
        )

    @property
    def is_unidentified(self) -> bool:
        """Nobody knows what is inside."""
        return self.battery.chemistry in (Chemistry.OTHER, Chemistry.UNKNOWN)

    @property
    def stands_apart(self) -> bool:
        """Whether anything keeps it from bench, shelf and sale until somebody has seen to it."""
        doubtful = bool(self.look_again) or self.condition not in MAY_BE_WORKED_ON
        return doubtful or self.is_unidentified or self.is_hot

    @property
    def is_hot(self) -> bool:
        """Last read too warm for a charge, and beyond the temperatures at which readings count."""
        outside = any(step.rule is Rule.TEMPERATURE_OUTSIDE for step in self.verdict.reasons)
        return self.charge_refusal is not None and self.charge_refusal.too_warm and outside

    @property
    def name(self) -> str:
        """Its tag, with its row where other rows have the tag too."""
        shared = self.worst_of_tag is not None
        return f"{self.battery.tag} (row {self.battery.row})" if shared else self.battery.tag


class BatchResult(NamedTuple):
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
