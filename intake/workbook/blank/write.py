"""The blank intake workbook, the same bytes every time, and never over an existing file."""

from datetime import datetime
from io import BytesIO
from pathlib import Path

from intake.policy.dictionary import load_dictionary
from intake.policy.guide_text import load_guide_text
from intake.policy.short_form import SHORT_ROWS, short_dictionary
from intake.workbook.blank.batch_sheet import write_batch_sheet
from intake.workbook.blank.formats import FONT, FONT_SIZE, make_look
from intake.workbook.blank.guide_sheet import write_guide_sheet
from intake.workbook.blank.list_sheet import ListLayout, write_list_sheet
from intake.workbook.blank.new_file import refuse_existing, write_new_file

_CREATED = datetime(2026, 1, 1)
"""Written into the file in place of today, so that its bytes never change."""


def write_blank_workbook(path: Path, *, rules_folder: Path | None = None, short: bool = False) -> None:
    """Write a blank workbook: Batch, Batteries, Hold readings, Prices and Guide, or the short form of it.

    It is written under a passing name in the same folder first, so that no half-written file is ever left.

    Raises
    ------
    FileExistsError
        something of that name is there already; it is left as it is.
    OSError
        the folder is missing, read-only or full.
    """
    refuse_existing(path)
    write_new_file(path, blank_workbook_bytes(rules_folder, short=short))


def blank_workbook_bytes(rules_folder: Path | None = None, *, short: bool = False) -> bytes:
    """Return the blank workbook, or its short form, as bytes.

    A site's own rule data add to the jurisdictions to choose from.
    """
    from xlsxwriter import Workbook

    dictionary, guide = load_dictionary(rules_folder=rules_folder), load_guide_text()
    if short:
        dictionary = short_dictionary(dictionary, guide)
    target = BytesIO()
    font = {"font_name": FONT, "font_size": FONT_SIZE}
    with Workbook(target, {"in_memory": True, "default_format_properties": font}) as workbook:
        workbook.set_properties({"title": "Intake workbook", "author": "intake", "created": _CREATED})
        look = make_look(workbook)
        rows = ListLayout(guide.groups, example=True, one_page_rows=SHORT_ROWS if short else None)
        for key, sheet in dictionary.sheets.items():
            if key == "batch":
                write_batch_sheet(workbook, look, sheet, guide.legends[key])
            else:
                layout = rows if key == "batteries" else ListLayout()
                write_list_sheet(workbook, look, sheet, guide.legends[key], layout)
        write_guide_sheet(workbook, look, dictionary, guide)
    return target.getvalue()
