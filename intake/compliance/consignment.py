"""What holds for the whole consignment: the storage clock, and the jurisdiction's general statements."""

from collections.abc import Sequence
from datetime import date

from intake.compliance.dated_statements import statement_on
from intake.compliance.load_warnings import resale_warnings
from intake.compliance.pallet import Item
from intake.compliance.streams import stream_of
from intake.model.battery import Batch
from intake.model.compliance import Purpose, Statement
from intake.model.verdict import Grade
from intake.policy.jurisdictions import Jurisdiction, Rule, When

_GRADE_OF = {
    When.CARRIAGE: Grade.RECYCLE,
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

    The warning that some of them are not proven stands first, what holds for the carriage of those that are
    sold last.
    """
    resale = [item for item in pallet if item.verdict.grade is Grade.RESALE]
    if not resale:
        return ()
    rules = [rule for rule in jurisdiction.general if rule.when is When.RESALE]
    rules += _carried_when_sold(resale, jurisdiction)
    return (
        *resale_warnings(pallet, jurisdiction, day),
        *(statement_on(rule, day) for rule in rules),
    )


def _carried_when_sold(resale: Sequence[Item], jurisdiction: Jurisdiction) -> list[Rule]:
    """Return what the streams say of batteries that are sold, each statement once.

    How to pack them stands on the sheet of their load.
    """
    keys = {stream_of(item) for item in resale}
    found = [
        rule
        for stream in jurisdiction.streams
        if stream.key in keys
        for rule in stream.statements
        if rule.purpose is Purpose.SALE
    ]
    return list(dict.fromkeys(found))


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
