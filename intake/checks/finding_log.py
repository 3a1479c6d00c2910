"""Findings of one sheet, gathered as the checks go along."""

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from intake.checks.cells.parsed_cell import Remark, Unreadable
from intake.model.finding import Finding, Severity
from intake.model.raw_workbook import RawCell


class Spot(NamedTuple):
    """Where on its sheet a finding belongs. 0 = the whole sheet."""

    row: int = 0
    column: int = 0
    tag: str = ""
    field: str = ""

    @property
    def cell(self) -> str:
        """The cell's name, like ``F12``; empty when no single cell is meant."""
        return RawCell(self.row, self.column, None).ref if self.row and self.column else ""


WHOLE_SHEET = Spot()

FINDINGS_MOST = 50_000
"""Of one sheet. 48,000 batteries of the random test batches have 21,000."""


EMPTY_CELL = "The cell is empty, and this value is needed."
NO_TAG = "The row has no tag."
CORRECT_ONE = "Correct the one that is wrong."


GRACE_DAYS = 1
"""A clock that is a day behind, or a zone away, makes no date one of the future."""


def in_the_future(day: date, *, today: date) -> str:
    """Say that a day has not come yet; empty where it has, or is within the day of grace."""
    if (day - today).days <= GRACE_DAYS:
        return ""
    return f"{day.isoformat()} lies in the future; today is {today.isoformat()}."


class TooManyFindings(Exception):
    """A sheet has so many findings that it is no intake sheet, whatever its name; caught by the check.

    ``str()`` is the sentence that says so.
    """


@dataclass(slots=True)
class FindingLog:
    """The findings of one sheet. ``order``: its place in the workbook, from 1; 0 = the workbook."""

    sheet: str
    order: int
    found: list[Finding] = field(default_factory=list)
    of_today: list[Finding] = field(default_factory=list)
    """Warnings that hold on the day of the run alone: for the screen, never for a document."""

    def add(
        self, severity: Severity, message: str, hint: str, spot: Spot = WHOLE_SHEET, *, rejects: bool = False
    ) -> None:
        """Add one finding.

        Raises
        ------
        TooManyFindings
            the sheet has ``FINDINGS_MOST`` already.
        """
        if len(self.found) >= FINDINGS_MOST:
            raise TooManyFindings(
                f"The workbook has over {FINDINGS_MOST:,} findings on one sheet; it was read no further."
            )
        self.found.append(self._finding(severity, message, hint, spot, rejects=rejects))

    def _finding(
        self, severity: Severity, message: str, hint: str, spot: Spot, *, rejects: bool = False
    ) -> Finding:
        return Finding(
            severity=severity,
            message=message,
            hint=hint,
            sheet=self.sheet,
            cell=spot.cell,
            tag=spot.tag,
            field=spot.field,
            rejects=rejects,
            sheet_order=self.order,
            row=spot.row,
            column=spot.column,
        )

    def warn_of_tomorrow(self, day: date, spot: Spot, *, today: date) -> None:
        """Warn, on the screen alone, of a day within the grace that has not come by this clock."""
        if day > today:
            message = f"{day.isoformat()} is tomorrow by this computer's clock."
            hint = "Check the date, or the clock."
            self.of_today.append(self._finding(Severity.WARNING, message, hint, spot))

    def reject(self, message: str, hint: str, spot: Spot = WHOLE_SHEET) -> None:
        """Add an error of the batch."""
        self.add(Severity.ERROR, message, hint, spot, rejects=True)

    def warn(self, message: str, hint: str, spot: Spot = WHOLE_SHEET) -> None:
        """Add a warning."""
        self.add(Severity.WARNING, message, hint, spot)

    def note(self, message: str, hint: str, spot: Spot = WHOLE_SHEET) -> None:
        """Add a note."""
        self.add(Severity.NOTE, message, hint, spot)

    def warn_blank(self, unreadable: Unreadable, spot: Spot) -> None:
        """Add a warning that a value which no grade rests on cannot be read and is left blank."""
        self.warn(f"{unreadable.message} The value is left blank.", unreadable.hint, spot)

    def remark(self, remarks: tuple[Remark, ...], spot: Spot) -> None:
        """Add what was said about a value that was taken."""
        for one in remarks:
            self.add(one.severity, one.message, one.hint, spot)
