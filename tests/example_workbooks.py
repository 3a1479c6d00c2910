"""Writes the workbooks of ``example_batches/`` from their typed sheets.

Run ``python tests/example_workbooks.py`` from the top folder to rewrite all of them. A typed sheet is
``example_batches/<name>/typed/<sheet>.csv``. One line of it is one row of the sheet, and an entry reads as

- ``NUMBER``: a number cell,
- ``YYYY-MM-DD`` or ``YYYY-MM-DD FORMAT``: a date cell, shown in that number format,
- ``=FORMULA {RESULT}``: a formula with its saved result, ``#DIV/0!`` among them,
- ``=FORMULA``: a formula whose result was never saved,
- anything else: text; a leading ``'`` makes text of whatever follows.

Every day of receipt lies months back: a machine whose clock is behind must not take it for the future.
They are of June 2026, as some statements of the rule data, undated there, hold since May of that year.
"""

import csv
import re
import sys
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from io import BytesIO
from pathlib import Path

import xlsxwriter
from xlsxwriter.format import Format
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

EXAMPLES = Path(__file__).resolve().parents[1] / "example_batches"
SINGLE = sorted(one.name for one in EXAMPLES.iterdir() if (one / f"{one.name}.xlsx").is_file())
"""The examples of one workbook; a quarter of many batches has a test of its own."""
CREATED = datetime(2026, 6, 5, tzinfo=UTC).replace(tzinfo=None)
SHEETS = ("Batch", "Batteries", "Hold readings", "Prices", "Remarks")
UNSAVED = 987654321
"""Stands in for the result of a formula until the stored workbook has its results taken out."""
DAY = "yyyy-mm-dd"
NUMBER = re.compile(r"-?\d+(\.\d+)?")
DATE = re.compile(r"(\d{4}-\d{2}-\d{2})(?: (.+))?")
FORMULA = re.compile(r"(=[^{]+?)(?: \{(.*)\})?")
WIDEST = 36
"""Characters; longer notes run on over the empty cells beside them."""
HEADER_HEIGHT = 60
"""Points: four lines."""
SHEET_WIDTH = 25
"""Columns that still fit one page side by side."""


@dataclass(frozen=True, slots=True)
class Layout:
    """What a person did to the Batteries sheet beside typing. Rows and columns as the sheet shows them."""

    header_row: int = 1
    shown: tuple[str, ...] = ()
    """The chemistries that a filter still shows; empty: no filter is set."""
    paper: int = 9
    """XlsxWriter's number: 9 is A4, 1 is Letter."""


LAYOUTS = {
    "counter_returns_48": Layout(
        header_row=4,
        shown=(
            "wet",
            "Wet",
            "flooded",
            *("flooded sealed", "Ca/Ca", "SMF"),
            "EFB",
            "AGM",
            "VRLA AGM",
            "LiFePO4",
        ),
    ),
    "powersports_20": Layout(header_row=2, paper=1),
    "storm_damaged_16": Layout(header_row=3),
    "bad_row_errors": Layout(header_row=3),
    "bad_rejected": Layout(),
}


class Formats:
    """The cell formats of one workbook, each made once."""

    def __init__(self, workbook: Workbook) -> None:
        self.header: Format = workbook.add_format(
            {"bold": True, "text_wrap": True, "valign": "top", "bottom": 1, "bg_color": "#E4E7EA"}
        )
        self.title: Format = workbook.add_format({"bold": True, "font_size": 13})
        self._workbook = workbook
        self._shown: dict[str, Format] = {}

    def shown_as(self, number_format: str) -> Format:
        """Return the format of a number or date cell."""
        if number_format not in self._shown:
            align = "left" if number_format == DAY else "right"
            entry = {"num_format": number_format, "align": align}
            self._shown[number_format] = self._workbook.add_format(entry)
        return self._shown[number_format]


def typed_rows(folder: Path, sheet: str) -> list[list[str]]:
    """Return the entries of one typed sheet, row by row; empty where there is no such sheet."""
    path = folder / "typed" / f"{sheet}.csv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.reader(file))


def _write_entry(worksheet: Worksheet, row: int, column: int, entry: str, formats: Formats) -> None:
    if match := DATE.fullmatch(entry):
        shown = formats.shown_as(match[2] or DAY)
        worksheet.write_datetime(row, column, date.fromisoformat(match[1]), shown)
    elif match := FORMULA.fullmatch(entry):
        result = match[2] if match[2] is not None else UNSAVED
        number = isinstance(result, str) and NUMBER.fullmatch(result)
        value = float(result) if number else result
        worksheet.write_formula(row, column, match[1], formats.shown_as("General"), value)
    elif NUMBER.fullmatch(entry):
        decimals = len(entry.partition(".")[2])
        shown = formats.shown_as("0." + "0" * decimals if decimals else "0")
        worksheet.write_number(row, column, float(entry), shown)
    else:
        worksheet.write_string(row, column, entry.removeprefix("'"))


