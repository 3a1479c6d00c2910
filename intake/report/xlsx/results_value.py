"""The value sheet of the results workbook: one row per battery, a low and a high end for each road."""

from collections.abc import Callable
from decimal import Decimal

from intake.model.result import BatchResult, GradedBattery
from intake.model.value import Amount, Road, RoadValue
from intake.report.words.money_verdict import money_verdict
from intake.report.words.value_totals import advice_for, road_of, roads_of
from intake.report.xlsx.book import CellValue, Formats, ListColumn
from intake.report.xlsx.results_lists import GRADE

SHEET = "Value"
EXPECTED = "Expected"
FIRST_NOT_PRINTED = "Evidence"
"""The value sheet prints what to do and the amounts, up to the column before this one."""

Column = ListColumn[GradedBattery]
Ends = Callable[[GradedBattery], Amount | None]


def end_headers(name: str, currency: str) -> tuple[str, str]:
    """Return the headers of both ends of an amount, such as ``Resell, low (EUR)``."""
    unit = f" ({currency})" if currency else ""
    return f"{name.capitalize()}, low{unit}", f"{name.capitalize()}, high{unit}"


def value_columns(result: BatchResult, looks: Formats) -> tuple[Column, ...]:
    """Return the columns of the value sheet."""
    text = looks.text
    currency = result.batch.currency or ""

    def roads(one: GradedBattery) -> tuple[RoadValue, ...]:
        return roads_of(result, one)

    def net(road: Road) -> Ends:
        def ends(one: GradedBattery) -> Amount | None:
            found = road_of(result, one, road)
            return None if found is None else found.amount

        return ends

    def expected(one: GradedBattery) -> Amount | None:
        return next((road.expected for road in roads(one) if road.expected is not None), None)

    amounts: list[tuple[str, Ends]] = [(road.value, net(road)) for road in Road]
    if any(expected(one) is not None for one in result.graded):
        amounts.append((EXPECTED, expected))
    return (
        ListColumn("Tag", 15, looks.strong, lambda one: one.name),
        ListColumn("Chemistry", 11, text, lambda one: one.battery.chemistry.value),
        ListColumn(GRADE, 18.5, looks.strong, lambda one: one.verdict.grade.value),
        ListColumn("Verdict", 30, looks.strong, lambda one: money_verdict(result, one)),
        *(column for name, ends in amounts for column in _end_columns(name, ends, currency, looks)),
        ListColumn("Evidence", 10, text, lambda one: one.verdict.evidence.value),
        ListColumn(
            "Bench work pays from a chance of (%)",
            13,
            looks.percent,
            lambda one: _percent(roads(one)),
            figure=True,
        ),
        ListColumn("Worth the bench", 80, text, lambda one: advice_for(result, one)),
        ListColumn("Not given", 40, text, lambda one: _missing(roads(one))),
        ListColumn("Working", 150, text, lambda one: _working(roads(one))),
    )


def _end_columns(name: str, ends: Ends, currency: str, looks: Formats) -> tuple[Column, Column]:
    low, high = end_headers(name, currency)
    return (
        ListColumn(low, 11.5, looks.money, lambda one: _figure(ends(one), "low"), figure=True),
        ListColumn(high, 11.5, looks.money, lambda one: _figure(ends(one), "high"), figure=True),
    )


def _figure(amount: Amount | None, end: str) -> CellValue:
    return None if amount is None else float(getattr(amount, end))


def _percent(roads: tuple[RoadValue, ...]) -> CellValue:
    chances = [float(road.break_even * _PERCENT) for road in roads if road.break_even is not None]
    return chances[0] if chances else None


def _missing(roads: tuple[RoadValue, ...]) -> str:
    return ", ".join(dict.fromkeys(name for road in roads for name in road.missing))


def _working(roads: tuple[RoadValue, ...]) -> str:
    return "\n".join(f"{road.road.value}: {road.working}" for road in roads if road.working)


_PERCENT = Decimal(100)
