"""How the meters of a period stand on its closing date, as far as the Batch sheets tell."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from intake.model.register import CALIBRATION_NEAR_DAYS, GradedBatch, MeterStanding, MeterUse


def meter_uses(batches: Iterable[GradedBatch], closing: date) -> tuple[MeterUse, ...]:
    """Return each meter of each site with its batches, in the order of site and meter.

    Meters whose names differ only in case or spacing count as one. A meter is judged by the latest
    calibration date that its batches give.
    """
    by_meter: dict[tuple[str, str], list[GradedBatch]] = {}
    for one in batches:
        by_meter.setdefault((_alike(one.site), _alike(one.meter or "")), []).append(one)
    return tuple(_use(by_meter[key], closing) for key in sorted(by_meter))


def _alike(name: str) -> str:
    return " ".join(name.split()).casefold()


def _use(batches: Sequence[GradedBatch], closing: date) -> MeterUse:
    first = batches[0]
    due = max((one.calibration_due for one in batches if one.calibration_due), default=None)
    return MeterUse(
        site=first.site,
        meter=first.meter if _alike(first.meter or "") else None,
        batches=tuple(one.batch for one in batches),
        last_used=max(one.latest_reading for one in batches),
        due=due,
        standing=_standing(due, closing),
        used_past_due=tuple(
            one.batch for one in batches if one.calibration_due and one.calibration_due < one.latest_reading
        ),
        without_date=tuple(one.batch for one in batches if one.calibration_due is None),
    )


def _standing(due: date | None, closing: date) -> MeterStanding:
    if due is None:
        return MeterStanding.UNKNOWN
    if due < closing:
        return MeterStanding.PAST
    return (
        MeterStanding.NEAR
        if due - closing <= timedelta(days=CALIBRATION_NEAR_DAYS)
        else MeterStanding.CURRENT
    )
