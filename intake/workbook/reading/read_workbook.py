"""An .xlsx file in, located raw cells out: guarded, read once, nothing judged."""

import hashlib
import warnings
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

from intake.model.raw_workbook import RawCell, RawRow, RawSheet, RawWorkbook, WorkbookRefused
from intake.policy.dictionary import load_dictionary
from intake.workbook.reading.archive_guard import GuardedArchive, guard_archive
from intake.workbook.reading.file_kind import NO_WORKSHEET, SAVE_AS_XLSX, read_content, refuse_other_kinds
from intake.workbook.reading.limits import CELLS_MOST, COLUMNS_MOST, ROWS_MOST
from intake.workbook.reading.open_book import OpenBook, SheetPlace, open_book
from intake.workbook.reading.part_scan import WORKSHEET
from intake.workbook.reading.read_rows import read_rows
from intake.workbook.reading.sheet_scan import SAVE_AGAIN, SheetFacts

_NO_GRID = ("dialogsheet", "macrosheet")
"""Sheets of other kinds that the library lists among the worksheets; they hold no rows."""


def read_workbook(path: Path, *, only: str | None = None, workbook: str = "batch") -> RawWorkbook:
    """Read the sheets that a column dictionary names; of other worksheets only the name.

    Cells and rows that hold nothing are left out. Numbers, dates and texts come as the file has them.

    Parameters
    ----------
    only
        the dictionary's key of the one sheet to read, for a first look; None: all of them.
    workbook
        the dictionary: ``batch`` or ``load``.

    Raises
    ------
    WorkbookRefused
        the file cannot be read as an intake workbook; nothing else is raised for a bad file.
    """
    content = read_content(path)
    refuse_other_kinds(content)
    return read_guarded(path.name, content, guard_archive(content), only=only, workbook=workbook)


def read_guarded(
    name: str,
    content: bytes,
    guarded: GuardedArchive,
    *,
    only: str | None = None,
    workbook: str = "batch",
) -> RawWorkbook:
    """Return what `read_workbook` does of a workbook that is held in memory and passed the guard."""
    sheets_wanted = load_dictionary(workbook).sheets.values()
    wanted = {_plain(sheet.name) for sheet in sheets_wanted if only in (None, sheet.key)}
    try:
        with _silenced():
            sheets = _read_sheets(open_book(content), guarded, wanted)
    except WorkbookRefused:
        raise
    except Exception as error:
        raise WorkbookRefused(
            "The workbook is damaged: its parts do not fit together.", SAVE_AGAIN
        ) from error
    return RawWorkbook(name, hashlib.sha256(content).hexdigest(), sheets)


@contextmanager
def _silenced() -> Iterator[None]:
    """Keep what the library prints and warns of from the user's terminal."""
    with warnings.catch_warnings(), redirect_stdout(StringIO()), redirect_stderr(StringIO()):
        warnings.simplefilter("ignore")
        yield


def _read_sheets(book: OpenBook, guarded: GuardedArchive, wanted: set[str]) -> tuple[RawSheet, ...]:
    names = tuple(sheet.name for sheet in book.sheets)
    if names not in guarded.sheet_lists:
        raise WorkbookRefused("The workbook lists a sheet that is not in the file.", SAVE_AGAIN)
    _refuse_same_names(names)
    found = [(sheet, facts) for sheet in book.sheets if (facts := _facts(sheet, guarded))]
    if not found:
        raise WorkbookRefused(*NO_WORKSHEET)
    read = [(sheet, facts) for sheet, facts in found if _plain(sheet.name) in wanted]
    _refuse_size(read)
    _refuse_no_number(read)
    rows = {sheet.name: tuple(read_rows(book, sheet, facts)) for sheet, facts in read}
    return tuple(_raw_sheet(sheet.name, rows.get(sheet.name, ()), facts) for sheet, facts in found)


def _plain(name: str) -> str:
    return name.strip().casefold()


def _refuse_same_names(names: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if _plain(name) in seen:
            raise WorkbookRefused(f"Two sheets are called {name.strip()!r}.", "Delete or rename one of them.")
        seen.add(_plain(name))


def _facts(sheet: SheetPlace, guarded: GuardedArchive) -> SheetFacts | None:
    """Return what the guard saw of a sheet; None for a sheet without a grid."""
    if sheet.is_chart:
        return None
    part = guarded.parts.get(sheet.part)
    if part and part.root == WORKSHEET:
        return part.sheet
    if part and part.root.split()[-1] in _NO_GRID:
        return None
    raise WorkbookRefused(
        f"Sheet {sheet.name!r} is stored in a variant of the format that cannot be read.", SAVE_AS_XLSX
    )


def _refuse_size(read: list[tuple[SheetPlace, SheetFacts]]) -> None:
    remedy = "Delete what does not belong to the intake, or split the batch."
    for sheet, facts in read:
        if facts.last_row > ROWS_MOST:
            raise WorkbookRefused(
                f"Sheet {sheet.name!r} has a value in row {facts.last_row:,},"
                f" and at most {ROWS_MOST:,} rows are read.",
                remedy,
            )
        if facts.last_column > COLUMNS_MOST:
            raise WorkbookRefused(
                f"Sheet {sheet.name!r} has a value in column {facts.last_column:,} from the left,"
                f" and at most {COLUMNS_MOST} columns are read.",
                remedy,
            )
    cells = sum(facts.value_cells for _, facts in read)
    if cells > CELLS_MOST:
        raise WorkbookRefused(
            f"The workbook has {cells:,} filled cells, and at most {CELLS_MOST:,} are read.", remedy
        )


def _refuse_no_number(read: list[tuple[SheetPlace, SheetFacts]]) -> None:
    for sheet, facts in read:
        if facts.no_number:
            cell = RawCell(*facts.no_number, None).ref
            raise WorkbookRefused(
                f"Sheet {sheet.name!r} has a cell {cell} that is marked as a number and holds none.",
                "Type the number again, or empty the cell, and save the workbook.",
            )


def _raw_sheet(name: str, rows: tuple[RawRow, ...], facts: SheetFacts) -> RawSheet:
    hidden = facts.hidden_rows.intersection(row.number for row in rows)
    return RawSheet(name, rows, hidden, facts.filtered)
