"""The ``Batteries`` sheet: one draft per row, every cell read, each row's rules applied."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from intake.checks.battery_draft import BatteryDraft
from intake.checks.cells.cca_standard import split_standard
from intake.checks.cells.cell_text import quoted
from intake.checks.cells.dates import ANY_DAY, DateOrder, DateSpan
from intake.checks.cells.parsed_cell import AS_MEANT, Unreadable
from intake.checks.cells.read_cell import read_cell
from intake.checks.cells.read_text import YES_NO, fill_in
from intake.checks.clock_hours import work_out_hours
from intake.checks.finding_log import EMPTY_CELL, NO_TAG, FindingLog, Spot
from intake.checks.list_rows import ListRow
from intake.checks.row_rules import check_row
from intake.model.battery import Chemistry
from intake.model.finding import Severity
from intake.model.raw_workbook import CellKind, RawCell
from intake.policy.dictionary import Column

_ONLY_ON = {
    "specific_gravity": (Chemistry.FLOODED, "A specific gravity counts for flooded batteries only"),
    "cell_voltages_v": (Chemistry.LFP, "A cell voltage counts for LFP batteries only"),
    "bms_reset_tried": (Chemistry.LFP, "A protection circuit (BMS) belongs to LFP batteries only"),
}
"""Columns that one chemistry alone has."""
_PLACES_NAMED = 5
_STANDARD = "cca_standard"


def read_battery_rows(
    rows: Iterable[ListRow],
    log: FindingLog,
    *,
    date_order: DateOrder | None,
    reading_day: date | None = None,
    days: DateSpan = ANY_DAY,
) -> list[BatteryDraft]:
    """Return one draft per row; what cannot be used is left out of it and found in the log.

    Parameters
    ----------
    reading_day
        the day of a clock time that was written without one.
    days
        from Received to Ship date: what an ambiguous date can be.
    """
    drafts = [_read_row(row, log, date_order, reading_day, days) for row in rows if not _is_heading(row, log)]
    _fail_twin_tags(drafts, log)
    return drafts


def for_chemistry(column: Column, chemistry: Chemistry) -> Column:
    """Return the column with the limits that hold for a chemistry."""
    if chemistry is Chemistry.LFP and column.lfp_maximum is not None:
        return column._replace(maximum=column.lfp_maximum)
    return column


def _read_row(
    row: ListRow, log: FindingLog, date_order: DateOrder | None, reading_day: date | None, days: DateSpan
) -> BatteryDraft:
    draft = BatteryDraft(row.place, tag=f"row {row.place.number}")
    _read_tag(draft, row.cells, log)
    chemistry = _read_slot(draft, row.cells, "chemistry", log, date_order, days)
    if chemistry is not None:
        draft.chemistry = Chemistry(chemistry)
        draft.chemistry_was_read = True
    unused = _unused_keys(draft, log)
    cells = dict(row.cells)
    standards = _take_standards(draft, cells)
    for slot, found in row.place.columns.items():
        if slot not in ("tag", "chemistry") and found.column.key not in unused:
            value = _read_slot(draft, cells, slot, log, date_order, days)
            if value is not None:
                draft.values[slot] = value
    _fill_standard(draft, standards, log)
    work_out_hours(draft, log, reading_day=reading_day)
    check_row(draft, log)
    return draft


def _is_heading(row: ListRow, log: FindingLog) -> bool:
    """Return whether a row holds nothing but words that are no tag; it is asked about, once."""
    if row.place.filled != ("tag",):
        return False
    cell = row.cells["tag"]
    outcome = read_cell(cell, row.place.columns["tag"].column)
    words = cell.kind is CellKind.VALUE and isinstance(cell.value, str)
    if not words or not isinstance(outcome, Unreadable):
        return False
    log.add(
        Severity.ERROR,
        f"Row {row.place.number} holds nothing but {quoted(cell.value)}, which is no tag: a heading? It"
        " counts as no battery.",
        "Clear it, or fill in the row if there is a battery.",
        row.place.spot("tag"),
    )
    return True


def _read_tag(draft: BatteryDraft, cells: Mapping[str, RawCell], log: FindingLog) -> None:
    """Read the tag first: every other finding of the row carries it."""
    if "tag" not in draft.row.columns:
        return
    cell = cells.get("tag")
    column = draft.row.columns["tag"].column
    if cell is None:
        hint = "Write a tag on the battery and here, or empty the row if there is no battery."
        draft.fail(NO_TAG, hint, draft.row.spot("tag", draft.tag), log)
        return
    outcome = read_cell(cell, column)
    if isinstance(outcome, Unreadable):
        draft.fail(outcome.message, outcome.hint, draft.row.spot("tag", draft.tag), log)
        return
    draft.tag, draft.tag_was_read = str(outcome.value), True
    log.remark(outcome.remarks, draft.row.spot("tag", draft.tag))


def _read_slot(
    draft: BatteryDraft,
    cells: Mapping[str, RawCell],
    slot: str,
    log: FindingLog,
    date_order: DateOrder | None,
    days: DateSpan,
) -> Any:
    """Return the value under a slot; None where it is blank or cannot be used."""
    found = draft.row.columns.get(slot)
    if found is None:
        return None
    spot = draft.row.spot(slot, draft.tag)
    cell = cells.get(slot)
    if cell is None:
        if found.column.needed:
            draft.fail(EMPTY_CELL, fill_in(found.column), spot, log)
        return None
    column = for_chemistry(found.column, draft.chemistry)
    span = _span(slot, days)
    outcome = read_cell(cell, column, header_unit=found.header_unit, date_order=date_order, span=span)
    if isinstance(outcome, Unreadable):
        _fault(draft, column, outcome, spot, log)
        return None
    log.remark(outcome.remarks, spot)
    return outcome.value == YES_NO[0] if column.choices == YES_NO else outcome.value


def _span(slot: str, days: DateSpan) -> DateSpan:
    """Return the days that a date of a row can be; a charge or a make may be older than Received."""
    if slot == "made":
        return DateSpan(latest=days.earliest)
    return days if slot.endswith("_read_at") else DateSpan(latest=days.latest)


def _take_standards(draft: BatteryDraft, cells: dict[str, RawCell]) -> dict[str, str]:
    """Leave the figure alone in each cell that holds a standard as well; return the standards by slot."""
    standards = {}
    for slot, cell in tuple(cells.items()):
        split = split_standard(cell) if draft.row.columns[slot].column.standard else None
        if split is not None:
            cells[slot] = split.cell
            standards[slot] = split.standard
    return standards


def _fill_standard(draft: BatteryDraft, standards: Mapping[str, str], log: FindingLog) -> None:
    """Fill the standard that stood beside a figure, and warn where another one is written."""
    for slot, standard in standards.items():
        written = draft.values.setdefault(_STANDARD, standard)
        spot = draft.row.spot(slot, draft.tag)
        if written != standard:
            log.warn(
                f"The figure is by {standard} and {written} is written elsewhere in the row: currents by two"
                " standards cannot be compared.",
                "Write both figures by the same standard.",
                spot,
            )
        elif _STANDARD not in draft.row.filled:
            log.note(f"The standard {standard} was read beside the figure.", AS_MEANT, spot)


def _fault(draft: BatteryDraft, column: Column, unreadable: Unreadable, spot: Spot, log: FindingLog) -> None:
    if column.needed or column.decisive:
        draft.fail(unreadable.message, unreadable.hint, spot, log)
    else:
        log.warn_blank(unreadable, spot)


def _unused_keys(draft: BatteryDraft, log: FindingLog) -> set[str]:
    """Return the keys that the row's chemistry does not have, each warned of once if filled in."""
    unused = set()
    for key, (chemistry, sentence) in _ONLY_ON.items():
        if draft.chemistry is chemistry:
            continue
        unused.add(key)
        filled = [slot for slot in draft.row.filled if draft.row.columns[slot].column.key == key]
        if filled and draft.chemistry_was_read:
            log.warn(
                f"{sentence}; this one is {draft.chemistry.value}. It is not used.",
                "Correct the chemistry if it is wrong, or empty the cell.",
                draft.row.spot(filled[0], draft.tag),
            )
    return unused


def _fail_twin_tags(drafts: list[BatteryDraft], log: FindingLog) -> None:
    for same in _by_tag(drafts).values():
        for draft in same:
            if len(same) > 1:
                draft.fail(
                    f'The tag "{same[0].tag}" stands in {_cells(same)}.',
                    "Give each battery a tag of its own, on the battery and here.",
                    draft.row.spot("tag", draft.tag),
                    log,
                )


def _cells(same: Sequence[BatteryDraft]) -> str:
    """Return the cells of a tag, the same words for each of them, so that they are found once."""
    named = [one.row.spot("tag").cell for one in same[:_PLACES_NAMED]]
    if len(same) > len(named):
        return f"{', '.join(named)} and {len(same) - len(named)} more cells"
    return f"{', '.join(named[:-1])} and {named[-1]}"


def _by_tag(drafts: list[BatteryDraft]) -> Mapping[str, list[BatteryDraft]]:
    same: defaultdict[str, list[BatteryDraft]] = defaultdict(list)
    for draft in drafts:
        if draft.tag_was_read:
            same[draft.tag.casefold()].append(draft)
    return same
