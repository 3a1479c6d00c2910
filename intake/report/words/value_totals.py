"""Sums of what batteries are worth: by grade and road, or of any batteries by one road."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import NamedTuple

from intake.model.result import BatchResult, GradedBattery
from intake.model.value import Amount, Road, RoadValue
from intake.model.verdict import Grade
from intake.report.words.totals import batteries_by_grade


@dataclass(frozen=True, slots=True)
class ValueTotal:
    """The sum of one road over the batteries of which the grade allows it."""

    count: int
    without_value: int
    """How many of them lack a price or a mass and are missing from the sums."""
    amount: Amount
    expected: Amount | None
    """At the site's own success rates; None unless each battery in the sum has one."""

    @property
    def valued(self) -> bool:
        """Whether there is a battery in the sum."""
        return self.count > self.without_value


class RoadTotal(NamedTuple):
    """What the batteries of one grade are worth together by one road."""

    grade: Grade
    road: Road
    total: ValueTotal


def value_total(result: BatchResult, graded: Iterable[GradedBattery], road: Road) -> ValueTotal:
    """Add the rounded amounts of one road; batteries whose grade forbids it are left out."""
    roads = [found for one in graded for found in roads_of(result, one) if found.road is road]
    amounts = [one.amount for one in roads if one.amount is not None]
    expected = [one.expected for one in roads if one.expected is not None]
    return ValueTotal(
        count=len(roads),
        without_value=len(roads) - len(amounts),
        amount=_sum(amounts),
        expected=_sum(expected) if expected and len(expected) == len(amounts) else None,
    )


def totals_by_road(result: BatchResult) -> tuple[RoadTotal, ...]:
    """Return the sums of each grade by each road it allows; nothing where there are no prices."""
    return tuple(
        RoadTotal(grade, road, value_total(result, ones, road))
        for grade, ones in batteries_by_grade(result).items()
        for road in _roads(result, ones)
    )


def roads_of(result: BatchResult, one: GradedBattery) -> tuple[RoadValue, ...]:
    """Return the roads of one battery; none without prices."""
    return () if result.value is None else result.value.by_row[one.battery.row].roads


def road_of(result: BatchResult, one: GradedBattery, road: Road) -> RoadValue | None:
    """Return one road of one battery; None without prices, or where its grade forbids the road."""
    return next((found for found in roads_of(result, one) if found.road is road), None)


def advice_for(result: BatchResult, one: GradedBattery) -> str:
    """Return the words that say where bench work is not worth it; empty else."""
    return "" if result.value is None else result.value.by_row[one.battery.row].advice


def _roads(result: BatchResult, graded: Iterable[GradedBattery]) -> list[Road]:
    """Return the roads that these batteries have, bench work first."""
    found = {road.road for one in graded for road in roads_of(result, one)}
    return [road for road in Road if road in found]


def _sum(amounts: Iterable[Amount]) -> Amount:
    ends = list(amounts)
    return Amount(sum((one.low for one in ends), _NOTHING), sum((one.high for one in ends), _NOTHING))


_NOTHING = Decimal("0.00")
