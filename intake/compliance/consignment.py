"""What holds for the whole consignment: the storage clock, and the jurisdiction's general statements."""

from collections.abc import Sequence
from datetime import date

from intake.compliance.dated_statements import statement_on
from intake.compliance.load_warnings import resale_warnings
from intake.compliance.pallet import Item
from intake.model.battery import Batch
from intake.model.compliance import Statement
from intake.model.verdict import Grade
from intake.policy.jurisdictions import Jurisdiction, When

_GRADE_OF = {
    When.RECYCLE: Grade.RECYCLE,
    When.RESALE: Grade.RESALE,
    When.RECONDITIONABLE: Grade.RECONDITIONABLE,
}


def general_statements(
    batch: Batch, pallet: Sequence[Item], jurisdiction: Jurisdiction, day: date
) -> tuple[Statement, ...]:
    """Return the storage clock, then the jurisdiction's statements for the grades that occur."""
    grades = {item.verdict.grade for item in pallet}
    wanted = [
        rule for rule in jurisdiction.general if rule.when is When.ALWAYS or _GRADE_OF[rule.when] in grades
    ]
    return (_storage_clock(batch), *(statement_on(rule, day) for rule in wanted))


def resale_statements(pallet: Sequence[Item], jurisdiction: Jurisdiction, day: date) -> tuple[Statement, ...]:
    """Return what the jurisdiction says of batteries to resell, none where there are none.

    The warning that some of them are not proven stands first.
    """
    if all(item.verdict.grade is not Grade.RESALE for item in pallet):
        return ()
    rules = [rule for rule in jurisdiction.general if rule.when is When.RESALE]
    return (
        *resale_warnings(pallet, jurisdiction, day),
        *(statement_on(rule, day) for rule in rules),
    )


def _storage_clock(batch: Batch) -> Statement:
    """Return day one and the days held, as far as the sheet tells, with the site's own limit left open."""
    source, held = "Batch sheet: Received", ""
    if batch.ship_date is not None:
        source += ", Ship date"
        held = f" {(batch.ship_date - batch.received).days} days until shipped on {batch.ship_date}."
    return Statement(
        heading="Storage clock",
        text=f"Received {batch.received}.{held} Limit of this site, from its permit or rule: ________ days. "
        "Day one, if another than Received: ________.",
        source=source,
        checked="as entered",
    )
