"""A small invented batch with prices, whose sums are easily worked out by hand."""

from typing import Any

from intake.model.battery import Chemistry, Price
from intake.model.result import BatchResult
from tests.report.builders import battery, held, result_of

AGM = Price(Chemistry.AGM, "50.00", "0.60", "6.00", "2.00", "1.00")
CHEAP_GEL = Price(Chemistry.GEL, "12.00", "0.50", "6.00", "2.00", "0")
BATTERIES = (
    held(1, "AGM", (0.5, 13.1), (24.0, 12.9), mass_kg=20.0),  # resold for 48.00, as scrap 11.00
    battery(2, "AGM", rest_voltage_v=12.9, mass_kg=20.0),  # 9.00 to 48.00, as scrap 11.00
    battery(3, "AGM", rest_voltage_v=12.0, mass_kg=25.0),  # 8.00 to 44.00, as scrap 14.00
    battery(4, "gel", rest_voltage_v=12.0, mass_kg=20.0),  # 4.00 to 6.00, as scrap 10.00
    battery(5, "AGM", case="cracked", rest_voltage_v=12.9, mass_kg=10.0),  # as scrap 5.00
    battery(6, "AGM", rest_voltage_v=12.0, mass_kg=None, rated_capacity_ah=None),  # no mass
    battery(7, "unknown", rest_voltage_v=12.9, mass_kg=10.0),  # unresolved
)


def priced_result(**batch: Any) -> BatchResult:
    """Return the batch, priced in EUR; fields of its Batch sheet may be changed."""
    return result_of(BATTERIES, batch={"prices": (AGM, CHEAP_GEL)} | batch)
