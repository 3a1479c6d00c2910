"""Columns that the dictionary marks as listed: printed beside each battery and in ``results.xlsx``."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime

from intake.model.battery import Battery, MadeDate
from intake.policy.dictionary import Column, load_dictionary


def listed_columns() -> Sequence[Column]:
    """Return the columns of the batteries' sheet that are marked ``x-listed``, each key once."""
    columns = load_dictionary().sheets["batteries"].columns
    return [one for one in columns if one.listed and one.place in (None, 1)]


def listed_value(battery: Battery, column: Column) -> str | float | None:
    """Return what a battery's row holds in a column: a figure, or words; None where it is blank."""
    value = getattr(battery, column.key)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, MadeDate):
        return value.text
    if isinstance(value, datetime):
        return f"{value:%Y-%m-%d %H:%M}"
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, tuple):
        return ", ".join(f"{one:g}" for one in value) or None
    return value if value is None or isinstance(value, float) else str(value)


def listed_lines(battery: Battery) -> Iterator[str]:
    """Yield ``header: value`` for each listed column that is filled in."""
    for column in listed_columns():
        value = listed_value(battery, column)
        if value is not None:
            yield f"{column.header}: {value:g}" if isinstance(value, float) else f"{column.header}: {value}"