def _fit_columns(worksheet: Worksheet, rows: list[list[str]], header_row: int) -> None:
    for column, header in enumerate(rows[header_row - 1]):
        entries = [row[column].partition("{")[2] or row[column] for row in rows[header_row:]]
        longest = max(len(text) for text in (*header.split(), *entries, "     "))
        worksheet.set_column(column, column, min(longest + 2.5, WIDEST))


def _filter_rows(worksheet: Worksheet, rows: list[list[str]], layout: Layout) -> None:
    header = rows[layout.header_row - 1]
    column = header.index("Chemistry")
    worksheet.autofilter(layout.header_row - 1, 0, len(rows) - 1, len(header) - 1)
    worksheet.filter_column_list(column, [*layout.shown, "Blanks"])
    for number, row in enumerate(rows[layout.header_row :], start=layout.header_row):
        if row[column] and row[column] not in layout.shown:
            worksheet.set_row(number, options={"hidden": True})


def _write_sheet(worksheet: Worksheet, rows: list[list[str]], layout: Layout, formats: Formats) -> None:
    for number, row in enumerate(rows, start=1):
        for column, entry in enumerate(row):
            if not entry:
                continue
            if number < layout.header_row and column == 0:
                worksheet.write_string(number - 1, column, entry, formats.title if number == 1 else None)
            elif number == layout.header_row:
                worksheet.write_string(number - 1, column, entry, formats.header)
            else:
                _write_entry(worksheet, number - 1, column, entry, formats)
    _fit_columns(worksheet, rows, layout.header_row)
    worksheet.set_landscape()
    worksheet.set_paper(layout.paper)
    worksheet.set_row(layout.header_row - 1, HEADER_HEIGHT)
    worksheet.repeat_rows(layout.header_row - 1)
    worksheet.repeat_columns(0, 1)
    worksheet.fit_to_pages(3 if len(rows[0]) > SHEET_WIDTH else 1, 0)
    worksheet.freeze_panes(layout.header_row, 1)
    if layout.shown:
        _filter_rows(worksheet, rows, layout)


def _write_batch_sheet(worksheet: Worksheet, rows: list[list[str]], formats: Formats) -> None:
    for number, row in enumerate(rows):
        for column, entry in enumerate(row):
            if column == 0:
                worksheet.write_string(number, column, entry, formats.header)
            elif entry:
                _write_entry(worksheet, number, column, entry, formats)
    worksheet.set_column(0, 0, 30)
    worksheet.set_column(1, 1, 60)
    worksheet.fit_to_pages(1, 0)


def _without_unsaved_results(content: bytes) -> bytes:
    """Take out the results of the formulas that were never saved, and leave every other part as it is."""
    stored = BytesIO()
    mark = f"<v>{UNSAVED}</v>".encode()
    with zipfile.ZipFile(BytesIO(content)) as before, zipfile.ZipFile(stored, "w") as after:
        for member in before.infolist():
            part = before.read(member).replace(mark, b"")
            after.writestr(member, part, zipfile.ZIP_DEFLATED)
    return stored.getvalue()


def build_workbook(name: str) -> bytes:
    """Return the workbook of one example batch as it stands on the disk.

    Parameters
    ----------
    name
        The folder's name in ``example_batches/``.
    """
    folder, layout = EXAMPLES / name, LAYOUTS[name]
    content = BytesIO()
    workbook = xlsxwriter.Workbook(content, {"in_memory": True})
    workbook.set_properties({"created": CREATED})
    formats = Formats(workbook)
    for sheet in SHEETS:
        rows = typed_rows(folder, sheet)
        if not rows:
            continue
        worksheet = workbook.add_worksheet(sheet)
        if sheet == "Batch":
            _write_batch_sheet(worksheet, rows, formats)
        else:
            chosen = layout if sheet == "Batteries" else Layout(paper=layout.paper)
            _write_sheet(worksheet, rows, chosen, formats)
    workbook.close()
    return _without_unsaved_results(content.getvalue())


def rewrite_all() -> Iterator[Path]:
    """Write every example workbook into its folder and yield its path."""
    for name in LAYOUTS:
        path = EXAMPLES / name / f"{name}.xlsx"
        path.write_bytes(build_workbook(name))
        yield path


if __name__ == "__main__":
    for written in rewrite_all():
        print(written.relative_to(EXAMPLES.parent), file=sys.stdout)
