"""Self-discharge: what a lead-acid block loses a day once it has settled, by least squares over its hold.

V(t) = A - B ln t - r t/24 is fitted to the readings at 25 degC, weighted by their own standard uncertainties,
with one more equation that keeps B near the chemistry's slope. LFP has no figure: its plateau hides the loss.
"""

import math
from collections.abc import Iterator, Sequence
from statistics import fmean
from typing import NamedTuple

from intake.grading.cited_sources import basis
from intake.grading.drop import comparable, levelling
from intake.grading.quantities import (
    Bench,
    at_least,
    is_certain,
    limit_to_be_sure,
    probability_above,
)
from intake.grading.remedy_texts import HAND_OVER
from intake.grading.settling import Hold, default_slope
from intake.grading.state_of_charge import voltage_at_v
from intake.model.battery import LEAD_ACID
from intake.model.rules import Rule
from intake.model.shown import shown_h
from intake.model.units import HOURS_PER_DAY, PERCENT
from intake.model.verdict import Effect, SelfDischarge, Step
from intake.policy.grading_policy import GradingPolicy

Row = tuple[float, float, float]
"""One equation of the fit: the factors of B and r, and the voltage; all over its standard uncertainty."""


class Fit(NamedTuple):
    """What the fit over a hold found."""

    readings: int
    """How many went into it."""
    left_out: int
    """How many did not, as they were taken at another temperature."""
    last_h: float
    slope_v_per_efold: float
    rate_v_per_day: float
    rate_uncertainty_v_per_day: float
    highest_v_per_day: float
    """Upper end of the loss: nothing of the fall was settling any more."""


def fit_of(hold: Hold, *, bench: Bench) -> Fit | None:
    """Fit the hold's settled readings; None for LFP, or where fewer than two can be used."""
    policy = bench.policy
    from_h = policy.self_discharge.fit_from_h.value
    settled = [
        (one, voltage_v)
        for one, voltage_v in zip(hold.readings, hold.voltages_v, strict=True)
        if at_least(one.after_charge_h, from_h, policy=policy)
    ]
    used = [
        (one.after_charge_h, voltage_v)
        for one, voltage_v in settled
        if comparable(one, hold.last, policy=policy)
    ]
    if hold.chemistry not in LEAD_ACID or len(used) < 1 + 1:
        return None
    usual = default_slope(hold.chemistry, policy=policy)
    slope, rate, uncertainty = _solve(_equations(used, bench), usual.v_per_efold, usual.uncertainty_v)
    reach = policy.decision.coverage_factor.value
    return Fit(
        readings=len(used),
        left_out=len(settled) - len(used),
        last_h=hold.last.after_charge_h,
        slope_v_per_efold=slope,
        rate_v_per_day=rate,
        rate_uncertainty_v_per_day=uncertainty,
        highest_v_per_day=max(rate + reach * uncertainty, _fall_v_per_day(used, bench)),
    )


def _fall_v_per_day(used: Sequence[tuple[float, float]], bench: Bench) -> float:
    """Return the upper end of what the voltage falls a day, all of it taken as a loss.

    From the hour on at which a block counts as settled, where two readings are as late; else over them all.
    """
    settled_h = bench.policy.hold.settled_from_h.value
    late = [one for one in used if at_least(one[0], settled_h, policy=bench.policy)]
    _, rate, uncertainty = _solve(_equations(late if len(late) > 1 else used, bench), 0.0, 0.0)
    return rate + bench.policy.decision.coverage_factor.value * uncertainty


def _equations(used: Sequence[tuple[float, float]], bench: Bench) -> list[Row]:
    """Return one equation a reading; part of the meter's fixed part is common to all and drops out."""
    numbers = bench.policy.self_discharge
    fixed_v = bench.accuracy_volts / bench.policy.meter.rectangular_divisor.value
    own_v = math.hypot((1 - numbers.common_share.value) * fixed_v, numbers.reading_noise_v.value)
    return [
        (-math.log(hours) / own_v, -hours / HOURS_PER_DAY / own_v, voltage_v / own_v)
        for hours, voltage_v in used
    ]


def _solve(rows: Sequence[Row], slope_v: float, slope_uncertainty_v: float) -> tuple[float, float, float]:
    """Return B, r and the standard uncertainty of r.

    A falls out by taking every equation from its weighted mean, as all weights are equal; two unknowns are
    left. A slope without uncertainty is kept as it is.
    """
    b_mean, r_mean, v_mean = (fmean(column) for column in zip(*rows, strict=True))
    centred = [(b - b_mean, r - r_mean, v - v_mean) for b, r, v in rows]
    bb = sum(b * b for b, _, _ in centred)
    br = sum(b * r for b, r, _ in centred)
    rr = sum(r * r for _, r, _ in centred)
    bv = sum(b * v for b, _, v in centred)
    rv = sum(r * v for _, r, v in centred)
    if slope_uncertainty_v == 0:
        return slope_v, (rv - br * slope_v) / rr, math.sqrt(1 / rr)
    weight = 1 / slope_uncertainty_v / slope_uncertainty_v
    bb, bv = bb + weight, bv + weight * slope_v
    determinant = bb * rr - br * br
    slope = (bv * rr - br * rv) / determinant
    rate = (bb * rv - br * bv) / determinant
    return slope, rate, math.sqrt(bb / determinant)


