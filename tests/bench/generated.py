"""Seeded random work for a bench, shaped like what a pallet needs."""

from datetime import datetime
from random import Random

from intake.bench.charge_time import ChargeNeed, estimate_charge
from intake.bench.schedule import Task
from intake.bench.station_work import person_minutes
from intake.bench.timeline import DueReading, Work
from intake.bench.working_time import WorkingTime, days_from, shift_from
from intake.model.battery import Chemistry
from intake.model.plan import TaskKind
from intake.policy.grading_policy import load_grading_policy

POLICY = load_grading_policy()
HOLD = (DueReading(30, 60), DueReading(720, None))
MONDAY = datetime(2026, 11, 23, 8)
_CAPACITIES_AH = (35, 45, 50, 60, 70, 74, 80, 95, 100, 110)
_KINDS = (
    (Chemistry.FLOODED, TaskKind.EQUALISE),
    (Chemistry.FLOODED_SEALED, TaskKind.RECOVER),
    (Chemistry.EFB, TaskKind.RECOVER),
    (Chemistry.AGM, TaskKind.RECOVER),
    (Chemistry.GEL, TaskKind.RECOVER),
    (Chemistry.LFP, TaskKind.BALANCE),
)


def working_time(*shifts, days="mon-fri", start=MONDAY):
    return WorkingTime(start, tuple(shift_from(one) for one in shifts), days_from(days))


def generated_task(seed, jobs, stations, *, shift="08:00-17:00", currents_a=(10,)):
    """One in six only has a reading left; half of the others are recovered or levelled as well."""
    random = Random(seed)
    amperes = [currents_a[place % len(currents_a)] for place in range(stations)]
    works = []
    for place in range(jobs):
        if random.random() < 1 / 6:
            works.append(Work(f"G{place:03}", (), (DueReading(random.randrange(0, 700, 30), None),)))
            continue
        chemistry, treatment = random.choice(_KINDS)
        capacity_ah = random.choice(_CAPACITIES_AH)
        missing_percent = random.uniform(15, 95)
        need = ChargeNeed(chemistry, capacity_ah, capacity_ah, missing_percent / 2, missing_percent, ())
        treatments = (treatment,) if random.random() < 1 / 2 else ()
        lengths = [
            int(estimate_charge(need, treatments, station_current_a=one, policy=POLICY).hours_high * 60) + 1
            for one in amperes
        ]
        works.append(Work(f"G{place:03}", tuple(lengths), HOLD))
    return Task(tuple(works), stations, person_minutes(POLICY), working_time(shift))
