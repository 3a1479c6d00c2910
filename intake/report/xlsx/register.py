"""``register.xlsx``: the period register for the office, a sheet per view with live sums."""

from collections.abc import Sequence
from datetime import datetime, time
from pathlib import Path

from xlsxwriter.utility import xl_rowcol_to_cell
from xlsxwriter.workbook import Workbook
from xlsxwriter.worksheet import Worksheet

from intake.model.register import CALIBRATION_NEAR_DAYS, MeterStanding, Register, StorageStanding
from intake.model.verdict import Grade
from intake.report.register.views import View, recycle_line, supplier_of, views_of, whole_line
from intake.report.register.words import period_in_words
from intake.report.xlsx import register_lists as lists
from intake.report.xlsx.book import Formats, ListColumn, Row, formats_of, set_up_print, write_list
from intake.report.xlsx.new_book import new_book
from intake.report.xlsx.register_account import write_account
from intake.report.xlsx.register_summary import CLOSING, LIMIT, write_summary
from intake.report.xlsx.register_view import Keys, Ranges, ViewSheet
from intake.report.xlsx.results_summary import column_range

_DATA, _BATCHES = "Data", "Batches"
_OF = {
    "grade": lists.GRADE,
    "chemistry": lists.CHEMISTRY,
    "stream": lists.STREAM,
    "jurisdiction": lists.JURISDICTION,
    "supplier": lists.SUPPLIER,
    "month": lists.MONTH,
}
"""The column of the data sheets that a view compares with the first cell of its lines."""


