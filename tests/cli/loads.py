"""Load workbooks filled in as a person would, for the tests of the commands around loads."""

from pathlib import Path

import openpyxl

from intake.policy.waste_streams import stream_named

HEAD = {
    "Load": "L-1",
    "Site": "Yard 2",
    "Jurisdiction": "EU",
    "Consignee": "Receiver 3",
    "Date": "2026-06-12",
    "Prepared by": "Officer 1",
}


def fill_in(path, target, *, head=None, tags=None, packages=None, **receipt):
    """Tick tags (all where none are named), pack them, fill in the fields.

    ``packages`` gives package and gross mass by tag; without it each stream is packed by itself.
    """
    book = openpyxl.load_workbook(path)
    _fields(book["Load"], {**HEAD, **(head or {})})
    _fields(book["Receipt"], receipt)
    rows = book["Batteries"]
    at = _columns(rows)
    used: dict[str, tuple[str, float]] = {}
    for row in rows.iter_rows(min_row=_header(rows) + 1):
        tag, stream = row[at["Tag"]].value, row[at["Stream"]].value
        if tag is None or (tags is not None and tag not in tags):
            continue
        row[at["In this load"]].value = "x"
        name, gross = (packages or {}).get(tag, (f"P {stream_named(stream or '')}".replace(" ", "-"), 900))
        if stream is not None:
            row[at["Package"]].value = name
            used[name] = (stream, float(gross))
    sheet = book["Packages"]
    for number, (name, (stream, gross)) in enumerate(used.items(), start=_header(sheet) + 1):
        for column, value in enumerate((name, "plastic box", stream, gross), start=1):
            sheet.cell(number, column).value = value
    book.save(target)
    return Path(target)


def tags_in(path):
    """Return the tags that a load workbook offers."""
    rows = openpyxl.load_workbook(path)["Batteries"]
    at = _columns(rows)["Tag"]
    return [row[at].value for row in rows.iter_rows(min_row=_header(rows) + 1) if row[at].value]


def _header(sheet):
    return next(
        row[0].row for row in sheet.iter_rows(max_row=10) if row[0].value in ("In this load", "Package")
    )


def _columns(sheet):
    return {cell.value: cell.column - 1 for cell in sheet[_header(sheet)]}


def _fields(sheet, values):
    for row in sheet.iter_rows():
        if row[0].value in values:
            row[1].value = values[row[0].value]
