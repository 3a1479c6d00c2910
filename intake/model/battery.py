"""One battery and one batch, typed and in base units. Keys are those of the input contract."""

from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import NamedTuple


class Chemistry(StrEnum):
    """What the case says it is."""

    FLOODED = "flooded"
    FLOODED_SEALED = "flooded sealed"
    EFB = "EFB"
    AGM = "AGM"
    GEL = "gel"
    LFP = "LFP"
    OTHER = "other"
    UNKNOWN = "unknown"


LEAD_ACID = frozenset(
    {Chemistry.FLOODED, Chemistry.FLOODED_SEALED, Chemistry.EFB, Chemistry.AGM, Chemistry.GEL}
)
"""Six cells in series, sulfuric acid."""
WHOLE_CASES = frozenset({"sound", "scuffed"})
"""What ``Case`` says of a case that holds what is in it."""

LEVELLED = frozenset({Chemistry.FLOODED, Chemistry.LFP})
"""Kinds whose cells are brought level after a charge: flooded by a raised voltage, as acid and water can be
looked after in no other lead-acid cells; LFP by balancing (common practice)."""


class Use(StrEnum):
    """Whether it has ever been in use."""

    USED = "used"
    UNUSED = "unused"
    UNUSED_DRY = "unused dry"
    """Delivered without acid and never filled."""


class Recovery(StrEnum):
    """What came of recovering a deeply discharged battery."""

    NOT_TRIED = "not tried"
    TOOK_CHARGE = "took charge"
    NO_CHARGE_TAKEN = "no charge taken"
    DID_NOT_HOLD = "did not hold"


class DatePrecision(StrEnum):
    """How much of a date was written."""

    DAY = "day"
    MONTH = "month"
    YEAR = "year"


class MadeDate(NamedTuple):
    """A date of manufacture with the precision that was written. ``earliest`` to ``latest`` bound it."""

    earliest: date
    latest: date
    precision: DatePrecision

    @property
    def text(self) -> str:
        """As written: ``2021-03-14``, ``2021-03`` or ``2021``."""
        length = {DatePrecision.DAY: 10, DatePrecision.MONTH: 7, DatePrecision.YEAR: 4}[self.precision]
        return self.earliest.isoformat()[:length]


class HoldReading(NamedTuple):
    """One open-circuit reading of a hold."""

    after_charge_h: float
    voltage_v: float
    temperature_c: float | None = None
    """The reading's own, else the row's Hold temperature, else its Temperature, else None."""
    read_at: datetime | None = None
    """Local time of the reading, without zone; None where the hours alone were written."""
    read_by: str | None = None
    """None: who read the others."""


class Battery(NamedTuple):
    """One row of ``Batteries`` with its hold readings joined in. None = not given."""

    tag: str
    """``row 17`` where the row has no tag."""
    row: int
    chemistry: Chemistry
    case: str | None = None
    """sound, scuffed, dented, cracked, leaking, swollen, burnt; None only where it could not be read."""
    terminals: str | None = None
    rated_capacity_ah: float | None = None
    rated_cca_a: float | None = None
    cca_standard: str | None = None
    mass_kg: float | None = None
    made: MadeDate | None = None
    marking: str | None = None
    position: str | None = None
    case_plastic: str = "unknown"
    non_spillable_mark: bool = False
    under_recall: bool | None = None
    use: Use = Use.USED
    rest_voltage_v: float | None = None
    rested_h: float | None = None
    """As written, else from ``rest_began`` to ``rest_read_at``."""
    rest_began: datetime | None = None
    rest_read_at: datetime | None = None
    """Local times, without zone."""
    temperature_c: float | None = None
    bms_reset_tried: bool | None = None
    recovery: Recovery = Recovery.NOT_TRIED
    charge_ended: datetime | None = None
    """Local time at which the full charge before the hold ended."""
    hold_readings: tuple[HoldReading, ...] = ()
    """By hours after charge, earliest first; no two at the same hour."""
    hold_temperature_c: float | None = None
    charge_returned_ah: float | None = None
    load_current_a: float | None = None
    load_time_s: float | None = None
    load_voltage_v: float | None = None
    measured_cca_a: float | None = None
    delivered_capacity_ah: float | None = None
    discharge_time_h: float | None = None
    internal_resistance_mohm: float | None = None
    rated_resistance_mohm: float | None = None
    specific_gravity: tuple[float, ...] = ()
    """Six values (flooded only) or none."""
    cell_voltages_v: tuple[float, ...] = ()
    """Four values (LFP only) or none."""
    note: str | None = None
    row_errors: tuple[str, ...] = ()
    """Messages of the row's error findings; the battery is unresolved when there is one."""


class Price(NamedTuple):
    """One row of ``Prices``: amounts in the batch's currency, as exact decimal text.

    ``from_ah`` and ``to_ah`` bound the rated capacities it is for; None: no bound.
    """

    chemistry: Chemistry
    resale_price: str | None = None
    scrap_price_per_kg: str | None = None
    recondition_cost: str | None = None
    charge_cost: str | None = None
    disposal_cost: str | None = None
    from_ah: float | None = None
    to_ah: float | None = None


class Batch(NamedTuple):
    """The ``Batch`` sheet with its batteries. Meter accuracy None = left blank."""

    batch: str
    site: str
    received: date
    inspector: str
    jurisdiction: str
    """US, EU, UK or other."""
    received_from: str | None = None
    read_on: date | None = None
    """The day of the readings; None: the day received."""
    read_by: str | None = None
    """None: the inspector."""
    region: str | None = None
    """US state, EU member state or nation of the UK, as written."""
    incoming_note: str | None = None
    incoming_carrier: str | None = None
    received_at: time | None = None
    consignee: str | None = None
    ship_date: date | None = None
    meter: str | None = None
    meter_accuracy_percent: float | None = None
    meter_accuracy_volts: float | None = None
    calibration_due: date | None = None
    currency: str | None = None
    note: str | None = None
    batteries: tuple[Battery, ...] = ()
    prices: tuple[Price, ...] = ()

    @property
    def reading_day(self) -> date:
        """The day of the readings."""
        return self.read_on or self.received

    @property
    def last_written_day(self) -> date:
        """The latest day that is written of a reading; one without its own was taken on the batch's."""
        return max([self.reading_day, *(day for one in self.batteries for day in _written_days(one))])

    @property
    def latest_reading_day(self) -> date:
        """The day of the latest reading, as far as it is written or follows from the hours after a charge.

        Where neither times nor Read on are given, a hold counts from Received: it cannot have ended sooner.
        """
        return max(
            [self.last_written_day, *(day for one in self.batteries for day in _worked_out(one, self))]
        )

    @property
    def reader(self) -> str:
        """Who read the meter."""
        return self.read_by or self.inspector


def _written_days(battery: Battery) -> list[date]:
    times = [battery.rest_read_at, *(one.read_at for one in battery.hold_readings)]
    return [one.date() for one in times if one is not None]


def _worked_out(battery: Battery, batch: Batch) -> list[date]:
    """Return the day of the last hold reading, or by the hours alone the soonest that it can have been."""
    if not battery.hold_readings or (battery.charge_ended is None and batch.read_on is not None):
        return []
    begun = battery.charge_ended or datetime.combine(batch.received, time())
    return [(begun + timedelta(hours=battery.hold_readings[-1].after_charge_h)).date()]
