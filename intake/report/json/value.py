"""What batteries are worth, in ``results.json``: amounts and chances as exact decimal text."""

from decimal import Decimal
from typing import Any

from intake.model.result import BatchResult, GradedBattery
from intake.model.value import Amount, RoadValue
from intake.report.words.value_totals import RoadTotal, totals_by_road

Document = dict[str, Any]


def battery_value_document(result: BatchResult, one: GradedBattery) -> Document | None:
    """Return the roads of one battery; None where its batch has no prices."""
    if result.value is None:
        return None
    value = result.value.by_row[one.battery.row]
    return {
        "roads": [_road(one) for one in value.roads],
        "worth_it": value.worth_it,
        "advice": value.advice,
    }


def value_document(result: BatchResult) -> Document | None:
    """Return currency, rounding and sums of the batch; None where it has no prices."""
    value = result.value
    if value is None:
        return None
    return {
        "currency": value.currency,
        "rounding": value.rounding,
        "totals": [_total(one) for one in totals_by_road(result)],
        "not_worth_it": [
            one.battery.tag for one in result.graded if value.by_row[one.battery.row].worth_it is False
        ],
    }


def _road(one: RoadValue) -> Document:
    return {
        "road": one.road.value,
        "net": _amount(one.amount),
        "passed": _text(one.success),
        "failed": _amount(one.failure),
        "break_even_chance": _text(one.break_even),
        "expected": _amount(one.expected),
        "working": one.working,
        "missing": list(one.missing),
    }


def _total(one: RoadTotal) -> Document:
    return {
        "grade": one.grade.value,
        "road": one.road.value,
        "count": one.total.count,
        "without_value": one.total.without_value,
        "net": _amount(one.total.amount),
        "expected": _amount(one.total.expected),
    }


def _amount(amount: Amount | None) -> Document | None:
    return None if amount is None else {"low": _text(amount.low), "high": _text(amount.high)}


def _text(figure: Decimal | None) -> str | None:
    return None if figure is None else f"{figure:f}"
