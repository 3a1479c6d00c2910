"""What the sheets of a blank workbook have in common on paper and while someone types."""

from typing import TYPE_CHECKING, Any

from intake.workbook.blank.formats import Look

if TYPE_CHECKING:
    from xlsxwriter.worksheet import Worksheet

A4 = 9
ROW_POINTS = 26
"""High enough for two lines, or to write by hand on a printed blank."""
_MARGINS_INCH = {"left": 0.4, "right": 0.4, "top": 0.5, "bottom": 0.6}


def write_title(page: "Worksheet", look: Look, title: str, legend: str, *, row: int, column: int) -> None:
    """Write a sheet's title, and its legend where ``row`` and ``column`` say."""
    page.set_row(0, 24)
    page.write_string(0, 0, title, look.title)
    page.write_string(row, column, legend, look.legend)


def set_margins(page: "Worksheet") -> None:
    """Set margins and footer of the printed page."""
    page.set_margins(**_MARGINS_INCH)
    page.set_footer("&L&8&F, &A&R&8page &P of &N")


def add_rule(page: "Worksheet", rule: dict[str, Any] | None, first: int, place: int, last: int) -> None:
    """Put a validation on the cells of a column, if there is one."""
    if rule is not None:
        page.data_validation(first, place, last, place, rule)
