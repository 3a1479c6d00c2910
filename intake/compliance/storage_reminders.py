"""What the rule data say of storage, for the streams whose batteries are still held."""

from collections.abc import Iterable

from intake.compliance.dated_statements import statement_on
from intake.model.register import GradedBatch, Period, Storage, StorageReminder
from intake.policy.jurisdictions import load_jurisdiction


def storage_reminders(
    storage: Iterable[Storage], batches: Iterable[GradedBatch], period: Period
) -> tuple[StorageReminder, ...]:
    """Return what the rule data say of storage for the streams that are listed, by jurisdiction.

    A statement that several streams share is given once.
    """
    listed = {one.batch for one in storage}
    streams: dict[str, set[str]] = {}
    for one in batches:
        if one.batch in listed:
            keys = {group.stream for group in one.groups if group.stream is not None}
            streams.setdefault(one.jurisdiction, set()).update(keys)
    return tuple(_reminder(key, streams[key], period) for key in sorted(streams))


def _reminder(key: str, streams: set[str], period: Period) -> StorageReminder:
    rules = [rule for one in load_jurisdiction(key).streams if one.key in streams for rule in one.storage]
    statements = (statement_on(rule, period.closing) for rule in rules)
    return StorageReminder(key, tuple(dict.fromkeys(statements)))
