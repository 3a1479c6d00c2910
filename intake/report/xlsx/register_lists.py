"""The list sheets of a register: batches, data, meters, tags, storage, rules, what was left out."""

from collections.abc import Sequence
from dataclasses import dataclass

from intake.model.compliance import Statement
from intake.model.finding import LeftOut
from intake.model.kilograms import in_kg
from intake.model.register import Copy, GradedBatch, Group, MeterUse, Register, RepeatedTag, Sighting, Storage
from intake.model.verdict import HELD
from intake.policy.waste_streams import stream_titles
from intake.report.drawing.plain_text import one_line
from intake.report.register.views import month_number, supplier_of
from intake.report.words.batch_facts import NOT_GIVEN
from intake.report.words.sources import CONFIRM
from intake.report.xlsx.book import Formats, ListColumn

COUNT, MASS, ESTIMATED, WITHOUT = "Batteries", "Mass (kg)", "of which estimated (kg)", "without mass"
GRADE, HOLD, CHEMISTRY, STREAM = "Grade", "Hold has shown it", "Chemistry", "Waste stream"
JURISDICTION, SUPPLIER, MONTH = "Jurisdiction", "Supplier no.", "Month received"
WRONG, RECEIVED, SHIPPED, DUE = "Expected wrong acceptances", "Received", "Ship date", "Calibration due"
LAST_PRINTED = "Results file"
"""The column up to which the sheet with one row per batch prints."""
DAYS, STANDING = "Days held", "Standing on the closing date"


@dataclass(frozen=True, slots=True)
class Entry:
    """One batch with the number of its supplier's line."""

    batch: GradedBatch
    supplier: int


def batch_columns(looks: Formats) -> tuple[ListColumn[Entry], ...]:
    """Return the columns of the sheet with one row per batch."""
    text, day = looks.text, looks.day
    return (
        ListColumn("Batch", 22, looks.strong, lambda one: one.batch.batch),
        ListColumn(RECEIVED, 12, day, lambda one: one.batch.received),
        ListColumn(MONTH, 11, looks.month, lambda one: month_number(one.batch.received)),
        ListColumn("Site", 22, text, lambda one: one.batch.site),
        ListColumn(JURISDICTION, 12, text, lambda one: one.batch.jurisdiction),
        ListColumn("Received from", 28, text, lambda one: supplier_of(one.batch)),
        ListColumn(SUPPLIER, 9, looks.count, lambda one: one.supplier, figure=True),
        ListColumn(SHIPPED, 12, day, lambda one: one.batch.ship_date),
        ListColumn("Meter", 22, text, lambda one: one.batch.meter),
        ListColumn(DUE, 12, day, lambda one: one.batch.calibration_due),
        ListColumn(WRONG, 12, looks.probability, lambda one: one.batch.wrong_acceptances, figure=True),
        ListColumn("Results file", 44, text, lambda one: one.batch.file),
        ListColumn("SHA-256 of the results file", 30, looks.long_text, lambda one: one.batch.file_sha256),
        ListColumn("SHA-256 of the workbook", 30, looks.long_text, lambda one: one.batch.source_sha256),
        ListColumn("Grading policy", 24, text, lambda one: one.batch.policy_name),
        ListColumn("SHA-256 of the policy", 30, looks.long_text, lambda one: one.batch.policy_sha256),
        ListColumn("Version of intake", 10, text, lambda one: one.batch.version),
    )


DataRow = tuple[Entry, Group]


def data_rows(entries: Sequence[Entry]) -> list[DataRow]:
    """Return each batch with each group of alike batteries."""
    return [(entry, group) for entry in entries for group in entry.batch.groups]


def data_columns(looks: Formats) -> tuple[ListColumn[DataRow], ...]:
    """Return the columns of the sheet that the sums rest on."""
    text, titles = looks.text, stream_titles()
    return (
        ListColumn("Batch", 22, looks.strong, lambda one: one[0].batch.batch),
        ListColumn(MONTH, 11, looks.month, lambda one: month_number(one[0].batch.received)),
        ListColumn(JURISDICTION, 12, text, lambda one: one[0].batch.jurisdiction),
        ListColumn(SUPPLIER, 9, looks.count, lambda one: one[0].supplier, figure=True),
        ListColumn(CHEMISTRY, 15, text, lambda one: one[1].chemistry.value),
        ListColumn(GRADE, 20, text, lambda one: one[1].grade.value),
        ListColumn("Evidence", 12, text, lambda one: one[1].evidence.value),
        ListColumn(HOLD, 9, text, lambda one: "yes" if one[1].evidence in HELD else "no"),
        ListColumn(STREAM, 36, text, lambda one: titles[one[1].stream] if one[1].stream else None),
        ListColumn(COUNT, 10, looks.count, lambda one: one[1].count, figure=True),
        ListColumn(MASS, 11, looks.kilograms, lambda one: in_kg(one[1].mass_g), figure=True),
        ListColumn(ESTIMATED, 12, looks.kilograms, lambda one: in_kg(one[1].mass_estimated_g), figure=True),
        ListColumn(WITHOUT, 9, looks.count, lambda one: one[1].without_mass, figure=True),
    )


