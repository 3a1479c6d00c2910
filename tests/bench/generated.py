"""Seeded random work for a bench, shaped like what a pallet needs."""

from datetime import datetime, timedelta
from math import ceil
from random import Random

from intake.bench.charge_time import ChargeNeed, estimate_charge
from intake.bench.schedule import Task, from_first_opening
from intake.bench.station_work import person_minutes
from intake.bench.stations import stations_from
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


_BENCHES = (
    "2x10A,1x20A",
    "1x10A,1x5A,1x20A",
    "2x6A,2x15A",
    "1x20A:lead,2x10A",
    "1x10A:agm:gel,2x10A,1x5A",
    "2x10A:lead,1x6A:agm:gel,1x20A:lfp:apart",
    "4x10A,2x20A:lead",
    "1x4A,1x8A,1x16A",
    "1x10A,1x25A",
    "3x8A:flooded,2x12A,1x20A:lfp",
)
_WORKING = (
    ("08:00-16:00", "mon-fri"),
    ("06:00-22:00", "mon-fri"),
    ("08:00-16:00", "mon-sat"),
    ("06:00-22:00", "mon-sat"),
)
_SUSPECT = 1 / 12


def unlike_task(seed):
    """Stations unlike in current or chemistry, 8 or 16 hours, some day of the week, 10 to 60 batteries.

    One in twelve is suspect: lithium alone in the marked place, lead-acid with a cell that may be down.
    """
    random = Random(f"unlike {seed}")
    stations = stations_from(random.choice(_BENCHES), usual_current_a=10)
    shift, days = random.choice(_WORKING)
    jobs = random.choice((10, 20, 30, 40, 50, 60))
    start = MONDAY.replace(hour=0) + timedelta(days=random.randrange(5))
    works = []
    for place in range(jobs):
        if random.random() < 1 / 6:
            works.append(Work(f"U{place:03}", (), (DueReading(random.randrange(0, 700, 30), None),)))
            continue
        chemistry, treatment = random.choice(_KINDS)
        capacity_ah = random.choice(_CAPACITIES_AH)
        missing_percent = random.uniform(15, 95)
        treatments = (treatment,) if random.random() < 1 / 2 else ()
        suspect = random.random() < _SUSPECT
        apart = suspect and chemistry is Chemistry.LFP
        need = ChargeNeed(chemistry, capacity_ah, capacity_ah, missing_percent / 2, missing_percent, ())
        lengths = tuple(
            ceil(
                round(
                    estimate_charge(
                        need, treatments, station_current_a=one.current_a, policy=POLICY
                    ).hours_high
                    * 60,
                    6,
                )
            )
            if chemistry in one.chemistries and (one.apart or not apart)
            else None
            for one in stations
        )
        works.append(Work(f"U{place:03}", lengths, HOLD, stays=apart, attended=suspect))
    time = from_first_opening(working_time(shift, days=days, start=start))
    return Task(tuple(works), len(stations), person_minutes(POLICY), time)
