"""From what a battery needs to minutes on each station, and why no station may take it."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from intake.bench.charge_time import estimate_charge
from intake.bench.jobs import BenchJob
from intake.bench.timeline import DueReading, Minutes, Work
from intake.bench.working_time import MINUTES_PER_HOUR
from intake.model.plan import ChargeEstimate, HeldBack, Station
from intake.policy.grading_policy import GradingPolicy

_NO_MARKED_PLACE = (
    "It is suspect and is charged alone in a marked place, and no station that takes it is there."
)


@dataclass(frozen=True, slots=True)
class StationWork:
    """One battery's work with the estimates it rests on, one a station; None where it may not stand."""

    job: BenchJob
    estimates: tuple[ChargeEstimate | None, ...]
    work: Work


def station_work(
    job: BenchJob, stations: Sequence[Station], *, policy: GradingPolicy
) -> StationWork | HeldBack:
    """Return the battery's minutes on each station, or why none of them takes it."""
    readings = tuple(
        DueReading(
            _minutes(one.after_h),
            None if one.latest_after_h is None else int(one.latest_after_h * MINUTES_PER_HOUR),
        )
        for one in job.readings
    )
    tag, need = job.battery.tag, job.charge
    if need is None:
        return StationWork(job, (), Work(tag, (), readings))
    estimates = tuple(
        estimate_charge(need, job.treatments, station_current_a=one.current_a, policy=policy)
        if _may_stand(job, one)
        else None
        for one in stations
    )
    if not any(estimates):
        name = job.battery.chemistry.value
        reason = _NO_MARKED_PLACE if job.apart else f"No station takes {name}."
        return HeldBack(
            tag, job.battery.chemistry, job.verdict.grade, reason, job.verdict.next_step, job.battery.row
        )
    lengths = tuple(None if one is None else _minutes(one.hours_high) for one in estimates)
    return StationWork(job, estimates, Work(tag, lengths, readings, stays=job.apart, attended=job.attended))


def person_minutes(policy: GradingPolicy) -> Minutes:
    """Return what the person's tasks take, in whole minutes."""
    bench = policy.bench
    return Minutes(
        ceil(bench.connect_min.value), ceil(bench.disconnect_min.value), ceil(bench.reading_min.value)
    )


def _may_stand(job: BenchJob, station: Station) -> bool:
    return job.battery.chemistry in station.chemistries and (station.apart or not job.apart)


def _minutes(hours: float) -> int:
    """Return whole minutes, never fewer; a whole number that floating point has missed counts as whole."""
    return ceil(round(hours * MINUTES_PER_HOUR, 6))
