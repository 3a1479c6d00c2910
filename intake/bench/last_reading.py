"""When the last reading of a running hold was taken, as far as the workbook says it."""

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta

from intake.model.battery import Battery


@dataclass(frozen=True, slots=True)
class LastReading:
    """The last hold reading seen from the plan's start."""

    passed_h: float
    """Hours from it to the plan's start, at least; negative where the plan starts first."""
    remark: str


def last_reading(battery: Battery, *, read_on: date | None, begins: datetime) -> LastReading:
    """Return how long before the plan's start a running hold was last read; never more than is sure.

    Parameters
    ----------
    battery
        One with a hold reading.
    read_on
        The batch's day of the readings, where one is written: of this day its end counts.
    begins
        The plan's start, local time.
    """
    last = battery.hold_readings[-1]
    told = f"Held since its charge; last read at {last.after_charge_h:g} h"
    moment = last.read_at
    if moment is None and battery.charge_ended is not None:
        moment = battery.charge_ended + timedelta(hours=last.after_charge_h)
    if moment is not None:
        return LastReading(_hours(begins - moment), f"{told}, {moment:%Y-%m-%d %H:%M}.")
    if read_on is not None:
        day_over = datetime.combine(read_on, time()) + timedelta(days=1)
        if day_over <= begins:
            return LastReading(_hours(begins - day_over), f"{told}, on {read_on.isoformat()}.")
    return LastReading(0.0, f"{told}, taken as the plan's start.")


def _hours(span: timedelta) -> float:
    return span / timedelta(hours=1)
