"""A measured value from a cell: figure, unit and limits."""

import math
from datetime import datetime, time, timedelta
from decimal import Decimal

from intake.checks.cells.cell_text import LEAVE_EMPTY, is_placeholder, quoted
from intake.checks.cells.number_formats import shows_percent
from intake.checks.cells.parse_figure import parse_figure
from intake.checks.cells.parsed_cell import Remark, Taken, Unreadable, note
from intake.checks.cells.times import read_time
from intake.checks.cells.written_units import WrittenUnit, find_unit
from intake.model.finding import Severity
from intake.model.raw_workbook import RawCell
from intake.policy.dictionary import Column

NOT_A_DATE = (
    "The spreadsheet program has turned it into a date or time. Format the cell as text or number and type"
    " the value again."
)
_HOURS = "h"
_MINUTES_AN_HOUR, _SECONDS_A_MINUTE, _SECONDS_AN_HOUR = 60, 60, 3600
_SERIAL_ZERO = datetime(1899, 12, 30)
"""From which a spreadsheet program counts days; one later before March 1900, as it has a 29 February then."""
_LEAP_DAY_OVER = datetime(1900, 3, 1)
_SLIPS = (0.1, 10, 100)
"""By how much a figure grows where its decimal point slips."""
_LIKELY_DECIMALS = 6
_GRAVITY_UNIT = "SG"
_GRAVITY_TIMES = Decimal(1000)
"""A hydrometer's scale often leaves the point out: 1265 is 1.265."""
_PER_CENT = WrittenUnit("percent format", 100)
_SHOWN_DIGITS = 6
"""Significant digits of a figure in a message."""
_CONVERTED_DIGITS = 12
"""Significant digits that a conversion keeps: more than any meter shows, fewer than its rounding noise."""


def read_number(
    cell: RawCell, column: Column, *, header_unit: WrittenUnit | None = None
) -> Taken[float] | Unreadable:
    """Return a cell's number in the column's unit.

    Parameters
    ----------
    header_unit
        the unit of plain numbers where the header names another than the column's own.
    """
    if isinstance(cell.value, str):
        return _from_text(cell.value, column, header_unit)
    if isinstance(cell.value, bool):
        return _not_a_number(cell, column, LEAVE_EMPTY)
    if column.unit == _HOURS and isinstance(cell.value, datetime | time | timedelta):
        return _clock_time(cell, column, cell.value)
    if not isinstance(cell.value, int | float):
        return _not_a_number(cell, column, NOT_A_DATE)
    if isinstance(cell.value, float) and not math.isfinite(cell.value):
        return _not_a_number(cell, column, "Type the figure that the meter showed.")
    amount = Decimal(cell.value) if isinstance(cell.value, int) else Decimal(repr(cell.value))
    unit = _PER_CENT if column.unit == "%" and shows_percent(cell.number_format) else header_unit
    return _measured(cell, column, (amount,), unit, noted=unit is _PER_CENT)


def expected_number(column: Column) -> str:
    """Return what a column expects, like ``a number in V, from -20 to 20``."""
    unit = f" in {column.unit}" if column.unit and column.unit != _GRAVITY_UNIT else ""
    return f"a number{unit}, {_limits(column)}"


def _limits(column: Column) -> str:
    lowest = _figure(column.minimum or 0.0)
    if column.exclusive_minimum is not None:
        over = f"over {_figure(column.exclusive_minimum)}"
        return over if column.maximum is None else f"{over} to {_figure(column.maximum)}"
    return f"{lowest} or more" if column.maximum is None else f"from {lowest} to {_figure(column.maximum)}"


def _figure(value: float) -> str:
    return format(value, f".{_SHOWN_DIGITS}g")


def _not_a_number(cell: RawCell, column: Column, hint: str) -> Unreadable:
    return Unreadable(f"{quoted(cell.value)} is no number; expected {expected_number(column)}.", hint)


def _from_text(text: str, column: Column, header_unit: WrittenUnit | None) -> Taken[float] | Unreadable:
    cell = RawCell(0, 0, text)
    clock = read_time(cell) if column.unit == _HOURS else None
    if isinstance(clock, Taken):
        return _clock_time(cell, column, clock.value)
    if is_placeholder(text):
        return _not_a_number(cell, column, LEAVE_EMPTY)
    figure = parse_figure(text)
    if figure is None or not figure.readings:
        return _not_a_number(cell, column, f"Type one figure, such as {_example(column)}. {LEAVE_EMPTY}")
    if figure.power_of_ten:
        return _not_a_number(cell, column, "Write the figure out in full, without a power of ten.")
    if not figure.unit:
        return _measured(cell, column, figure.readings, header_unit, noted=False)
    unit = find_unit(figure.unit, column.unit)
    if unit is not None:
        return _measured(cell, column, figure.readings, unit, noted=unit.converts)
    if any(sign.isdigit() for sign in figure.unit):
        return _not_a_number(cell, column, f"Type one figure, such as {_example(column)}.")
    return Unreadable(
        f"{quoted(text)}: {quoted(figure.unit)} is not a unit that can be converted here;"
        f" expected {expected_number(column)}.",
        f"Type the figure in {column.unit}, without a unit.",
    )


