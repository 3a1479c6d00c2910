"""The ``Prices`` sheet: rows per chemistry and band of sizes. Nothing here makes a battery unresolved."""

import math
from collections.abc import Iterable
from typing import NamedTuple, cast

from intake.checks.cells.parsed_cell import Unreadable
from intake.checks.cells.read_cell import read_cell
from intake.checks.finding_log import FindingLog
from intake.checks.list_rows import ListRow, RowPlace
from intake.model.battery import Chemistry, Price

_BAND = ("from_ah", "to_ah")


class PricedRow(NamedTuple):
    """A row of prices that counts, and where it stands."""

    price: Price
    place: RowPlace


def read_prices(rows: Iterable[ListRow], log: FindingLog, *, currency: str | None) -> tuple[PricedRow, ...]:
    """Return the rows of prices; of two rows for the same batteries the first counts.

    Amounts that cannot be read are left blank; a row whose band cannot be read is not used.
    """
    found: list[PricedRow] = []
    for row in rows:
        chemistry = _chemistry(row, log)
        if chemistry is None:
            continue
        band = _band(row, log)
        if band is None:
            continue
        price = Price(chemistry, from_ah=band[0], to_ah=band[1], **_amounts(row, log, currency))
        earlier = next((other for other in found if _overlap(price, other.price)), None)
        spot = row.place.spot("chemistry")
        if earlier is None:
            found.append(PricedRow(price, row.place))
        else:
            stand = earlier.place.spot("chemistry").cell
            log.warn(
                f"The prices of {band_text(price)} stand in {stand} already; this row is not used.",
                "Delete one of the two rows, or give each its own band of sizes.",
                spot,
            )
    return tuple(found)


def band_text(price: Price) -> str:
    """Return chemistry and band of a row of prices, like ``AGM from 60 to 80 Ah``."""
    low = "" if price.from_ah is None else f" from {price.from_ah:g}"
    high = "" if price.to_ah is None else f" to {price.to_ah:g}"
    unit = " Ah" if low or high else ""
    return f"{price.chemistry.value}{low}{high}{unit}"


def _overlap(one: Price, other: Price) -> bool:
    """Return whether two rows are for the same batteries; bands may meet at their ends."""
    (low, high), (other_low, other_high) = _ends(one), _ends(other)
    return one.chemistry is other.chemistry and low < other_high and other_low < high


def _ends(price: Price) -> tuple[float, float]:
    return price.from_ah or 0, math.inf if price.to_ah is None else price.to_ah


def _band(row: ListRow, log: FindingLog) -> tuple[float | None, float | None] | None:
    """Return the ends of a row's band; None where the row cannot be used."""
    ends: dict[str, float] = {}
    for slot in _BAND:
        cell = row.cells.get(slot)
        if cell is None:
            continue
        found = row.place.columns[slot]
        outcome = read_cell(cell, found.column, header_unit=found.header_unit)
        if isinstance(outcome, Unreadable):
            log.warn(f"{outcome.message} The row is not used.", outcome.hint, row.place.spot(slot))
            return None
        log.remark(outcome.remarks, row.place.spot(slot))
        ends[slot] = cast(float, outcome.value)
    low, high = ends.get("from_ah"), ends.get("to_ah")
    if high is not None and high <= (low or 0):
        log.warn(
            f"The band ends at {high:g} Ah and starts at {low or 0:g} Ah. The row is not used.",
            "Write the smaller size under From and the larger under To.",
            row.place.spot("to_ah"),
        )
        return None
    return low, high


def _chemistry(row: ListRow, log: FindingLog) -> Chemistry | None:
    cell = row.cells.get("chemistry")
    spot = row.place.spot("chemistry")
    if cell is None:
        log.warn("The row names no chemistry and is not used.", "Write the chemistry.", spot)
        return None
    outcome = read_cell(cell, row.place.columns["chemistry"].column)
    if isinstance(outcome, Unreadable):
        log.warn(f"{outcome.message} The row is not used.", outcome.hint, spot)
        return None
    return Chemistry(str(outcome.value))


def _amounts(row: ListRow, log: FindingLog, currency: str | None) -> dict[str, str]:
    amounts = {}
    for slot, cell in row.cells.items():
        if slot == "chemistry" or slot in _BAND:
            continue
        outcome = read_cell(cell, row.place.columns[slot].column, currency=currency)
        if isinstance(outcome, Unreadable):
            log.warn_blank(outcome, row.place.spot(slot))
        else:
            amounts[slot] = str(outcome.value)
    return amounts
