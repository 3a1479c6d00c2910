"""The load workbook: what is graded, still here and fit to leave, to be ticked, packed and sent."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from io import BytesIO
from pathlib import Path
from textwrap import wrap
from typing import TYPE_CHECKING, Any

from intake.model.load import GradedSource, LoadedBattery
from intake.model.paper import Paper
from intake.policy.dictionary import Column, Form, Sheet, load_dictionary
from intake.workbook.blank.cell_entry import entry_rule
from intake.workbook.blank.column_notes import note_text, width_characters
from intake.workbook.blank.formats import FONT, FONT_SIZE, Look, cell_format, make_look
from intake.workbook.blank.new_file import refuse_existing, write_new_file

if TYPE_CHECKING:
    from xlsxwriter.workbook import Workbook
    from xlsxwriter.worksheet import Worksheet

_CREATED = datetime(2026, 1, 1)
"""Written into the file in place of today, so that its bytes never change."""
_TITLE_ROW, _LEGEND_ROW, _HEADER_ROW = 0, 1, 3
_ROW_POINTS, _HEADER_POINTS = 22, 42
_FREE_ROWS = {"packages": 60}
"""Rows with lines below what the tool fills in."""
_PAPER_NUMBER = {Paper.LETTER: 1, Paper.A4: 9}
_MARGINS_INCH = {"left": 0.4, "right": 0.4, "top": 0.5, "bottom": 0.6}
_LABEL_WIDTH, _VALUE_WIDTH, _HELP_WIDTH = 28, 40, 70
_FILLED_BY_HAND = frozenset({"in_this_load", "package", "mass_kg", "identified_as", "price", "note"})
"""Columns of ``Batteries`` that people write in; the others are the tool's."""
_GUIDE, _FIRST_STREAM = "Guide", 2
"""The sheet that nobody reads back, and its first row with a stream, from 0."""
_TOOL_FILL = "#ECEEF0"
_RECORD_WIDTH, _AROUND = 19, 2
_LINE_POINTS, _PADDING_POINTS = 13, 4
_WIDTHS = {
    "in_this_load": 6,
    "package": 9,
    "batch": 15,
    "tag": 9,
    "stream": 19,
    "chemistry": 9,
    "handling": 9,
    "evidence": 10,
    "mass_kg": 7,
    "mass_estimated": 9,
    "identified_as": 11,
    "price": 7,
    "note": 21,
}
"""Of the columns of ``Batteries`` in characters, so that they print across one page at a size that can be
read; longer texts wrap."""
_NOT_PRINTED = frozenset({"grade", "revision", "non_spillable_mark", "case_plastic", "record"})
"""The last columns of ``Batteries``, which all rows share or the load sheet tells."""
_LEGENDS = {
    "load": "One workbook is one load for one receiver. Fill in column B. Whether the load is lawful and"
    " safe, a trained person decides under the local rules.",
    "packages": "One row per drum, box or pallet. A package holds one stream.",
    "batteries": "Tick what leaves in the first column (yes or x) and write its package beside it."
    " Grey columns are the tool's: leave them as they are.",
    "receipt": "Fill this in when the receiver has answered, save, and write the load again.",
    "batches": "The graded batches behind this workbook. Leave this sheet as it is.",
}


def write_load_workbook(
    path: Path,
    *,
    head: Mapping[str, str],
    batteries: Sequence[LoadedBattery],
    sources: Sequence[GradedSource],
    streams: Mapping[str, str],
    paper: Paper = Paper.A4,
) -> None:
    """Write a load workbook with a row per battery, grouped by stream; never over an existing file.

    Parameters
    ----------
    head
        What is known of the ``Load`` sheet, by key.
    batteries
        In the order of their rows.
    sources
        The graded batches that they come from.
    streams
        Title of each waste stream by its key, for the list of streams.
    paper
        What its sheets are printed on.

    Raises
    ------
    FileExistsError
        something of that name is there already; it is left as it is.
    OSError
        the folder is missing, read-only or full.
    """
    refuse_existing(path)
    write_new_file(path, load_workbook_bytes(head, batteries, sources, streams, paper))


