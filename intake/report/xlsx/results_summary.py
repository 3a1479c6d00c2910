"""The summary sheet: batch facts, live sums over the batteries sheet, and the meter's worth."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from intake.model.result import BatchResult
from intake.model.value import Amount, BatchValue
from intake.model.verdict import MeterRisk
from intake.report.drawing.plain_text import one_line
from intake.report.words.batch_facts import (
    Fact,
    accuracy_in_words,
    batch_facts,
    meter_facts,
    provenance_facts,
)
from intake.report.words.rounding import COUNT_DECIMALS, PERCENT_DECIMALS
from intake.report.words.totals import Total, total_of, totals_by_grade, totals_by_stream
from intake.report.words.value_totals import RoadTotal, totals_by_road
from intake.report.xlsx.book import Formats, lines_in_cell, row_height_pt, write_cell
from intake.report.xlsx.results_lists import GRADE
from intake.report.xlsx.results_value import EXPECTED, end_headers

_WIDTHS = (46, 12, 14, 20, 16)
_SIX_LINES = 81.0
"""Height of a row in points."""
_ENDS_TOLD = (
    "What the evidence leaves open: low, every open test fails, or a hold counts with its probability, and "
    "an estimated mass is at its unfavourable end; high, the opposite. Prices are by chemistry: what a "
    "damaged battery costs beyond them is not in the sums."
)


class Ranges(NamedTuple):
    """Where the batteries sheet keeps what is summed, as absolute references."""

    mass: str
    estimated: str
    of: str
    """The column that is compared with the first cell of each line."""


def column_range(sheet: str, column: int, rows: int) -> str:
    """Return the absolute reference to the rows below the header of one column, which counts from 0."""
    letters = xl_col_to_name(column)
    return f"{sheet}!${letters}$2:${letters}${rows + 1}"


class SummarySheet:
    """Writes the summary from the top down."""

    def __init__(self, sheet: Worksheet, looks: Formats) -> None:
        self._sheet = sheet
        self._looks = looks
        self._row = 0
        for place, width in enumerate(_WIDTHS):
            sheet.set_column(place, place, width)

    def write(
        self, result: BatchResult, *, by_grade: Ranges, by_stream: Ranges, values: Mapping[str, str]
    ) -> None:
        """Write everything; ``values`` says where the value sheet keeps each column, by header."""
        batch = result.batch
        write_cell(self._sheet, 0, 0, f"Graded results of batch {batch.batch}", self._looks.title)
        self._row = 2
        self._facts((*batch_facts(batch), *meter_facts(result), ("Note", one_line(batch.note or ""))))
        grades = [(grade.value, total) for grade, total in totals_by_grade(result).items()]
        self._sums("Grade", grades, by_grade, total_of(result.graded))
        streams = [(one.title, one.total) for one in totals_by_stream(result)]
        if streams:
            recycle = total_of(one for one in result.graded if one.stream is not None)
            self._sums("Waste stream of the recycle grade", streams, by_stream, recycle)
        if result.value is not None:
            self._values(result.value, totals_by_road(result), values)
        self._wrong_decisions(result.figures.in_use, result.figures.better)
        self._meter_worth(result.figures.meter_worth_percent)
        self._facts(provenance_facts(result))

    def _facts(self, facts: Sequence[Fact]) -> None:
        for label, text in facts:
            write_cell(self._sheet, self._row, 0, label, self._looks.label)
            self._sheet.merge_range(self._row, 1, self._row, len(_WIDTHS) - 1, "")
            write_cell(self._sheet, self._row, 1, text, self._looks.text)
            self._sheet.set_row(self._row, row_height_pt(lines_in_cell(text, sum(_WIDTHS[1:]))))
            self._row += 1
        self._row += 1

    def _header(self, *headers: str) -> None:
        for place, header in enumerate(headers):
            look = self._looks.figure_header if place else self._looks.header
            write_cell(self._sheet, self._row, place, header, look)
        self._row += 1

    def _sums(self, title: str, lines: Sequence[tuple[str, Total]], ranges: Ranges, whole: Total) -> None:
        """Write one line a group as live formulas, their values stored beside, and the sum below."""
        self._header(title, "Batteries", "Mass (kg)", "of which estimated (kg)", "without mass")
        first = self._row + 1
        for name, total in lines:
            write_cell(self._sheet, self._row, 0, name, self._looks.strong)
            self._line(total, ranges)
        write_cell(self._sheet, self._row, 0, "Sum", self._looks.total_label)
        for place, value in enumerate(_values(whole), start=1):
            letters = xl_col_to_name(place)
            formula = f"=SUM({letters}{first}:{letters}{self._row})"
            mass = place in _MASS_PLACES
            look = self._looks.total_kilograms if mass else self._looks.total_count
            self._sheet.write_formula(self._row, place, formula, look, value)
        self._row += 2

    def _line(self, total: Total, ranges: Ranges) -> None:
        named = f"$A{self._row + 1}"
        formulas = (
            f"=COUNTIF({ranges.of},{named})",
            f"=SUMIF({ranges.of},{named},{ranges.mass})",
            f'=SUMIFS({ranges.mass},{ranges.of},{named},{ranges.estimated},"yes")',
            f'=COUNTIFS({ranges.of},{named},{ranges.mass},"")',
        )
        for place, (formula, value) in enumerate(zip(formulas, _values(total), strict=True), start=1):
            look = self._looks.kilograms if place in _MASS_PLACES else self._looks.count
            self._sheet.write_formula(self._row, place, formula, look, value)
        self._row += 1

    def _values(self, value: BatchValue, totals: Sequence[RoadTotal], columns: Mapping[str, str]) -> None:
        """Write one line for each grade and road as live formulas, and how they were rounded."""
        unit = f" ({value.currency})" if value.currency else ""
        self._header(
            "Net value, by grade and road", "Batteries", f"low{unit}", f"high{unit}", "without a value"
        )
        for one in totals:
            ends = end_headers(one.road.value, value.currency)
            self._value_line(one, one.road.value, one.total.amount, columns, ends)
            if one.total.expected is not None:
                name = f"{one.road.value}, expected at the site's success rate"
                ends = end_headers(EXPECTED, value.currency)
                self._value_line(one, name, one.total.expected, columns, ends)
        self._sheet.merge_range(self._row, 0, self._row, len(_WIDTHS) - 1, "")
        write_cell(self._sheet, self._row, 0, f"{_ENDS_TOLD} {value.rounding}", self._looks.label)
        self._sheet.set_row(self._row, _SIX_LINES)
        self._row += 2

    def _value_line(
        self, one: RoadTotal, name: str, amount: Amount, columns: Mapping[str, str], ends: tuple[str, str]
    ) -> None:
        write_cell(self._sheet, self._row, 0, f"{one.grade.value}: {name}", self._looks.strong)
        grades, grade = columns[GRADE], f'"{one.grade.value}"'
        low, high = (columns[header] for header in ends)
        line = self._row + 1
        empty = f'IF($B{line}=$E{line},""'
        ends_stored = (float(amount.low), float(amount.high)) if one.total.valued else ("", "")
        cells = (
            (f"=COUNTIF({grades},{grade})", one.total.count, self._looks.count),
            (f"={empty},SUMIF({grades},{grade},{low}))", ends_stored[0], self._looks.money),
            (f"={empty},SUMIF({grades},{grade},{high}))", ends_stored[1], self._looks.money),
            (f'=COUNTIFS({grades},{grade},{low},"")', one.total.without_value, self._looks.count),
        )
        for place, (formula, stored, look) in enumerate(cells, start=1):
            self._sheet.write_formula(self._row, place, formula, look, stored)
        self._row += 1

    def _wrong_decisions(self, in_use: MeterRisk, better: MeterRisk) -> None:
        self._header("Expected wrong voltage decisions in this batch", "accepted", "rejected")
        for name, risk in (("the meter in use", in_use), ("a better meter", better)):
            label = f"with {name}: {accuracy_in_words(risk)}"
            write_cell(self._sheet, self._row, 0, label, self._looks.text)
            for place, value in enumerate((risk.wrong_acceptances, risk.wrong_rejections), start=1):
                write_cell(self._sheet, self._row, place, round(value, COUNT_DECIMALS), self._looks.percent)
            self._row += 1
        self._row += 1

    def _meter_worth(self, worth: Sequence[tuple[str, float]]) -> None:
        if not worth:
            return
        self._header("The meter in use tells the charge to within", "± % charge")
        for chemistry, percent in worth:
            write_cell(self._sheet, self._row, 0, chemistry, self._looks.text)
            write_cell(self._sheet, self._row, 1, round(percent, PERCENT_DECIMALS), self._looks.count)
            self._row += 1
        self._row += 1


_MASS_PLACES = (2, 3)
"""Columns of the sums that hold kilograms."""


def _values(total: Total) -> tuple[float, ...]:
    return (
        total.count,
        total.mass_kg,
        total.mass_estimated_kg,
        total.without_mass,
    )
