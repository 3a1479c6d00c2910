"""A sheet of two columns, a field and its value in each row: labels found, values typed."""

from collections.abc import Mapping
from typing import Any, NamedTuple

from intake.checks.cells.cell_text import cell_text, is_blank, quoted
from intake.checks.cells.dates import ANY_DAY, DateOrder, DateSpan
from intake.checks.cells.parsed_cell import Unreadable
from intake.checks.cells.placeholders import blank_note, stands_for_nothing
from intake.checks.cells.read_cell import read_cell
from intake.checks.cells.read_text import fill_in
from intake.checks.find_columns import note_header_unit
from intake.checks.finding_log import EMPTY_CELL, FindingLog, Spot
from intake.checks.match_header import HeaderMatch, match_header
from intake.model.raw_workbook import RawCell, RawSheet
from intake.policy.dictionary import Column, Sheet

_HEADINGS = ("field", "value")


class Field(NamedTuple):
    """A label with the cell to its right. ``value`` None: blank."""

    label: RawCell
    value: RawCell | None
    match: HeaderMatch

    @property
    def spot(self) -> Spot:
        """The place of the value, whether it is filled in or not."""
        (column,) = self.match.columns
        return Spot(self.label.row, self.label.column + 1, field=column.header)


def read_fields(sheet: RawSheet, wanted: Sheet, log: FindingLog) -> dict[str, Field]:
    """Return the known labels by key: where one appears twice, the one with a value."""
    found: dict[str, Field] = {}
    for field in _labelled_rows(sheet, wanted):
        if len(field.match.columns) > 1:
            if field.value:
                _reject_two_meanings(field, log)
        elif not field.match.columns:
            _note_unknown(field, log)
        else:
            (column,) = field.match.columns
            earlier = found.get(column.key)
            if earlier and earlier.value and field.value:
                _reject_twice(column, earlier, field, log)
            elif field.value or not (earlier and earlier.value):
                found[column.key] = field
    for key, field in found.items():
        (column,) = field.match.columns
        if field.value and stands_for_nothing(field.value, column):
            log.note(*blank_note(field.value), field.spot)
            found[key] = field._replace(value=None)
    for field in found.values():
        note_header_unit(field.label, field.match.columns[0], field.match, log)
    return found


def _labelled_rows(sheet: RawSheet, wanted: Sheet) -> list[Field]:
    fields = []
    for row in sheet.rows:
        filled = [cell for _, cell in sorted(row.cells.items()) if not is_blank(cell)]
        if filled:
            label = filled[0]
            beside = [cell for cell in filled if cell.column == label.column + 1]
            match = match_header(cell_text(label.value), wanted)
            fields.append(Field(label, beside[0] if beside else None, match))
    return fields


def _note_unknown(field: Field, log: FindingLog) -> None:
    texts = tuple(cell_text(cell.value).strip().casefold() for cell in (field.label, field.value) if cell)
    if field.value and texts != _HEADINGS:
        log.note(
            f"The field {quoted(field.label.value)} is not known and is ignored.",
            "Nothing to do if the field is the site's own.",
            Spot(field.label.row, field.label.column),
        )


def _reject_two_meanings(field: Field, log: FindingLog) -> None:
    headers = " or ".join(f'"{column.header}"' for column in field.match.columns)
    log.reject(
        f"{quoted(field.label.value)} can mean {headers}.",
        "Write the field with its brackets, as in the blank workbook.",
        Spot(field.label.row, field.label.column),
    )


def _reject_twice(column: Column, earlier: Field, field: Field, log: FindingLog) -> None:
    log.reject(
        f'The field "{column.header}" appears twice: in {earlier.label.ref} and in {field.label.ref}.',
        "Delete one of the two rows.",
        Spot(field.label.row, field.label.column, field=column.header),
    )


def read_values(
    wanted: Sheet,
    fields: Mapping[str, Field],
    log: FindingLog,
    *,
    date_order: DateOrder | None,
    spans: Mapping[str, DateSpan] | None = None,
) -> dict[str, Any]:
    """Return the values by key; what is blank or cannot be used is left out, a needed one rejects.

    ``spans`` says by key which days an ambiguous date can be.
    """
    values: dict[str, Any] = {}
    for column in wanted.columns:
        field = fields.get(column.key)
        span = (spans or {}).get(column.key, ANY_DAY)
        value = _value(column, field, log, date_order, span) if field else None
        if field is None and column.needed:
            log.reject(
                f'The field "{column.header}" is missing.',
                f'Write "{column.header}" in a row of its own and the value to the right of it.',
                Spot(field=column.header),
            )
        if value is not None:
            values[column.key] = value
    return values


def _value(
    column: Column, field: Field, log: FindingLog, date_order: DateOrder | None, span: DateSpan
) -> Any:
    if field.value is None:
        if column.needed:
            log.reject(EMPTY_CELL, fill_in(column), field.spot)
        return None
    outcome = read_cell(field.value, column, header_unit=field.match.unit, date_order=date_order, span=span)
    if isinstance(outcome, Unreadable):
        if column.needed or column.decisive:
            log.reject(outcome.message, outcome.hint, field.spot)
        else:
            log.warn_blank(outcome, field.spot)
        return None
    log.remark(outcome.remarks, field.spot)
    return str(outcome.value).upper() if column.key == "currency" else outcome.value
