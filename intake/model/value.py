"""What a battery is worth by each road that its grade leaves open. Amounts are exact decimals."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum


class Road(StrEnum):
    """What can be done with a battery."""

    RESELL = "resell"
    RECONDITION = "recondition"
    RECYCLE = "recycle"


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount of money with the interval that the evidence leaves, rounded to the policy of the room."""

    low: Decimal
    high: Decimal


@dataclass(frozen=True, slots=True)
class RoadValue:
    """The net value of one road for one battery."""

    road: Road
    amount: Amount | None
    """None where a price is missing."""
    success: Decimal | None
    """Net value if the test is passed; None where the road has no test or a price is missing."""
    failure: Decimal | None
    """Net value if it fails and goes to the recycler."""
    break_even: Decimal | None
    """Least chance of success, 0 to 1, from which the road pays; None: no test, a price missing, or never."""
    expected: Decimal | None
    """With the site's own success rate; None where the policy gives none."""
    text: str
    """The sum in words and figures."""
    missing: tuple[str, ...] = ()
    """Headers of the prices, or the mass, that are not there."""


@dataclass(frozen=True, slots=True)
class BatteryValue:
    """The roads that one battery's grade leaves open."""

    tag: str
    roads: tuple[RoadValue, ...]
    advice: str
    """Plain words where the road is not worth it; empty else."""
    worth_it: bool | None
    """Whether the bench work can pay; None where nothing can be said or there is no bench work."""

    def road(self, road: Road) -> RoadValue | None:
        """Return one road, or None where the grade forbids it."""
        return next((one for one in self.roads if one.road is road), None)


@dataclass(frozen=True, slots=True)
class RoadTotal:
    """The sum of one road over the batteries that have it."""

    road: Road
    count: int
    unpriced: int
    """How many of them lack a price or a mass, and are not in the sum."""
    amount: Amount


@dataclass(frozen=True, slots=True)
class BatchValue:
    """Values of a whole batch, in workbook order."""

    currency: str
    """As the workbook gives it; empty where it gives none."""
    batteries: tuple[BatteryValue, ...]
    totals: tuple[RoadTotal, ...]
    not_worth_it: tuple[str, ...]
    """Tags of reconditionable batteries that are worth less reconditioned than as scrap."""
    rounding: str
    """How the amounts were rounded, in words."""
