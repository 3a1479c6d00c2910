"""The rows of a list sheet that hold something, each cell under its column."""

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from intake.checks.cells.cell_text import cell_text, counted, is_blank
from intake.checks.cells.placeholders import blank_note, stands_for_nothing
from intake.checks.find_columns import FoundColumn, SheetColumns
from intake.checks.finding_log import FindingLog, Spot
from intake.model.raw_workbook import RawCell, RawSheet


class RowPlace(NamedTuple):
    """Where a row under the headers stands, and which of its cells hold something."""

    number: int
    filled: tuple[str, ...]
    """Slots, in the order of the columns that were found."""
    columns: Mapping[str, FoundColumn]

    def spot(self, slot: str, tag: str = "") -> Spot:
        """Return the place of a cell of this row, whether it is filled in or not."""
        found = self.columns[slot]
        return Spot(self.number, found.number, tag, found.column.header)


class ListRow(NamedTuple):
    """One row under the headers: its cells that are not blank, by slot."""

    place: RowPlace
    cells: Mapping[str, RawCell]


def list_rows(sheet: RawSheet, columns: SheetColumns, log: FindingLog) -> Iterator[ListRow]:
    """Yield the rows below the headers that hold something in a known column.

    Blank rows are skipped in silence; rows with something in other columns alone are counted in a note,
    once the last row was asked for.
    """
    shapes: dict[tuple[str, ...], tuple[str, ...]] = {}
    foreign: list[int] = []
    for row in sheet.rows:
        if row.number <= columns.header_row:
            continue
        filled = {number: cell for number, cell in row.cells.items() if not is_blank(cell)}
        cells = {
            slot: filled[found.number] for slot, found in columns.by_slot.items() if found.number in filled
        }
        tag = cell_text(cells["tag"].value).strip() if "tag" in cells else ""
        for slot in [
            slot for slot, cell in cells.items() if stands_for_nothing(cell, columns.by_slot[slot].column)
        ]:
            found = columns.by_slot[slot]
            log.note(*blank_note(cells.pop(slot)), Spot(row.number, found.number, tag, found.column.header))
        if cells:
            shape = tuple(cells)
            yield ListRow(RowPlace(row.number, shapes.setdefault(shape, shape), columns.by_slot), cells)
        elif filled:
            foreign.append(row.number)
    if foreign:
        log.note(
            f"{counted(len(foreign), 'row')} skipped, with nothing in a known column; the first is row"
            f" {foreign[0]}.",
            "Nothing to do if no battery stands there.",
            Spot(foreign[0]),
        )


def note_hidden(sheet: RawSheet, rows: list[RowPlace], log: FindingLog) -> None:
    """Note how many of the rows are hidden."""
    hidden = [row.number for row in rows if row.number in sheet.hidden_rows]
    if hidden:
        how = " by a filter" if sheet.filtered else ""
        verb, pronoun = ("is", "it still counts") if len(hidden) == 1 else ("are", "they still count")
        log.note(
            f"{counted(len(hidden), 'row')} {verb} hidden{how}; {pronoun}.",
            "Delete what does not belong to the batch.",
            Spot(hidden[0]),
        )
