"""How much charge a battery needs, and how long one station takes to return it.

Time on a station, upper end::

    capacity x (100 - lower end of state of charge) / 100 x recharge factor / current + taper + stages

where the current is the station's or the battery's own limit, whichever is less.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from intake.model.battery import Battery, Chemistry
from intake.model.plan import ChargeEstimate, TaskKind
from intake.model.units import PERCENT
from intake.model.verdict import Verdict
from intake.policy.cited import CitedValue, Status
from intake.policy.grading_policy import GradingPolicy

_WEAKEST_FIRST = (
    Status.FROM_MEMORY,
    Status.FROM_SIMULATION,
    Status.SITE_CHOICE,
    Status.COMMON_PRACTICE,
    Status.OPENED,
)


@dataclass(frozen=True, slots=True)
class ChargeNeed:
    """Capacity and missing charge of one battery, as intervals."""

    chemistry: Chemistry
    capacity_low_ah: float
    capacity_high_ah: float
    missing_low_percent: float
    """100 less the upper end of the state of charge."""
    missing_high_percent: float
    """100 less the lower end of the state of charge."""
    remarks: tuple[str, ...]
    """What had to be assumed."""


def charge_need(battery: Battery, verdict: Verdict, *, policy: GradingPolicy) -> ChargeNeed:
    """Return what a full charge has to return.

    The hold's state of charge counts before that at rest. Without a voltage the battery may stand
    anywhere between empty and full; after a capacity test it may be empty.
    """
    remarks = []
    low_ah = high_ah = battery.rated_capacity_ah or 0.0
    if not low_ah:
        low_ah = policy.bench.assumed_capacity_low_ah.value
        high_ah = policy.bench.assumed_capacity_high_ah.value
        remarks.append(f"Capacity not given: {low_ah:g} to {high_ah:g} Ah assumed, so the time is wide.")
    state = verdict.known_charge
    low_percent, high_percent = (state.low_percent, state.high_percent) if state else (0.0, PERCENT)
    if state is None:
        remarks.append("State of charge not known: counted from empty.")
    elif battery.delivered_capacity_ah is not None:
        low_percent = 0.0
        remarks.append("A discharge was measured: counted from empty.")
    return ChargeNeed(
        chemistry=battery.chemistry,
        capacity_low_ah=low_ah,
        capacity_high_ah=high_ah,
        missing_low_percent=PERCENT - high_percent,
        missing_high_percent=PERCENT - low_percent,
        remarks=tuple(remarks),
    )


def estimate_charge(
    need: ChargeNeed, treatments: Sequence[TaskKind], *, station_current_a: float, policy: GradingPolicy
) -> ChargeEstimate:
    """Return current, charge and time on a station of so many amperes.

    Parameters
    ----------
    need
        What the battery lacks.
    treatments
        Stages beside the charge itself, at low current: recover, equalise, balance.
    station_current_a
        The station's current in A; the battery's own limit may be less.
    policy
        Recharge factor, limits, taper and the treatments' hours.
    """
    bench = policy.bench
    limit = bench.highest_current_a_per_ah[need.chemistry]
    factor = bench.recharge_factor[need.chemistry]
    taper = bench.taper_h[need.chemistry]
    extra = [treatment_h(kind, need.chemistry, policy=policy) for kind in treatments]
    limit_a = limit.value * need.capacity_low_ah
    current_a = min(station_current_a, limit_a)
    low_ah = need.capacity_low_ah * need.missing_low_percent / PERCENT * factor.value
    high_ah = need.capacity_high_ah * need.missing_high_percent / PERCENT * factor.value
    fixed_h = taper.value + sum(one.value for one in extra)
    working = (
        f"{need.capacity_high_ah:g} Ah × {round(need.missing_high_percent, 1):g} % missing at most "
        f"× {factor.value:g} = {high_ah:.1f} Ah; at {current_a:.3g} A {high_ah / current_a:.2f} h, "
        f"taper {taper.value:g} h"
        + "".join(f", {kind.value} {one.value:g} h" for kind, one in zip(treatments, extra, strict=True))
        + f": {high_ah / current_a + fixed_h:.2f} h at most."
    )
    if limit_a < station_current_a:
        working += f" The battery's own limit, {limit.value:g} A per Ah, holds: {current_a:.3g} A."
    cited = {"charge factor": factor, "current": limit, "taper": taper}
    cited |= {kind.value: one for kind, one in zip(treatments, extra, strict=True)}
    recover_a = None
    if TaskKind.RECOVER in treatments:
        cited["recovery current"] = bench.recover_current_a_per_ah
        recover_a = min(current_a, bench.recover_current_a_per_ah.value * need.capacity_low_ah)
    return ChargeEstimate(
        current_a=current_a,
        charge_low_ah=low_ah,
        charge_high_ah=high_ah,
        hours_low=low_ah / current_a + fixed_h,
        hours_high=high_ah / current_a + fixed_h,
        working=working,
        sources=_sources(cited),
        status=_weakest(list(cited.values())),
        recover_current_a=recover_a,
    )


def treatment_h(kind: TaskKind, chemistry: Chemistry, *, policy: GradingPolicy) -> CitedValue:
    """Return the hours of a stage beside the charge.

    Raises
    ------
    KeyError
        The task is no such stage.
    """
    return {
        TaskKind.RECOVER: policy.bench.recover_h[chemistry],
        TaskKind.EQUALISE: policy.bench.equalise_h,
        TaskKind.BALANCE: policy.bench.balance_h,
        TaskKind.CAPACITY_TEST: policy.bench.capacity_test_h,
    }[kind]


def _sources(cited: Mapping[str, CitedValue]) -> tuple[tuple[str, str], ...]:
    """Return each source once, with all that it is for before it, and its status."""
    uses: dict[tuple[str, str], list[str]] = {}
    for use, one in cited.items():
        uses.setdefault((one.source, one.status.value), []).append(use)
    return tuple(
        (f"{' and '.join(some).capitalize()}: {source}", status) for (source, status), some in uses.items()
    )


def _weakest(values: Sequence[CitedValue]) -> str:
    statuses = {one.status for one in values}
    return next(status.value for status in _WEAKEST_FIRST if status in statuses)
