"""The header row of a list sheet, and which column of the dictionary stands where."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from intake.checks.cells.cell_text import cell_text, is_blank, quoted
from intake.checks.cells.parsed_cell import AS_MEANT
from intake.checks.cells.written_units import WrittenUnit
from intake.checks.finding_log import WHOLE_SHEET, FindingLog, Spot
from intake.checks.match_header import HeaderMatch, match_header
from intake.model.finding import Severity
from intake.model.raw_workbook import RawCell, RawRow, RawSheet
from intake.policy.dictionary import Column, Sheet

LAST_HEADER_ROW = 20
"""A title or a logo may stand above the headers, down to this row."""


class FoundColumn(NamedTuple):
    """A column of the dictionary where it stands on the sheet."""

    column: Column
    number: int
    """From 1."""
    header_unit: WrittenUnit | None
    """The unit of plain numbers, where the header names another than the column's own."""


class SheetColumns(NamedTuple):
    """The columns that were found, by slot, and the row their headers stand in."""

    header_row: int
    by_slot: Mapping[str, FoundColumn]


def slot(column: Column) -> str:
    """Return the key of a column, with its place where several share one key: ``specific_gravity 2``."""
    return column.key if column.place is None else f"{column.key} {column.place}"


def find_columns(sheet: RawSheet, wanted: Sheet, log: FindingLog, *, required: bool) -> SheetColumns | None:
    """Find the header row and its columns; None where there is no header row.

    Unknown headers are noted, a header that appears twice rejects the workbook, and so does a needed
    one that is missing if the sheet is ``required``; else that is a warning.
    """
    row = _header_row(sheet, wanted)
    if row is None:
        _add_missing(
            log,
            required,
            f'No row of the first {LAST_HEADER_ROW} holds the header "{wanted.columns[0].header}".',
            "Copy the header row from the blank workbook.",
        )
        return None
    matches = [(cell, match_header(cell_text(cell.value), wanted)) for cell in _filled(row)]
    found: dict[str, FoundColumn] = {}
    for cell, match in matches:
        if match.columns:
            _place(found, cell, match, log)
        else:
            log.note(
                f"The header {quoted(cell.value)} is not known; its column is ignored.",
                "Nothing to do if the column is the site's own.",
                Spot(cell.row, cell.column),
            )
    unknown = [cell for cell, match in matches if not match.columns]
    _check_needed(found, row.number, wanted.columns, unknown, log, required=required)
    return SheetColumns(row.number, found)


def _filled(row: RawRow) -> list[RawCell]:
    return [cell for cell in row.cells.values() if not is_blank(cell)]


def _header_row(sheet: RawSheet, wanted: Sheet) -> RawRow | None:
    """Return the first row with the sheet's first header; without one, the row with most headers."""
    rows = [row for row in sheet.rows if row.number <= LAST_HEADER_ROW]
    keys = [_known_keys(row, wanted) for row in rows]
    first = wanted.columns[0].key
    for row, known in zip(rows, keys, strict=True):
        if first in known:
            return row
    most = max((len(known) for known in keys), default=0)
    return next(row for row, known in zip(rows, keys, strict=True) if len(known) == most) if most else None


def _known_keys(row: RawRow, wanted: Sheet) -> set[str]:
    matches = (match_header(cell_text(cell.value), wanted) for cell in _filled(row))
    return {column.key for match in matches for column in match.columns}


def _place(found: dict[str, FoundColumn], cell: RawCell, match: HeaderMatch, log: FindingLog) -> None:
    (column,) = match.columns
    spot = Spot(cell.row, cell.column, field=column.header)
    earlier = found.get(slot(column))
    if earlier is not None:
        ref = RawCell(cell.row, earlier.number, None).ref
        log.reject(
            f'The header "{column.header}" appears twice: in {ref} and in {cell.ref}.',
            "Delete or rename one of the two columns.",
            spot,
        )
        return
    found[slot(column)] = FoundColumn(column, cell.column, match.unit)
    note_header_unit(cell, column, match, log)


def note_header_unit(cell: RawCell, column: Column, match: HeaderMatch, log: FindingLog) -> None:
    """Note that plain numbers are converted, or that a bracket is not understood."""
    spot = Spot(cell.row, cell.column, field=column.header)
    if match.unit is not None:
        log.note(
            f"Numbers without a unit are taken as {match.unit.name}, as {quoted(cell.value)} says, and"
            f" converted to {column.unit}.",
            AS_MEANT,
            spot,
        )
    if match.ignored_bracket:
        expected = f"; numbers are taken as {column.unit}" if column.unit else ""
        log.note(
            f"{quoted(match.ignored_bracket)} in the brackets of {quoted(cell.value)} is ignored{expected}.",
            "Correct the header if another unit was meant.",
            spot,
        )


def _check_needed(
    found: Mapping[str, FoundColumn],
    header_row: int,
    columns: Iterable[Column],
    unknown: list[RawCell],
    log: FindingLog,
    *,
    required: bool,
) -> None:
    named = ", ".join(f"{quoted(cell.value)} ({cell.ref})" for cell in unknown)
    candidates = f" Headers that are not known: {named}." if named else ""
    for column in columns:
        if column.needed and slot(column) not in found and column.instead not in found:
            _add_missing(
                log,
                required,
                f'The column "{column.header}" is missing.{candidates}',
                f'Add the column, or give its header the name "{column.header}".',
                Spot(header_row, field=column.header),
            )


def _add_missing(log: FindingLog, required: bool, message: str, hint: str, spot: Spot = WHOLE_SHEET) -> None:
    severity = Severity.ERROR if required else Severity.WARNING
    log.add(
        severity, message if required else f"{message} The sheet is not used.", hint, spot, rejects=required
    )
