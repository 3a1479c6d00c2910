"""How long a charged battery may wait for a buyer."""

from datetime import date
from typing import NamedTuple


class ShelfLife(NamedTuple):
    """Until when a battery is best sold or charged again, and what that rests on."""

    day: date | None
    """None where it counts from the next full charge, of which no day is written."""
    days: int
    read_on: date | None
    """The day of the hold reading from which the days count."""
    charge_percent: float
    """What it held then."""
    down_to_percent: float
    """The charge at which it is to be charged again."""
    percent_per_month: float
    """What it loses in a month at the storage temperature, in % of full charge."""
    temperature_c: float
    """Of the storage."""
    longest_days: int
    """No battery waits longer, whatever its charge."""
    measured: bool
    """The loss is the battery's own, which its hold has shown, and not its kind's."""
    source: str
    """Of the kind's loss."""
    status: str
