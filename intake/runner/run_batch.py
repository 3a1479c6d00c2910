"""One workbook through all stages, in order: read, check, grade, assess, gather."""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from intake import __version__
from intake.bench.charge_gates import gated
from intake.checks.check_workbook import check_workbook
from intake.compliance.assess import assess_compliance
from intake.grading.batch_figures import batch_figures
from intake.grading.grade_battery import grade_battery
from intake.grading.lot import lot_of
from intake.grading.mass_estimate import mass_kg
from intake.grading.storage import with_shelf_lives
from intake.model.battery import Batch, Battery
from intake.model.compliance import Compliance
from intake.model.finding import Finding, Severity, in_sheet_order
from intake.model.raw_workbook import WorkbookRefused
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Verdict
from intake.policy.grading_policy import GradingPolicy
from intake.policy.rule_data import load_jurisdiction
from intake.policy.second_look import looked_over, not_apart
from intake.runner.settings import Settings
from intake.workbook.reading.read_workbook import read_workbook
from intake.worth.value import value_batch


class ReadBatch(NamedTuple):
    """A workbook that was read and checked. ``batch`` None: it is rejected."""

    source_name: str
    source_sha256: str
    batch: Batch | None
    findings: tuple[Finding, ...]
    of_today: tuple[Finding, ...] = ()
    """Warnings that hold on the day of the run alone: for the screen, never for a document."""

    @property
    def row_errors(self) -> int:
        """How many findings make a battery unresolved."""
        return sum(one.severity is Severity.ERROR and not one.rejects for one in self.findings)


_ASK = "Ask whoever keeps it for the right to read it, or leave it out."


def _why_closed(path: Path) -> str:
    """Say that a path is a folder that cannot be opened; empty where it is none."""
    try:
        if path.is_dir():
            next(path.iterdir(), None)
    except (OSError, ValueError) as problem:
        if isinstance(problem, PermissionError):
            return "The folder cannot be opened: permission denied. No workbook in it was read."
    return ""


def plain_name(path: Path) -> str:
    """Return a file's name as text; bytes of it that are no UTF-8 are shown as unknown."""
    return path.name.encode(errors="surrogateescape").decode(errors="replace")


def read_batch(path: Path, settings: Settings) -> ReadBatch:
    """Read and check one workbook; a file that cannot be read becomes a finding."""
    try:
        raw = read_workbook(path)
    except WorkbookRefused as refusal:
        closed = _why_closed(path)
        message, hint = (closed, _ASK) if closed else (str(refusal), refusal.hint)
        return ReadBatch(plain_name(path), "", None, (Finding(Severity.ERROR, message, hint, rejects=True),))
    checked = check_workbook(
        raw,
        today=settings.today,
        date_order=settings.date_order,
        policy=settings.policy,
        rules_folder=settings.rules_folder,
    )
    batch = checked.batch
    findings = list(checked.findings)
    errors = sum(one.severity is Severity.ERROR for one in findings)
    if settings.strict and batch is not None and errors:
        batch = None
        findings.append(
            Finding(
                Severity.ERROR,
                f"The workbook has {errors} row error(s), and this run is strict.",
                "Mend the cells named above, or run without --strict.",
                rejects=True,
            )
        )
    return ReadBatch(plain_name(path), raw.sha256, batch, in_sheet_order(findings), checked.of_today)


