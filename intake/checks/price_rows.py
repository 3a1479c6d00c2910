"""The ``Prices`` sheet: one row per chemistry. Nothing here makes a battery unresolved."""

from collections.abc import Iterable

from intake.checks.cells.parsed_cell import Unreadable
from intake.checks.cells.read_cell import read_cell
from intake.checks.finding_log import FindingLog
from intake.checks.list_rows import ListRow
from intake.model.battery import Chemistry, Price


def read_prices(rows: Iterable[ListRow], log: FindingLog, *, currency: str | None) -> tuple[Price, ...]:
    """Return the prices, the first row of each chemistry; amounts that can not be read are left blank."""
    found: dict[Chemistry, Price] = {}
    first_cell: dict[Chemistry, str] = {}
    for row in rows:
        chemistry = _chemistry(row, log)
        if chemistry is None:
            continue
        spot = row.place.spot("chemistry")
        if chemistry in found:
            log.warn(
                f"{chemistry.value} has its prices in {first_cell[chemistry]} already; this row is not used.",
                "Delete one of the two rows.",
                spot,
            )
            continue
        first_cell[chemistry] = spot.cell
        found[chemistry] = Price(chemistry, **_amounts(row, log, currency))
    return tuple(found.values())


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
        if slot == "chemistry":
            continue
        outcome = read_cell(cell, row.place.columns[slot].column, currency=currency)
        if isinstance(outcome, Unreadable):
            log.warn_blank(outcome, row.place.spot(slot))
        else:
            amounts[slot] = str(outcome.value)
    return amounts
