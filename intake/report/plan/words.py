"""What the documents of a bench plan say in words, from ``templates/plan-words.json``."""

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache

from intake.model.battery import LEAD_ACID, Chemistry
from intake.model.plan import Plan, Station, TaskKind
from intake.policy.resources import resource_text
from intake.policy.sources import Source, load_sources

DAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_SHORT_DAY = 3
_GROUPS: Mapping[str, frozenset[Chemistry]] = {
    "all": frozenset(Chemistry),
    "lead-acid": LEAD_ACID,
    "lithium": frozenset({Chemistry.LFP}),
}


@dataclass(frozen=True, slots=True)
class TaskWords:
    """A task's name, and what to do."""

    name: str
    do: str


@dataclass(frozen=True, slots=True)
class Caution:
    """A caution, the chemistries it is for, and where it comes from."""

    text: str
    chemistries: frozenset[Chemistry]
    sources: tuple[Source, ...]

    @property
    def source(self) -> str:
        """Its sources as printed; without one it is common practice."""
        return "; ".join(one.citation for one in self.sources) or "common practice"


@dataclass(frozen=True, slots=True)
class PlanWords:
    """All texts."""

    tasks: Mapping[TaskKind, TaskWords]
    cautions: tuple[Caution, ...]


@cache
def load_plan_words() -> PlanWords:
    """Return the shipped texts."""
    document = json.loads(resource_text("templates", "plan-words.json"))
    sources = load_sources()
    return PlanWords(
        tasks={kind: TaskWords(**document["tasks"][kind.value]) for kind in TaskKind},
        cautions=tuple(
            Caution(
                entry["text"],
                _GROUPS[entry["for"]],
                tuple(sources[name] for name in entry.get("sources", ())),
            )
            for entry in document["cautions"]
        ),
    )


def cautions_for(chemistries: Iterable[Chemistry]) -> tuple[Caution, ...]:
    """Return the cautions that some of the chemistries call for, in their order."""
    present = frozenset(chemistries)
    return tuple(one for one in load_plan_words().cautions if one.chemistries & present)


def day_in_words(day: date) -> str:
    """Return a day like ``Wednesday 2026-11-25``."""
    return f"{DAYS[day.weekday()]} {day.isoformat()}"


def moment_in_words(moment: datetime) -> str:
    """Return a moment like ``Wed 2026-11-25 14:05``."""
    return f"{DAYS[moment.weekday()][:_SHORT_DAY]} {moment.date().isoformat()} {moment:%H:%M}"


def moment_seen_from(moment: datetime, day: date) -> str:
    """Return the time alone on that day, with the name of its day within a week, else with its date."""
    if moment.date() == day:
        return f"{moment:%H:%M}"
    if abs(moment.date() - day) < timedelta(days=len(DAYS)):
        return f"{DAYS[moment.weekday()][:_SHORT_DAY]} {moment:%H:%M}"
    return moment_in_words(moment)


def takes_in_words(station: Station) -> str:
    """Return which chemistries a station takes."""
    takes = station.chemistries
    if takes == LEAD_ACID | {Chemistry.LFP}:
        return "lead-acid and LFP"
    parts = (
        ["lead-acid"] if takes >= LEAD_ACID else [one.value for one in Chemistry if one in takes & LEAD_ACID]
    )
    return ", ".join([*parts, *(["LFP"] if Chemistry.LFP in takes else [])])


def working_time_in_words(plan: Plan) -> str:
    """Return when the person is there, like ``08:00-17:00, Mon to Wed and Sat``."""
    days = "every day" if len(plan.days) == len(DAYS) else _days_in_words(plan.days)
    return f"{' and '.join(plan.shifts)}, {days}"


def _days_in_words(names: Collection[str]) -> str:
    """Return days in the order of the week, three or more that follow each other as one span."""
    spans: list[list[str]] = []
    before = False
    for day in (name[:_SHORT_DAY] for name in DAYS):
        if day.lower() not in names:
            before = False
            continue
        if not before:
            spans.append([])
        spans[-1].append(day)
        before = True
    least = 3
    return ", ".join(f"{span[0]} to {span[-1]}" if len(span) >= least else ", ".join(span) for span in spans)


def gap_in_words(plan: Plan) -> str:
    """Return how the plan stands against what no plan can beat."""
    if not plan.tasks:
        return "Nothing is planned."
    this = f"This plan finishes {moment_in_words(plan.end)}."
    if plan.end <= plan.bound:
        return f"{this} With these stations and shifts no plan can finish sooner."
    return f"{this} With these stations and shifts no plan can finish before {moment_in_words(plan.bound)}."


def lateness_in_words(plan: Plan) -> str:
    """Return how many hold readings wait for the shift or the person, and for how long at most."""
    if not plan.late_readings:
        return "Every reading is taken as soon as it is due."
    are = "reading waits" if plan.late_readings == 1 else "readings wait"
    return (
        f"{plan.late_readings} {are} for the shift or for the person, {plan.latest_reading_h:.1f} h at most. "
        "A later hold reading counts as well: write its true hours down."
    )
