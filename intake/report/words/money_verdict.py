"""What the prices say to do with each battery: sell at, scrap, or test first. It changes no grade."""

from intake.model.price_bands import price_for
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Evidence, Grade

_TESTED = (Evidence.STRENGTH, Evidence.CAPACITY)


def money_verdict(result: BatchResult, one: GradedBattery) -> str:
    """Return the verdict in words; empty where the batch has no prices."""
    if result.value is None:
        return ""
    value = result.value.by_row[one.battery.row]
    grade = one.verdict.grade
    if grade is Grade.UNRESOLVED:
        return "test first"
    if grade is Grade.RECYCLE or value.worth_it is False:
        return "scrap"
    if grade is Grade.RECONDITIONABLE:
        return "test first: recondition, charge, hold"
    if one.verdict.evidence in _TESTED:
        return f"sell at {_resale_price(result, one)}"
    if one.verdict.evidence is Evidence.LONG_HOLD:
        return f"test first, or sell as not tested at {_resale_price(result, one)}"
    return "test first: charge, hold"


def _resale_price(result: BatchResult, one: GradedBattery) -> str:
    price = price_for(
        result.batch.prices,
        chemistry=one.battery.chemistry,
        rated_capacity_ah=one.battery.rated_capacity_ah,
    )
    amount = price.resale_price if price else None
    return f"{amount} {result.batch.currency or ''}".strip() if amount else "a price that is not given"
