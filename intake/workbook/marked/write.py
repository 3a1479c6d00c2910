"""A copy of a workbook with each finding marked at its cell and listed on a first sheet.

The copy is made part by part in the archive, not by reading and saving: no saved value of a formula,
no picture and no chart is lost on the way. Macros and signatures are left out, and the list says so.
"""

import errno
import hashlib
import os
import re
from collections.abc import Mapping, Sequence
from itertools import islice
from pathlib import Path

from intake.model.finding import FINDINGS_SHEET, Finding, Severity
from intake.model.like_findings import gravest_first
from intake.model.raw_workbook import RawCell, WorkbookRefused
from intake.workbook.blank.new_file import refuse_existing, write_new_file
from intake.workbook.marked.cell_looks import NO_STYLES, Looks, add_looks
from intake.workbook.marked.findings_list import LIST_TITLE, list_sheet
from intake.workbook.marked.notes import (
    NO_DRAWING,
    NO_NOTES,
    NOTE_SIGN,
    NOTES_MOST,
    with_boxes,
    with_notes,
)
from intake.workbook.marked.package import Package
from intake.workbook.marked.part_text import plain_note
from intake.workbook.marked.sheet import SheetText, with_marks
from intake.workbook.marked.still_there import still_there
from intake.workbook.marked.workbook_part import (
    STYLES_TYPE,
    ListedSheet,
    drop_what_runs,
    find_book,
    listed_sheets,
    place_list,
)
from intake.workbook.reading.archive_guard import GuardedArchive, guard_archive
from intake.workbook.reading.file_kind import read_content
from intake.workbook.reading.read_workbook import read_guarded

_NOTES_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.comments+xml"
_DRAWING_TYPE = "application/vnd.openxmlformats-officedocument.vmlDrawing"
_STYLES_PART = "xl/styles.xml"
"""Where most programs look, whatever the workbook points to."""
_ENCODING = re.compile(rb"""<\?xml[^>]*\sencoding=["']([\w-]+)""")
_READABLE_AS_BYTES = frozenset({b"utf-8", b"us-ascii", b"ascii"})
_CELL = re.compile(r"([A-Z]+)([0-9]+)")

Place = tuple[int, int]
"""Row and column of a cell, from 1."""


class MarkedCopyRefused(Exception):
    """No marked copy can be made of this workbook. ``str()`` is one plain sentence for the user."""


def marked_copy_path(workbook: Path, folder: Path) -> Path:
    """Return where the marked copy of a workbook goes: its own name, always as an .xlsx."""
    return folder / f"{workbook.stem}.xlsx"


