"""What a check has to say about one place in a workbook, and a run about a file that it leaves out."""

from enum import StrEnum
from typing import NamedTuple

FINDINGS_SHEET = "Findings"
"""The sheet that lists the findings in a marked copy; never read back."""


class Severity(StrEnum):
    """How far a finding reaches."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


class Finding(NamedTuple):
    """One problem or remark, told so that the person at the bench can act on it.

    ``rejects`` marks an error of the batch: nothing is written for the workbook.
    ``sheet_order``, ``row`` and ``column`` (from 1; 0 = the whole sheet or workbook) sort findings
    in sheet order.
    """

    severity: Severity
    message: str
    """What was read and what was expected."""
    hint: str
    """What to do."""
    sheet: str = ""
    cell: str = ""
    """Like ``F12``; empty when no single cell is meant."""
    tag: str = ""
    field: str = ""
    """The column header or Batch field as the blank workbook prints it."""
    rejects: bool = False
    sheet_order: int = 0
    row: int = 0
    column: int = 0

    @property
    def place(self) -> str:
        """Sheet and cell in words, as in ``Batteries!F12``."""
        return "!".join(part for part in (self.sheet, self.cell) if part) or "workbook"


FINDING_KEYS = ("severity", "sheet", "cell", "tag", "field", "message", "hint")
"""The attributes of a finding that files carry, in this order."""


def in_sheet_order(findings: list[Finding]) -> tuple[Finding, ...]:
    """Sort by sheet, row and column, keeping the order of discovery within one cell."""
    return tuple(sorted(findings, key=lambda one: (one.sheet_order, one.row, one.column)))


class LeftOut(NamedTuple):
    """A results file that is in no sum, and why."""

    file: str
    reason: str
