"""Which batteries to recycle were still held on the closing date, and for how long."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from intake.model.account import SentLoad, StockItem
from intake.model.register import GradedBatch, Period, Storage, StorageStanding
from intake.model.verdict import Grade


def storage_of(
    batches: Iterable[GradedBatch],
    period: Period,
    *,
    loads: Iterable[SentLoad] = (),
    on_hand: Iterable[StockItem] = (),
) -> tuple[Storage, ...]:
    """Return what each batch still held on the closing date, or shipped too late, longest held first.

    Every batch received by the closing date is examined, also one from before the period. Its clock
    starts on Received. Where loads were read, they say what has left, and when; without any, what the
    Batch sheet shows as shipped by the closing date counts as gone.

    Parameters
    ----------
    loads
        Those that were read.
    on_hand
        By these loads, what has not left by the closing date.
    """
    here: dict[str, list[StockItem]] = {}
    for item in on_hand:
        if item.grade is Grade.RECYCLE:
            here.setdefault(item.batch.casefold(), []).append(item)
    gone: dict[tuple[str, str], date] = {}
    for load in sorted((one for one in loads if one.day <= period.closing), key=lambda one: one.day):
        for battery in load.departures:
            gone.setdefault((battery.batch.casefold(), battery.tag.casefold()), load.day)
    found = [
        _storage(one, period, here.get(one.batch.casefold(), ()) if gone else (), _left_on(one, gone))
        for one in batches
    ]
    return tuple(sorted(filter(None, found), key=lambda one: (-one.days, one.batch)))


def _left_on(one: GradedBatch, gone: Mapping[tuple[str, str], date]) -> date | None:
    """Return the day on which the last battery to recycle left in a load; None where none did."""
    keys = ((item.batch.casefold(), item.tag.casefold()) for item in one.stock if item.grade is Grade.RECYCLE)
    return max((gone[key] for key in keys if key in gone), default=None)


def _storage(
    one: GradedBatch, period: Period, here: Sequence[StockItem], left: date | None
) -> Storage | None:
    """Return how long a batch was held; ``left``: when the last load took some of it."""
    groups = [group for group in one.groups if group.grade is Grade.RECYCLE]
    day = left or one.ship_date
    shipped = day is not None and day <= period.closing and not here
    end = day if day is not None and shipped else period.closing
    days = (end - one.received).days
    standing = _standing(days, period.storage_limit_days, shipped=shipped)
    if not groups or one.received > period.closing or standing is None:
        return None
    return Storage(
        batch=one.batch,
        site=one.site,
        jurisdiction=one.jurisdiction,
        received=one.received,
        ship_date=end if shipped else one.ship_date,
        days=days,
        count=len(here) or sum(group.count for group in groups),
        mass_g=sum(item.mass_g or 0 for item in here) if here else sum(group.mass_g for group in groups),
        without_mass=(
            sum(item.mass_g is None for item in here) if here else sum(group.without_mass for group in groups)
        ),
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
