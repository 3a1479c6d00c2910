"""The facts of a batch as label and text, the same in every document."""

from intake.model.battery import Batch
from intake.model.finding import Severity
from intake.model.result import BatchResult
from intake.model.verdict import MeterRisk
from intake.report.drawing.plain_text import one_line

Fact = tuple[str, str]
NOT_GIVEN = "not given"
_NOTED = 6
"""So many tags are named, the others counted."""


def batch_facts(batch: Batch) -> tuple[Fact, ...]:
    """Return what the Batch sheet says, in its order, without the meter and the note."""
    return (
        ("Site", one_line(batch.site)),
        ("Received", batch.received.isoformat()),
        ("Received from", one_line(batch.received_from or NOT_GIVEN)),
        ("Inspector", one_line(batch.inspector)),
        ("Jurisdiction", one_line(", ".join(one for one in (batch.jurisdiction, batch.region) if one))),
        ("Consignee", one_line(batch.consignee or NOT_GIVEN)),
        ("Ship date", batch.ship_date.isoformat() if batch.ship_date else NOT_GIVEN),
    )


def lead_facts(result: BatchResult) -> tuple[Fact, ...]:
    """Return what tells one batch from another, in six facts, and what page 1 has to warn of."""
    batch = result.batch
    meter = one_line(batch.meter or NOT_GIVEN)
    return (
        ("Site", one_line(batch.site)),
        ("Received", f"{batch.received.isoformat()}, by {one_line(batch.inspector)}"),
        ("From", one_line(batch.received_from or NOT_GIVEN)),
        ("Ship date", batch.ship_date.isoformat() if batch.ship_date else NOT_GIVEN),
        ("Meter", f"{meter}, {accuracy_in_words(result.figures.in_use)}"),
        ("Consignee", one_line(batch.consignee or NOT_GIVEN)),
        *_look_first_facts(result),
    )


def _look_first_facts(result: BatchResult) -> tuple[Fact, ...]:
    """Return what page 1 has to warn of: rule data not reviewed for the day, notes that speak of damage."""
    data, day = result.compliance.rule_data, result.compliance.rules_date
    facts = []
    if data and not data.covers(day):
        facts.append(("Rules", f"gathered {data.checked_on}, not reviewed for {day}: check them"))
    noted = [one.tag for one in result.findings if one.field == "Note" and one.severity is Severity.WARNING]
    if noted:
        tags = one_line(", ".join(noted[:_NOTED]))
        more = f" and {len(noted) - _NOTED} more" if len(noted) > _NOTED else ""
        facts.append(("Look again", f"{tags}{more}: the note speaks of damage, Case does not"))
    return tuple(facts)


def meter_facts(result: BatchResult) -> tuple[Fact, ...]:
    """Return which meter was used, its accuracy and whether that was assumed, and its calibration."""
    batch = result.batch
    assumed = [
        name
        for name, value in (
            ("% of reading", batch.meter_accuracy_percent),
            ("V", batch.meter_accuracy_volts),
        )
        if value is None
    ]
    accuracy = accuracy_in_words(result.figures.in_use)
    if assumed:
        accuracy += f" ({' and '.join(assumed)} assumed)"
    due = batch.calibration_due
    overdue = due is not None and due < batch.latest_reading_day
    return (
        ("Meter", one_line(batch.meter or NOT_GIVEN)),
        ("Meter accuracy", accuracy),
        (
            "Calibration due",
            (due.isoformat() if due else NOT_GIVEN) + (", overdue when read" if overdue else ""),
        ),
    )


def accuracy_in_words(risk: MeterRisk) -> str:
    """Return a meter's accuracy like ``0.5 % of reading + 0.020 V``."""
    return f"{risk.accuracy_percent:g} % of reading + {risk.accuracy_volts:.3f} V"


def provenance_facts(result: BatchResult) -> tuple[Fact, ...]:
    """Return which workbook, policy and version the document comes from, digests in full."""
    data = result.compliance.rule_data
    rules: tuple[Fact, ...] = ()
    if data:
        named = f"{one_line(data.name)}, edition {one_line(data.edition)}"
        rules = (("Rule data", named), ("Rule data SHA-256", data.sha256))
    return (
        ("Workbook", one_line(result.source_name)),
        ("Workbook SHA-256", result.source_sha256),
        ("Grading policy", one_line(result.policy_name)),
        ("Policy SHA-256", result.policy_sha256),
        *rules,
        ("Version", f"intake {result.version}"),
    )
