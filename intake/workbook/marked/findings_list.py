"""The first sheet of a marked copy: every finding on one line, with a link to its cell."""

from collections.abc import Iterable, Mapping, Sequence
from textwrap import wrap

from intake.model.finding import Finding
from intake.workbook.marked.notes import NOTES_MOST
from intake.workbook.marked.part_text import xml_text
from intake.workbook.reading.sheet_scan import SPREADSHEET

LIST_TITLE = "Findings of the intake check"
"""The first cell; by it a list of an earlier run is known from a sheet of the same name."""

_COLUMNS = {
    "No.": 5,
    "Severity": 16,
    "Sheet": 12,
    "Cell": 7,
    "Tag": 12,
    "Field": 18,
    "What was found": 45,
    "What to do": 40,
}
"""Header and width in characters; together no more than prints in type that can be read."""
_LINK_COLUMN = 3
_WRAPPED_FROM = 5
_ROWS_MOST = 30_000
"""Findings that are listed. A sheet holds 65,530 links, and far fewer lines are ever read."""
_HEAD_ROW = 7
_LINE_POINTS, _TITLE_LINES = 13, 1.6
"""Not every program finds the height of wrapped rows itself."""


def list_sheet(
    findings: Sequence[Finding], *, source: str, lost: Sequence[str], cells: Mapping[str, int]
) -> bytes:
    """Return the worksheet part.

    Parameters
    ----------
    source
        name of the workbook that was checked.
    lost
        what this copy does not keep.
    cells
        the numbers of its cell formats, by look.
    """
    listed = findings[:_ROWS_MOST]
    rows = [
        _row(number, [text], "title" if number == 1 else "plain", cells)
        for number, text in enumerate(_preface(findings, source, lost), start=1)
    ]
    rows.append(_row(_HEAD_ROW, list(_COLUMNS), "head", cells))
    rows += [_finding(place, one, cells) for place, one in enumerate(listed, start=1)]
    widths = "".join(
        f'<col min="{place}" max="{place}" width="{width}" customWidth="1"/>'
        for place, width in enumerate(_COLUMNS.values(), start=1)
    )
    below = _HEAD_ROW + 1
    return (
        f'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n<worksheet xmlns="{SPREADSHEET}">'
        '<sheetPr><pageSetUpPr fitToPage="1"/></sheetPr>'
        f'<sheetViews><sheetView tabSelected="1" workbookViewId="0"><pane ySplit="{_HEAD_ROW}"'
        f' topLeftCell="A{below}" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews>'
        f"<cols>{widths}</cols><sheetData>{''.join(rows)}</sheetData>{_filter(len(listed))}{_links(listed)}"
        '<pageMargins left="0.5" right="0.5" top="0.6" bottom="0.6" header="0.3" footer="0.3"/>'
        '<pageSetup orientation="landscape" fitToWidth="1" fitToHeight="0"/></worksheet>'
    ).encode()


def _preface(findings: Sequence[Finding], source: str, lost: Sequence[str]) -> Iterable[str]:
    yield LIST_TITLE
    yield f"A copy of {source} with its findings marked. The workbook itself was not changed."
    kept = "Everything else is as it was: values, formulas, pictures, charts, filters, notes."
    yield f"Not kept in this copy: {', '.join(lost)}. {kept}" if lost else f"Nothing was left out. {kept}"
    yield (
        "Marks: slanting lines and bold = error, level lines = warning, dots = note; some programs show"
        f" darker to lighter grey instead. Marked cells have notes, {NOTES_MOST:,} on a sheet at most."
    )
    more = len(findings) - _ROWS_MOST
    cut = (
        f" The last {more:,} of {len(findings):,} are not listed here; mend these first." if more > 0 else ""
    )
    yield (
        "Mend the cells in this copy and check or grade it: a mark clears when its cell changes. Marks, notes"
        f" and this sheet are not read.{cut}"
    )


def _row(number: int, texts: Sequence[str], look: str, cells: Mapping[str, int]) -> str:
    inside = "".join(_cell(number, column, text, cells[look]) for column, text in enumerate(texts))
    return _tall_row(number, _TITLE_LINES if look == "title" else 1, inside)


def _tall_row(number: int, lines: float, inside: str) -> str:
    return f'<row r="{number}" ht="{_LINE_POINTS * lines:g}" customHeight="1">{inside}</row>'


def _lines(texts: Sequence[str]) -> int:
    """Return how many lines the longest text of a row takes in its column."""
    widths = list(_COLUMNS.values())[1 : len(texts) + 1]
    wrapped = zip(texts[_WRAPPED_FROM - 1 :], widths[_WRAPPED_FROM - 1 :], strict=True)
    return max(1, *(len(wrap(text, width)) for text, width in wrapped))


def _finding(place: int, finding: Finding, cells: Mapping[str, int]) -> str:
    row = _HEAD_ROW + place
    whole = "sheet" if finding.sheet else ""
    link = finding.cell or (f"row {finding.row}" if finding.row else whole)
    severity = "error of the batch" if finding.rejects else finding.severity.value
    texts = (severity, finding.sheet, link, finding.tag, finding.field, finding.message, finding.hint)
    inside = [f'<c r="A{row}" s="{cells["plain"]}"><v>{place}</v></c>']
    for column, text in enumerate(texts, start=1):
        look = "link" if column == _LINK_COLUMN else "text" if column >= _WRAPPED_FROM else "plain"
        inside.append(_cell(row, column, text, cells[look]))
    return _tall_row(row, _lines(texts), "".join(inside))


def _cell(row: int, column: int, text: str, look: int) -> str:
    """Return a cell of text; a text is never a formula here, whatever it begins with."""
    name = f"{chr(ord('A') + column)}{row}"
    return f'<c r="{name}" s="{look}" t="str"><v>{xml_text(text)}</v></c>' if text else ""


def _filter(lines: int) -> str:
    last = chr(ord("A") + len(_COLUMNS) - 1)
    return f'<autoFilter ref="A{_HEAD_ROW}:{last}{_HEAD_ROW + max(lines, 1)}"/>'


def _links(findings: Sequence[Finding]) -> str:
    column = chr(ord("A") + _LINK_COLUMN)
    links = "".join(
        f'<hyperlink ref="{column}{_HEAD_ROW + place}" location="{xml_text(_location(one))}"/>'
        for place, one in enumerate(findings, start=1)
        if one.sheet
    )
    return f"<hyperlinks>{links}</hyperlinks>" if links else ""


def _location(finding: Finding) -> str:
    sheet = finding.sheet.replace("'", "''")
    return f"'{sheet}'!{finding.cell or f'A{max(finding.row, 1)}'}"
