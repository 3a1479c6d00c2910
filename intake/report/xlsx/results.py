"""``results.xlsx``: one row per battery for the bench and the office, with live sums."""

from datetime import datetime, time
from pathlib import Path

from xlsxwriter.workbook import Workbook

from intake.model.result import BatchResult
from intake.report.xlsx.book import Formats, formats_of, set_up_print, write_list
from intake.report.xlsx.new_book import new_book
from intake.report.xlsx.results_lists import (
    ESTIMATED,
    GRADE,
    LAST_PRINTED,
    LAST_REASON_PRINTED,
    MASS,
    STREAM,
    battery_columns,
    finding_columns,
    fired_rules,
    reason_columns,
)
from intake.report.xlsx.results_summary import Ranges, SummarySheet, column_range
from intake.report.xlsx.results_value import FIRST_NOT_PRINTED, value_columns
from intake.report.xlsx.results_value import SHEET as VALUE_SHEET


def write_results_workbook(result: BatchResult, path: Path) -> None:
    """Write the results workbook: the same bytes for the same result, whatever the day.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    with new_book(path) as book:
        _fill(book, result)


def _fill(book: Workbook, result: BatchResult) -> None:
    batch = result.batch
    book.set_properties(
        {
            "title": f"Graded results of batch {batch.batch}",
            "subject": "Used 12 V batteries, graded",
            "author": "intake",
            "comments": f"intake {result.version}",
            "created": datetime.combine(batch.received, time()),
        }
    )
    looks = formats_of(book)
    summary, batteries = book.add_worksheet("Summary"), book.add_worksheet("Batteries")
    values = _fill_values(book, result, looks) if result.value else {}
    findings, reasons = book.add_worksheet("Findings"), book.add_worksheet("Reasons")
    columns = battery_columns(result, looks)
    headers = [column.header for column in columns]
    write_list(batteries, columns, result.graded, looks)
    write_list(findings, finding_columns(looks), result.findings, looks)
    reasons_shown = reason_columns(looks)
    write_list(reasons, reasons_shown, fired_rules(result), looks)
    rows = len(result.graded)

    def ranges(of: str) -> Ranges:
        mass, estimated, compared = (
            column_range("Batteries", headers.index(name), rows) for name in (MASS, ESTIMATED, of)
        )
        return Ranges(mass, estimated, compared)

    SummarySheet(summary, looks).write(
        result, by_grade=ranges(GRADE), by_stream=ranges(STREAM), values=values
    )
    batteries.print_area(0, 0, rows, headers.index(LAST_PRINTED))
    last = [column.header for column in reasons_shown].index(LAST_REASON_PRINTED)
    reasons.print_area(0, 0, sum(len(one.verdict.reasons) for one in result.graded), last)
    set_up_print(summary, paper=result.paper, batch=batch.batch, landscape=False, repeat_header=False)
    for sheet in book.worksheets()[1:]:
        set_up_print(sheet, paper=result.paper, batch=batch.batch, landscape=True, repeat_header=True)


def _fill_values(book: Workbook, result: BatchResult, looks: Formats) -> dict[str, str]:
    """Write the value sheet and return where it keeps each column, under its header."""
    sheet = book.add_worksheet(VALUE_SHEET)
    columns = value_columns(result, looks)
    headers = [column.header for column in columns]
    write_list(sheet, columns, result.graded, looks)
    sheet.print_area(0, 0, len(result.graded), headers.index(FIRST_NOT_PRINTED) - 1)
    return {
        header: column_range(VALUE_SHEET, place, len(result.graded)) for place, header in enumerate(headers)
    }