def write_marked_copy(
    workbook: Path, target: Path, findings: Sequence[Finding], *, sha256: str, overwrite: bool = False
) -> None:
    """Write a copy of a workbook with these findings marked; marks of an earlier run are taken out.

    Parameters
    ----------
    sha256
        of the workbook as it was checked; a file that has changed since is not marked.
    overwrite
        replace a file that is there already; the workbook itself is never replaced.

    Raises
    ------
    MarkedCopyRefused
        the workbook cannot be marked.
    FileExistsError
        something of the target's name is there already and stays.
    OSError
        the copy could not be written; nothing half-written is left.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
    except FileExistsError as problem:
        raise NotADirectoryError(errno.ENOTDIR, os.strerror(errno.ENOTDIR), problem.filename) from problem
    if target.exists() and target.samefile(workbook):
        raise MarkedCopyRefused("The marked copy would replace the workbook itself; name another folder.")
    if not overwrite:
        refuse_existing(target)
    write_new_file(target, _marked(workbook, findings, sha256), overwrite=overwrite)


def _marked(workbook: Path, findings: Sequence[Finding], sha256: str) -> bytes:
    try:
        content = read_content(workbook)
        if hashlib.sha256(content).hexdigest() != sha256:
            raise MarkedCopyRefused("The workbook was changed while it was checked; check it again.")
        guarded = guard_archive(content)
        held = _held(workbook.name, content, guarded, findings)
        marked = marked_copy_bytes(content, guarded, findings, source=workbook.name, held=held)
        guard_archive(marked)
    except MarkedCopyRefused:
        raise
    except WorkbookRefused as refusal:
        raise MarkedCopyRefused(f"No marked copy can be made: {refusal}") from refusal
    except Exception as error:
        raise MarkedCopyRefused(
            "No marked copy can be made: the workbook is put together in an unusual way."
            " Save it anew in a spreadsheet program and check that."
        ) from error
    return marked


def marked_copy_bytes(
    content: bytes,
    guarded: GuardedArchive,
    findings: Sequence[Finding],
    *,
    source: str,
    held: Mapping[str, Mapping[Place, RawCell]] | None = None,
) -> bytes:
    """Return the marked copy of a workbook that passed the guard; the same input gives the same bytes.

    Parameters
    ----------
    held
        what the cells with findings held, by sheet; a mark clears when its cell holds something else.
    """
    if any(part.root.endswith(" macrosheet") for part in guarded.parts.values()):
        raise MarkedCopyRefused("No marked copy can be made: the workbook has sheets of macros; delete them.")
    package = Package(content)
    book = find_book(package)
    sheets = listed_sheets(package, book)
    old_list = _old_list(package, book, sheets)
    looks = _add_looks(package, book)
    for sheet in sheets:
        if sheet.kind == "worksheet" and sheet != old_list:
            own = [one for one in findings if one.sheet == sheet.name]
            _mark_sheet(package, sheet.part, own, looks, None if held is None else held.get(sheet.name, {}))
    lost = drop_what_runs(package, book)
    listed = list_sheet(gravest_first(findings), source=source, lost=lost, cells=looks.cells)
    place_list(package, book, listed, old_list)
    return package.packed()


def _old_list(package: Package, book: str, sheets: Sequence[ListedSheet]) -> ListedSheet | None:
    """Return the list of findings of an earlier run.

    Raises
    ------
    MarkedCopyRefused
        the sheet of that name is the workbook's own.
    """
    for sheet in sheets:
        if sheet.name.strip().casefold() == FINDINGS_SHEET.casefold():
            texts = [
                package.read(one.target) for one in package.relations(book) if one.kind == "sharedStrings"
            ]
            if not any(LIST_TITLE.encode() in text for text in (package.read(sheet.part), *texts)):
                raise MarkedCopyRefused(
                    f"No marked copy can be made: the workbook has its own sheet {sheet.name}; rename it."
                )
            return sheet
    return None


def _add_looks(package: Package, book: str) -> Looks:
    part = next((one.target for one in package.relations(book) if one.kind == "styles"), None)
    if part is None:
        part = _STYLES_PART
        package.relate(book, "styles", part)
    if part not in package:
        package.write(part, NO_STYLES)
        package.declare(part, STYLES_TYPE)
    styles, looks = add_looks(package.read(part))
    package.write(part, styles)
    return looks


def _held(
    name: str, content: bytes, guarded: GuardedArchive, findings: Sequence[Finding]
) -> dict[str, dict[Place, RawCell]] | None:
    """Return what the cells with findings held, by sheet; None where the workbook was refused as a whole."""
    try:
        raw = read_guarded(name, content, guarded)
    except WorkbookRefused:
        return None
    wanted: dict[str, set[Place]] = {}
    for one in findings:
        wanted.setdefault(one.sheet, set()).add((one.row, one.column or 1))
    return {
        sheet.name: {
            (row.number, column): row.cells[column]
            for row in sheet.rows
            for column in row.cells
            if (row.number, column) in wanted[sheet.name]
        }
        for sheet in raw.sheets
        if sheet.name in wanted
    }


def _mark_sheet(
    package: Package,
    part: str,
    findings: Sequence[Finding],
    looks: Looks,
    held: Mapping[Place, RawCell] | None,
) -> None:
    content = package.read(part)
    encoding = _ENCODING.search(content[:200])
    if content[:2] in (b"\xff\xfe", b"\xfe\xff") or (
        encoding and encoding[1].lower() not in _READABLE_AS_BYTES
    ):
        raise ValueError("a worksheet in an encoding of its own")
    sheet = SheetText(content)
    marks = _by_cell(findings)
    notes_part = next((one.target for one in package.relations(part) if one.kind == "comments"), None)
    new_key = ""
    if marks or notes_part is not None:
        new_key = _place_notes(package, part, sheet, notes_part, marks)
    refs: dict[Severity, list[str]] = {one: [] for one in Severity}
    conditions: dict[str, str] = {}
    for (row, column), found in marks.items():
        ref = RawCell(row, column, None).ref
        refs[_gravest(found)].append(ref)
        if held is not None:
            conditions[ref] = still_there(ref, held.get((row, column)))
    marked = with_marks(sheet, refs, looks.marks, conditions=conditions, new_notes_key=new_key)
    package.write(part, marked)


def _by_cell(findings: Sequence[Finding]) -> dict[Place, list[Finding]]:
    """Return the findings of each cell; one of a row without a cell belongs to the row's first."""
    found: dict[Place, list[Finding]] = {}
    for one in sorted(findings, key=lambda finding: (finding.row, finding.column)):
        if one.row:
            found.setdefault((one.row, one.column or 1), []).append(one)
    return found


def _gravest(findings: Sequence[Finding]) -> Severity:
    return min((one.severity for one in findings), key=list(Severity).index)


def _place_notes(
    package: Package,
    part: str,
    sheet: SheetText,
    notes_part: str | None,
    marks: Mapping[Place, list[Finding]],
) -> str:
    """Write notes and their boxes; return the key of a new drawing, or nothing where there was one."""
    if notes_part is None:
        notes_part = package.free_name("xl/comments{}.xml")
        package.write(notes_part, NO_NOTES)
        package.declare(notes_part, _NOTES_TYPE)
        package.relate(part, "comments", notes_part)
    noted = islice(marks.items(), NOTES_MOST)
    texts = {RawCell(*place, None).ref: _note(found) for place, found in noted}
    notes, new, gone = with_notes(package.read(notes_part), texts)
    package.write(notes_part, notes)
    new_key = ""
    drawing = {one.key: one.target for one in package.relations(part)}.get(sheet.notes_key)
    if drawing is None:
        drawing = package.free_name("xl/drawings/vmlDrawing{}.vml")
        package.write(drawing, NO_DRAWING)
        package.declare(drawing, _DRAWING_TYPE)
        new_key = package.relate(part, "vmlDrawing", drawing)
    boxes = {_place(ref): texts[ref] for ref in texts if ref in new}
    package.write(drawing, with_boxes(package.read(drawing), boxes, frozenset(_place(ref) for ref in gone)))
    return new_key


def _note(findings: Sequence[Finding]) -> str:
    texts = [f"{one.severity.value}: {one.message}\n{one.hint}" for one in findings]
    return plain_note("\n\n".join((f"{NOTE_SIGN} {texts[0]}", *texts[1:])))


def _place(ref: str) -> Place:
    """Return row and column of a cell named like ``F12``; row 0 for any other name."""
    match = _CELL.fullmatch(ref)
    if match is None:
        return 0, 0
    column = 0
    for letter in match[1]:
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(match[2]), column
