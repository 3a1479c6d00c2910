"""One view of a register as a sheet of live sums over the data sheets, their results stored beside."""

import re
from collections.abc import Sequence
from dataclasses import dataclass

from xlsxwriter.format import Format
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from intake.model.kilograms import in_kg
from intake.model.verdict import Grade
from intake.report.register.views import Line, View
from intake.report.words.rounding import COUNT_DECIMALS, PERCENT_DECIMALS
from intake.report.words.totals import GRADE_ORDER
from intake.report.xlsx.book import CellValue, Formats, lines_in_cell, row_height_pt, write_cell

_FIRST_ROW = 2
"""Of the lines, as the spreadsheet program counts."""
_KEY_WIDTH, _TITLE_WIDTH = 19.0, 36.0
_NARROWEST, _WIDTH_PER_SIGN = 9.5, 1.25
"""Of a column of figures: so wide that no word of its header is cut."""
_GRADES = tuple(grade.value for grade in GRADE_ORDER)
_MASSES = ("mass", "estimated")
_SHARES = ("share", "yield", "open")
_HEADERS = {
    "batches": "Batches",
    "count": "Batteries",
    "mass": "Mass (kg)",
    "estimated": "of which estimated (kg)",
    "without": "without mass",
    "share": "Share of the sum (% of batteries)",
    **{grade: grade for grade in _GRADES},
    "proven": "for resale, a hold has shown it",
    "owed": "still owed a test",
    "yield": "Resale yield (% of batteries)",
    "open": "Unresolved (% of batteries)",
    "wrong": "Expected wrong acceptances",
}


@dataclass(frozen=True, slots=True)
class Ranges:
    """Where the data sheets keep what is summed, as absolute references."""

    count: str
    mass: str
    estimated: str
    without: str
    grade: str
    hold: str
    of: str
    """What is compared with the first cell of each line."""
    batches_of: str
    """The same on the sheet with one row per batch; empty where a batch is divided."""
    wrong: str


@dataclass(frozen=True, slots=True)
class Keys:
    """The first cells of the lines: what is looked for in the data, and words where it is a number."""

    values: Sequence[CellValue]
    look: Format
    titles: Sequence[str] = ()


