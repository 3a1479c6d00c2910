"""Which batteries to recycle were still held on the closing date, and for how long."""

from collections.abc import Iterable, Sequence

from intake.model.account import StockItem
from intake.model.register import GradedBatch, Period, Storage, StorageStanding
from intake.model.verdict import Grade


def storage_of(
    batches: Iterable[GradedBatch], period: Period, *, on_hand: Iterable[StockItem] = ()
) -> tuple[Storage, ...]:
    """Return what each batch still held on the closing date, or shipped too late, longest held first.

    Every batch received by the closing date is examined, also one from before the period. Its clock
    starts on Received. What its Batch sheet shows as shipped by the closing date counts as gone, unless
    loads were read and none of them took it.

    Parameters
    ----------
    on_hand
        By the loads that were read, what has not left by the closing date; empty where no load was read.
    """
    here: dict[str, list[StockItem]] = {}
    for item in on_hand:
        if item.grade is Grade.RECYCLE:
            here.setdefault(item.batch.casefold(), []).append(item)
    found = [entry for one in batches if (entry := _storage(one, period, here.get(one.batch.casefold(), ())))]
    return tuple(sorted(found, key=lambda one: (-one.days, one.batch)))


def _storage(one: GradedBatch, period: Period, here: Sequence[StockItem]) -> Storage | None:
    groups = [group for group in one.groups if group.grade is Grade.RECYCLE]
    shipped = one.ship_date is not None and one.ship_date <= period.closing and not here
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
