"""What a battery is worth by each road that its grade leaves open. Amounts are exact decimals."""

from collections.abc import Mapping
from decimal import Decimal
from enum import StrEnum
from typing import NamedTuple


class Road(StrEnum):
    """What can be done with a battery."""

    RESELL = "resell"
    RECONDITION = "recondition"
    RECYCLE = "recycle"


class Amount(NamedTuple):
    """An amount of money between two ends; equal ends where it is known exactly."""

    low: Decimal
    high: Decimal

    @property
    def text(self) -> str:
        """As printed: ``9.36``, or ``7.49 to 11.23`` where the ends differ."""
        return f"{self.low:f}" if self.low == self.high else f"{self.low:f} to {self.high:f}"


class RoadValue(NamedTuple):
    """The net value of one road for one battery, in the batch's currency."""

    road: Road
    amount: Amount | None
    """What the evidence leaves open; None where something is missing."""
    success: Decimal | None = None
    """Net value if the battery passes its test; None for recycling, or where a price is missing."""
    failure: Amount | None = None
    """Net value if it fails and goes to the recycler; an interval where the mass is estimated."""
    break_even: Decimal | None = None
    """Least chance of success, 0 to 1, from which the road brings no less than recycling.

    None where no test is open, something is missing, or not even certain success would do.
    """
    expected: Amount | None = None
    """With the site's own success rate; None where the policy gives none or no test is open."""
    working: str = ""
    """The sum in words and figures."""
    missing: tuple[str, ...] = ()
    """Headers of the prices, the mass, or a second look at the battery: what is not there."""


class BatteryValue(NamedTuple):
    """The roads that one battery's grade leaves open; none while it is unresolved."""

    roads: tuple[RoadValue, ...]
    advice: str = ""
    """Plain words where the bench work is not worth it, or may not be; empty else."""
    worth_it: bool | None = None
    """Whether the bench work can pay; None where mass or prices leave that open, or where none is due."""


class BatchValue(NamedTuple):
    """The values of a batch that has prices."""

    currency: str
    """As the workbook gives it; empty where it gives none."""
    by_row: Mapping[int, BatteryValue]
    """Of every battery, under its row in the workbook."""
    rounding: str
    """How amounts and chances were rounded, in words."""
