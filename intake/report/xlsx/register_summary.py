"""The first sheet of a register workbook: period, sums, what to know before using them, cautions."""

from collections.abc import Mapping

from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from intake.model.kilograms import in_kg
from intake.model.register import Register
from intake.model.verdict import Grade
from intake.report.register.views import Line
from intake.report.register.words import period_in_words, register_remarks
from intake.report.words.rounding import COUNT_DECIMALS, PERCENT_DECIMALS
from intake.report.xlsx.book import CellValue, Formats, lines_in_cell, row_height_pt, write_cell

_LABEL_WIDTH, _VALUE_WIDTH = 40.0, 62.0
_CLOSING_ROW, _LIMIT_ROW = 3, 4
CLOSING, LIMIT = f"Summary!$B${_CLOSING_ROW + 1}", f"Summary!$B${_LIMIT_ROW + 1}"
"""Where the closing date and the site's storage limit stand; other sheets count from them."""


def write_summary(
    sheet: Worksheet, looks: Formats, register: Register, whole: Line, formulas: Mapping[str, str]
) -> None:
    """Write the sheet; ``formulas`` gives the live sums by what they give."""
    period = register.period
    sheet.set_column(0, 0, _LABEL_WIDTH)
    sheet.set_column(1, 1, _VALUE_WIDTH)
    write_cell(sheet, 0, 0, f"Period register {period_in_words(period)}", looks.title)
    facts: list[tuple[str, CellValue, Format]] = [
        ("Received from day to day, both included", period_in_words(period), looks.text),
        ("Closing date", period.closing, looks.day),
        ("Storage limit of the site (days)", period.storage_limit_days, looks.left_count),
    ]
    row = _CLOSING_ROW - 1
    for label, value, look in facts:
        write_cell(sheet, row, 0, label, looks.label)
        write_cell(sheet, row, 1, value, look)
        row += 1
    row = _sums(sheet, looks, whole, formulas, row + 1)
    inputs: tuple[tuple[str, CellValue], ...] = (
        ("Batches read, received earlier", register.before),
        ("Batches read, received later", register.after),
        ("Files left out", len(register.left_out)),
        ("Files counted once, same bytes", len(register.copies)),
    )
    row += 1
    for label, value in inputs:
        write_cell(sheet, row, 0, label, looks.label)
        write_cell(sheet, row, 1, value, looks.left_count)
        row += 1
    for label, text in (
        ("SHA-256 over the files read", register.inputs_sha256),
        ("Version", f"intake {register.version}"),
    ):
        write_cell(sheet, row, 0, label, looks.label)
        write_cell(sheet, row, 1, text, looks.text)
        row += 1
    for title, texts in (
        ("Before the figures are used", register_remarks(register)),
        ("Cautions", register.cautions),
    ):
        row = _texts(sheet, looks, title, texts, row + 1)


def _sums(sheet: Worksheet, looks: Formats, whole: Line, formulas: Mapping[str, str], row: int) -> int:
    """Write the live sums of the whole period and return the next free row."""
    yields = [_percent(whole.share_percent(grade)) for grade in (Grade.RESALE, Grade.UNRESOLVED)]
    sums: tuple[tuple[str, str, float | str, Format], ...] = (
        ("batches", "Batches", whole.batches, looks.left_count),
        ("count", "Batteries", whole.count, looks.left_count),
        ("mass", "Mass (kg)", in_kg(whole.mass_g), looks.left_kilograms),
        ("estimated", "of which estimated (kg)", in_kg(whole.mass_estimated_g), looks.left_kilograms),
        ("without", "Batteries without mass", whole.without_mass, looks.left_count),
        ("yield", "Resale yield (% of batteries)", yields[0], looks.left_percent),
        ("open", "Unresolved (% of batteries)", yields[1], looks.left_percent),
        (
            "wrong",
            "Expected wrong acceptances",
            round(whole.wrong_acceptances or 0.0, COUNT_DECIMALS),
            looks.left_probability,
        ),
    )
    for key, label, value, look in sums:
        write_cell(sheet, row, 0, label, looks.label)
        sheet.write_formula(row, 1, formulas[key], look, value)
        row += 1
    return row


def _percent(share: float | None) -> float | str:
    return "" if share is None else round(share, PERCENT_DECIMALS)


def _texts(sheet: Worksheet, looks: Formats, title: str, texts: tuple[str, ...], row: int) -> int:
    sheet.merge_range(row, 0, row, 1, "", looks.header)
    write_cell(sheet, row, 0, title, looks.header)
    for text in texts:
        row += 1
        sheet.merge_range(row, 0, row, 1, "", looks.text)
        write_cell(sheet, row, 0, text, looks.text)
        sheet.set_row(row, row_height_pt(lines_in_cell(text, _LABEL_WIDTH + _VALUE_WIDTH)))
    return row + 1
