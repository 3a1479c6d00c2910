"""One cell by the form of its column."""

from datetime import date, time

from intake.checks.cells.cell_text import quoted
from intake.checks.cells.dates import ANY_DAY, DateOrder, DateSpan, read_date, read_partial_date
from intake.checks.cells.parsed_cell import Taken, Unreadable
from intake.checks.cells.read_money import read_money
from intake.checks.cells.read_number import read_number
from intake.checks.cells.read_text import read_choice, read_identifier, read_text
from intake.checks.cells.times import WrittenTime, read_date_time, read_time
from intake.checks.cells.written_units import WrittenUnit
from intake.model.battery import MadeDate
from intake.model.raw_workbook import CellKind, RawCell
from intake.policy.dictionary import Column, Form

CellContent = str | float | date | time | MadeDate | WrittenTime


def read_cell(
    cell: RawCell,
    column: Column,
    *,
    header_unit: WrittenUnit | None = None,
    date_order: DateOrder | None = None,
    span: DateSpan = ANY_DAY,
    currency: str | None = None,
) -> (
    Taken[str] | Taken[float] | Taken[date] | Taken[time] | Taken[MadeDate] | Taken[WrittenTime] | Unreadable
):
    """Return what a cell that is not blank holds, in the column's form and unit.

    Parameters
    ----------
    header_unit
        the unit of plain numbers where the header names another than the column's own.
    date_order
        what ``03/04/2021`` means; None: it is refused.
    span
        the days that an ambiguous date can be.
    currency
        the batch's, for amounts of money.
    """
    if cell.kind is CellKind.ERROR:
        return Unreadable(
            f"The formula in this cell ends in the error {quoted(cell.value)}.",
            "Mend the formula, or type the value itself.",
        )
    if cell.kind is CellKind.UNSAVED_FORMULA:
        return Unreadable(
            "The cell holds a formula whose result was never saved.",
            "Open the workbook in a spreadsheet program, let it calculate, and save it.",
        )
    match column.form:
        case Form.NUMBER:
            return read_number(cell, column, header_unit=header_unit)
        case Form.CHOICE:
            return read_choice(cell, column)
        case Form.IDENTIFIER:
            return read_identifier(cell, column)
        case Form.DATE:
            return read_date(cell, date_order=date_order, span=span)
        case Form.PARTIAL_DATE:
            return read_partial_date(cell, date_order=date_order, span=span)
        case Form.TIME:
            return read_time(cell)
        case Form.DATE_TIME:
            return read_date_time(cell, date_order=date_order, span=span)
        case Form.MONEY:
            return read_money(cell, currency=currency)
    return read_text(cell, column)
