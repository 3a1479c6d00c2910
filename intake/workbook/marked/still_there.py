"""Whether a marked cell still holds what was found in it, as a formula: a mark clears when it is mended."""

from datetime import date, datetime, time, timedelta

from openpyxl.utils.datetime import to_excel

from intake.model.raw_workbook import CellKind, RawCell

_LONGEST_TEXT = 200
"""A formula holds texts of 255 signs at most."""
_AS_GOOD_AS_EQUAL = "1E-9"


def still_there(ref: str, cell: RawCell | None) -> str:
    """Return the formula for a cell; empty where it cannot be told, and the mark then stays.

    Parameters
    ----------
    ref
        the cell's name, like ``F12``.
    cell
        what it held when it was checked; None: nothing.
    """
    if cell is None:
        return f'{ref}=""'
    if cell.kind is CellKind.ERROR:
        return f"ISERROR({ref})"
    value = cell.value
    if cell.kind is not CellKind.VALUE or value is None:
        return ""
    if isinstance(value, bool):
        return f"{ref}={'TRUE' if value else 'FALSE'}"
    if isinstance(value, int | float):
        return _number(ref, float(value))
    if isinstance(value, datetime | date | time | timedelta):
        serial = to_excel(value)  # type: ignore[no-untyped-call]  # the stubs leave it bare
        return _number(ref, float(serial))
    return _text(ref, value)


def _number(ref: str, value: float) -> str:
    return f"IF(ISNUMBER({ref}),ABS({ref}-({value!r}))<{_AS_GOOD_AS_EQUAL},FALSE)"


def _text(ref: str, value: str) -> str:
    if len(value) > _LONGEST_TEXT or not value.isprintable():
        return f"LEN({ref})={len(value)}"
    quoted = value.replace('"', '""')
    return f'EXACT({ref},"{quoted}")'
