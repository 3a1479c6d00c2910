"""Signs that people write into a cell where nothing was measured."""

from intake.checks.cells.cell_text import is_placeholder, quoted
from intake.model.raw_workbook import RawCell
from intake.policy.dictionary import Column, Form

_FIGURES = (Form.NUMBER, Form.MONEY)


def stands_for_nothing(cell: RawCell, column: Column) -> bool:
    """Return whether a cell of a column of figures counts as blank; a needed one never does."""
    return (
        column.form in _FIGURES
        and not column.needed
        and isinstance(cell.value, str)
        and is_placeholder(cell.value)
    )


def blank_note(cell: RawCell) -> tuple[str, str]:
    """Return message and hint about such a cell."""
    return f"{quoted(cell.value)} counts as blank.", "Nothing to do if nothing was measured."