def grade_batch(read: ReadBatch, batch: Batch, settings: Settings) -> BatchResult:
    """Grade every battery of a checked batch and gather what the documents say."""
    policy = settings.policy
    accuracy_percent, accuracy_volts = meter_accuracy(batch, policy)
    verdicts: list[Verdict] = []

    def grade_each() -> Iterator[Verdict]:
        """Keep the outcomes; the traces of a large batch would fill the memory."""
        for one in batch.batteries:
            verdict = grade_one(one, batch, policy)
            verdicts.append(verdict._replace(steps=()))
            yield verdict

    figures = batch_figures(
        batch.batteries,
        grade_each(),
        accuracy_percent=accuracy_percent,
        accuracy_volts=accuracy_volts,
        policy=policy,
    )
    masses = tuple(mass_kg(one, policy=policy) for one in batch.batteries)
    jurisdiction = load_jurisdiction(batch.jurisdiction, settings.rules_folder)
    compliance = assess_compliance(batch, verdicts, masses, jurisdiction)
    graded = looked_over(
        [
            GradedBattery(battery, verdict, compliance.stream_by_tag.get(battery.tag), mass, estimated)
            for battery, verdict, (mass, estimated) in zip(batch.batteries, verdicts, masses, strict=True)
        ]
    )
    graded = with_shelf_lives(gated(graded, policy=policy), batch, policy=policy)
    return BatchResult(
        version=__version__,
        source_name=read.source_name,
        source_sha256=read.source_sha256,
        policy_name=policy.name,
        policy_sha256=policy.sha256,
        batch=batch,
        findings=(*read.findings, *_rule_findings(compliance), *_grading_findings(graded)),
        graded=graded,
        figures=figures,
        compliance=compliance,
        lot=lot_of(batch.batch, not_apart(graded), policy=policy),
        value=value_batch(graded, batch, policy=policy),
        paper=settings.paper,
        printing=settings.printing,
        date_order=settings.date_order.value if settings.date_order else None,
    )


def meter_accuracy(batch: Batch, policy: GradingPolicy) -> tuple[float, float]:
    """Return the meter's accuracy in % of reading and in V, the policy's where the batch leaves it blank."""
    percent, volts = batch.meter_accuracy_percent, batch.meter_accuracy_volts
    return (
        policy.meter.assumed_accuracy_percent.value if percent is None else percent,
        policy.meter.assumed_accuracy_volts.value if volts is None else volts,
    )


def grade_one(battery: Battery, batch: Batch, policy: GradingPolicy) -> Verdict:
    """Grade one battery with its batch's meter."""
    accuracy_percent, accuracy_volts = meter_accuracy(batch, policy)
    return grade_battery(
        battery, accuracy_percent=accuracy_percent, accuracy_volts=accuracy_volts, policy=policy
    )


def _rule_findings(compliance: Compliance) -> list[Finding]:
    """Return the warning that the rule data do not speak of the day of shipping, if so."""
    data, day = compliance.rule_data, compliance.rules_date
    if data is None or data.covers(day):
        return []
    return [
        Finding(
            Severity.WARNING,
            f"The rules were gathered {data.checked_on}, for days from {data.speaks_from} to "
            f"{data.review_by}, and not reviewed for {day}.",
            "Check every entry of the disposal sheet against the rules in force on that day.",
            sheet="Batch",
            field="Ship date" if compliance.rules_date_is_ship_date else "Received",
        )
    ]


def _grading_findings(graded: tuple[GradedBattery, ...]) -> list[Finding]:
    """Return what only shows once everything is graded: contradictory tests, masses not weighed."""
    findings = [
        Finding(
            Severity.WARNING,
            text,
            "Repeat the test that is in doubt.",
            sheet="Batteries",
            tag=one.battery.tag,
            row=one.battery.row,
        )
        for one in graded
        for text in one.verdict.warnings
    ]
    estimated = [one.battery.tag for one in graded if one.mass_estimated]
    unknown = [one.battery.tag for one in graded if one.mass_kg is None]
    for tags, text in (
        (estimated, "is not given and is estimated from the rated capacity"),
        (unknown, "is neither given nor can it be estimated, so it is missing from every sum"),
    ):
        if tags:
            findings.append(
                Finding(
                    Severity.NOTE,
                    f"The mass of {len(tags)} of {len(graded)} batteries {text}.",
                    "Weigh them where the mass matters; an estimate is no declaration.",
                    sheet="Batteries",
                    field="Mass (kg)",
                )
            )
    return findings
