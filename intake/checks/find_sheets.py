"""Which sheets of a workbook are those of its dictionary; others are noted once."""

from pathlib import Path
from typing import NamedTuple

from intake.checks.cells.cell_text import quoted
from intake.checks.finding_log import FindingLog
from intake.model.finding import FINDINGS_SHEET
from intake.model.raw_workbook import RawSheet, RawWorkbook
from intake.policy.dictionary import Sheet, load_dictionary

GUIDE_SHEET = "Guide"
"""How to fill in the workbook; never read back."""
_NEVER_READ = frozenset({GUIDE_SHEET.casefold(), FINDINGS_SHEET.casefold()})


class Place(NamedTuple):
    """A sheet of the dictionary in this workbook."""

    wanted: Sheet
    raw: RawSheet
    log: FindingLog


def find_sheets(
    raw: RawWorkbook, log: FindingLog, *, workbook: str, rules_folder: Path | None = None
) -> dict[str, Place]:
    """Return the sheets by the dictionary's key; note the others once, reject where one is missing."""
    dictionary = load_dictionary(workbook, rules_folder=rules_folder)
    wanted = {sheet.name.casefold(): sheet for sheet in dictionary.sheets.values()}
    places: dict[str, Place] = {}
    foreign: list[str] = []
    for order, sheet in enumerate(raw.sheets, start=1):
        name = sheet.name.strip().casefold()
        known = wanted.get(name)
        if known is not None and known.key not in places:
            places[known.key] = Place(known, sheet, FindingLog(sheet.name, order))
        elif name not in _NEVER_READ:
            foreign.append(sheet.name)
    if foreign:
        log.note(
            f"Ignored, as their names are not known: {', '.join(quoted(name) for name in foreign)}.",
            "Nothing to do if the sheets are the site's own.",
        )
    for sheet_wanted in wanted.values():
        if sheet_wanted.needed and sheet_wanted.key not in places:
            log.reject(
                f'The sheet "{sheet_wanted.name}" is missing.',
                f'Name the sheet "{sheet_wanted.name}", or start from the blank workbook.',
            )
    return places
