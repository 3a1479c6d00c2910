"""What the prices say to do with each battery: sell at, scrap, or test first. It changes no grade."""

from intake.model.price_bands import price_for
from intake.model.result import BatchResult, GradedBattery
from intake.model.verdict import Grade
from intake.report.words.actions import Action, action_for, next_step_in_few_words


def money_verdict(result: BatchResult, one: GradedBattery) -> str:
    """Return the verdict in words; empty where the batch has no prices."""
    if result.value is None:
        return ""
    value = result.value.by_row[one.battery.row]
    grade = one.verdict.grade
    if one.stands_apart and grade is not Grade.RECYCLE:
        return next_step_in_few_words(one)
    if grade is Grade.UNRESOLVED and one.battery.under_recall:
        return "recall notice first"
    if grade is Grade.UNRESOLVED:
        return "test first"
    if grade is Grade.RECYCLE and one.battery.under_recall:
        return "recall notice first, else scrap"
    if grade is Grade.RECYCLE or value.worth_it is False:
        return "scrap"
    if grade is Grade.RECONDITIONABLE:
        return "test first: recondition, charge, hold"
    action = action_for(one)
    if action is Action.SELL:
        return f"sell at {_resale_price(result, one)}"
    if action is Action.STRENGTH:
        return f"test first, or sell as not tested at {_resale_price(result, one)}"
    return f"test first: {next_step_in_few_words(one)}"


def _resale_price(result: BatchResult, one: GradedBattery) -> str:
    price = price_for(
        result.batch.prices,
        chemistry=one.battery.chemistry,
        rated_capacity_ah=one.battery.rated_capacity_ah,
    )
    amount = price.resale_price if price else None
    return f"{amount} {result.batch.currency or ''}".strip() if amount else "a price that is not given"