def write_register_workbook(register: Register, path: Path) -> None:
    """Write the register as a workbook: the same bytes for the same register, whatever the day.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    with new_book(path) as book:
        _Book(book, register).fill()


class _Book:
    def __init__(self, book: Workbook, register: Register) -> None:
        self._book = book
        self._register = register
        self._looks: Formats = formats_of(book)
        self._views = views_of(register)
        self._whole = whole_line(register)
        suppliers = [line.key.casefold() for line in self._view("supplier").lines]
        self._entries = [
            lists.Entry(one, suppliers.index(supplier_of(one).casefold()) + 1) for one in register.batches
        ]
        self._rows = lists.data_rows(self._entries)

    def _view(self, key: str) -> View:
        return next(one for one in self._views if one.key == key)

    def fill(self) -> None:
        """Write every sheet, those that are read first in front."""
        register, looks = self._register, self._looks
        self._book.set_properties(
            {
                "title": f"Period register {period_in_words(register.period)}",
                "subject": "Used 12 V batteries, graded",
                "author": "intake",
                "comments": f"intake {register.version}",
                "created": datetime.combine(register.period.closing, time()),
            }
        )
        summary = self._book.add_worksheet("Summary")
        write_summary(summary, looks, register, self._whole, self._total_formulas())
        self._print(summary, landscape=False, repeat_header=False)
        for view in self._views:
            self._add_view(view)
        for sheet in write_account(self._book, register.account, looks):
            self._print(sheet, landscape=True, repeat_header=True)
        self._meters()
        self._add("Repeated tags", lists.tag_columns(looks), lists.tag_rows(register))
        self._storage()
        self._add("Storage rules", lists.rule_columns(looks), lists.rule_rows(register))
        self._add("Not counted", lists.not_counted_columns(looks), lists.not_counted(register))
        batches = self._add(_BATCHES, lists.batch_columns(looks), self._entries)
        batches.print_area(0, 0, len(self._entries), _place(lists.batch_columns(looks), lists.LAST_PRINTED))
        self._add(_DATA, lists.data_columns(looks), self._rows)

    def _add(self, name: str, columns: Sequence[ListColumn[Row]], rows: Sequence[Row]) -> Worksheet:
        sheet = self._book.add_worksheet(name)
        write_list(sheet, columns, rows, self._looks)
        self._print(sheet, landscape=True, repeat_header=True)
        return sheet

    def _print(self, sheet: Worksheet, *, landscape: bool, repeat_header: bool) -> None:
        name = f"Period register {period_in_words(self._register.period)}"
        set_up_print(
            sheet, paper=self._register.paper, batch=name, landscape=landscape, repeat_header=repeat_header
        )

    def _add_view(self, view: View) -> None:
        sheet = self._book.add_worksheet(view.title)
        whole = recycle_line(self._register) if view.key == "stream" else self._whole
        ViewSheet(sheet, self._looks, view, self._ranges(view)).write(self._keys(view), whole)
        self._print(sheet, landscape=True, repeat_header=True)

    def _keys(self, view: View) -> Keys:
        lines = view.lines
        if view.key == "supplier":
            return Keys(range(1, len(lines) + 1), self._looks.count, [line.title for line in lines])
        if view.key == "month":
            return Keys([int(line.key.replace("-", "")) for line in lines], self._looks.month)
        return Keys([line.title for line in lines], self._looks.strong)

    def _ranges(self, view: View) -> Ranges:
        return Ranges(
            count=self._data(lists.COUNT),
            mass=self._data(lists.MASS),
            estimated=self._data(lists.ESTIMATED),
            without=self._data(lists.WITHOUT),
            grade=self._data(lists.GRADE),
            hold=self._data(lists.HOLD),
            of=self._data(_OF[view.key]),
            batches_of=self._batches(_OF[view.key]) if view.by_batch else "",
            wrong=self._batches(lists.WRONG),
        )

    def _data(self, header: str) -> str:
        return _range(_DATA, lists.data_columns(self._looks), header, len(self._rows))

    def _batches(self, header: str) -> str:
        return _range(_BATCHES, lists.batch_columns(self._looks), header, len(self._entries))

    def _total_formulas(self) -> dict[str, str]:
        """Return the formulas of the summary by what they give."""
        return {
            "batches": f"=COUNTA({self._batches('Batch')})",
            "count": f"=SUM({self._data(lists.COUNT)})",
            "mass": f"=SUM({self._data(lists.MASS)})",
            "estimated": f"=SUM({self._data(lists.ESTIMATED)})",
            "without": f"=SUM({self._data(lists.WITHOUT)})",
            "wrong": f"=SUM({self._batches(lists.WRONG)})",
            "yield": self._share(Grade.RESALE),
            "open": self._share(Grade.UNRESOLVED),
        }

    def _share(self, grade: Grade) -> str:
        count, given = self._data(lists.COUNT), self._data(lists.GRADE)
        return f'=IF(SUM({count})=0,"",100*SUMIFS({count},{given},"{grade.value}")/SUM({count}))'

    def _meters(self) -> None:
        """Write the meters; how each stands follows the closing date on the summary."""
        columns = lists.meter_columns(self._looks)
        sheet = self._add("Meters", columns, self._register.meters)
        due, standing = _place(columns, lists.DUE), _place(columns, lists.STANDING)
        for row, one in enumerate(self._register.meters, start=1):
            cell = xl_rowcol_to_cell(row, due)
            formula = (
                f'=IF({cell}="","{MeterStanding.UNKNOWN.value}",'
                f'IF({cell}<{CLOSING},"{MeterStanding.PAST.value}",'
                f'IF({cell}-{CLOSING}<={CALIBRATION_NEAR_DAYS},"{MeterStanding.NEAR.value}",'
                f'"{MeterStanding.CURRENT.value}")))'
            )
            sheet.write_formula(row, standing, formula, self._looks.text, one.standing.value)

    def _storage(self) -> None:
        """Write what is held; days and standing follow the closing date and the limit on the summary."""
        columns = lists.storage_columns(self._looks)
        sheet = self._add("Storage", columns, self._register.storage)
        names = (lists.RECEIVED, lists.SHIPPED, lists.DAYS, lists.STANDING)
        received, shipped, days, standing = (_place(columns, name) for name in names)
        for row, one in enumerate(self._register.storage, start=1):
            start, end, held = (xl_rowcol_to_cell(row, place) for place in (received, shipped, days))
            gone = f'AND({end}<>"",{end}<={CLOSING})'
            sheet.write_formula(
                row, days, f"=IF({gone},{end},{CLOSING})-{start}", self._looks.count, one.days
            )
            formula = (
                f'=IF({LIMIT}="","{StorageStanding.UNKNOWN.value}",'
                f'IF({held}<={LIMIT},"{StorageStanding.WITHIN.value}",'
                f'IF({gone},"{StorageStanding.SHIPPED_OVER.value}","{StorageStanding.OVER.value}")))'
            )
            sheet.write_formula(row, standing, formula, self._looks.text, one.standing.value)


def _place(columns: Sequence[ListColumn[Row]], header: str) -> int:
    return [column.header for column in columns].index(header)


def _range(sheet: str, columns: Sequence[ListColumn[Row]], header: str, rows: int) -> str:
    return column_range(sheet, _place(columns, header), max(rows, 1))
