"""Small raw workbooks from plain Python values, and what the check says about them."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from intake.checks.cells.dates import DateOrder
from intake.checks.cells.parsed_cell import Taken, Unreadable
from intake.checks.check_workbook import CheckedWorkbook, check_workbook
from intake.checks.finding_log import FindingLog
from intake.model.finding import Finding, Severity
from intake.model.raw_workbook import CellKind, RawCell, RawRow, RawSheet, RawWorkbook
from intake.policy.dictionary import Column, load_dictionary
from intake.policy.grading_policy import load_grading_policy
from tests.changed import replace

TODAY = date(2026, 11, 25)
RECEIVED = date(2026, 11, 20)
_SHIPPED = load_grading_policy()
POLICY = replace(
    _SHIPPED,
    cross_checks=replace(
        _SHIPPED.cross_checks,
        gravity_to_block_v=replace(
            _SHIPPED.cross_checks.gravity_to_block_v, points=((1.1, 11.8), (1.2, 12.3), (1.3, 12.9))
        ),
    ),
)
"""The shipped policy with round gravities, so that a test can be worked out on paper."""

BATCH: dict[str, Any] = {
    "Batch": "T-1",
    "Site": "Test yard",
    "Received": RECEIVED,
    "Inspector": "Bench 1",
    "Jurisdiction": "EU",
    "Meter accuracy (% of reading)": 0.1,
    "Meter accuracy (V)": 0.01,
    "Read on": RECEIVED,
}
GOOD: dict[str, Any] = {
    "Tag": "B-1",
    "Chemistry": "flooded",
    "Case": "sound",
    "Rest voltage (V)": 12.65,
    "Rested (h)": 24,
    "Temperature (°C)": 25,
}
LFP: dict[str, Any] = {**GOOD, "Chemistry": "LFP", "Rest voltage (V)": 13.2}

Row = Mapping[str, Any]


def column(sheet: str, key: str, place: int | None = None) -> Column:
    """Return a column of the dictionary."""
    return next(
        one
        for one in load_dictionary().sheets[sheet].columns
        if one.key == key and (place is None or one.place == place)
    )


def cell(value: Any, number_format: str = "General", *, row: int = 2, at: int = 1) -> RawCell:
    """Return a cell; a RawCell given as the value keeps its kind and number format."""
    if isinstance(value, RawCell):
        return RawCell(row, at, value.value, value.kind, value.number_format)
    return RawCell(row, at, value, CellKind.VALUE, number_format)


def error_cell(text: str = "#DIV/0!") -> RawCell:
    """Return a cell with a spreadsheet error."""
    return RawCell(1, 1, text, CellKind.ERROR)


def unsaved_formula() -> RawCell:
    """Return a cell whose formula has no saved result."""
    return RawCell(1, 1, None, CellKind.UNSAVED_FORMULA)


def grid(name: str, lines: Sequence[Sequence[Any]], **facts: Any) -> RawSheet:
    """Return a sheet from lines of values; None and empty lines are left out, as the reader does."""
    rows = []
    for number, line in enumerate(lines, start=1):
        cells = {
            at: cell(value, row=number, at=at) for at, value in enumerate(line, start=1) if value is not None
        }
        if cells:
            rows.append(RawRow(number, cells))
    return RawSheet(name, tuple(rows), **facts)


def listed(name: str, rows: Sequence[Row], **facts: Any) -> RawSheet:
    """Return a list sheet: the headers of all rows in row 1, then the rows; an empty row is blank."""
    headers = list(dict.fromkeys(header for row in rows for header in row))
    return grid(name, [headers, *([row.get(header) for header in headers] for row in rows)], **facts)


def batch_sheet(fields: Row | None = None, **facts: Any) -> RawSheet:
    """Return the Batch sheet, one field a row."""
    return grid("Batch", list((BATCH if fields is None else fields).items()), **facts)


def workbook(
    *batteries: Row,
    batch: Row | None = None,
    hold: Sequence[Row] = (),
    prices: Sequence[Row] = (),
    more: Sequence[RawSheet] = (),
) -> RawWorkbook:
    """Return a workbook with the sheets that are given."""
    sheets = [batch_sheet(batch), listed("Batteries", batteries or (GOOD,))]
    if hold:
        sheets.append(listed("Hold readings", hold))
    if prices:
        sheets.append(listed("Prices", prices))
    return RawWorkbook("t.xlsx", "0" * 64, (*sheets, *more))


def check(raw: RawWorkbook, *, date_order: DateOrder | None = None) -> CheckedWorkbook:
    """Check a workbook with this file's day and policy; whatever it says is said in sentences."""
    checked = check_workbook(raw, today=TODAY, date_order=date_order, policy=POLICY)
    told(checked.findings)
    return checked


def check_rows(*batteries: Row, **sheets: Any) -> CheckedWorkbook:
    """Check a workbook with these battery rows."""
    return check(workbook(*batteries, **sheets))


def log(sheet: str = "Batteries") -> FindingLog:
    """Return an empty log of a sheet."""
    return FindingLog(sheet, 1)


def told(findings: Sequence[Finding], severity: Severity | None = None) -> list[tuple[str, str, str]]:
    """Return severity, place and field of each finding, or of those of one severity."""
    for one in findings:
        assert_sentences(one.message, one.hint)
    return [
        (one.severity.value, one.place, one.field)
        for one in findings
        if severity is None or one.severity is severity
    ]


def assert_sentences(*texts: str) -> None:
    """Each text is for people: it begins as a sentence does and ends with a full stop."""
    for text in texts:
        assert text == text.strip()
        assert not text[0].islower()
        assert text[-1] == "."
        assert text != text.upper()


def value_of(outcome: Taken[Any] | Unreadable) -> Any:
    """Return the value of a reading that must have succeeded without a remark."""
    assert isinstance(outcome, Taken), outcome
    assert outcome.remarks == (), outcome.remarks
    return outcome.value


def noted(outcome: Taken[Any] | Unreadable) -> tuple[Any, str]:
    """Return the value and the words of the one remark of a reading."""
    assert isinstance(outcome, Taken), outcome
    (remark,) = outcome.remarks
    assert_sentences(remark.message, remark.hint)
    return outcome.value, remark.message


def refusal(outcome: Taken[Any] | Unreadable) -> Unreadable:
    """Return the reason of a reading that must have failed, which always says what to do."""
    assert isinstance(outcome, Unreadable), outcome
    assert_sentences(outcome.message, outcome.hint)
    return outcome
