"""Like findings on many rows, gathered to one with all its cells."""

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from intake.model.finding import Finding, Severity

_VARYING = re.compile(r'"[^"]*"|[0-9][0-9.,]*')
"""What differs between like findings: what was read."""
_FIRST_QUOTED = re.compile(r'"[^"]*"')
_MOST_CELLS = 8
"""Cells that are named with what was read in each, where that differs."""
_CELL = re.compile(r"([A-Z]+)([0-9]+)")


class LikeFindings(NamedTuple):
    """Findings that say the same of one column, in sheet order. Never empty."""

    findings: tuple[Finding, ...]

    @property
    def first(self) -> Finding:
        """The one whose words stand for all."""
        return self.findings[0]

    @property
    def place(self) -> str:
        """Sheet and cells, as in ``Batteries!B4:B9, B12``."""
        if len(self.findings) == 1:
            return self.first.place
        cells = cell_ranges([one.cell for one in self.findings if one.cell])
        return "!".join(part for part in (self.first.sheet, cells) if part) or self.first.place

    @property
    def message(self) -> str:
        """The words of the first, and where what was read differs, how many more and what each holds."""
        others = [one for one in self.findings if one.message != self.first.message]
        if not others:
            return self.first.message
        read = [
            f"{one.cell} {quoted[0]}"
            for one in others[:_MOST_CELLS]
            if (quoted := _FIRST_QUOTED.findall(one.message))
        ]
        more = f": {', '.join(read)}" if read and len(others) <= _MOST_CELLS else ""
        return f"{self.first.message} The same in {_more(len(others))}{more}."


def gather_like(findings: Iterable[Finding]) -> tuple[LikeFindings, ...]:
    """Gather findings of one severity, column, message and exact way out, by the first of each."""
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for one in findings:
        key = (
            one.severity,
            one.rejects,
            one.sheet,
            one.field,
            bool(one.cell),
            _VARYING.sub("…", one.message),
            one.hint,
        )
        groups.setdefault(key, []).append(one)
    return tuple(LikeFindings(tuple(group)) for group in groups.values())


def errors_last(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return notes, then warnings, then errors, and last what rejects the workbook: where the eye rests."""
    rank = {Severity.NOTE: 0, Severity.WARNING: 1, Severity.ERROR: 2}
    return tuple(sorted(findings, key=lambda one: (rank[one.severity], one.rejects)))


def gravest_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return what rejects the workbook, then errors, warnings and notes, each in sheet order."""
    rank = list(Severity)
    return tuple(sorted(findings, key=lambda one: (not one.rejects, rank.index(one.severity))))


def cell_ranges(cells: Sequence[str]) -> str:
    """Return cells with those below one another as a range: ``B4:B9, B12``."""
    spans: list[tuple[str, int, int]] = []
    for cell in cells:
        match = _CELL.fullmatch(cell)
        column, row = (match[1], int(match[2])) if match else (cell, 0)
        if spans and match and spans[-1][0] == column and spans[-1][2] == row - 1:
            spans[-1] = (column, spans[-1][1], row)
        else:
            spans.append((column, row, row))
    return ", ".join(_span(*span) for span in spans)


def _span(column: str, first: int, last: int) -> str:
    if first == 0:
        return column
    return f"{column}{first}" if first == last else f"{column}{first}:{column}{last}"


def _more(cells: int) -> str:
    return "1 more cell" if cells == 1 else f"{cells} more cells"