def load_workbook_bytes(
    head: Mapping[str, str],
    batteries: Sequence[LoadedBattery],
    sources: Sequence[GradedSource],
    streams: Mapping[str, str],
    paper: Paper = Paper.A4,
) -> bytes:
    """Return the load workbook as bytes."""
    from xlsxwriter import Workbook

    by_batch = {one.batch: one.results_sha256 for one in sources}
    sheets = load_dictionary("load").sheets
    target = BytesIO()
    font = {"font_name": FONT, "font_size": FONT_SIZE}
    options = {"in_memory": True, "default_format_properties": font, "strings_to_formulas": False}
    with Workbook(target, options) as workbook:
        workbook.set_properties({"title": "Load workbook", "author": "intake", "created": _CREATED})
        look = make_look(workbook)
        _write_fields(workbook, look, sheets["load"], head)
        used = dict.fromkeys(streams[one.stream] for one in batteries if one.stream)
        titles = list(used) or list(streams.values())
        listed = f"={_GUIDE}!$A${_FIRST_STREAM + 1}:$A${_FIRST_STREAM + len(titles)}"
        _write_list(workbook, look, sheets["packages"], [], choices={"stream": listed})
        rows = [_row(one, by_batch[one.batch], streams) for one in batteries]
        _write_list(workbook, look, sheets["batteries"], rows, by_hand=_FILLED_BY_HAND)
        _write_fields(workbook, look, sheets["receipt"], {})
        _write_list(workbook, look, sheets["batches"], [_source(one) for one in sources], by_hand=frozenset())
        _write_guide(workbook, look, titles)
        for page in workbook.worksheets():
            page.set_paper(_PAPER_NUMBER[paper])
    return target.getvalue()


def _row(one: LoadedBattery, results_sha256: str, streams: Mapping[str, str]) -> dict[str, Any]:
    return {
        "batch": one.batch,
        "tag": one.tag,
        "stream": streams[one.stream] if one.stream else None,
        "chemistry": one.chemistry.value,
        "grade": one.grade.value,
        "handling": one.handling.value,
        "evidence": one.evidence.value,
        "mass_kg": one.mass_kg,
        "mass_estimated": "yes" if one.mass_estimated else "no",
        "note": one.note,
        "revision": one.revision,
        "non_spillable_mark": "yes" if one.non_spillable_mark else "no",
        "case_plastic": one.case_plastic,
        "record": one.record(results_sha256),
    }


def _source(one: GradedSource) -> dict[str, Any]:
    return {"batch": one.batch, "revision": one.revision, "results_sha256": one.results_sha256}


def _title(page: "Worksheet", look: Look, sheet: Sheet) -> None:
    page.set_row(_TITLE_ROW, 24)
    page.write_string(_TITLE_ROW, 0, f"{sheet.name} sheet", look.title)
    page.write_string(_LEGEND_ROW, 0, _LEGENDS[sheet.key], look.legend)
    page.set_landscape()
    page.fit_to_pages(1, 0)
    page.set_margins(**_MARGINS_INCH)
    page.set_footer("&L&8&F, &A&R&8page &P of &N")
    page.set_default_row(_ROW_POINTS)


def _write_fields(workbook: "Workbook", look: Look, sheet: Sheet, known: Mapping[str, str]) -> None:
    """Write a sheet of fields: label, value, what to write."""
    page = workbook.add_worksheet(sheet.name)
    _title(page, look, sheet)
    page.set_column(0, 0, _LABEL_WIDTH)
    page.set_column(1, 1, _VALUE_WIDTH)
    page.set_column(2, 2, _HELP_WIDTH)
    for place, heading in enumerate(("Field", "Value", "What to write")):
        page.write_string(_HEADER_ROW - 1, place, heading, look.section)
    for row, column in enumerate(sheet.columns, start=_HEADER_ROW):
        look_of = cell_format(workbook, column, bordered=True, leading=True)
        page.write_string(row, 0, column.header, look.label_needed if column.needed else look.label)
        value = known.get(column.key)
        if value is None:
            page.write_blank(row, 1, None, look_of)
        else:
            page.write_string(row, 1, value, look_of)
        need = "Needed. " if column.needed else ""
        page.write_string(row, 2, f"{need}{column.help}", look.text)
        _add_rule(page, column, row, 1, row, "")
    page.freeze_panes(_HEADER_ROW, 0)


