"""What the rule data say of storage, for the streams whose batteries are still held."""

from collections.abc import Iterable, Mapping

from intake.compliance.dated_statements import statement_on
from intake.model.compliance import Statement
from intake.model.register import GradedBatch, Period, Storage, StorageReminder
from intake.policy.jurisdictions import Jurisdiction

_NO_DATA = "Storage: no rule data for this jurisdiction were given to this run"


def storage_reminders(
    storage: Iterable[Storage],
    batches: Iterable[GradedBatch],
    period: Period,
    rules: Mapping[str, Jurisdiction],
) -> tuple[StorageReminder, ...]:
    """Return what the rule data say of storage for the streams that are listed, by jurisdiction.

    A statement that several streams share is given once; a jurisdiction without rule data is named all
    the same.
    """
    listed = {one.batch for one in storage}
    streams: dict[str, set[str]] = {}
    for one in batches:
        if one.batch in listed:
            keys = {group.stream for group in one.groups if group.stream is not None}
            streams.setdefault(one.jurisdiction, set()).update(keys)
    return tuple(_reminder(key, rules.get(key), streams[key], period) for key in sorted(streams))


def _reminder(
    key: str, jurisdiction: Jurisdiction | None, streams: set[str], period: Period
) -> StorageReminder:
    if jurisdiction is None:
        return StorageReminder(key, (Statement(heading=_NO_DATA, text=None, source=""),))
    held = [rule for one in jurisdiction.streams if one.key in streams for rule in one.storage]
    statements = (statement_on(rule, period.closing) for rule in held)
    return StorageReminder(key, tuple(dict.fromkeys(statements)))