def self_discharge(hold: Hold, *, bench: Bench) -> SelfDischarge | None:
    """Return the loss of charge per month with its interval, not clipped; None where there is no fit.

    The fit lets settling go on as the logarithm of time. Nobody has measured that beyond some hours, so the
    interval's upper end lets settling be over: then all of the fall is a loss.
    """
    fit = fit_of(hold, bench=bench)
    if fit is None:
        return None
    policy = bench.policy
    numbers = policy.self_discharge
    from_percent = numbers.slope_from_percent.value
    full_v, from_v = (
        voltage_at_v(state_of_charge_percent=mark, chemistry=hold.chemistry, policy=policy)
        for mark in (float(PERCENT), from_percent)
    )
    a_month = numbers.month_days.value * (PERCENT - from_percent) / (full_v - from_v)
    half_width = policy.decision.coverage_factor.value * fit.rate_uncertainty_v_per_day
    return SelfDischarge(
        percent_per_month=fit.rate_v_per_day * a_month,
        low=(fit.rate_v_per_day - half_width) * a_month,
        high=fit.highest_v_per_day * a_month,
        single_cell_percent_per_month=numbers.cells.value * fit.rate_v_per_day * a_month,
        rate_v_per_day=fit.rate_v_per_day,
        rate_uncertainty_v_per_day=fit.rate_uncertainty_v_per_day,
        seen_from_v_per_day=limit_to_be_sure(
            limit=numbers.leak_suspect_v_per_day.value,
            uncertainty=fit.rate_uncertainty_v_per_day,
            policy=policy,
        ),
        tells_a_leak=_tells_a_leak(fit, policy),
    )


def leak_steps(hold: Hold, *, bench: Bench) -> Iterator[Step]:
    """Yield the rules of the leak, where the hold has enough readings over enough days."""
    fit = fit_of(hold, bench=bench)
    if fit is None:
        return
    if fit.left_out:
        yield _left_out(fit, bench)
    if _tells_a_leak(fit, bench.policy):
        yield from _judged(hold, fit, bench)


def _tells_a_leak(fit: Fit, policy: GradingPolicy) -> bool:
    """Say whether a hold has the readings and the days that tell a leak from settling."""
    numbers = policy.self_discharge
    enough = fit.readings >= numbers.fewest_readings.value
    return enough and at_least(fit.last_h, numbers.last_from_h.value, policy=policy)


def _left_out(fit: Fit, bench: Bench) -> Step:
    limit = bench.policy.hold.temperature_apart_k
    return Step(
        rule=Rule.LEAK_READING_LEFT_OUT,
        fired=True,
        effect=Effect.NOTE,
        text=(
            f"{fit.left_out} reading(s) taken more than {limit.value:g} K from the latest one's temperature "
            "are left out of the self-discharge."
        ),
        **basis(limit),
    )


def _judged(hold: Hold, fit: Fit, bench: Bench) -> Iterator[Step]:
    policy = bench.policy
    numbers = policy.self_discharge
    fails, suspect = (
        probability_above(
            value_v=fit.rate_v_per_day,
            limit_v=limit.value,
            uncertainty_v=fit.rate_uncertainty_v_per_day,
            policy=policy,
        )
        for limit in (numbers.leak_fails_v_per_day, numbers.leak_suspect_v_per_day)
    )
    week_h = numbers.read_again_h.value
    watched = not at_least(fit.last_h, week_h, policy=policy)
    again = (
        f"Leave it standing, do not charge it, and read it again at {week_h:g} h after the charge, a week."
        if watched
        else f"{levelling(hold.chemistry)}, and hold it again over a week."
    )
    for rule, fired, effect, limit, probability, step in (
        (
            Rule.LEAK_FAILS,
            is_certain(fails, policy=policy),
            Effect.RECYCLE,
            numbers.leak_fails_v_per_day,
            fails,
            HAND_OVER,
        ),
        (
            Rule.LEAK_SUSPECT,
            at_least(suspect, numbers.suspect_probability.value, policy=policy),
            Effect.CAP_RECONDITIONABLE,
            numbers.leak_suspect_v_per_day,
            suspect,
            again,
        ),
    ):
        yield Step(
            rule=rule,
            fired=fired,
            effect=effect,
            text=(
                f"Over {fit.readings} readings to {shown_h(fit.last_h)} h it loses "
                f"{fit.rate_v_per_day:.4f} V a day beside settling ({fit.slope_v_per_efold:.4f} V per "
                f"e-fold), u {fit.rate_uncertainty_v_per_day:.4f}: P(> {limit.value:g} V a day) = "
                f"{probability:.3f}."
            ),
            measured=fit.rate_v_per_day,
            limit=limit.value,
            unit="V/d",
            limit_to_be_sure=limit_to_be_sure(
                limit=limit.value, uncertainty=fit.rate_uncertainty_v_per_day, policy=policy
            ),
            probability=probability,
            next_step=step,
            again_after_h=week_h if watched and rule is Rule.LEAK_SUSPECT else None,
            **basis(limit, policy.hold.slope_v_per_efold[hold.chemistry]),
        )
