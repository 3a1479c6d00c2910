"""``load.xlsx``: what left the yard, one row a battery, for the office."""

from datetime import datetime, time
from pathlib import Path

from xlsxwriter.workbook import Workbook

from intake.model.load import Load, LoadedBattery, LoadTotal, LoadTotals
from intake.model.paper import Paper
from intake.report.xlsx.book import Formats, ListColumn, formats_of, set_up_print, write_list
from intake.report.xlsx.new_book import new_book


def write_load_list(load: Load, totals: LoadTotals, path: Path, *, paper: Paper) -> None:
    """Write the workbook of a load: the same bytes for the same load, whatever the day.

    Raises
    ------
    OSError
        The file cannot be written.
    """
    with new_book(path) as book:
        _fill(book, load, totals, paper)


def _fill(book: Workbook, load: Load, totals: LoadTotals, paper: Paper) -> None:
    head = load.head
    book.set_properties(
        {
            "title": f"Load {head.load}",
            "subject": f"{totals.all.count} batteries to {head.consignee}",
            "author": "intake",
            "created": datetime.combine(head.date, time()),
        }
    )
    looks = formats_of(book)
    batteries, sums = book.add_worksheet("Batteries"), book.add_worksheet("Streams")
    write_list(batteries, _columns(looks), load.batteries, looks)
    write_list(sums, _sum_columns(looks), list(totals.by_stream.items()), looks)
    for sheet in (batteries, sums):
        set_up_print(sheet, paper=paper, batch=f"Load {head.load}", landscape=True, repeat_header=True)


def _columns(looks: Formats) -> tuple[ListColumn[LoadedBattery], ...]:
    text = looks.text
    return (
        ListColumn("Tag", 14, looks.strong, lambda one: one.tag),
        ListColumn("Batch", 20, text, lambda one: one.batch),
        ListColumn("Revision", 9, looks.count, lambda one: one.revision, figure=True),
        ListColumn("Package", 11, text, lambda one: one.package),
        ListColumn("Stream", 24, text, lambda one: one.stream),
        ListColumn("Chemistry", 14, text, lambda one: one.chemistry.value),
        ListColumn("Grade", 20, text, lambda one: one.grade.value),
        ListColumn("Handling", 11, text, lambda one: one.handling.value),
        ListColumn("Evidence", 12, text, lambda one: one.evidence.value),
        ListColumn("Mass (kg)", 10, looks.kilograms, lambda one: one.mass_kg, figure=True),
        ListColumn("Estimated", 11, text, lambda one: "yes" if one.mass_estimated else "no"),
        ListColumn("Identified as", 22, text, lambda one: one.identified_as),
        ListColumn("Price", 11, text, lambda one: one.price),
        ListColumn("Note", 34, text, lambda one: one.note),
    )


def _sum_columns(looks: Formats) -> tuple[ListColumn[tuple[str, LoadTotal]], ...]:
    return (
        ListColumn("Stream", 30, looks.strong, lambda one: one[0] or "not waste"),
        ListColumn("Batteries", 11, looks.count, lambda one: one[1].count, figure=True),
        ListColumn("Net (kg)", 11, looks.kilograms, lambda one: one[1].net_kg, figure=True),
        ListColumn("Estimated (kg)", 13, looks.kilograms, lambda one: one[1].net_estimated_kg, figure=True),
        ListColumn("Without mass", 11, looks.count, lambda one: one[1].without_mass, figure=True),
    )
