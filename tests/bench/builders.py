"""Needs, plans and their check for the tests of this room."""

from collections import defaultdict
from datetime import datetime, timedelta
from itertools import pairwise

from intake.bench.jobs import BenchJob, bench_need
from intake.bench.plan_batch import BenchSettings, plan_batch
from intake.bench.stations import stations_from
from intake.model.plan import TaskKind
from intake.policy.grading_policy import load_grading_policy
from tests.bench.generated import working_time
from tests.grading.builders import graded

POLICY = load_grading_policy()
MONDAY_MORNING = datetime(2026, 11, 23)


def need_of(one, *, qualified=False, read_on=None):
    """Return what a battery needs by the grade that the engine gives it, in a plan from Monday morning on."""
    told = {"qualified": qualified, "read_on": read_on}
    return bench_need(one, graded(one), policy=POLICY, begins=MONDAY_MORNING, **told)


def plan_of(
    result,
    stations="2",
    *,
    shifts=("08:00-17:00",),
    days="mon-fri",
    qualified=False,
    start=MONDAY_MORNING,
    worth=None,
):
    """Plan a result; a station whose current is not told has 10 A."""
    settings = BenchSettings(
        stations_from(stations, usual_current_a=10),
        working_time(*shifts, days=days, start=start),
        start_was_given=True,
        qualified=qualified,
    )
    return plan_batch(result, settings, policy=POLICY, worth=worth or {})


def faults(plan, result):
    """Return what is wrong with a plan, told from its records alone; nothing is taken from the scheduler."""
    found = []
    shifts = [tuple(_clock(one) for one in text.split("-")) for text in plan.shifts]
    for task in plan.tasks:
        if task.needs_person and not _in_a_shift(task, shifts, plan.days):
            found.append(f"outside a shift: {task}")
        if task.due is not None and task.start < task.due:
            found.append(f"before its time: {task}")
        if task.start < plan.start or task.end < task.start:
            found.append(f"runs backwards: {task}")
    person = sorted((task for task in plan.tasks if task.needs_person), key=lambda task: task.start)
    found += [f"two at once: {one}, {two}" for one, two in pairwise(person) if two.start < one.end]
    names = {one.name for one in plan.stations}
    held = defaultdict(list)
    by_tag = defaultdict(list)
    for task in plan.tasks:
        by_tag[task.tag].append(task)
    for tag, tasks in by_tag.items():
        for place in {task.place for task in tasks} & names:
            here = [task for task in tasks if task.place == place]
            held[place].append((min(task.start for task in here), max(task.end for task in here), tag))
    for place, spans in held.items():
        for one, two in pairwise(sorted(spans)):
            if two[0] < one[1]:
                found.append(f"two on {place}: {one}, {two}")
    for one in result.graded:
        told = {"qualified": plan.qualified, "begins": plan.start, "read_on": result.batch.read_on}
        need = bench_need(one.battery, one.verdict, policy=POLICY, **told)
        if isinstance(need, BenchJob) and need.charge is None:
            found += _missing(one.battery.tag, [reading.kind for reading in need.readings], by_tag)
        elif isinstance(need, BenchJob) and one.battery.tag not in {held.tag for held in plan.held_back}:
            stages = [TaskKind.CHARGE, *need.treatments]
            kinds = [TaskKind.CONNECT, TaskKind.DISCONNECT, TaskKind.SETTLE]
            kinds += [TaskKind.READ_SHORT, TaskKind.READ_LONG]
            found += _missing(one.battery.tag, kinds if need.attended else [*kinds, *stages], by_tag)
            if need.attended:
                here = [task for task in by_tag[one.battery.tag] if task.kind in stages]
                found += [f"unattended: {task}" for task in here if not _in_a_shift(task, shifts, plan.days)]
                found += [f"lacks {kind}" for kind in stages if kind not in {task.kind for task in here}]
        elif one.battery.tag in by_tag:
            found.append(f"has tasks and needs none: {one.battery.tag}")
    if list(plan.tasks) != sorted(plan.tasks, key=lambda task: task.start):
        found.append("tasks are not in time order")
    return found


def _missing(tag, kinds, by_tag):
    planned = [task.kind for task in by_tag[tag]]
    return [f"{tag} lacks {kind}" for kind in kinds if planned.count(kind) != 1]


def _clock(text):
    hours, minutes = text.split(":")
    return timedelta(hours=int(hours), minutes=int(minutes))


def _in_a_shift(task, shifts, days):
    for before in (0, 1):
        midnight = datetime.combine(task.start.date(), datetime.min.time()) - timedelta(days=before)
        if midnight.strftime("%a").lower() not in days:
            continue
        for opens, closes in shifts:
            end = closes if closes > opens else closes + timedelta(days=1)
            if midnight + opens <= task.start and task.end <= midnight + end:
                return True
    return False
