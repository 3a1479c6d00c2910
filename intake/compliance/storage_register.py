"""Which batteries to recycle were still held on the closing date, and for how long."""

from collections.abc import Iterable

from intake.compliance.dated_statements import statement_on
from intake.model.register import GradedBatch, Period, Storage, StorageReminder, StorageStanding
from intake.model.verdict import Grade
from intake.policy.jurisdictions import load_jurisdiction


def storage_of(batches: Iterable[GradedBatch], period: Period) -> tuple[Storage, ...]:
    """Return what each batch still held on the closing date, or shipped too late, longest held first.

    Every batch received by the closing date is looked at, also one from before the period. Its clock
    starts on Received. What its Batch sheet shows as shipped by the closing date counts as gone.
    """
    found = [entry for one in batches if (entry := _storage(one, period)) is not None]
    return tuple(sorted(found, key=lambda one: (-one.days, one.batch)))


def _storage(one: GradedBatch, period: Period) -> Storage | None:
    groups = [group for group in one.groups if group.grade is Grade.RECYCLE]
    shipped = one.ship_date is not None and one.ship_date <= period.closing
    end = one.ship_date if one.ship_date is not None and shipped else period.closing
    days = (end - one.received).days
    standing = _standing(days, period.storage_limit_days, shipped=shipped)
    if not groups or one.received > period.closing or standing is None:
        return None
    return Storage(
        batch=one.batch,
        site=one.site,
        jurisdiction=one.jurisdiction,
        received=one.received,
        ship_date=one.ship_date,
        days=days,
        count=sum(group.count for group in groups),
        mass_g=sum(group.mass_g for group in groups),
        without_mass=sum(group.without_mass for group in groups),
        standing=standing,
        in_period=period.covers(one.received),
    )


def _standing(days: int, limit_days: int | None, *, shipped: bool) -> StorageStanding | None:
    over = limit_days is not None and days > limit_days
    if shipped:
        return StorageStanding.SHIPPED_OVER if over else None
    if limit_days is None:
        return StorageStanding.UNKNOWN
    return StorageStanding.OVER if over else StorageStanding.WITHIN


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
