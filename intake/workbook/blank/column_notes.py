"""What the blank workbook says about one column, and how wide and in which format it stands."""

from intake.policy.dictionary import Column, Form

_TEXT_WIDTHS = {"marking": 26, "note": 36}
"""Characters for texts that run long."""
_TEXT_WIDTH = 14
_DATE_WIDTH = 12
_DATE_TIME_WIDTH = 17
_LEAST_WIDTH = 9
_ARROW_WIDTH = 3
"""Room for the arrow of a drop-down list."""

TEXT_FORMAT = "@"
"""Keeps what is typed as it is typed: no tag turns into a number, no month into a day."""
_DATE_FORMAT = "yyyy-mm-dd"
_DECIMALS = {"V": "0.00##", "SG": "0.000#"}


def limits_text(column: Column) -> str:
    """Return unit and limits in words, like ``in V, from -20 to 20``."""
    unit = f"in {column.unit}" if column.unit and column.unit != column.header.split()[0] else ""
    parts = []
    endless = column.maximum is None
    if column.exclusive_minimum is not None:
        parts.append(f"over {column.exclusive_minimum:,g}")
    if column.minimum is not None:
        parts.append(f"{column.minimum:,g} or more" if endless else f"from {column.minimum:,g}")
    if column.maximum is not None:
        parts.append(f"to {column.maximum:,g}")
    return ", ".join(part for part in (unit, " ".join(parts)) if part)


def form_text(column: Column) -> str:
    """Return what may be typed into a column, in one sentence; empty where any text will do."""
    match column.form:
        case Form.NUMBER:
            return f"A number {limits_text(column)}."
        case Form.MONEY:
            return "An amount of money."
        case Form.DATE:
            return "A date, such as 2026-11-20."
        case Form.PARTIAL_DATE:
            return "A date, a month or a year."
        case Form.TIME:
            return "A time of day, such as 16:30."
        case Form.DATE_TIME:
            return "A day and a time, such as 2026-11-20 16:30; a time alone is of the day Read on."
        case Form.CHOICE:
            return f"One of: {', '.join(column.choices)}."
        case Form.IDENTIFIER | Form.TEXT:
            return ""


def synonyms_text(column: Column) -> str:
    """Return the trade words that are understood, like ``AGM: VRLA AGM, absorbent glass mat``."""
    return "; ".join(f"{choice}: {', '.join(words)}" for choice, words in column.synonyms.items() if words)


def note_text(column: Column) -> str:
    """Return the note that stands at a column's header."""
    need = f"{column.tier.capitalize()}. " if column.tier else ""
    return f"{need}{column.help} {form_text(column)}".rstrip()


def number_format(column: Column) -> str:
    """Return the number format of a column's cells."""
    match column.form:
        case Form.DATE:
            return _DATE_FORMAT
        case Form.MONEY:
            return "0.00"
        case Form.NUMBER:
            return _DECIMALS.get(column.unit or "", "General")
        case _:
            return TEXT_FORMAT


def width_characters(column: Column) -> int:
    """Return the width that header and typical content need, in characters."""
    widths = [_LEAST_WIDTH, *(len(word) + 2 for word in column.header.split())]
    if column.form is Form.CHOICE:
        widths.extend(len(choice) + _ARROW_WIDTH for choice in column.choices)
    elif column.form is Form.DATE_TIME:
        widths.append(_DATE_TIME_WIDTH)
    elif column.form in (Form.DATE, Form.PARTIAL_DATE):
        widths.append(_DATE_WIDTH)
    elif column.form in (Form.TEXT, Form.IDENTIFIER):
        widths.append(_TEXT_WIDTHS.get(column.key, _TEXT_WIDTH))
    return max(widths)