def _write_list(
    workbook: "Workbook",
    look: Look,
    sheet: Sheet,
    rows: Sequence[Mapping[str, Any]],
    *,
    by_hand: frozenset[str] | None = None,
    choices: Mapping[str, str] | None = None,
) -> None:
    """Write a list sheet; ``by_hand`` None: people write in every column."""
    page = workbook.add_worksheet(sheet.name)
    _title(page, look, sheet)
    page.set_row(_HEADER_ROW, _HEADER_POINTS)
    last = _HEADER_ROW + len(rows) + _FREE_ROWS.get(sheet.key, 0)
    widths = _WIDTHS if sheet.key == "batteries" else {}
    _make_room(page, rows, widths)
    for place, column in enumerate(sheet.columns):
        tools = by_hand is not None and column.key not in by_hand
        look_of = cell_format(workbook, column, bordered=True)
        if tools:
            look_of.set_bg_color(_TOOL_FILL)
        if column.key in widths:
            look_of.set_text_wrap()
        page.set_column(place, place, _width(column, rows, widths))
        heading = look.header_needed if column.needed and not tools else look.header
        page.write_string(_HEADER_ROW, place, column.header, heading)
        page.write_comment(_HEADER_ROW, place, note_text(column))
        for number in range(_HEADER_ROW + 1, last + 1):
            at = number - _HEADER_ROW - 1
            value = rows[at].get(column.key) if at < len(rows) else None
            _write_value(page, number, place, value, look_of)
        if not tools:
            listed = (choices or {}).get(column.key, "")
            _add_rule(page, column, _HEADER_ROW + 1, place, max(last, _HEADER_ROW + 1), listed)
    page.freeze_panes(_HEADER_ROW + 1, 0)
    page.repeat_rows(_HEADER_ROW)
    if rows:
        page.autofilter(_HEADER_ROW, 0, last, len(sheet.columns) - 1)
        printed = [place for place, column in enumerate(sheet.columns) if column.key not in _NOT_PRINTED]
        page.print_area(0, 0, last, printed[-1])


def _write_guide(workbook: "Workbook", look: Look, streams: Sequence[str]) -> None:
    """Write the streams that a package may hold, which its column offers; the sheet is never read back."""
    page = workbook.add_worksheet(_GUIDE)
    page.set_column(0, 0, _HELP_WIDTH)
    page.write_string(0, 0, "Waste streams", look.title)
    page.write_string(1, 0, "What the column Stream of the sheet Packages offers.", look.legend)
    for row, title in enumerate(streams, start=_FIRST_STREAM):
        page.write_string(row, 0, title, look.text)


def _width(column: Column, rows: Sequence[Mapping[str, Any]], widths: Mapping[str, int]) -> float:
    """Return the width of a column in characters: what the tool fills in stands in it, whole or wrapped."""
    if column.key == "record":
        return _RECORD_WIDTH
    if column.key in widths:
        return widths[column.key]
    own = width_characters(column)
    return max([own, *(len(str(row.get(column.key) or "")) + _AROUND for row in rows)])


def _make_room(page: "Worksheet", rows: Sequence[Mapping[str, Any]], widths: Mapping[str, int]) -> None:
    """Make each row as high as the longest of its texts."""
    for number, row in enumerate(rows, start=_HEADER_ROW + 1):
        texts = ((str(row.get(key) or ""), width) for key, width in widths.items())
        lines = max((len(wrap(text, width - 1)) for text, width in texts), default=1)
        if lines > 1:
            page.set_row(number, max(_ROW_POINTS, lines * _LINE_POINTS + _PADDING_POINTS))


def _write_value(page: "Worksheet", row: int, place: int, value: Any, look_of: Any) -> None:
    if value is None:
        page.write_blank(row, place, None, look_of)
    elif isinstance(value, str):
        page.write_string(row, place, value, look_of)
    else:
        page.write_number(row, place, value, look_of)


def _add_rule(page: "Worksheet", column: Column, first: int, place: int, last: int, choices: str) -> None:
    """Put a validation on the cells of a column; ``choices``: where they stand, empty for its own."""
    listed = {"validate": "list", "source": choices, "error_type": "warning"}
    rule = listed if choices else entry_rule(column)
    if rule is not None and column.form is not Form.MONEY:
        page.data_validation(first, place, last, place, rule)
