"""What each battery of a batch is worth by each road that its grade allows. Money changes no grade."""

from collections.abc import Sequence
from decimal import Decimal, localcontext

from intake.model.battery import Batch, Chemistry, Price
from intake.model.price_bands import price_for
from intake.model.result import GradedBattery
from intake.model.value import BatchValue, BatteryValue, Road, RoadValue
from intake.model.verdict import HELD, Grade
from intake.policy.cited import CitedValue
from intake.policy.grading_policy import GradingPolicy
from intake.worth.money import EXACT, ROUNDING, exact
from intake.worth.prices import Terms, terms_of
from intake.worth.roads import bench_road, gains, recycle_road

SECOND_LOOK = "a second look"
"""What is missing from the value of a battery that is graded for resale and stands apart."""
_BENCH_ROAD = {Grade.RESALE: Road.RESELL, Grade.RECONDITIONABLE: Road.RECONDITION}
_WORK = {Road.RESELL: "charging and selling", Road.RECONDITION: "reconditioning"}


def value_batch(graded: Sequence[GradedBattery], batch: Batch, *, policy: GradingPolicy) -> BatchValue | None:
    """Return the value of every battery; None where the batch has no prices.

    Parameters
    ----------
    graded
        The batteries with verdict and mass.
    batch
        Its prices by chemistry and band of sizes, and its currency, which is taken as it is.
    policy
        The uncertainty of an estimated mass, and the site's own success rates where it gives any.
    """
    if not batch.prices:
        return None
    currency = batch.currency or ""
    return BatchValue(
        currency=currency,
        by_row={
            one.battery.row: value_battery(
                one,
                _price_of(one, batch.prices),
                currency=currency,
                policy=policy,
            )
            for one in graded
        },
        rounding=ROUNDING,
    )


def _price_of(one: GradedBattery, prices: Sequence[Price]) -> Price:
    """Return the row of prices for a battery; one without any price where there is none."""
    battery = one.battery
    found = price_for(prices, chemistry=battery.chemistry, rated_capacity_ah=battery.rated_capacity_ah)
    return found or Price(battery.chemistry)


def value_battery(one: GradedBattery, price: Price, *, currency: str, policy: GradingPolicy) -> BatteryValue:
    """Return the roads of one battery: recycling, and before it the bench work that its grade allows.

    An unresolved battery has none: what it may become is not known.
    """
    grade = one.verdict.grade
    if grade is Grade.UNRESOLVED:
        return BatteryValue(())
    with localcontext(EXACT):
        terms = terms_of(one, price, policy=policy)
        recycle = recycle_road(terms)
        road = _BENCH_ROAD.get(grade)
        if road is None:
            return BatteryValue((recycle,))
        if road is Road.RESELL and one.stands_apart:
            return BatteryValue((RoadValue(road, None, missing=(SECOND_LOOK,)), recycle))
        passes = _hold_probability(one) if road is Road.RESELL else None
        rate = None if passes is not None else _success_rate(road, one.battery.chemistry, policy)
        bench = bench_road(road, terms, passes=passes, rate=rate)
        advice, worth_it = _advice(bench, recycle, terms, rate=rate, currency=currency)
    return BatteryValue((bench, recycle), advice, worth_it)


def _hold_probability(one: GradedBattery) -> Decimal | None:
    """Return the probability with which a hold has shown that the battery keeps to its limit."""
    if one.verdict.evidence not in HELD:
        return None
    return exact(one.verdict.decisive.probability or 0)


def _success_rate(road: Road, chemistry: Chemistry, policy: GradingPolicy) -> CitedValue | None:
    rates = policy.bench.charge_success if road is Road.RESELL else policy.bench.recondition_success
    return rates.get(chemistry)


def _advice(
    bench: RoadValue, recycle: RoadValue, terms: Terms, *, rate: CitedValue | None, currency: str
) -> tuple[str, bool | None]:
    """Say where the bench work earns less than recycling: even if it passes, or at the site's own rate."""
    certain = Decimal(1)
    chance = certain if rate is None else exact(rate.value)
    at_best = gains(bench.road, terms, chance=certain)
    at_rate = gains(bench.road, terms, chance=chance)
    if at_best is None or at_rate is None or recycle.amount is None:
        return "", None
    if min(at_rate) >= 0:
        return "", True
    code = f"{currency} " if currency else ""
    told = f"{code}{bench.success:f} if it passes"
    if bench.expected is not None and max(at_best) >= 0:
        told = (
            f"{code}{bench.expected.text} to be expected at the site's success rate of {chance * 100:.1f} %"
        )
    told = f"worth {_WORK[bench.road]}: {told}, {code}{recycle.amount.text} as scrap"
    if max(at_rate) >= 0:
        return f"May not be {told}; the mass is estimated: weigh it first.", None
    return f"Not {told}.", False