def meter_columns(looks: Formats) -> tuple[ListColumn[MeterUse], ...]:
    """Return the columns of the sheet with one row per meter."""
    text = looks.text
    return (
        ListColumn("Meter", 28, looks.strong, lambda one: one_line(one.meter or NOT_GIVEN)),
        ListColumn("Site", 24, text, lambda one: one.site),
        ListColumn("Last used", 12, looks.day, lambda one: one.last_used),
        ListColumn(DUE, 12, looks.day, lambda one: one.due),
        ListColumn(STANDING, 24, text, lambda one: one.standing.value),
        ListColumn("Batches", 9, looks.count, lambda one: len(one.batches), figure=True),
        ListColumn("Batches read past its calibration", 32, text, lambda one: ", ".join(one.used_past_due)),
        ListColumn("Batches without a calibration date", 32, text, lambda one: ", ".join(one.without_date)),
    )


TagRow = tuple[RepeatedTag, Sighting]


def tag_rows(register: Register) -> list[TagRow]:
    """Return each repeated tag with each of its batches."""
    return [(one, sighting) for one in register.repeated_tags for sighting in one.sightings]


def tag_columns(looks: Formats) -> tuple[ListColumn[TagRow], ...]:
    """Return the columns of the sheet with the tags that stand in more than one batch."""
    text = looks.text
    return (
        ListColumn("Tag", 24, looks.strong, lambda one: one[0].tag),
        ListColumn("Batch", 24, text, lambda one: one[1].batch),
        ListColumn(RECEIVED, 12, looks.day, lambda one: one[1].received),
        ListColumn("As written there", 24, text, lambda one: one[1].tag),
        ListColumn("In the period", 10, text, lambda one: "yes" if one[1].in_period else "no"),
    )


def storage_columns(looks: Formats) -> tuple[ListColumn[Storage], ...]:
    """Return the columns of the sheet with what was still held on the closing date."""
    text = looks.text
    return (
        ListColumn("Batch", 22, looks.strong, lambda one: one.batch),
        ListColumn("Site", 24, text, lambda one: one.site),
        ListColumn(JURISDICTION, 12, text, lambda one: one.jurisdiction),
        ListColumn(RECEIVED, 12, looks.day, lambda one: one.received),
        ListColumn(SHIPPED, 12, looks.day, lambda one: one.ship_date),
        ListColumn(DAYS, 8, looks.count, lambda one: one.days, figure=True),
        ListColumn(STANDING, 28, text, lambda one: one.standing.value),
        ListColumn("Batteries to recycle", 10, looks.count, lambda one: one.count, figure=True),
        ListColumn(MASS, 11, looks.kilograms, lambda one: in_kg(one.mass_g), figure=True),
        ListColumn(WITHOUT, 9, looks.count, lambda one: one.without_mass, figure=True),
        ListColumn("In the period", 10, text, lambda one: "yes" if one.in_period else "no"),
    )


RuleRow = tuple[str, Statement]


def rule_rows(register: Register) -> list[RuleRow]:
    """Return each jurisdiction with each of its reminders of storage rules."""
    return [
        (one.jurisdiction, statement) for one in register.storage_reminders for statement in one.statements
    ]


def rule_columns(looks: Formats) -> tuple[ListColumn[RuleRow], ...]:
    """Return the columns of the sheet with reminders of storage rules."""
    text = looks.text
    return (
        ListColumn(JURISDICTION, 12, looks.strong, lambda one: one[0]),
        ListColumn("About", 32, text, lambda one: one[1].heading),
        ListColumn("Reminder", 62, text, lambda one: one[1].text or CONFIRM),
        ListColumn("Source", 52, text, lambda one: one[1].source),
        ListColumn("How far checked", 28, text, lambda one: one[1].checked),
        ListColumn("Valid from", 12, looks.day, lambda one: one[1].valid_from),
        ListColumn("Valid until", 12, looks.day, lambda one: one[1].valid_to),
    )


NotCounted = tuple[str, str]


def not_counted(register: Register) -> list[NotCounted]:
    """Return each file that is in no sum with the reason, copies of counted ones last."""
    return [*map(_left_out, register.left_out), *map(_copy, register.copies)]


def _left_out(one: LeftOut) -> NotCounted:
    return one.file, one.reason


def _copy(one: Copy) -> NotCounted:
    return one.file, f"The same bytes as {one.of}, which is counted."


def not_counted_columns(looks: Formats) -> tuple[ListColumn[NotCounted], ...]:
    """Return the columns of the sheet that names what is in no sum."""
    return (
        ListColumn("Results file", 50, looks.strong, lambda one: one[0]),
        ListColumn("Why it is not counted", 90, looks.text, lambda one: one[1]),
    )
