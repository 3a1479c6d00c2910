"""One task of the person in words: what, where, how, and what there is to write down."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from intake.model.plan import ChargeEstimate, PlannedTask, TaskKind
from intake.report.drawing.plain_text import one_line
from intake.report.plan.content import (
    READINGS,
    ChangeOver,
    Occupation,
    PlanContent,
    change_overs,
    shifts_between,
)
from intake.report.plan.words import load_plan_words, moment_seen_from
from intake.report.words.battery import chemistry_in_words

CLOCK = "at"
"""Stands before the time of day that is to be written down."""
_MINUTE = timedelta(minutes=1)
_AWAY = timedelta(minutes=30)
"""A reading that is taken no later than this after it is due is not worth a remark."""
_AGAIN = timedelta(hours=3)
"""A reading so long after the charge shows, with the long one, whether charge is lost: see the guide."""
_CLEAN_FIRST = "Clean the terminals first."


@dataclass(frozen=True, slots=True)
class TaskText:
    """A task as the bench sheet and the workbook print it."""

    title: str
    battery: str
    """What it is and where on the pallet."""
    beside: tuple[str, ...]
    """Figures of this battery and remarks, one a line."""
    to_write: tuple[str, ...]
    """Units of the figures to write down."""


def task_text(task: PlannedTask, content: PlanContent, *, day: date) -> TaskText:
    """Return one task in words; ``day`` is the day from which moments are named."""
    words = load_plan_words().tasks[task.kind]
    return TaskText(
        title=f"{words.name}{_where(task, content)}",
        battery=_battery(task, content),
        beside=tuple(_beside(task, content, day)),
        to_write=_TO_WRITE.get(task.kind, ()),
    )


_TO_WRITE = {
    TaskKind.CONNECT: (CLOCK,),
    TaskKind.DISCONNECT: (CLOCK,),
    TaskKind.READ_SHORT: ("V", "°C", CLOCK),
    TaskKind.READ_LONG: ("V", "°C", CLOCK),
    TaskKind.READ_REST: ("V", "°C", CLOCK),
}


def _where(task: PlannedTask, content: PlanContent) -> str:
    if task.kind is TaskKind.CONNECT:
        return f" to {task.place}{_apart(task, content)}"
    if task.kind is TaskKind.DISCONNECT:
        return f" {task.place}{_apart(task, content)}"
    return f", {task.place}"


def _apart(task: PlannedTask, content: PlanContent) -> str:
    station = content.stations.get(task.place)
    return " in the marked place" if content.plan.qualified and station and station.apart else ""


def _battery(task: PlannedTask, content: PlanContent) -> str:
    battery = content.graded[task.tag].battery
    where = f", position {one_line(battery.position)}" if battery.position else ""
    capacity = f", {battery.rated_capacity_ah:g} Ah" if battery.rated_capacity_ah is not None else ""
    return f"{chemistry_in_words(battery.chemistry)}{capacity}{where}"


def _beside(task: PlannedTask, content: PlanContent, day: date) -> list[str]:
    planned = content.planned[task.tag]
    clean = [_CLEAN_FIRST] if content.graded[task.tag].battery.terminals == "corroded" else []
    if task.kind is TaskKind.CONNECT:
        stands = next(one for one in content.occupations if one.tag == task.tag)
        lines = [_charge_in_words(planned.estimate, stands, day)] if planned.estimate else []
        return [*clean, *lines, *_set_by_hand(stands, content, day), *planned.remarks]
    if task.kind not in READINGS:
        return []
    lines = []
    if task.due is not None and task.counted_from is not None:
        off, read = moment_seen_from(task.counted_from, day), moment_seen_from(task.due, day)
        again = task.counted_from + _AGAIN
        if task.kind is TaskKind.READ_SHORT and _is_there(again, content):
            read += f" and at {moment_seen_from(again, day)}"
        lines.append(f"Off at {off} by this plan; read from {read}.")
    elif task.due is not None and task.start - task.due > _AWAY:
        already = task.kind is not TaskKind.READ_REST and task.due <= content.plan.start
        since = "already when the plan starts" if already else f"since {moment_seen_from(task.due, day)}"
        lines.append(f"Due {since}.")
    return lines if planned.station else [*clean, *lines, *planned.remarks]


def _is_there(moment: datetime, content: PlanContent) -> bool:
    """Say whether the person is at the bench for a minute from a moment on."""
    return bool(shifts_between(content.plan, moment, moment + _MINUTE))


def _charge_in_words(estimate: ChargeEstimate, stands: Occupation, day: date) -> str:
    hours: dict[TaskKind, timedelta] = {}
    for one in stands.stages:
        hours[one.kind] = hours.get(one.kind, timedelta()) + one.end - one.start
    stages = ", then ".join(_stage_in_words(kind, taken, estimate) for kind, taken in hours.items())
    earlier = timedelta(hours=estimate.hours_high - estimate.hours_low)
    first = stands.ready - earlier // _MINUTE * _MINUTE
    done = f"by {moment_seen_from(stands.ready, day)}"
    if first != stands.ready and not stands.pauses:
        done = f"between {moment_seen_from(first, day)} and {moment_seen_from(stands.ready, first.date())}"
    return f"{stages[0].upper()}{stages[1:]}: done {done}."


def _set_by_hand(stands: Occupation, content: PlanContent, day: date) -> list[str]:
    """Say when each further stage is set where the station does not do it: only while somebody is there."""
    found = change_overs(stands, content.plan)
    if not found:
        return []
    names = load_plan_words().tasks
    told = ", ".join(
        f"{names[one.kind].name.lower()} from {moment_seen_from(one.start, day)}" for one in found
    )
    last = found[-1]
    if not last.late:
        return [f"Without automatic change-over: {told}."]
    done = moment_seen_from(last.ready, day)
    return [f"Without automatic change-over: {told} (next shift); take it off when done, by {done}."]


def change_over_text(one: ChangeOver) -> TaskText:
    """Return the setting of a stage by hand, with the time window for it."""
    name = load_plan_words().tasks[one.kind].name.lower()
    day = one.start.date()
    window = (
        f"Between {one.start:%H:%M} and {moment_seen_from(one.end, day)}; done by "
        f"{moment_seen_from(one.ready, day)} at the latest. Take it off only then: what follows on "
        f"{one.station} comes later."
    )
    return TaskText(
        title=f"Set {one.station} to {name} if it has not gone on",
        battery="",
        beside=(window,),
        to_write=(CLOCK,),
    )


def _stage_in_words(kind: TaskKind, taken: timedelta, estimate: ChargeEstimate) -> str:
    """Return a stage with its hours and its highest current; levelling runs at what the battery draws."""
    hours = taken / timedelta(hours=1)
    name = load_plan_words().tasks[kind].name.lower()
    if kind is TaskKind.CHARGE:
        return f"{name} at {estimate.current_a:.3g} A at most for up to {hours:.1f} h"
    if kind is TaskKind.RECOVER and estimate.recover_current_a is not None:
        return f"{name} at {estimate.recover_current_a:.2g} A for {hours:g} h"
    return f"{name} for {hours:g} h"
