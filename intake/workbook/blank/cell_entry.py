"""What a spreadsheet program says while someone types: lists, limits, and a warning that can be overruled.

Every rule only warns. The reader takes more than a spreadsheet program does (``12,43 V``, a trade word), and
a rule that stops would take that away; a slip is still caught.
"""

from datetime import date
from typing import Any

from intake.policy.dictionary import Column, Form
from intake.workbook.blank.column_notes import limits_text

_TITLE_LENGTH = 32
_MESSAGE_LENGTH = 255
"""The file format's own limits."""
_ANY_AMOUNT = 1_000_000_000
_EARLIEST = date(2000, 1, 1)
_LATEST = date(2199, 12, 31)


def entry_rule(column: Column, *, first_cell: str = "", cells: str = "") -> dict[str, Any] | None:
    """Return the validation of a column's cells in the writing library's words; None if anything goes.

    Parameters
    ----------
    first_cell, cells
        of a name that stands only once: first cell and whole range, as a formula has them; else empty.
    """
    rule = _rule(column, first_cell=first_cell, cells=cells)
    if rule is None:
        return None
    return {
        "error_type": "warning",
        "error_title": column.header[:_TITLE_LENGTH],
        "error_message": _message(column)[:_MESSAGE_LENGTH],
        **rule,
    }


def _rule(column: Column, *, first_cell: str, cells: str) -> dict[str, Any] | None:
    match column.form:
        case Form.CHOICE:
            return {"validate": "list", "source": list(column.choices)}
        case Form.NUMBER:
            return {"validate": "decimal", **_number_criteria(column)}
        case Form.MONEY:
            return {
                "validate": "decimal",
                "criteria": "between",
                "minimum": -_ANY_AMOUNT,
                "maximum": _ANY_AMOUNT,
            }
        case Form.DATE:
            return {"validate": "date", "criteria": "between", "minimum": _EARLIEST, "maximum": _LATEST}
        case Form.IDENTIFIER if cells:
            fits = f"LEN({first_cell})<={column.max_length}"
            return {"validate": "custom", "value": f"=AND(COUNTIF({cells},{first_cell})=1,{fits})"}
        case Form.IDENTIFIER:
            return {"validate": "length", "criteria": "between", "minimum": 1, "maximum": column.max_length}
        case Form.TEXT | Form.PARTIAL_DATE | Form.TIME | Form.DATE_TIME:
            return None


def _number_criteria(column: Column) -> dict[str, Any]:
    lowest = column.minimum if column.exclusive_minimum is None else column.exclusive_minimum
    if column.maximum is not None:
        return {"criteria": "between", "minimum": lowest, "maximum": column.maximum}
    return {"criteria": ">=" if column.exclusive_minimum is None else ">", "value": lowest}


def _message(column: Column) -> str:
    match column.form:
        case Form.CHOICE:
            return f"The list has: {', '.join(column.choices)}. Keep your own word if the Guide names it."
        case Form.NUMBER:
            limits = limits_text(column)
            return f"Expected a number {limits}. Keep what you typed if it is right, such as 12,43 V."
        case Form.MONEY:
            return "Expected an amount of money, a plain number."
        case Form.DATE:
            return "Expected a date, such as 2026-11-20."
        case _:
            return column.help
