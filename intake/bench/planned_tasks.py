"""From one battery's place in the layout to its tasks on the clock."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta

from intake.bench.charge_time import treatment_h
from intake.bench.station_work import StationWork
from intake.bench.timeline import Minutes, Placed, base
from intake.bench.working_minutes import OpenMinutes
from intake.bench.working_time import MINUTES_PER_HOUR
from intake.model.plan import PlannedBattery, PlannedTask, Station, TaskKind
from intake.policy.grading_policy import GradingPolicy

SHELF = "shelf"
MARKED_PLACE = "marked place"


def planned_tasks(
    one: StationWork,
    placed: Placed,
    stations: Sequence[Station],
    minutes: Minutes,
    start: datetime,
    opened: OpenMinutes,
    *,
    policy: GradingPolicy,
) -> Iterator[PlannedTask]:
    """Yield one battery's tasks in time order, on the clock that begins at ``start``.

    A stage that is attended and does not fit one shift is a task for each shift.
    """
    tag = one.job.battery.tag
    settles_in = MARKED_PLACE if one.job.apart else SHELF
    if one.work.stays and placed.station >= 0:
        settles_in = stations[placed.station].name

    settled_from = base(placed, minutes)

    def task(
        kind: TaskKind, place: str, begin: int, end: int, person: bool, due: int | None = None
    ) -> PlannedTask:
        return PlannedTask(
            tag,
            kind,
            place,
            _at(start, begin),
            _at(start, end),
            person,
            None if due is None else _at(start, due),
            _at(start, settled_from) if due is not None and placed.station >= 0 else None,
        )

    if placed.station >= 0:
        place = stations[placed.station].name
        begin = placed.connect + minutes.connect
        yield task(TaskKind.CONNECT, place, placed.connect, begin, True)
        for kind, length in _stages(one, placed.station, policy):
            pieces = opened.pieces(begin, length) if one.work.attended else [(begin, begin + length)]
            for piece_begins, begin in pieces:
                yield task(kind, place, piece_begins, begin, False)
        yield task(TaskKind.DISCONNECT, place, placed.disconnect, settled_from, True)
    if placed.readings and placed.readings[-1] > settled_from:
        yield task(TaskKind.SETTLE, settles_in, settled_from, placed.readings[-1], False)
    for need, reading, begin in zip(one.job.readings, one.work.readings, placed.readings, strict=True):
        yield task(
            need.kind, settles_in, begin, begin + minutes.reading, True, settled_from + reading.after_min
        )


def planned_battery(
    one: StationWork, placed: Placed, stations: Sequence[Station], start: datetime, worth: Mapping[str, str]
) -> PlannedBattery:
    """Return what the plan does with one battery."""
    on_station = placed.station >= 0
    battery = one.job.battery
    remark = worth.get(battery.tag)
    return PlannedBattery(
        tag=battery.tag,
        chemistry=battery.chemistry,
        grade=one.job.verdict.grade,
        station=stations[placed.station].name if on_station else None,
        estimate=one.estimates[placed.station] if on_station else None,
        finished=_at(start, placed.finished),
        remarks=(*one.job.remarks, remark) if remark else one.job.remarks,
    )


def _stages(one: StationWork, station: int, policy: GradingPolicy) -> Iterator[tuple[TaskKind, int]]:
    """Split the minutes on a station: recovery first, then the charge, then levelling."""
    minutes = {
        kind: round(treatment_h(kind, one.job.battery.chemistry, policy=policy).value * MINUTES_PER_HOUR)
        for kind in one.job.treatments
    }
    charge = {TaskKind.CHARGE: (one.work.station_min[station] or 0) - sum(minutes.values())}
    first = {kind: taken for kind, taken in minutes.items() if kind is TaskKind.RECOVER}
    yield from (first | charge | minutes).items()


def _at(start: datetime, minute: int) -> datetime:
    return start + timedelta(minutes=minute)
