"""``load.xlsx``: what left the yard, one row a battery, for the office."""

from datetime import datetime, time
from pathlib import Path

from xlsxwriter.workbook import Workbook

from intake.model.load import Load, LoadedBattery, LoadTotal, LoadTotals
from intake.model.paper import Paper
from intake.policy.waste_streams import stream_in_words
from intake.report.xlsx.book import Formats, ListColumn, formats_of, set_up_print, write_list
from intake.report.xlsx.new_book import new_book

_LAST_PRINTED = "Note"
"""The columns after it stay off the paper, so that the others print at a size that can be read."""


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
    columns = _columns(looks)
    write_list(batteries, columns, load.batteries, looks)
    last = [one.header for one in columns].index(_LAST_PRINTED)
    batteries.print_area(0, 0, len(load.batteries), last)
    write_list(sums, _sum_columns(looks), list(totals.by_stream.items()), looks)
    for sheet in (batteries, sums):
        set_up_print(sheet, paper=paper, batch=f"Load {head.load}", landscape=True, repeat_header=True)


def _columns(looks: Formats) -> tuple[ListColumn[LoadedBattery], ...]:
    text = looks.text
    return (
        ListColumn("Tag", 9, looks.strong, lambda one: one.tag),
        ListColumn("Package", 12, text, lambda one: one.package),
        ListColumn("Batch", 16, text, lambda one: one.batch),
        ListColumn("Stream", 20, text, lambda one: stream_in_words(one.stream)),
        ListColumn("Chemistry", 10, text, lambda one: one.chemistry.value),
        ListColumn("Handling", 9, text, lambda one: one.handling.value),
        ListColumn("Evidence", 10, text, lambda one: one.evidence.value),
        ListColumn("Mass (kg)", 8, looks.kilograms, lambda one: one.mass_kg, figure=True),
        ListColumn("Estimated", 10, text, lambda one: "yes" if one.mass_estimated else "no"),
        ListColumn("Identified as", 12, text, lambda one: one.identified_as),
        ListColumn("Price", 7, text, lambda one: one.price),
        ListColumn(_LAST_PRINTED, 20, text, lambda one: one.note),
        ListColumn("Grade", 20, text, lambda one: one.grade.value),
        ListColumn("Revision", 9, looks.count, lambda one: one.revision, figure=True),
    )


def _sum_columns(looks: Formats) -> tuple[ListColumn[tuple[str, LoadTotal]], ...]:
    return (
        ListColumn(
            "Stream", 40, looks.strong, lambda one: stream_in_words(one[0], none="in no waste stream")
        ),
        ListColumn("Batteries", 11, looks.count, lambda one: one[1].count, figure=True),
        ListColumn("Net (kg)", 11, looks.kilograms, lambda one: one[1].net_kg, figure=True),
        ListColumn("Estimated (kg)", 13, looks.kilograms, lambda one: one[1].net_estimated_kg, figure=True),
        ListColumn("Without mass", 11, looks.count, lambda one: one[1].without_mass, figure=True),
    )
