"""The list sheets of a load workbook: rows to values by key, each fault found at its cell."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from intake.checks.cells.dates import DateOrder
from intake.checks.cells.parsed_cell import Unreadable
from intake.checks.cells.read_cell import read_cell
from intake.checks.cells.read_text import YES_NO, fill_in
from intake.checks.find_columns import find_columns
from intake.checks.finding_log import EMPTY_CELL, FindingLog, Spot
from intake.checks.list_rows import ListRow, RowPlace, list_rows
from intake.model.raw_workbook import RawSheet
from intake.policy.dictionary import Sheet


@dataclass(frozen=True, slots=True)
class ReadRow:
    """One row with the values of its cells by key; blank ones are left out."""

    place: RowPlace
    values: dict[str, Any]

    def spot(self, key: str) -> Spot:
        """The place of a cell; of the row where the sheet has no such column."""
        tag = str(self.values.get("tag", ""))
        return self.place.spot(key, tag) if key in self.place.columns else Spot(self.place.number, tag=tag)


def read_rows(
    sheet: RawSheet, wanted: Sheet, log: FindingLog, *, date_order: DateOrder | None
) -> Iterator[ReadRow]:
    """Yield the rows that can be used; a row with a cell that cannot be read rejects the workbook."""
    if not sheet.rows:
        return
    columns = find_columns(sheet, wanted, log, required=True)
    if columns is None:
        return
    for row in list_rows(sheet, columns, log):
        read = _read_row(row, log, date_order)
        if read is not None:
            yield read


def _read_row(row: ListRow, log: FindingLog, date_order: DateOrder | None) -> ReadRow | None:
    values: dict[str, Any] = {}
    usable = True
    for slot, found in row.place.columns.items():
        cell = row.cells.get(slot)
        if cell is None:
            if found.column.needed:
                log.reject(
                    EMPTY_CELL,
                    fill_in(found.column),
                    row.place.spot(slot),
                )
                usable = False
            continue
        outcome = read_cell(cell, found.column, header_unit=found.header_unit, date_order=date_order)
        if isinstance(outcome, Unreadable):
            log.reject(outcome.message, outcome.hint, row.place.spot(slot))
            usable = False
            continue
        log.remark(outcome.remarks, row.place.spot(slot))
        values[slot] = outcome.value == YES_NO[0] if found.column.choices == YES_NO else outcome.value
    return ReadRow(row.place, values) if usable else None