def _clock_time(cell: RawCell, column: Column, value: datetime | time | timedelta) -> Unreadable:
    """Refuse what looks like a time of day where hours are meant, with both ways out."""
    clock = f' A clock time goes into "{column.clock}".' if column.clock else ""
    return Unreadable(
        f"{quoted(cell.value)} is a clock time; expected {expected_number(column)}.",
        f"{_hours_hint(cell, column, value)}{clock}",
    )


def _hours_hint(cell: RawCell, column: Column, value: datetime | time | timedelta) -> str:
    """Say how to write the hours. A cell that shows times goes on showing them: its format has to change."""
    if isinstance(cell.value, str) and not isinstance(value, datetime):
        return f"Type {_hours_text(value)}."
    if not isinstance(value, datetime):
        return f"Format the cell as a number and type {_hours_text(value)}."
    zero = _SERIAL_ZERO if value >= _LEAP_DAY_OVER else _SERIAL_ZERO + timedelta(days=1)
    typed = (value - zero) / timedelta(days=1)
    if column.maximum is not None and 0 <= typed <= column.maximum:
        return f"Format the cell as a number; if you typed {typed:.4g} it then counts."
    return "Format the cell as a number and type the hours."


def _hours_text(value: time | timedelta) -> str:
    """Return how to write hours and minutes as a figure: ``17.5 for 17 h 30 min``."""
    seconds = (
        value.total_seconds()
        if isinstance(value, timedelta)
        else value.hour * _SECONDS_AN_HOUR + value.minute * _SECONDS_A_MINUTE
    )
    hours, minutes = divmod(round(seconds / _SECONDS_A_MINUTE), _MINUTES_AN_HOUR)
    return f"{hours + minutes / _MINUTES_AN_HOUR:.4g} for {hours} h {minutes} min"


def _example(column: Column) -> str:
    return "12.43" if column.example is None else str(column.example)


def _measured(
    cell: RawCell, column: Column, readings: tuple[Decimal, ...], unit: WrittenUnit | None, *, noted: bool
) -> Taken[float] | Unreadable:
    """Convert every reading; refuse what still differs, then what lies outside the limits."""
    values = [_own_value(one, column, unit) for one in readings]
    if len(set(values)) > 1:
        return _two_way(cell, column, readings)
    value = values[0]
    lacks_point = len(readings) == 1 and _lacks_point(readings[0], column, unit)
    name = "" if column.unit == _GRAVITY_UNIT else f" {column.unit}"
    taken = f"taken as {_figure(value)}{name}"
    if not _within(value, column):
        converted = f", {taken}," if lacks_point or (unit is not None and unit.converts) else ""
        return Unreadable(
            f"{quoted(cell.value)}{converted} is outside the limits; expected {expected_number(column)}.",
            _slipped(value, column) or "Read it again, and look for a slipped decimal point.",
        )
    remarks = [note(f"{quoted(cell.value)} was {taken}.")] if noted or lacks_point else []
    likely = _slipped(value, column)
    if likely:
        remarks.append(
            Remark(
                Severity.WARNING,
                f"{_figure(value)} {column.unit} looks like a slipped decimal point.",
                likely,
            )
        )
    return Taken(value, tuple(remarks))


def _slipped(value: float, column: Column) -> str:
    """Return what to do about a figure ten or a hundred times, or a tenth of, a usual one; else empty."""
    if column.plausible is None:
        return ""
    lowest, highest = column.plausible
    for times in _SLIPS:
        likely = value / times
        if lowest <= round(likely, _LIKELY_DECIMALS) <= highest:
            return f"Type {_figure(likely)} if that is what the meter showed; nothing was changed."
    return ""


def _two_way(cell: RawCell, column: Column, readings: tuple[Decimal, ...]) -> Unreadable:
    one, other = readings
    likely = _slipped(float(other), column)
    return Unreadable(
        f"{quoted(cell.value)} can be read as {one} or as {other}; expected {expected_number(column)}.",
        likely or f"Type {one} or {other}, whichever was meant.",
    )


def _own_value(amount: Decimal, column: Column, unit: WrittenUnit | None) -> float:
    if _lacks_point(amount, column, unit):
        return float(amount / _GRAVITY_TIMES)
    if unit is None or not unit.converts:
        return float(amount) + 0.0
    return float(f"{float(unit.to_own(amount)):.{_CONVERTED_DIGITS}g}") + 0.0


def _lacks_point(amount: Decimal, column: Column, unit: WrittenUnit | None) -> bool:
    in_own_unit = unit is None or not unit.converts
    return column.unit == _GRAVITY_UNIT and in_own_unit and amount >= _GRAVITY_TIMES


def _within(value: float, column: Column) -> bool:
    if not math.isfinite(value):
        return False
    if column.exclusive_minimum is not None and value <= column.exclusive_minimum:
        return False
    if column.minimum is not None and value < column.minimum:
        return False
    return column.maximum is None or value <= column.maximum