class ViewSheet:
    """Writes the lines of a view and their sum."""

    def __init__(self, sheet: Worksheet, looks: Formats, view: View, ranges: Ranges) -> None:
        self._sheet = sheet
        self._looks = looks
        self._view = view
        self._ranges = ranges
        self._columns = _columns(view)

    def write(self, keys: Keys, whole: Line) -> None:
        """Write everything; ``whole`` is the sum of the lines."""
        first = 2 if keys.titles else 1
        self._letters = {name: xl_col_to_name(place) for place, name in enumerate(self._columns, start=first)}
        self._head(first, with_titles=bool(keys.titles))
        for row, (line, key) in enumerate(zip(self._view.lines, keys.values, strict=True), start=1):
            write_cell(self._sheet, row, 0, key, keys.look)
            if keys.titles:
                write_cell(self._sheet, row, 1, keys.titles[row - 1], self._looks.strong)
            self._sheet.set_row(row, row_height_pt(lines_in_cell(line.title, _TITLE_WIDTH)))
            for place, name in enumerate(self._columns, start=first):
                value = _value(name, line, whole)
                self._sheet.write_formula(row, place, self._formula(name, row + 1), self._look(name), value)
        self._sum(len(keys.values) + 1, first, whole)
        self._sheet.autofilter(0, 0, max(len(keys.values), 1), first + len(self._columns) - 1)
        self._sheet.freeze_panes(1, first)

    def _head(self, first: int, *, with_titles: bool) -> None:
        headers = ["No.", self._view.heading] if with_titles else [self._view.heading]
        wide = with_titles or self._view.key == "stream"
        widths = [7.0] * with_titles + [_TITLE_WIDTH if wide else _KEY_WIDTH]
        for place, (header, width) in enumerate(zip(headers, widths, strict=True)):
            self._sheet.set_column(place, place, width)
            write_cell(self._sheet, 0, place, header, self._looks.header)
        lines = 1
        for place, name in enumerate(self._columns, start=first):
            words = re.split("[ -]", _HEADERS[name])
            width = max(_NARROWEST, _WIDTH_PER_SIGN * max(map(len, words)))
            self._sheet.set_column(place, place, width)
            write_cell(self._sheet, 0, place, _HEADERS[name], self._looks.figure_header)
            lines = max(lines, lines_in_cell(_HEADERS[name], width / _WIDTH_PER_SIGN))
        self._sheet.set_row(0, row_height_pt(lines))

    def _sum(self, row: int, first: int, whole: Line) -> None:
        for place in range(first):
            write_cell(self._sheet, row, place, "" if place else "Sum", self._looks.total_label)
        for place, name in enumerate(self._columns, start=first):
            formula = f"=SUM({self._letters[name]}{_FIRST_ROW}:{self._letters[name]}{max(row, _FIRST_ROW)})"
            if name in _SHARES:
                formula = self._formula(name, row + 1)
            look = self._look(name, total=True)
            self._sheet.write_formula(row, place, formula, look, _value(name, whole, whole))

    def _look(self, name: str, *, total: bool = False) -> Format:
        looks = self._looks
        if name in _MASSES:
            return looks.total_kilograms if total else looks.kilograms
        if name in _SHARES:
            return looks.total_percent if total else looks.percent
        if name == "wrong":
            return looks.total_probability if total else looks.probability
        return looks.total_count if total else looks.count

    def _formula(self, name: str, row: int) -> str:
        at, ranges = self._letters, self._ranges
        match name:
            case "batches":
                return f"=COUNTIFS({ranges.batches_of},$A{row})"
            case "wrong":
                return f"=SUMIFS({ranges.wrong},{ranges.batches_of},$A{row})"
            case "proven":
                return self._summing(row, f'{ranges.grade},"{Grade.RESALE.value}"', f'{ranges.hold},"yes"')
            case "owed":
                unproven = f"{at[Grade.RESALE.value]}{row}-{at['proven']}{row}"
                others = (at[grade.value] for grade in (Grade.RECONDITIONABLE, Grade.UNRESOLVED))
                return f"={unproven}+" + "+".join(f"{letters}{row}" for letters in others)
            case "share":
                last = len(self._view.lines) + _FIRST_ROW
                return _percent(f"{at['count']}{row}", f"{at['count']}${last}")
            case "yield" | "open":
                grade = Grade.RESALE if name == "yield" else Grade.UNRESOLVED
                return _percent(f"{at[grade.value]}{row}", f"{at['count']}{row}")
            case _ if name in _GRADES:
                return self._summing(row, f'{ranges.grade},"{name}"')
            case _:
                return f"=SUMIFS({getattr(ranges, name)},{ranges.of},$A{row})"

    def _summing(self, row: int, *conditions: str) -> str:
        return f"=SUMIFS({self._ranges.count},{self._ranges.of},$A{row},{','.join(conditions)})"


def _columns(view: View) -> tuple[str, ...]:
    always = ("count", "mass", "estimated", "without")
    if view.key in ("grade", "stream"):
        return (*always, "share")
    divided = (*always, *_GRADES, "proven", "owed", "yield", "open")
    return ("batches", *divided, "wrong") if view.by_batch else divided


def _percent(part: str, whole: str) -> str:
    return f'=IF({whole}=0,"",100*{part}/{whole})'


def _value(name: str, line: Line, whole: Line) -> float | str:
    """Return the stored result of a formula; an empty text where it cannot be told."""
    share: float | None
    match name:
        case "mass":
            return in_kg(line.mass_g)
        case "estimated":
            return in_kg(line.mass_estimated_g)
        case "without":
            return line.without_mass
        case "proven":
            return line.resale_proven
        case "wrong":
            return round(line.wrong_acceptances or 0.0, COUNT_DECIMALS)
        case "share":
            share = 100 * line.count / whole.count if whole.count else None
        case "yield":
            share = line.share_percent(Grade.RESALE)
        case "open":
            share = line.share_percent(Grade.UNRESOLVED)
        case _ if name in _GRADES:
            return line.by_grade[Grade(name)]
        case _:
            return int(getattr(line, name))
    return "" if share is None else round(share, PERCENT_DECIMALS)
